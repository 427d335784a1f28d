"""Where days and scores lie on the chart of one cow, its ticks and its lines of even score."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from herdscore.domain.day_names import SHORT_MONTHS
from herdscore.parts.cow_picture import CowPicture
from herdscore.parts.theme import Theme

LOWEST, HIGHEST = 1.0, 5.0
_SMALLEST_SPAN = 0.9  # score
_LONGEST_PAST = 420  # days
_TICK_PX = 5.0
DIETS_PX = 22.0
_LOW_PX = 290.0  # height below which the full chart gives up room at its rims


@dataclass(frozen=True)
class Measures:
    """Sizes of one form of the chart, px and points."""

    tick_points: float
    label_points: float
    value_points: float
    top: float
    above_ribbon: float
    ribbon: float
    bell: float
    value_room: float
    dot: float
    mark_more: float


FULL = Measures(12, 11, 14, top=62, above_ribbon=42, ribbon=30, bell=36, value_room=56, dot=6, mark_more=6)
LOW = Measures(12, 11, 14, top=42, above_ribbon=26, ribbon=26, bell=26, value_room=56, dot=6, mark_more=4)
MINI = Measures(12, 11, 13, top=8, above_ribbon=8, ribbon=24, bell=20, value_room=46, dot=5.5, mark_more=4)


@dataclass(frozen=True)
class Frame:
    """Plot and ribbon in px, and what turns days and scores into px."""

    plot: QRectF
    ribbon: QRectF
    first: float
    px_a_day: float
    top_score: float
    top_px: float
    px_a_score: float
    diets: QRectF = field(default_factory=QRectF)

    def x(self, day: date | float) -> float:
        """Px across of a day."""
        number = day.toordinal() if isinstance(day, date) else day
        return self.plot.left() + (number - self.first) * self.px_a_day

    def y(self, score: float) -> float:
        """Px down of a score."""
        return self.top_px + (self.top_score - score) * self.px_a_score

    def point(self, day: date | float, score: float) -> QPointF:
        """Place of a score on a day."""
        return QPointF(self.x(day), self.y(score))

    @property
    def foot(self) -> float:
        """Px down of the line of time."""
        return max(self.ribbon.bottom(), self.diets.bottom())

    @property
    def last(self) -> float:
        """Day number at the right rim."""
        return self.first + self.plot.width() / self.px_a_day


def measures_for(rect: QRectF, mini: bool) -> Measures:
    """Sizes for a chart in a box; the smallest boxes give up the height of the ribbon and the bell."""
    if not mini:
        return FULL if rect.height() >= _LOW_PX else LOW
    if rect.height() >= 170:
        return MINI
    return Measures(11, 11, 13, top=5, above_ribbon=3, ribbon=18, bell=10, value_room=44, dot=4, mark_more=-2)


def fit_frame(picture: CowPicture, rect: QRectF, theme: Theme, sizes: Measures) -> Frame:
    """The frame in which everything of a picture is seen."""
    tick = QFontMetricsF(theme.font(sizes.tick_points))
    left = rect.left() + tick.horizontalAdvance("2.25") + 14
    foot = tick.height() + _TICK_PX + 3
    ribbon_px = sizes.ribbon * theme.text_scale if picture.calving is not None else 0.0
    diets_px = DIETS_PX * theme.text_scale if picture.diets and sizes in (FULL, LOW) else 0.0
    plot = QRectF(left, rect.top(), rect.right() - left - 4, rect.height() - foot - ribbon_px - diets_px)
    ribbon = QRectF(plot.left(), plot.bottom(), plot.width(), ribbon_px)
    diets = QRectF(plot.left(), ribbon.bottom(), plot.width(), diets_px)
    first, last = _days_seen(picture)
    value_room = sizes.value_room * theme.text_scale if picture.projected is not None else 12.0
    px_a_day = max(plot.width() - value_room - 10.0, 20.0) / max(last - first, 1.0)
    low, high = _scores_seen(picture)
    top_px = plot.top() + sizes.top
    px_a_score = max(plot.bottom() - sizes.above_ribbon - top_px, 10.0) / (high - low)
    return Frame(plot, ribbon, first - 10.0 / px_a_day, px_a_day, high, top_px, px_a_score, diets)


def _days_seen(picture: CowPicture) -> tuple[float, float]:
    today = picture.today.toordinal()
    scored = (*picture.scores, *picture.last_season)
    past = [day.toordinal() for day in (*picture.past_days, *(score.day for score in scored))]
    first = max(min(past, default=today - 40), today - _LONGEST_PAST)
    first = min(first, today - 20)
    ends: list[float] = [today + 2, *(day.toordinal() for day in picture.ahead_days)]
    if picture.calving is not None:
        ends.append(picture.calving.toordinal() + max(picture.spread_days, 2.0))
    return float(first), float(max(ends))


def _scores_seen(picture: CowPicture) -> tuple[float, float]:
    values = [*picture.past, *picture.ahead, *picture.ahead_low, *picture.ahead_high]
    values += [score.value for score in picture.last_season]
    values += [score.value - score.half_width for score in picture.scores]
    values += [score.value + score.half_width for score in picture.scores]
    values += [edge for edge in (picture.band_low, picture.band_high, picture.projected) if edge is not None]
    values += [picture.fan.low, picture.fan.high] if picture.fan is not None else []
    known = np.array(values, dtype=float)
    known = np.clip(known[np.isfinite(known)], LOWEST, HIGHEST)
    low, high = (float(known.min()), float(known.max())) if len(known) else (2.0, 3.0)
    lacking = max(0.0, _SMALLEST_SPAN - (high - low)) / 2
    return max(LOWEST - 0.1, low - lacking), min(HIGHEST + 0.1, high + lacking)


def score_ticks(frame: Frame) -> list[float]:
    """Scores with a line: halves, quarters where there is much room, wholes where there is little."""
    step = 0.25 if frame.px_a_score * 0.25 > 90 else 0.5 if frame.px_a_score * 0.5 >= 20 else 1.0
    lowest = frame.top_score - (frame.plot.bottom() - 9 - frame.top_px) / frame.px_a_score
    highest = frame.top_score + (frame.top_px - frame.plot.top() - 5) / frame.px_a_score
    ticks = np.arange(LOWEST, HIGHEST + 0.01, step)
    return [float(tick) for tick in ticks if lowest <= tick <= highest]


def day_ticks(frame: Frame, label_px: float) -> list[tuple[int, str]]:
    """Days with a tick, and its words: first days of months, or every seventh day where less is seen."""
    first, last = date.fromordinal(int(frame.first) + 1), date.fromordinal(int(frame.last))
    if (last - first).days < 50:
        step = 7 if 7 * frame.px_a_day > label_px + 14 else 14
        days = [first + timedelta(days=ahead) for ahead in range(0, (last - first).days + 1, step)]
        return [(day.toordinal(), day_words(day)) for day in days]
    step = next((n for n in (1, 2, 3, 6) if n * 30 * frame.px_a_day > label_px + 14), 12)
    long = (last - first).days > 300
    return [
        (day.toordinal(), f"{day_words(day)} {day.year}" if long and day.month == 1 else day_words(day))
        for day in _month_starts(first, last)
        if (day.month - 1) % step == 0
    ]


def _month_starts(first: date, last: date) -> Iterator[date]:
    month = first.replace(day=1)
    while month <= last:
        if month >= first:
            yield month
        month = (month + timedelta(days=32)).replace(day=1)


def day_words(day: date) -> str:
    """A day as the screen says it, "21 Jan", never broken over two lines."""
    return f"{day.day}\u00a0{SHORT_MONTHS[day.month - 1]}"


def paint_scores_axis(painter: QPainter, theme: Theme, frame: Frame, sizes: Measures) -> list[QRectF]:
    """Lines of even score and their figures; boxes of the figures."""
    font = theme.font(sizes.tick_points)
    painter.setFont(font)
    height = QFontMetricsF(font).height()
    boxes = []
    for tick in score_ticks(frame):
        y = round(frame.y(tick)) + 0.5
        painter.setPen(QPen(theme["grid"], 1))
        painter.drawLine(QLineF(frame.plot.left(), y, frame.plot.right(), y))
        box = QRectF(frame.plot.left() - 60, y - height / 2, 52, height)
        painter.setPen(theme["ink_second"])
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(box, right, f"{tick:.2f}" if tick * 4 % 2 else f"{tick:.1f}")
        boxes.append(box)
    return boxes


def paint_days_axis(painter: QPainter, theme: Theme, frame: Frame, rect: QRectF, sizes: Measures) -> list[QRectF]:
    """The line of time with its ticks; boxes of the words under it."""
    font = theme.font(sizes.tick_points)
    painter.setFont(font)
    metrics = QFontMetricsF(font)
    foot = round(frame.foot) + 0.5
    painter.setPen(QPen(theme["edge"], 1))
    painter.drawLine(QLineF(frame.plot.left(), foot, frame.plot.right(), foot))
    boxes: list[QRectF] = []
    for day, words in day_ticks(frame, metrics.horizontalAdvance("30 Nov")):
        x = round(frame.x(day)) + 0.5
        width = metrics.horizontalAdvance(words)
        box = QRectF(x - width / 2, foot + _TICK_PX, width, metrics.height())
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(x, foot, x, foot + _TICK_PX - 1))
        clear = not boxes or box.left() > boxes[-1].right() + 8
        if clear and box.left() >= rect.left() and box.right() <= rect.right():
            painter.setPen(theme["ink_second"])
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)
            boxes.append(box)
    return boxes
