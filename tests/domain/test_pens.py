"""Calving pens by rule and by the herd's own dates."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from herdscore.domain.calendar import SPRING_BLOCK
from herdscore.domain.pens import pens_by_queue, pens_by_rule, pens_needed, standards
from tests.domain.herds import RULES, assessed, cow

PENS = RULES.pens


@pytest.mark.parametrize(
    ("cows", "a_pen", "pens"),
    [
        (60, PENS.cows_a_pen, 4),  # PN01: Irish Farmers Journal, read
        (100, PENS.cows_a_pen, 7),  # PN02: common practice, rounded up
        (60, PENS.cows_a_pen_compact, 6),  # PN03: Irish Farmers Journal, read
        (0, PENS.cows_a_pen, 0),
        (1, PENS.cows_a_pen, 1),
        (15, PENS.cows_a_pen, 1),
        (16, PENS.cows_a_pen, 2),
    ],
)
def test_that_the_rule_gives_a_pen_for_so_many_cows(cows: int, a_pen: float, pens: int) -> None:
    assert pens_by_rule(cows, a_pen) == pens


# PN04-PN09: infinite-server queue, worked out.
@pytest.mark.parametrize(
    ("cows", "peak", "stay", "pens"),
    [
        (60, 0.0314, 1.0, 4),
        (60, 0.0314, 1.5, 6),
        (60, 0.0314, 2.0, 7),
        (120, 0.0266, 1.5, 9),
        (150, 0.0314, 2.0, 15),
        (30, 0.0266, 1.0, 2),
    ],
)
def test_that_enough_pens_are_free_19_times_in_20(cows: int, peak: float, stay: float, pens: int) -> None:
    assert pens_by_queue(cows * peak * stay, PENS.enough_chance) == pens


@pytest.mark.parametrize("chance", [0.9, 0.95, 0.99])
@pytest.mark.parametrize("load", [0.01, 0.3, 1.0, 2.8, 7.7, 19.0, 45.0, 900.0])
def test_that_the_pens_are_the_quantile_scipy_gives(load: float, chance: float) -> None:
    assert pens_by_queue(load, chance) == stats.poisson.ppf(chance, load)


def test_that_no_load_needs_no_pen() -> None:
    assert pens_by_queue(0.0, 0.95) == 0
    assert pens_needed(assessed([])).queue == 0


def test_that_the_herds_own_dates_give_the_load() -> None:
    # 60 cows due one a day for 60 days, each known to 3 days: one calving a day, 1.5 days' stay, 1.5 pens in use.
    a = assessed([cow(f"{at:02d}", 30 + at, date_from="set by hand") for at in range(60)])
    plan = pens_needed(a)
    assert (plan.cows, plan.rule, plan.rule_compact) == (60, 4, 6)
    assert plan.load == pytest.approx(1.5, abs=0.01)
    assert plan.queue == stats.poisson.ppf(0.95, 1.5)
    assert plan.peak_share == pytest.approx(1 / 60, abs=0.0002)


def test_that_a_simulated_yard_is_full_no_more_often_than_promised() -> None:
    rng = np.random.default_rng(9)
    due = np.sort(rng.normal(80, 10, 60).round())
    a = assessed([cow(f"{at:02d}", float(when), date_from="service") for at, when in enumerate(due)])
    plan = pens_needed(a, stay=1.5)
    born = due + rng.normal(0, 6, (4000, 60))
    in_use = ((born <= plan.peak_day) & (born > plan.peak_day - 1.5)).sum(axis=1)
    assert in_use.mean() == pytest.approx(plan.load, abs=0.1)
    assert (in_use <= plan.queue).mean() >= 0.95
    assert (in_use <= plan.queue - 2).mean() < 0.95


def test_that_first_calvers_and_twins_stay_two_days() -> None:
    cows = [cow(f"{at}", 60 + at) for at in range(20)]
    heifers = [cow(f"{at}", 61 + at, calvings=0) for at in range(20)]
    short, long = pens_needed(assessed(cows)), pens_needed(assessed(heifers))
    assert (short.long_stays, long.long_stays) == (0, 20)
    # A heifer calves a day and a half sooner; that apart the load is that of two days.
    assert long.load == pytest.approx(short.load * 2 / 1.5, rel=0.03)
    assert pens_needed(assessed(cows), stay=3).load == pytest.approx(short.load * 2, rel=0.05)


def test_that_a_block_is_counted_by_itself_and_the_rule_can_be_short() -> None:
    spring = [cow(f"{at}", 60, season="spring", date_from="set by hand") for at in range(15)]
    a = assessed([*spring, cow("a", 250, season="autumn")])
    plan = pens_needed(a, SPRING_BLOCK)
    assert (plan.cows, plan.rule) == (15, 1)
    # All due on one day: far more than one pen.
    assert plan.short_of_rule >= 3


def test_that_a_pen_has_the_measures_of_the_trade() -> None:
    # PN11: Teagasc 2019, read. PN12: Irish building specification S147, read.
    assert PENS.least_area == 16.8
    assert (PENS.short_side, PENS.long_side) == (3.5, 4.8)
    assert PENS.short_side * PENS.long_side == pytest.approx(PENS.least_area)
    said = dict(standards(RULES))
    assert "16.8" in said["Room"]
    assert "90 cm" in said["Water"]
    assert "left side" in said["Gate"]
    assert "{" not in "".join(said.values())
