"""Words on the runway: which phase is which, the edge's name along the edge, and figures of cows at the rim."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from herdscore.parts.runway_picture import Numbers, RunwayPicture

EDGE_WORDS = "about the last gentle start"
_PAD = 6.0
_CLEAR_PX = 13.0
_LINES_IN = 3


@dataclass(frozen=True)
class View:
    """What of the runway is seen, and how many px a day and a score take; px count from the plot's upper left."""

    first: float
    last: float
    top: float
    px_a_day: float
    px_a_score: float

    def x(self, across: Numbers | float) -> Numbers | float:
        """Px across."""
        return (across - self.first) * self.px_a_day

    def y(self, up: Numbers | float) -> Numbers | float:
        """Px down."""
        return (self.top - up) * self.px_a_score


@dataclass(frozen=True)
class ChartWords:
    """Words at a place: px of their left (or middle, or right) edge and of their middle line, colour role, angle."""

    words: str
    x: float
    y: float
    role: str
    anchor: float = 0.0
    angle: float = 0.0
    grounded: bool = False


def words_on(picture: RunwayPicture, view: View, width: dict[str, float], line_px: float) -> list[ChartWords]:
    """All words that have room, none over another; `width` gives px of each of `all_words`."""
    said: list[ChartWords] = []
    boxes: list[tuple[float, float, float, float]] = []

    def put(words: Iterable[ChartWords]) -> None:
        for one in words:
            box = _box(one, width[one.words], line_px)
            if not any(_overlap(box, other) for other in boxes):
                said.append(one)
                boxes.append(box)

    put(_values(picture, view, width))
    put(_phases(picture, view, width, line_px, boxes))
    put(_margin(picture, view, width))
    put(_edge(picture, view, width, line_px, boxes))
    return said


def _box(one: ChartWords, wide: float, line_px: float) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of words in px, turned ones by their whole extent."""
    turn = math.radians(one.angle)
    across = abs(math.cos(turn)) * wide + abs(math.sin(turn)) * line_px
    down = abs(math.sin(turn)) * wide + abs(math.cos(turn)) * line_px
    left = one.x - one.anchor * across
    return left, one.y - down / 2, left + across, one.y + down / 2


def _overlap(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] - 1 and other[1] < one[3] - 1


def all_words(picture: RunwayPicture) -> set[str]:
    """Every word that may be put on the picture."""
    fixed = {name for name, *_ in _PHASES} | {"on course", "too early to say", EDGE_WORDS}
    return fixed | set(picture.value)


_PHASES = (
    ("heading fat: ease feed down", "furthest_days", "lead_days", True, "fat"),
    ("heading thin: ease feed up", "furthest_days", "lead_days", False, "thin"),
    ("too late to begin", "lead_days", "freeze_days", True, "hold"),
    ("need only", "freeze_days", "", True, "hold"),
)


def _phases(
    picture: RunwayPicture,
    view: View,
    width: dict[str, float],
    line_px: float,
    boxes: list[tuple[float, float, float, float]],
) -> Iterator[ChartWords]:
    """The phases at the rim; a line or two further in where cows or words are in the way."""
    x, y = np.asarray(view.x(picture.across)), np.asarray(view.y(picture.up))
    for words, begins, ends, at_top, role in _PHASES:
        left = max(float(view.x(-float(getattr(picture, begins)))), 0.0) + _PAD + 4
        right = float(view.x(-float(getattr(picture, ends)) if ends else 0.0))
        if left + width[words] > min(right, float(view.x(view.last))):
            continue
        rim, inwards = (0.0, 1.0) if at_top else (float(view.y(picture.foot)), -1.0)
        tried = []
        for line in range(_LINES_IN):
            one = ChartWords(words, left, rim + inwards * line_px * (0.8 + line), role)
            box = _box(one, width[words], line_px)
            beside = (x > box[0] - _CLEAR_PX) & (x < box[2] + _CLEAR_PX)
            cows = int((beside & (np.abs(y - one.y) < line_px / 2 + _CLEAR_PX)).sum())
            tried.append((any(_overlap(box, other) for other in boxes), cows, line, one))
        yield min(tried, key=lambda found: found[:3])[3]
    yield from _on_course(picture, view, width["on course"], line_px, x, y)


def _on_course(
    picture: RunwayPicture, view: View, wide: float, line_px: float, x: Numbers, y: Numbers
) -> Iterator[ChartWords]:
    """The name of the band on the target line, where it covers the fewest cows; the further left the better."""
    first = max(float(view.x(-float(picture.furthest_days))), 0.0) + _PAD + 4
    last, middle = float(view.x(-float(picture.lead_days))) - wide - _PAD, float(view.y(0.0))
    on_line = np.abs(y - middle) < line_px / 2 + _CLEAR_PX
    tried = []
    for left in np.arange(first, last, wide / 2).tolist():
        covered = on_line & (x > left - _CLEAR_PX) & (x < left + wide + _CLEAR_PX)
        tried.append((int(covered.sum()), left))
    if tried:
        yield ChartWords("on course", min(tried)[1], middle, "ok", grounded=True)


def _margin(picture: RunwayPicture, view: View, width: dict[str, float]) -> Iterator[ChartWords]:
    across = float(view.x(picture.left + picture.margin_days / 2))
    long = width["too early to say"]
    if across > 8 and long + 20 < float(view.y(picture.foot)):
        foot = float(view.y(picture.foot)) - 10 - long / 2
        yield ChartWords("too early to say", across, foot, "ink_second", 0.5, 90.0)


def _edge(
    picture: RunwayPicture,
    view: View,
    width: dict[str, float],
    line_px: float,
    boxes: list[tuple[float, float, float, float]],
) -> Iterator[ChartWords]:
    """The edge's name along it, where the edge slopes, has room and has the fewest cows and no words in the way."""
    if not len(picture.edge_days):
        return
    half, best = width[EDGE_WORDS] / 2, None
    x, y = np.asarray(view.x(picture.across)), np.asarray(view.y(picture.up))
    for edge, out in ((picture.edge_fat, -1.0), (picture.edge_thin, 1.0)):
        px, py = np.asarray(view.x(-picture.edge_days)), np.asarray(view.y(edge))
        for at in range(len(px)):
            left, right = px[at] - half - _PAD, px[at] + half + _PAD
            span = (px >= left) & (px <= right)
            if left < max(px[0], 0.0) or right > min(px[-1], float(view.x(view.last))):
                continue
            room = line_px * 1.3
            if (py[span] + min(out, 0) * room < 2).any() or (
                py[span] + max(out, 0) * room > float(view.y(picture.foot)) - 2
            ).any():
                continue
            rise = float(py[span][-1] - py[span][0])
            angle = math.degrees(math.atan2(rise, right - left))
            middle = py[at] + out * line_px * 0.75
            straight = np.interp(x, px, py) + out * line_px * 0.75
            near = (x > left - _CLEAR_PX) & (x < right + _CLEAR_PX) & (np.abs(y - straight) < line_px / 2 + _CLEAR_PX)
            bent = abs(float(py[span].mean()) - (py[span][0] + py[span][-1]) / 2)
            words = ChartWords(EDGE_WORDS, float(px[at]), float(middle), "ink", 0.5, angle)
            if any(_overlap(_box(words, 2 * half, line_px), box) for box in boxes):
                continue
            cost = (int(near.sum()) * 3 + bent + (4 if abs(rise) < 2 else 0), abs(px[at] - px[len(px) // 3]))
            if best is None or cost < best[0]:
                best = (cost, words)
    if best is not None:
        yield best[1]


def _values(picture: RunwayPicture, view: View, width: dict[str, float]) -> Iterator[ChartWords]:
    """Figures beside cows at the rim; where cows stand close, those that find no room go without."""
    ends = {True: math.inf, False: math.inf}
    # From calving backwards, so that the cows nearest to it carry theirs.
    for place in [i for i, value in enumerate(picture.value) if value and picture.kept[i]]:
        x, words = float(view.x(picture.across[place])), picture.value[place]
        right, above = x + 12 + width[words], bool(picture.up[place] > 0)
        if x >= 0 and right <= min(float(view.x(view.last)), ends[above] - 12):
            ends[above] = x
            yield ChartWords(words, x + 12, float(view.y(picture.up[place])), "ink")
