"""What each cow was, is and is assumed to be fed: her time line cut into segments with a rate each.

Days count from today; a rate is an index into the rates of the herd.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.calendar import NO_BLOCK, Blocks, HerdCalendar, days_from
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import AFTER_CALVING, DOWN, GRASS, HOUSING, TO_HOLD, TURNOUT, UP, WINTER_FEED
from herdscore.domain.rule_forms import ModelParameters

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

ALWAYS = 100_000.0
"""Day that stands for the ends of time on a cow's line."""
UNKNOWN, WINTER, AT_GRASS, SUCKLING, HELD = range(5)
_CLASS = {WINTER_FEED: WINTER, GRASS: AT_GRASS, AFTER_CALVING: SUCKLING, TO_HOLD: HELD}


@dataclass(frozen=True)
class Groups:
    """Feeding groups: names (None for no group), each cow's group now, and every stay (row: cow, group, from, to)."""

    names: tuple[str | None, ...]
    now: Places
    joined: Numbers
    stay_cow: Places
    stay_group: Places
    stay_from: Numbers
    stay_to: Numbers


@dataclass(frozen=True)
class Segments:
    """Segments of every cow, padded (cows, segments), and the rates they point to."""

    low: Numbers
    high: Numbers
    rate: Places
    assumed: npt.NDArray[np.bool_]
    rate_class: Places
    rate_mean: Numbers
    rate_diet: Numbers
    class_mean: Numbers
    class_sd: Numbers


@dataclass(frozen=True)
class RunningChanges:
    """Running change of each cow: side acted on (-1 up, +1 down, 0 none), day it began, row of the diet."""

    side: npt.NDArray[np.int8]
    begun: Numbers
    diet: Numbers


def group_key(name: str) -> str:
    """What two spellings of one group share: no case, single blanks."""
    return " ".join(name.split()).casefold()


def groups_of(snapshot: Snapshot, today: date) -> Groups:
    """Who stood where and when. Before her first move a cow's group is unknown; group names match without case."""
    cows, moves, n = snapshot.cows, snapshot.moves, len(snapshot.cows)
    spelled: dict[str, str] = {}
    place_of: dict[str | None, int] = {}
    for name in dict.fromkeys((*snapshot.diets.group.tolist(), *cows.group.tolist(), *moves.group.tolist())):
        if name is not None:
            spelled.setdefault(group_key(name), name)
            place_of[name] = 0
    keys = sorted(spelled)
    for name in place_of:
        place_of[name] = keys.index(group_key(name)) if name is not None else 0
    none = place_of[None] = len(keys)

    def code(names: npt.NDArray[np.object_]) -> Places:
        return np.array([place_of[name] for name in names.tolist()], dtype=np.intp)

    typed, to, day = code(cows.group), code(moves.group), days_from(today, moves.day)
    moved = np.zeros(n, dtype=bool)
    moved[moves.cow] = True
    before = np.where(moved, none, typed)
    first_day = np.full(n, ALWAYS)
    if len(moves):
        first_day[moves.cow[::-1]] = day[::-1]
    next_day = np.full(len(moves), ALWAYS)
    same = moves.cow[1:] == moves.cow[:-1]
    next_day[:-1][same] = day[1:][same]
    stay_cow = np.concatenate([np.arange(n), moves.cow])
    stay_group = np.concatenate([before, to])
    stay_from = np.concatenate([np.full(n, -ALWAYS), day])
    stay_to = np.concatenate([np.where(moved, first_day, ALWAYS), next_day])
    now, joined = typed.copy(), np.full(n, -ALWAYS)
    past = day <= 0
    now[moves.cow[past]], joined[moves.cow[past]] = to[past], day[past]
    # A cow whose only moves lie ahead is still where the register says.
    return Groups((*[spelled[k] for k in keys], None), now, joined, stay_cow, stay_group, stay_from, stay_to)


class _Rates:
    """Rates of the herd, one index each, made as segments ask for them."""

    def __init__(self, model: ModelParameters) -> None:
        self.places: dict[tuple[object, ...], int] = {}
        self.rate_class: list[int] = []
        self.mean: list[float] = []
        self.diet: list[float] = []
        self.class_mean = list(model.class_means)
        self.class_sd = list(model.class_sds)
        self._stated_sd = model.rate_stated_sd

    def place(self, key: tuple[object, ...], rate_class: int, diet: float = float("nan")) -> int:
        if key not in self.places:
            self.places[key] = len(self.rate_class)
            self.rate_class.append(rate_class)
            self.mean.append(float("nan"))
            self.diet.append(diet)
        return self.places[key]

    def stated(self, per_day: float) -> int:
        """A class of its own for a diet whose expected change was stated."""
        self.class_mean.append(per_day)
        self.class_sd.append(self._stated_sd)
        return len(self.class_mean) - 1


_Piece = tuple[float, float, int, bool]


def _diet_pieces(
    snapshot: Snapshot, groups: Groups, group: int, day: Numbers, rates: _Rates
) -> tuple[list[_Piece], bool]:
    """The stated diets of a group as pieces of the time line, and whether one begins after today."""
    diets, name = snapshot.diets, groups.names[group]
    rows: list[int] = []
    if name is not None:
        key = group_key(name)
        rows = [i for i, g in enumerate(diets.group) if group_key(g) == key]
        rows.sort(key=lambda i: (day[i], i))
    first = float(day[rows[0]]) if rows else ALWAYS
    pieces: list[_Piece] = [(-ALWAYS, first, rates.place((group, "unknown"), UNKNOWN), False)]
    for row, after in zip(rows, [*rows, None][1:], strict=True):
        low, high = float(day[row]), float(day[after]) if after is not None else ALWAYS
        if high <= low:
            continue
        change = float(diets.expected_change[row])
        if change == change:
            kind = rates.stated(change / 7)
        elif diets.aim[row] is not None:
            kind = UNKNOWN
        else:
            kind = _CLASS.get(diets.kind[row], UNKNOWN)
        pieces.append((low, high, rates.place((group, "diet", row), kind, float(row)), False))
    return pieces, bool(rows) and float(day[rows[-1]]) > 0


def _with_assumed(pieces: list[_Piece], group: int, block: int, calendar: HerdCalendar, rates: _Rates) -> list[_Piece]:
    """Cut the piece of today at the block's next housing and turnout, which bring winter feed and grass."""
    ahead = [(calendar.next(block, HOUSING), WINTER), (calendar.next(block, TURNOUT), AT_GRASS)]
    cut = pieces[:-1]
    low, high, rate, assumed = pieces[-1]
    for day, kind in sorted((day, kind) for day, kind in ahead if day == day):
        cut.append((low, day, rate, assumed))
        low, rate, assumed = day, rates.place((group, "assumed", day, kind), kind), True
    cut.append((low, high, rate, assumed))
    return cut


@dataclass(frozen=True, slots=True)
class GroupPiece:
    """What a group is on between two days from today: a row of the diets, or None and a rate class that is assumed."""

    low: float
    high: float
    diet: int | None
    rate_class: int
    assumed: bool


def group_pieces(
    snapshot: Snapshot, groups: Groups, group: int, block: int, model: ModelParameters, today: date
) -> list[GroupPiece]:
    """The whole time line of one group whose cows are of one block, as `segments_of` reckons it for each cow."""
    rates = _Rates(model)
    pieces, ahead = _diet_pieces(snapshot, groups, group, days_from(today, snapshot.diets.day), rates)
    if not ahead and block != NO_BLOCK:
        pieces = _with_assumed(pieces, group, block, HerdCalendar(snapshot, today), rates)
    return [
        GroupPiece(low, high, None if diet != diet else int(diet), rates.rate_class[rate], assumed)
        for low, high, rate, assumed in pieces
        if low < high
        for diet in (rates.diet[rate],)
    ]


def segments_of(
    snapshot: Snapshot,
    groups: Groups,
    block: Blocks,
    calved_day: Numbers,
    model: ModelParameters,
    today: date,
) -> Segments:
    """Segments of every cow. `calved_day` is her last calving, recorded or reckoned, NaN for a heifer."""
    rates = _Rates(model)
    calendar = HerdCalendar(snapshot, today)
    diet_day = days_from(today, snapshot.diets.day)
    stay_block = block[groups.stay_cow]
    # Blocks matter only where something is assumed; code the pair in one number.
    pair = groups.stay_group * 3 + stay_block
    # Starts with nothing, so that a herd without a cow has lines too: none.
    none = np.empty(0, dtype=np.intp)
    parts = [(none, np.empty(0), np.empty(0), none, np.empty(0, dtype=bool))]
    stated: dict[int, tuple[list[_Piece], bool]] = {}
    for code in np.unique(pair):
        group, of_block = divmod(int(code), 3)
        if group not in stated:
            stated[group] = _diet_pieces(snapshot, groups, group, diet_day, rates)
        pieces, ahead = stated[group]
        if not ahead and of_block != NO_BLOCK:
            pieces = _with_assumed(pieces, group, of_block, calendar, rates)
        stays = np.flatnonzero(pair == code)
        ends = np.array([(low, high) for low, high, _, _ in pieces])
        low = np.maximum(groups.stay_from[stays][:, None], ends[:, 0])
        high = np.minimum(groups.stay_to[stays][:, None], ends[:, 1])
        keep = low < high
        at = np.broadcast_to(np.arange(len(pieces)), low.shape)[keep]
        rate = np.array([rate for _, _, rate, _ in pieces], dtype=np.intp)[at]
        assumed = np.array([assumed for _, _, _, assumed in pieces], dtype=bool)[at]
        cow = np.broadcast_to(groups.stay_cow[stays][:, None], low.shape)[keep]
        parts.append((cow, low[keep], high[keep], rate, assumed))
    cow, low, high, rate, assumed = (np.concatenate(column) for column in zip(*parts, strict=True))
    cow, low, high, rate, assumed = _with_suckling(
        cow, low, high, rate, assumed, groups, calved_day, model.after_calving_days, rates
    )
    return _padded(len(snapshot.cows), cow, low, high, rate, assumed, rates, model.max_age_days)


def _with_suckling(
    cow: Places,
    low: Numbers,
    high: Numbers,
    rate: Places,
    assumed: npt.NDArray[np.bool_],
    groups: Groups,
    calved_day: Numbers,
    days: int,
    rates: _Rates,
) -> tuple[Places, Numbers, Numbers, Places, npt.NDArray[np.bool_]]:
    """Lay the weeks after calving, which have a rate by themselves, over the diets."""
    p = calved_day[cow]
    calved = np.isfinite(p)
    before = np.where(calved, np.minimum(high, p), high)
    after = np.where(calved, np.maximum(low, p + days), ALWAYS)
    mother = np.flatnonzero(np.isfinite(calved_day))
    at = calved_day[mother]
    # The stay that holds the calving day names the group she calved in.
    holds = (groups.stay_from <= calved_day[groups.stay_cow]) & (calved_day[groups.stay_cow] < groups.stay_to)
    group = np.full(len(calved_day), len(groups.names) - 1, dtype=np.intp)
    group[groups.stay_cow[holds]] = groups.stay_group[holds]
    index = {int(g): rates.place((int(g), "suckling"), SUCKLING) for g in np.unique(group[mother])}
    own = np.array([index[int(g)] for g in group[mother]], dtype=np.intp)
    cow = np.concatenate([cow, mother, cow])
    low = np.concatenate([low, at, after])
    high = np.concatenate([before, at + days, high])
    rate = np.concatenate([rate, own, rate])
    assumed = np.concatenate([assumed, np.zeros(len(mother), dtype=bool), assumed])
    keep = low < high
    return cow[keep], low[keep], high[keep], rate[keep], assumed[keep]


def _padded(
    n: int,
    cow: Places,
    low: Numbers,
    high: Numbers,
    rate: Places,
    assumed: npt.NDArray[np.bool_],
    rates: _Rates,
    max_age: int,
) -> Segments:
    """Rows to one padded line a cow; what ended before the oldest score counts nothing and is dropped."""
    keep = high > -max_age - 1
    cow, low, high, rate, assumed = cow[keep], low[keep], high[keep], rate[keep], assumed[keep]
    order = np.lexsort([low, cow])
    cow = cow[order]
    count = np.bincount(cow, minlength=n)
    place = np.arange(len(cow)) - np.repeat(np.cumsum(count) - count, count)
    k = int(count.max(initial=1))
    lows, highs = np.full((n, k), ALWAYS), np.full((n, k), ALWAYS)
    made = np.zeros((n, k), dtype=np.intp)
    guessed = np.zeros((n, k), dtype=bool)
    used, own = np.unique(rate, return_inverse=True)
    lows[cow, place], highs[cow, place] = low[order], high[order]
    made[cow, place], guessed[cow, place] = own[order], assumed[order]
    lows[:, 0] = -ALWAYS
    return Segments(
        low=lows,
        high=highs,
        rate=made,
        assumed=guessed,
        rate_class=np.array(rates.rate_class, dtype=np.intp)[used],
        rate_mean=np.array(rates.mean)[used],
        rate_diet=np.array(rates.diet)[used],
        class_mean=np.array(rates.class_mean),
        class_sd=np.array(rates.class_sd),
    )


def running_changes(snapshot: Snapshot, groups: Groups, today: date) -> RunningChanges:
    """The change a cow is on: the diet of her group today, when it has an aim; begun when it or she came."""
    n = len(snapshot.cows)
    day = days_from(today, snapshot.diets.day)
    place = {name: i for i, name in enumerate(groups.names)}
    folded = {group_key(name): i for name, i in place.items() if name is not None}
    row = np.full(len(groups.names), np.nan)
    for i in sorted(np.flatnonzero(day <= 0), key=lambda i: day[i]):
        row[folded[group_key(snapshot.diets.group[i])]] = i
    side = np.zeros(len(groups.names), dtype=np.int8)
    begun = np.full(len(groups.names), np.nan)
    for group, diet in enumerate(row):
        if diet == diet:
            side[group] = {UP: -1, DOWN: 1}.get(snapshot.diets.aim[int(diet)], 0)
            begun[group] = day[int(diet)]
    mine = side[groups.now]
    started = np.where(mine != 0, np.maximum(begun[groups.now], groups.joined), np.nan)
    return RunningChanges(mine if n else side[:0], started, np.where(mine != 0, row[groups.now], np.nan))
