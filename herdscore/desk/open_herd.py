"""The herd that is open: its snapshot, its newest assessment, the undo stack, and the one way to change it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QObject, QTimer, Signal, Slot
from PySide6.QtGui import QUndoStack

from herdscore.desk.edits import Edit
from herdscore.desk.first_look import FirstLook
from herdscore.desk.head_figures import HeadFigure, figures
from herdscore.desk.jobs import Job, Jobs, Report
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.calendar import BLOCK_NAMES, NO_BLOCK
from herdscore.domain.changes import Change, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.rulebook import Rulebook
from herdscore.errors import Problem

if TYPE_CHECKING:
    from herdscore.store.herd_file import HerdFile

BOTH = "both"
_LOOK_AT_CLOCK = 30_000  # ms


class OpenHerd(QObject):
    """One herd while it is open; all writing goes through `push`."""

    changed = Signal()
    assessed = Signal(object)
    saved = Signal(str)
    failed = Signal(object)
    block_chosen = Signal(str)
    day_chosen = Signal()

    def __init__(
        self,
        first: FirstLook,
        jobs: Jobs,
        *,
        clock: Callable[[], datetime] = datetime.now,
        who: Callable[[], str] = str,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.file: HerdFile = first.file
        self.snapshot: Snapshot = first.snapshot
        self.rulebook: Rulebook = first.rulebook
        self.assessment: Assessment = first.assessment
        self.undo_stack = QUndoStack(self)
        self.block = BOTH
        self.unsaved: Problem | None = None  # why the last change did not get to the disk; None once one does
        self.is_new = first.is_new
        self._base = first.base
        self._jobs = jobs
        self._clock = clock
        self._who = who
        self._computer_day = first.computer_day
        self._as_of = first.assessment.today if first.assessment.today != self.herd_day else None
        self._revision = 0
        self._assessing: Job | None = None
        self._day_watch = QTimer(self)
        self._day_watch.timeout.connect(self.look_at_clock)
        self._day_watch.start(_LOOK_AT_CLOCK)

    # What it is

    @property
    def path(self) -> Path:
        """Where the herd file is."""
        return self.file.path

    @property
    def name(self) -> str:
        """The herd's name, else the name of its file."""
        return self.rulebook.herd_name or self.path.stem

    @property
    def is_sample(self) -> bool:
        """Whether it carries a day of its own, as the sample herds do."""
        return self.rulebook.own_day is not None

    @property
    def herd_day(self) -> date:
        """The day on which this herd is scored: its own, else the computer's."""
        return self.rulebook.own_day or self._computer_day

    @property
    def today(self) -> date:
        """The day it is looked at."""
        return self._as_of or self.herd_day

    @property
    def looking(self) -> bool:
        """Whether it is looked at on another day, so that nothing is written."""
        return self._as_of is not None

    @property
    def why_not(self) -> str:
        """Why nothing can be written; empty when it can."""
        if self.file.read_only:
            return self.file.why_read_only
        return "You are looking at another day; nothing is written. Go back to today to write." if self.looking else ""

    @property
    def can_write(self) -> bool:
        """Whether changes are taken now."""
        return not self.why_not

    @property
    def in_block(self) -> npt.NDArray[np.bool_]:
        """Cows of the chosen block, one value a cow of the assessment; a cow of unknown block is in both."""
        block = self.assessment.block
        if self.block == BOTH:
            return np.ones(len(block), dtype=bool)
        return np.asarray((block == BLOCK_NAMES.index(self.block)) | (block == NO_BLOCK), dtype=bool)

    def figures(self) -> list[HeadFigure]:
        """The figures of the header, for the chosen block."""
        return figures(self.assessment, self.in_block)

    # What is done with it

    def push(self, change: Change, words: str) -> bool:
        """Write a change as one undo step called `words`; False, and `failed`, when it was refused."""
        edit = Edit(change, words, self._write, self._on_write_failed)
        self.undo_stack.push(edit)
        return edit.went_through

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

    def preview(self, change: Change) -> Assessment:
        """What a change would mean, worked out in memory; nothing is written."""
        return assess(applied(self.snapshot, change), self.rulebook, self.today)

    def choose_block(self, name: str) -> None:
        """Look at one block, or at both."""
        if name != self.block:
            self.block = name
            self.block_chosen.emit(name)

    def choose_day(self, day: date | None) -> None:
        """Look at the herd on another day; None goes back to its day."""
        as_of = None if day == self.herd_day else day
        if as_of != self._as_of:
            self._as_of = as_of
            self.day_chosen.emit()
            self._assess()

    def close(self) -> None:
        """Let the file go."""
        self._day_watch.stop()
        if self._assessing is not None:
            self._assessing.cancel()
        self._revision += 1  # what is still being worked out comes too late
        self.file.close()

    @Slot()
    def look_at_clock(self) -> None:
        """Go on to the next day when the computer's has come."""
        day = self._clock().date()
        if day != self._computer_day:
            self._computer_day = day
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
