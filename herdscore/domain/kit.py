"""What lies ready before calving, scaled to the cows due and to how many calvings the herd's own record helped."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.calving_forms import KitItem
from herdscore.domain.calving_season import season_year, still_to_calve
from herdscore.domain.herd import Snapshot
from herdscore.domain.rulebook import Rulebook


@dataclass(frozen=True, slots=True)
class KitLine:
    """One item: its tick's name, what it is, how many (None: as the vet advises) and the unit."""

    tick: str
    item: str
    quantity: int | None
    unit: str
    advice: str = ""

    @property
    def said(self) -> str:
        """How many, as it stands on the sheet."""
        return self.advice if self.quantity is None else f"{self.quantity} {self.unit}".strip()


def kit_list(assessment: Assessment, block: int | None = None) -> tuple[KitLine, ...]:
    """The kit for the cows of a block still to calve, or of both."""
    a = assessment
    due = still_to_calve(a) if block is None else still_to_calve(a) & (a.block == block)
    first = int((due & a.dates.first_calver).sum())
    cows = int(due.sum())
    earliest = a.day(float(a.dates.day[due].min())) if cows else a.today
    assert earliest is not None
    name, year = ("both", earliest.year) if block is None else (BLOCK_NAMES[block], season_year(block, earliest))
    season = f"{name} {year}"
    return kit_for(cows, helped_calvings(a.snapshot, a.rulebook, cows - first, first), a.rulebook, season)


def kit_for(cows: int, helped: float, rulebook: Rulebook, season: str = "") -> tuple[KitLine, ...]:
    """The kit for so many cows, so many calvings of theirs helped; `season` keeps the ticks of each year apart."""
    return tuple(
        KitLine(
            f"kit/{season}/{item.key}",
            item.item,
            None if item.advice else _quantity(item, cows, helped),
            item.unit,
            item.advice,
        )
        for item in rulebook.kit_items
    )


def _quantity(item: KitItem, cows: int, helped: float) -> int:
    if cows >= item.large_from:
        return math.ceil(item.large)
    wanted = item.plus + item.per_cow * cows + item.per_helped * helped
    return math.ceil(max(wanted, item.least) - 1e-9)


def helped_calvings(snapshot: Snapshot, rulebook: Rulebook, cows: int, first_calvers: int) -> float:
    """Calvings to help among so many cows and first-calvers: by the herd's own record, else by published rates."""
    rules, calvings = rulebook.kit, snapshot.calvings
    seen = np.isfinite(calvings.ease)
    fresh = np.ones(len(calvings), dtype=bool)
    fresh[1:] = (calvings.cow[1:] != calvings.cow[:-1]) | (calvings.day[1:] != calvings.day[:-1])
    counted = seen & fresh
    if counted.sum() >= rules.own_record:
        return float((calvings.ease[counted] >= 2).mean()) * (cows + first_calvers)
    return rules.helped_cows * cows + rules.helped_first_calvers * first_calvers
