"""The days on which a group's ration may change: two steps a week at first, back to need in a week, then weekly.

Days count from today; arrays of one value a period [P] or of cows by periods [N, P].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from herdscore.domain.energy import Numbers
from herdscore.domain.need import CowsFed
from herdscore.domain.rulebook import Rulebook

WEEK = 7.0
TWO_A_WEEK = 4
"""Weeks with two steps; weekly ones after."""


@dataclass(frozen=True, eq=False)
class Periods:
    """P stretches of one ration each; from `back` on the group is fed to need only."""

    start: Numbers
    length: Numbers
    back: int
    first_cow: int  # the cow whose early date the end of the plan hangs on
    spent: Numbers  # [N, P], days each cow is still waiting to calve

    def __len__(self) -> int:
        return len(self.start)

    @property
    def middle(self) -> Numbers:
        """Middle of each period."""
        return self.start + (self.length - 1) / 2

    @property
    def back_day(self) -> float:
        """Day from which the group is fed to need only; never before today."""
        return float(self.start[self.back]) if self.back < len(self) else float(self.start[-1] + self.length[-1])

    @property
    def cow_days(self) -> Numbers:
        """Cows times days fed in each period, [P]."""
        days: Numbers = self.spent.sum(axis=0)
        return days


def periods_of(cows: CowsFed, rules: Rulebook) -> Periods:
    """Periods of a group from today to its last calving; all its cows have dates of today or later."""
    early = cows.calving_day - cows.spread
    first = int(np.argmin(early))
    need_only = float(np.floor(early[first])) - rules.limits.freeze_days
    need_only = need_only if need_only >= rules.feeding.step_days else 0.0
    end = max(float(np.ceil(cows.calving_day.max())), 1.0)
    need_only = min(need_only, end)
    start = _steps_until(need_only, rules) + [need_only + WEEK * n for n in range(int((end - need_only) // WEEK) + 1)]
    start = [day for day in start if day < end]
    starts = np.array(start)
    length = np.diff(np.append(starts, end))
    spent = np.clip(cows.calving_day[:, None] - starts, 0.0, length)
    return Periods(starts, length, int((starts < need_only).sum()), first, spent)


def _steps_until(need_only: float, rules: Rulebook) -> list[float]:
    """First days of the periods before the group is fed to need only."""
    apart, back = rules.feeding.step_days, float(rules.feeding.back_days)
    if need_only <= 0:
        return []
    days, day = [0.0], 0.0
    while True:
        week, within = divmod(day, WEEK)
        day += apart + 1 if within == 0 and week < TWO_A_WEEK else WEEK - within
        if day > need_only - back - apart:
            break
        days.append(day)
    # Two steps within the week of return; the third brings her to need.
    days += [day for day in (need_only - back, need_only - back + apart) if day - days[-1] >= apart or day == 0]
    return sorted(set(days))
