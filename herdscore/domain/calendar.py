"""Days, blocks and the herd calendar: which block a date belongs to and what a block's dates say."""

from __future__ import annotations

from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.herd import Snapshot
from herdscore.domain.records import AUTUMN, SPRING
from herdscore.domain.rule_forms import DateRules

Numbers = npt.NDArray[np.float64]
Blocks = npt.NDArray[np.int8]

NO_BLOCK, AUTUMN_BLOCK, SPRING_BLOCK = 0, 1, 2
BLOCK_NAMES = (None, AUTUMN, SPRING)
"""Word of a block code; code 0 is a cow whose block nothing tells."""


def days_from(today: date, days: npt.NDArray[np.datetime64]) -> Numbers:
    """Whole days from today, NaN for NaT; past days negative."""
    ahead = (days - np.datetime64(today, "D")).astype(np.float64)
    ahead[np.isnat(days)] = np.nan
    return ahead


def block_of_days(today: date, ahead: Numbers, rules: DateRules) -> Blocks:
    """Block code of dates given as days from today; 0 for NaN.

    1 December - 30 June is spring, 1 July - 30 November autumn.
    """
    known = np.isfinite(ahead)
    whole = np.where(known, ahead, 0.0).astype("timedelta64[D]")
    month = (np.datetime64(today, "D") + whole).astype("datetime64[M]").astype(np.int64) % 12 + 1
    autumn = (month >= rules.autumn_from_month) & (month < rules.spring_from_month)
    return np.where(known, np.where(autumn, AUTUMN_BLOCK, SPRING_BLOCK), NO_BLOCK).astype(np.int8)


def block_codes(seasons: npt.NDArray[np.object_]) -> Blocks:
    """Block code of the words autumn and spring, 0 for None."""
    code = {AUTUMN: AUTUMN_BLOCK, SPRING: SPRING_BLOCK}
    return np.array([code.get(season, NO_BLOCK) for season in seasons], dtype=np.int8)


class HerdCalendar:
    """The dated events of each block as days from today."""

    def __init__(self, snapshot: Snapshot, today: date) -> None:
        """Sort the herd's calendar rows by block and event."""
        days = days_from(today, snapshot.calendar.day)
        self._days: dict[tuple[int, str], Numbers] = {}
        for code in (AUTUMN_BLOCK, SPRING_BLOCK):
            mine = snapshot.calendar.block == BLOCK_NAMES[code]
            for event in set(snapshot.calendar.event[mine]):
                self._days[code, event] = np.sort(days[mine & (snapshot.calendar.event == event)])

    def days(self, block: int, event: str) -> Numbers:
        """All days of an event of a block, in order; empty when none is entered."""
        return self._days.get((block, event), np.empty(0))

    def next(self, block: int, event: str, after: float = 0.0) -> float:
        """First day of the event later than `after`, NaN when none is entered."""
        days = self.days(block, event)
        place = int(np.searchsorted(days, after, side="right"))
        return float(days[place]) if place < len(days) else float("nan")
