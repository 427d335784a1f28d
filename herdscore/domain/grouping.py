"""Which cows are compared with one another: every living cow in exactly one group, by one of seven ways.

Cows in milk stand apart from the others of a group, as they are measured now and not at calving.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, NO_BLOCK, SPRING_BLOCK
from herdscore.domain.day_names import SHORT_MONTHS
from herdscore.domain.diets import group_key
from herdscore.domain.reasons import say_day
from herdscore.domain.verdict import Verdict, in_milk_now

Flags = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]
Numbers = npt.NDArray[np.float64]

GROUP, FORTNIGHT, MONTH, BLOCK, CALVINGS, BREED, OWN = (
    "group",
    "fortnight",
    "month",
    "block",
    "calvings",
    "breed",
    "own",
)
WAYS = (
    (GROUP, "Feeding group"),
    (FORTNIGHT, "Fortnight"),
    (MONTH, "Month"),
    (BLOCK, "Block"),
    (CALVINGS, "Calvings"),
    (BREED, "Breed"),
    (OWN, "Own choice"),
)
"""Ways to compare, and what each is called."""

NO_GROUP, NO_DATE, NOT_KNOWN = "no group", "no date", "not known"
CHOSEN, OTHERS = "chosen cows", "all others"
_FORTNIGHT_DAYS = 14
_FIRST_MONDAY = 4  # days after 1 January 1970
_BY_CALVINGS = ("first-calvers", "second-calvers", "third-calvers", "fourth-calvers", "fifth-calvers", "older cows")


@dataclass(frozen=True, eq=False)
class Grouping:
    """Names of the groups, whether each is in milk, and the group of every cow, -1 outside the comparison."""

    way: str
    names: tuple[str, ...]
    in_milk: tuple[bool, ...]
    of_cow: Places

    def cows(self, group: int) -> Places:
        """Places of the cows of one group, in the order of the herd."""
        return np.flatnonzero(self.of_cow == group)


def in_milk(assessment: Assessment) -> Flags:
    """Cows measured now, against mating: calved not long ago, in the herd, and not found empty."""
    a = assessment
    apart = np.isin(a.verdict, (Verdict.GONE, Verdict.NOT_IN_CALF))
    return np.asarray(in_milk_now(a.facts, a.rulebook.limits, a.rulebook.verdicts) & ~apart, dtype=bool)


def group_cows(assessment: Assessment, way: str, among: Flags, chosen: Collection[str] = ()) -> Grouping:
    """Sort the living cows among into groups, those in milk last; `chosen` are identities for the way "own"."""
    milk = in_milk(assessment)
    code, names = _codes(assessment, way, milk, chosen)
    inside = among & ~assessment.facts.gone
    pair = np.where(milk, code + len(names), code)
    used = np.unique(pair[inside])
    of_cow = np.where(inside, np.searchsorted(used, pair), -1).astype(np.intp)
    side = used >= len(names)
    plain = [names[at % len(names)] for at in used.tolist()]
    both = {name for name in plain if plain.count(name) > 1}
    said = [
        f"{name}, in milk" if of_milk and name in both else name
        for name, of_milk in zip(plain, side.tolist(), strict=True)
    ]
    return Grouping(way, tuple(said), tuple(bool(one) for one in side.tolist()), of_cow)


def _codes(assessment: Assessment, way: str, milk: Flags, chosen: Collection[str]) -> tuple[Places, list[str]]:
    """Group of every cow as a place in the names, which stand in the order in which they are shown."""
    a = assessment
    if way == GROUP:
        return a.groups.now, [NO_GROUP if name is None else name for name in a.groups.names]
    if way in (FORTNIGHT, MONTH):
        return _by_date(a, milk, whole_months=way == MONTH)
    if way == BLOCK:
        order = (SPRING_BLOCK, AUTUMN_BLOCK, NO_BLOCK)
        names = [BLOCK_NAMES[code] or NOT_KNOWN for code in order]
        return np.argsort(order)[a.block].astype(np.intp), names
    if way == CALVINGS:
        return _by_calvings(a.dates.calvings, milk)
    if way == BREED:
        return _by_words(a.snapshot.cows.breed)
    if way == OWN:
        wanted = np.array([cow_id in chosen for cow_id in a.snapshot.cows.id.tolist()], dtype=bool)
        return np.where(wanted, 0, 1).astype(np.intp), [CHOSEN, OTHERS]
    raise ValueError(way)


def _by_date(a: Assessment, milk: Flags, *, whole_months: bool) -> tuple[Places, list[str]]:
    """By the fortnight (from a Monday) or month in which a cow calves, or in which a cow in milk calved."""
    ahead = np.where(milk, a.dates.last_calving, a.dates.day)
    known = np.isfinite(ahead)
    days = np.datetime64(a.today, "D") + np.round(np.where(known, ahead, 0.0)).astype("timedelta64[D]")
    if whole_months:
        period = days.astype("datetime64[M]").astype(np.int64)
    else:
        period = (days.astype(np.int64) - _FIRST_MONDAY) // _FORTNIGHT_DAYS
    key = period * 2 + milk
    used, at = np.unique(key[known], return_inverse=True)
    code = np.full(len(ahead), len(used), dtype=np.intp)
    code[known] = at
    names = [
        ("calved " if one % 2 else "") + (_month(one // 2) if whole_months else _fortnight(one // 2, a.today))
        for one in used.tolist()
    ]
    return code, [*names, NO_DATE]


def _month(number: int) -> str:
    return f"{SHORT_MONTHS[number % 12]}\u00a0{1970 + number // 12}"


def _fortnight(number: int, today: date) -> str:
    first = date(1970, 1, 1) + timedelta(days=number * _FORTNIGHT_DAYS + _FIRST_MONDAY)
    return f"from {say_day(first, today)}"


def _by_calvings(calvings: Numbers, milk: Flags) -> tuple[Places, list[str]]:
    """By the calving a cow is heading for; one in milk by the calving she had."""
    number = np.where(milk, calvings - 1, calvings)
    last = len(_BY_CALVINGS) - 1
    known = np.isfinite(number)
    code = np.where(known, np.clip(np.where(known, number, 0), 0, last), last + 1)
    return code.astype(np.intp), [*_BY_CALVINGS, NOT_KNOWN]


def _by_words(words: npt.NDArray[np.object_]) -> tuple[Places, list[str]]:
    """By words as they were first spelled, in alphabetical order, cows without any last."""
    spelled: dict[str, str] = {}
    for word in dict.fromkeys(words.tolist()):
        if word and word.strip():
            spelled.setdefault(group_key(word), " ".join(word.split()))
    keys = sorted(spelled)
    place: dict[str | None, int] = {
        word: keys.index(group_key(word)) if word and word.strip() else len(keys)
        for word in dict.fromkeys(words.tolist())
    }
    code = np.array([place[word] for word in words.tolist()], dtype=np.intp)
    return code, [*[spelled[key] for key in keys], NOT_KNOWN]
