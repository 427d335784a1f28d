"""Cows in milk: first heat to expect, who is scored and fed before the bull, magnesium, and the day to wean by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, NO_BLOCK, SPRING_BLOCK, HerdCalendar, days_from
from herdscore.domain.calving_forms import AfterCalvingRules
from herdscore.domain.records import BULL_IN, TURNOUT, WEANING
from herdscore.domain.rule_forms import DateRules
from herdscore.domain.scale import to_nine
from herdscore.domain.verdict import Verdict

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

IN_MILK = (Verdict.IN_MILK, Verdict.FEED_FOR_BULL, Verdict.SCORE_FOR_BULL)


@dataclass(frozen=True, eq=False)
class FirstHeat:
    """Day of the first heat to expect, from today, and its spread (one SD); NaN for cows without score or calving.

    `score` is her condition at calving by the model; `first_calf` marks those reckoned by the two-year-olds' fit.
    """

    day: Numbers
    spread: Numbers
    score: Numbers
    first_calf: Flags


def days_to_first_heat(score: Numbers, rules: DateRules) -> Numbers:
    """Days from calving to first heat of a mature cow by her score at calving, 1-5."""
    return rules.first_heat_at_zero - rules.first_heat_per_score * score


def days_to_first_heat_two_year_old(nine: Numbers, change: Numbers, rules: AfterCalvingRules) -> Numbers:
    """Days to first heat of a two-year-old by her American score at calving and its change over 90 days."""
    held = np.clip(nine, rules.two_year_olds_leanest, rules.two_year_olds_fattest)
    moved = -rules.two_year_olds_per_change * change + rules.two_year_olds_change_squared * change**2
    return rules.two_year_olds_at_zero - rules.two_year_olds_per_score * held + moved


def in_milk(assessment: Assessment) -> Flags:
    """Cows in milk on the day of the assessment: calved lately and in the herd; those the vet sees first too."""
    a = assessment
    lately = -a.dates.last_calving <= a.rulebook.verdicts.in_milk_days
    return np.asarray(lately & suckling(a), dtype=bool)


def suckling(assessment: Assessment) -> Flags:
    """Cows that calved a live calf and whose block has not been weaned since."""
    a = assessment
    calendar = HerdCalendar(a.snapshot, a.today)
    calved = a.dates.last_calving
    weaned = np.zeros(len(a), dtype=bool)
    for block in (AUTUMN_BLOCK, SPRING_BLOCK):
        days = calendar.days(block, WEANING)
        last = days[days <= 0].max(initial=-np.inf)
        weaned |= (a.block == block) & (last > calved)
    suckled: Flags = np.isfinite(calved) & ~weaned & ~a.facts.gone & ~_lost_calf(a)
    return suckled


def _lost_calf(a: Assessment) -> Flags:
    """Cows whose last calving left no calf alive."""
    table = a.snapshot.calvings
    of_last = np.equal(days_from(a.today, table.day), a.dates.last_calving[table.cow])
    born = np.bincount(table.cow[of_last], minlength=len(a))
    dead = np.bincount(table.cow[of_last & (table.calf_alive == 0)], minlength=len(a))
    lost: Flags = (born > 0) & (dead == born)
    return lost


def first_calf_at_foot(assessment: Assessment) -> Flags:
    """Cows in milk with their first calf."""
    return np.asarray(in_milk(assessment) & (assessment.dates.calvings == 1), dtype=bool)


def first_heat(assessment: Assessment) -> FirstHeat:
    """First heat to expect of every cow in milk, from her condition at calving."""
    a, rules = assessment, assessment.rulebook
    milked = in_milk(a)
    score = np.where(milked, a.facts.score_now + a.facts.fall, np.nan)
    young = milked & (a.dates.calvings == 1)
    nine = to_nine_all(score)
    change = np.zeros(len(score))
    days = np.where(
        young,
        days_to_first_heat_two_year_old(nine, change, rules.after_calving),
        days_to_first_heat(score, rules.dates),
    )
    spread = np.where(young, rules.after_calving.two_year_olds_spread, rules.after_calving.first_heat_spread)
    return FirstHeat(a.dates.last_calving + days, np.where(np.isfinite(score), spread, np.nan), score, young)


def to_nine_all(score: Numbers) -> Numbers:
    """Scores 1-5 on the American scale."""
    return np.asarray(to_nine(score), dtype=np.float64)  # type: ignore[arg-type]


def conceive_by(calved: Numbers, gestation: float, rules: AfterCalvingRules) -> Numbers:
    """Last day on which a cow conceives that is to calve again in a year's time; days as `calved`."""
    return calved + rules.year_interval_days - gestation


def feed_for_bull(assessment: Assessment) -> Places:
    """Cows to feed for the bull, first-calvers first, then the barest."""
    a = assessment
    cows = np.flatnonzero(a.verdict == Verdict.FEED_FOR_BULL)
    short = (a.facts.score_now - a.facts.mating_floor)[cows]
    return cows[np.lexsort([cows, np.nan_to_num(short, nan=np.inf), a.dates.calvings[cows] != 1])]


def to_score_at_turnout(assessment: Assessment, block: int, turnout: float) -> Places:
    """Cows in milk of a block to score about a turnout (days from today) and not scored since the days before it."""
    a = assessment
    about = a.rulebook.after_calving.score_turnout_days
    if not -about <= turnout:
        return np.empty(0, dtype=np.intp)
    unscored = ~(a.facts.last_day >= turnout - about)
    return np.flatnonzero(in_milk(a) & (a.block == block) & unscored & np.isin(a.verdict, IN_MILK))


def to_score_before_bull(assessment: Assessment, block: int) -> Places:
    """Cows in milk of a block with a bull ahead and no score since calving, or none since a month before he goes in."""
    a, rules = assessment, assessment.rulebook.verdicts
    bull = HerdCalendar(a.snapshot, a.today).next(block, BULL_IN, -1.0)
    since = np.fmax(a.dates.last_calving, bull - 2 * rules.score_before_bull_days)
    unscored = ~(a.facts.last_day >= since)
    return np.flatnonzero(in_milk(a) & (a.block == block) & unscored & (bull > a.dates.last_calving))


def in_milk_at(assessment: Assessment, block: int, day: float) -> Places:
    """Cows of a block in milk on a day: calved and suckling now, or due to have calved by then."""
    a = assessment
    suckled = suckling(a) & (day - a.dates.last_calving <= a.rulebook.verdicts.in_milk_days)
    due = np.isfinite(a.dates.day) & (a.dates.day <= day) & (a.dates.day >= -2 * a.dates.spread)
    return np.flatnonzero((suckled | due) & (a.block == block) & ~a.facts.gone)


def magnesium_list(assessment: Assessment) -> tuple[Places, Flags]:
    """Cows under magnesium cover about turnout now, and which of them have a calf under two months.

    Those come first, then the older cows: they are at the highest risk.
    """
    a, rules = assessment, assessment.rulebook.minerals
    calendar = HerdCalendar(a.snapshot, a.today)
    covered = np.zeros(len(a), dtype=bool)
    for block in (NO_BLOCK, AUTUMN_BLOCK, SPRING_BLOCK):
        turnout = calendar.days(block, TURNOUT)
        now = (turnout <= rules.magnesium_ahead_days) & (turnout >= -rules.magnesium_after_days)
        if now.any():
            covered |= in_milk(a) & (a.block == block)
    cows = np.flatnonzero(covered)
    young = -a.dates.last_calving[cows] < rules.young_calf_days
    order = np.lexsort([cows, -np.nan_to_num(a.dates.calvings[cows]), ~young])
    return cows[order], young[order]


def wean_by(assessment: Assessment) -> Numbers:
    """Day, from today, by which the calf of each suckling cow in calf comes off; NaN for others."""
    a, rule = assessment, assessment.rulebook.notes["still_suckling"]
    latest = np.floor(a.dates.day - a.dates.spread) - rule.limit_days
    by = np.minimum(a.dates.day - rule.value, latest)
    in_calf = suckling(a) & np.isfinite(a.dates.day) & (a.verdict != Verdict.PAST_DATE)
    return np.where(in_calf, by, np.nan)
