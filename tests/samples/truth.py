"""True condition of made-up cows, and what a scorer writes down of it; all scores on the 1-5 scale, all times in days.

The mean curve joins published targets by straight lines; between-cow spread from Agabriel, Grenet & Petit 1992.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.records import AUTUMN, SPRING

Numbers = npt.NDArray[np.float64]

# Knots at the published targets (Teagasc; Teagasc 2011), straight lines between them worked out here.
CURVES = {
    SPRING: (
        (-145, -125, -100, -56, -21, 0, 35, 75, 130, 220),
        (3.10, 3.10, 2.95, 2.70, 2.55, 2.50, 2.15, 2.30, 2.70, 3.10),
    ),
    AUTUMN: (
        (-100, -56, -21, 0, 45, 75, 150, 210, 265),
        (2.55, 2.80, 2.95, 3.00, 2.80, 2.65, 2.30, 2.05, 2.55),
    ),
}
# A first-calver is better covered before calving and slips further after it (direction: Agabriel, Grenet & Petit 1992).
FIRST_CALVER = {
    SPRING: ((-145, -125, 0, 75, 220), (0.0, 0.20, 0.0, -0.25, 0.0)),
    AUTUMN: ((-100, -70, 0, 75, 265), (0.0, 0.20, 0.0, -0.25, 0.0)),
}
PARITY_SHARE = {1: 1.0, 2: 0.5}
YEAR = 365

LASTING_SPREAD, WANDER_SPREAD, WANDER_MEMORY = 0.35, 0.28, 60.0
SCORE_SPREAD = 0.25
# Errors of the three sites of one scoring go together (correlation 0.6), so that their mean has SCORE_SPREAD.
_SITE_VARIANCE = SCORE_SPREAD**2 / (0.6 + 0.4 / 3)


@dataclass(frozen=True)
class Fed:
    """A feed that moves condition beside the curve: score a day, from a day to the day before another."""

    since: date
    rate: float
    until: date | None = None


def mean_score(block: str, since_calving: Numbers) -> Numbers:
    """Mean condition of mature cows of a block, days from the nearest calving."""
    days, scores = CURVES[block]
    return np.interp(since_calving, days, scores)


def parity_score(block: str, since_calving: Numbers, parity: int) -> Numbers:
    """What a first-calver (parity 1) or second-calver lies above the mature cows."""
    days, scores = FIRST_CALVER[block]
    return PARITY_SHARE.get(parity, 0.0) * np.interp(since_calving, days, scores)


def since_calving(block: str, days: Numbers, last: float, due: float) -> Numbers:
    """Days from calving on the curve's year of 365 days, for a cow who calves on `last` and again on `due`."""
    turn = CURVES[block][0][-1]
    of_year = (days - last) / (due - last) * YEAR
    return np.where(of_year > turn, of_year - YEAR, of_year)


def lasting(rng: np.random.Generator, cows: int, *, tails: bool = True) -> Numbers:
    """Lasting deviation of each cow; with tails 6 % are old or lame (−0.8) and 4 % missed a calf last year (+0.7)."""
    level = rng.normal(0.0, LASTING_SPREAD, cows)
    lot = rng.random(cows)
    return level + np.select([lot < 0.06, lot > 0.96], [-0.8, 0.7], 0.0) if tails else level


def wander(rng: np.random.Generator, days: Numbers, cows: int) -> Numbers:
    """Ups and downs of each cow, fading over 60 days: cows × days, days in order."""
    made = np.empty((cows, len(days)))
    made[:, 0] = rng.normal(0.0, WANDER_SPREAD, cows)
    for k, gap in enumerate(np.diff(days), start=1):
        kept = np.exp(-gap / WANDER_MEMORY)
        made[:, k] = kept * made[:, k - 1] + np.sqrt(1 - kept**2) * rng.normal(0.0, WANDER_SPREAD, cows)
    return made


def fed_score(days: Numbers, feeds: tuple[Fed, ...]) -> Numbers:
    """What feeding beside the curve has moved by each day (ordinals)."""
    total = np.zeros(len(days))
    for fed in feeds:
        until = fed.until.toordinal() if fed.until else np.inf
        total += fed.rate * np.clip(np.minimum(days, until) - fed.since.toordinal(), 0.0, None)
    return total


def felt(rng: np.random.Generator, true: Numbers, bias: float, grain: float) -> npt.NDArray[np.int64]:
    """Loin, ribs and tailhead as written down, in quarters: cows × 3; grain 0.25 or 0.5, bias of the scorer."""
    shared = rng.normal(0.0, np.sqrt(0.6 * _SITE_VARIANCE), (len(true), 1))
    own = rng.normal(0.0, np.sqrt(0.4 * _SITE_VARIANCE), (len(true), 3))
    steps = np.round((true[:, None] + bias + shared + own) / grain) * grain
    return np.rint(np.clip(steps, 1.0, 5.0) * 4).astype(np.int64)
