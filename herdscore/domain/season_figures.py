"""A block season by season: share in band at housing, at the lead, at calving and at mating, very thin and very fat
cows, twins, how calvings are spread and who is not in calf; first-calvers apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import timedelta
from typing import Any

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, HerdCalendar, days_from
from herdscore.domain.calving_season import season_name, season_year, still_to_calve
from herdscore.domain.groups import Values, values_of
from herdscore.domain.rates import Rate, rate
from herdscore.domain.records import HOUSING
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.scale import to_quarter
from herdscore.domain.season_outcomes import SEX_TWINS, Outcomes, nearest_score
from herdscore.domain.targets import targets_of
from herdscore.domain.verdict import Verdict

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

AT_HOUSING, AT_LEAD, AT_CALVING, AT_MATING = "housing", "lead", "calving", "mating"
MOMENTS = (AT_HOUSING, AT_LEAD, AT_CALVING, AT_MATING)
_WEEK, _YEAR = 7, 365


@dataclass(frozen=True, slots=True)
class MomentFigures:
    """Scores of some cows about one moment of their season; the counts go by scores to the nearest quarter.

    `in_band` counts those in each cow's own band there.
    """

    scores: Values
    in_band: Rate
    very_thin: int
    very_fat: int


@dataclass(frozen=True, slots=True)
class CalvingSpread:
    """How calvings lie in time: days from today of the first, middle and last, and shares in so many weeks, from 1.

    `weeks` are the first weeks of the rules, twice and three times as many. NaN and none where nobody calved.
    """

    count: int
    first: float
    middle: float
    last: float
    weeks: tuple[tuple[int, Rate], ...]


@dataclass(frozen=True, eq=False)
class Season:
    """One block's season, one row an animal: her place, calving day from today, whether it is her first.

    `calved` is False for cows whose date lies ahead. `scores` holds each animal's score about every moment, NaN none.
    `moments` are the figures of cows and of first-calvers.
    """

    block: int
    year: int
    cow: Places
    day: Numbers
    calved: Flags
    first_calf: Flags
    scores: dict[str, Numbers]
    moments: dict[str, tuple[MomentFigures, MomentFigures]]
    spread: CalvingSpread
    twins: int
    in_calf: Rate

    @property
    def name(self) -> str:
        """What the season is called: spring 2027."""
        return season_name(self.block, self.year)


@dataclass(frozen=True, slots=True)
class BlockNow:
    """Places of the living cows of a block who are very thin, very fat, or not in calf, and how many there are."""

    cows: int
    first_calvers: int
    twins: int
    very_thin: Places
    very_fat: Places
    not_in_calf: Places


def seasons_of(assessment: Assessment, outcomes: Outcomes, block: int) -> list[Season]:
    """The newest seasons of a block, newest first: at most as many as the rules show.

    A season ahead counts as soon as one of its cows was scored about one of its moments.
    """
    a = assessment
    ahead = np.flatnonzero(still_to_calve(a) & (a.block == block))
    years = np.array([_year(a, block, day) for day in a.dates.day[ahead].tolist()], dtype=np.intp)
    past = outcomes.block == block
    made = []
    for year in sorted({*outcomes.year[past].tolist(), *years.tolist()}, reverse=True):
        season = _season(a, outcomes, np.flatnonzero(past & (outcomes.year == year)), ahead[years == year], block, year)
        if season.calved.any() or any(np.isfinite(scores).any() for scores in season.scores.values()):
            made.append(season)
    return made[: a.rulebook.year.seasons]


def block_now(assessment: Assessment, block: int) -> BlockNow:
    """Who of a block is very thin, very fat or not in calf today, by the score now or the last one felt."""
    a, rules = assessment, assessment.rulebook.verdicts
    mine = (a.block == block) & ~a.facts.gone
    low, high = np.fmin(a.facts.score_now, a.facts.last), np.fmax(a.facts.score_now, a.facts.last)
    return BlockNow(
        cows=int(mine.sum()),
        first_calvers=int((mine & a.dates.first_calver).sum()),
        twins=int((mine & a.dates.twins & np.isfinite(a.dates.day)).sum()),
        very_thin=np.flatnonzero(mine & (low <= rules.vet_thin)),
        very_fat=np.flatnonzero(mine & (high >= rules.vet_fat)),
        not_in_calf=np.flatnonzero(mine & (a.verdict == Verdict.NOT_IN_CALF)),
    )


def of_block(outcomes: Outcomes, block: int, years: Sequence[int]) -> Outcomes:
    """The calvings of some seasons of a block."""
    keep = (outcomes.block == block) & np.isin(outcomes.year, list(years))
    kept: dict[str, Any] = {one.name: getattr(outcomes, one.name)[keep] for one in fields(Outcomes)}
    return replace(outcomes, **kept)


def band_at(rulebook: Rulebook, moment: str, block: int, first_calf: Flags) -> tuple[Numbers, Numbers]:
    """Lower and upper edge of the band at a moment, one value an animal of a block."""
    rules, band = rulebook.year, rulebook.targets.band
    aims = targets_of(np.full(len(first_calf), block, dtype=np.int8), first_calf, rulebook.targets)
    if moment == AT_CALVING:
        return aims.lower, aims.upper
    autumn = block == AUTUMN_BLOCK
    if moment == AT_MATING:
        target = aims.mating_target
    elif moment == AT_LEAD:
        target = aims.target + (rules.autumn_lead if autumn else rules.spring_lead)
    else:
        target = np.full(len(first_calf), rules.autumn_housing if autumn else rules.spring_housing)
    return target - band, target + band


def _year(a: Assessment, block: int, day: float) -> int:
    return season_year(block, a.today + timedelta(days=int(day)))


def _season(a: Assessment, outcomes: Outcomes, past: Places, ahead: Places, block: int, year: int) -> Season:
    cow = np.concatenate([outcomes.cow[past], ahead]).astype(np.intp)
    day = np.concatenate([outcomes.day[past], a.dates.day[ahead]])
    calved = np.arange(len(cow)) < len(past)
    first_calf = np.concatenate([outcomes.first_calf[past], a.dates.first_calver[ahead]])
    none = np.full(len(ahead), np.nan)
    rules, lead = a.rulebook.year, np.full(len(cow), -float(a.rulebook.limits.lead_days))
    housed = _nearest_event(a, block, HOUSING, day)

    def felt(shift: Numbers, about: int) -> Numbers:
        return nearest_score(a.snapshot, a.today, cow, day, shift, about, about)

    scores = {
        AT_HOUSING: felt(housed - day, rules.about_event_days),
        AT_LEAD: felt(lead, rules.about_lead_days),
        AT_CALVING: np.concatenate([outcomes.at_calving[past], none]),
        AT_MATING: np.concatenate([outcomes.at_mating[past], none]),
    }
    moments = {}
    for moment, values in scores.items():
        low, high = band_at(a.rulebook, moment, block, first_calf)
        said = to_quarter(values)  # as every list says it, so that what is counted can be counted again by hand
        inside = np.where(np.isfinite(values), (said >= low) & (said <= high), np.nan)
        older, heifers = (
            _figures(values[lot], said[lot], inside[lot], a.rulebook) for lot in (~first_calf, first_calf)
        )
        moments[moment] = (older, heifers)
    return Season(
        block=block,
        year=year,
        cow=cow,
        day=day,
        calved=calved,
        first_calf=first_calf,
        scores=scores,
        moments=moments,
        spread=_spread(a, cow, day, calved),
        twins=int((outcomes.sex[past] == SEX_TWINS).sum()) + int(a.dates.twins[ahead].sum()),
        in_calf=rate(outcomes.in_calf[past], a.rulebook.learning.level),
    )


def _nearest_event(a: Assessment, block: int, event: str, day: Numbers) -> Numbers:
    """The block's day of an event nearest to each day, within half a year; NaN without one."""
    days = HerdCalendar(a.snapshot, a.today).days(block, event)
    if not len(days) or not len(day):
        return np.full(len(day), np.nan)
    nearest = days[np.abs(days[None, :] - day[:, None]).argmin(axis=1)]
    return np.where(np.abs(nearest - day) <= _YEAR / 2, nearest, np.nan)


def _figures(values: Numbers, said: Numbers, inside: Numbers, rulebook: Rulebook) -> MomentFigures:
    return MomentFigures(
        scores=values_of(values),
        in_band=rate(inside, rulebook.learning.level),
        very_thin=int((said <= rulebook.verdicts.vet_thin).sum()),
        very_fat=int((said >= rulebook.verdicts.vet_fat).sum()),
    )


def _spread(a: Assessment, cow: Places, day: Numbers, calved: Flags) -> CalvingSpread:
    """Spread of the calvings that have been; of those to come while none has. Weeks run from the first born in time."""
    rules = a.rulebook.learning
    taken = calved if calved.any() else np.ones(len(day), dtype=bool)
    days = day[taken]
    if not len(days):
        return CalvingSpread(0, math.nan, math.nan, math.nan, ())
    table = a.snapshot.calvings
    early = table.premature == 1
    before = set(zip(table.cow[early].tolist(), days_from(a.today, table.day)[early].tolist(), strict=True))
    in_time = np.array([pair not in before for pair in zip(cow[taken].tolist(), days.tolist(), strict=True)])
    start = float(days[in_time].min()) if in_time.any() else float(days.min())
    weeks = []
    for times in (1, 2, 3):
        many = times * rules.first_weeks
        weeks.append((many, rate((days < start + many * _WEEK).astype(np.float64), rules.level)))
    return CalvingSpread(len(days), float(days.min()), float(np.median(days)), float(days.max()), tuple(weeks))
