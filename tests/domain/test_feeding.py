"""Feeding plans in single cases: what is planned, how far it reaches, what stands in its way and who."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from herdscore.domain import energy
from herdscore.domain.feeding import plan, plan_groups
from herdscore.domain.feeding_cows import Why, cows_fed, members, refusals_of_start, wanted_a_week, wanted_change
from herdscore.domain.feeding_plan import Plan, Status
from herdscore.domain.feeds import book_feeds, joined
from herdscore.domain.ration_checks import Limit
from herdscore.domain.records import CalendarDay, Weight, new_id
from tests.domain.fed_cows import TODAYS_RATION, fed_cows, usual_feeds
from tests.domain.herds import RULES, TODAY, assessed, calving, cow, day, score, service


def ways(made: Plan) -> set[Limit]:
    return {way.limit for way in made.in_the_way}


def test_that_a_thin_cow_gets_up_half_a_kilo_a_step_and_is_back_at_need_three_weeks_before_her_early_date() -> None:
    made = plan(fed_cows([2.0], 100.0), usual_feeds(), RULES, TODAYS_RATION)
    assert (made.status, made.aim) == (Status.PLANNED, 1)
    assert made.periods.back_day == 100 - 6 - 21
    assert made.first_cow == "0001"
    assert made.reached == pytest.approx(made.wanted, abs=0.03)
    barley = np.concatenate([[0.0], made.ration[:, 2]])
    assert barley[1:].max() > 1
    assert np.diff(barley).max() <= 0.5 + 1e-6
    back = made.periods.back
    assert made.offered[back - 4] > made.need[back - 4] + 10
    assert made.offered[back:] == pytest.approx(made.need[back:], rel=0.04)
    assert made.in_band.all()
    assert made.change_a_week == pytest.approx(7 * made.reached / 100)


def test_that_a_single_cow_can_do_what_the_planning_rates_promise() -> None:
    """Half a score up in 60 days, down in 100, at work for all days but the last 31."""
    for now, due, target in ((2.2, 100.0, 3.0), (3.3, 110.0, 2.5), (3.0, 131.0, 2.5)):
        cows = fed_cows([now], due, target=target)
        days = due - 31
        promised = days * 0.5 / 60 if now < target else -days * 0.5 / 100
        made = plan(cows, usual_feeds(), RULES, TODAYS_RATION)
        assert made.status is Status.PLANNED
        assert made.wanted == pytest.approx(promised)
        assert made.reached == pytest.approx(promised, abs=0.04)


def test_that_a_group_in_its_band_is_fed_to_need() -> None:
    made = plan(fed_cows([2.55] * 5, 90.0), usual_feeds(), RULES, TODAYS_RATION)
    assert (made.status, made.aim) == (Status.PLANNED, 0)
    assert abs(made.reached) < 0.06
    assert made.offered[4:] == pytest.approx(made.need[4:], rel=0.06)


def test_that_the_start_is_refused_while_a_member_is_inside_56_days_and_she_is_named() -> None:
    cows = fed_cows([2.0, 2.0, 2.0], [55.0, 56.0, 90.0])
    made = plan(cows, usual_feeds(), RULES, TODAYS_RATION)
    assert made.status is Status.REFUSED
    assert [(left.tag, left.why, left.days) for left in made.left_out] == [("0001", Why.TOO_LATE, 55.0)]
    without = plan(cows.only(cows.calving_day >= 56), usual_feeds(), RULES, TODAYS_RATION)
    assert len(without.ration)
    assert plan(cows, usual_feeds(), RULES, TODAYS_RATION, running=True).status is not Status.REFUSED
    assert plan(cows, usual_feeds(), RULES, TODAYS_RATION, aim=0).status is not Status.REFUSED


def test_that_no_plan_slims_a_cow_that_is_never_slimmed() -> None:
    cows = fed_cows([3.2, 3.2, 2.5, 3.2], 100.0, first_calver=[True, False, False, False])
    for running in (False, True):
        made = plan(cows, usual_feeds(), RULES, TODAYS_RATION, running=running, wanted=-0.3)
        assert made.status is Status.REFUSED
        assert [(left.tag, left.why) for left in made.left_out] == [
            ("0001", Why.NEVER_SLIMMED),
            ("0003", Why.NEVER_SLIMMED),
        ]


def test_that_a_plan_that_cannot_reach_says_how_far_and_what_holds_it_back() -> None:
    spread = plan(fed_cows([3.2] * 6, np.linspace(70, 130, 6)), usual_feeds(), RULES, TODAYS_RATION)
    assert spread.status is Status.PART_WAY
    assert spread.wanted < spread.reached < 0
    assert Limit.FLOOR in ways(spread)
    assert not any(way.broken for way in spread.in_the_way)


def test_that_a_silage_too_poor_for_late_pregnancy_is_said_with_the_best_gentle_plan() -> None:
    poor = usual_feeds().only(np.array([True, True, False, False]))
    made = plan(fed_cows([2.0] * 3, 100.0), poor, RULES, TODAYS_RATION[:2])
    assert made.status is Status.NOT_FEASIBLE
    assert Limit.NEED in {way.limit for way in made.in_the_way if way.broken}
    assert Limit.INTAKE in ways(made)
    assert len(made.ration)
    assert made.reached < made.wanted - 0.1


@pytest.mark.parametrize(("name", "limit"), [("Barley straw", Limit.PROTEIN), ("Barley, rolled", Limit.FORAGE)])
def test_that_feeds_no_ration_can_be_made_of_name_the_limit_and_give_none(name: str, limit: Limit) -> None:
    made = plan(fed_cows([2.0], 100.0), book_feeds([RULES.book_feeds[name]]), RULES)
    assert made.status is Status.NOT_FEASIBLE
    assert not len(made.ration)
    assert limit in {way.limit for way in made.in_the_way if way.broken}


def test_that_stock_that_runs_out_stands_in_the_way() -> None:
    scarce = usual_feeds(stock=[3000.0, 500.0, 100.0, 0.0])
    made = plan(fed_cows([2.0] * 5, 100.0), scarce, RULES, TODAYS_RATION)
    assert made.status is Status.NOT_FEASIBLE
    assert Limit.STOCK in ways(made)
    assert (made.used <= scarce.stock + 1e-3).all()


def test_that_what_one_group_eats_is_gone_for_the_next() -> None:
    enough_for_one = usual_feeds(stock=[np.nan, np.nan, 130.0, 0.0])
    groups = [(fed_cows([2.1], 100.0), TODAYS_RATION)] * 2
    first, second = plan_groups(groups, enough_for_one, RULES)
    assert first.used[2] > second.used[2]
    assert first.used[2] + second.used[2] <= 130.01


def test_that_a_cow_with_twins_among_others_is_named() -> None:
    made = plan(fed_cows([2.5] * 6, 100.0, twins=[False] * 5 + [True]), usual_feeds(), RULES, TODAYS_RATION)
    assert made.status is Status.NOT_FEASIBLE
    named = [way.names for way in made.in_the_way if way.limit is Limit.NEVER_SLIMMED and way.broken]
    assert named == [("0006",)]


def test_that_a_ration_already_outside_a_limit_is_said_and_mended_within_two_weeks() -> None:
    scant = np.array([3.0, 3.5, 0.0, 0.0])
    made = plan(fed_cows([2.3] * 3, 100.0), usual_feeds(), RULES, scant)
    assert made.status is Status.PLANNED
    assert Limit.FLOOR in made.outside_now
    assert made.offered[0] <= 1.0 * float(usual_feeds().me @ scant) + 10
    settled = made.periods.start >= 14
    assert (made.offered[settled] >= 0.75 * made.need[settled]).all()
    assert (made.ration[settled] @ made.feeds.cp >= 0.09 * made.ration[settled].sum(axis=1) - 1e-6).all()


def test_that_minerals_go_on_by_their_dose_56_days_before_the_first_cow_and_hold_other_feeds_to_the_ceiling() -> None:
    feeds = usual_feeds()
    mineral = replace(feeds.only(np.array([False, False, True, False])), name=np.array(["Mineral"], dtype=object))
    mineral = replace(
        mineral,
        kind=np.array(["mineral"], dtype=object),
        me=np.zeros(1),
        cp=np.zeros(1),
        se=np.array([50.0]),
        dose=np.array([0.1]),
    )
    made = plan(fed_cows([2.2], 100.0), joined(feeds, mineral), RULES, np.append(TODAYS_RATION, 0.0))
    assert made.status is Status.PLANNED
    fed = made.ration[:, 4] > 0
    assert made.periods.start[fed].min() <= 100 - 56 < made.periods.start[fed].min() + 7
    assert made.ration[fed, 4] == pytest.approx(0.1)
    without = plan(fed_cows([2.2], 100.0), joined(feeds, mineral), RULES, np.append(TODAYS_RATION, 0.0), minerals=())
    assert (without.ration[:, 4] == 0).all()


def test_that_the_plan_tells_its_steps_and_the_ration_of_any_day() -> None:
    made = plan(fed_cows([2.0], 100.0), usual_feeds(), RULES, TODAYS_RATION)
    steps = made.steps()
    assert steps[0].day == 0
    assert made.on(steps[2].day) == pytest.approx(steps[2].ration)
    assert made.on(steps[2].day - 1) == pytest.approx(steps[1].ration)
    assert made.on(1000.0) == pytest.approx(made.ration[-1])
    assert made.kg_fresh[0, 0] == pytest.approx(made.ration[0, 0] / 0.26)
    fresh_need = made.need / made.need_second
    assert (np.abs(fresh_need - 1) < 0.08).all()


def test_that_wanted_changes_stay_within_the_planning_rates_and_never_slim_the_lean() -> None:
    cows = fed_cows([1.8, 2.4, 2.5, 3.5, 3.5], [91.0, 91.0, 91.0, 91.0, 50.0], target=2.25)
    assert wanted_change(cows, RULES.limits) == pytest.approx([0.45, 0.0, 0.0, -0.3, 0.0])
    assert wanted_a_week(cows, RULES.limits)[3] == pytest.approx(-0.035)
    assert wanted_change(cows, RULES.limits, running=True)[4] == pytest.approx(-0.145)
    assert not refusals_of_start(cows, slimming=False, limits=RULES.limits, running=True)


def test_that_a_measured_weight_is_used_less_calf_and_womb_and_an_assumed_one_is_marked() -> None:
    """Calf, womb and waters of a 42 kg calf 60 days before calving: 33.6 kg by the equation of NRC 1996."""
    weighed, other = cow("0001", 60, season="spring"), cow("0002", 60, season="spring", breed="Charolais")
    rows = [weighed, other, score(weighed, 0, 2.5), score(other, 0, 2.5), Weight(new_id(), weighed.id, TODAY, 700.0)]
    cows = cows_fed(assessed(rows))
    assert list(cows.weight_assumed) == [False, True]
    live = energy.live_weight(cows.frame, cows.score, RULES.energy)
    womb = float(energy.conceptus(225.0, 42.0, RULES.energy))
    assert womb == pytest.approx(33.6, abs=0.2)
    assert live[0] == pytest.approx(700 - womb)
    assert cows.frame[1] == pytest.approx(0.96 * 750)


def test_that_an_old_weight_is_read_at_the_score_of_its_day() -> None:
    one = cow("0001", 100, season="spring")
    rows = [one, score(one, -150, 3.5), score(one, -100, 3.25), score(one, 0, 2.25)]
    then = [*rows, Weight(new_id(), one.id, TODAY - timedelta(150), 720.0)]
    long_ago = [*rows, Weight(new_id(), one.id, TODAY - timedelta(400), 720.0)]
    cows = cows_fed(assessed(then))
    assert energy.live_weight(cows.frame, 3.4, RULES.energy)[0] == pytest.approx(720, rel=0.03)
    assert energy.live_weight(cows.frame, cows.score, RULES.energy)[0] < 640
    assert cows_fed(assessed(long_ago)).weight_assumed[0]


def test_that_breed_sire_and_calf_at_foot_change_her_sums() -> None:
    dairy = cow("0001", 100, season="autumn", breed="HF", calvings=2)
    rows = [
        dairy,
        score(dairy, 0, 2.5),
        calving(dairy, day(-200)),
        service(dairy, "AI", day(-190), sire_breed="Charolais"),
    ]
    rows.append(CalendarDay(new_id(), "autumn", "weaning", day(20)))
    cows = cows_fed(assessed(rows))
    assert (cows.breed[0], cows.calf[0], cows.dry_day[0]) == (1.2, 46.0, 20.0)


def test_that_members_without_score_or_date_and_those_for_the_vet_are_left_out_with_the_reason() -> None:
    herd = [cow(f"000{n}", due, season="spring") for n, due in enumerate([90, None, 90, 90, 160, 90])]
    herd[5] = replace(herd[5], status="sold")
    scores = [score(one, -1, value) for one, value in zip(herd, [2.5, 2.5, None, 1.5, 2.5, 2.5], strict=True) if value]
    found, left = members(assessed([*herd, *scores]), range(6))
    assert list(found.tag) == ["0000"]
    assert [(one.tag, one.why) for one in left] == [
        ("0001", Why.NO_DATE),
        ("0002", Why.NO_SCORE),
        ("0003", Why.VET_FIRST),
        ("0004", Why.TOO_EARLY),
        ("0005", Why.GONE),
    ]
