"""When each cow may calve: the chance of every day from her date, its spread and, for a bull run, its cycles."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from herdscore.domain import gestation
from herdscore.domain.calving_dates import CalvingDates
from herdscore.domain.chance import chance_below, half_width
from herdscore.domain.rule_forms import DateRules

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

_GRID_STEP = 0.25
_FAR = 8.0


class DateDensity:
    """The chances of the cows of one herd; days count from today, a day lasts from half before to half after."""

    def __init__(self, dates: CalvingDates, rules: DateRules) -> None:
        """Take dates and spreads as they are; a bull run keeps the shape of its cycles."""
        self._day, self._spread, self._run = dates.day, dates.window_spread, dates.run_days
        self._rules = rules
        self._mean_day = gestation.bull_run(rules)[1]
        # How long she carries is no surer after a bull run than after a service.
        self._carried = rules.spread_service

    def calved_by(self, cows: Places, days: Numbers) -> Numbers:
        """Chance that each cow calves at or before each moment: (cows, days); NaN without a date."""
        behind = days[None, :] - self._day[cows][:, None]
        chance = chance_below(behind / self._spread[cows][:, None])
        run = self._run[cows]
        for length in np.unique(run[np.isfinite(run)]).tolist():
            mine = np.flatnonzero(run == length)
            # One curve for all cows of one run, read off between its points: exact to 0.0001.
            points, curve = _run_curve(int(length), self._rules, self._carried)
            chance[mine] = np.interp(behind[mine] + self._mean_day[int(length)], points, curve)
        return chance

    def still_to_calve_by(self, cows: Places, days: Numbers) -> Numbers:
        """As `calved_by`, for cows known not to have calved before today: (cows, days)."""
        before = self.calved_by(cows, np.array([-0.5]))
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.clip((self.calved_by(cows, days) - before) / (1 - before), 0.0, 1.0)

    def windows(self, share: float) -> tuple[Numbers, Numbers]:
        """First and last day between which each cow calves with this chance, as much left out on either side."""
        reach = half_width(share) * self._spread
        low, high = self._day - reach, self._day + reach
        for length in np.unique(self._run[np.isfinite(self._run)]).tolist():
            mine = self._run == length
            first, last = _run_window(int(length), share, self._rules, self._carried)
            start = self._day[mine] - self._mean_day[int(length)]
            low[mine], high[mine] = start + first, start + last
        return np.floor(low + 0.5), np.floor(high + 0.5)


def run_calved_by(days: Numbers, run_days: int, rules: DateRules, sd: float) -> Numbers:
    """Chance of having calved by each of `days`, counted from bull in plus the gestation length (1-D).

    Conception is even within a cycle, gestation normal about its length with a spread of `sd` days.
    """
    start, end, share = gestation.run_shares(run_days, rules)
    from_start, from_end = (days[:, None] - start) / sd, (days[:, None] - end) / sd
    each = (_area_below(from_start) - _area_below(from_end)) * sd / (end - start)
    total: Numbers = each @ share
    return np.clip(total, 0.0, 1.0)


def _area_below(z: Numbers) -> Numbers:
    """Integral of the normal chance from far below up to z."""
    return z * chance_below(z) + np.exp(-0.5 * z**2) / math.sqrt(2 * math.pi)


@lru_cache(maxsize=512)
def _run_curve(run_days: int, rules: DateRules, sd: float) -> tuple[Numbers, Numbers]:
    """Days from well before the first calving of a run to well after its last, and the chance of having calved by."""
    days = np.arange(-_FAR * sd, run_days + _FAR * sd, _GRID_STEP)
    return days, run_calved_by(days, run_days, rules, sd)


def _run_window(run_days: int, share: float, rules: DateRules, sd: float) -> tuple[float, float]:
    days, chance = _run_curve(run_days, rules, sd)
    low, high = np.interp([0.5 - share / 2, 0.5 + share / 2], chance, days)
    return float(low), float(high)
