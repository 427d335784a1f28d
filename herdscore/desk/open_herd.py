"""The herd that is open: the one way to change it, undo steps, and keeping its assessment up to date."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime
from typing import Any

from PySide6.QtCore import QObject, QTimer, Slot

from herdscore.desk.cow_journal import entries_of_cow
from herdscore.desk.first_look import FirstLook
from herdscore.desk.herd_in_view import HerdInView
from herdscore.desk.jobs import Job, Jobs, Report, StepJob
from herdscore.desk.undo_step import Edit
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.changes import Change, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.rulebook import Rulebook
from herdscore.errors import Problem

_LOOK_AT_CLOCK = 30_000  # ms


class OpenHerd(HerdInView):
    """One herd while it is open; all writing goes through `push`."""

    def __init__(
        self,
        first: FirstLook,
        jobs: Jobs,
        *,
        clock: Callable[[], datetime] = datetime.now,
        who: Callable[[], str] = str,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(first, parent)
        self._jobs = jobs
        self._clock = clock
        self._who = who
        self._revision = 0
        self._assessing: Job | None = None
        self._asked: list[Job] = []  # by pages, which go when the herd is closed
        self._day_watch = QTimer(self)
        self._day_watch.timeout.connect(self.look_at_clock)
        self._day_watch.start(_LOOK_AT_CLOCK)

    def push(self, change: Change, words: str) -> bool:
        """Write a change as one undo step called `words`; False, and `failed`, when it was refused."""
        edit = Edit(change, words, self._write, self._on_write_failed)
        self.undo_stack.push(edit)
        return edit.went_through

    def work_out(self, function: Callable[..., Any], *values: Any) -> Job:
        """Run sums on values beside the window, `function(*values, report)`; listen to the job that is answered."""
        return self._jobs.sums_lane(self._of_page(Job(function, *values)))

    def in_steps(self, function: Callable[..., Iterator[None]]) -> Job:
        """Run what only the window's own thread may do, `function(report)`, a step a turn."""
        job = StepJob(function)
        self._of_page(job)
        return self._jobs.window_lane(job)

    def undo(self) -> str:
        """Take back the last step; its words, or nothing when there was none or nothing can be written."""
        return self._step(self.undo_stack.undoText(), self.undo_stack.undo)

    def redo(self) -> str:
        """Do again what was taken back; its words, or nothing."""
        return self._step(self.undo_stack.redoText(), self.undo_stack.redo)

    def _step(self, words: str, step: Callable[[], None]) -> str:
        if not self.can_write:
            # Tried all the same, the step would fail and be lost.
            self.failed.emit(Problem("Nothing was taken back or done again.", self.why_not))
            return ""
        before = self.undo_stack.index()
        step()
        return words if self.undo_stack.index() != before and self.unsaved is None else ""

    def choose_day(self, day: date | None) -> None:
        """Look at the herd on another day; None goes back to its day."""
        as_of = None if day == self.herd_day else day
        if as_of != self._as_of:
            self._as_of = as_of
            self.day_chosen.emit()
            self._assess()

    def journal_of(self, cow_id: str) -> Job:
        """Begin to look up what the journal says of a cow; the job finishes with a list of CowEntry, newest first."""
        return self._jobs.herd_lane(self._of_page(Job(entries_of_cow, self.file, cow_id)))

    def close(self) -> None:
        """Let the file go."""
        self._day_watch.stop()
        if self._assessing is not None:
            self._assessing.cancel()
        for job in self._asked:
            job.abandon()
        self._asked.clear()
        self._revision += 1  # what is still being worked out comes too late
        self.file.close()

    def _of_page(self, job: Job) -> Job:
        self._asked = [*(one for one in self._asked if not one.is_over), job]
        return job

    @Slot()
    def look_at_clock(self) -> None:
        """Go on to the next day when the computer's has come."""
        day = self._clock().date()
        if day != self._computer_day:
            self._computer_day = day
            if self._as_of == self.herd_day:
                self._as_of = None
            if self.is_sample or self.looking:
                return
            self.day_chosen.emit()
            self._assess()

    def _write(self, change: Change) -> None:
        if not self.can_write:
            raise Problem("Nothing was written.", self.why_not)
        self.file.apply(change, self._who())
        self.unsaved = None
        self.snapshot = applied(self.snapshot, change)
        day = self.today
        if any(row.table == "settings" for row in change.rows):
            self.rulebook, _ = self._base.with_settings(self.snapshot.setting)
        self.changed.emit()
        if self.today != day:
            self.day_chosen.emit()
        self.saved.emit(self._clock().strftime("%H:%M"))
        self._assess()

    def _assess(self) -> None:
        self._revision += 1
        revision = self._revision
        if self._assessing is not None:
            self._assessing.cancel()
        job = Job(_assessed, self.snapshot, self.rulebook, self.today)
        job.finished.connect(lambda made: self._on_assessed(revision, made))
        job.failed.connect(self.failed)
        self._assessing = self._jobs.sums_lane(job)

    def _on_assessed(self, revision: int, made: Assessment) -> None:
        if revision == self._revision:
            self._assessing = None
            self.assessment = made
            self.assessed.emit(made)

    def _on_write_failed(self, problem: Problem, edit: Edit, undoing: bool) -> None:
        if undoing and not _is_conflict(problem):
            # Undo went wrong for a passing reason: the change stands, and so must the step that takes it back.
            again = Edit(edit.change, edit.words, self._write, self._on_write_failed, done=True)
            QTimer.singleShot(0, self, lambda: self.undo_stack.push(again))
        self.unsaved = problem if self.can_write and not _is_conflict(problem) else None
        self.failed.emit(problem)


def _assessed(snapshot: Snapshot, rulebook: Rulebook, today: date, report: Report) -> Assessment:
    return assess(snapshot, rulebook, today)


def _is_conflict(problem: Problem) -> bool:
    from herdscore.store.faults import Conflict  # late: it brings the database along, which is there by now

    return isinstance(problem, Conflict)
