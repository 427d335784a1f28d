"""A ration entered by hand: its checks, the steps it takes, and what it does to every cow."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.feeding_seen import compare_seen
from herdscore.domain.ration_by_hand import try_ration
from herdscore.domain.ration_checks import Check, Limit, State, checks_of, dated_steps, largest_step, step_checks
from tests.domain.fed_cows import TODAYS_RATION, fed_cows, usual_feeds
from tests.domain.herds import RULES

FEEDS, FEEDING = usual_feeds(), RULES.feeding


def found(checks: list[Check] | tuple[Check, ...]) -> dict[Limit, Check]:
    return {check.limit: check for check in checks}


def test_that_a_sound_ration_passes_every_check_with_its_limit_beside_it() -> None:
    checks = found(checks_of(FEEDS, np.array([8.0, 1.0, 0.5, 0.0]), fed_cows([2.6] * 3, 80.0), RULES))
    assert {check.state for check in checks.values()} == {State.FINE}
    assert (checks[Limit.PROTEIN].bound, checks[Limit.FORAGE].bound, checks[Limit.CONCENTRATE].bound) == (
        9.0,
        60.0,
        3.0,
    )
    assert checks[Limit.FORAGE].value == pytest.approx(100 * 9 / 9.5)


@pytest.mark.parametrize(
    ("ration", "limit", "state"),
    [
        ([4.0, 0.0, 3.0, 0.0], Limit.FORAGE, State.CAUTION),
        ([1.9, 0.0, 3.0, 0.0], Limit.FORAGE, State.REFUSED),
        ([6.0, 0.0, 3.1, 0.0], Limit.CONCENTRATE, State.REFUSED),
        ([3.0, 5.0, 0.0, 0.0], Limit.PROTEIN, State.CAUTION),
        ([4.0, 1.0, 0.0, 0.0], Limit.FLOOR, State.REFUSED),
        ([7.0, 0.0, 0.0, 0.0], Limit.DM_FLOOR, State.REFUSED),
        ([11.0, 2.0, 0.0, 0.0], Limit.INTAKE, State.CAUTION),
    ],
)
def test_that_a_ration_past_a_limit_is_said_or_refused(ration: list[float], limit: Limit, state: State) -> None:
    assert found(checks_of(FEEDS, np.array(ration), fed_cows([2.6] * 3, 80.0), RULES))[limit].state is state


def test_that_first_calvers_need_more_protein() -> None:
    ration, cows = np.array([7.0, 2.0, 0.3, 0.0]), fed_cows([2.6] * 2, 80.0)
    young = fed_cows([2.6] * 2, 80.0, first_calver=[True, False])
    assert found(checks_of(FEEDS, ration, cows, RULES))[Limit.PROTEIN].state is State.FINE
    assert found(checks_of(FEEDS, ration, young, RULES))[Limit.PROTEIN].state is State.CAUTION


def test_that_a_jump_is_refused_with_the_largest_step_that_would_be_taken() -> None:
    new = TODAYS_RATION + np.array([0.0, 0.0, 1.5, 0.0])
    checks = found(step_checks(FEEDS, TODAYS_RATION, new, FEEDING))
    assert checks[Limit.CONCENTRATE_STEP].state is State.REFUSED
    assert (checks[Limit.CONCENTRATE_STEP].value, checks[Limit.CONCENTRATE_STEP].bound) == (1.5, 0.5)
    share, limit = largest_step(FEEDS, TODAYS_RATION, new, FEEDING)
    assert (share, limit) == (pytest.approx(1 / 3), Limit.CONCENTRATE_STEP)
    tried = try_ration(fed_cows([2.3] * 3, 100.0), FEEDS, new, RULES, TODAYS_RATION)
    assert tried.largest == pytest.approx(TODAYS_RATION + np.array([0.0, 0.0, 0.5, 0.0]))
    assert [step.day for step in tried.steps] == [0, 4, 7]
    assert tried.arrives


@settings(max_examples=60)
@given(st.lists(st.floats(0, 4), min_size=8, max_size=8))
def test_that_every_step_of_a_jump_is_one_that_would_be_taken(kilos: list[float]) -> None:
    base = np.array([4.0, 0.0, 0.0, 0.0])
    present, new = base + kilos[:4], base + kilos[4:]
    steps, before, day = dated_steps(FEEDS, present, new, FEEDING), present, -7.0
    for step in steps:
        assert not [c for c in step_checks(FEEDS, before, step.ration, FEEDING) if c.state is State.REFUSED]
        assert step.day >= day + FEEDING.step_days
        before, day = step.ration, step.day
    assert before == pytest.approx(new)


def test_that_more_feed_brings_thin_cows_into_the_band_and_names_those_it_makes_fat() -> None:
    cows = fed_cows([2.0, 2.1, 2.2, 2.9], [100.0, 100.0, 100.0, 50.0])
    more = try_ration(cows, FEEDS, TODAYS_RATION + np.array([1.0, 0.0, 1.0, 0.0]), RULES, TODAYS_RATION)
    assert (more.score[:3] > more.score_as_now[:3]).all()
    assert more.in_band.sum() > more.in_band_as_now.sum()
    assert more.not_to_change == ("0004",)
    assert more.score[3] == more.score_as_now[3]
    lavish = try_ration(fed_cows([2.7] * 2, 100.0), FEEDS, np.array([9.0, 0.0, 2.0, 0.0]), RULES, TODAYS_RATION)
    assert lavish.would_be_fat == ("0001", "0002")


def test_that_a_ration_that_moves_cows_too_fast_is_refused_by_name() -> None:
    strong = try_ration(fed_cows([2.3, 2.4], 100.0), FEEDS, np.array([10.0, 0.0, 3.0, 0.0]), RULES, TODAYS_RATION)
    speed = found(strong.checks)[Limit.GAIN]
    assert (speed.state, speed.names) == (State.REFUSED, ("0001", "0002"))
    assert strong.refused
    scant = try_ration(fed_cows([2.4, 3.0], 100.0), FEEDS, np.array([4.5, 2.0, 0.0, 0.0]), RULES, TODAYS_RATION)
    slimmed = found(scant.checks)[Limit.NEVER_SLIMMED]
    assert (slimmed.state, slimmed.names) == (State.REFUSED, ("0001",))


def test_that_without_todays_ration_nothing_is_said_of_the_jump() -> None:
    tried = try_ration(fed_cows([2.3], 100.0), FEEDS, TODAYS_RATION, RULES)
    assert tried.jump == ()
    assert np.isnan(tried.score_as_now).all()
    assert len(tried.steps) == 1


def test_that_a_gap_over_many_cows_offers_one_small_change_of_maintenance() -> None:
    cows = fed_cows([2.4] * 30, 80.0)
    expected, days = np.full(30, 0.3), np.full(30, 56.0)
    rng = np.random.default_rng(1)
    worse = compare_seen(cows, expected, expected - 0.3 + 0.1 * rng.standard_normal(30), days, 10.2, RULES)
    assert worse.maintenance_offered is not None
    assert 1.0 < worse.maintenance_offered < 1.2
    assert worse.gap == pytest.approx(-0.3, abs=0.06)
    better = compare_seen(cows, expected, expected + 0.3, days, 10.2, RULES)
    assert better.maintenance_offered is not None
    assert 0.9 < better.maintenance_offered < 1.0


def test_that_a_longer_time_between_rounds_is_trusted_more() -> None:
    cows, expected = fed_cows([2.4] * 30, 80.0), np.full(30, 0.3)
    trust = [
        compare_seen(cows, expected, expected - 0.3, np.full(30, d), 10.2, RULES).trust for d in (28.0, 56.0, 84.0)
    ]
    assert 0 < trust[0] < trust[1] < trust[2] < 1


@pytest.mark.parametrize(
    ("cows", "gap", "why"), [(9, -0.4, "9 cows have two scores, 10 are needed"), (30, 0.15, "the gap is within 0.15")]
)
def test_that_few_cows_or_a_small_gap_offer_nothing_and_say_why(cows: int, gap: float, why: str) -> None:
    expected = np.full(cows, 0.3)
    seen = compare_seen(fed_cows([2.4] * cows, 80.0), expected, expected + gap, np.full(cows, 56.0), 10.2, RULES)
    assert seen.maintenance_offered is None
    assert seen.why_not == why
    none = compare_seen(fed_cows([2.4], 80.0), np.array([np.nan]), np.array([0.1]), np.array([28.0]), 10.2, RULES)
    assert none.cows == 0
