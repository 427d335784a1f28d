"""Page Herd: the register of cows, and sheets in and out."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.pages.register import RegisterTab
from herdscore.parts.buttons import button
from herdscore.parts.cards import PAGE_MARGINS, column, row
from herdscore.parts.labels import label
from herdscore.parts.theme import Look


class HerdPage(QWidget):
    """The herd as it is written down. `open_sheet_wished`, `write_workbook_wished`: the buttons at the top."""

    message = Signal(object)
    open_sheet_wished = Signal()
    write_workbook_wished = Signal()
    title = "Herd"

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._herd = herd
        self._stale = True
        self.open_button = button("Open a sheet")
        self.write_button = button("Write the workbook")
        self.register = RegisterTab(look, herd)
        top = row(label("Register", 18, 700), None, self.register.add_button, 8, self.open_button, self.write_button)
        self.setLayout(column(top, (self.register, 1), spacing=8, margins=PAGE_MARGINS))
        self.open_button.clicked.connect(self.open_sheet_wished)
        self.write_button.clicked.connect(self.write_workbook_wished)
        self.register.message.connect(self.message)
        herd.assessed.connect(self._on_assessed)
        herd.block_chosen.connect(self.register.cows.fill)
        herd.day_chosen.connect(self.register.show_rights)

    def focus_first(self) -> None:
        """Give the keyboard to the register."""
        self.register.focus_first()

    def find(self, text: str = "") -> None:  # type: ignore[override]
        """Go to the box that finds a cow, with a text already in it."""
        if text:
            self.register.cows.search.setText(text)
        self.register.cows.search.setFocus()
        self.register.cows.search.selectAll()

    def _on_assessed(self) -> None:
        self._stale = True
        if self.isVisible():
            self._freshen()

    def _freshen(self) -> None:
        if self._stale:
            self._stale = False
            self.register.show_rights()
            self.register.show_assessment(self._herd.assessment)

    @override
    def showEvent(self, event: QShowEvent) -> None:
        self._freshen()
        super().showEvent(event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        self.register.widen(self.window().width())
        super().resizeEvent(event)
