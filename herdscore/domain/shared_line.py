"""The sums of the shared-line model: one Gaussian linear model a herd, solved exactly and once.

theta holds G group levels, R rates and J session biases; a cow's state holds her level, her K rates and her wander.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from herdscore.domain.herd_scores import Floats, HerdScores, Ints
from herdscore.domain.rulebook import ModelParameters


@dataclass(frozen=True, eq=False)
class Slots:
    """The scores that count, repeats of a cow in one session averaged, padded to M slots a cow."""

    filled: Floats  # [M, N], 1 or 0
    day: Floats  # [M, N]
    score: Floats  # [M, N]
    noise: Floats  # [M, N], variance; 1 in an empty slot
    session: Ints  # [M, N]
    n_scores: Ints  # [N]
    ignored: int

    def of(self, cows: Ints) -> Slots:
        """Return the slots of these cows."""
        n_scores = self.n_scores[cows]
        most = int(n_scores.max(initial=0))
        return Slots(
            filled=self.filled[:most, cows],
            day=self.day[:most, cows],
            score=self.score[:most, cows],
            noise=self.noise[:most, cows],
            session=self.session[:most, cows],
            n_scores=n_scores,
            ignored=self.ignored,
        )


@dataclass(frozen=True, eq=False)
class SharedLine:
    """Posterior of theta: prior mean, shift from it, and a root B with covariance B'B; lengths p = G + R + J."""

    prior: Floats  # [p]
    shift: Floats  # [p]
    root: Floats  # [p, p]

    @property
    def mean(self) -> Floats:
        """Posterior means, [p]."""
        return self.prior + self.shift

    @property
    def sd(self) -> Floats:
        """Posterior spreads, [p]."""
        variance: Floats = (self.root * self.root).sum(axis=0)
        return np.sqrt(variance)


@dataclass(frozen=True, eq=False)
class CowStates:
    """Posterior of each cow's own line: level, rate in each segment, wander on day 0."""

    mean: Floats  # [N, 1 + K + 1]
    cov: Floats  # [N, 1 + K + 1, 1 + K + 1]


def fill_slots(scores: HerdScores, params: ModelParameters) -> Slots:
    """Drop scores dated after today, too old or NaN; average repeats of a cow in one session; pad to [M, N]."""
    cows, sessions = len(scores.group), scores.session_count
    day = scores.score_day
    kept = (day <= 0) & (day >= -params.max_age_days) & np.isfinite(scores.score)
    cell = (scores.score_cow * sessions + scores.score_session)[kept]
    count = np.bincount(cell, minlength=cows * sessions)
    taken = np.flatnonzero(count)
    cow, session = np.divmod(taken, max(sessions, 1))
    n_scores = np.bincount(cow, minlength=cows)
    slot = np.arange(len(taken)) - (np.cumsum(n_scores) - n_scores)[cow]
    shape = (int(n_scores.max(initial=0)), cows)
    repeats = count[taken]

    def spread_out(values: Floats, empty: float) -> Floats:
        grid = np.full(shape, empty)
        grid[slot, cow] = np.bincount(cell, values[kept], minlength=cows * sessions)[taken] / repeats
        return grid

    filled = np.zeros(shape)
    filled[slot, cow] = 1.0
    session_grid = np.zeros(shape, dtype=np.int64)
    session_grid[slot, cow] = session
    return Slots(
        filled=filled,
        day=spread_out(day, 0.0),
        score=spread_out(scores.score, 0.0),
        # Repeats get the mean of their variances, not less: felt twice in a minute is not a second opinion.
        noise=spread_out(_noise_variance(scores, params), 1.0),
        session=session_grid,
        n_scores=n_scores,
        ignored=len(kept) - len(cell),
    )


def _noise_variance(scores: HerdScores, params: ModelParameters) -> Floats:
    default = params.score_sd**2 + params.default_grain**2 / 12
    noise = np.full(len(scores.score), default)
    if scores.score_grain is not None:
        noise = np.where(np.isnan(scores.score_grain), noise, params.score_sd**2 + scores.score_grain**2 / 12)
    if scores.score_noise_sd is not None:
        noise = np.where(np.isnan(scores.score_noise_sd), noise, scores.score_noise_sd**2)
    return noise


def days_in_segments(day: Floats, lo: Floats, hi: Floats) -> Floats:
    """Signed days between day 0 and `day` spent in each segment; broadcasts, the past negative."""
    spent: Floats = np.minimum(np.maximum(day, lo), hi) - np.minimum(np.maximum(0.0, lo), hi)
    return spent


def prior_of_theta(scores: HerdScores, params: ModelParameters) -> tuple[Floats, Floats]:
    """Prior mean [p] and lower Cholesky factor [p, p] of group levels, rates and session biases."""
    class_mean = np.array(params.class_means) if scores.class_mean is None else scores.class_mean
    class_sd = np.array(params.class_sds) if scores.class_sd is None else scores.class_sd
    g, r, j = scores.group_count, len(scores.rate_class), scores.session_count
    cov = np.zeros((g + r + j, g + r + j))
    cov[:g, :g] = params.herd_level_sd**2
    shared = class_sd[scores.rate_class] ** 2
    cov[g : g + r, g : g + r] = np.where(scores.rate_class[:, None] == scores.rate_class, shared, 0.0)
    if scores.session_scorer is not None:
        scorer = scores.session_scorer
        same = (scorer[:, None] == scorer) & (scorer > 0)
        cov[g + r :, g + r :] = np.where(same, params.scorer_bias_sd**2, 0.0)
    own = np.empty(g + r + j)
    own[:g], own[g : g + r], own[g + r :] = params.group_level_sd, params.group_rate_sd, params.day_bias_sd
    cov.ravel()[:: g + r + j + 1] += own**2
    mean: Floats = np.zeros(g + r + j)
    mean[:g] = params.herd_level
    mean[g : g + r] = np.where(np.isnan(scores.rate_mean), class_mean[scores.rate_class], scores.rate_mean)
    return mean, np.asarray(np.linalg.cholesky(cov), dtype=np.float64)


def theta_index(scores: HerdScores, slots: Slots, cows: Ints | slice) -> Ints:
    """Places in theta of a cow's M sessions, her group and her K rates, [N, M + 1 + K]."""
    g = scores.group_count
    rates = scores.seg_rate[cows] + g
    first_session = g + len(scores.rate_class)
    return np.concatenate([slots.session.T + first_session, scores.group[cows, None], rates], axis=1)


def whitened(slots: Slots, spent: Floats, own_prior: Floats, extra: Floats, params: ModelParameters) -> Floats:
    """Solve C once, V = CC': C^-1 [sessions (M), 1, segments (K), extra], as [N, M + 1 + K + extras, M].

    `spent` is [M, K, N], `extra` [M, extras, N], `own_prior` the spreads of (level, rates) of a cow, [1 + K].
    V and the columns are swept together, whole herd at a time with the cows innermost: a Cholesky factorisation
    carried on into the right-hand sides, so C itself is never needed.
    """
    most, segments, cows = spent.shape
    line = np.empty((most, 1 + segments, cows))
    line[:, 0] = slots.filled
    line[:, 1:] = spent
    by_cow = np.ascontiguousarray(line.transpose(2, 0, 1)) * own_prior
    sweep = np.empty((most, 2 * most + 1 + segments + extra.shape[1], cows))
    apart = np.abs(slots.day[:, None] - slots.day)
    apart *= -1.0 / params.wander_memory_days
    wander = np.exp(apart, out=apart)
    wander *= params.wander_sd**2 * slots.filled[:, None] * slots.filled
    np.add(wander, (by_cow @ by_cow.transpose(0, 2, 1)).transpose(1, 2, 0), out=sweep[:, :most])
    diagonal = np.arange(most)
    sweep[diagonal, diagonal] += slots.noise
    sweep[:, most : 2 * most] = 0.0
    sweep[diagonal, most + diagonal] = slots.filled
    sweep[:, 2 * most : 2 * most + 1 + segments] = line
    sweep[:, 2 * most + 1 + segments :] = extra
    for row in range(most):
        sweep[row, row:] *= 1.0 / np.sqrt(sweep[row, row])
        if row + 1 < most:
            sweep[row + 1 :, row + 1 :] -= sweep[row, row + 1 : most, None] * sweep[row, None, row + 1 :]
    return np.ascontiguousarray(sweep[:, most:].transpose(2, 1, 0))


def own_prior_sds(segments: int, params: ModelParameters) -> Floats:
    """Prior spreads of a cow's own level and of her own rate in each segment, [1 + K]."""
    own = np.full(1 + segments, params.cow_rate_sd)
    own[0] = params.cow_level_sd
    return own


def solve(scores: HerdScores, slots: Slots, params: ModelParameters) -> tuple[SharedLine, CowStates]:
    """Posterior of theta and of every cow's own line: the model's two solves."""
    most, segments = len(slots.day), scores.seg_lo.shape[1]
    prior, root = prior_of_theta(scores, params)
    lo, hi = np.ascontiguousarray(scores.seg_lo.T), np.ascontiguousarray(scores.seg_hi.T)
    spent = days_in_segments(slots.day[:, None], lo, hi)
    spent *= slots.filled[:, None]
    g = scores.group_count
    extra = np.empty((most, 2, len(scores.group)))
    np.exp(slots.day / params.wander_memory_days, out=extra[:, 0])
    extra[:, 0] *= slots.filled
    expected = (spent * prior[scores.seg_rate.T + g]).sum(axis=1)
    extra[:, 1] = (slots.score - params.herd_level) * slots.filled - expected
    columns = whitened(slots, spent, own_prior_sds(segments, params), extra, params)
    gram = columns @ columns.transpose(0, 2, 1)

    index = theta_index(scores, slots, slice(None))
    size, terms = len(prior), index.shape[1]
    pairs = (index[:, :, None] * size + index[:, None]).ravel()
    told = np.bincount(pairs, gram[:, :terms, :terms].ravel(), minlength=size * size).reshape(size, size)
    # Every eigenvalue of the matrix of the second solve is 1 or more: never singular, however few the scores.
    precision = root.T @ told @ root
    precision.ravel()[:: size + 1] += 1.0
    line_root = np.linalg.solve(np.linalg.cholesky(precision), root.T)
    pull = np.bincount(index.ravel(), gram[:, :terms, -1].ravel(), minlength=size)
    line = SharedLine(prior=prior, shift=line_root.T @ (line_root @ pull), root=line_root)
    return line, _cow_states(line, gram, index, most, params)


def _cow_states(line: SharedLine, gram: Floats, index: Ints, most: int, params: ModelParameters) -> CowStates:
    terms = index.shape[1]
    segments = terms - most - 1
    own = np.append(own_prior_sds(segments, params), params.wander_sd) ** 2
    state = slice(most, terms + 1)
    to_theta = gram[:, state, :terms]
    mean = own * (gram[:, state, -1] - (to_theta @ line.shift[index][:, :, None])[:, :, 0])
    mean[:, :-1] += line.mean[index[:, most:]]
    roots = line.root.T[index]
    share = (to_theta @ roots) * -own[:, None]
    share[:, :-1] += roots[:, most:]
    cov = share @ share.transpose(0, 2, 1)
    cov -= gram[:, state, state] * (own[:, None] * own)
    diagonal = np.arange(len(own))
    cov[:, diagonal, diagonal] += own
    return CowStates(mean=mean, cov=cov)


def curve_at(
    scores: HerdScores, slots: Slots, line: SharedLine, cows: Ints, days: Floats, params: ModelParameters
) -> tuple[Floats, Floats]:
    """Mean and spread of the condition of these cows on these days, past or ahead, [cows, days]."""
    slots = slots.of(cows)
    most, segments = len(slots.day), scores.seg_lo.shape[1]
    lo, hi = np.ascontiguousarray(scores.seg_lo[cows].T), np.ascontiguousarray(scores.seg_hi[cows].T)
    spent = days_in_segments(slots.day[:, None], lo, hi) * slots.filled[:, None]
    ahead = np.ones((len(cows), len(days), 1 + segments))
    ahead[:, :, 1:] = days_in_segments(days[:, None, None], lo, hi).transpose(2, 0, 1)
    own = own_prior_sds(segments, params)
    index = theta_index(scores, slots, cows)
    terms = index.shape[1]

    extra = np.empty((most, len(days) + 1, len(cows)))
    extra[:, :-1] = np.exp(-np.abs(slots.day[:, None] - days[:, None]) / params.wander_memory_days)
    extra[:, :-1] *= params.wander_sd**2 * slots.filled[:, None]
    prior_line = line.prior[index[:, most:]].T
    extra[:, -1] = slots.score * slots.filled - prior_line[0] * slots.filled - (spent * prior_line[1:]).sum(axis=1)
    columns = whitened(slots, spent, own, extra, params)
    to_theta = columns[:, :terms]
    seen = columns[:, terms:-1] + (ahead * own**2) @ to_theta[:, most:]
    left = columns[:, -1:] - line.shift[index][:, None] @ to_theta
    mean = (ahead @ line.mean[index[:, most:]][:, :, None] + seen @ left.transpose(0, 2, 1))[:, :, 0]

    away = -(seen @ to_theta.transpose(0, 2, 1))
    away[:, :, most:] += ahead
    shared = away @ line.root.T[index]
    variance = params.wander_sd**2 + ((ahead * own) ** 2).sum(axis=2)
    variance += (shared**2).sum(axis=2) - (seen**2).sum(axis=2)
    return mean, np.sqrt(np.maximum(variance, 0.0))


def quadratic(cov: Floats, at: Floats) -> Floats:
    """Variance of each cow's line in the direction `at`, [N]; cov [N, B, B], at [N, B]."""
    variance: Floats = ((cov @ at[:, :, None])[:, :, 0] * at).sum(axis=1)
    return np.maximum(variance, 0.0)
