"""A block through its year: mean and spread of the scores felt month by month, this year and earlier ones, and targets.

A block's year begins some months before it calves, so that weaning, housing, calving and mating follow in one line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, HerdCalendar
from herdscore.domain.calving_season import season_name, season_year, still_to_calve
from herdscore.domain.day_names import MONTHS
from herdscore.domain.groups import values_of
from herdscore.domain.reasons import say_number
from herdscore.domain.records import BULL_IN, HOUSING, TURNOUT, WEANING
from herdscore.domain.scale import mean_of_sites
from herdscore.domain.season_outcomes import Outcomes

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

_YEAR_MONTHS = 12
_YEAR_DAYS = 365.25
_WHOLE_YEAR = 4
_ALMOST = 0.05


@dataclass(frozen=True, slots=True)
class MonthFigures:
    """The scores of one month: its first day, the mean day they were felt, cows, mean and spread (NaN for one cow)."""

    month: date
    day: date
    cows: int
    mean: float
    spread: float


@dataclass(frozen=True, slots=True)
class YearLine:
    """One year of a block under the name of its season, months with scores in order."""

    name: str
    begins: date
    months: tuple[MonthFigures, ...]


@dataclass(frozen=True, slots=True)
class TargetMoment:
    """A time of the year with a target: what it is, its day in the newest year, the target."""

    name: str
    day: date
    target: float


@dataclass(frozen=True, slots=True)
class ThroughYear:
    """A block's years, newest first, and its targets by day of the newest year; `band` lies either side of them."""

    block: int
    begins: date
    lines: tuple[YearLine, ...]
    targets: tuple[TargetMoment, ...]
    band: float

    def target_on(self, day: date) -> float:
        """The target on a day of any year, straight between two moments.

        Where most moments are known it runs on from the last to the first of the next year; else NaN outside them.
        """
        days = [one.day.toordinal() for one in self.targets]
        targets = [one.target for one in self.targets]
        shifted = self._in_newest(day)
        if len(days) >= _WHOLE_YEAR:
            return float(np.interp(shifted, days, targets, period=_YEAR_DAYS))
        if not days or not days[0] <= shifted <= days[-1]:
            return math.nan
        return float(np.interp(shifted, days, targets))

    def _in_newest(self, day: date) -> int:
        """The same day in the newest year, as a day number."""
        for year in (self.begins.year, self.begins.year + 1):
            same = same_day(day, year)
            if 0 <= (same - self.begins).days <= 365:
                return same.toordinal()
        return day.toordinal()

    def month_of(self, line: YearLine, number: int) -> MonthFigures | None:
        """The figures of the month with a number, counted from 0 at the beginning of a year; None without a score."""
        month = add_months(line.begins, number)
        return next((one for one in line.months if one.month == month), None)


def through_the_year(assessment: Assessment, outcomes: Outcomes, block: int) -> ThroughYear:
    """A block's newest years up to today without a gap, at most as many as the rules show."""
    a, rules = assessment, assessment.rulebook.year
    calves = _calving_days(a, outcomes, block)
    anchor = _anchor_month(a, calves, block)
    newest = _begins(a.today, anchor, rules.cycle_before_months)
    lines = []
    for back in range(rules.seasons):
        begins = newest.replace(year=newest.year - back)
        year = season_year(block, add_months(begins, rules.cycle_before_months))
        lines.append(YearLine(season_name(block, year), begins, _months(a, block, begins)))
    while len(lines) > 1 and not lines[-1].months:
        lines.pop()
    return ThroughYear(block, newest, tuple(lines), _targets(a, block, newest, calves), a.rulebook.targets.band)


def finding(year: ThroughYear) -> str:
    """The newest month of the newest year beside its target and the year before, in a sentence."""
    line = year.lines[0]
    name = f"{line.name[0].upper()}{line.name[1:]}"
    if not line.months:
        return f"{name}: no score yet"
    last = line.months[-1]
    said = f"{name}: mean {say_number(last.mean, 2)} in {MONTHS[last.month.month - 1]}"
    target = year.target_on(last.day)
    if target == target:
        gap = last.mean - target
        how = (
            "on target" if abs(gap) < _ALMOST else f"{say_number(abs(gap), 2)} {'above' if gap > 0 else 'below'} target"
        )
        said += f", {how}"
    before = _year_before(year, last)
    if before is not None:
        gap = last.mean - before.mean
        how = "as" if abs(gap) < _ALMOST else f"{say_number(abs(gap), 2)} {'more' if gap > 0 else 'less'} than"
        said += f", {how} a year before"
    return said


def _year_before(year: ThroughYear, last: MonthFigures) -> MonthFigures | None:
    wanted = last.month.replace(year=last.month.year - 1)
    return next((one for line in year.lines[1:] for one in line.months if one.month == wanted), None)


def add_months(day: date, months: int) -> date:
    """The first of the month so many months on."""
    number = day.year * _YEAR_MONTHS + day.month - 1 + months
    return date(number // _YEAR_MONTHS, number % _YEAR_MONTHS + 1, 1)


def same_day(day: date, year: int) -> date:
    """The same day in another year; 29 February becomes the 28th."""
    return day.replace(year=year, day=28) if (day.month, day.day) == (2, 29) else day.replace(year=year)


def _calving_days(a: Assessment, outcomes: Outcomes, block: int) -> Numbers:
    """Calvings of a block, recorded and to come, days from today."""
    ahead = a.dates.day[still_to_calve(a) & (a.block == block)]
    return np.concatenate([outcomes.day[outcomes.block == block], ahead])


def _anchor_month(a: Assessment, calves: Numbers, block: int) -> int:
    """Month in which the block mostly calves: the middle calving once all lie in one year, else the usual month."""
    rules = a.rulebook.year
    usual = rules.autumn_month if block == AUTUMN_BLOCK else rules.spring_month
    if not len(calves):
        return usual
    middle = _middle_in_year(a.today, calves, usual)
    return middle.month


def _middle_in_year(today: date, calves: Numbers, about_month: int) -> date:
    """The middle calving day, all brought into the year about the middle of a month."""
    about = date(today.year, about_month, 15)
    shifted = []
    for day in calves.tolist():
        when = today + timedelta(days=int(day))
        near = min((same_day(when, today.year + by) for by in (-1, 0, 1)), key=lambda one: abs((one - about).days))
        shifted.append(near.toordinal())
    return date.fromordinal(int(np.median(shifted)))


def _begins(today: date, anchor: int, before: int) -> date:
    """First day of the block's year that holds today."""
    begins = add_months(date(today.year + 1, anchor, 1), -before)
    while begins > today:
        begins = begins.replace(year=begins.year - 1)
    return begins


def _months(a: Assessment, block: int, begins: date) -> tuple[MonthFigures, ...]:
    """Mean and spread over cows by month; a cow scored twice in a month counts once, with her mean."""
    scores = a.snapshot.scores
    felt, _ = mean_of_sites(scores.loin, scores.ribs, scores.tailhead, scores.score)
    today = np.datetime64(a.today, "D")
    first, end = np.datetime64(begins, "D"), np.datetime64(add_months(begins, _YEAR_MONTHS), "D")
    row = np.flatnonzero(
        (scores.day >= first)
        & (scores.day < end)
        & (scores.day <= today)
        & np.isfinite(felt)
        & (a.block[scores.cow] == block)
    )
    month = scores.day[row].astype("datetime64[M]")
    made = []
    for one in np.unique(month):
        of_month = row[month == one]
        cow, at = np.unique(scores.cow[of_month], return_inverse=True)
        mean = np.bincount(at, weights=felt[of_month]) / np.bincount(at)
        days = scores.day[of_month].astype(np.int64)
        day = np.datetime64(round(float(days.mean())), "D").item()
        values = values_of(mean)
        made.append(MonthFigures(one.astype("datetime64[D]").item(), day, len(cow), values.mean, values.spread))
    return tuple(made)


def _targets(a: Assessment, block: int, begins: date, calves: Numbers) -> tuple[TargetMoment, ...]:
    """The moments of the newest year in order; an event without a day in the calendar is left out."""
    rules, aims = a.rulebook.year, a.rulebook.targets
    autumn = block == AUTUMN_BLOCK
    calving = aims.autumn_calving if autumn else aims.spring_calving
    lead = calving + (rules.autumn_lead if autumn else rules.spring_lead)
    events = (
        ("weaning", WEANING, rules.autumn_weaning if autumn else rules.spring_weaning),
        ("housing", HOUSING, rules.autumn_housing if autumn else rules.spring_housing),
        ("turnout", TURNOUT, rules.autumn_turnout if autumn else rules.spring_turnout),
        ("bull in", BULL_IN, aims.mating_target_autumn if autumn else aims.mating_target_spring),
    )
    calendar = HerdCalendar(a.snapshot, a.today)
    found = []
    for name, event, target in events:
        day = _in_year(a.today, calendar.days(block, event), begins)
        if day is not None:
            found.append(TargetMoment(name, day, target))
    if len(calves):
        usual = rules.autumn_month if autumn else rules.spring_month
        middle = _into(_middle_in_year(a.today, calves, usual), begins)
        found.append(TargetMoment("calving", middle, calving))
        before = _into(middle - timedelta(days=a.rulebook.limits.lead_days), begins)
        found.append(TargetMoment(f"\u2212{a.rulebook.limits.lead_days} days", before, lead))
    return tuple(sorted(found, key=lambda one: one.day))


def _in_year(today: date, days: Numbers, begins: date) -> date | None:
    """The event's day in the year that begins then; else the newest of another year brought into it."""
    when = [today + timedelta(days=int(day)) for day in days.tolist()]
    inside = [day for day in when if begins <= day < add_months(begins, _YEAR_MONTHS)]
    return inside[0] if inside else _into(when[-1], begins) if when else None


def _into(day: date, begins: date) -> date:
    """The same day in the year that begins then."""
    same = same_day(day, begins.year)
    return same if same >= begins else same_day(day, begins.year + 1)
