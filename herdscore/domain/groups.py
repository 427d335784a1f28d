"""Groups compared: where each cow stands against her target, and the figures of every group.

Cows in milk are measured now against the mating target, all others as projected to calving; a cow without a score,
or without a date to be projected to, counts as a cow of her group and in nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.grouping import Flags, Grouping, Numbers, Places, in_milk
from herdscore.domain.intervals import UNKNOWN, Interval, Sample, mean_interval, wilson
from herdscore.domain.listing import ACT, PROJECTED, Column
from herdscore.domain.verdict import FAT, THIN, Verdict

IN_BAND = 0


@dataclass(frozen=True, eq=False)
class Standing:
    """One value a cow, NaN where it cannot be said: score now, score less target, and place about the band.

    `place` is -1 below, 0 inside and +1 above her own band, in which a first-calver has more room above.
    """

    now: Numbers
    against: Numbers
    place: Numbers
    in_milk: Flags
    to_act: Flags
    calves: Numbers


@dataclass(frozen=True, slots=True)
class Values:
    """The values of one group: count, mean, spread, median and quartiles; NaN where there are too few."""

    count: int
    mean: float
    spread: float
    median: float
    lower: float
    upper: float
    lowest: float
    highest: float

    @property
    def sample(self) -> Sample:
        """What intervals are worked out from."""
        return Sample(self.count, self.mean, self.spread)


@dataclass(frozen=True, slots=True)
class GroupFigures:
    """Figures of one group. `against` is score less target over the cows that can be compared.

    `mean` and `share` (in band) carry their intervals; `first` and `last` are calving days from today, NaN for none.
    """

    name: str
    in_milk: bool
    cows: int
    now: Values
    against: Values
    mean: Interval
    in_band: int
    share: Interval
    thin: int
    fat: int
    to_act: int
    first: float
    last: float
    first_calvers: int
    is_small: bool


def standing(assessment: Assessment) -> Standing:
    """Where every cow stands."""
    a = assessment
    milk = in_milk(a)
    now = np.where(a.facts.gone, np.nan, a.facts.score_now)
    projected = np.isfinite(now) & np.isin(a.verdict, PROJECTED) & ~milk
    band = a.rulebook.targets.band
    value = np.where(milk, now, np.where(projected, a.course.mean, np.nan))
    target = np.where(milk, a.targets.mating_target, a.targets.target)
    high = np.where(milk, target + band, a.targets.upper)
    place = np.where(value < target - band, THIN, np.where(value > high, FAT, IN_BAND)).astype(np.float64)
    against = value - target
    lists = np.array([a.rulebook.words[one.key].list for one in Verdict])
    still = ~milk & ~a.facts.gone & ~np.isin(a.verdict, (Verdict.NOT_IN_CALF, Verdict.PAST_DATE))
    return Standing(
        now=now,
        against=against,
        place=np.where(np.isnan(against), np.nan, place),
        in_milk=milk,
        to_act=np.asarray(lists[a.verdict] == ACT, dtype=bool),
        calves=np.where(still, a.dates.day, np.nan),
    )


def figures(assessment: Assessment, where: Standing, grouping: Grouping) -> list[GroupFigures]:
    """The figures of every group, in its order."""
    return [
        figures_of(assessment, where, grouping.cows(at), name, of_milk)
        for at, (name, of_milk) in enumerate(zip(grouping.names, grouping.in_milk, strict=True))
    ]


def figures_of(assessment: Assessment, where: Standing, cows: Places, name: str, of_milk: bool) -> GroupFigures:
    """The figures of some cows."""
    level = assessment.rulebook.model.level
    against = values_of(where.against[cows])
    place = where.place[cows]
    inside = int((place == IN_BAND).sum())
    calves = where.calves[cows]
    dated = calves[np.isfinite(calves)]
    return GroupFigures(
        name=name,
        in_milk=of_milk,
        cows=len(cows),
        now=values_of(where.now[cows]),
        against=against,
        mean=mean_interval(against.sample, level) if against.count else UNKNOWN,
        in_band=inside,
        share=wilson(inside, against.count, level),
        thin=int((place == THIN).sum()),
        fat=int((place == FAT).sum()),
        to_act=int(where.to_act[cows].sum()),
        first=float(dated.min()) if len(dated) else float("nan"),
        last=float(dated.max()) if len(dated) else float("nan"),
        first_calvers=int(assessment.dates.first_calver[cows].sum()),
        is_small=against.count < assessment.rulebook.groups.small_group,
    )


def values_of(values: Numbers) -> Values:
    """Count, mean, spread (n - 1), median and quartiles (between neighbours, linear) of the values that are known."""
    known = values[np.isfinite(values)]
    if not len(known):
        return Values(0, *[float("nan")] * 7)
    lower, median, upper = (float(one) for one in np.quantile(known, (0.25, 0.5, 0.75)))
    spread = float(known.std(ddof=1)) if len(known) > 1 else float("nan")
    return Values(len(known), float(known.mean()), spread, median, lower, upper, float(known.min()), float(known.max()))


# The table, as it is shown and written

GROUP_LIST = (
    Column("group", "Group", "text", 24),
    Column("measured", "Measured", "text", 22),
    Column("cows", "Cows", "whole", 8),
    Column("scored", "Scored", "whole", 8),
    Column("score_now", "Score now", "score", 9, "mean"),
    Column("score_spread", "Spread", "score", 9),
    Column("score_median", "Score now", "score", 9, "median"),
    Column("compared", "Compared", "whole", 10),
    Column("against", "Less target", "difference", 9, "mean"),
    Column("against_low", "Low", "difference", 8),
    Column("against_high", "High", "difference", 8),
    Column("against_median", "Less target", "difference", 9, "median"),
    Column("lower", "Quarter below", "difference", 9),
    Column("upper", "Quarter above", "difference", 9),
    Column("against_spread", "Spread less target", "score", 9),
    Column("in_band", "In band", "whole", 8),
    Column("share", "Share in band", "chance", 9),
    Column("share_low", "Share low", "chance", 9),
    Column("share_high", "Share high", "chance", 9),
    Column("thin", "Below band", "whole", 8),
    Column("fat", "Above band", "whole", 8),
    Column("to_act", "To act on", "whole", 8),
    Column("first_calves", "First calves", "date", 12),
    Column("last_calves", "Last calves", "date", 12),
    Column("first_calvers", "First-calvers", "whole", 9),
)
COW_LIST = (
    Column("tag", "Tag", "text", 16),
    Column("group", "Group", "text", 24),
    Column("measured", "Measured", "text", 22),
    Column("score_now", "Score now", "score", 9),
    Column("against", "Less target", "difference", 9),
    Column("place", "In band", "text", 12),
    Column("to_act", "To act on", "text", 9),
    Column("calves", "Calves", "date", 12),
    Column("verdict", "Verdict", "text", 26),
)
MEASURED_NOW, MEASURED_AT_CALVING = "now, against mating", "projected at calving"


def group_rows(assessment: Assessment, found: Sequence[GroupFigures]) -> list[tuple[Any, ...]]:
    """The values of `GROUP_LIST` for every group, None where unknown."""
    return [_row(assessment.day, one) for one in found]


def cow_rows(assessment: Assessment, where: Standing, grouping: Grouping) -> list[tuple[Any, ...]]:
    """The values of `COW_LIST` for every cow of the groups, group by group, None where unknown."""
    a = assessment
    places = {float(THIN): "below", float(IN_BAND): "yes", float(FAT): "above"}
    words = [a.rulebook.words[one.key].word for one in Verdict]
    return [
        (
            a.snapshot.cows.tag[cow],
            grouping.names[group],
            MEASURED_NOW if where.in_milk[cow] else MEASURED_AT_CALVING,
            _known(float(where.now[cow])),
            _known(float(where.against[cow])),
            places.get(float(where.place[cow])),
            "yes" if where.to_act[cow] else "no",
            a.day(where.calves[cow]),
            words[a.verdict[cow]],
        )
        for group in range(len(grouping.names))
        for cow in grouping.cows(group).tolist()
    ]


def _row(day: Callable[[float], date | None], one: GroupFigures) -> tuple[Any, ...]:
    return (
        one.name,
        MEASURED_NOW if one.in_milk else MEASURED_AT_CALVING,
        one.cows,
        one.now.count,
        _known(one.now.mean),
        _known(one.now.spread),
        _known(one.now.median),
        one.against.count,
        _known(one.against.mean),
        _known(one.mean.low),
        _known(one.mean.high),
        _known(one.against.median),
        _known(one.against.lower),
        _known(one.against.upper),
        _known(one.against.spread),
        one.in_band if one.against.count else None,
        _known(one.share.value),
        _known(one.share.low),
        _known(one.share.high),
        one.thin if one.against.count else None,
        one.fat if one.against.count else None,
        one.to_act,
        day(one.first),
        day(one.last),
        one.first_calvers,
    )


def _known(value: float) -> float | None:
    return None if value != value else value
