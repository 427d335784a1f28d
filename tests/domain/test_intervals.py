"""Intervals against reference libraries: statsmodels for shares, SciPy for means."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from herdscore.domain.intervals import (
    Interval,
    Sample,
    mean_difference,
    mean_interval,
    share_difference,
    t_half_width,
    wilson,
)

COUNTS = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


def sample(values: np.ndarray) -> Sample:
    return Sample(len(values), float(values.mean()), float(values.std(ddof=1)))


@given(COUNTS, st.sampled_from([0.5, 0.8, 0.9, 0.99]))
def test_that_a_share_has_the_interval_of_wilson(counts: tuple[int, int], level: float) -> None:
    hits, count = counts
    low, high = proportion_confint(hits, count, alpha=1 - level, method="wilson")  # statsmodels
    found = wilson(hits, count, level)
    assert found.value == hits / count
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-12)


@given(COUNTS, COUNTS)
def test_that_two_shares_have_the_interval_of_newcombe(one: tuple[int, int], other: tuple[int, int]) -> None:
    low, high = confint_proportions_2indep(*other, *one, method="newcomb", compare="diff", alpha=0.10)  # statsmodels
    found = share_difference(*one, *other, 0.90)
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-9)


@pytest.mark.parametrize("level", [0.5, 0.8, 0.9, 0.95, 0.999])
@pytest.mark.parametrize("freedom", [1.0, 1.7, 2.0, 4.0, 11.3, 29.0, 400.0, 60_000.0])
def test_that_students_t_is_that_of_scipy(level: float, freedom: float) -> None:
    assert t_half_width(level, freedom) == pytest.approx(stats.t.ppf(0.5 + level / 2, freedom), rel=1e-9)


def test_that_a_mean_has_the_interval_of_student() -> None:
    values = np.array([2.25, 2.5, 2.0, 3.1, 2.6, 2.2])
    low, high = stats.t.interval(0.9, len(values) - 1, values.mean(), stats.sem(values))
    found = mean_interval(sample(values), 0.9)
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-9)


@pytest.mark.parametrize(("n", "m"), [(2, 2), (5, 40), (33, 12)])
def test_that_two_means_have_the_interval_of_welch(n: int, m: int) -> None:
    rng = np.random.default_rng(n)
    one, other = rng.normal(0, 0.2, n), rng.normal(0.3, 0.5, m)
    wanted = stats.ttest_ind(other, one, equal_var=False).confidence_interval(0.9)
    found = mean_difference(sample(one), sample(other), 0.9)
    assert found.value == pytest.approx(other.mean() - one.mean())
    assert (found.low, found.high) == pytest.approx((wanted.low, wanted.high), rel=1e-8)
    assert found.leaves_out_zero == (wanted.low > 0 or wanted.high < 0)


def test_that_too_few_values_leave_the_ends_unknown() -> None:
    lone = Sample(1, 2.5, math.nan)
    assert mean_interval(lone, 0.9).value == 2.5
    assert not mean_interval(lone, 0.9).is_known
    assert not mean_difference(lone, Sample(9, 2.0, 0.3), 0.9).is_known
    assert not mean_difference(Sample(4, 2.0, 0.0), Sample(4, 2.0, 0.0), 0.9).is_known, "no spread says nothing"
    assert not wilson(0, 0, 0.9).is_known
    assert not share_difference(0, 0, 3, 4, 0.9).is_known
    assert not Interval(0.0, math.nan, 1.0).leaves_out_zero
