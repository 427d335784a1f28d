"""The trajectory model: single cows against worked-out values, its invariants, and what it refuses."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.chance import chance_below, half_width
from herdscore.domain.herd_scores import HerdScores
from herdscore.domain.trajectory import Trajectories, path, project
from tests.domain.simulator import shipped_parameters
from tests.domain.small_herds import one_cow, one_more_score, random_herd

PARAMS = shipped_parameters()
NAN = np.nan
DAYS = np.array([-300.0, -90.0, -1.0, 0.0, 1.0, 45.0, 120.0])

herds = st.builds(
    random_herd,
    seed=st.integers(0, 2**32),
    cows=st.integers(1, 9),
    groups=st.integers(1, 3),
    sessions=st.integers(0, 7),
    segments=st.integers(1, 4),
    most_scores=st.integers(0, 6),
)
some_examples = settings(max_examples=60, deadline=None)


def stated(herd: HerdScores, mean: float) -> HerdScores:
    """The herd with its one diet made a class of its own, with its stated expected change."""
    return replace(herd, rate_class=np.array([0]), class_mean=np.array([mean]), class_sd=np.array([0.0015]))


# One cow, one group, one rate; winter feed unless said. Worked out here by a dense joint Gaussian, to four places.
ONE_COW: dict[str, tuple[HerdScores, int, list[float]]] = {
    "no score": (one_cow(), 1, [2.75, 0.7361, 2.3, 0.8213, 0.4757, 0.2324, 0.2919]),
    "one score": (one_cow((2.75, -10, 0)), 0, [2.7060, 0.2604, 2.2584, 0.5008, 0.4933, 0.3436, 0.1631]),
    "diet unknown": (one_cow((2.75, -10, 0), diet=0), 0, [2.75, 0.2644, 2.75, 0.7146, 0.2421, 0.2579, 0.5]),
    "two sessions": (
        one_cow((3.0, -60, 0), (2.5, -4, 1)),
        0,
        [2.5620, 0.2183, 2.0539, 0.4824, 0.6578, 0.2677, 0.0745],
    ),
    "two scorers on a day": (
        one_cow((3.0, -4, 0), (2.5, -4, 1)),
        0,
        [2.7312, 0.1870, 2.2820, 0.4564, 0.4720, 0.3754, 0.1526],
    ),
    "twice in one session": (
        one_cow((3.0, -4, 0), (2.5, -4, 0)),
        0,
        [2.7323, 0.2514, 2.2830, 0.4840, 0.4728, 0.3599, 0.1673],
    ),
    "dated after today": (one_cow((3.0, 2, 0)), 1, [2.75, 0.7361, 2.3, 0.8213, 0.4757, 0.2324, 0.2919]),
    "no calving date": (one_cow((3.0, -4, 0), calving=NAN), 2, [2.9537, 0.2514, NAN, NAN, NAN, NAN, NAN]),
    "calving today": (
        one_cow((3.0, 0, 0), calving=0),
        0,
        [2.9721, 0.2458, 2.9721, 0.2479, 0.0018, 0.1833, 0.8149],
    ),
    "overdue": (one_cow((3.0, -4, 0), calving=-6), 3, [2.9537, 0.2514, 2.9537, 0.2535, 0.0027, 0.2080, 0.7892]),
    "stated change": (
        stated(one_cow((2.75, -10, 0)), 0.002),
        0,
        [2.7676, 0.2594, 2.9469, 0.4298, 0.0525, 0.2710, 0.6765],
    ),
    "as fat as can be": (one_cow((5.0, -1, 0), diet=2), 0, [4.7521, 0.2472, 5.0, 0.4756, 0.0, 0.0, 1.0]),
}


@pytest.mark.parametrize("case", ONE_COW)
def test_that_one_cow_is_projected_as_worked_out(case: str) -> None:
    herd, status, values = ONE_COW[case]
    course = project(herd, PARAMS)
    found = [
        course.today_mean,
        course.today_sd,
        course.mean,
        course.sd,
        course.p_below,
        course.p_inside,
        course.p_above,
    ]
    assert course.status[0] == status
    np.testing.assert_allclose(np.concatenate(found), values, rtol=0, atol=5e-5)


def test_that_a_calved_cow_is_not_projected_whatever_else_is_known() -> None:
    course = project(replace(one_cow((3.0, -4, 0)), calved=np.array([True])), PARAMS)
    assert course.status[0] == 4
    assert np.isnan([course.mean[0], course.sd[0], course.p_inside[0], course.rate[0], course.rate_sd[0]]).all()
    assert np.isfinite([course.today_mean[0], course.rate_today[0], course.rate_today_sd[0]]).all()


def test_that_a_diet_beginning_on_a_day_is_in_force_on_that_day() -> None:
    # Grass until today, winter feed from today, grass again from the calving day on; no score: expected rates alone.
    herd = replace(
        one_cow(calving=90),
        seg_lo=np.array([[-1e5, 0.0, 90.0]]),
        seg_hi=np.array([[0.0, 90.0, 1e5]]),
        seg_rate=np.array([[0, 1, 2]]),
        rate_class=np.array([2, 1, 2]),
        rate_mean=np.array([NAN, NAN, 0.001]),
    )
    course = project(herd, PARAMS)
    assert course.rate_today[0] == pytest.approx(-0.005, abs=1e-12)
    assert course.rate[0] == pytest.approx(0.001, abs=1e-12)
    assert course.mean[0] == pytest.approx(2.75 - 0.45, abs=1e-12)


def test_that_an_overdue_cow_without_a_score_counts_as_unscored() -> None:
    assert project(one_cow(calving=-6), PARAMS).status[0] == 1


def test_that_an_empty_herd_has_an_empty_projection() -> None:
    course = project(random_herd(1, cows=0, groups=1, sessions=0, segments=2, most_scores=0), PARAMS)
    assert course.mean.shape == (0,)
    assert np.isfinite(course.group_level).all()


def test_that_sixty_scores_of_one_cow_settle_her_score_and_stay_finite() -> None:
    scores = [(2.5 + 0.25 * (day % 2), -5.0 * day, day) for day in range(60)]
    course = project(one_cow(*scores), PARAMS)
    assert course.n_scores[0] == 60
    assert 2.4 < course.today_mean[0] < 2.8
    assert course.today_sd[0] < 0.14


def test_that_scores_outside_the_last_year_are_ignored_and_counted() -> None:
    course = project(one_cow((2.0, -366, 0), (4.0, 1, 1), (NAN, -5, 2), (2.75, -365, 3), (2.75, -10, 3)), PARAMS)
    assert course.ignored_scores == 3
    assert course.n_scores[0] == 1  # both of session 3, averaged


def test_that_a_day_on_which_all_score_low_is_put_down_to_the_day_in_part() -> None:
    # Six cows scored 3.0 twice, then all 2.5: the day takes some of the blame, a lone cow's day would take less.
    cow, session = np.tile(np.arange(6), 3), np.repeat(np.arange(3), 6)
    herd = replace(
        random_herd(3, cows=6, groups=1, sessions=0, segments=1, most_scores=0),
        score_cow=cow,
        score_day=np.array([-80.0, -40.0, -5.0])[session],
        score=np.where(session == 2, 2.5, 3.0),
        score_session=session,
        session_scorer=None,
        score_grain=None,
        score_noise_sd=None,
    )
    bias = project(herd, PARAMS).session_bias
    assert bias[2] < -0.03
    assert bias[2] < min(bias[0], bias[1])


@some_examples
@given(herds)
def test_that_any_herd_without_gaps_gets_finite_numbers_and_chances_that_sum_to_one(herd: HerdScores) -> None:
    course = project(replace(herd, days=DAYS), PARAMS)
    for name, value in vars(course).items():
        if isinstance(value, np.ndarray):
            assert np.isfinite(value).all(), name
    np.testing.assert_allclose(course.p_below + course.p_inside + course.p_above, 1.0, rtol=0, atol=1e-12)
    assert (course.p_inside >= 0).all()
    assert (course.lo <= course.mean).all()
    assert (course.mean <= course.hi).all()


@some_examples
@given(herds, st.integers(0, 2**32))
def test_that_the_order_of_cows_and_scores_changes_nothing(herd: HerdScores, seed: int) -> None:
    rng = np.random.default_rng(seed)
    cows, scores = rng.permutation(len(herd.group)), rng.permutation(len(herd.score))
    new_place = np.argsort(cows)
    by_cow = ("group", "seg_lo", "seg_hi", "seg_rate", "calving_day", "calving_sd", "target", "calved")
    by_score = ("score_day", "score", "score_session", "score_grain", "score_noise_sd")
    changed: dict[str, Any] = {name: getattr(herd, name)[cows] for name in by_cow}
    changed |= {name: getattr(herd, name)[scores] for name in by_score}
    shuffled = project(replace(herd, score_cow=new_place[herd.score_cow[scores]], **changed), PARAMS)
    course = project(herd, PARAMS)
    for name in ("today_mean", "today_sd", "mean", "sd", "p_below", "rate", "rate_today_sd", "curve_rate"):
        np.testing.assert_allclose(getattr(shuffled, name), getattr(course, name)[cows], rtol=0, atol=1e-9)
    np.testing.assert_allclose(shuffled.session_bias, course.session_bias, rtol=0, atol=1e-9)


@some_examples
@given(herds, st.floats(-1, 1))
def test_that_a_shift_of_all_scores_shifts_the_means_and_no_spread(herd: HerdScores, shift: float) -> None:
    course = project(replace(herd, days=DAYS), PARAMS)
    moved = project(
        replace(herd, days=DAYS, score=herd.score + shift), replace(PARAMS, herd_level=PARAMS.herd_level + shift)
    )
    np.testing.assert_allclose(moved.days_mean, course.days_mean + shift, rtol=0, atol=1e-9)
    np.testing.assert_allclose(moved.group_level, course.group_level + shift, rtol=0, atol=1e-9)
    for name in ("days_sd", "sd", "today_sd", "rate", "curve_wander", "session_bias"):
        np.testing.assert_allclose(getattr(moved, name), getattr(course, name), rtol=0, atol=1e-9)


@some_examples
@given(herds, st.floats(0.5, 20))
def test_that_the_spread_at_calving_grows_with_the_spread_of_the_date(herd: HerdScores, more: float) -> None:
    vague = project(replace(herd, calving_sd=herd.calving_sd + more), PARAMS)
    course = project(herd, PARAMS)
    assert (vague.sd > course.sd).all()
    np.testing.assert_array_equal(vague.mean, course.mean)


@some_examples
@given(herds, st.integers(0, 364), st.sampled_from([1.0, 2.5, 4.75]))
def test_that_one_more_score_never_widens_the_spread_of_her_score_now(herd: HerdScores, ago: int, score: float) -> None:
    before = project(herd, PARAMS)
    after = project(one_more_score(herd, 0, -float(ago), score), PARAMS)
    assert after.today_sd[0] <= before.today_sd[0] + 1e-12
    if ago < 30:
        assert after.today_sd[0] < before.today_sd[0]


@some_examples
@given(herds)
def test_that_the_curve_numbers_are_the_path_ahead(herd: HerdScores) -> None:
    course = project(replace(herd, calving_sd=np.zeros(len(herd.group))), PARAMS)
    cows = np.arange(len(herd.group))
    ahead = np.arange(0.0, 161.0, 20.0)
    mean, _ = path(herd, PARAMS, course, cows, ahead)
    spent = np.clip(
        ahead[:, None, None] - np.maximum(herd.seg_lo, 0), 0, np.maximum(herd.seg_hi, 0) - np.maximum(herd.seg_lo, 0)
    )
    curve = course.curve_level + course.curve_wander * np.exp(-ahead / PARAMS.wander_memory_days)[:, None]
    np.testing.assert_allclose(mean.T, curve + (spent * course.curve_rate).sum(axis=2), rtol=0, atol=1e-9)
    for cow in cows:
        mean, sd = path(herd, PARAMS, course, cows[[cow]], np.maximum(herd.calving_day[[cow]], 0))
        np.testing.assert_allclose(np.clip(mean[0], 1, 5), course.mean[cow], rtol=0, atol=1e-9)
        np.testing.assert_allclose(sd[0], course.sd[cow], rtol=0, atol=1e-9)


REFUSED: dict[str, dict[str, Any]] = {
    "score_cow must lie in 0 to 0": {"score_cow": np.array([1])},
    "score_cow must hold whole numbers": {"score_cow": np.array([0.0])},
    "score_session must lie in": {"score_session": np.array([-1])},
    "seg_rate must lie in": {"seg_rate": np.array([[1]])},
    "group must lie in 0 to 0": {"group": np.array([2]), "groups": 1},
    "score_day has shape": {"score_day": np.array([-1.0, -2.0])},
    "target has shape": {"target": np.array([2.5, 3.0])},
    "given together": {"class_mean": np.array([0.0] * 5)},
    "differ in length": {"class_mean": np.array([0.0] * 5), "class_sd": np.array([0.003])},
    "ends before it begins": {"seg_hi": np.array([[-200000.0]])},
    "must run from -100000 to 100000": {"seg_hi": np.array([[50.0]])},
    "without gap or overlap": {
        "seg_lo": np.array([[-1e5, 10.0]]),
        "seg_hi": np.array([[0.0, 1e5]]),
        "seg_rate": np.array([[0, 0]]),
    },
    "at least one segment": {
        "seg_lo": np.empty((1, 0)),
        "seg_hi": np.empty((1, 0)),
        "seg_rate": np.empty((1, 0), dtype=int),
    },
    "spread of 0 days or more": {"calving_sd": np.array([NAN])},
    "days or more away": {"calving_day": np.array([2e5])},
    "band must be 0 or more": {"band": -0.25},
    "upper edge of a band": {"upper": np.array([2.0])},
    "noise of a score": {"score_noise_sd": np.array([0.0])},
    "grain of a score": {"score_grain": np.array([-0.25])},
    "spread of a diet class": {"class_mean": np.zeros(5), "class_sd": np.full(5, -0.1)},
    "rate_class must lie in 0 to 0": {"class_mean": np.zeros(1), "class_sd": np.ones(1)},
}


@pytest.mark.parametrize("sentence", REFUSED)
def test_that_arrays_which_do_not_fit_are_refused_by_name(sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        replace(one_cow((2.75, -10, 0)), **REFUSED[sentence])


def test_that_a_class_without_a_rate_and_impossible_parameters_are_refused() -> None:
    with pytest.raises(ValueError, match="rate_class must lie in 0 to 4"):
        project(one_cow(diet=5), PARAMS)
    with pytest.raises(ValueError, match="day_bias_sd must be above 0"):
        project(one_cow(), replace(PARAMS, day_bias_sd=0.0))
    with pytest.raises(ValueError, match="level must lie between 0 and 1"):
        project(one_cow(), replace(PARAMS, level=1.0))


def test_that_the_chart_of_a_cow_without_scores_is_the_group_line() -> None:
    herd = one_cow()
    course: Trajectories = project(herd, PARAMS)
    mean, sd = path(herd, PARAMS, course, np.array([0]), np.array([-100.0, 0.0, 100.0]))
    # Worked out here: 2.75 less 0.005 a day; spread from all prior spreads together.
    np.testing.assert_allclose(mean[0], [3.25, 2.75, 2.25], rtol=0, atol=1e-12)
    now = 0.60**2 + 0.15**2 + 0.37**2 + 0.15**2
    away = now + 100**2 * (0.003**2 + 0.0020**2 + 0.0018**2)
    np.testing.assert_allclose(sd[0], np.sqrt([away, now, away]), rtol=0, atol=1e-12)


def test_that_chances_agree_with_printed_tables_of_the_normal_curve() -> None:
    # Abramowitz and Stegun 1964, table 26.1, and its Q(5) = 2.8665157e-7.
    found = chance_below(np.array([0.0, 1.0, -1.0, 2.0, -5.0, np.inf, -np.inf]))
    printed = [0.5, 0.841344746068543, 0.158655253931457, 0.977249868051821, 2.8665157e-7, 1.0, 0.0]
    np.testing.assert_allclose(found, printed, rtol=1e-8, atol=0)
    assert np.isnan(chance_below(np.array([NAN]))[0])
    assert half_width(0.95) == pytest.approx(1.959963984540054, abs=1e-12)
