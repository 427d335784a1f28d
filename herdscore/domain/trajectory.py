"""Where each cow's condition is heading: her line to calving, its spread, and her chances about the band.

The shared-line model of the Guide; one call is one herd, all cows at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from herdscore.domain.chance import chance_below, half_width
from herdscore.domain.herd_scores import Floats, HerdScores, Ints
from herdscore.domain.rulebook import ModelParameters
from herdscore.domain.shared_line import (
    CowStates,
    SharedLine,
    Slots,
    curve_at,
    days_in_segments,
    fill_slots,
    quadratic,
    solve,
)

__all__ = ["CALVED", "NO_DATE", "NO_SCORE", "OVERDUE", "PROJECTED", "HerdScores", "Trajectories", "path", "project"]

PROJECTED, NO_SCORE, NO_DATE, OVERDUE, CALVED = range(5)

LOWEST_SCORE, HIGHEST_SCORE = 1.0, 5.0  # ends of the scale


@dataclass(frozen=True, eq=False)
class Trajectories:
    """What the model says of N cows, K segments a cow, and of the herd; NaN where nothing can be said.

    Means and interval ends are clipped to the scale, curves and `days_mean` are not; spreads are one SD.
    """

    status: Ints  # [N]: 0 projected, 1 no score, 2 no calving date, 3 overdue (projected to today), 4 calved
    n_scores: Ints  # [N], repeats in one session counted once
    ignored_scores: int  # scores dated after today, too old, or NaN
    today_mean: Floats  # [N]
    today_sd: Floats  # [N]
    mean: Floats  # [N], at calving
    sd: Floats  # [N]
    lo: Floats  # [N], ends of the interval at calving
    hi: Floats  # [N]
    p_below: Floats  # [N], chances to calve below, inside and above the band
    p_inside: Floats  # [N]
    p_above: Floats  # [N]
    rate: Floats  # [N], in force at calving, score a day
    rate_sd: Floats  # [N]
    rate_today: Floats  # [N], in force today
    rate_today_sd: Floats  # [N]
    curve_level: Floats  # [N]; m(s) = level + wander exp(-s / memory) + days in each segment times its rate
    curve_wander: Floats  # [N]
    curve_rate: Floats  # [N, K]
    session_bias: Floats  # [J], how far a session scored above the cows' condition
    session_bias_sd: Floats  # [J]
    group_level: Floats  # [G], of the group's average cow today
    group_level_sd: Floats  # [G]
    group_rate: Floats  # [R], score a day
    group_rate_sd: Floats  # [R]
    days_mean: Floats  # [N, L], at HerdScores.days
    days_sd: Floats  # [N, L]
    slots: Slots
    line: SharedLine


def project(scores: HerdScores, params: ModelParameters) -> Trajectories:
    """Project every cow of one herd to her calving date, with the chances about her band."""
    _check_parameters(scores, params)
    slots = fill_slots(scores, params)
    line, states = solve(scores, slots, params)
    status = _status(scores, slots)
    calving = _at_calving(scores, states, params)
    day_zero = np.arange(len(scores.group)), (scores.seg_hi <= 0).sum(axis=1) + 1
    g, r = scores.group_count, len(scores.rate_class)
    means, sds = line.mean, line.sd
    cov = states.cov
    days_mean = days_sd = np.empty((len(scores.group), 0))
    if scores.days is not None:
        days_mean, days_sd = curve_at(scores, slots, line, np.arange(len(scores.group)), scores.days, params)
    return Trajectories(
        status=status,
        n_scores=slots.n_scores,
        ignored_scores=slots.ignored,
        today_mean=_on_scale(states.mean[:, 0] + states.mean[:, -1]),
        today_sd=np.sqrt(np.maximum(cov[:, 0, 0] + 2 * cov[:, 0, -1] + cov[:, -1, -1], 0.0)),
        **calving,
        rate_today=states.mean[day_zero],
        rate_today_sd=np.sqrt(np.maximum(cov[day_zero[0], day_zero[1], day_zero[1]], 0.0)),
        curve_level=states.mean[:, 0],
        curve_wander=states.mean[:, -1],
        curve_rate=states.mean[:, 1:-1],
        session_bias=means[g + r :],
        session_bias_sd=sds[g + r :],
        group_level=means[:g],
        group_level_sd=sds[:g],
        group_rate=means[g : g + r],
        group_rate_sd=sds[g : g + r],
        days_mean=days_mean,
        days_sd=days_sd,
        slots=slots,
        line=line,
    )


def path(
    scores: HerdScores, params: ModelParameters, course: Trajectories, cows: Ints, days: Floats
) -> tuple[Floats, Floats]:
    """Mean and spread of condition of some cows on any days, past or ahead, each [cows, days]; not clipped.

    Uses the solved herd: a chart of one cow costs a small solve of her own scores only.
    """
    return curve_at(scores, course.slots, course.line, np.asarray(cows), np.asarray(days, dtype=float), params)


def _at_calving(scores: HerdScores, states: CowStates, params: ModelParameters) -> dict[str, Floats]:
    """Everything said of the calving date; an overdue cow is projected to today."""
    known = ~(np.isnan(scores.calving_day) | scores.calved)
    day = np.where(known, np.maximum(scores.calving_day, 0.0), 0.0)
    date_sd = np.where(known, scores.calving_sd, np.nan)
    at = np.ones((len(day), states.mean.shape[1]))
    at[:, 1:-1] = days_in_segments(day[:, None], scores.seg_lo, scores.seg_hi)
    at[:, -1] = np.exp(day / -params.wander_memory_days)
    rows, place = np.arange(len(day)), (scores.seg_hi <= day[:, None]).sum(axis=1) + 1
    rate = states.mean[rows, place]
    rate_variance = np.maximum(states.cov[rows, place, place], 0.0)
    # Her ups and downs on day c: what is left of today's, and new ones since.
    variance = quadratic(states.cov, at) + params.wander_sd**2 * (1.0 - at[:, -1] ** 2)
    sd = np.sqrt(variance + date_sd**2 * (rate**2 + rate_variance))
    mean = np.where(known, (states.mean * at).sum(axis=1), np.nan)
    below, above = chance_below(np.stack([scores.lower_edge - mean, mean - scores.upper_edge]) / sd)
    reach = half_width(params.level) * sd
    return {
        "mean": _on_scale(mean),
        "sd": sd,
        "lo": _on_scale(mean - reach),
        "hi": _on_scale(mean + reach),
        "p_below": below,
        "p_inside": np.maximum(1.0 - below - above, 0.0),
        "p_above": above,
        "rate": np.where(known, rate, np.nan),
        "rate_sd": np.where(known, np.sqrt(rate_variance), np.nan),
    }


def _status(scores: HerdScores, slots: Slots) -> Ints:
    """Calved wins over all; a cow without a score is never more than that, so that she is never flagged."""
    status = np.where(scores.calving_day < 0, OVERDUE, PROJECTED)
    status[np.isnan(scores.calving_day)] = NO_DATE
    status[slots.n_scores == 0] = NO_SCORE
    status[scores.calved] = CALVED
    return status


def _on_scale(score: Floats) -> Floats:
    return np.minimum(np.maximum(score, LOWEST_SCORE), HIGHEST_SCORE)


def _check_parameters(scores: HerdScores, params: ModelParameters) -> None:
    for name in ("score_sd", "day_bias_sd", "group_level_sd", "group_rate_sd", "wander_memory_days"):
        if not getattr(params, name) > 0:
            raise ValueError(f"The parameter {name} must be above 0.")
    if not 0 < params.level < 1:
        raise ValueError("The parameter level must lie between 0 and 1.")
    classes = len(params.class_means)
    named = scores.rate_class if scores.class_mean is None else scores.rate_class[:0]
    if not ((named >= 0) & (named < classes)).all():
        raise ValueError(f"rate_class must lie in 0 to {classes - 1}, or class_mean and class_sd be given.")
