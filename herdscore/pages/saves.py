"""Saves the lists and workbooks somebody asks for: where to is asked, a job writes, the message bar tells."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QWidget

from herdscore.desk import messages, saving
from herdscore.desk.jobs import Job, Jobs
from herdscore.desk.jobs import Report as Told
from herdscore.desk.settings import LAST_FOLDER, SCORER, Settings
from herdscore.desk.sources import unused
from herdscore.errors import Problem
from herdscore.pages.file_asking import HERD_FILES, SHEETS, WORKBOOKS, FileAsking
from herdscore.pages.wishes import FileWish, PrintWish, SaveWish

if TYPE_CHECKING:
    from herdscore.desk.open_herd import OpenHerd
    from herdscore.desk.reading import Draft


class Saves(QObject):
    """`message(Message)`: what came of it; `moved(path)`: the herd was saved elsewhere and is to be opened there.

    `doing(state)`: what is being written or drawn, in words; "" when all is done.
    """

    doing = Signal(str)
    message = Signal(object)
    moved = Signal(object)

    def __init__(self, window: QWidget, asking: FileAsking, settings: Settings, jobs: Jobs) -> None:
        super().__init__(window)
        self._window = window
        self._asking = asking
        self._settings = settings
        self._jobs = jobs
        self._begun: dict[Job, str] = {}

    def flag_list(self, herd: OpenHerd) -> None:
        """Save the flag list of the day the herd is looked at."""
        proposed = self._folder(herd.path.parent) / f"{herd.path.stem} flags {herd.today.isoformat()}.xlsx"
        path = self._asking.save_file(self._window, "Save the flag list", proposed, SHEETS)
        self._run("The flag list", path, saving.save_flag_list, herd.assessment, herd.name)

    def workbook(self, herd: OpenHerd) -> None:
        """Save the whole herd as a workbook."""
        proposed = unused(self._folder(herd.path.parent) / f"{herd.path.stem} {herd.today.isoformat()}.xlsx")
        path = self._asking.save_file(self._window, "Save the herd as a workbook", proposed, WORKBOOKS)
        self._run("The herd workbook", path, saving.save_workbook, herd.snapshot)

    def one(self, herd: OpenHerd, wish: SaveWish | FileWish) -> None:
        """Save what a page draws or writes itself."""
        proposed = self._folder(herd.path.parent) / wish.name
        path = self._asking.save_file(self._window, f"Save {wish.what[0].lower()}{wish.what[1:]}", proposed, wish.kinds)
        if isinstance(wish, FileWish):
            self._run(wish.what, path, wish.write)
            return
        if path is None:
            return
        self._keep_folder(path)
        try:
            made = wish.write(path)
        except Problem as problem:
            self._on_failed(problem)
        else:
            self.message.emit(messages.note(f"{wish.what} is saved.", str(made)))

    def print(self, wish: PrintWish) -> None:
        """Print what a page draws."""
        printer = self._asking.printer(
            self._window, f"Print {wish.what[0].lower()}{wish.what[1:]}", landscape=wish.landscape
        )
        if printer is None:
            return
        if wish.of_widgets:
            try:
                wish.draw(printer)
            except Problem as problem:
                self._on_failed(problem)
            else:
                self._on_printed(wish.what, printer.outputFileName())
            return
        to_file = printer.outputFileName()
        job = Job(_draw, wish, printer)
        job.finished.connect(lambda _: self._on_printed(wish.what, to_file))
        self._begin(job, f"Drawing {wish.what[0].lower()}{wish.what[1:]}")

    def problems(self, draft: Draft, sheet: Path) -> None:
        """Save the list of what was wrong in a sheet, so that it can lie beside it."""
        proposed = self._folder(sheet.parent) / f"{sheet.stem} problems.xlsx"
        path = self._asking.save_file(self._window, "Save the list of problems", proposed, SHEETS)
        self._run("The list of problems", path, saving.save_problems, draft)

    def elsewhere(self, herd: OpenHerd) -> None:
        """Save the herd in another place, and go on there."""
        proposed = self._folder(herd.path.parent) / herd.path.name
        path = self._asking.save_file(self._window, "Save the herd elsewhere", proposed, HERD_FILES)
        if path is None:
            return
        self._keep_folder(path)
        job = Job(saving.save_elsewhere, herd.file, herd.snapshot, path, self._settings.get(SCORER))
        job.finished.connect(self.moved)
        job.failed.connect(self._on_failed)
        self._jobs.herd_lane(job)

    def _run(self, what: str, path: Path | None, write: Callable[..., Path], *values: Any) -> None:
        if path is None:
            return
        self._keep_folder(path)
        job = Job(write, *values, path)
        job.finished.connect(lambda made: self.message.emit(messages.note(f"{what} is saved.", str(made))))
        drawn = path.suffix.lower() == ".pdf"
        self._begin(job, f"Drawing {what[0].lower()}{what[1:]}" if drawn else f"Writing {path.name}")

    def _begin(self, job: Job, state: str) -> None:
        """Run a job, which the status line tells while it is under way."""
        self._begun[job] = state
        self._tell()
        for over in (job.finished, job.failed, job.cancelled):
            over.connect(lambda *_: self._on_over(job))
        job.failed.connect(self._on_failed)
        self._jobs.sums_lane(job)

    def _on_over(self, job: Job) -> None:
        self._begun.pop(job, None)
        self._tell()

    def _tell(self) -> None:
        """They are done one after the other: the first is what is under way."""
        self.doing.emit(next(iter(self._begun.values()), ""))

    def _on_printed(self, what: str, to_file: str) -> None:
        claim = f"{what} is printed to a file." if to_file else f"{what} is on its way to the printer."
        self.message.emit(messages.note(claim, to_file))

    def _on_failed(self, problem: Problem) -> None:
        self.message.emit(messages.of_problem(problem))

    def _folder(self, beside: Path) -> Path:
        kept = self._settings.get(LAST_FOLDER)
        return Path(kept) if kept and Path(kept).is_dir() else beside

    def _keep_folder(self, path: Path) -> None:
        self._settings.set(LAST_FOLDER, str(path.parent))


def _draw(wish: PrintWish, printer: QPrinter, _told: Told) -> None:
    """Draw on a printer off the window's thread, as on any other device of pages."""
    wish.draw(printer)
