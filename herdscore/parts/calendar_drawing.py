"""Where the strips of diets and the dates of blocks lie on a calendar, and how they are drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import ceil

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QFontMetricsF, QPainter, QPen

from herdscore.domain.day_names import SHORT_MONTHS
from herdscore.domain.herd_strips import EASE_DOWN, EASE_UP, NOT_SAID, HerdStrips
from herdscore.domain.records import AFTER_CALVING, GRASS, TO_HOLD, UNKNOWN_DIET, WINTER_FEED
from herdscore.parts.chart_frame import day_words
from herdscore.parts.theme import Theme

DIET, DAY = "diet", "day"
_TINT = {
    GRASS: "ok_tint",
    WINTER_FEED: "sunk",
    TO_HOLD: "hold_tint",
    AFTER_CALVING: "selected",
    EASE_UP: "thin_tint",
    EASE_DOWN: "fat_tint",
}
_HATCH = {GRASS: "ok", WINTER_FEED: "ink_second"}
_NAME_PX, _GAP_PX, _DOT_PX = 170.0, 12.0, 5.5
_MOST_LANES = 3
_FOCUS_PX = 3.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A place that can be chosen: a stretch of a group's strip or a date of a block.

    `record` is the identity of the diet or calendar row behind it, "" of what is not said or assumed.
    """

    kind: str
    line: int
    at: int
    owner: str
    record: str
    first: date
    words: str


@dataclass(frozen=True)
class PlacedSpot:
    """A spot with its place in px; of a date `label` holds its words below the dot."""

    spot: Spot
    rect: QRectF
    label: QRectF = field(default_factory=QRectF)


@dataclass(frozen=True)
class StripPlaces:
    """Everything placed for one width: `rows` are (name, top) of groups and blocks, `spans` calving with its words."""

    height: float
    plot: QRectF
    px_a_day: float
    row_px: float
    rows: tuple[tuple[str, float], ...]
    rule_y: float
    spots: tuple[PlacedSpot, ...]
    spans: tuple[QRectF, ...]
    months: tuple[tuple[float, str], ...]
    today_x: float


def place_strips(strips: HerdStrips, width: float, theme: Theme, more: float = 0.0) -> StripPlaces:
    """Place strips on a calendar so many px wide, each row so many px higher than it need be."""
    bold, plain = QFontMetricsF(theme.font(12, 600)), QFontMetricsF(theme.font(11, 500))
    names = [_name(strip.name) for strip in strips.groups] + [line.name.capitalize() for line in strips.blocks]
    widest = max((bold.horizontalAdvance(name) for name in names), default=0.0)
    left = float(ceil(min(widest, _NAME_PX * theme.text_scale) + 2)) + _GAP_PX
    top = plain.height() + 8
    plot = QRectF(left, top, max(width - left - 6, 40.0), 0)
    px_a_day = plot.width() / (strips.last - strips.first).days
    row_px = max(34.0, bold.height() + 16) + more
    rows: list[tuple[str, float]] = []
    spots: list[PlacedSpot] = []
    y = top + 4

    def x(day: date) -> float:
        return plot.left() + (day - strips.first).days * px_a_day

    for line, strip in enumerate(strips.groups):
        rows.append((_name(strip.name), y))
        for at, piece in enumerate(strip.pieces):
            rect = QRectF(x(piece.first) + 1, y, max(x(piece.last) - x(piece.first) - 2, 2.0), row_px - 8)
            words = f"{_name(strip.name)}: {piece.words} from {day_words(piece.first)}"
            spots.append(PlacedSpot(Spot(DIET, line, at, strip.name, piece.diet, piece.first, words), rect))
        y += row_px
    rule_y = y + 2
    y += 8
    spans = []
    for offset, block in enumerate(strips.blocks):
        rows.append((block.name.capitalize(), y))
        spans += [QRectF(x(first), y + 4, x(last) - x(first), 20 * theme.text_scale) for first, last in block.calving]
        line = len(strips.groups) + offset
        placed, lanes = _place_days(
            line, block.name, [(one.day, one.words, one.event) for one in block.days], x, y, plot, plain
        )
        spots += placed
        y += 20 * theme.text_scale + 8 + max(lanes, 1 if block.days else 0) * 2 * plain.lineSpacing() + 6
    height = y + plain.height() + 8
    months = _months(strips, plain, px_a_day, x)
    return StripPlaces(
        height, plot, px_a_day, row_px, tuple(rows), rule_y, tuple(spots), tuple(spans), months, x(strips.today)
    )


def _name(name: str) -> str:
    return name or "No group"


def _place_days(
    line: int,
    block: str,
    days: list[tuple[date, str, str]],
    x: Callable[[date], float],
    y: float,
    plot: QRectF,
    metrics: QFontMetricsF,
) -> tuple[list[PlacedSpot], int]:
    """Dots of a block's dates with their words below, one lane lower where two would touch; how many lanes."""
    free: list[float] = []
    placed = []
    two = 2 * metrics.lineSpacing()
    middle = y + 4 + metrics.height() / 2
    for at, (day, words, record) in enumerate(days):
        px = x(day)
        width = max(metrics.horizontalAdvance(text) for text in (words, day_words(day))) + 4
        left = min(max(px - width / 2, plot.left()), plot.right() - width)
        lane = next((n for n, end in enumerate(free) if left > end), len(free))
        label = QRectF()
        if lane < _MOST_LANES:
            if lane == len(free):
                free.append(0.0)
            free[lane] = left + width + 6
            label = QRectF(left, middle + _DOT_PX + 4 + lane * two, width, two)
        dot = QRectF(px - _DOT_PX, middle - _DOT_PX, 2 * _DOT_PX, 2 * _DOT_PX)
        said = f"{block.capitalize()}: {words} {day_words(day)}"
        placed.append(PlacedSpot(Spot(DAY, line, at, block, record, day, said), dot, label))
    return placed, len(free)


def _months(
    strips: HerdStrips, metrics: QFontMetricsF, px_a_day: float, x: Callable[[date], float]
) -> tuple[tuple[float, str], ...]:
    """Where each month begins, and its name; the year with January where there is room."""
    months = []
    day = strips.first
    while day < strips.last:
        name = SHORT_MONTHS[day.month - 1]
        whole = f"{name} {day.year}" if day.month == 1 else name
        fits = metrics.horizontalAdvance(whole) + 6 <= 30 * px_a_day
        months.append((x(day), whole if fits else name))
        day = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
    return tuple(months)


def paint_strips(
    painter: QPainter, theme: Theme, strips: HerdStrips, places: StripPlaces, focus: Spot | None = None
) -> None:
    """Draw what was placed; `focus` is the spot with the ring of the keyboard."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _paint_months(painter, theme, places)
    painter.setFont(theme.font(12, 600))
    for (name, y), tall in zip(places.rows, _row_heights(strips, places), strict=True):
        painter.setPen(theme["ink"])
        words = painter.fontMetrics().elidedText(name, Qt.TextElideMode.ElideRight, int(places.plot.left() - _GAP_PX))
        painter.drawText(QRectF(0, y, places.plot.left(), tall), Qt.AlignmentFlag.AlignVCenter, words)
    painter.setPen(QPen(theme["line"], theme.border))
    painter.drawLine(QPointF(0, places.rule_y), QPointF(places.plot.right(), places.rule_y))
    for placed in places.spots:
        if placed.spot.kind == DIET:
            _paint_piece(painter, theme, strips, places, placed)
    for span in places.spans:
        _paint_span(painter, theme, span)
    _paint_today(painter, theme, places)
    for placed in places.spots:
        if placed.spot.kind == DAY:
            _paint_day(painter, theme, strips, placed)
    for placed in places.spots:
        if placed.spot == focus:
            grow = _FOCUS_PX if focus is not None and focus.kind == DAY else 1.0
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(theme["focus"], _FOCUS_PX))
            painter.drawRoundedRect(placed.rect.adjusted(-grow, -grow, grow, grow), 6, 6)


def _row_heights(strips: HerdStrips, places: StripPlaces) -> list[float]:
    return [places.row_px - 8] * len(strips.groups) + [28.0] * len(strips.blocks)


def _paint_months(painter: QPainter, theme: Theme, places: StripPlaces) -> None:
    painter.setFont(theme.font(11, 400))
    for x, words in places.months:
        painter.setPen(QPen(theme["grid"], 1))
        painter.drawLine(QPointF(x, places.plot.top()), QPointF(x, places.height))
        painter.setPen(theme["ink_second"])
        painter.drawText(QRectF(x + 4, 0, 200, places.plot.top()), Qt.AlignmentFlag.AlignVCenter, words)


def _paint_today(painter: QPainter, theme: Theme, places: StripPlaces) -> None:
    painter.setPen(QPen(theme["ink"], 2.5))
    painter.drawLine(QPointF(places.today_x, places.plot.top()), QPointF(places.today_x, places.height))
    painter.setFont(theme.font(11, 700))
    metrics = QFontMetricsF(painter.font())
    width, tall = metrics.horizontalAdvance("today") + 14, metrics.height() + 2
    flag = QRectF(places.today_x - width / 2, places.height - tall, width, tall)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme["ink"])
    painter.drawRoundedRect(flag, 4, 4)
    painter.setPen(theme["surface"])
    painter.drawText(flag, Qt.AlignmentFlag.AlignCenter, "today")


def _paint_piece(painter: QPainter, theme: Theme, strips: HerdStrips, places: StripPlaces, placed: PlacedSpot) -> None:
    piece = strips.groups[placed.spot.line].pieces[placed.spot.at]
    rect = placed.rect
    open_ended = piece.assumed or piece.kind == NOT_SAID
    edge = QPen(theme["edge"], 1.5, Qt.PenStyle.DashLine) if open_ended else QPen(theme["line"], theme.border)
    painter.setPen(edge)
    tint = None if open_ended or piece.kind == UNKNOWN_DIET else _TINT.get(piece.kind)
    painter.setBrush(theme[tint] if tint else theme["surface"])
    painter.drawRoundedRect(rect, 5, 5)
    if piece.assumed:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QBrush(theme.faded(_HATCH.get(piece.kind, "ink_second"), 0.4), Qt.BrushStyle.BDiagPattern))
        painter.drawRoundedRect(rect, 5, 5)
    _write_piece(painter, theme, places, piece.words, rect, plate=piece.assumed, unsaid=piece.kind == NOT_SAID)


def _write_piece(
    painter: QPainter, theme: Theme, places: StripPlaces, words: str, rect: QRectF, *, plate: bool, unsaid: bool
) -> None:
    """The words of a stretch: beside today's line rather than across it, shortened where there is too little room."""
    painter.setFont(theme.font(11, 600 if unsaid else 500))
    metrics = QFontMetricsF(painter.font())
    inset = 12.0 if plate else 8.0
    left, right, today = rect.left() + inset, rect.right() - 5, places.today_x
    wide = metrics.horizontalAdvance(words)
    if left - 4 < today < left + wide + 2:
        # Whichever side of the line holds more of the words.
        if today - 5 - left >= right - today - 8:
            right = min(right, today - 5)
        else:
            left = today + 8
    room = right - left
    said = metrics.elidedText(words, Qt.TextElideMode.ElideRight, room)
    if len(said) < 4 and said != words:
        return
    if plate:
        tall = metrics.height()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme["surface"])
        painter.drawRoundedRect(
            QRectF(left - 4, rect.center().y() - tall / 2, metrics.horizontalAdvance(said) + 8, tall), 4, 4
        )
    painter.setPen(theme["thin" if unsaid else "ink"])
    painter.drawText(QRectF(left, rect.top(), room + 2, rect.height()), Qt.AlignmentFlag.AlignVCenter, said)


def _paint_span(painter: QPainter, theme: Theme, span: QRectF) -> None:
    painter.setPen(QPen(theme["line"], theme.border) if theme.border > 1 else Qt.PenStyle.NoPen)
    painter.setBrush(theme["selected"])
    painter.drawRoundedRect(span, 5, 5)
    painter.setFont(theme.font(11, 500))
    if QFontMetricsF(painter.font()).horizontalAdvance("calving") + 18 < span.width():
        painter.setPen(theme["ink"])
        painter.drawText(span.adjusted(14, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, "calving")


def _paint_day(painter: QPainter, theme: Theme, strips: HerdStrips, placed: PlacedSpot) -> None:
    day = strips.blocks[placed.spot.line - len(strips.groups)].days[placed.spot.at]
    middle = placed.rect.center()
    painter.setPen(QPen(theme["ink"], 2))
    painter.setBrush(theme["surface" if day.day > strips.today else "ink"])
    painter.drawEllipse(middle, _DOT_PX, _DOT_PX)
    if placed.label.isNull():
        return
    painter.setFont(theme.font(11, 500))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme["surface"])
    painter.drawRect(placed.label)
    painter.setPen(theme["ink"])
    how = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop
    painter.drawText(placed.label, how, f"{day.words}\n{day_words(day.day)}")
