"""Shares of few against statsmodels: Wilson, Newcombe, and odds compared like with like."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.contingency_tables import StratifiedTable
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from herdscore.domain.rates import Rate, chance_by_odds, difference, pooled_odds, rate, wilson


@pytest.mark.parametrize("level", [0.8, 0.9, 0.95, 0.99])
@pytest.mark.parametrize(("count", "of"), [(0, 1), (1, 1), (0, 20), (5, 20), (20, 20), (13, 47), (600, 1131)])
def test_that_wilsons_interval_is_the_one_statsmodels_gives(count: int, of: int, level: float) -> None:
    expected = proportion_confint(count, of, alpha=1 - level, method="wilson")
    assert wilson(count, of, level) == pytest.approx(expected, abs=1e-9)


@given(st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_that_an_interval_holds_its_share_and_stays_between_none_and_all(pair: tuple[int, int]) -> None:
    count, of = pair
    low, high = wilson(count, of, 0.95)
    assert 0 <= low <= count / of + 1e-12
    assert count / of - 1e-12 <= high <= 1
    assert wilson(of - count, of, 0.95) == pytest.approx((1 - high, 1 - low))


def test_that_none_of_none_is_not_known() -> None:
    nothing = rate(np.array([np.nan, np.nan]), 0.95)
    assert (nothing.count, nothing.of, nothing.said) == (0, 0, "none")
    assert np.isnan([nothing.share, nothing.low, nothing.high]).all()


def test_that_a_rate_shows_its_numbers_and_leaves_out_what_is_not_known() -> None:
    found = rate(np.array([1.0] * 5 + [0.0] * 15 + [np.nan] * 3), 0.95)
    assert found.said == "5 of 20, 25\u00a0% (11 to 47\u00a0%)"


@pytest.mark.parametrize("pair", [((5, 20), (12, 80)), ((0, 10), (8, 30)), ((10, 10), (1, 10)), ((40, 90), (41, 88))])
def test_that_the_difference_is_newcombes(pair: tuple[tuple[int, int], tuple[int, int]]) -> None:
    first, second = (Rate(count, of, *wilson(count, of, 0.95)) for count, of in pair)
    expected = confint_proportions_2indep(*pair[0], *pair[1], method="newcomb", compare="diff", alpha=0.05)
    assert difference(first, second) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_that_pooled_odds_and_their_interval_are_those_of_statsmodels(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n = 60 if seed < 3 else 600
    strata = rng.integers(0, 5, n)
    exposed = (rng.random(n) < 0.3).astype(float)
    outcome = (rng.random(n) < 0.1 + 0.1 * (strata % 3) + 0.15 * exposed).astype(float)
    tables = [
        [[((exposed == e) & (outcome == o) & (strata == s)).sum() for o in (1, 0)] for e in (1, 0)] for s in range(5)
    ]
    pooled = StratifiedTable([np.array(table) for table in tables])
    expected = (pooled.oddsratio_pooled, *pooled.oddsratio_pooled_confint(alpha=0.05))
    missing = np.where(rng.random(n) < 0.0, np.nan, outcome)
    assert pooled_odds(exposed, missing, strata, 0.95) == pytest.approx(expected, rel=1e-9)


def test_that_odds_without_both_outcomes_on_both_sides_are_not_known() -> None:
    exposed, strata = np.array([1.0, 1, 0, 0]), np.zeros(4, dtype=np.intp)
    assert np.isnan(pooled_odds(exposed, np.array([1.0, 1, 0, 0]), strata, 0.95)).all()
    assert np.isnan(pooled_odds(np.empty(0), np.empty(0), np.empty(0, dtype=np.intp), 0.95)).all()


def test_that_like_compared_with_like_undoes_an_unequal_mix() -> None:
    # First-calvers are lean and helped often; condition does nothing in either kind.
    lean = np.repeat([1.0, 0, 1, 0], [80, 20, 20, 80])
    first = np.repeat([1, 1, 0, 0], [80, 20, 20, 80])
    helped = np.concatenate([np.arange(n) < share * n for n, share in ((80, 0.4), (20, 0.4), (20, 0.1), (80, 0.1))])
    crude = pooled_odds(lean, helped.astype(float), np.zeros(200, dtype=np.intp), 0.95)
    alike = pooled_odds(lean, helped.astype(float), first, 0.95)
    assert crude[1] > 1
    assert alike[0] == pytest.approx(1)
    assert alike[1] < 1 < alike[2]


def test_that_odds_of_one_leave_a_chance_as_it_is() -> None:
    assert chance_by_odds(0.37, 1.0) == pytest.approx(0.37)
