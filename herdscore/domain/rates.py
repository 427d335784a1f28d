"""Shares of few: Wilson intervals, the interval of a difference, and odds compared like with like."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.chance import half_width

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Rate:
    """So many of so many, with the interval that holds the true share; NaN when there are none."""

    count: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share itself, NaN of none."""
        return self.count / self.of if self.of else math.nan

    @property
    def said(self) -> str:
        """Numbers beside the percentage: 5 of 20, 25 % (11 to 47 %)."""
        if not self.of:
            return "none"
        low, high = (f"{round(100 * edge)}" for edge in (self.low, self.high))
        return f"{self.count} of {self.of}, {round(100 * self.share)}\u00a0% ({low} to {high}\u00a0%)"


def wilson(count: int, of: int, level: float) -> tuple[float, float]:
    """Wilson's interval of a share, NaN of none.

    >>> [round(edge, 4) for edge in wilson(5, 20, 0.95)]
    [0.1119, 0.4687]
    """
    if not of:
        return math.nan, math.nan
    z, share = half_width(level), count / of
    middle = (share + z**2 / (2 * of)) / (1 + z**2 / of)
    reach = z / (1 + z**2 / of) * math.sqrt(share * (1 - share) / of + z**2 / (4 * of**2))
    return max(0.0, middle - reach), min(1.0, middle + reach)


def rate(values: Numbers, level: float) -> Rate:
    """The share of ones among zeros and ones; NaN values are not counted."""
    known = values[np.isfinite(values)]
    count = int(known.sum())
    return Rate(count, len(known), *wilson(count, len(known), level))


def difference(first: Rate, second: Rate) -> tuple[float, float]:
    """Interval of the first share less the second, from their Wilson intervals (Newcombe)."""
    gap = first.share - second.share
    low = gap - math.hypot(first.share - first.low, second.high - second.share)
    return low, gap + math.hypot(first.high - first.share, second.share - second.low)


def pooled_odds(exposed: Numbers, outcome: Numbers, strata: npt.NDArray[np.intp], level: float) -> tuple[float, ...]:
    """Odds ratio of an outcome for the exposed, like compared with like (Mantel and Haenszel), and its interval.

    Zeros and ones, a stratum a row; NaN rows are not counted. NaN where no stratum tells. The interval is that of
    Robins, Breslow and Greenland.
    """
    known = np.isfinite(exposed) & np.isfinite(outcome)
    of_exposed, of_outcome, stratum = exposed[known] == 1, outcome[known] == 1, strata[known]
    if not len(stratum):
        return math.nan, math.nan, math.nan
    _, at = np.unique(stratum, return_inverse=True)
    a, b, c, d = (
        np.bincount(at, weights=(of_exposed == row) & (of_outcome == column)).astype(np.float64)
        for row in (True, False)
        for column in (True, False)
    )
    n = a + b + c + d
    up, down, with_up, with_down = a * d / n, b * c / n, (a + d) / n, (b + c) / n
    r, s = float(up.sum()), float(down.sum())
    if r <= 0 or s <= 0:
        return math.nan, math.nan, math.nan
    variance = (
        float((with_up * up).sum()) / (2 * r**2)
        + float((with_up * down + with_down * up).sum()) / (2 * r * s)
        + float((with_down * down).sum()) / (2 * s**2)
    )
    reach = math.exp(half_width(level) * math.sqrt(variance))
    return r / s, r / s / reach, r / s * reach


def chance_by_odds(base: float, odds_ratio: float) -> float:
    """Chance once the odds of a base chance are multiplied."""
    odds = base / (1 - base) * odds_ratio
    return odds / (1 + odds)
