"""What charts drawn with a title have in common: the title itself, a sentence when empty, the focus, the tool tip."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFocusEvent, QFontMetricsF, QHelpEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget
from typing_extensions import override

from herdscore.parts.theme import Look, Theme

_PAD, _EDGE = 4.0, 4.0
_WRAP = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft)


def title_height(width: float, theme: Theme, title: str, under: str) -> float:
    """Px that a title and the line under it take in a box of a width."""
    total = 2.0
    for words, font in ((title, theme.font(14, 700)), (under, theme.font(11))):
        box = QRectF(0, 0, width - 2 * _EDGE, 1000)
        total += QFontMetricsF(font).boundingRect(box, _WRAP, words).height() + 2
    return total


def paint_title(painter: QPainter, rect: QRectF, theme: Theme, title: str, under: str) -> float:
    """Draw title and the line under it at the top of a box; the top of what is left, px."""
    top = rect.top() + 2
    for words, font, role in ((title, theme.font(14, 700), "ink"), (under, theme.font(11), "ink_second")):
        painter.setFont(font)
        painter.setPen(theme[role])
        box = QRectF(rect.left() + _EDGE, top, rect.width() - 2 * _EDGE, 1000)
        painter.drawText(box, _WRAP, words)
        top += QFontMetricsF(font).boundingRect(box, _WRAP, words).height() + 2
    return top


class DrawnChart(QWidget):
    """Charts give `draw`, and `say_at` where a point of theirs says something."""

    def __init__(self, look: Look, least: QSize) -> None:
        super().__init__()
        self._look = look
        self.empty = ""
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(least)
        look.changed.connect(self.update)

    def draw(self, painter: QPainter, box: QRectF, theme: Theme) -> bool:
        """Draw into a box of px; False when there is nothing to draw."""
        raise NotImplementedError

    def say_at(self, at: QPointF) -> str:
        """What a point of the chart says, "" nothing."""
        return ""

    @property
    def box(self) -> QRectF:
        """Where it is drawn."""
        return QRectF(self.rect()).adjusted(_PAD, _PAD, -_PAD, -_PAD)

    def say_empty(self, words: str) -> None:
        """Say why there is nothing to show."""
        self.empty = words
        self.setAccessibleName(words)
        self.setAccessibleDescription("")
        self.update()

    def under_title(self, title: str, under: str) -> QRectF:
        """The box that is left below the title."""
        box = self.box
        return box.adjusted(0, title_height(box.width(), self._look.theme, title, under), 0, 0)

    @override
    def sizeHint(self) -> QSize:
        return self.minimumSize() + QSize(300, 40)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._look.theme
        if not self.draw(painter, self.box, theme):
            painter.setFont(theme.font(13))
            painter.setPen(theme["ink_second"])
            painter.drawText(self.box, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap), self.empty)
        if self.hasFocus():
            painter.setPen(QPen(theme["focus"], 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        painter.end()

    @override
    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            QToolTip.showText(event.globalPos(), self.say_at(QPointF(event.pos())), self)
            return True
        return super().event(event)

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    @override
    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()
