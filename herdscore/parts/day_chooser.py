"""A narrow band to choose another day to look at the herd."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QDate, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, row
from herdscore.parts.fields import day_box, day_of
from herdscore.parts.labels import label


class DayChooser(QWidget):
    """`day_chosen(date)`: look at that day; `closed`: never mind. Enter looks, Esc closes."""

    day_chosen = Signal(object)
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._day = day_box("Day to look at", date(2000, 1, 1))
        self._day.setFixedWidth(210)
        look, leave = button("Look at this day", "main", weight=600), button("Cancel", weight=600)
        look.clicked.connect(self._on_look)
        leave.clicked.connect(self._on_leave)
        words = label("Look back or ahead; nothing can be written on another day.", 12, 400, wrap=True)
        inside = row(label("Day", 12, 700), self._day, look, leave, (words, 1), spacing=12, margins=(16, 5, 8, 5))
        around = QVBoxLayout(self)
        around.setContentsMargins(24, 0, 24, 8)
        around.addWidget(Panel(inside, "sunk", edged=True))
        self.hide()

    def ask(self, day: date) -> None:
        """Open with a day to start from."""
        self._day.setDate(QDate(day.year, day.month, day.day))
        self.show()
        self._day.setFocus()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self._on_leave()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._on_look()
        else:
            super().keyPressEvent(event)

    def _on_look(self) -> None:
        self._day.interpretText()
        self.hide()
        self.day_chosen.emit(day_of(self._day))

    def _on_leave(self) -> None:
        self.hide()
        self.closed.emit()
