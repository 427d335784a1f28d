"""Where the strips of groups and their marks lie: rows, the common axis, and marks stacked side by side."""

from __future__ import annotations

from bisect import bisect, insort
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontMetricsF

from herdscore.parts.group_picture import Numbers, Strip, StripsPicture
from herdscore.parts.marks import BACK_TO_FRONT, MARKS
from herdscore.parts.theme import Theme

MARK_PX = 13.0  # the largest a mark is drawn on a strip
_SMALLEST_MARK = 4.0
_BESIDE = 0.86  # of a mark's size from one to the next on a level
_APART, _OVERLAPPED = 0.92, 0.55  # the same in a stack, with room and without
_PLACED_SINGLY = 600  # marks of a strip above which they are stacked in columns, which is quicker
_LEAST_ROW, _MOST_ROW = 82.0, 132.0
_LEAST_SPAN = 0.75  # score either side of target
_RIM_PX = 10.0
_WITHIN_PX = 16.0
_STEP = 0.25


@dataclass(frozen=True, eq=False)
class StripsLayout:
    """Px of everything; rows lie in the body, which may be higher than what is seen of it."""

    names: float
    plot_left: float
    plot_right: float
    low: float
    high: float
    rows: tuple[QRectF, ...]
    headings: tuple[tuple[float, str], ...]
    height: float
    axis: float
    line: float

    def x(self, value: float) -> float:
        """Px across of a score less target; kept within the plot."""
        room = self.plot_right - self.plot_left - 2 * _RIM_PX
        at = self.plot_left + _RIM_PX + (value - self.low) / (self.high - self.low) * room
        return min(max(at, self.plot_left + _RIM_PX / 2), self.plot_right - _RIM_PX / 2)

    def ticks(self, label_px: float) -> list[float]:
        """Quarters of a score with a tick; every second or fourth where the words would touch."""
        px = self.x(_STEP) - self.x(0.0)
        every = next((n for n in (1, 2, 4) if n * px > label_px + 10), 4) * _STEP
        first, last = int(np.ceil(self.low / every - 1e-9)), int(np.floor(self.high / every + 1e-9))
        ticks = [number * every for number in range(first, last + 1)]
        ends = (self.names, self.plot_right + 4)
        return [
            tick for tick in ticks if ends[0] <= self.x(tick) - label_px / 2 and self.x(tick) + label_px / 2 <= ends[1]
        ]


def lay_out(picture: StripsPicture, width: float, height: float, theme: Theme) -> StripsLayout:
    """The layout of a picture in a box; its body is as high as the rows need, at least as high as the box allows."""
    line = QFontMetricsF(theme.font(11)).height()
    bold = QFontMetricsF(theme.font(12, 600))
    quiet = QFontMetricsF(theme.font(11))
    widest = max(
        (max(bold.horizontalAdvance(one.name), quiet.horizontalAdvance(one.note)) for one in picture.strips),
        default=60.0,
    )
    names = min(widest + 14, 0.30 * width)
    axis = line + 12
    heading = line + 6
    dry = [place for place, one in enumerate(picture.strips) if not one.in_milk]
    milk = [place for place, one in enumerate(picture.strips) if one.in_milk]
    count = max(len(picture.strips), 1)
    said = bool(dry) + bool(milk)
    room = (height - axis - said * heading) / count
    row = min(max(room, _LEAST_ROW * theme.text_scale), _MOST_ROW * theme.text_scale)
    rows: list[QRectF] = []
    headings: list[tuple[float, str]] = []
    y = 0.0
    for places, words in ((dry, picture.dry_words), (milk, picture.milk_words)):
        if places:
            headings.append((y, words))
            y += heading
        for _ in places:
            rows.append(QRectF(0, y, width, row))
            y += row
    low, high = _span(picture)
    return StripsLayout(names, names + 4, width - 6, low, high, tuple(rows), tuple(headings), y, axis, line)


def _span(picture: StripsPicture) -> tuple[float, float]:
    known = np.concatenate([np.empty(0), *(one.values for one in picture.strips)])
    known = known[np.isfinite(known)]
    low = min(float(known.min()) if len(known) else 0.0, -_LEAST_SPAN)
    high = max(float(known.max()) if len(known) else 0.0, _LEAST_SPAN)
    return float(np.floor(low / _STEP) * _STEP), float(np.ceil(high / _STEP) * _STEP)


@dataclass(frozen=True, eq=False)
class PlacedMarks:
    """The marks of one strip: px across and down, and the largest size they are drawn at; NaN for a cow without one."""

    x: Numbers
    y: Numbers
    px: float

    def size(self, mark: str) -> float:
        """Size of one mark on this strip."""
        return min(MARKS[mark].px, self.px) if self.px >= MARK_PX else min(MARKS[mark].px * self.px / MARK_PX, self.px)


def place_marks(strip: Strip, layout: StripsLayout, row: QRectF) -> PlacedMarks:
    """Stack the marks of a strip on one another where they would touch, what needs work lowest; more cows, smaller."""
    values = strip.values
    known = np.flatnonzero(np.isfinite(values))
    x, y = np.full(len(values), np.nan), np.full(len(values), np.nan)
    if not len(known):
        return PlacedMarks(x, y, MARK_PX)
    across = np.array([layout.x(float(value)) for value in values[known]])
    urgent = np.array([BACK_TO_FRONT.index(strip.marks[at]) for at in known.tolist()])
    foot, top = bar_y(layout, row) - 10.0, row.top() + layout.line + 3
    px = MARK_PX
    # A high stack first overlaps, then its marks grow smaller, then it overlaps as much as it must.
    while px > _SMALLEST_MARK:
        most = int(_columns(across, urgent, px * _BESIDE).max()) + 1
        if px * (1 + (most - 1) * _OVERLAPPED) <= foot - top:
            break
        px = max(px - 1.0, _SMALLEST_MARK)
    singly = len(across) <= _PLACED_SINGLY
    level = (_levels if singly else _columns)(across, urgent, px * _BESIDE)
    most = int(level.max()) + 1
    step = min(px * _APART, (foot - top - px) / (most - 1)) if most > 1 else 0.0
    x[known] = across
    y[known] = foot - px / 2 - level * step
    return PlacedMarks(x, y, px)


def _columns(across: Numbers, urgent: npt.NDArray[np.intp], apart: float) -> npt.NDArray[np.intp]:
    """Level of every mark in columns side by side, what needs work lowest."""
    column = np.round(across / apart).astype(np.intp)
    order = np.lexsort((across, -urgent, column))
    sizes = np.unique(column[order], return_counts=True)[1]
    level = np.empty(len(across), dtype=np.intp)
    level[order] = np.arange(len(order)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    return level


def _levels(across: Numbers, urgent: npt.NDArray[np.intp], apart: float) -> npt.NDArray[np.intp]:
    """Level of every mark, the lowest where it touches no other on it; what needs work is placed first."""
    taken: list[list[float]] = []
    level = np.zeros(len(across), dtype=np.intp)
    for at in np.lexsort((across, -urgent)).tolist():
        value = float(across[at])
        number = next((n for n, row in enumerate(taken) if _is_free(row, value, apart)), len(taken))
        if number == len(taken):
            taken.append([])
        insort(taken[number], value)
        level[at] = number
    return level


def _is_free(row: Sequence[float], value: float, apart: float) -> bool:
    """Whether a mark touches none of those on a level, given in order."""
    place = bisect(row, value)
    return all(abs(other - value) >= apart for other in row[max(place - 1, 0) : place + 1])


def bar_y(layout: StripsLayout, row: QRectF) -> float:
    """Px down of the quartile bar of a row."""
    return row.bottom() - layout.line / 2 - 4


def mark_at(rows: Sequence[QRectF], placed: Sequence[PlacedMarks], x: float, y: float) -> tuple[int | None, int | None]:
    """The strip at a px of the body, and the cow within reach of it."""
    for place, row in enumerate(rows):
        if row.top() <= y < row.bottom():
            away = np.hypot(placed[place].x - x, placed[place].y - y)
            near = bool(np.isfinite(away).any()) and float(np.nanmin(away)) <= _WITHIN_PX
            return place, int(np.nanargmin(away)) if near else None
    return None, None


def across(placed: PlacedMarks) -> npt.NDArray[np.intp]:
    """Cows of a strip from left to right, in a stack from the foot up."""
    order = np.lexsort((-placed.y, placed.x))
    return order[np.isfinite(placed.x[order])]


def scrolled_to(row: QRectF, scrolled: int, seen: float) -> int:
    """How far to scroll that a row is seen, no further than it takes; the first shows its heading too."""
    top = 0.0 if row.top() < row.height() else row.top()
    if top < scrolled:
        return int(top)
    return int(np.ceil(row.bottom() - seen)) if row.bottom() > scrolled + seen else scrolled
