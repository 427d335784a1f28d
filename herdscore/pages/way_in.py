"""The way from a path to an open herd on the screen: first page, progress, problems of a sheet, which herd."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QWidget

from herdscore.desk import messages
from herdscore.desk.opening import Opening
from herdscore.desk.settings import LAST_FOLDER, RECENT, Settings
from herdscore.desk.sources import Source
from herdscore.errors import Problem
from herdscore.pages.file_asking import FileAsking
from herdscore.pages.first_run import FirstRunPage
from herdscore.pages.saves import Saves
from herdscore.parts.theme import Look
from herdscore.parts.window_frame import WindowFrame

if TYPE_CHECKING:
    from herdscore.desk.reading import Draft

_QUIET = 150  # ms a job may take before it covers the page


class WayIn(QObject):
    """`message(Message)` for the bar; `busy(bool)`: keys are to rest; `left`: back to the herd open before."""

    message = Signal(object)
    busy = Signal(bool)
    left = Signal()

    def __init__(
        self,
        frame: WindowFrame,
        look: Look,
        settings: Settings,
        opening: Opening,
        saves: Saves,
        asking: FileAsking,
    ) -> None:
        super().__init__(frame)
        self.page: QWidget | None = None
        self._frame, self._look, self._settings = frame, look, settings
        self._opening, self._saves, self._asking = opening, saves, asking
        self._cover = QTimer(self)
        self._cover.setSingleShot(True)
        self._cover.setInterval(_QUIET)
        self._cover.timeout.connect(self._on_slow)
        self._text = ""
        frame.progress.cancelled.connect(opening.cancel)
        opening.begun.connect(self._on_begun)
        opening.progressed.connect(frame.progress.show_progress)
        opening.ended.connect(self._on_ended)
        opening.which_asked.connect(self._on_which)
        opening.draft_read.connect(self._on_draft)
        opening.failed.connect(self._on_failed)

    def open_path(self, path: Path, on: date | None = None) -> None:
        """Open a herd file, a sheet, a folder of sheets or a sample herd."""
        self._opening.open(path, on)

    def ask_path(self, *, folder: bool) -> None:
        """Ask which file, or which folder of .csv files, to open."""
        kept = Path(self._settings.get(LAST_FOLDER) or Path.home())
        ask = self._asking.open_folder if folder else self._asking.open_file
        path = ask(self._frame, kept)
        if path is not None:
            self._settings.set(LAST_FOLDER, str(path.parent))
            self.open_path(path)

    def show_first_run(self) -> None:
        """Show the page on which a herd is opened."""
        recent = [path for path in self._settings.get(RECENT) if Path(path).exists()]
        page = FirstRunPage(self._look, recent)
        page.open_wished.connect(lambda: self.ask_path(folder=False))
        page.folder_wished.connect(lambda: self.ask_path(folder=True))
        page.sample_wished.connect(lambda folder: self.open_path(Path(folder)))
        page.recent_wished.connect(lambda path: self.open_path(Path(path)))
        self._frame.status.show_state("Ready")
        self._frame.status.show_herd("No herd open", "")
        self._show(page)

    def show_again(self) -> None:
        """Bring its page back to the front, after the guide."""
        if self.page is not None:
            self._frame.show_frame(False)
            self._frame.rail.show_page("")
            self._frame.show_page(self.page)
            self.page.focus_first()  # type: ignore[attr-defined]

    def leave(self) -> None:
        """Take its page away; a sheet half read is left alone."""
        self._opening.drop_draft()
        if self.page is not None:
            self._frame.drop_page(self.page)
            self.page = None

    def _show(self, page: QWidget) -> None:
        old, self.page = self.page, page
        self.show_again()
        if old is not None:
            self._frame.drop_page(old)
        page.focus_first()  # type: ignore[attr-defined]

    def _on_begun(self, text: str) -> None:
        self._text = text
        self.busy.emit(True)
        self._cover.start()

    def _on_slow(self) -> None:
        self._frame.progress.begin(self._text)

    def _on_ended(self) -> None:
        self._cover.stop()
        if self._frame.progress.isVisibleTo(self._frame):
            self._frame.progress.end()
        self.busy.emit(False)

    def _on_which(self, source: Source) -> None:
        from herdscore.pages.which_herd import WhichHerdPage  # late: it is seldom asked

        page = WhichHerdPage(self._look, source)
        page.file_wished.connect(self._opening.open_beside)
        page.sheet_wished.connect(self._opening.read_as_new)
        page.cancelled.connect(self.left)
        self._show(page)

    def _on_draft(self, draft: Draft) -> None:
        from herdscore.pages.problems import ProblemsPage  # late: sound sheets and herd files do without

        source = self._opening.source
        if isinstance(self.page, ProblemsPage):
            self.page.show_draft(draft)
            self.page.focus_first()
        elif source is not None:
            page = ProblemsPage(self._look, draft)
            page.answered.connect(self._opening.answer)
            page.use_good_rows.connect(self._opening.use_good_rows)
            page.read_again.connect(self._opening.read_again)
            page.save_list.connect(lambda: self._save_problems(source.sheet))
            page.cancelled.connect(self.left)
            self._show(page)

    def _save_problems(self, sheet: Path) -> None:
        if self._opening.draft is not None:
            self._saves.problems(self._opening.draft, sheet)

    def _on_failed(self, problem: Problem) -> None:
        self.message.emit(messages.of_problem(problem))
