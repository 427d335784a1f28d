"""The energy of a cow: worked examples to their printed digits by both systems, and what must hold for every cow."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdscore.domain import energy, energy_second
from herdscore.domain.need import balance_of_rate, need, need_second, project_fed, score_rate
from tests.domain.fed_cows import fed_cows
from tests.domain.herds import RULES

E = RULES.energy
SCORES = st.floats(1.25, 4.75)


def a_day(now: float, to: float, weight: float = 650.0, rules: object = E, g: float = 1.0, days: float = 84) -> float:
    frame = energy.frame_of(weight, now, rules)
    body = energy.body_change(frame, now, to, False, rules)
    return float(energy.me_of_change(body, 10.2, rules, g)) / days


def test_that_the_worked_examples_come_out_to_their_printed_digits() -> None:
    """650 kg, ration of 10.2 MJ; worked out from the published equations of both systems."""
    assert [round(a_day(2.0, 2.5, g=g), 1) for g in (1.0, 1.3)] == [21.4, 27.9]
    assert round(a_day(3.5, 3.0), 1) == -16.5
    gained, lost = (
        float(energy.live_weight(energy.frame_of(650.0, now, E), to, E)) - 650 for now, to in ((2.0, 2.5), (3.5, 3.0))
    )
    assert (round(gained, 1), round(lost, 1)) == (53.8, -43.1)
    second = [float(energy_second.me_of_weight_change(kg, 10.2, E)) / 84 for kg in (gained, lost)]
    assert [round(value, 1) for value in second] == [28.4, -14.4]
    of_26 = gained * 26 / float(energy_second.for_gain(10.2, E)) / 84
    tenth = 0.05 * 650 * 19 / float(energy_second.for_gain(10.2, E)) / 84
    assert (round(of_26, 1), round(tenth, 1), round(lost * 34 / 84, 1)) == (38.8, 17.1, -17.5)
    at_three = [a_day(now, to, 650 * (1 + 0.07105 * 2 * (now - 3))) for now, to in ((2.0, 2.5), (3.5, 3.0))]
    assert [round(value, 1) for value in at_three] == [18.4, -17.7]
    assert round(a_day(2.0, 2.5, rules=replace(E, nine_per_score=1.6)), 1) == 17.1
    assert round(a_day(2.0, 2.5) / 2, 1) == 10.7  # what a quarter felt wrong is worth
    gradual = [round(a_day(2.0, 2.5, g=g, days=52.5), 1) for g in (1.0, 1.3)]
    assert gradual == [34.3, 44.6]
    assert [round(value / 13.2, 1) for value in gradual] == [2.6, 3.4]
    assert round(a_day(2.0, 2.5, days=24.5), 0) == 73
    assert [round(a_day(2.0, 2.5, g=g, days=80.5), 1) for g in (1.0, 1.3)] == [22.4, 29.1]


def test_that_barley_for_the_example_is_as_printed() -> None:
    kilos = [a_day(2.0, 2.5), a_day(2.0, 2.5, g=1.3), 28.4]
    assert [round(float(energy.extra_feed(value, 13.2)), 2) for value in kilos] == [1.62, 2.11, 2.15]
    assert [round(float(energy.extra_feed(value, 13.2)) / 0.86, 1) for value in kilos] == [1.9, 2.5, 2.5]
    ad_lib = [float(energy.extra_feed(value, 13.2, 10.2, 0.5)) for value in kilos[:2]]
    assert [round(value, 2) for value in ad_lib] == [2.65, 3.44]
    assert [round(value / 0.86, 1) for value in ad_lib] == [3.1, 4.0]
    assert round(16.5 / 10.2, 2) == 1.62
    assert round(16.5 / (10.2 - 6.5), 1) == 4.5


@pytest.mark.parametrize(
    ("days", "first", "second"), [(112, 70, 68), (84, 75, 72), (56, 82, 78), (28, 93, 90), (14, 99, 99), (0, 107, 111)]
)
def test_that_both_systems_agree_on_the_need_of_a_dry_cow_within_six_percent(
    days: int, first: int, second: int
) -> None:
    """650 kg, calf of 42 kg, 10.2 MJ; worked out from the equations of both systems, to whole MJ."""
    cow = fed_cows(2.5, float(days), weighed=True)
    found = [float(work(cow, 10.2, np.zeros(1), E).total[0, 0]) for work in (need, need_second)]
    assert [round(value) for value in found] == [first, second]
    assert abs(found[1] / found[0] - 1) < 0.06


@given(SCORES, SCORES, st.floats(350, 900), st.booleans())
def test_that_energy_laid_down_brings_exactly_the_score_it_was_reckoned_for(
    now: float, to: float, weight: float, first_calver: bool
) -> None:
    frame = energy.frame_of(weight, now, E)
    body = energy.body_change(frame, now, to, first_calver, E)
    assert float(energy.score_after(frame, now, body, first_calver, E)) == pytest.approx(to, abs=1e-9)
    assert np.sign(body) == np.sign(to - now) or abs(to - now) < 1e-12


@given(SCORES, st.floats(350, 900))
def test_that_energy_a_score_is_the_slope_of_the_reserves(score: float, weight: float) -> None:
    frame = energy.frame_of(weight, score, E)
    ends = [float(energy.reserves(frame, energy.nine_of(score + step, E), E)) for step in (-1e-4, 1e-4)]
    slope = float(energy.energy_per_score(frame, score, E))
    assert slope == pytest.approx((ends[1] - ends[0]) / 2e-4, rel=1e-5)


@given(SCORES, st.floats(-0.011, 0.011), st.booleans(), st.floats(8, 12))
def test_that_a_rate_and_the_energy_it_takes_are_each_others_way_back(
    score: float, rate: float, first_calver: bool, me: float
) -> None:
    cow = fed_cows(score, 100.0, first_calver=[first_calver])
    at = cow.score[:, None]
    balance = balance_of_rate(cow, np.array([[rate]]), me, at, E)
    assert float(score_rate(cow, balance, me, at, E)[0, 0]) == pytest.approx(rate, abs=1e-12)


def test_that_a_first_calver_gains_dearer_and_loses_sooner() -> None:
    """NASEM 2016: 1.6 times the reserves of a grown cow to gain a score, 0.4 times to lose one."""
    frame = energy.frame_of(600.0, 2.5, E)
    up = [float(energy.body_change(frame, 2.5, 3.0, first, E)) for first in (True, False)]
    down = [float(energy.body_change(frame, 3.0, 2.5, first, E)) for first in (True, False)]
    assert (up[0] / up[1], down[0] / down[1]) == (pytest.approx(1.6), pytest.approx(0.4))


def test_that_a_cow_with_twins_needs_a_quarter_more() -> None:
    """The Scottish Farmer (SAC): about 25 % more energy."""
    one, two = (fed_cows(2.6, 60.0, twins=[twins]) for twins in (False, True))
    days = np.array([0.0, 30.0])
    assert need(two, 10.2, days, E).total == pytest.approx(1.25 * need(one, 10.2, days, E).total)


def test_that_a_suckling_cow_needs_milk_and_more_for_herself_until_her_calf_is_weaned() -> None:
    """650 kg, 8 kg of milk, 10.5 MJ: 112.3 by the first system; worked out from its equations."""
    cow = replace(fed_cows(2.5, 400.0, weighed=True), milk=np.array([8.0]), dry_day=np.array([10.0]))
    found = need(cow, 10.5, np.array([9.0, 10.0]), E)
    assert float((found.maintenance + found.milk)[0, 0]) == pytest.approx(112.3, abs=0.3)
    assert found.milk[0, 1] == 0
    assert found.maintenance[0, 0] == pytest.approx(1.2 * found.maintenance[0, 1])


def test_that_need_is_unknown_without_a_calving_date() -> None:
    assert np.isnan(need(fed_cows(2.5, np.nan), 10.2, np.zeros(1), E).total[0, 0])


def test_that_feeding_to_need_keeps_a_cow_level_and_more_or_less_moves_her() -> None:
    cow, days = fed_cows([2.5], 60.0), np.arange(60.0)
    level = need(cow, 10.2, days, E).total[0]
    many, me = np.ones(60), np.full(60, 10.2)
    assert project_fed(cow, days, many, level, me, E).at_calving[0] == pytest.approx(2.5, abs=1e-6)
    up, down = (project_fed(cow, days, many, level + more, me, E) for more in (10.0, -10.0))
    assert down.at_calving[0] < 2.5 < up.at_calving[0]
    assert (2.5 - down.at_calving[0]) / (up.at_calving[0] - 2.5) == pytest.approx(1.3 / 0.8, rel=0.05)
    assert up.fastest_gain[0] > 0 == up.fastest_loss[0]
    assert down.lowest_share[0] == pytest.approx(1 - 10 / level.min(), abs=0.01)


def test_that_a_cow_that_has_calved_is_fed_no_further() -> None:
    cow = fed_cows([2.5], 10.0)
    fed = project_fed(cow, np.arange(20.0), np.ones(20), np.full(20, 150.0), np.full(20, 10.2), E)
    assert (fed.score[0, 10:] == fed.score[0, 10]).all()
    assert fed.score[0, 10] > 2.5
