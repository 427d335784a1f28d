"""A narrow band to choose what is printed, on paper or as a PDF file."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal, SignalInstance
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import Panel, row
from herdscore.parts.labels import label

DAY_REPORT, ADVISER_SHEET, THIS_PAGE = "herd day", "adviser's sheet", "page"
WHAT = ((DAY_REPORT, "Herd day report"), (ADVISER_SHEET, "Adviser's sheet"), (THIS_PAGE, "Page shown"))


class PrintBand(QWidget):
    """`print_pressed(what)`, `save_pressed(what)`: one of WHAT, on paper or as PDF; `closed`: never mind.

    Left and right choose, Enter prints, Esc closes.
    """

    print_pressed = Signal(str)
    save_pressed = Signal(str)
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.what = JoinedButtons(WHAT, "What to print", height=44)
        self.what.choose(DAY_REPORT)
        self.print_button, self.save_button = button("Print", "main", weight=600), button("Save as PDF", weight=600)
        self.leave_button = button("Cancel", weight=600)
        self.print_button.clicked.connect(lambda: self._on_done(self.print_pressed))
        self.save_button.clicked.connect(lambda: self._on_done(self.save_pressed))
        self.leave_button.clicked.connect(self._on_leave)
        buttons = (self.print_button, self.save_button, self.leave_button)
        for one in buttons:
            one.installEventFilter(self)
        inside = row(label("Print", 12, 700), self.what, None, *buttons, spacing=12, margins=(16, 5, 8, 5))
        around = QVBoxLayout(self)
        around.setContentsMargins(24, 0, 24, 8)
        around.addWidget(Panel(inside, "sunk", edged=True))
        self.hide()

    def ask(self, what: str = "", page_words: str = "") -> None:
        """Open, with something chosen; the page is offered under its words, only where it can be printed."""
        self.what.button(THIS_PAGE).setVisible(bool(page_words))
        self.what.button(THIS_PAGE).setText(page_words)
        chosen = what or self.what.current
        self.what.choose(DAY_REPORT if chosen == THIS_PAGE and not page_words else chosen)
        self.show()
        self.print_button.setFocus()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self._on_leave()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._on_done(self.save_pressed if self.save_button.hasFocus() else self.print_pressed)
        else:
            super().keyPressEvent(event)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Left and right choose; a button by itself would hand the keyboard to the next one."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            step = {Qt.Key.Key_Left.value: -1, Qt.Key.Key_Right.value: 1}.get(event.key())
            if step is not None:
                self._step(step)
                return True
        return super().eventFilter(watched, event)

    def _step(self, step: int) -> None:
        keys = [key for key, _ in WHAT if not self.what.button(key).isHidden()]
        self.what.choose(keys[(keys.index(self.what.current) + step) % len(keys)])

    def _on_done(self, pressed: SignalInstance) -> None:
        self.hide()
        pressed.emit(self.what.current)
        self.closed.emit()

    def _on_leave(self) -> None:
        self.hide()
        self.closed.emit()
