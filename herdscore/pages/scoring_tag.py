"""The tag box of the scoring page, and the one line of claim beside it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QSizePolicy
from typing_extensions import override

from herdscore.parts.labels import restyle
from herdscore.parts.theme import Look

TAG_PX = (200, 76)
MOST_WIDER = 1.2  # in large text the words beside the box need the room
_TAG_POINTS, _TAG_FRAME_PX = (36, 24, 18, 14), 34
KEY_NAMES = {
    Qt.Key.Key_Return: "enter",
    Qt.Key.Key_Enter: "enter",
    Qt.Key.Key_Escape: "escape",
    Qt.Key.Key_Backspace: "backspace",
    Qt.Key.Key_Space: "space",
    Qt.Key.Key_Left: "left",
    Qt.Key.Key_Right: "right",
    Qt.Key.Key_Up: "up",
    Qt.Key.Key_Down: "down",
}
_TAG_KEYS = ("enter", "escape", "up", "down")


class TagBox(QLineEdit):
    """`key_pressed(name)`: Enter, Esc and arrows, and Backspace when it is empty, mean the cows that fit.

    `looks_like(text)`: what stands in it, counting characters that are still held for a reader.
    """

    key_pressed = Signal(str)
    looks_like = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._before: tuple[str, int, int, int] | None = None  # text, cursor and selection before characters held
        self.setProperty("pt", "36")
        self.setProperty("weight", "700")
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setAccessibleName("Tag, last digits")
        self.setMaxLength(40)
        self.fit()

    def fit(self) -> None:
        """Take the size of the text and of what stands in the box."""
        scale = self._look.theme.text_scale
        self.setFixedSize(round(TAG_PX[0] * min(scale, MOST_WIDER)), round(TAG_PX[1] * scale))
        room = self.width() - _TAG_FRAME_PX
        fits = (points for points in _TAG_POINTS if self._wide(points) <= room)
        restyle(self, "pt", str(next(fits, _TAG_POINTS[-1])))

    def show_tag(self, text: str, *, taken: bool) -> None:
        """Show what is typed, or the tag of the cow that is taken."""
        if self.text() != text:
            self.setText(text)
            if self.hasFocus() and text and not taken:
                self.setCursorPosition(len(text))
        self.setReadOnly(taken)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus if taken else Qt.FocusPolicy.StrongFocus)
        self.fit()

    def foresee(self, characters: str) -> None:
        """Show characters that are still held as if they had come."""
        if self._before is None:
            self._before = (self.text(), self.cursorPosition(), self.selectionStart(), len(self.selectedText()))
        text, at, start, length = self._before
        if length:
            text, at = text[:start] + text[start + length :], start
        self.setText(text[:at] + characters + text[at:])
        self.setCursorPosition(at + len(characters))
        self.looks_like.emit(self.text())

    def take_back(self) -> None:
        """Put back what stood in it before characters were held."""
        if self._before is not None:
            text, at, start, length = self._before
            self._before = None
            self.setText(text)
            if length:
                self.setSelection(start, length)
            else:
                self.setCursorPosition(at)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        self.take_back()
        name = KEY_NAMES.get(Qt.Key(event.key()), "")
        if name in _TAG_KEYS or (name == "backspace" and not self.text()):
            if not event.isAutoRepeat() or name in ("up", "down"):
                self.key_pressed.emit(name)
        else:
            super().keyPressEvent(event)

    def _wide(self, points: int) -> float:
        return QFontMetricsF(self._look.theme.font(points, 700)).horizontalAdvance(self.text())


class OneLine(QLabel):
    """The claim beside the tag: never more than one line, cut short with dots."""

    def __init__(self) -> None:
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("pt", "16")
        self.setProperty("weight", "700")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.words = ""

    def say(self, words: str) -> None:
        """Show words, or nothing at all."""
        self.words = words
        self.setVisible(bool(words))
        self._fit()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        self.setText(self.fontMetrics().elidedText(self.words, Qt.TextElideMode.ElideRight, self.width()))
        self.setAccessibleName(self.words)
        self.setToolTip(self.words if self.text() != self.words else "")
