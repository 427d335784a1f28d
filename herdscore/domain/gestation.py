"""Gestation length: by breed of sire and dam, by what a bull's own calvings say, and when a bull run conceives."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from herdscore.domain.herd import Snapshot, Text
from herdscore.domain.records import AI, SERVICE
from herdscore.domain.rule_forms import DateRules
from herdscore.domain.rulebook import Rulebook

Numbers = npt.NDArray[np.float64]


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

    Twins and premature calves are left out; each length is corrected for a first calver's and a bull calf's days.
    """
    services, calvings = snapshot.services, snapshot.calvings
    seen = np.array([kind in (AI, SERVICE) for kind in services.kind], dtype=bool)
    named = np.array([sire is not None for sire in services.sire], dtype=bool)
    over: dict[str, list[float]] = {}
    first = np.searchsorted(calvings.cow, np.arange(len(snapshot.cows)))
    for row in np.flatnonzero(seen & named):
        cow = services.cow[row]
        low, high = first[cow], np.searchsorted(calvings.cow, cow, side="right")
        length = calving_day[low:high] - service_day[row]
        # Three weeks either side: outside them she held to another mating.
        born = low + np.flatnonzero(np.abs(length - gestation[row]) <= rules.cycle_days)
        if len(born) != 1 or calvings.premature[born[0]] == 1:
            continue
        calf = born[0]
        shift = {"bull": 0.5, "heifer": -0.5}.get(calvings.calf_sex[calf] or "", 0.0) * rules.male_shift
        if calf == low and snapshot.cows.calvings[cow] == high - low:
            shift += rules.first_calver_shift
        over.setdefault(services.sire[row], []).append(
            float(calving_day[calf] - service_day[row] - gestation[row] - shift)
        )
    return {sire: (len(days), float(np.mean(days))) for sire, days in over.items()}


def foetal_age(crown_rump_mm: float, rules: DateRules) -> float:
    """Days of age of a young foetus from its crown-rump length; holds under 50 days."""
    return crown_rump_mm + rules.crown_rump_days


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
