"""Simulated herds of known truth ("mix"), and how well projections of them hold; used by acceptance and speed tests.

One seed and herd number give one herd, always the same.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np
from numpy.random import Generator

from herdscore.domain.herd_scores import FAR_DAYS, Floats, HerdScores, Ints
from herdscore.domain.rulebook import ModelParameters, read_numbers
from herdscore.domain.trajectory import project

RULES = Path(__file__).parents[2] / "resources" / "rules"
FIRST_DAY, LAST_DAY, BLOCK = -400, 200, 10
WINTER, GRASS, AFTER_CALVING = 1, 2, 3
MEAN_RATES = np.array([0.0, -0.0060, 0.0055, -0.0055])  # of the simulated world, by class; not what the model is told
BAND = 0.25


def shipped_parameters() -> ModelParameters:
    """The model's parameters as the product reads them."""
    with (RULES / "trajectory.toml").open("rb") as file:
        return read_numbers(ModelParameters, tomllib.load(file), "trajectory.toml")


@dataclass(frozen=True)
class SimulatedHerd:
    """What the model may know, and what became of the cows."""

    scores: HerdScores
    truth: Floats  # [N], condition on the true calving day
    last_score: Floats  # [N], NaN for a cow never scored


@dataclass(frozen=True)
class Reliability:
    """How projections of cows with at least one score held."""

    cows: int
    rmse: float
    rmse_against_last_score: float
    cover_80: float
    cover_90: float
    width_90: float
    brier: float
    gap_below: float  # largest distance between stated and observed share over bins of at least 1,000 cows
    gap_inside: float
    gap_above: float
    sensitivity: float
    precision: float


def simulate(seed: int, herd: int) -> SimulatedHerd:
    """Draw one herd: its cows, their condition day by day, and what a scorer wrote down."""
    rng = np.random.default_rng([seed, 13, herd])
    session_sd, score_sd, late = rng.uniform(0.05, 0.20), rng.uniform(0.18, 0.28), rng.uniform(-0.002, 0.0)
    cows, groups = int(rng.integers(30, 201)), int(rng.integers(2, 7))
    spring = bool(rng.random() < 0.5)
    calving_day = np.round(56 + 94 * rng.beta(2, 2, cows))
    calving_sd = rng.uniform(3, 10, cows)
    true_day = np.clip(np.round(calving_day + calving_sd * rng.standard_normal(cows)), 20, 190)
    last_calving = np.round(true_day - 365 - 15 * rng.standard_normal(cows))
    group = rng.integers(0, groups, cows)
    change = np.clip(np.round(rng.uniform(-75, 0) + rng.uniform(-10, 10, groups)), -90, 0)[group]
    ends = np.stack([last_calving, last_calving + 75, np.maximum(change, last_calving + 75)], axis=1)
    classes = np.array([WINTER, AFTER_CALVING, GRASS, WINTER] if spring else [GRASS, AFTER_CALVING, WINTER, GRASS])
    level = _daily_levels(rng, group, ends, change, classes, true_day, late, spring)
    day, session, cow, score = _scoring(rng, level, session_sd, score_sd)
    last_score = np.full(cows, np.nan)
    last_score[cow] = score  # sessions run from the oldest to the latest
    far = np.full((cows, 1), float(FAR_DAYS))
    told = HerdScores(
        group=group,
        score_cow=cow,
        score_day=day,
        score=score,
        score_session=session,
        seg_lo=np.concatenate([-far, ends], axis=1),
        seg_hi=np.concatenate([ends, far], axis=1),
        seg_rate=group[:, None] * 4 + np.arange(4),
        rate_class=np.tile(classes, groups),
        rate_mean=np.full(4 * groups, np.nan),
        calving_day=calving_day,
        calving_sd=calving_sd,
        target=np.full(cows, 2.5 if spring else 3.0),
        calved=np.zeros(cows, dtype=bool),
        band=BAND,
        groups=groups,
    )
    truth = level[np.arange(cows), true_day.astype(int) - FIRST_DAY]
    return SimulatedHerd(scores=told, truth=truth, last_score=last_score)


def _daily_levels(
    rng: Generator,
    group: Ints,
    ends: Floats,
    change: Floats,
    classes: Ints,
    true_day: Floats,
    late: float,
    spring: bool,
) -> Floats:
    """Condition of every cow on every day, [N, days]: rates of diets, cows and the weather, added up and clipped."""
    cows, groups = len(group), int(group.max()) + 1
    herd_rate = MEAN_RATES + 0.003 * rng.standard_normal(4)
    group_rate = herd_rate + 0.002 * rng.standard_normal((groups, 4))
    own = np.sqrt(0.3) * rng.standard_normal((cows, 1)) + np.sqrt(0.7) * rng.standard_normal((cows, 4))
    segment_rate = group_rate[group[:, None], classes] + 0.0018 * own
    day = np.arange(FIRST_DAY, LAST_DAY + 1)
    rate = np.repeat(segment_rate[:, :1], len(day), axis=1)
    for segment in range(3):
        rate = np.where(day >= ends[:, segment, None], segment_rate[:, segment + 1, None], rate)
    rate += late * ((day >= true_day[:, None] - 60) & (day < true_day[:, None]))
    blocks = -(-len(day) // BLOCK)
    fade = np.exp(-BLOCK / 45)
    wander = rng.standard_normal((cows, blocks))
    for block in range(1, blocks):
        wander[:, block] = fade * wander[:, block - 1] + np.sqrt(1 - fade**2) * wander[:, block]
    rate += 0.0012 * np.repeat(wander, BLOCK, axis=1)[:, : len(day)]
    run = np.cumsum(rate, axis=1) - rate  # condition at the start of each day
    start = (3.25 if spring else 2.35) + 0.15 * rng.standard_normal() + 0.10 * rng.standard_normal(groups)[group]
    start = start + 0.40 * rng.standard_normal(cows)
    on_change = run[np.arange(cows), change.astype(int) - FIRST_DAY]
    return np.clip(run + (start - on_change)[:, None], 1.0, 5.0)


def _scoring(rng: Generator, level: Floats, session_sd: float, score_sd: float) -> tuple[Floats, Ints, Ints, Floats]:
    """Day, session, cow and score of everything written down, oldest session first."""
    count = int(rng.integers(1, 7))
    gaps = np.concatenate([rng.uniform(0, 21, 1), rng.uniform(35, 90, count - 1)])
    day = -np.round(np.cumsum(gaps))
    day = day[day >= -365][::-1]
    bias = session_sd * rng.standard_normal(len(day))
    there = rng.random((len(day), len(level))) < 0.8
    there[-1] |= rng.random(len(level)) < 0.75
    session, cow = np.nonzero(there)
    felt = level[cow, day[session].astype(int) - FIRST_DAY] + bias[session] + score_sd * rng.standard_normal(len(cow))
    return day[session], session, cow, np.clip(np.round(felt / 0.25) * 0.25, 1.0, 5.0)


def assess(seed: int, herds: int, params: ModelParameters) -> Reliability:
    """Simulate and project this many herds, and compare with what became of the cows."""
    known = [simulate(seed, herd) for herd in range(herds)]
    courses = [project(herd.scores, params) for herd in known]
    scored = np.concatenate([course.n_scores for course in courses]) > 0
    truth = np.concatenate([herd.truth for herd in known])[scored]
    last_score = np.concatenate([herd.last_score for herd in known])[scored]
    target = np.concatenate([herd.scores.target for herd in known])[scored]

    def stated(name: str) -> Floats:
        return np.concatenate([getattr(course, name) for course in courses])[scored]

    mean, sd, lo, hi = stated("mean"), stated("sd"), stated("lo"), stated("hi")
    chances = np.stack([stated("p_below"), stated("p_inside"), stated("p_above")])
    ended = np.stack([truth < target - BAND, np.abs(truth - target) <= BAND, truth > target + BAND])
    rmse = _rms(mean - truth)
    flagged, off = chances[[0, 2]] > 0.5, ended[[0, 2]]
    hits = (flagged & off).sum()
    gaps = [_largest_gap(chance, end) for chance, end in zip(chances, ended, strict=True)]
    z_80 = 1.2815515655446004  # 90 % point of the normal curve
    return Reliability(
        cows=len(truth),
        rmse=rmse,
        rmse_against_last_score=rmse / _rms(last_score - truth),
        cover_80=float(((truth >= mean - z_80 * sd) & (truth <= mean + z_80 * sd)).mean()),
        cover_90=float(((truth >= lo) & (truth <= hi)).mean()),
        width_90=float((hi - lo).mean()),
        brier=float(((chances - ended) ** 2).sum(axis=0).mean()),
        gap_below=gaps[0],
        gap_inside=gaps[1],
        gap_above=gaps[2],
        sensitivity=float(hits / off.sum()),
        precision=float(hits / flagged.sum()),
    )


def _rms(error: Floats) -> float:
    return float(np.sqrt((error**2).mean()))


def _largest_gap(chance: Floats, ended: Floats) -> float:
    """Largest distance between stated and observed share, over ten bins of at least 1,000 cows."""
    which = np.minimum((chance * 10).astype(int), 9)
    count = np.bincount(which, minlength=10)
    gap = np.abs(np.bincount(which, chance - ended, minlength=10)) / np.maximum(count, 1)
    return float(gap[count >= 1000].max())


def as_table(found: Reliability) -> str:
    """The figures, one a line."""
    return "\n".join(f"{field.name:24} {getattr(found, field.name):.4g}" for field in fields(found))
