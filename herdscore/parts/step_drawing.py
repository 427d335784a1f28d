"""Draws what a group is offered, step by step, beside its need: solid as fed, broken as planned; phases at the foot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen, QPolygonF

from herdscore.domain.day_names import SHORT_MONTHS
from herdscore.parts.chart_labels import ChartLabels, PlacedLabel, Spot
from herdscore.parts.drawn_chart import paint_title
from herdscore.parts.theme import Theme

_LINE_PX, _RIBBON_PX = 4.0, 20.0
_TICK_DAYS = (7, 14, 28, 56)
_HUES = {
    "up": ("ok_tint", "ok"),
    "down": ("fat_tint", "fat"),
    "level": ("sunk", "ink_second"),
    "back": ("thin_tint", "thin"),
    "need only": ("hold_tint", "hold"),
    "calving": ("sunk", "ink"),
}


@dataclass(frozen=True)
class FeedStep:
    """Energy offered from a day on, MJ a head a day; `words` say the step in full."""

    day: float
    mj: float
    words: str


@dataclass(frozen=True)
class StepPhase:
    """A stretch of the ribbon: days, what kind (up, down, level, back, need only, calving), and its words."""

    first: float
    last: float
    kind: str
    words: str


@dataclass(frozen=True)
class StepMark:
    """An upright with words of one or two lines."""

    day: float
    words: str


@dataclass(frozen=True)
class StepPicture:
    """What a chart of steps shows. Days count from `start`; before `today` the line is what was fed."""

    title: str
    under: str
    start: date
    today: float
    end: float
    steps: tuple[FeedStep, ...]
    before: float | None
    need: tuple[tuple[float, float], ...]
    need_second: tuple[tuple[float, float], ...] = ()
    phases: tuple[StepPhase, ...] = ()
    marks: tuple[StepMark, ...] = ()

    @property
    def description(self) -> str:
        """The chart in words, for those who do not see it."""
        return ". ".join([self.title, self.under, *(step.words for step in self.steps)])


@dataclass(frozen=True)
class StepFrame:
    """Where days and MJ fall within the plot, px."""

    plot: QRectF
    first: float
    last: float
    low: float
    high: float
    every: float

    def x(self, day: float) -> float:
        """Px from the left."""
        return self.plot.left() + (day - self.first) / (self.last - self.first) * self.plot.width()

    def y(self, mj: float) -> float:
        """Px from the top."""
        return self.plot.bottom() - (mj - self.low) / (self.high - self.low) * self.plot.height()


def paint_steps(
    painter: QPainter, rect: QRectF, theme: Theme, picture: StepPicture, pointed: int | None = None
) -> list[PlacedLabel]:
    """Draw the chart with its title into a box of px, and ring the step pointed at; where words stand."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    top = paint_title(painter, rect, theme, picture.title, picture.under)
    frame = frame_of(QRectF(rect.left(), top, rect.width(), rect.bottom() - top), theme, picture)
    labels = ChartLabels(painter, frame.plot.adjusted(0, -4, 4, 0), theme["surface"])
    _paint_grid(painter, theme, frame)
    _paint_days(painter, theme, frame, picture)
    _paint_ribbon(painter, theme, frame, picture)
    marks = _paint_marks(painter, theme, frame, picture)
    for points, role, px in ((picture.need_second, "ink_second", 1.2), (picture.need, "ink", 2.0)):
        labels.keep_clear_line(_paint_need(painter, theme, frame, points, role, px))
    line = _paint_offered(painter, theme, frame, picture)
    labels.keep_clear_line(line, 4)
    _write(labels, theme, frame, picture, marks)
    if pointed is not None and pointed < len(picture.steps):
        _paint_pointed(painter, theme, frame, picture, pointed)
    painter.restore()
    return labels.placed


def frame_of(box: QRectF, theme: Theme, picture: StepPicture) -> StepFrame:
    """Fit the axes to what is shown."""
    metrics = QFontMetricsF(theme.font(11))
    line = metrics.height()
    values = [mj for _, mj in (*picture.need, *picture.need_second)] + [step.mj for step in picture.steps]
    values += [] if picture.before is None else [picture.before]
    low, high = (min(values, default=60.0), max(values, default=100.0))
    span = max(high - low, 10.0)
    every = 5.0 if span <= 30 else 10.0 if span <= 70 else 20.0
    low, high = every * ((low - 0.12 * span) // every), every * -(-(high + 0.18 * span) // every)
    left = metrics.horizontalAdvance("000") + 12
    plot = QRectF(box.left() + left, box.top() + 4, box.width() - left - 10, box.height() - 4 - _RIBBON_PX - line - 12)
    first = min(0.0, picture.steps[0].day if picture.steps else 0.0)
    room = (picture.end - first) * 0.02
    return StepFrame(plot, first - room, picture.end + room, low, high, every)


def step_at(frame: StepFrame, picture: StepPicture, at: QPointF) -> int | None:
    """The step in force at a point of the plot."""
    if not frame.plot.adjusted(-4, -4, 4, _RIBBON_PX + 24).contains(at):
        return None
    day = frame.first + (at.x() - frame.plot.left()) / frame.plot.width() * (frame.last - frame.first)
    return max(sum(step.day <= day for step in picture.steps) - 1, 0) if picture.steps else None


def _paint_grid(painter: QPainter, theme: Theme, frame: StepFrame) -> None:
    font = theme.font(11)
    painter.setFont(font)
    line = QFontMetricsF(font).height()
    mj = frame.low
    while mj <= frame.high + 1e-6:
        y = frame.y(mj)
        painter.setPen(QPen(theme["grid"], 1))
        painter.drawLine(QLineF(frame.plot.left(), y, frame.plot.right(), y))
        painter.setPen(theme["ink_second"])
        box = QRectF(frame.plot.left() - 60, y - line / 2, 52, line)
        painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, f"{mj:.0f}")
        mj += frame.every


def _paint_days(painter: QPainter, theme: Theme, frame: StepFrame, picture: StepPicture) -> None:
    font = theme.font(11)
    metrics = QFontMetricsF(font)
    wide = metrics.horizontalAdvance("00 Mmm") + 14
    every = next((n for n in _TICK_DAYS if n / (frame.last - frame.first) * frame.plot.width() >= wide), _TICK_DAYS[-1])
    painter.setFont(font)
    foot = frame.plot.bottom() + _RIBBON_PX
    painter.setPen(QPen(theme["edge"], 1))
    painter.drawLine(QLineF(frame.plot.left(), foot, frame.plot.right(), foot))
    day = picture.today - every * ((picture.today - frame.first) // every)
    while day <= frame.last:
        x = frame.x(day)
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(x, foot, x, foot + 4))
        when = picture.start + timedelta(days=round(day))
        box = QRectF(x - wide / 2, foot + 5, wide, metrics.height())
        painter.setPen(theme["ink_second"])
        if box.right() <= frame.plot.right() + 10:
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, f"{when.day} {SHORT_MONTHS[when.month - 1]}")
        day += every


def _paint_ribbon(painter: QPainter, theme: Theme, frame: StepFrame, picture: StepPicture) -> None:
    font = theme.font(11, 500)
    metrics = QFontMetricsF(font)
    painter.setFont(font)
    for phase in picture.phases:
        tint, ink = _HUES[phase.kind]
        low, high = (min(max(frame.x(day), frame.plot.left()), frame.plot.right()) for day in (phase.first, phase.last))
        box = QRectF(low, frame.plot.bottom(), high - low, _RIBBON_PX)
        painter.fillRect(box, theme[tint])
        painter.setPen(QPen(theme["surface"], 1))
        painter.drawLine(QLineF(box.topRight(), box.bottomRight()))
        if metrics.horizontalAdvance(phase.words) + 6 <= box.width():
            painter.setPen(theme[ink])
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, phase.words)


def _paint_marks(
    painter: QPainter, theme: Theme, frame: StepFrame, picture: StepPicture
) -> list[tuple[QPointF, str, str]]:
    """The uprights: today dotted, the others solid; where each begins at the top, its words and their tone."""
    found = []
    if frame.first <= picture.today <= frame.last:
        x = frame.x(picture.today)
        painter.setPen(QPen(theme["ink_second"], 1.2, Qt.PenStyle.DotLine))
        painter.drawLine(QLineF(x, frame.plot.top(), x, frame.plot.bottom()))
        found.append((QPointF(x, frame.plot.top()), "today", "ink_second"))
    for mark in picture.marks:
        x = frame.x(mark.day)
        painter.setPen(QPen(theme["ink"], 2))
        painter.drawLine(QLineF(x, frame.plot.top(), x, frame.plot.bottom()))
        found.append((QPointF(x, frame.plot.top()), mark.words, "ink"))
    return found


def _paint_need(
    painter: QPainter, theme: Theme, frame: StepFrame, points: Sequence[tuple[float, float]], role: str, px: float
) -> list[QPointF]:
    line = [QPointF(frame.x(day), frame.y(mj)) for day, mj in points]
    if len(line) > 1:
        style = Qt.PenStyle.DashLine if role == "ink" else Qt.PenStyle.DotLine
        painter.setPen(QPen(theme[role], px, style))
        painter.drawPolyline(QPolygonF(line))
    return line


def corners(frame: StepFrame, picture: StepPicture) -> list[QPointF]:
    """The corners of the stepped line, from the left."""
    if not picture.steps:
        return []
    first = picture.before if picture.before is not None else picture.steps[0].mj
    x = frame.x(min(picture.steps[0].day, frame.first))
    line = [QPointF(x, frame.y(first))]
    for step in picture.steps:
        line += [QPointF(frame.x(step.day), line[-1].y()), QPointF(frame.x(step.day), frame.y(step.mj))]
    line.append(QPointF(frame.x(picture.end), line[-1].y()))
    return line


def _paint_offered(painter: QPainter, theme: Theme, frame: StepFrame, picture: StepPicture) -> list[QPointF]:
    line = corners(frame, picture)
    if not line:
        return line
    split = frame.x(picture.today)
    pen = QPen(theme["thin"], _LINE_PX)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    for low, high, solid in ((frame.plot.left(), split, True), (split, frame.plot.right() + 4, False)):
        painter.save()
        painter.setClipRect(QRectF(low, frame.plot.top() - 6, max(high - low, 0), frame.plot.height() + 8))
        if not solid:
            pen.setDashPattern([3.0, 0.9])
        painter.setPen(pen)
        painter.drawPolyline(QPolygonF(line))
        painter.restore()
    return line


def _write(
    labels: ChartLabels,
    theme: Theme,
    frame: StepFrame,
    picture: StepPicture,
    marks: Sequence[tuple[QPointF, str, str]],
) -> None:
    plain, bold = theme.font(11, 500), theme.font(11, 700)
    for at, words, role in marks:
        spots = [Spot(at + QPointF(dx, dy), across, 0.0) for dy in (0, 18, 36) for dx, across in ((6, 0.0), (-6, 1.0))]
        labels.put(words, plain, theme[role], spots, must=True)
    last: float | None = picture.before
    for step in picture.steps:
        at = QPointF(frame.x(step.day), frame.y(step.mj))
        risen = last is None or step.mj >= last
        last = step.mj
        spots = [Spot(at + QPointF(2, -4), 0.0, 1.0), Spot(at + QPointF(-4, -2), 1.0, 1.0)]
        spots = spots if risen else [Spot(at + QPointF(5, -4), 0.0, 1.0), Spot(at + QPointF(-4, 4), 1.0, 0.0)]
        labels.put(f"{step.mj:.0f}", bold, theme["ink"], spots)
    line = corners(frame, picture)
    if line:
        tops = [QPointF(frame.plot.left() + share * frame.plot.width(), 0) for share in (0.3, 0.45, 0.2, 0.6, 0.05)]
        spots = [Spot(QPointF(at.x(), _height_at(line, at.x()) + dy), 0.0, 0.5) for at in tops for dy in (-14, 16)]
        labels.put("offered", bold, theme["thin"], spots, must=True)
    for points, words, tone in (
        (picture.need, "need: level condition", "ink"),
        (picture.need_second, "need by the second system", "ink_second"),
    ):
        line = [QPointF(frame.x(day), frame.y(mj)) for day, mj in points]
        if len(line) > 1:
            shares = (0.5, 0.35, 0.65, 0.2, 0.05, 0.8)
            places = [frame.plot.left() + share * frame.plot.width() for share in shares]
            spots = [Spot(QPointF(x, _height_at(line, x) + dy), 0.0, 0.5) for x in places for dy in (15, -15, 28, -28)]
            labels.put(words, plain, theme[tone], spots)


def _height_at(line: Sequence[QPointF], x: float) -> float:
    """Height of a line at x, of its last point left of it where it stands upright."""
    before = [at for at in line if at.x() <= x]
    after = [at for at in line if at.x() > x]
    if not before or not after:
        return line[0].y() if not before else before[-1].y()
    one, other = before[-1], after[0]
    share = (x - one.x()) / max(other.x() - one.x(), 1e-6)
    return one.y() + share * (other.y() - one.y())


def _paint_pointed(painter: QPainter, theme: Theme, frame: StepFrame, picture: StepPicture, place: int) -> None:
    step = picture.steps[place]
    last = picture.steps[place + 1].day if place + 1 < len(picture.steps) else picture.end
    y = frame.y(step.mj)
    painter.setPen(QPen(theme["focus"], 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(QRectF(QPointF(frame.x(step.day) - 5, y - 8), QPointF(frame.x(last) + 5, y + 8)), 6, 6)
