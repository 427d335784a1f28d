"""A question across the page with its answers as buttons; answered, it stays and says what was chosen."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, column, row
from herdscore.parts.labels import label, restyle


class QuestionBand(QWidget):
    """`answered(key)`: one of the answers was pressed."""

    answered = Signal(str)

    def __init__(self, claim: str, rest: str, answers: Sequence[tuple[str, str]], chosen: str = "") -> None:
        super().__init__()
        self.setAccessibleName(claim)
        words = column(None, label(claim, 14, 700, wrap=True), label(rest, 12, 400, wrap=True), None, spacing=0)
        self._buttons: dict[str, QPushButton] = {}
        for key, said in answers:
            one = button(said, "row", weight=600)
            one.setAccessibleName(f"{claim} {said}")
            one.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            one.clicked.connect(lambda _=False, key=key: self._on_pressed(key))
            self._buttons[key] = one
        inside = row((words, 1), *self._buttons.values(), spacing=12, margins=(16, 6, 10, 6))
        self._panel = Panel(inside, "hold", edged=True)
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        around.addWidget(self._panel)
        self.show_chosen(chosen)

    def show_chosen(self, key: str) -> None:
        """Show which answer was given; "" for none yet. No signal."""
        for one, made in self._buttons.items():
            restyle(made, "chosen", "true" if one == key else "false")
        self._panel.show_hue("sunk" if key else "hold", edged=not key)

    @property
    def is_answered(self) -> bool:
        """Whether an answer is chosen."""
        return any(one.property("chosen") == "true" for one in self._buttons.values())

    def focus_first(self) -> None:
        """Give the keyboard to the first answer."""
        next(iter(self._buttons.values())).setFocus()

    def _on_pressed(self, key: str) -> None:
        self.show_chosen(key)
        self.answered.emit(key)
