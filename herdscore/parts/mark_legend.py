"""What each shape means, in as many lines as the width asks for."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from herdscore.parts.marks import MARKS, paint_mark
from herdscore.parts.theme import Look

Items = Sequence[tuple[Sequence[str], str]]
_BETWEEN, _AFTER_MARK = 18.0, 6.0
_POINTS = 11


class MarkLegend(QWidget):
    """A key of marks: (marks, words) from left to right, broken into lines where one is too narrow."""

    def __init__(self, look: Look, items: Items = (), parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._items: tuple[tuple[tuple[str, ...], str], ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.show_items(items)
        look.changed.connect(self._fit)

    def show_items(self, items: Items) -> None:
        """Show other shapes."""
        self._items = tuple((tuple(marks), words) for marks, words in items)
        self.setAccessibleName("Key of shapes")
        said = (f"{', '.join(MARKS[mark].words for mark in marks)}: {words}" for marks, words in self._items)
        self.setAccessibleDescription("; ".join(said))
        self._fit()
        self.update()

    def lines(self) -> list[list[tuple[float, int]]]:
        """Places of the items by line: px across and number of the item."""
        metrics = QFontMetricsF(self._look.theme.font(_POINTS))
        lines: list[list[tuple[float, int]]] = [[]]
        across = 0.0
        for place, (marks, words) in enumerate(self._items):
            wide = sum(MARKS[mark].px + _AFTER_MARK for mark in marks) + metrics.horizontalAdvance(words)
            if lines[-1] and across + wide > self.width():
                lines.append([])
                across = 0.0
            lines[-1].append((across, place))
            across += wide + _BETWEEN
        return lines

    @override
    def sizeHint(self) -> QSize:
        return QSize(400, self.height())

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme = self._look.theme
        font = theme.font(_POINTS)
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        for line, placed in enumerate(self.lines()):
            middle = (line + 0.5) * self._line_px()
            for across, place in placed:
                marks, words = self._items[place]
                for mark in marks:
                    paint_mark(painter, theme, mark, QPointF(across + MARKS[mark].px / 2, middle))
                    across += MARKS[mark].px + _AFTER_MARK
                painter.setPen(theme["ink"])
                box = QRectF(
                    across, middle - metrics.height() / 2, metrics.horizontalAdvance(words) + 2, metrics.height()
                )
                painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)
        painter.end()

    def _line_px(self) -> float:
        return max(26.0, QFontMetricsF(self._look.theme.font(_POINTS)).height() + 4)

    def _fit(self) -> None:
        self.setFixedHeight(round(len(self.lines()) * self._line_px()))
