"""A block through its year: means with their spread month by month over the targets; on the screen and on paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from herdscore.parts.chart_frame import day_words
from herdscore.parts.theme import Look, Theme

FontOf = Callable[[float, int], QFont]
"""Type of a size in points and a weight: the screen's grows with its text scale, paper's is set in px."""

_SPANS = 0.25
_TICK_PX = 4.0
_SAMPLE_PX = 26.0
_DAYS = 366.0
_DASHES = (Qt.PenStyle.SolidLine, Qt.PenStyle.DashLine, Qt.PenStyle.DotLine)


@dataclass(frozen=True)
class YearPoint:
    """One month's mean: days since the year began, mean, spread (None for one cow), cows."""

    day: float
    mean: float
    spread: float | None
    cows: int


@dataclass(frozen=True)
class YearPicture:
    """Years newest first, each a name and its points; targets as (name, days since the year began, target).

    `ribbon` holds day and target of every turn of the band of targets, `band` how far it reaches either side.
    """

    begins: date
    years: tuple[tuple[str, tuple[YearPoint, ...]], ...]
    targets: tuple[tuple[str, float, float], ...]
    ribbon: tuple[tuple[float, float], ...]
    band: float
    today: float
    name: str = ""
    description: str = ""


class _Drawing:
    """One painting of a year into a box."""

    def __init__(self, painter: QPainter, box: QRectF, theme: Theme, font: FontOf, picture: YearPicture) -> None:
        self.painter, self.theme, self.font, self.picture = painter, theme, font, picture
        metrics = QFontMetricsF(font(11, 400))
        self.line = metrics.height()
        self.names = QFontMetricsF(font(11, 600)).height() if picture.targets else 0.0
        left = metrics.horizontalAdvance("2.50") + 10
        self.top = box.top()
        self.plot = box.adjusted(left, self.line + 2 * self.names + 6, -6, -(self.line + _TICK_PX + 4))
        low, high = _span(picture)
        self.low, self.high = low, high

    def paint(self) -> None:
        self.painter.save()
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._axes()
        self._targets()
        for place in reversed(range(len(self.picture.years))):
            self._year(place)
        self._key()
        self.painter.restore()

    def at(self, day: float, score: float) -> QPointF:
        across = self.plot.left() + day / _DAYS * self.plot.width()
        return QPointF(across, self.plot.bottom() - (score - self.low) / (self.high - self.low) * self.plot.height())

    def _axes(self) -> None:
        painter, theme, plot = self.painter, self.theme, self.plot
        font = self.font(11, 400)
        metrics = QFontMetricsF(font)
        painter.setFont(font)
        step = 0.25 if (self.high - self.low) / 0.25 * (self.line + 6) < plot.height() else 0.5
        for tick in range(round(self.low / step), round(self.high / step) + 1):
            score = tick * step
            y = self.at(0, score).y()
            if not plot.top() - 1 <= y <= plot.bottom() + 1:
                continue
            painter.setPen(QPen(theme["grid"], 1))
            painter.drawLine(QLineF(plot.left(), y, plot.right(), y))
            painter.setPen(theme["ink_second"])
            box = QRectF(plot.left() - 60, y - self.line / 2, 54, self.line)
            words = f"{score:.2f}" if round(score * 4) % 2 else f"{score:.1f}"
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, words)
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(plot.bottomLeft(), plot.bottomRight()))
        for number in range(12):
            self._month(number, metrics)
        x = self.at(self.picture.today, self.low).x()
        painter.setPen(QPen(theme["ink_second"], 1, Qt.PenStyle.DotLine))
        painter.drawLine(QLineF(x, plot.top(), x, plot.bottom()))

    def _month(self, number: int, metrics: QFontMetricsF) -> None:
        painter, theme, plot = self.painter, self.theme, self.plot
        begins = self.picture.begins
        month = (begins.month - 1 + number) % 12 + 1
        first = date(begins.year + (begins.month - 1 + number) // 12, month, 1)
        after = (first + timedelta(days=32)).replace(day=1)
        left, right = (float((day - begins).days) for day in (first, after))
        x = self.at(left, self.low).x()
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(x, plot.bottom(), x, plot.bottom() + _TICK_PX))
        words = day_words(first).split("\u00a0")[1]
        wide, room = metrics.horizontalAdvance(words), self.at(right, self.low).x() - x
        words = words if wide + 4 <= room else words[:1]
        painter.setPen(theme["ink_second"])
        box = QRectF(x, plot.bottom() + _TICK_PX + 1, room, self.line)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)

    def _targets(self) -> None:
        """The band from moment to moment, and each moment's name over the plot, in one line or the one above it."""
        painter, theme, band = self.painter, self.theme, self.picture.band
        targets = self.picture.targets
        if not targets:
            return
        upper = [self.at(day, target + band) for day, target in self.picture.ribbon]
        lower = [self.at(day, target - band) for day, target in self.picture.ribbon]
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.faded("band", 0.18))
        painter.drawPolygon(QPolygonF([*upper, *reversed(lower)]))
        font = self.font(11, 600)
        metrics = QFontMetricsF(font)
        ends = [self.plot.left() - 40.0, self.plot.left() - 40.0]
        placed: list[tuple[QRectF, str]] = []
        for name, day, target in targets:
            at = self.at(day, target)
            painter.setPen(QPen(theme.faded("band", 0.9), 1.5))
            high, low = self.at(day, target + band).y(), self.at(day, target - band).y()
            painter.drawLine(QLineF(at.x(), high, at.x(), low))
            wide = metrics.horizontalAdvance(name) + 2
            left = min(max(at.x() - wide / 2, self.plot.left() - 30), self.plot.right() - wide + 6)
            row = next((place for place in (1, 0) if left > ends[place] + 6), None)
            if row is None:
                continue
            ends[row] = left + wide
            top = self.plot.top() - 4 - (2 - row) * self.names
            painter.setPen(QPen(theme["grid"], 1))
            painter.drawLine(QLineF(at.x(), top + self.names, at.x(), self.at(day, target + band).y()))
            placed.append((QRectF(left, top, wide, self.names), name))
        painter.setFont(font)
        painter.setPen(theme["ok"])
        for box, name in placed:
            # A stem of the line above ends where a name of the line below lies over it.
            painter.fillRect(box.adjusted(-2, 1, 2, 0), theme["surface"])
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, name)

    def _year(self, place: int) -> None:
        painter = self.painter
        _, points = self.picture.years[place]
        hue = self._hue(place)
        here = [self.at(point.day, point.mean) for point in points]
        shift = 3.0 * place
        for point, at in zip(points, here, strict=True):
            if point.spread is not None:
                top, foot = self.at(point.day, point.mean + point.spread), self.at(point.day, point.mean - point.spread)
                painter.setPen(QPen(hue, 2.0 if place == 0 else 1.0))
                painter.drawLine(QLineF(at.x() + shift, top.y(), at.x() + shift, foot.y()))
        painter.setPen(self._pen(place))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF(here))
        painter.setPen(QPen(self.theme["surface"], 1.5))
        painter.setBrush(hue)
        size = 5.5 if place == 0 else 4.0
        for at in here:
            painter.drawEllipse(at, size, size)

    def _key(self) -> None:
        """The names of the years over the plot, each after a piece of its line; as many as there is room for."""
        painter = self.painter
        left, middle = self.plot.left(), self.top + self.line / 2
        for place, (name, points) in enumerate(self.picture.years):
            font = self.font(11, 700 if place == 0 else 500)
            wide = QFontMetricsF(font).horizontalAdvance(name) + 2
            if not points or left + _SAMPLE_PX + 6 + wide > self.plot.right() + 6:
                continue
            painter.setPen(self._pen(place))
            painter.drawLine(QLineF(left, middle, left + _SAMPLE_PX, middle))
            painter.setFont(font)
            painter.setPen(self.theme["ink" if place == 0 else "ink_second"])
            left += _SAMPLE_PX + 6
            painter.drawText(QRectF(left, self.top, wide, self.line), Qt.AlignmentFlag.AlignVCenter, name)
            left += wide + 16

    def _pen(self, place: int) -> QPen:
        return QPen(self._hue(place), 2.5 if place == 0 else 1.5, _DASHES[min(place, len(_DASHES) - 1)])

    def _hue(self, place: int) -> QColor:
        return self.theme["ink"] if place == 0 else self.theme["ink_second"]


def _span(picture: YearPicture) -> tuple[float, float]:
    """Lowest and highest score seen, on whole quarters."""
    values = [
        point.mean + way * (point.spread or 0.0) for _, points in picture.years for point in points for way in (-1, 1)
    ]
    values += [target + way * picture.band for _, _, target in picture.targets for way in (-1, 1)]
    low, high = min(values, default=2.0), max(values, default=3.0)
    low, high = _SPANS * int(low / _SPANS), _SPANS * -int(-(high + 0.01) / _SPANS) + _SPANS
    return max(low, 1.0), min(max(high, low + 1.0), 5.0)


def paint_year(painter: QPainter, box: QRectF, theme: Theme, font: FontOf, picture: YearPicture) -> None:
    """Draw a block's year into a box of px."""
    _Drawing(painter, box, theme, font, picture).paint()


class YearChart(QWidget):
    """The chart on a page."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._picture: YearPicture | None = None
        self.setMinimumSize(380, 170)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def picture(self) -> YearPicture | None:
        """What is drawn."""
        return self._picture

    def show_picture(self, picture: YearPicture | None) -> None:
        """Draw another year."""
        self._picture = picture
        self.setAccessibleName(picture.name if picture is not None else "")
        self.setAccessibleDescription(picture.description if picture is not None else "")
        self.update()

    @override
    def sizeHint(self) -> QSize:
        return QSize(720, 380)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        if self._picture is None:
            return
        painter = QPainter(self)
        theme = self._look.theme
        paint_year(painter, QRectF(self.rect()), theme, theme.font, self._picture)
        painter.end()
