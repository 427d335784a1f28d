"""The way from a path to an open herd: a herd file, a sheet with its questions, or a sample herd."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from herdscore.desk.jobs import Job, Jobs, Report
from herdscore.desk.sources import HERD, Opener, Source, check_is_there, sample_herds, source_of, unused
from herdscore.errors import Problem

if TYPE_CHECKING:
    from herdscore.desk.first_look import FirstLook
    from herdscore.desk.open_herd import OpenHerd
    from herdscore.desk.reading import Answers, Draft
    from herdscore.domain.records import Record


class Opening(QObject):
    """Opens herds, one at a time.

    `begun(text)`, `progressed(done, total, text)`, `ended`: a job is under way. `which_asked(Source)`: a herd file of
    this sheet is there; `draft_read(Draft)`: it has problems or questions. `opened(OpenHerd)`, `failed(Problem)`.
    """

    begun = Signal(str)
    progressed = Signal(int, int, str)
    ended = Signal()
    which_asked = Signal(object)
    draft_read = Signal(object)
    opened = Signal(object)
    failed = Signal(object)
    cancelled = Signal()

    def __init__(
        self,
        jobs: Jobs,
        data_folder: Path,
        *,
        laptop: str,
        clock: Callable[[], datetime] = datetime.now,
        who: Callable[[], str] = str,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.source: Source | None = None
        self.draft: Draft | None = None
        self.noted: tuple[Draft, Path] | None = None  # notes on the sheet read last, and the sheet
        self.on: date | None = None
        self._jobs = jobs
        self._data_folder = data_folder
        self._laptop = laptop
        self._clock = clock
        self._who = who
        self._answers: Answers | None = None
        self._job: Job | None = None

    @property
    def is_busy(self) -> bool:
        """Whether a job is under way."""
        return self._job is not None

    def open(self, path: Path, on: date | None = None) -> None:
        """Open a herd file, a workbook, a .csv, a folder of them, or a sample herd; `on` another day to look at."""
        if self.is_busy:
            return
        self.on, self.draft, self._answers, self.source, self.noted = on, None, None, None, None
        try:
            check_is_there(path)
        except Problem as problem:
            self.failed.emit(problem)
            return
        if path.suffix.lower() == HERD:
            self._open_file(path)
            return
        self.source = source_of(path, self._data_folder)
        if not self.source.is_there:
            self._read()
        elif self.source.is_sample:
            self._open_file(self.source.target)
        else:
            self.which_asked.emit(self.source)

    def open_beside(self) -> None:
        """Open the herd file that stands beside the sheet; it keeps what was scored since."""
        if self.source is not None:
            self._open_file(self.source.target)

    def read_as_new(self) -> None:
        """Read the sheet again, as a new herd under a free name."""
        if self.source is not None:
            self.source = Source(self.source.sheet, unused(self.source.target), self.source.is_sample)
            self._read()

    def start_sample_afresh(self, path: Path) -> None:
        """Take away the copy of a sample herd and make it anew; it must not be open."""
        source = source_of(path, self._data_folder)
        try:
            source.target.unlink(missing_ok=True)
        except OSError as fault:
            self.failed.emit(Problem("The sample herd could not be started afresh.", f"{fault.strerror}."))
            return
        self.open(path)

    def sample_of(self, herd: Path) -> Path | None:
        """Folder of the sample herd a herd file is the copy of, if it is one."""
        for sample in sample_herds():
            if source_of(sample.folder, self._data_folder).target.resolve() == herd.resolve():
                return sample.folder
        return None

    def answer(self, answers: Answers) -> None:
        """Read the sheet again with answers; what it then says comes as `draft_read`."""
        self._answers = answers
        self._read(show=True)

    def read_again(self) -> None:
        """Read the mended sheet; answers given stay."""
        self._read(show=True)

    def use_good_rows(self, answers: Answers) -> None:
        """Make the herd file from the good rows."""
        from herdscore.desk.reading import Answers

        if answers != (self._answers or Answers()):
            self._answers = answers
            self._read(use=True)
        else:
            self._make()

    def drop_draft(self) -> None:
        """Leave the sheet alone; nothing was written."""
        self.draft, self.source, self._answers = None, None, None

    def cancel(self) -> None:
        """Stop what is under way."""
        if self._job is not None:
            self._job.cancel()

    def _opener(self) -> Opener:
        return Opener(self._laptop, self._clock().date(), self._who(), self.on)

    def _read(self, *, show: bool = False, use: bool = False) -> None:
        source = self.source
        if source is None:
            return
        job = Job(_read_sheet, source.sheet, self._clock().date(), self._answers)

        def on_read(draft: Draft) -> None:
            self.draft = draft
            if use or not (show or draft.has_problems):
                self.noted = (draft, source.sheet) if draft.problems and not use else None
                self._make()
            else:
                self.draft_read.emit(draft)

        self._jobs.sums_lane(self._begin(job, f"Reading {source.sheet.name}", on_read))

    def _make(self) -> None:
        source, draft = self.source, self.draft
        if source is None or draft is None:
            return
        target = unused(source.target)
        job = Job(_make_file, target, draft.records, source.sheet.name, self._opener())
        self._jobs.herd_lane(self._begin(job, f"Making {target.name}", self._on_first_look, made=True))

    def _open_file(self, path: Path) -> None:
        job = Job(_open_file, path, self._opener())
        self._jobs.herd_lane(self._begin(job, f"Opening {path.name}", self._on_first_look))

    def _begin(self, job: Job, text: str, then: Callable[[Any], None], *, made: bool = False) -> Job:
        self._job = job

        def over() -> None:
            self._job = None
            self.ended.emit()

        def finished(result: Any) -> None:
            over()
            if not job.is_stopping:
                then(result)
                return
            # Cancel came when it was done: it counts all the same.
            if then == self._on_first_look:
                from herdscore.desk.first_look import discard

                discard(result, made=made)
            self.cancelled.emit()

        def failed(problem: Problem) -> None:
            over()
            self.failed.emit(problem)

        def cancelled() -> None:
            over()
            self.cancelled.emit()

        job.progressed.connect(self.progressed)
        job.finished.connect(finished)
        job.failed.connect(failed)
        job.cancelled.connect(cancelled)
        self.begun.emit(text)
        return job

    def _on_first_look(self, first: FirstLook) -> None:
        from herdscore.desk.open_herd import OpenHerd

        herd = OpenHerd(first, self._jobs, clock=self._clock, who=self._who)
        self.draft, self.source = None, None
        self.opened.emit(herd)
        for problem in first.problems:
            herd.failed.emit(problem)


def _tell_nobody(done: int, total: int, text: str) -> None:
    """Stand in where no progress is wanted."""


# What a herd is made of comes along in its job: the first page does without, and the window's thread need not wait.
# It knows nothing of Qt; what does is for the window's thread to bring along (see `pages/page_table.py`).


def _read_sheet(path: Path, today: date, answers: Answers | None, report: Report) -> Draft:
    from herdscore.desk.reading import read_sheet

    return read_sheet(path, today, answers, report)


def _make_file(path: Path, records: Sequence[Record], source: str, opener: Opener, report: Report) -> FirstLook:
    from herdscore.desk.first_look import make_file

    return make_file(path, records, source, opener, report)


def _open_file(path: Path, opener: Opener, report: Report) -> FirstLook:
    from herdscore.desk.first_look import open_file

    return open_file(path, opener, report)


def open_at_once(path: Path, jobs: Jobs, opener: Opener, *, clock: Callable[[], datetime] = datetime.now) -> OpenHerd:
    """Open a herd file on this thread, for pictures and tests."""
    from herdscore.desk.first_look import open_file
    from herdscore.desk.open_herd import OpenHerd

    return OpenHerd(open_file(path, opener, _tell_nobody), jobs, clock=clock, who=lambda: opener.who)
