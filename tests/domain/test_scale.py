"""The 1-5 scale: typed text, three sites to one score, the American scale."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdscore.domain import scale


def mean(loin: float, ribs: float, tailhead: float, overall: float = np.nan) -> float:
    quarters = [np.array([site * 4]) for site in (loin, ribs, tailhead, overall)]
    value, _ = scale.mean_of_sites(*quarters)
    return float(scale.to_quarter(value)[0])


def apart(loin: float, ribs: float, tailhead: float) -> float:
    return float(scale.site_spread(*[np.array([site * 4]) for site in (loin, ribs, tailhead)])[0]) / 4


@pytest.mark.parametrize(
    ("nine", "five"),
    # SC01-SC05: Ferguson, Body condition scoring, University of Pennsylvania; read.
    [(5, 3.0), (4, 2.5), (6, 3.5), (9, 5.0)],
)
def test_that_the_american_scale_maps_straight(nine: float, five: float) -> None:
    assert scale.from_nine(nine) == five
    assert scale.to_nine(five) == nine


def test_that_three_sites_give_their_mean_to_the_nearest_quarter() -> None:
    # CB08, CB09: the project's own rule, worked out.
    assert mean(2, 2.5, 3) == 2.5
    assert mean(2.5, 3, 3) == 2.75


def test_that_a_tie_between_two_quarters_goes_up() -> None:
    assert mean(2.0, 2.25, np.nan) == 2.25


def test_that_a_site_left_out_counts_nothing() -> None:
    assert mean(2, np.nan, 3) == 2.5
    assert mean(np.nan, np.nan, np.nan, 3.25) == 3.25
    assert np.isnan(mean(np.nan, np.nan, np.nan))


def test_that_the_sites_win_over_an_overall_score() -> None:
    assert mean(2, 2, 2, 3) == 2.0


def test_that_sites_a_score_apart_are_felt_again() -> None:
    # CB10-CB12: the project's own rule; 1.0 and 1.5 are common practice.
    assert apart(2, 2.5, 3) == 1.0
    assert apart(2.5, 2.5, 3) == 0.5
    assert apart(2, 3, 3.5) == 1.5
    assert apart(2, np.nan, np.nan) == 0.0


@given(st.integers(4, 20))
def test_that_what_is_shown_reads_back(quarters: int) -> None:
    assert scale.parse(scale.show(quarters)) == quarters
    assert scale.parse(scale.show(quarters).replace(".", ",")) == quarters


@pytest.mark.parametrize(
    "text", ["", "0", "0.75", "5.25", "6", "25", "2.3", "2.55", "two", "2..5", "-2", "5½", "nan", "1e1"]
)
def test_that_what_is_no_score_is_refused(text: str) -> None:
    assert scale.parse(text) is None
