"""The stick reader and the scoring page: a tag that was read brings her up, and nothing else."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QApplication

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
        self._come_forward()
        self._page().work.errands.read(number)
        self._page().focus_first()

    @Slot(str)
    def _on_repeated(self, number: str) -> None:
        if self._page().isVisible():
            self._page().work.errands.repeated(number)

    @Slot(str, str)
    def _on_garbled(self, text: str, why: str) -> None:
        self._come_forward()
        self._page().work.errands.garbled(text, why)

    @Slot(str)
    def _on_touched(self, characters: str) -> None:
        page, held = self._page(), QApplication.focusWidget()
        if held is not None and (held is page or page.isAncestorOf(held)):
            page.foresee(characters)

    @Slot()
    def _on_let_go(self) -> None:
        self._page().take_back()
