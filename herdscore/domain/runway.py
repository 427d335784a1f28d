"""The herd in one picture: where each cow of a block stands before calving, and the last gentle start about her.

Across lies days to calving, up the projected score less the target; all of it comes from one assessment.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK
from herdscore.domain.diets import SUCKLING
from herdscore.domain.records import DOWN, UP
from herdscore.domain.rule_forms import Limits
from herdscore.domain.verdict import FAT, THIN, Verdict

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]

TOP, FOOT = 1.1, -1.2
"""Highest and lowest gap to target on the picture; cows beyond are drawn at the rim and carry their value."""
RIM = 0.05
MARGIN_DAYS = 14
"""Width of the margin of cows too early to say, in days."""
_PILE_STEP, _PILE_TOP, _PILE_FOOT = 0.06, 1.0, -0.5
_NOT_ON_IT = (
    Verdict.GONE,
    Verdict.NOT_IN_CALF,
    Verdict.FEED_FOR_BULL,
    Verdict.SCORE_FOR_BULL,
    Verdict.IN_MILK,
    Verdict.NEEDS_DATE,
    Verdict.PAST_DATE,
)


@dataclass(frozen=True, eq=False)
class Runway:
    """The cows of one block that are on the picture, one value a cow: first days to calving, then gap to target.

    `cow` is her place in the herd. A cow `early` stands in the margin and has no gap. `tail` is the gap she would have
    gone to on the diet before her running change, NaN for cows on none. `rate` is the block's mean rate, score a day,
    NaN when no cow has one; `unscored` are places of cows with a date who have no score to be placed by.
    """

    block: int
    cow: Places
    days: Numbers
    gap: Numbers
    tail: Numbers
    early: Flags
    rate: float
    unscored: Places


@dataclass(frozen=True, eq=False)
class Edge:
    """The last gentle start for a cow of mean rate, by days to calving: lowest and highest gap that still gets home."""

    days: Numbers
    thin: Numbers
    fat: Numbers


def runway_of(assessment: Assessment, block: int) -> Runway:
    """The runway of a block, AUTUMN_BLOCK or SPRING_BLOCK."""
    a = assessment
    days, target = a.dates.day, a.targets.target
    on = (a.block == block) & np.isfinite(days) & np.isfinite(target) & ~np.isin(a.verdict, _NOT_ON_IT)
    early = days > a.rulebook.limits.furthest_days
    scored = np.isfinite(a.facts.score_now)
    placed = np.flatnonzero(on & (scored | early))
    gap = np.where(early, np.nan, a.course.mean - target)
    order = placed[np.lexsort((placed, gap[placed], days[placed]))]
    return Runway(
        block=block,
        cow=order,
        days=days[order],
        gap=gap[order],
        tail=np.where(early, np.nan, gap + before_change(a))[order],
        early=early[order],
        rate=mean_rate(a, block),
        unscored=np.flatnonzero(on & ~scored & ~early),
    )


def mean_rate(assessment: Assessment, block: int) -> float:
    """Mean rate a day from today to calving of a block's cows who can still begin a change; NaN when there is none.

    Cows already on a change are left out, as their rate is that of the change.
    """
    a = assessment
    mine = (a.block == block) & (a.running.side == 0) & np.isfinite(a.reach.expected_rate)
    mine &= ~np.isin(a.verdict, _NOT_ON_IT)
    return float(a.reach.expected_rate[mine].mean()) if mine.any() else float("nan")


def edge_of(rate: float, limits: Limits, band: float) -> Edge | None:
    """The edge for a cow of this rate, from the furthest day to the lead; never inside the band. None without a rate.

    A cow at y, who changes by `rate` a day, reaches the band's lower edge by a change begun now if
    y >= -band + rate * d - gain * (d - lost days), and its upper edge likewise.
    """
    if not np.isfinite(rate):
        return None
    days = np.arange(limits.furthest_days, limits.lead_days - 1, -1, dtype=np.float64)
    window = days - limits.lost_days
    thin = -band + rate * days - limits.planning_gain * window
    fat = band + rate * days + limits.planning_loss * window
    return Edge(days, np.minimum(thin, -band), np.maximum(fat, band))


def before_change(assessment: Assessment) -> Numbers:
    """How far from her projection each cow would end on the diet before her running change, [N]; NaN without one.

    Her line is the model's own with one thing different: on every day of the change, past and to come until calving
    or her next diet, she moves at the rate of the last diet before it. The weeks after calving, which have a rate by
    themselves, are no diet to go back to; a change fed in several steps is taken back to before the first.
    """
    a, segments = assessment, assessment.segments
    n, k = segments.low.shape
    rows = np.flatnonzero(a.running.side != 0)
    moved = np.full(n, np.nan)
    if not len(rows):
        return moved
    low, high, rate = segments.low[rows], segments.high[rows], segments.rate[rows]
    own = a.course.curve_rate[rows]
    wanted, suckling = _aims(a)[rate] == a.running.side[rows][:, None], segments.rate_class[rate] == SUCKLING
    today = (high <= 0).sum(axis=1)
    calving = np.maximum(np.where(np.isfinite(a.dates.day[rows]), a.dates.day[rows], 0.0), 0.0)[:, None]
    days = np.clip(np.minimum(high, calving) - low, 0.0, None)
    row = np.arange(len(rows))
    of_change = np.zeros((len(rows), k), dtype=bool)
    going = np.ones(len(rows), dtype=bool)
    base = np.full(len(rows), -1)
    for back in range(k):
        at = today - back
        there = going & (at >= 0)
        place = np.maximum(at, 0)
        change = there & wanted[row, place]
        of_change[row[change], place[change]] = True
        before = there & ~change & ~suckling[row, place]
        base[before] = place[before]
        going &= ~before
    had = (base >= 0) & of_change.any(axis=1)
    slower = own[row, np.maximum(base, 0)][:, None] - own
    moved[rows[had]] = (np.where(of_change, slower * days, 0.0).sum(axis=1))[had]
    return moved


def _aims(a: Assessment) -> npt.NDArray[np.int8]:
    """Side each rate of the herd is meant to move: -1 for an aim up (thin cows), 1 down, 0 none."""
    diet, aim = a.segments.rate_diet, a.snapshot.diets.aim
    return np.array([{UP: THIN, DOWN: FAT}.get(aim[int(row)], 0) if row == row else 0 for row in diet], dtype=np.int8)


def block_to_show(assessment: Assessment) -> int:
    """The block with more cows between lead and furthest day; on a tie the one with more cows on the picture."""
    limits = assessment.rulebook.limits

    def weight(block: int) -> tuple[int, int]:
        of_block = runway_of(assessment, block)
        open_ = (of_block.days >= limits.lead_days) & (of_block.days <= limits.furthest_days)
        return int(open_.sum()), len(of_block.cow)

    return max((SPRING_BLOCK, AUTUMN_BLOCK), key=weight)


# Places


def at_rim(gap: Numbers) -> Numbers:
    """Height at which a gap is drawn: kept within the picture."""
    return np.clip(gap, FOOT + RIM, TOP - RIM)


def past_rim(gap: Numbers) -> Flags:
    """Cows drawn at the rim, who carry their value."""
    return np.asarray((gap > TOP - RIM) | (gap < FOOT + RIM), dtype=bool)


def pile(count: int, left: float, right: float) -> tuple[Numbers, Numbers]:
    """Places across and up of a pile of dots between two days: one column where it holds them, else several, filled."""
    high = round((_PILE_TOP - _PILE_FOOT) / _PILE_STEP)
    columns = max(1, -(-count // high))
    rows = -(-count // columns) if count else 0
    at = np.arange(count)
    across = left + (right - left) * (at // max(rows, 1) + 1) / (columns + 1)
    step = min(_PILE_STEP, (_PILE_TOP - _PILE_FOOT) / max(rows, 1))
    middle = (_PILE_TOP + _PILE_FOOT) / 2
    up = np.asarray(middle + step * ((rows - 1) / 2 - at % max(rows, 1)), dtype=np.float64)
    return across, up


# Finding a cow


def nearest(x: Numbers, y: Numbers, at_x: float, at_y: float, within: float) -> int | None:
    """Place of the point nearest to another, if it lies within a distance; the later (upper) of two alike."""
    if not len(x):
        return None
    away = (x - at_x) ** 2 + (y - at_y) ** 2
    place = len(away) - 1 - int(np.argmin(away[::-1]))
    return place if away[place] <= within * within else None


def next_in(order: Places, current: int | None, step: int) -> int | None:
    """The next place in an order of places, `step` on; it stays at the ends. From nowhere: the first."""
    if not len(order):
        return None
    found = np.flatnonzero(order == current) if current is not None else np.empty(0, dtype=np.intp)
    if not len(found):
        return int(order[0])
    return int(order[min(max(int(found[0]) + step, 0), len(order) - 1)])
