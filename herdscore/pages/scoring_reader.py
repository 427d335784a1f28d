"""The stick reader and the scoring page: a tag that was read brings her up, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QComboBox, QLineEdit

from herdscore.desk import messages
from herdscore.desk.reader_filter import ReaderFilter
from herdscore.desk.serial_reader import SerialReader, is_installed
from herdscore.desk.settings import READER_PORT, Settings
from herdscore.domain.crush_forms import CrushRules
from herdscore.errors import Problem
from herdscore.pages.herds_page import OPEN_READER

if TYPE_CHECKING:
    from herdscore.pages.scoring import ScoringPage


class _AtCrush(QObject):
    """What is done with a tag; `page` gives the scoring page, `come_forward` brings it to the front."""

    def __init__(
        self,
        listens: ReaderFilter | SerialReader,
        page: Callable[[], ScoringPage],
        come_forward: Callable[[], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._page, self._come_forward = page, come_forward
        listens.read.connect(self._on_read)
        listens.repeated.connect(self._on_repeated)
        listens.garbled.connect(self._on_garbled)

    @Slot(str)
    def _on_read(self, number: str) -> None:
        page = self._in_front()
        page.work.errands.read(number)
        page.focus_first()

    @Slot(str)
    def _on_repeated(self, number: str) -> None:
        if self._page().isVisible():
            self._page().work.errands.repeated(number)

    @Slot(str, str)
    def _on_garbled(self, text: str, why: str) -> None:
        self._in_front().work.errands.garbled(text, why)

    def _in_front(self) -> ScoringPage:
        """The page with its cows to be seen, and not something in their place."""
        self._come_forward()
        page = self._page()
        if not page.tag.isVisible():
            page.find()
        return page


class ReaderAtCrush(_AtCrush):
    """Listens to a reader that types while a herd is open."""

    def __init__(
        self, listens: ReaderFilter, page: Callable[[], ScoringPage], come_forward: Callable[[], None]
    ) -> None:
        super().__init__(listens, page, come_forward)
        self._filter = listens
        listens.touched.connect(self._on_touched)
        listens.let_go.connect(self._on_let_go)
        listens.install()

    def resting(self) -> AbstractContextManager[None]:
        """Listen to nothing while a page is put together."""
        return self._filter.resting()

    def close(self) -> None:
        """Stop listening."""
        self._filter.remove()

    @Slot(str)
    def _on_touched(self, characters: str) -> None:
        page, held = self._page(), QApplication.focusWidget()
        typing = isinstance(held, QLineEdit | QComboBox | QAbstractSpinBox) and held is not page.tag
        if held is not None and not typing and (held is page or page.isAncestorOf(held)):
            page.foresee(characters)

    @Slot()
    def _on_let_go(self) -> None:
        self._page().take_back()


class PortAtCrush(_AtCrush):
    """Listens to the reader on the serial port this laptop has chosen, if any. `message(Message)` for the bar."""

    message = Signal(object)

    def __init__(
        self,
        rules: CrushRules,
        settings: Settings,
        page: Callable[[], ScoringPage],
        come_forward: Callable[[], None],
        parent: QObject | None = None,
    ) -> None:
        self.reader = SerialReader(rules)
        super().__init__(self.reader, page, come_forward, parent)
        self.reader.setParent(self)
        self._settings = settings
        self.reader.lost.connect(self._on_lost)

    def open(self) -> None:
        """Begin to listen, or begin again."""
        port = self._settings.get(READER_PORT)
        if not port or not is_installed():
            return  # without the part the choice in the settings says what is missing
        try:
            self.reader.open(port)
        except Problem as problem:
            self._on_lost(problem)

    def close(self) -> None:
        """Stop listening."""
        self.reader.close()

    @Slot(object)
    def _on_lost(self, problem: Problem) -> None:
        self.message.emit(messages.of_problem(problem, OPEN_READER, "Open the reader"))
