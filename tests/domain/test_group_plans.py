"""Plans of groups: who is left out, a ration typed by hand that finds its way back, and what a round says of a plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from herdscore.domain.feeding_cows import Why
from herdscore.domain.feeding_plan import Status
from herdscore.domain.feeds import energy_in, me_per_kg
from herdscore.domain.group_plans import plan_group, steps_of_hand
from herdscore.domain.need import need
from herdscore.domain.ration_by_hand import try_ration
from herdscore.domain.ration_checks import step_checks
from tests.domain.fed_cows import TODAYS_RATION, fed_cows, usual_feeds
from tests.domain.herds import RULES


def test_that_cows_within_the_lead_are_named_and_the_others_planned_without_them() -> None:
    cows = fed_cows([2.0, 2.1, 2.0, 2.2], [100.0, 95.0, 40.0, 105.0])
    made = plan_group(cows, usual_feeds(), RULES, TODAYS_RATION)
    assert [(one.tag, one.why) for one in made.apart] == [("0003", Why.TOO_LATE)]
    assert made.plan.cows.tag.tolist() == ["0001", "0002", "0004"]
    assert made.plan.status in (Status.PLANNED, Status.PART_WAY)
    assert not made.can_start


def test_that_a_group_wholly_within_the_lead_is_held_and_refuses_a_change() -> None:
    cows = fed_cows([2.0, 2.1], [40.0, 30.0])
    assert plan_group(cows, usual_feeds(), RULES, TODAYS_RATION).plan.aim == 0
    made = plan_group(cows, usual_feeds(), RULES, TODAYS_RATION, aim=1)
    assert made.plan.status is Status.REFUSED
    assert [one.why for one in made.apart] == [Why.TOO_LATE, Why.TOO_LATE]
    assert not made.can_start


def test_that_a_ration_typed_by_hand_goes_back_to_need_in_gentle_steps_before_the_freeze() -> None:
    cows, feeds = fed_cows([2.2, 2.3, 2.1], [120.0, 118.0, 125.0]), usual_feeds()
    ration = TODAYS_RATION + np.array([0.0, 0.0, 1.2, 0.0])
    tried = try_ration(cows, feeds, ration, RULES, TODAYS_RATION)
    steps = steps_of_hand(cows, feeds, RULES, tried)
    assert steps is not None
    days = [step.day for step in steps]
    assert days == sorted(days)
    before = TODAYS_RATION
    for step in steps:
        refused = [
            check.limit
            for check in step_checks(feeds, before, step.ration, RULES.feeding)
            if check.value > check.bound + 1e-6
        ]
        assert refused == []
        before = step.ration
    freeze = float((cows.calving_day - cows.spread).min()) - RULES.limits.freeze_days
    at = [step for step in steps if step.day <= freeze][-1].ration
    needed = need(cows, float(me_per_kg(feeds, at)), np.array([freeze]), RULES.energy, tried.score).total[:, 0]
    # Fed for the mean of the group, within one step of its need.
    assert abs(float(energy_in(feeds, at)) - float(needed.mean())) <= RULES.feeding.step_up_mj


def test_that_a_cow_who_needs_more_than_the_group_is_named_rather_than_slimmed() -> None:
    cows = fed_cows([2.6, 2.6, 2.6, 2.6, 2.6], [100.0] * 5, first_calver=[False] * 4 + [True])
    big = replace(cows, frame=cows.frame * np.array([1.0, 1.0, 1.0, 1.0, 1.35]))
    made = plan_group(big, usual_feeds(), RULES, TODAYS_RATION)
    lost = made.plan.cows.score - made.plan.fed.at_calving
    protected = made.plan.cows.never_slimmed
    assert (
        made.plan.status is Status.NOT_FEASIBLE or (lost[protected] <= RULES.feeding.slack_never_slimmed + 1e-6).all()
    )
