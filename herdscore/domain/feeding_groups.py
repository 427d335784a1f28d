"""Feeding groups: who is fed together, as the least spread of what they want within the pens and places there are.

Cows stand in order of wanted change; a group is a run of that order. The best cut is found exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from herdscore.domain.energy import Numbers
from herdscore.domain.feeding_cows import LeftOut, days_of_change, refusals_of_start, wanted_a_week, wanted_change
from herdscore.domain.feeding_forms import FeedingLimits
from herdscore.domain.feeds import Feeds
from herdscore.domain.need import CowsFed, Places, balance_of_rate, need
from herdscore.domain.ration_checks import Limit, largest_step
from herdscore.domain.rulebook import Rulebook

BY_CHANGE, BY_ENERGY = "wanted change", "needed energy"


@dataclass(frozen=True, slots=True)
class Pen:
    """A pen or field and the cows it has room to feed at once; None any number."""

    name: str
    places: int | None = None


@dataclass(frozen=True, eq=False)
class FeedingGroup:
    """Cows fed together: places among the cows given, the pen, and what they want."""

    cows: Places
    tags: tuple[str, ...]
    pen: str | None
    aim: int  # +1 up, 0 to need, -1 down
    wanted: float  # mean change of score by calving
    wanted_a_week: float  # mean, score
    cost: float  # sum of squared distances from what the group is fed for
    first_day: float  # calving day of the first and last
    last_day: float
    moved: tuple[str, ...]  # those who stand elsewhere now


@dataclass(frozen=True, eq=False)
class Grouping:
    """Groups from the thinnest want to the fattest, what they cost together, and who is left where she is."""

    groups: tuple[FeedingGroup, ...]
    cost: float
    by: str
    left_out: tuple[LeftOut, ...]


def propose_groups(
    cows: CowsFed,
    pens: Sequence[Pen],
    rules: Rulebook,
    *,
    now_in: Sequence[str | None] | None = None,
    windows: int | None = None,
    by: str = BY_CHANGE,
) -> Grouping:
    """The cheapest groups of scored and dated cows; those inside the lead stay where they are.

    `now_in` is each cow's pen today; `windows` the calving windows kept apart (None: as few as their span asks for).
    """
    stay = refusals_of_start(cows, slimming=False, limits=rules.limits)
    free = cows.only(cows.calving_day >= rules.limits.lead_days)
    home = _free_of(cows, now_in, rules)
    if not len(free) or not pens:
        return Grouping((), 0.0, by, tuple(stay))
    value, floor = _value(free, by, rules)
    window = calving_windows(free.calving_day, windows, len(pens), rules.feeding)
    order = _order(free, value, window)
    room = [len(free) if pen.places is None else pen.places for pen in pens]
    runs = _best_runs(value[order], floor[order], window[order], room)
    if runs is None:
        raise ValueError("The pens have fewer places than there are cows.")
    members = [order[low:high] for low, high, _ in runs]
    named = _pens_of(members, [size for _, _, size in runs], pens, room, home)
    groups = [
        _group(cows, free, rows, pens[pen].name, home, by, rules) for rows, pen in zip(members, named, strict=True)
    ]
    return Grouping(tuple(groups), sum(group.cost for group in groups), by, tuple(stay))


def grouping_of(
    cows: CowsFed,
    pen_of: Sequence[str],
    rules: Rulebook,
    *,
    now_in: Sequence[str | None] | None = None,
    by: str = BY_CHANGE,
) -> Grouping:
    """The same account of groups made by hand: `pen_of` names the pen of every cow, those inside the lead left out."""
    stay = refusals_of_start(cows, slimming=False, limits=rules.limits)
    inside = cows.calving_day >= rules.limits.lead_days
    free, home = cows.only(inside), _free_of(cows, now_in, rules)
    chosen = np.array(list(pen_of), dtype=object)[inside]
    groups = [
        _group(cows, free, np.flatnonzero(chosen == pen), pen, home, by, rules)
        for pen in dict.fromkeys(chosen.tolist())
    ]
    groups.sort(key=lambda group: -group.wanted_a_week)
    return Grouping(tuple(groups), sum(group.cost for group in groups), by, tuple(stay))


def may_join(feeds: Feeds, own: Numbers, pen: Numbers, rules: Rulebook) -> tuple[bool, Limit | None]:
    """Whether a cow on a ration of her own may join a pen whose plan runs: only within one step of its ration today."""
    share, limit = largest_step(feeds, own, pen, rules.feeding)
    return share >= 1, limit


def calving_windows(day: Numbers, windows: int | None, pens: int, limits: FeedingLimits) -> Places:
    """Window of each cow by calving day, [N]: as few as keep each within its span, half the pens at most."""
    order = np.argsort(day, kind="stable")
    if windows is None:
        needed, begun = 1, day[order[0]]
        for at in day[order]:
            if at - begun > limits.window_days:
                needed, begun = needed + 1, at
        windows = min(needed, max(pens // 2, 1))
    windows = min(windows, pens, len(day))
    none = np.full(len(day), -np.inf)
    runs = _best_runs(day[order], none, np.zeros(len(day), dtype=np.intp), [len(day)] * windows)
    assert runs is not None
    window = np.empty(len(day), dtype=np.intp)
    for place, (low, high, _) in enumerate(runs):
        window[order[low:high]] = place
    return window


def _free_of(cows: CowsFed, now_in: Sequence[str | None] | None, rules: Rulebook) -> list[str | None]:
    homes = list(now_in) if now_in is not None else [None] * len(cows)
    return [home for home, day in zip(homes, cows.calving_day, strict=True) if day >= rules.limits.lead_days]


def _value(cows: CowsFed, by: str, rules: Rulebook) -> tuple[Numbers, Numbers]:
    """What is to be alike within a group, and the least a group with this cow may be fed for, [N] each."""
    change = wanted_a_week(cows, rules.limits)
    level = np.where(cows.never_slimmed, 0.0, -np.inf)
    if by == BY_CHANGE:
        return change, level
    me, middle = rules.feeding.me_average_top, days_of_change(cows, rules.limits)[:, None] / 2
    needed = need(cows, me, middle, rules.energy).total[:, 0]
    moving = balance_of_rate(cows, change[:, None] / 7.0, me, cows.score[:, None], rules.energy)[:, 0]
    return needed + moving, np.where(cows.never_slimmed, needed, -np.inf)


def _order(cows: CowsFed, value: Numbers, window: Places) -> Places:
    """By window, first-calvers and cows with twins with the thin, then what they want most first, ties by date."""
    with_thin = cows.twins | (cows.first_calver & (cows.score <= cows.upper))
    return np.lexsort([cows.calving_day, -value, ~with_thin, window])


Run = tuple[int, int, int]


def _best_runs(value: Numbers, floor: Numbers, window: Places, room: Sequence[int]) -> list[Run] | None:
    """Cut an order into runs (from, to, places of the pen) of least cost, exactly; None when they do not fit.

    A pen is known by its places only, so that the states are how many of each size are used.
    """
    n = len(value)
    sizes = sorted(set(min(places, n) for places in room), reverse=True)
    have = [sum(min(places, n) == size for places in room) for size in sizes]
    cost = _run_costs(value, floor, window)
    states = list(product(*(range(count + 1) for count in have)))
    best = {state: np.full(n + 1, np.inf) for state in states}
    back: dict[tuple[int, ...], list[tuple[int, int]]] = {state: [(-1, -1)] * (n + 1) for state in states}
    best[states[0]][0] = 0.0
    length = np.arange(n + 1)[None, :] - np.arange(n + 1)[:, None]
    for state in states[1:]:
        for place, size in enumerate(sizes):
            if not state[place]:
                continue
            before = tuple(count - (at == place) for at, count in enumerate(state))
            reach = best[before][:, None] + np.where((length >= 1) & (length <= size), cost, np.inf)
            low = reach.argmin(axis=0)
            found = reach[low, np.arange(n + 1)]
            for high in np.flatnonzero(found < best[state]).tolist():
                best[state][high] = found[high]
                back[state][high] = (int(low[high]), place)
    state = min(states, key=lambda s: (best[s][n], sum(s)))
    if not np.isfinite(best[state][n]):
        return None
    runs: list[Run] = []
    high = n
    while high:
        low, place = back[state][high]
        runs.append((low, high, sizes[place]))
        state = tuple(count - (at == place) for at, count in enumerate(state))
        high = low
    return runs[::-1]


def _run_costs(value: Numbers, floor: Numbers, window: Places) -> Numbers:
    """Cost of every run low..high, [n + 1, n + 1]: squared distances from its mean, or from its highest floor."""
    n = len(value)
    sums, squares = np.cumsum(np.append(0.0, value)), np.cumsum(np.append(0.0, value**2))
    with np.errstate(invalid="ignore", divide="ignore"):
        count = (np.arange(n + 1)[None, :] - np.arange(n + 1)[:, None]).astype(float)
        total, square = sums[None, :] - sums[:, None], squares[None, :] - squares[:, None]
        mean = total / count
    highest = np.full((n + 1, n + 1), -np.inf)
    for low in range(n):
        highest[low, low + 1 :] = np.maximum.accumulate(floor[low:])
    fed = np.where(highest > mean, highest, mean)
    cost = np.maximum(square - 2 * fed * total + count * fed**2, 0.0)
    same = np.zeros((n + 1, n + 1), dtype=bool)
    same[:n, 1:] = window[:, None] == window[None, :]
    costs: Numbers = np.where(np.triu(np.ones_like(same), 1) & same, cost, np.inf)
    return costs


def _pens_of(
    members: Sequence[Places],
    sizes: Sequence[int],
    pens: Sequence[Pen],
    room: Sequence[int],
    home: Sequence[str | None],
) -> list[int]:
    """The pen of each group, so that the fewest cows move; a group goes where it has room, exactly."""
    at_home = np.array(
        [[sum(home[cow] == pen.name for cow in rows) for pen in pens] for rows in members], dtype=float
    ).reshape(len(members), len(pens))
    fits = np.array([[len(rows) <= places for places in room] for rows in members])
    best: dict[int, tuple[float, list[int]]] = {0: (0.0, [])}
    for group in range(len(members)):
        reached: dict[int, tuple[float, list[int]]] = {}
        for used, (stays, chosen) in best.items():
            for pen in range(len(pens)):
                if used >> pen & 1 or not fits[group, pen]:
                    continue
                key, value = used | 1 << pen, stays + at_home[group, pen]
                if key not in reached or value > reached[key][0]:
                    reached[key] = (value, [*chosen, pen])
        best = reached
    return max(best.values(), key=lambda found: found[0])[1]


def _group(
    cows: CowsFed, free: CowsFed, rows: Places, pen: str, home: Sequence[str | None], by: str, rules: Rulebook
) -> FeedingGroup:
    mine = free.only(rows)
    value, floor = _value(mine, by, rules)
    fed = max(float(value.mean()), float(floor.max()))
    wanted = float(wanted_change(mine, rules.limits).mean())
    protected = bool(mine.never_slimmed.any())
    level = abs(wanted) <= rules.feeding.hold_within or (wanted < 0 and protected)
    place = {int(row): at for at, row in enumerate(cows.row)}
    return FeedingGroup(
        cows=np.array([place[int(row)] for row in mine.row], dtype=np.intp),
        tags=tuple(mine.tag),
        pen=pen,
        aim=0 if level else int(np.sign(wanted)),
        wanted=wanted,
        wanted_a_week=float(wanted_a_week(mine, rules.limits).mean()),
        cost=float(((value - fed) ** 2).sum()),
        first_day=float(mine.calving_day.min()),
        last_day=float(mine.calving_day.max()),
        moved=tuple(mine.tag[i] for i, row in enumerate(rows) if home[row] is not None and home[row] != pen),
    )
