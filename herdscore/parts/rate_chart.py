"""Shares of few as dots with intervals and numbers: cows solid, first-calvers hollow, one row a class."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen
from typing_extensions import override

from herdscore.parts.drawn_chart import DrawnChart
from herdscore.parts.theme import Look, Theme
from herdscore.parts.year_chart import FontOf

_DOT = 6.0


@dataclass(frozen=True)
class RateDot:
    """So many of so many, with its interval as shares 0 to 1; nothing is drawn of none."""

    count: int
    of: int
    low: float
    high: float


@dataclass(frozen=True)
class RateLine:
    """One class: its name, the dot of cows and the dot of first-calvers."""

    name: str
    cows: RateDot
    first_calvers: RateDot


@dataclass(frozen=True)
class RatePicture:
    """Lines from top to bottom, and what is on the axis."""

    lines: tuple[RateLine, ...]
    axis: str = ""
    name: str = ""
    description: str = ""


def paint_rates(painter: QPainter, box: QRectF, theme: Theme, font: FontOf, picture: RatePicture) -> None:
    """Draw the rates into a box of px."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    plain, bold = font(12, 400), font(12, 600)
    metrics = QFontMetricsF(plain)
    line = metrics.height()
    left = max((metrics.horizontalAdvance(one.name) for one in picture.lines), default=0.0) + 14
    right = metrics.horizontalAdvance("100 of 100, 100 %") + 10
    plot = box.adjusted(left, 4, -right, -(2 * line + 8))
    painter.setFont(plain)
    for percent in range(0, 101, 20):
        x = plot.left() + percent / 100 * plot.width()
        painter.setPen(QPen(theme["grid"], 1))
        painter.drawLine(QLineF(x, plot.top(), x, plot.bottom()))
        painter.setPen(theme["ink_second"])
        words = QRectF(x - 30, plot.bottom() + 4, 60, line)
        painter.drawText(words, Qt.AlignmentFlag.AlignCenter, f"{percent}\u00a0%")
    painter.setPen(QPen(theme["edge"], 1))
    painter.drawLine(QLineF(plot.bottomLeft(), plot.bottomRight()))
    painter.setPen(theme["ink_second"])
    foot = QRectF(plot.left(), plot.bottom() + 5 + line, plot.width(), line)
    painter.drawText(foot, Qt.AlignmentFlag.AlignCenter, picture.axis)
    step = plot.height() / max(len(picture.lines), 1)
    for place, one in enumerate(picture.lines):
        middle = plot.top() + (place + 0.5) * step
        painter.setFont(bold)
        painter.setPen(theme["ink"])
        name = QRectF(box.left(), middle - line / 2, left - 10, line)
        painter.drawText(name, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, one.name)
        painter.setFont(plain)
        apart = min(step * 0.24, 14.0)
        _dot(painter, theme, plot, middle - apart, one.cows, solid=True)
        _dot(painter, theme, plot, middle + apart, one.first_calvers, solid=False)
    painter.restore()


def _dot(painter: QPainter, theme: Theme, plot: QRectF, y: float, dot: RateDot, *, solid: bool) -> None:
    """One dot with its interval and its numbers beside it."""
    if not dot.of:
        return
    hue = theme["ink"] if solid else theme["ink_second"]
    low, high, at = (plot.left() + share * plot.width() for share in (dot.low, dot.high, dot.count / dot.of))
    painter.setPen(QPen(hue, 2.6 if solid else 1.6))
    painter.drawLine(QLineF(low, y, high, y))
    painter.setBrush(hue if solid else theme["surface"])
    painter.setPen(QPen(hue, 2))
    painter.drawEllipse(QPointF(at, y), _DOT, _DOT)
    words = f"{dot.count} of {dot.of}, {round(100 * dot.count / dot.of)}\u00a0%"
    painter.setPen(theme["ink_second"])
    box = QRectF(plot.right() + 12, y - 12, 240, 24)
    painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)


class RateChart(DrawnChart):
    """The chart on a page."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, QSize(400, 230))
        self.picture = RatePicture(())

    def show_picture(self, picture: RatePicture) -> None:
        """Draw other rates."""
        self.picture = picture
        known = any(line.cows.of + line.first_calvers.of for line in picture.lines)
        self.say_empty("" if known else "No calving with a score near it and this outcome known yet.")
        if known:
            self.setAccessibleName(picture.name)
            self.setAccessibleDescription(picture.description)

    @override
    def sizeHint(self) -> QSize:
        return QSize(620, 330)

    @override
    def draw(self, painter: QPainter, box: QRectF, theme: Theme) -> bool:
        if self.empty:
            return False
        paint_rates(painter, box, theme, theme.font, self.picture)
        return True
