"""What the trajectory model is told about one herd: cows, scores, diets and calving dates, as arrays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

FAR_DAYS = 100_000  # where a cow's first segment begins (minus) and her last one ends


@dataclass(frozen=True, eq=False)
class HerdScores:
    """One herd of N cows, S scores, K diet segments a cow, R rates; days count from today (0), the past negative.

    A segment [seg_lo, seg_hi) is a time on one diet; a cow's segments follow each other from -100000 to 100000,
    padded with lo = hi = 100000 and rate 0. Scorer 0 is the one whose scores define the target.
    """

    group: Ints  # [N]
    score_cow: Ints  # [S]
    score_day: Floats  # [S]; after today or too old is ignored
    score: Floats  # [S]; NaN is ignored
    score_session: Ints  # [S], index of (day, scorer)
    seg_lo: Floats  # [N, K]
    seg_hi: Floats  # [N, K]
    seg_rate: Ints  # [N, K]
    rate_class: Ints  # [R]
    rate_mean: Floats  # [R], NaN: the mean of its class
    calving_day: Floats  # [N], NaN unknown
    calving_sd: Floats  # [N], spread of the calving date in days
    target: Floats  # [N]
    calved: Flags  # [N]
    band: float  # score either side of the target
    upper: Floats | None = None  # [N], upper edge of the band; NaN: target + band
    class_mean: Floats | None = None  # [C]; None: the five classes of the parameters
    class_sd: Floats | None = None  # [C]
    session_scorer: Ints | None = None  # [J]; None: all by scorer 0
    score_grain: Floats | None = None  # [S], NaN: the default grain
    score_noise_sd: Floats | None = None  # [S], NaN: from the grain
    days: Floats | None = None  # [L], days at which every cow's curve is wanted
    groups: int | None = None  # G; None: up to the highest index in `group`

    def __post_init__(self) -> None:
        """Refuse arrays that do not fit each other, with a sentence that names the field."""
        self._check_shapes()
        _check_index("group", self.group, self.group_count, "groups")
        _check_index("score_cow", self.score_cow, len(self.group), "cows")
        _check_index("score_session", self.score_session, self.session_count, "sessions")
        _check_index("seg_rate", self.seg_rate, len(self.rate_class), "rates")
        if self.class_mean is not None:
            _check_index("rate_class", self.rate_class, len(self.class_mean), "classes")
        self._check_segments()
        self._check_values()

    @property
    def group_count(self) -> int:
        """Number of groups, G."""
        return int(self.group.max(initial=-1)) + 1 if self.groups is None else self.groups

    @property
    def session_count(self) -> int:
        """Number of sessions, J."""
        if self.session_scorer is None:
            return int(self.score_session.max(initial=-1)) + 1
        return len(self.session_scorer)

    @property
    def lower_edge(self) -> Floats:
        """Lower edge of each cow's band, [N]."""
        return self.target - self.band

    @property
    def upper_edge(self) -> Floats:
        """Upper edge of each cow's band, [N]."""
        above: Floats = self.target + self.band
        return above if self.upper is None else np.where(np.isnan(self.upper), above, self.upper)

    def _check_shapes(self) -> None:
        cows, scores, rates = len(self.group), len(self.score), len(self.rate_class)
        wanted: dict[str, tuple[int, ...]] = dict.fromkeys(
            ("group", "calving_day", "calving_sd", "target", "calved", "upper"), (cows,)
        )
        wanted |= dict.fromkeys(
            ("score_cow", "score_day", "score", "score_session", "score_grain", "score_noise_sd"), (scores,)
        )
        wanted |= dict.fromkeys(("seg_lo", "seg_hi", "seg_rate"), (cows, self.seg_lo.shape[-1]))
        wanted |= dict.fromkeys(("rate_class", "rate_mean"), (rates,))
        for name, shape in wanted.items():
            column = getattr(self, name)
            if column is not None and column.shape != shape:
                raise ValueError(f"{name} has shape {column.shape}, but {shape} is needed.")
        if (self.class_mean is None) != (self.class_sd is None):
            raise ValueError("class_mean and class_sd must be given together.")
        if self.class_mean is not None and self.class_sd is not None and self.class_mean.shape != self.class_sd.shape:
            raise ValueError("class_mean and class_sd differ in length.")

    def _check_segments(self) -> None:
        lo, hi = self.seg_lo, self.seg_hi
        if lo.shape[1] == 0:
            raise ValueError("Every cow needs at least one segment.")
        if not (hi >= lo).all():
            raise ValueError("A segment ends before it begins.")
        if not (lo[:, 1:] == hi[:, :-1]).all():
            raise ValueError("The segments of a cow must follow each other without gap or overlap.")
        if not ((lo[:, 0] == -FAR_DAYS).all() and (hi[:, -1] == FAR_DAYS).all()):
            raise ValueError(f"The segments of a cow must run from {-FAR_DAYS} to {FAR_DAYS}.")

    def _check_values(self) -> None:
        dated = ~np.isnan(self.calving_day)
        if not (np.abs(self.calving_day[dated]) < FAR_DAYS).all():
            raise ValueError(f"A calving day lies {FAR_DAYS} days or more away.")
        if not (np.isfinite(self.calving_sd[dated]) & (self.calving_sd[dated] >= 0)).all():
            raise ValueError("A calving date needs a spread of 0 days or more.")
        if not self.band >= 0:
            raise ValueError("The band must be 0 or more.")
        if self.upper is not None and (self.upper < self.lower_edge).any():
            raise ValueError("The upper edge of a band lies below its lower edge.")
        if self.score_noise_sd is not None and (self.score_noise_sd <= 0).any():
            raise ValueError("The noise of a score must be above 0.")
        if self.score_grain is not None and (self.score_grain < 0).any():
            raise ValueError("The grain of a score must be 0 or more.")
        if self.class_sd is not None and not (self.class_sd >= 0).all():
            raise ValueError("The spread of a diet class must be 0 or more.")


def _check_index(name: str, index: NDArray[Any], count: int, of: str) -> None:
    if index.dtype.kind not in "iu":
        raise ValueError(f"{name} must hold whole numbers.")
    if index.size and not (index.min() >= 0 and index.max() < count):
        raise ValueError(f"{name} must lie in 0 to {count - 1}: there are {count} {of}.")
