"""Intervals of a share, of a mean and of differences between two groups, for a share `level` of all samples.

Wilson 1927 for a share, Newcombe 1998 (his method 10) for two; Student and Welch for means.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from herdscore.domain.chance import half_width

_TINY = 1e-300
_ENOUGH = 1e-15
_MOST_TERMS = 500


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with its lower and upper end, NaN where nothing can be said."""

    value: float
    low: float
    high: float

    @property
    def is_known(self) -> bool:
        """Whether both ends can be said."""
        return math.isfinite(self.low) and math.isfinite(self.high)

    @property
    def leaves_out_zero(self) -> bool:
        """Whether all of it lies on one side of nothing."""
        return self.is_known and (self.low > 0 or self.high < 0)


UNKNOWN = Interval(math.nan, math.nan, math.nan)


@dataclass(frozen=True, slots=True)
class Sample:
    """Count, mean and spread (n - 1) of some values; NaN where there are too few."""

    count: int
    mean: float
    spread: float


def wilson(hits: int, count: int, level: float) -> Interval:
    """Share of hits with the interval of Wilson 1927."""
    if not count:
        return UNKNOWN
    z = half_width(level)
    share = hits / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z * math.sqrt(share * (1 - share) / count + z * z / (4 * count * count)) / (1 + z * z / count)
    return Interval(share, max(0.0, middle - half), min(1.0, middle + half))


def share_difference(hits: int, count: int, other_hits: int, other_count: int, level: float) -> Interval:
    """The other share less this one, with the interval of Newcombe 1998, method 10."""
    if not count or not other_count:
        return UNKNOWN
    one, other = wilson(hits, count, level), wilson(other_hits, other_count, level)
    apart = other.value - one.value
    below = math.hypot(other.value - other.low, one.high - one.value)
    above = math.hypot(other.high - other.value, one.value - one.low)
    return Interval(apart, apart - below, apart + above)


def mean_interval(sample: Sample, level: float) -> Interval:
    """Mean with the interval of Student; its ends are not known from fewer than two values."""
    if sample.count < 2:
        return Interval(sample.mean, math.nan, math.nan)
    half = t_half_width(level, sample.count - 1) * sample.spread / math.sqrt(sample.count)
    return Interval(sample.mean, sample.mean - half, sample.mean + half)


def mean_difference(one: Sample, other: Sample, level: float) -> Interval:
    """The other mean less this one, with the interval of Welch 1947."""
    apart = other.mean - one.mean
    if one.count < 2 or other.count < 2:
        return Interval(apart, math.nan, math.nan)
    of_one, of_other = one.spread**2 / one.count, other.spread**2 / other.count
    variance = of_one + of_other
    if not variance > 0:
        return Interval(apart, math.nan, math.nan)
    freedom = variance**2 / (of_one**2 / (one.count - 1) + of_other**2 / (other.count - 1))
    half = t_half_width(level, freedom) * math.sqrt(variance)
    return Interval(apart, apart - half, apart + half)


def t_half_width(level: float, freedom: float) -> float:
    """Spreads either side of the mean that hold this share of Student's t with some degrees of freedom.

    >>> round(t_half_width(0.90, 4), 6)
    2.131847
    """
    # t grows as x = freedom / (freedom + t^2) falls, and the tails hold I_x(freedom / 2, 1 / 2).
    low, high = 0.0, 1.0
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if _beta_share(middle, freedom / 2, 0.5) < 1 - level:
            low = middle
        else:
            high = middle
    return math.sqrt(freedom * (1 - high) / high)


def _beta_share(x: float, a: float, b: float) -> float:
    """Share of the beta distribution below x: the regularised incomplete beta function."""
    if x > (a + 1) / (a + b + 2):
        return 1 - _beta_share(1 - x, b, a)
    if x <= 0:
        return 0.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    return front * _continued(x, a, b) / a


def _continued(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function, by Lentz's way from the front."""
    c, d = 1.0, 1 / _not_nothing(1 - (a + b) * x / (a + 1))
    made = d
    for m in range(1, _MOST_TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d = 1 / _not_nothing(1 + term * d)
            c = _not_nothing(1 + term / c)
            made *= c * d
        if abs(c * d - 1) < _ENOUGH:
            break
    return made


def _not_nothing(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
