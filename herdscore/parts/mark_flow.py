"""What each shape means, as words that go on to another line where the width asks for it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from herdscore.parts.marks import MARKS, paint_mark
from herdscore.parts.theme import Look

_GAP, _BETWEEN = 5.0, 16.0
_MOST_PX = 16.0


class MarkFlow(QWidget):
    """A key of (marks, words), 11 points, as many lines as it needs."""

    def __init__(self, look: Look, items: Sequence[tuple[Sequence[str], str]]) -> None:
        super().__init__()
        self._look, self._items = look, tuple(items)
        said = [f"{', '.join(MARKS[mark].words for mark in marks)}: {words}" for marks, words in self._items]
        self.setAccessibleName("; ".join(said))
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        look.changed.connect(self._fit)

    def show_items(self, items: Sequence[tuple[Sequence[str], str]]) -> None:
        """Show other shapes."""
        self._items = tuple(items)
        self._fit()

    def _fit(self) -> None:
        """Take the height the lines need at this width."""
        places = self._places(max(self.width(), 60))
        metrics = QFontMetricsF(self._look.theme.font(11))
        line = max(metrics.height(), _MOST_PX + 2) + 2
        self.setFixedHeight(round(places[-1][1].y() + line / 2) if places else 0)
        self.update()

    def _places(self, width: float) -> list[tuple[int, QPointF]]:
        """Left end and middle of every entry."""
        metrics = QFontMetricsF(self._look.theme.font(11))
        line = max(metrics.height(), _MOST_PX + 2) + 2
        x, y = 0.0, line / 2
        places = []
        for at, (marks, words) in enumerate(self._items):
            wide = len(marks) * (_MOST_PX + 3) + _GAP + metrics.horizontalAdvance(words)
            if x and x + wide > width:
                x, y = 0.0, y + line
            places.append((at, QPointF(x, y)))
            x += wide + _BETWEEN
        return places

    @override
    def sizeHint(self) -> QSize:
        return QSize(300, self.height())

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._fit()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._look.theme
        painter = QPainter(self)
        painter.setFont(theme.font(11))
        for at, place in self._places(self.width()):
            marks, words = self._items[at]
            x = place.x()
            for mark in marks:
                centre = QPointF(x + _MOST_PX / 2, place.y())
                paint_mark(painter, theme, mark, centre, min(MARKS[mark].px, _MOST_PX))
                x += _MOST_PX + 3
            painter.setPen(theme["ink"])
            box = QRectF(x + _GAP - 3, place.y() - 20, self.width(), 40)
            painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)
        painter.end()
