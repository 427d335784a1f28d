"""Draws the same cows in strips, one above the other: now, at calving fed as now, at calving with another ration."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from herdscore.parts.drawn_chart import paint_title
from herdscore.parts.marks import MARKS, paint_mark
from herdscore.parts.theme import Theme

Numbers = npt.NDArray[np.float64]
_STACK_PX, _MARK_PX = 9.0, 11.0
_TICK = 0.25


@dataclass(frozen=True, eq=False)
class FedStrip:
    """One strip: its name, each cow's score less target [N] (NaN: not known), her mark, and words at the right."""

    name: str
    at: Numbers
    marks: tuple[str, ...]
    words: str = ""


@dataclass(frozen=True, eq=False)
class FedPicture:
    """Strips of the same cows, from the top; the band reaches so far on each side of the target."""

    title: str
    under: str
    tags: tuple[str, ...]
    strips: tuple[FedStrip, ...]
    band: float

    def say(self, cow: int) -> str:
        """One cow in words."""
        parts = [f"{strip.name} {strip.at[cow]:+.2f}" for strip in self.strips if np.isfinite(strip.at[cow])]
        return f"{self.tags[cow]}: {'; '.join(parts)} against target".replace("-", "\u2212")


@dataclass(frozen=True, eq=False)
class FedFrame:
    """Where scores and strips fall, px: the plot, ends of its axis, the foot of each strip."""

    plot: QRectF
    low: float
    high: float
    feet: tuple[float, ...]

    def x(self, less: float) -> float:
        """Px from the left."""
        return self.plot.left() + (less - self.low) / (self.high - self.low) * self.plot.width()


def frame_of(box: QRectF, theme: Theme, picture: FedPicture) -> FedFrame:
    """Fit axis and strips into a box."""
    metrics = QFontMetricsF(theme.font(11))
    left = max((metrics.horizontalAdvance(line) for s in picture.strips for line in s.name.split("\n")), default=0) + 14
    bold = QFontMetricsF(theme.font(11, 700))
    said = [line for strip in picture.strips for line in strip.words.split("\n")]
    right = max((bold.horizontalAdvance(line) for line in said), default=0) + 14
    plot = QRectF(box.left() + left, box.top() + 6, box.width() - left - right, box.height() - metrics.height() - 20)
    values = np.concatenate([strip.at for strip in picture.strips]) if picture.strips else np.zeros(1)
    values = values[np.isfinite(values)]
    low = min(float(values.min(initial=0.0)), -picture.band) - 0.1
    high = max(float(values.max(initial=0.0)), picture.band) + 0.1
    step = plot.height() / max(len(picture.strips), 1)
    feet = tuple(plot.top() + step * (place + 0.78) for place in range(len(picture.strips)))
    return FedFrame(plot, _TICK * np.floor(low / _TICK), _TICK * np.ceil(high / _TICK), feet)


def places(frame: FedFrame, picture: FedPicture) -> list[list[QPointF]]:
    """Middle of every mark, strip by strip and cow by cow; cows close together stand on each other."""
    most = (frame.feet[0] - frame.plot.top()) if frame.feet else 0.0
    made = []
    for strip, foot in zip(picture.strips, frame.feet, strict=True):
        known = np.flatnonzero(np.isfinite(strip.at))
        points = [QPointF(float("nan"), foot)] * len(strip.at)
        taken: dict[int, int] = {}
        for cow in known[np.argsort(strip.at[known], kind="stable")].tolist():
            x = frame.x(float(strip.at[cow]))
            column = round(x / _MARK_PX)
            on = taken.get(column, 0)
            taken[column] = on + 1
            points[cow] = QPointF(x, foot - min(on * _STACK_PX, max(most - _MARK_PX, 0.0)))
        made.append(points)
    return made


def paint_fed(
    painter: QPainter, rect: QRectF, theme: Theme, picture: FedPicture, pointed: int | None = None
) -> FedFrame:
    """Draw title and strips into a box of px, with one cow pointed at."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    top = paint_title(painter, rect, theme, picture.title, picture.under)
    frame = frame_of(QRectF(rect.left(), top, rect.width(), rect.bottom() - top), theme, picture)
    _paint_ground(painter, theme, frame, picture)
    spots = places(frame, picture)
    _paint_ways(painter, theme, spots, pointed)
    for strip, points in zip(picture.strips, spots, strict=True):
        for mark, at in zip(strip.marks, points, strict=True):
            if at.x() == at.x():
                paint_mark(painter, theme, mark, at, min(MARKS[mark].px, _MARK_PX))
    if pointed is not None:
        painter.setPen(QPen(theme["focus"], 2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for points in spots:
            if points[pointed].x() == points[pointed].x():
                painter.drawEllipse(points[pointed], 9, 9)
    painter.restore()
    return frame


def _paint_ground(painter: QPainter, theme: Theme, frame: FedFrame, picture: FedPicture) -> None:
    plot, font = frame.plot, theme.font(11)
    line = QFontMetricsF(font).height()
    band = QRectF(QPointF(frame.x(-picture.band), plot.top()), QPointF(frame.x(picture.band), plot.bottom()))
    painter.fillRect(band, theme.faded("band", 0.15))
    painter.setPen(QPen(theme["band"], 1.2))
    painter.drawLine(QLineF(frame.x(0), plot.top(), frame.x(0), plot.bottom()))
    painter.setFont(theme.font(11, 600))
    painter.drawText(QRectF(band.left(), plot.top(), band.width(), line), Qt.AlignmentFlag.AlignCenter, "band")
    painter.setPen(QPen(theme["edge"], 1))
    painter.drawLine(QLineF(plot.left(), plot.bottom(), plot.right(), plot.bottom()))
    painter.setFont(font)
    wide = QFontMetricsF(font).horizontalAdvance("\u22120.25") + 10
    step = _TICK if _TICK / (frame.high - frame.low) * plot.width() >= wide else 2 * _TICK
    for place in range(round(frame.low / step), round(frame.high / step) + 1):
        less = place * step
        x = frame.x(less)
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(x, plot.bottom(), x, plot.bottom() + 4))
        painter.setPen(theme["ink_second"])
        words = "target" if not place else f"{less:+g}".replace("-", "\u2212")
        painter.drawText(QRectF(x - 40, plot.bottom() + 5, 80, line), Qt.AlignmentFlag.AlignCenter, words)
    for strip, foot in zip(picture.strips, frame.feet, strict=True):
        painter.setPen(QPen(theme["grid"], 1))
        painter.drawLine(QLineF(plot.left(), foot + 7, plot.right(), foot + 7))
        painter.setPen(theme["ink"])
        painter.setFont(font)
        name = QRectF(plot.left() - 400, foot - line, 390, 2 * line)
        painter.drawText(name, int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter), strip.name)
        painter.setFont(theme.font(11, 700))
        said = QRectF(plot.right() + 10, foot - line, 400, 2 * line)
        painter.drawText(said, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter), strip.words)


def _paint_ways(painter: QPainter, theme: Theme, spots: Sequence[Sequence[QPointF]], pointed: int | None) -> None:
    """A thin line a cow from strip to strip."""
    for upper, lower in pairwise(spots):
        for cow, (start, end) in enumerate(zip(upper, lower, strict=True)):
            if start.x() == start.x() and end.x() == end.x():
                here = cow == pointed
                painter.setPen(QPen(theme["ink"] if here else theme.faded("ink_second", 0.45), 2.2 if here else 0.9))
                painter.drawLine(QLineF(start, end))
