"""The calving season ahead: calvings to expect week by week from every cow's own date, and each cow's date window."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, NO_BLOCK
from herdscore.domain.date_density import DateDensity
from herdscore.domain.verdict import FAT, THIN, Verdict

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

THIN_PART, FAT_PART, OTHER_PART = range(3)
PARTS = ("thin", "fat", "on course or not known")
_BLOCKS = len(BLOCK_NAMES)
_WEEK = 7
_LAST_SHARE = 0.999


@dataclass(frozen=True, eq=False)
class CalvingWeeks:
    """Calvings to expect; weeks begin on Mondays, the first holds today.

    `first_day` (weeks): days from today. `expected` (blocks, parts, weeks): blocks as `calendar.BLOCK_NAMES`, parts
    as PARTS. `from_run` (blocks, weeks): the part of them known from a bull run alone. `past_date` and `undated` are
    places of cows the sum leaves out.
    """

    first_day: Numbers
    expected: Numbers
    from_run: Numbers
    past_date: Places
    undated: Places

    @property
    def total(self) -> Numbers:
        """Calvings a week, all blocks and parts."""
        summed: Numbers = self.expected.sum(axis=(0, 1))
        return summed


def still_to_calve(assessment: Assessment) -> Flags:
    """Cows in the herd with a date that is not past by more than two spreads."""
    a = assessment
    due: Flags = ~a.facts.gone & np.isfinite(a.dates.day) & (a.verdict != Verdict.PAST_DATE)
    return due


def expected_by_week(assessment: Assessment) -> CalvingWeeks:
    """Expected calvings by week, thin and fat parts apart; a cow not calved by today calves today or later."""
    a = assessment
    density = DateDensity(a.dates, a.rulebook.dates)
    cows = np.flatnonzero(still_to_calve(a))
    monday = -float(a.today.weekday())
    _, last = density.windows(_LAST_SHARE)
    weeks = max(1, int(np.ceil((last[cows].max(initial=0.0) + 1 - monday) / _WEEK)))
    first_day = monday + np.arange(0.0, _WEEK * weeks, _WEEK)
    edges = np.append(first_day, first_day[-1] + _WEEK) - 0.5
    chance = np.diff(density.still_to_calve_by(cows, edges), axis=1)
    part = np.select([a.facts.side[cows] == THIN, a.facts.side[cows] == FAT], [THIN_PART, FAT_PART], OTHER_PART)
    expected = np.zeros((_BLOCKS, len(PARTS), weeks))
    np.add.at(expected, (a.block[cows], part), chance)
    from_run = np.zeros((_BLOCKS, weeks))
    run = np.isfinite(a.dates.run_days[cows])
    np.add.at(from_run, a.block[cows][run], chance[run])
    living = ~a.facts.gone
    return CalvingWeeks(
        first_day=first_day,
        expected=expected,
        from_run=from_run,
        past_date=np.flatnonzero(living & (a.verdict == Verdict.PAST_DATE)),
        undated=np.flatnonzero(living & (a.verdict == Verdict.NEEDS_DATE)),
    )


def date_windows(assessment: Assessment) -> tuple[Numbers, Numbers]:
    """First and last day, from today, of the window in which each cow calves with the chance of the rules."""
    rules = assessment.rulebook
    return DateDensity(assessment.dates, rules.dates).windows(rules.calving.window_share)


def season_year(block: int, day: date) -> int:
    """The year a season is called by: a spring season that begins in December bears the year that follows."""
    return day.year + (block != AUTUMN_BLOCK and block != NO_BLOCK and day.month == 12)


def season_name(block: int, year: int) -> str:
    """A season as it is spoken of: spring 2027."""
    return f"{BLOCK_NAMES[block] or 'no block'} {year}"
