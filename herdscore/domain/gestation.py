"""Gestation length: by breed of sire and dam, by what a bull's own calvings say, and when a bull run conceives."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from herdscore.domain.calf_words import BULL_CALF, HEIFER_CALF, calf_sex
from herdscore.domain.herd import Snapshot
from herdscore.domain.herd_columns import Text
from herdscore.domain.records import AI, SERVICE
from herdscore.domain.rule_forms import DateRules
from herdscore.domain.rulebook import Rulebook

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]


def by_breed(breeds: Text, rulebook: Rulebook) -> Numbers:
    """Days of gestation of each breed named, NaN where the table does not know it."""
    known: dict[str | None, float] = {}
    for text in set(breeds):
        breed = rulebook.breed(text)
        known[text] = breed.gestation if breed else float("nan")
    return np.array([known[text] for text in breeds], dtype=np.float64)


def of_mating(sire: Numbers, dam: Numbers, rules: DateRules) -> Numbers:
    """Days for a mating: mean of sire's and dam's when both are known, else the one known, else the general mean."""
    known = np.isfinite(sire).astype(np.float64) + np.isfinite(dam)
    total = np.nan_to_num(sire) + np.nan_to_num(dam)
    return np.where(known > 0, total / np.maximum(known, 1), rules.gestation)


def own_weight(calvings: Numbers | float, rules: DateRules) -> Numbers:
    """Weight of a bull's own mean against his breed's after so many calvings, 0 to 1."""
    between = rules.spread_between_bulls**2
    return np.asarray(calvings * between / (calvings * between + rules.spread_within_bull**2), dtype=np.float64)


def learned(breed_mean: float, own_mean: float, calvings: float, rules: DateRules) -> float:
    """A bull's gestation length from his breed's mean and the mean of his own calvings, days."""
    return float(breed_mean + own_weight(calvings, rules) * (own_mean - breed_mean))


def bull_calvings(
    snapshot: Snapshot, service_day: Numbers, calving_day: Numbers, gestation: Numbers, rules: DateRules
) -> dict[str, tuple[int, float]]:
    """By sire: number of calvings with a known service day, and how many days they ran over the table's length.

    Twins, premature calves and calvings still ahead are left out; each length is corrected for a first calver's and
    a bull calf's days. A calving belongs to the mating it fits best, and to none outside a cycle either side.
    """
    services, calvings = snapshot.services, snapshot.calvings
    mating, calf = _mating_and_calf(snapshot)
    over = calving_day[calf] - service_day[mating] - gestation[mating]
    counts = (np.abs(over) <= rules.cycle_days) & (calving_day[calf] <= 0)
    mating, calf, over = mating[counts], calf[counts], over[counts]
    order = np.lexsort([np.abs(over), calf])
    best = np.ones(len(order), dtype=bool)
    best[1:] = calf[order][1:] != calf[order][:-1]
    mating, calf, over = mating[order][best], calf[order][best], over[order][best]
    born, single, first = _births(snapshot)
    named = np.array([sire is not None for sire in services.sire], dtype=bool)
    used = named[mating] & single[calf] & ~(calvings.premature[calf] == 1)
    first_calf = first[calf] & (snapshot.cows.calvings[calvings.cow[calf]] == born[calvings.cow[calf]])
    over = over - _sex_days(snapshot, rules)[calf] - np.where(first_calf, rules.first_calver_shift, 0.0)
    names, at = np.unique(services.sire[mating[used]].astype(str), return_inverse=True)
    count = np.bincount(at, minlength=len(names))
    total = np.bincount(at, weights=over[used], minlength=len(names))
    return {str(name): (int(n), float(days / n)) for name, n, days in zip(names, count, total, strict=True)}


def _mating_and_calf(snapshot: Snapshot) -> tuple[Places, Places]:
    """Every AI and seen service beside every calf of the same cow, as rows of both tables."""
    services, calvings = snapshot.services, snapshot.calvings
    mating = np.flatnonzero((services.kind == AI) | (services.kind == SERVICE))
    low = np.searchsorted(calvings.cow, services.cow[mating], side="left")
    count = np.searchsorted(calvings.cow, services.cow[mating], side="right") - low
    step = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    return np.repeat(mating, count), np.repeat(low, count) + step


def _births(snapshot: Snapshot) -> tuple[Places, npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Days on which each cow calved (a cow), and of each calf whether it was born alone and at the first of them."""
    calvings, n = snapshot.calvings, len(snapshot.cows)
    fresh = np.ones(len(calvings), dtype=bool)
    fresh[1:] = (calvings.cow[1:] != calvings.cow[:-1]) | (calvings.day[1:] != calvings.day[:-1])
    single = fresh.copy()
    single[:-1] &= fresh[1:]
    first = np.ones(len(calvings), dtype=bool)
    first[1:] = calvings.cow[1:] != calvings.cow[:-1]
    return np.bincount(calvings.cow[fresh], minlength=n), single, first


def _sex_days(snapshot: Snapshot, rules: DateRules) -> Numbers:
    """Days a calf of its sex is carried beyond the mean of both, 0 where the sex is not known."""
    sexes = {text: calf_sex(text) for text in set(snapshot.calvings.calf_sex)}
    side = {BULL_CALF: 0.5, HEIFER_CALF: -0.5}
    return np.array([side.get(sexes[text] or "", 0.0) for text in snapshot.calvings.calf_sex]) * rules.male_shift


def foetal_age(crown_rump_mm: float, rules: DateRules) -> float:
    """Days of age of a young foetus from its crown-rump length; holds under 50 days."""
    return crown_rump_mm + rules.crown_rump_days


def run_shares(days: int, rules: DateRules) -> tuple[Numbers, Numbers, Numbers]:
    """First day, last day and share of each cycle of a bull run of so many days, in calf given; shares sum to 1."""
    start = np.arange(0.0, max(days, 1), rules.cycle_days)
    end = np.minimum(start + rules.cycle_days, max(days, 1))
    open_still = (1 - rules.conception_share) ** np.arange(len(start))
    share = rules.conception_share * open_still * (end - start) / rules.cycle_days
    return start, end, share / share.sum()


@lru_cache(maxsize=8)
def bull_run(rules: DateRules) -> tuple[Numbers, Numbers, Numbers]:
    """For runs of 0 to 365 days: share in calf, mean day of conception and its standard deviation, in calf given.

    Each cycle gets its share of the cows still open, spread evenly over its days; the run is cut at its last day.
    """
    length = np.arange(366.0)[:, None]
    cycle = np.arange(365 // rules.cycle_days + 1)
    start = cycle * rules.cycle_days
    width = np.clip(length - start, 0.0, rules.cycle_days)
    share = rules.conception_share * (1 - rules.conception_share) ** cycle * width / rules.cycle_days
    total = share.sum(axis=1)
    with np.errstate(invalid="ignore"):
        middle = start + width / 2
        mean = (share * middle).sum(axis=1) / total
        square = (share * (middle**2 + width**2 / 12)).sum(axis=1) / total
    mean[0], square[0] = 0.0, 0.0
    return total, mean, np.sqrt(np.maximum(square - mean**2, 0.0))
