"""Groups of cows to be fed, and feeds, in a few words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from herdscore.domain import energy
from herdscore.domain.feeds import Feeds, book_feeds
from herdscore.domain.need import CowsFed
from tests.domain.herds import RULES

Values = float | Sequence[float] | npt.NDArray[np.float64]


def fed_cows(
    score: Values,
    due: Values = 100.0,
    *,
    weight: float = 650.0,
    weighed: bool = False,
    spread: Values = 6.0,
    target: float = 2.5,
    first_calver: Sequence[bool] | npt.NDArray[np.bool_] | None = None,
    twins: Sequence[bool] | npt.NDArray[np.bool_] | None = None,
    calf: float = 42.0,
) -> CowsFed:
    """Dry cows of a weight at score 3.0, or `weighed` at their score, by scores or dates of which one has a length."""
    scores, dues = np.atleast_1d(np.asarray(score, dtype=float)), np.atleast_1d(np.asarray(due, dtype=float))
    n = max(len(scores), len(dues))
    scores, dues = np.broadcast_to(scores, n).copy(), np.broadcast_to(dues, n).copy()
    limits = RULES.limits
    first = np.zeros(n, dtype=bool) if first_calver is None else np.asarray(first_calver, dtype=bool)
    two = np.zeros(n, dtype=bool) if twins is None else np.asarray(twins, dtype=bool)
    at = scores if weighed else np.full(n, RULES.energy.middle_score)
    return CowsFed(
        row=np.arange(n),
        tag=np.array([f"{place + 1:04d}" for place in range(n)], dtype=object),
        score=scores,
        frame=energy.frame_of(np.full(n, weight), at, RULES.energy),
        weight_assumed=np.full(n, not weighed),
        first_calver=first,
        twins=two,
        never_slimmed=first | two | (scores <= limits.never_slimmed_at) | (scores >= limits.vet_plan_at),
        breed=np.ones(n),
        calf=np.full(n, calf),
        calving_day=dues,
        spread=np.broadcast_to(np.asarray(spread, dtype=float), n).copy(),
        milk=np.full(n, RULES.energy.milk),
        dry_day=np.full(n, -1.0),
        target=np.full(n, target),
        lower=np.full(n, target - RULES.targets.band),
        upper=np.full(n, target + RULES.targets.band),
    )


def usual_feeds(**changed: list[float]) -> Feeds:
    """Silage of 65 DMD, straw, barley and soya of the book, with invented prices a kg dry matter."""
    names = ("Grass silage, 65 DMD", "Barley straw", "Barley, rolled", "Soya bean meal")
    feeds = book_feeds(RULES.book_feeds[name] for name in names)
    columns = {name: np.array(values, dtype=float) for name, values in changed.items()}
    return replace(feeds, price=np.array([0.15, 0.11, 0.25, 0.50]), **columns)


TODAYS_RATION = np.array([6.5, 2.0, 0.0, 0.0])
"""Kg dry matter of the usual feeds that hold a grown cow level three months before calving."""
