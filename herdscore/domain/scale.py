"""The 1-5 scale: typed text to quarters and back, three sites to one score, and how sure a score is."""

from __future__ import annotations

import re

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]

LOWEST, HIGHEST = 4, 20
"""Ends of the scale in quarters: 1 and 5."""

_TYPED = re.compile(r"([1-5])(?:[.,](0|00|25|5|50|75)| ?(½|¼|¾)|( ?[+-]))?$")
_PARTS = {None: 0, "0": 0, "00": 0, "25": 1, "5": 2, "50": 2, "75": 3, "¼": 1, "½": 2, "¾": 3, "+": 1, "-": -1}


def parse(text: str) -> int | None:
    """Quarters of a typed score, None when it is not a score from 1 to 5 in quarters.

    >>> parse("2.75"), parse("2,5"), parse("3½"), parse("6"), parse("2.3")
    (11, 10, 14, None, None)
    """
    found = _TYPED.match(text.strip().replace("−", "-"))
    if not found:
        return None
    part = found[2] or found[3] or (found[4].strip() if found[4] else None)
    quarters = int(found[1]) * 4 + _PARTS[part]
    return quarters if LOWEST <= quarters <= HIGHEST else None


def show(quarters: float) -> str:
    """A measured score as it is written everywhere: 2.0, 2.25, 2.5.

    >>> show(8), show(9), show(10)
    ('2.0', '2.25', '2.5')
    """
    score = quarters / 4
    return f"{score:.2f}" if quarters % 2 else f"{score:.1f}"


def to_quarter(score: Numbers) -> Numbers:
    """Scores to the nearest quarter, ties up."""
    return np.floor(score * 4 + 0.5) / 4


def mean_of_sites(loin: Numbers, ribs: Numbers, tailhead: Numbers, overall: Numbers) -> tuple[Numbers, Numbers]:
    """Unrounded score (units, NaN without any) and number of sites felt, from quarters; sites win over the overall."""
    sites = np.stack([loin, ribs, tailhead])
    felt = np.isfinite(sites)
    count = felt.sum(axis=0)
    total = np.where(felt, sites, 0.0).sum(axis=0)
    mean = np.where(count > 0, total / np.maximum(count, 1), overall)
    return mean / 4, count.astype(np.float64)


def site_spread(loin: Numbers, ribs: Numbers, tailhead: Numbers) -> Numbers:
    """Quarters between the highest and the lowest site felt, 0 when fewer than two were."""
    sites = np.stack([loin, ribs, tailhead])
    felt = np.isfinite(sites)
    high = np.where(felt, sites, -np.inf).max(axis=0)
    low = np.where(felt, sites, np.inf).min(axis=0)
    return np.where(felt.sum(axis=0) > 1, high - low, 0.0)


def from_nine(score: float) -> float:
    """American 1-9 score on the 1-5 scale (Ferguson, Body condition scoring, University of Pennsylvania)."""
    return (score + 1) / 2


def to_nine(score: float) -> float:
    """A 1-5 score on the American 1-9 scale, for display only."""
    return 2 * score - 1
