"""Keys beside the scores at the crush: a note on one key, and where she goes as she leaves."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget
from typing_extensions import override

from herdscore.parts.marks import paint_mark
from herdscore.parts.theme import Look

NOTE_PX = 48
PEN_PX = 70


class NoteKey(QAbstractButton):
    """A note taken on one key, its letter on the button; it stays pressed when `toggles` is true."""

    def __init__(
        self, look: Look, letter: str, words: str, *, toggles: bool = True, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._look = look
        self._letter = letter
        self.setText(words)
        self.setAccessibleName(words)
        self.setAccessibleDescription(f"key {letter}")
        self.setCheckable(toggles)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setFixedHeight(NOTE_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @override
    def sizeHint(self) -> QSize:
        font = self._look.theme.font(14, 600)
        from_words = self.fontMetrics().horizontalAdvance(self.text()) * font.pointSizeF() / self.font().pointSizeF()
        return QSize(round(from_words) + 62, NOTE_PX)

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(92, 44)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = self._look.theme, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked() or self.isDown()
        key = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(theme["primary" if on else "edge"], 2))
        painter.setBrush(theme["primary" if on else "surface"])
        painter.drawRoundedRect(key, 8, 8)
        if self.hasFocus():
            painter.setPen(QPen(theme["focus"], 3))
            painter.drawRoundedRect(key.adjusted(0.5, 0.5, -0.5, -0.5), 8, 8)
        painter.setPen(QPen(theme["on_primary" if on else "ink"], 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        cap = QRectF(10, key.center().y() - 13, 26, 26)
        painter.drawRoundedRect(cap, 5, 5)
        painter.setFont(theme.font(12, 700))
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, self._letter)
        painter.setFont(theme.font(14, 600 if on else 500))
        room = key.adjusted(44, 0, -6, 0)
        words = painter.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, words)
        painter.end()


class PenKey(QAbstractButton):
    """A big choice: a mark, a name and a second line. The page says which one is chosen."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._mark = "none"
        self._words = ""
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setFixedHeight(PEN_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_pen(self, mark: str, name: str, words: str, *, chosen: bool) -> None:
        """Show a pen: the mark of the cows it is for, its name and the count in it."""
        self._mark, self._words = mark, words
        self.setText(name)
        self.setChecked(chosen)
        self.setAccessibleName(f"{name}, {words}{', chosen' if chosen else ''}")
        self.setToolTip(f"{name}, {words}")
        self.update()

    @override
    def nextCheckState(self) -> None:
        """Stay as told: the page decides what a press means."""

    @override
    def sizeHint(self) -> QSize:
        return QSize(148, PEN_PX)

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(96, 60)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = self._look.theme, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked()
        width = 4.0 if on else 2.0
        key = QRectF(self.rect()).adjusted(width / 2, width / 2, -width / 2, -width / 2)
        painter.setPen(QPen(theme["focus" if self.hasFocus() else "primary" if on else "edge"], width))
        painter.setBrush(theme["selected" if on or self.isDown() else "surface"])
        painter.drawRoundedRect(key, 9, 9)
        first, second = self.height() * 0.33, self.height() * 0.68
        left = 13.0
        if self._mark != "none":
            paint_mark(painter, theme, self._mark, QPointF(19, first), 14)
            left = 31.0
        painter.setPen(theme["ink"])
        self._write(painter, QRectF(left, first - 14, self.width() - left - 6, 28), self.text(), 700 if on else 500)
        painter.setPen(theme["ink" if on else "ink_second"])
        self._write(painter, QRectF(13, second - 14, self.width() - 19, 28), self._words, 400)
        painter.end()

    def _write(self, painter: QPainter, box: QRectF, words: str, weight: int) -> None:
        for points in (14.0, 13.0, 12.0):
            painter.setFont(self._look.theme.font(points, weight))
            if painter.fontMetrics().horizontalAdvance(words) <= box.width():
                break
        shown = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, int(box.width()))
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)
