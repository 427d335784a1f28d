"""The two example herds of tests/cases/trajectory_*.csv, invented; expected values worked out beforehand.

They were worked out by two exact methods that agreed to rounding: a dense joint Gaussian and a day-by-day loop.
"""

import numpy as np
import pytest

from herdscore.domain.reach import Reach, reach
from herdscore.domain.trajectory import Trajectories, path, project
from tests.domain.simulator import shipped_parameters
from tests.domain.small_herds import case_herd, case_rows, numbers, shipped_limits, whole

PARAMS = shipped_parameters()
SCORES_AND_CHANCES = 5e-4
RATES = 2e-6
WANTED = 2e-5


def expected(herd: int, kind: str) -> list[dict[str, str]]:
    return [row for row in case_rows("trajectory_expected.csv", herd) if row["kind"] == kind]


def course_of(herd: int) -> Trajectories:
    return project(case_herd(herd)[0], PARAMS)


def reach_of(herd: int) -> Reach:
    scores, facts = case_herd(herd)
    return reach(project(scores, PARAMS), scores, facts, PARAMS, shipped_limits(), flag_above=0.50, keep_above=0.40)


def assert_same(found: np.ndarray, rows: list[dict[str, str]], column: str, within: float) -> None:
    np.testing.assert_allclose(found, numbers(rows, column), rtol=0, atol=within, err_msg=column)


@pytest.mark.parametrize("herd", [0, 1])
def test_that_the_example_herds_get_their_worked_out_projections(herd: int) -> None:
    rows, course = expected(herd, "cow"), course_of(herd)
    assert (course.status == whole(rows, "status")).all()
    assert (course.n_scores == whole(rows, "n_scores")).all()
    for column in ("today_mean", "today_sd", "mean", "sd", "lo", "hi", "p_below", "p_inside", "p_above"):
        assert_same(getattr(course, column), rows, column, SCORES_AND_CHANCES)
    for column in ("rate", "rate_sd"):
        assert_same(getattr(course, column), rows, column, RATES)


@pytest.mark.parametrize("herd", [0, 1])
def test_that_the_example_curves_pass_through_the_worked_out_days(herd: int) -> None:
    rows, course = expected(herd, "cow"), course_of(herd)
    for place, day in enumerate(("day-150", "day-48", "day0", "day30", "day60")):
        assert_same(course.days_mean[:, place], rows, f"{day}_mean", SCORES_AND_CHANCES)
        assert_same(course.days_sd[:, place], rows, f"{day}_sd", SCORES_AND_CHANCES)


@pytest.mark.parametrize("herd", [0, 1])
def test_that_sessions_groups_and_rates_of_the_example_herds_are_as_worked_out(herd: int) -> None:
    course = course_of(herd)
    for kind, within in (("session_bias", SCORES_AND_CHANCES), ("group_level", SCORES_AND_CHANCES)):
        assert_same(getattr(course, kind), expected(herd, kind), "mean", within)
        assert_same(getattr(course, kind + "_sd"), expected(herd, kind), "sd", within)
    assert_same(course.group_rate, expected(herd, "group_rate"), "mean", RATES)
    assert_same(course.group_rate_sd, expected(herd, "group_rate"), "sd", RATES)


def test_that_the_old_and_the_future_score_of_the_example_herd_are_counted_as_ignored() -> None:
    assert course_of(0).ignored_scores == 2  # cow 11: day -400 and day +3


@pytest.mark.parametrize("herd", [0, 1])
def test_that_the_example_herds_get_their_worked_out_reach(herd: int) -> None:
    rows, found = expected(herd, "cow"), reach_of(herd)
    for column in ("side", "latest", "act_by", "part_way"):
        np.testing.assert_array_equal(getattr(found, column), numbers(rows, column), err_msg=column)
    for column in ("fan_lo", "fan_hi", "p_reach"):
        assert_same(getattr(found, column), rows, column, SCORES_AND_CHANCES)
    assert_same(found.expected_rate, rows, "expected_rate", RATES)
    assert_same(found.wanted_rate, rows, "wanted_rate", WANTED)


def test_that_the_never_slimmed_cows_of_the_reach_herd_are_the_named_ones() -> None:
    # 6, 14, 19: last score 2.5 or less; 7, 8, 20: first-calvers; 9, 15, 24: twins; 10: no vet's plan;
    # 0, 1, 2, 12, 13, 16, 17, 18: thin themselves.
    found = reach_of(1).never_slimmed
    assert set(np.flatnonzero(found)) == {0, 1, 2, 6, 7, 8, 9, 10, 12, 13, 14, 15, 16, 17, 18, 19, 20, 24}


def test_that_the_curve_of_one_cow_is_the_curve_she_has_in_the_herd() -> None:
    scores, _ = case_herd(0)
    course = course_of(0)
    assert scores.days is not None
    for cow in range(len(scores.group)):
        mean, sd = path(scores, PARAMS, course, np.array([cow]), scores.days)
        np.testing.assert_allclose(mean[0], course.days_mean[cow], rtol=0, atol=1e-12)
        np.testing.assert_allclose(sd[0], course.days_sd[cow], rtol=0, atol=1e-12)
