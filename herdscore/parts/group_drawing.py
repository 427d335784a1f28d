"""Paints strips of groups: the band, marks, quartile bar and median of each, the axis. On screen and on paper."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen, QPixmap

from herdscore.parts.group_layout import PlacedMarks, StripsLayout, bar_y, lay_out, place_marks
from herdscore.parts.group_picture import Strip, StripsPicture
from herdscore.parts.marks import BACK_TO_FRONT, paint_mark
from herdscore.parts.theme import Theme

MINUS = "\u2212"
DrawMark = Callable[[QPainter, str, QPointF, float], None]
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


def say(value: float) -> str:
    """A score less target as it is written on the chart: +0.25, −0.05, 0."""
    rounded = round(value, 2) + 0.0
    text = f"{abs(rounded):.2f}"
    return "0" if rounded == 0 else f"{MINUS if rounded < 0 else '+'}{text}"


def paint_ground(painter: QPainter, theme: Theme, picture: StripsPicture, layout: StripsLayout) -> None:
    """The ground of cows in milk, the band and the target, and the headings."""
    left, right = layout.plot_left, layout.plot_right
    milk = [row for row, strip in zip(layout.rows, picture.strips, strict=True) if strip.in_milk]
    if milk:
        top = milk[0].top() - layout.line - 6
        painter.fillRect(QRectF(left, top, right - left, milk[-1].bottom() - top), theme["sunk"])
    band = QRectF(layout.x(-picture.band), 0, layout.x(picture.band) - layout.x(-picture.band), layout.height)
    painter.fillRect(band, theme.faded("band", 0.16))
    painter.setPen(QPen(theme.faded("band", 0.7), 1))
    painter.drawLine(QLineF(round(layout.x(0)) + 0.5, 0, round(layout.x(0)) + 0.5, layout.height))
    painter.setFont(theme.font(11, 600))
    painter.setPen(theme["ink_second"])
    for y, words in layout.headings:
        painter.drawText(QRectF(left + 6, y + 3, right - left - 6, layout.line + 2), _LEFT, words)


def paint_row(
    painter: QPainter,
    theme: Theme,
    layout: StripsLayout,
    row: QRectF,
    strip: Strip,
    placed: PlacedMarks,
    draw_mark: DrawMark,
) -> None:
    """One strip: its name, side words, marks, and the middle half with the median."""
    painter.setPen(QPen(theme["grid"], 1))
    painter.drawLine(QLineF(layout.plot_left, row.bottom(), layout.plot_right, row.bottom()))
    _name(painter, theme, layout, row, strip)
    _side_words(painter, theme, layout, row, strip)
    rank = np.array([BACK_TO_FRONT.index(mark) for mark in strip.marks], dtype=np.intp)
    for at in np.argsort(rank, kind="stable").tolist():
        if math.isfinite(placed.x[at]):
            mark = strip.marks[at]
            draw_mark(painter, mark, QPointF(placed.x[at], placed.y[at]), placed.size(mark))
    _middle_half(painter, theme, layout, row, strip)


def _name(painter: QPainter, theme: Theme, layout: StripsLayout, row: QRectF, strip: Strip) -> None:
    height = layout.line + 2
    middle = row.center().y()
    for words, font, role, y in (
        (strip.name, theme.font(12, 600), "ink", middle - height),
        (strip.note, theme.font(11), "ink_second", middle + 1),
    ):
        painter.setFont(font)
        painter.setPen(theme[role])
        shown = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, layout.names - 8)
        painter.drawText(QRectF(0, y, layout.names - 6, height), _RIGHT, shown)


def _side_words(painter: QPainter, theme: Theme, layout: StripsLayout, row: QRectF, strip: Strip) -> None:
    font = theme.font(11, 600)
    metrics = QFontMetricsF(font)
    painter.setFont(font)
    y = row.top() + 2
    for words, role, at, right in (
        (strip.below, "thin", layout.x(-0.25) - 8, True),
        (strip.above, "fat", layout.x(0.25) + 8, False),
    ):
        if not words:
            continue
        wide = metrics.horizontalAdvance(words) + 2
        left = max(layout.plot_left + 4, at - wide) if right else min(at, layout.plot_right - wide)
        painter.setPen(theme[role])
        painter.drawText(QRectF(left, y, wide, layout.line), _LEFT, words)


def _middle_half(painter: QPainter, theme: Theme, layout: StripsLayout, row: QRectF, strip: Strip) -> None:
    """The bar from quartile to quartile with a tick at the median; thin and broken for a small group."""
    font = theme.font(11, 400 if strip.is_small else 600)
    painter.setFont(font)
    y = bar_y(layout, row)
    if not math.isfinite(strip.median):
        painter.setPen(theme["ink_second"])
        box = QRectF(layout.plot_left + 8, y - layout.line / 2, layout.plot_right - layout.plot_left - 8, layout.line)
        painter.drawText(box, _LEFT, "no cow that can be compared")
        return
    left, middle, right = (layout.x(value) for value in (strip.lower, strip.median, strip.upper))
    ink = theme["ink_second" if strip.is_small else "ink"]
    pen = QPen(ink, 1.5, Qt.PenStyle.DashLine) if strip.is_small else QPen(ink, 5)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.drawLine(QLineF(left, y, right, y))
    painter.setPen(QPen(ink, 2 if strip.is_small else 3))
    painter.drawLine(QLineF(middle, y - 6, middle, y + 6))
    words = say(strip.median) + (", few cows" if strip.is_small else "")
    wide = QFontMetricsF(font).horizontalAdvance(words) + 2
    at = max(right, middle) + 9
    if at + wide > layout.plot_right:
        at = min(left, middle) - 9 - wide
    painter.setPen(ink)
    painter.drawText(QRectF(at, y - layout.line / 2, wide, layout.line), _LEFT, words)


def paint_ring(painter: QPainter, theme: Theme, placed: PlacedMarks, cow: int) -> None:
    """A ring about the cow pointed at."""
    if math.isfinite(placed.x[cow]):
        painter.setPen(QPen(theme["ink"], 2.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(QPointF(placed.x[cow], placed.y[cow]), 12, 12)


class Stamps:
    """Marks drawn once and copied: thousands of them would take long as shapes."""

    def __init__(self, theme: Theme, dots_a_px: float) -> None:
        self._theme, self._dots = theme, dots_a_px
        self._made: dict[tuple[str, float], QPixmap] = {}

    def draw(self, painter: QPainter, mark: str, at: QPointF, px: float) -> None:
        """Draw a mark about a point."""
        side = round(px) + 6
        stamp = self._made.get((mark, px))
        if stamp is None:
            stamp = QPixmap(round(side * self._dots), round(side * self._dots))
            stamp.setDevicePixelRatio(self._dots)
            stamp.fill(Qt.GlobalColor.transparent)
            onto = QPainter(stamp)
            paint_mark(onto, self._theme, mark, QPointF(side / 2, side / 2), px)
            onto.end()
            self._made[mark, px] = stamp
        painter.drawPixmap(QPointF(at.x() - side / 2, at.y() - side / 2), stamp)


def paint_axis(painter: QPainter, theme: Theme, layout: StripsLayout, y: float) -> None:
    """The common axis at a height."""
    font = theme.font(11)
    metrics = QFontMetricsF(font)
    painter.setFont(font)
    painter.setPen(QPen(theme["edge"], 1))
    painter.drawLine(QLineF(layout.plot_left, y + 0.5, layout.plot_right, y + 0.5))
    widest = max(metrics.horizontalAdvance("target"), metrics.horizontalAdvance(say(-0.75)))
    for tick in layout.ticks(widest):
        x = round(layout.x(tick)) + 0.5
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(x, y, x, y + 4))
        painter.setPen(theme["ink_second"])
        box = QRectF(x - widest, y + 5, 2 * widest, metrics.height())
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, "target" if tick == 0 else say(tick))


def paint_strips(painter: QPainter, rect: QRectF, theme: Theme, picture: StripsPicture) -> None:
    """All strips below one another in a box, for a file or for print."""
    layout = lay_out(picture, rect.width(), rect.height(), theme)
    painter.save()
    painter.translate(rect.topLeft())
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paint_ground(painter, theme, picture, layout)

    def draw(onto: QPainter, mark: str, at: QPointF, px: float) -> None:
        paint_mark(onto, theme, mark, at, px)

    for row, strip in zip(layout.rows, picture.strips, strict=True):
        paint_row(painter, theme, layout, row, strip, place_marks(strip, layout, row), draw)
    paint_axis(painter, theme, layout, layout.height)
    painter.restore()


def height_of(picture: StripsPicture, width: float, theme: Theme) -> float:
    """Px all strips need below one another with their axis."""
    layout = lay_out(picture, width, 0, theme)
    return layout.height + layout.axis
