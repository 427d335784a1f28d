"""A group's feeding plan: what it is, what it does to each cow, and what stands in its way.

Rations in kg dry matter a head a day [P, F] over P periods in the order of the feeds; days from today.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from herdscore.domain.energy import Flags, Numbers
from herdscore.domain.feeding_cows import LeftOut
from herdscore.domain.feeding_periods import Periods
from herdscore.domain.feeds import Feeds
from herdscore.domain.need import CowsFed, Fed
from herdscore.domain.ration_checks import Limit, Step

SAME_KG = 0.01  # kg dry matter; less is no change


class Status(StrEnum):
    """What became of a plan."""

    PLANNED = "planned"
    PART_WAY = "part way"
    NOT_FEASIBLE = "not feasible"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class InTheWay:
    """A limit that stands in the way: `broken` if no plan keeps it, else it holds the plan back; cows it names."""

    limit: Limit
    broken: bool
    names: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Plan:
    """Rations of a group from today to its last calving.

    Not feasible: the rations are those of the best gentle plan, none (P = 0) where even that does not exist.
    Refused: no rations, and `left_out` names the cows in the way.
    """

    status: Status
    aim: int  # +1 up, 0 to need, -1 down
    cows: CowsFed
    feeds: Feeds
    periods: Periods
    present: Numbers | None  # [F], None: not known, the first ration is taken as what they are on
    ration: Numbers  # [P, F]
    offered: Numbers  # [P], MJ a head a day
    me: Numbers  # [P], MJ/kg dry matter
    need: Numbers  # [P], of the average cow waiting
    need_second: Numbers  # [P], by the second system
    wanted: float  # mean change of score by calving
    fed: Fed  # course of every cow
    in_the_way: tuple[InTheWay, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    outside_now: tuple[Limit, ...] = ()  # limits the ration of today does not keep; mended over the changeover
    cost: float = float("nan")  # of everything fed; NaN when a price is missing
    rounds: int = 0  # times the programme was solved

    @property
    def reached(self) -> float:
        """Mean change of score by calving."""
        return float((self.fed.at_calving - self.cows.score).mean())

    @property
    def in_band(self) -> Flags:
        """Cows projected to calve in their band, [N]."""
        at = self.fed.at_calving
        return (at >= self.cows.lower) & (at <= self.cows.upper)

    @property
    def change_a_week(self) -> float:
        """Expected change of score a week until calving, mean over the cows; what the diet is recorded with."""
        change = (self.fed.at_calving - self.cows.score) / np.maximum(self.cows.calving_day, 1.0)
        return 7.0 * float(change.mean())

    @property
    def kg_fresh(self) -> Numbers:
        """Rations in kg fresh a head a day, [P, F]."""
        fresh: Numbers = self.ration / self.feeds.dm
        return fresh

    @property
    def used(self) -> Numbers:
        """Kg dry matter of each feed fed to all cows, [F]."""
        fed: Numbers = self.periods.cow_days @ self.ration
        return fed

    @property
    def first_cow(self) -> str:
        """Tag of the cow whose early date the plan ends on."""
        return str(self.cows.tag[self.periods.first_cow])

    def steps(self) -> list[Step]:
        """Days on which the ration changes, and to what; without a ration of today the first is what they are on."""
        made: list[Step] = []
        before = self.present
        for day, ration in zip(self.periods.start, self.ration, strict=False):
            if before is None or np.abs(ration - before).max() > SAME_KG:
                made.append(Step(float(day), ration))
                before = ration
        return made

    def on(self, day: float) -> Numbers:
        """Ration of a day, [F]; the last one after the end."""
        place = int(np.searchsorted(self.periods.start, day, side="right")) - 1
        ration: Numbers = self.ration[min(max(place, 0), len(self.ration) - 1)]
        return ration
