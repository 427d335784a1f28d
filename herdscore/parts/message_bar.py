"""A bar that says what went wrong, why, and what to do; never a dialog, never in the way of the keys."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAccessible, QAccessibleEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from herdscore.errors import Problem
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, row
from herdscore.parts.labels import label


@dataclass(frozen=True)
class Message:
    """A claim, what stands behind it, and optionally a button: its key and words."""

    claim: str
    rest: str = ""
    action: str = ""
    action_words: str = ""
    problem: bool = False


class MessageBar(QWidget):
    """Shows one message; others wait behind it. `action_pressed(key)`: the button; `closed`: the bar went away."""

    action_pressed = Signal(str)
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._waiting: list[Message] = []
        self._sign = label("!", 20, 700, "thin")
        self._claim = label("", 12, 700, wrap=True)
        self._rest = label("", 12, 400, wrap=True)
        self._more = label("", 12, 400, "second")
        self._action = button("", weight=600)
        self._action.clicked.connect(self._on_action)
        close = button("", "close", height=44)
        close.setFixedSize(44, 44)
        close.setAccessibleName("Close this message")
        close.setToolTip("Close")
        close.clicked.connect(self.close_message)
        for one in (self._action, close):
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self._claim)
        words.addWidget(self._rest)
        inside = row(self._sign, (words, 1), self._more, self._action, close, spacing=12, margins=(16, 5, 6, 5))
        self._panel = Panel(inside, "selected", edged=True)
        around = QVBoxLayout(self)
        around.setContentsMargins(24, 0, 24, 8)
        around.addWidget(self._panel)
        self.hide()

    @property
    def message(self) -> Message | None:
        """The message shown, if any."""
        return self._waiting[-1] if self._waiting else None

    def show_problem(self, problem: Problem, action: str = "", action_words: str = "") -> None:
        """Say a fault of the environment or a file, with what to do."""
        rest = " ".join(part for part in (problem.why, problem.what_to_do) if part)
        self.show_message(Message(problem.what, rest, action, action_words, problem=True))

    def show_note(self, claim: str, rest: str = "", action: str = "", action_words: str = "") -> None:
        """Say something that is not a fault."""
        self.show_message(Message(claim, rest, action, action_words))

    def show_message(self, message: Message) -> None:
        """Show a message on top; the same one again is not stacked. A note never covers a problem."""
        if message in self._waiting:
            self._waiting.remove(message)
        covered = self._waiting and self._waiting[-1].problem and not message.problem
        place = len(self._waiting) - 1 if covered else len(self._waiting)
        self._waiting.insert(place, message)
        self._renew()

    def close_message(self) -> None:
        """Close the message shown; the next one comes up, or the bar goes."""
        if self._waiting:
            self._waiting.pop()
        self._renew()
        if not self._waiting:
            self.closed.emit()

    def clear(self) -> None:
        """Take every message away."""
        self._waiting.clear()
        self._renew()

    def _renew(self) -> None:
        message = self.message
        self.setVisible(message is not None)
        if message is None:
            return
        self._claim.setText(message.claim)
        self._rest.setText(message.rest)
        self._rest.setVisible(bool(message.rest))
        self._action.setText(message.action_words)
        self._action.setVisible(bool(message.action))
        others = len(self._waiting) - 1
        self._more.setText(f"and {others} more")
        self._more.setVisible(others > 0)
        self._sign.setVisible(message.problem)
        self._panel.show_hue("thin" if message.problem else "selected")
        self.setAccessibleName(" ".join(part for part in (message.claim, message.rest) if part))
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))

    def _on_action(self) -> None:
        message = self.message
        if message is not None:
            self.close_message()
            self.action_pressed.emit(message.action)
