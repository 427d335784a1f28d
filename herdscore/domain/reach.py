"""What gentle feeding can still do for a cow: her side, the last day to begin, and the rates she has and wants.

Days count from today (0); rates are score a day; NaN where nothing is defined.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from herdscore.domain.chance import chance_below
from herdscore.domain.herd_scores import Flags, Floats, HerdScores, Ints
from herdscore.domain.rulebook import Limits, ModelParameters
from herdscore.domain.shared_line import days_in_segments
from herdscore.domain.trajectory import CALVED, HIGHEST_SCORE, LOWEST_SCORE, NO_DATE, NO_SCORE, PROJECTED, Trajectories

THIN, NO_SIDE, FAT = -1, 0, 1

BLOCK_ROWS = 2048  # cows looked at together: 95 days each then stay in the cache
SLACK = 1e-9  # score; a curve that ends on the edge reaches it


@dataclass(frozen=True, eq=False)
class Reach:
    """One value a cow, [N]."""

    side: Floats  # -1 thin, +1 fat, 0 neither; NaN for a cow without score or date, and for one calved
    never_slimmed: Flags
    latest: Floats  # last whole day on which a start still reaches the band
    act_by: Floats  # latest less the spread of the calving date, whole days, never before today
    part_way: Floats  # 1 if no start reaches the band any more, else 0
    fan_lo: Floats  # lowest and highest score at calving that a start today can lead to
    fan_hi: Floats
    expected_rate: Floats  # her own mean rate from today to calving
    wanted_rate: Floats  # rate that aims at the target, within the gentle limits
    p_reach: Floats  # chance, over the spread of her score now, that the fan meets the band


@dataclass(frozen=True, eq=False)
class CowFacts:
    """What is known of N cows beside the projection, [N]."""

    last_score: Floats  # as shown; NaN none
    first_calver: Flags
    twins: Flags
    vet_plan: Flags
    acted: Ints  # side of a running change: -1, 0 or +1


def reach(
    course: Trajectories,
    scores: HerdScores,
    facts: CowFacts,
    params: ModelParameters,
    limits: Limits,
    *,
    flag_above: float,
    keep_above: float,
) -> Reach:
    """Side, last day to begin and rates of every cow; flagged above one chance, kept while at the other or above it."""
    _check(course, facts, limits)
    side = side_of(course, facts.acted, flag_above=flag_above, keep_above=keep_above)
    now = course.curve_level + course.curve_wander
    never_slimmed = _never_slimmed(now, facts, limits)
    days_to_calving = scores.calving_day
    is_open = (
        (course.status == PROJECTED) & (days_to_calving >= limits.lead_days) & (days_to_calving <= limits.furthest_days)
    )
    d = np.where(is_open, days_to_calving, np.nan)
    up, down, down_own = limits.planning_gain, limits.planning_loss, np.where(never_slimmed, 0.0, limits.planning_loss)
    window = d - limits.lost_days
    gain, loss = up * window, down_own * window
    lower, upper = scores.lower_edge, scores.upper_edge

    at_calving = now + _rise(course, scores, d, params)
    expected = (at_calving - now) / d
    wanted = np.minimum(np.maximum((scores.target - now) / window, -down), up)
    thin = np.maximum(wanted, np.minimum(expected, limits.refused_gain))
    fat = np.minimum(wanted, np.maximum(expected, -limits.refused_loss))
    fat = np.where(never_slimmed, np.minimum(np.maximum(expected, -down), 0.0), fat)
    flagged = is_open & ((side == THIN) | (side == FAT))
    latest = _latest_start(course, scores, np.flatnonzero(flagged), side, down_own, params, limits)
    act_by = np.maximum(np.floor(latest - scores.calving_sd), 0.0)
    part_way = flagged & np.isnan(latest)
    within = chance_below(np.stack([upper + loss - now, lower - gain - now]) / course.today_sd)
    return Reach(
        side=side,
        never_slimmed=never_slimmed,
        latest=latest,
        act_by=np.where(part_way, 0.0, act_by),
        part_way=np.where(flagged, part_way.astype(float), np.nan),
        fan_lo=np.minimum(np.maximum(now - loss, LOWEST_SCORE), HIGHEST_SCORE),
        fan_hi=np.minimum(np.maximum(now + gain, LOWEST_SCORE), HIGHEST_SCORE),
        expected_rate=expected,
        wanted_rate=np.where(flagged, np.where(side == THIN, thin, fat), np.nan),
        p_reach=within[0] - within[1],
    )


def side_of(course: Trajectories, acted: Ints, *, flag_above: float, keep_above: float) -> Floats:
    """Return the side each cow is heading for, [N]; a side once acted on is kept until its chance falls low."""
    kept = np.select(
        [(acted == THIN) & (course.p_below >= keep_above), (acted == FAT) & (course.p_above >= keep_above)],
        [float(THIN), float(FAT)],
        float(NO_SIDE),
    )
    side = np.select([course.p_below > flag_above, course.p_above > flag_above], [float(THIN), float(FAT)], kept)
    blank = np.isin(course.status, (NO_SCORE, NO_DATE, CALVED)) | np.isnan(course.p_below)
    return np.where(blank, np.nan, side)


def _never_slimmed(now: Floats, facts: CowFacts, limits: Limits) -> Flags:
    """Lean, in her first pregnancy, with twins, or fat without a vet's plan: to ease her down is to stop gaining."""
    lean = np.fmin(now, facts.last_score) <= limits.never_slimmed_at
    very_fat = np.fmax(now, facts.last_score) >= limits.vet_plan_at
    never: Flags = facts.first_calver | facts.twins | lean | (very_fat & ~facts.vet_plan)
    return never


def _rise(course: Trajectories, scores: HerdScores, day: Floats, params: ModelParameters) -> Floats:
    """Change of each cow's mean from today to `day` >= 0, [N]."""
    spent = days_in_segments(day[:, None], scores.seg_lo, scores.seg_hi)
    fading = np.expm1(day / -params.wander_memory_days)
    change: Floats = course.curve_wander * fading + (spent * course.curve_rate).sum(axis=1)
    return change


def _latest_start(
    course: Trajectories,
    scores: HerdScores,
    rows: Ints,
    side: Floats,
    down: Floats,
    params: ModelParameters,
    limits: Limits,
) -> Floats:
    """Last whole day on which a start reaches the band, [N]; every day is tried, as reach may come and go."""
    latest = np.full(len(side), np.nan)
    start = np.arange(limits.furthest_days - limits.lead_days + 1, dtype=float)
    fading = np.exp(start / -params.wander_memory_days)
    for first in range(0, len(rows), BLOCK_ROWS):
        cow = rows[first : first + BLOCK_ROWS]
        inwards = np.where(side[cow] == THIN, 1.0, -1.0)
        rate = np.where(side[cow] == THIN, limits.planning_gain, down[cow])
        edge = np.where(side[cow] == THIN, scores.lower_edge[cow], scores.upper_edge[cow])
        d = scores.calving_day[cow]
        ahead = course.curve_wander[cow, None] * fading
        ahead += course.curve_level[cow, None]
        still_to_come = (scores.seg_hi[cow] > 0) & (scores.seg_lo[cow] < start[-1])
        for segment in np.flatnonzero(still_to_come.any(axis=0)):
            lo, hi = scores.seg_lo[cow, segment, None], scores.seg_hi[cow, segment, None]
            ahead += days_in_segments(start, lo, hi) * course.curve_rate[cow, segment, None]
        ahead -= edge[:, None]
        ahead *= inwards[:, None]
        ahead += rate[:, None] * np.maximum(d[:, None] - limits.lost_days - start, 0.0)
        reaches = (ahead >= -SLACK) & (start <= d[:, None] - limits.lead_days)
        last = len(start) - 1 - np.argmax(reaches[:, ::-1], axis=1)
        latest[cow] = np.where(reaches.any(axis=1), start[last], np.nan)
    return latest


def _check(course: Trajectories, facts: CowFacts, limits: Limits) -> None:
    cows = course.status.shape
    for name in ("last_score", "first_calver", "twins", "vet_plan", "acted"):
        if getattr(facts, name).shape != cows:
            raise ValueError(f"{name} has shape {getattr(facts, name).shape}, but {cows} is needed.")
    if not np.isin(facts.acted, (THIN, NO_SIDE, FAT)).all():
        raise ValueError("acted must be -1, 0 or +1.")
    if not limits.lost_days < limits.lead_days <= limits.furthest_days:
        raise ValueError("The lead must be longer than freeze and ramps together, and not beyond the furthest day.")
