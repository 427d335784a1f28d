"""The stick reader and the scoring page: a tag that was read brings her up, and nothing else."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QComboBox, QLineEdit

from herdscore.desk.reader_filter import ReaderFilter
from herdscore.pages.scoring import ScoringPage


class ReaderAtCrush(QObject):
    """Listens while a herd is open; `page` gives the scoring page, `come_forward` brings it to the front."""

    def __init__(
        self, listens: ReaderFilter, page: Callable[[], ScoringPage], come_forward: Callable[[], None]
    ) -> None:
        super().__init__()
        self._filter, self._page, self._come_forward = listens, page, come_forward
        listens.read.connect(self._on_read)
        listens.repeated.connect(self._on_repeated)
        listens.garbled.connect(self._on_garbled)
        listens.touched.connect(self._on_touched)
        listens.let_go.connect(self._on_let_go)
        listens.install()

    def close(self) -> None:
        """Stop listening."""
        self._filter.remove()

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

    @Slot(str)
    def _on_touched(self, characters: str) -> None:
        page, held = self._page(), QApplication.focusWidget()
        typing = isinstance(held, QLineEdit | QComboBox | QAbstractSpinBox) and held is not page.tag
        if held is not None and not typing and (held is page or page.isAncestorOf(held)):
            page.foresee(characters)

    @Slot()
    def _on_let_go(self) -> None:
        self._page().take_back()
