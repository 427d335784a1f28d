"""Speed of the trajectory model beside the simplest other way, a line through each cow's own scores; -m benchmark."""

import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from herdscore.domain.herd_scores import HerdScores
from herdscore.domain.reach import CowFacts, reach
from herdscore.domain.trajectory import path, project
from tests.domain.simulator import shipped_parameters, simulate
from tests.domain.small_herds import random_herd, shipped_limits

PARAMS = shipped_parameters()
HERDS = 900
SECONDS_PER_100_000_COWS = 1.3
MILLISECONDS_FOR_1000_COWS_OF_20_SCORES = 40


def best_of(times: int, work: Callable[[], object]) -> float:
    """Shortest of some runs, in seconds: the machine's own noise only ever adds."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        took.append(time.perf_counter() - start)
    return min(took)


def own_lines(herd: HerdScores) -> np.ndarray:
    """Each cow's score at calving by a straight line through her own scores, a cow at a time."""
    projected = np.full(len(herd.group), np.nan)
    for cow in range(len(herd.group)):
        hers = herd.score_cow == cow
        day, score = herd.score_day[hers], herd.score[hers]
        if len(day) == 1:
            projected[cow] = score[0]
        elif len(day) > 1:
            slope = ((day - day.mean()) * (score - score.mean())).sum() / ((day - day.mean()) ** 2).sum()
            projected[cow] = score.mean() + slope * (herd.calving_day[cow] - day.mean())
    return projected


@pytest.mark.benchmark
def test_that_100_000_cows_in_900_herds_take_little_over_a_second(capsys: pytest.CaptureFixture[str]) -> None:
    herds = [simulate(2026, number).scores for number in range(HERDS)]
    cows = sum(len(herd.group) for herd in herds)
    ours = best_of(3, lambda: [project(herd, PARAMS) for herd in herds]) * 1e5 / cows
    plain = best_of(2, lambda: [own_lines(herd) for herd in herds]) * 1e5 / cows
    courses = [project(herd, PARAMS) for herd in herds]
    facts = [no_facts(len(herd.group)) for herd in herds]
    limits = shipped_limits()

    def judge() -> None:
        for course, herd, known in zip(courses, herds, facts, strict=True):
            reach(course, herd, known, PARAMS, limits, flag_above=0.5, keep_above=0.4)

    judging = best_of(3, judge) * 1e5 / cows
    with capsys.disabled():
        sys.stdout.write(f"\n{cows} cows in {HERDS} herds; seconds per 100,000 cows:\n")
        sys.stdout.write(
            f"  shared line {ours:.2f}   own line, a loop over cows {plain:.2f}   ratio {plain / ours:.1f}\n"
        )
        sys.stdout.write(f"  reach {judging:.2f}\n")
    assert ours < SECONDS_PER_100_000_COWS
    assert plain > ours


@pytest.mark.benchmark
def test_that_1000_cows_of_20_scores_and_one_chart_are_done_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    herd = replace(
        random_herd(5, cows=1000, groups=5, sessions=0, segments=4, most_scores=0),
        score_cow=np.repeat(np.arange(1000), 20),
        score_day=np.tile(np.arange(20) * -17.0, 1000),
        score=np.random.default_rng(5).normal(2.75, 0.4, 20_000),
        score_session=np.tile(np.arange(20), 1000),
        session_scorer=None,
        score_grain=None,
        score_noise_sd=None,
    )
    course = project(herd, PARAMS)
    days = np.linspace(-200, 120, 80)
    whole = best_of(5, lambda: project(herd, PARAMS)) * 1e3
    chart = best_of(5, lambda: path(herd, PARAMS, course, np.array([7]), days)) * 1e3
    with capsys.disabled():
        sys.stdout.write(f"\n1,000 cows of 20 scores: {whole:.1f} ms; chart of one {chart:.2f} ms\n")
    assert whole < MILLISECONDS_FOR_1000_COWS_OF_20_SCORES
    assert chart < whole


def no_facts(cows: int) -> CowFacts:
    never = np.zeros(cows, dtype=bool)
    return CowFacts(np.full(cows, np.nan), never, never, never, np.zeros(cows, dtype=int))
