"""Cows in milk: days since calving against score, a line from her score at calving, floor, band and first heat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QMouseEvent, QPainter, QPen
from typing_extensions import override

from herdscore.parts.chart_labels import ChartLabels, Spot
from herdscore.parts.drawn_chart import DrawnChart
from herdscore.parts.marks import BACK_TO_FRONT, MARKS, mark_hue, paint_mark
from herdscore.parts.theme import Look, Theme
from herdscore.parts.year_chart import FontOf

_NEAR_PX = 20.0


@dataclass(frozen=True)
class MilkCow:
    """One cow: key, tag, days since calving, score now and at calving, and her mark."""

    key: str
    tag: str
    days: float
    now: float
    at_calving: float
    mark: str


@dataclass(frozen=True)
class MilkPicture:
    """Cows, floors as (score, name), bands as (low, high, name), and the first heat as (day, score) pairs."""

    cows: tuple[MilkCow, ...]
    floors: tuple[tuple[float, str], ...]
    bands: tuple[tuple[float, float, str], ...]
    heat: tuple[tuple[float, float], ...]
    name: str = ""
    description: str = ""


class _Drawing:
    """One painting."""

    def __init__(self, painter: QPainter, box: QRectF, theme: Theme, font: FontOf, picture: MilkPicture) -> None:
        self.painter, self.theme, self.font, self.picture = painter, theme, font, picture
        metrics = QFontMetricsF(font(11, 400))
        self.line = metrics.height()
        left = metrics.horizontalAdvance("2.25") + 12
        self.plot = box.adjusted(left, 8, -10, -(2 * self.line + 8))
        scores = [value for cow in picture.cows for value in (cow.now, cow.at_calving) if value == value]
        scores += [value for low, high, _ in picture.bands for value in (low, high)]
        scores += [floor for floor, _ in picture.floors]
        self.low = max(1.0, min(scores, default=2.0) - 0.2)
        self.high = min(5.0, max(max(scores, default=3.0) + 0.2, self.low + 1.0))
        self.last = max([cow.days for cow in picture.cows] + [100.0]) + 8
        self.labels = ChartLabels(painter, self.plot, theme["surface"])

    def at(self, day: float, score: float) -> QPointF:
        """Where a day and a score lie."""
        x = self.plot.left() + (day + 4) / (self.last + 4) * self.plot.width()
        return QPointF(x, self.plot.bottom() - (score - self.low) / (self.high - self.low) * self.plot.height())

    def paint(self) -> None:
        self.painter.save()
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._bands()
        self._axes()
        self._lines()
        self._heat()
        self._floors()
        self._marks()
        self._names()
        self.painter.restore()

    def _axes(self) -> None:
        painter, theme, plot = self.painter, self.theme, self.plot
        painter.setFont(self.font(11, 400))
        for step in range(int(self.low * 2), int(self.high * 2) + 1):
            score = step / 2
            if not self.low <= score <= self.high:
                continue
            y = self.at(0, score).y()
            painter.setPen(QPen(theme["grid"], 1))
            painter.drawLine(QLineF(plot.left(), y, plot.right(), y))
            painter.setPen(theme["ink_second"])
            box = QRectF(plot.left() - 60, y - self.line / 2, 52, self.line)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, f"{score:.1f}")
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(plot.bottomLeft(), plot.bottomRight()))
        every = 20 if self.last <= 220 else 40
        for day in range(0, int(self.last) + 1, every):
            x = self.at(day, self.low).x()
            painter.setPen(QPen(theme["edge"], 1))
            painter.drawLine(QLineF(x, plot.bottom(), x, plot.bottom() + 4))
            painter.setPen(theme["ink_second"])
            painter.drawText(QRectF(x - 25, plot.bottom() + 5, 50, self.line), Qt.AlignmentFlag.AlignCenter, str(day))
        box = QRectF(plot.left(), plot.bottom() + 6 + self.line, plot.width(), self.line)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, "days since calving")

    def _bands(self) -> None:
        for low, high, _ in self.picture.bands:
            top, foot = self.at(0, high).y(), self.at(0, low).y()
            self.painter.fillRect(QRectF(self.plot.left(), top, self.plot.width(), foot - top), self._band())

    def _band(self) -> QColor:
        return self.theme.faded("band", 0.16)

    def _lines(self) -> None:
        for cow in self.picture.cows:
            if cow.at_calving == cow.at_calving and cow.now == cow.now:
                hue = self.theme.faded(mark_hue(cow.mark), 0.5 if cow.mark == "bull" else 0.22)
                self.painter.setPen(QPen(hue, 1.4))
                self.painter.drawLine(QLineF(self.at(0, cow.at_calving), self.at(cow.days, cow.now)))

    def _heat(self) -> None:
        points = [self.at(day, score) for day, score in self.picture.heat]
        self.painter.setClipRect(self.plot)
        self.painter.setPen(QPen(self.theme["hold"], 2.5))
        for one, other in pairwise(points):
            self.painter.drawLine(one, other)
        self.painter.setClipping(False)
        self.labels.keep_clear_line(points)

    def _floors(self) -> None:
        for score, _ in self.picture.floors:
            y = self.at(0, score).y()
            self.painter.setPen(QPen(self.theme["ink"], 2, Qt.PenStyle.DashLine))
            self.painter.drawLine(QLineF(self.plot.left(), y, self.plot.right(), y))
            self.labels.keep_clear([QRectF(self.plot.left(), y - 2, self.plot.width(), 4)])

    def _marks(self) -> None:
        known = [cow for cow in self.picture.cows if cow.now == cow.now]
        for cow in sorted(known, key=lambda cow: BACK_TO_FRONT.index(cow.mark)):
            centre = self.at(cow.days, cow.now)
            paint_mark(self.painter, self.theme, cow.mark, centre)
            half = MARKS[cow.mark].px / 2
            self.labels.keep_clear([QRectF(centre.x() - half, centre.y() - half, 2 * half, 2 * half)])

    def _names(self) -> None:
        """What each line is, beside it: at the right, where few cows are, else at the left."""
        right, left, bold = self.plot.right() - 8, self.plot.left() + 8, self.font(11, 600)
        ends = [(x, across) for dx in (0, 80, 160) for x, across in ((right - dx, 1.0), (left + dx, 0.0))]
        for score, name in self.picture.floors:
            y, below = self.at(0, score).y(), self.line * 0.8
            spots = [Spot(QPointF(x, y + dy), across) for x, across in ends for dy in (below, -below)]
            self.labels.put(name, bold, self.theme["ink"], spots, must=True)
        for low, high, name in self.picture.bands:
            y = self.at(0, (low + high) / 2).y()
            spots = [Spot(QPointF(x, y + dy), across) for x, across in ends for dy in (0, -12, 12)]
            self.labels.put(name, bold, self.theme["ok"], spots, must=True)
        if self.picture.heat:
            days, scores = zip(*self.picture.heat, strict=True)
            spots = []
            for score in np.linspace(self.high, self.low, 6).tolist():
                at = self.at(float(np.interp(score, scores, days)), score)
                at.setY(max(at.y(), self.plot.top() + self.line / 2))
                spots += [Spot(at + QPointF(12, 0)), Spot(at - QPointF(12, 0), across=1.0)]
            self.labels.put("first heat about here", bold, self.theme["hold"], spots, must=True)


def paint_milk(painter: QPainter, box: QRectF, theme: Theme, font: FontOf, picture: MilkPicture) -> None:
    """Draw the cows in milk into a box of px."""
    _Drawing(painter, box, theme, font, picture).paint()


class MilkChart(DrawnChart):
    """The chart on a page. `opened(cow key)`: a mark was pressed; the list beside it opens the same cows by key."""

    opened = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__(look, QSize(360, 200))
        self.picture = MilkPicture((), (), (), ())

    def show_picture(self, picture: MilkPicture) -> None:
        """Draw other cows."""
        self.picture = picture
        self.say_empty("" if picture.cows else "No cow of this block is in milk.")
        if picture.cows:
            self.setAccessibleName(picture.name)
            self.setAccessibleDescription(picture.description)

    @override
    def draw(self, painter: QPainter, box: QRectF, theme: Theme) -> bool:
        if not self.picture.cows:
            return False
        paint_milk(painter, box, theme, theme.font, self.picture)
        return True

    @override
    def say_at(self, at: QPointF) -> str:
        cow = self._near(at)
        return "" if cow is None else f"{cow.tag}: {cow.now:.2f}, day {cow.days:.0f}"

    @override
    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        near = self._near(event.position()) is not None
        self.setCursor(Qt.CursorShape.PointingHandCursor if near else Qt.CursorShape.ArrowCursor)

    @override
    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        cow = self._near(event.position())
        if cow is not None:
            self.opened.emit(cow.key)

    def _near(self, point: QPointF) -> MilkCow | None:
        """The cow whose mark lies nearest to a point, if one is near."""
        if not self.picture.cows:
            return None
        theme = self._look.theme
        drawing = _Drawing(QPainter(), self.box, theme, theme.font, self.picture)
        known: Sequence[MilkCow] = [cow for cow in self.picture.cows if cow.now == cow.now]
        gaps = [(QLineF(drawing.at(cow.days, cow.now), point).length(), cow) for cow in known]
        gap, cow = min(gaps, key=lambda pair: pair[0], default=(_NEAR_PX + 1, None))
        return cow if gap <= _NEAR_PX else None
