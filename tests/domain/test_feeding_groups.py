"""Feeding groups: the cheapest there are, checked against every way there is, and who is left where she is."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.feeding_cows import Why, wanted_a_week
from herdscore.domain.feeding_groups import BY_CHANGE, BY_ENERGY, Pen, grouping_of, may_join, propose_groups
from herdscore.domain.need import CowsFed
from herdscore.domain.ration_checks import Limit
from tests.domain.fed_cows import TODAYS_RATION, fed_cows, usual_feeds
from tests.domain.herds import RULES

SCORES = st.lists(st.sampled_from([1.75, 2.0, 2.25, 2.5, 2.6, 2.75, 3.0, 3.25, 3.5]), min_size=1, max_size=6)


def cost_of(cows: CowsFed, groups: list[list[int]]) -> float:
    """Squared distances of wanted change from what each group is fed for, worked out cow by cow."""
    wanted = wanted_a_week(cows, RULES.limits)
    total = 0.0
    for rows in groups:
        if rows:
            fed_for = sum(wanted[row] for row in rows) / len(rows)
            if any(cows.never_slimmed[row] for row in rows):
                fed_for = max(fed_for, 0.0)
            total += sum((wanted[row] - fed_for) ** 2 for row in rows)
    return total


def every_way(cows: int, pens: int) -> Iterator[list[list[int]]]:
    """Every way to put cows into pens."""
    for chosen in product(range(pens), repeat=cows):
        yield [[cow for cow in range(cows) if chosen[cow] == pen] for pen in range(pens)]


@settings(max_examples=60)
@given(SCORES, st.integers(1, 3))
def test_that_no_way_to_part_the_cows_costs_less(scores: list[float], pens: int) -> None:
    cows = fed_cows(scores, 100.0)
    found = propose_groups(cows, [Pen(f"Pen {n}") for n in range(pens)], RULES)
    best = min(cost_of(cows, groups) for groups in every_way(len(cows), pens))
    assert found.cost == pytest.approx(best, abs=1e-12)
    assert cost_of(cows, [group.cows.tolist() for group in found.groups]) == pytest.approx(best, abs=1e-12)


@settings(max_examples=60)
@given(SCORES, st.lists(st.integers(1, 6), min_size=2, max_size=3))
def test_that_no_runs_of_the_order_that_fit_the_pens_cost_less(scores: list[float], places: list[int]) -> None:
    cows = fed_cows(scores, 100.0)
    pens = [Pen(f"Pen {n}", room) for n, room in enumerate(places)]
    wanted = wanted_a_week(cows, RULES.limits)
    order = sorted(range(len(cows)), key=lambda row: -wanted[row])
    fitting = []
    for count in range(1, len(pens) + 1):
        for cuts in combinations(range(1, len(cows)), count - 1):
            ends = [0, *cuts, len(cows)]
            runs = [order[low:high] for low, high in pairwise(ends)]
            sizes = sorted((len(run) for run in runs), reverse=True)
            room = sorted(places, reverse=True)
            if all(size <= most for size, most in zip(sizes, room, strict=False)):
                fitting.append(cost_of(cows, runs))
    if not fitting:
        with pytest.raises(ValueError, match="fewer places"):
            propose_groups(cows, pens, RULES)
        return
    found = propose_groups(cows, pens, RULES)
    assert found.cost == pytest.approx(min(fitting), abs=1e-12)
    room_of = {pen.name: pen.places for pen in pens}
    assert all(len(group.cows) <= room_of[group.pen] for group in found.groups)
    assert sorted(row for group in found.groups for row in group.cows) == list(range(len(cows)))


def test_that_thin_steady_and_fat_cows_get_a_pen_each_by_name() -> None:
    cows = fed_cows([3.25, 2.0, 2.55, 1.9, 3.4, 2.55], 110.0)
    found = propose_groups(cows, [Pen("Byre"), Pen("Yard"), Pen("Hill")], RULES)
    assert [group.tags for group in found.groups] == [("0004", "0002"), ("0003", "0006"), ("0001", "0005")]
    assert [group.aim for group in found.groups] == [1, 0, -1]


def test_that_first_calvers_stand_with_the_thin() -> None:
    cows = fed_cows([2.6, 2.0, 2.05, 3.3, 3.4], 110.0, first_calver=[True, False, False, False, False])
    found = propose_groups(cows, [Pen("Byre"), Pen("Yard")], RULES)
    assert set(found.groups[0].tags) == {"0001", "0002", "0003"}


def test_that_a_cow_never_slimmed_is_in_no_pen_that_slims() -> None:
    cows = fed_cows([2.5, 3.2, 3.3, 3.3], 110.0)
    alone = propose_groups(cows, [Pen("Byre")], RULES).groups[0]
    assert alone.wanted < 0
    assert alone.aim == 0
    two = propose_groups(cows, [Pen("Byre"), Pen("Yard")], RULES)
    assert [(group.tags, group.aim) for group in two.groups] == [(("0001",), 0), (("0002", "0003", "0004"), -1)]


def test_that_early_and_late_calvers_are_kept_apart_when_pens_allow() -> None:
    cows = fed_cows([2.0, 2.0, 3.3, 3.3] * 2, [60.0] * 4 + [130.0] * 4)
    four = propose_groups(cows, [Pen(name) for name in "ABCD"], RULES)
    assert all(group.last_day - group.first_day < 1 for group in four.groups)
    two = propose_groups(cows, [Pen("A"), Pen("B")], RULES)
    assert all(group.last_day - group.first_day > 60 for group in two.groups)


def test_that_cows_inside_56_days_stay_and_are_named() -> None:
    found = propose_groups(fed_cows([2.0, 2.0, 3.3], [55.0, 56.0, 100.0]), [Pen("A"), Pen("B")], RULES)
    assert [(cow.tag, cow.why, cow.days) for cow in found.left_out] == [("0001", Why.TOO_LATE, 55.0)]
    assert {tag for group in found.groups for tag in group.tags} == {"0002", "0003"}


def test_that_groups_take_the_pens_their_cows_stand_in() -> None:
    cows = fed_cows([2.0, 2.0, 2.0, 3.3, 3.3], 110.0)
    home = ["Yard", "Yard", "Byre", "Byre", "Byre"]
    found = propose_groups(cows, [Pen("Byre"), Pen("Yard")], RULES, now_in=home)
    assert [(group.pen, group.moved) for group in found.groups] == [("Yard", ("0003",)), ("Byre", ())]


def test_that_a_move_by_hand_shows_what_it_costs() -> None:
    cows = fed_cows([2.0, 2.0, 3.3, 3.3], 110.0)
    best = propose_groups(cows, [Pen("Byre"), Pen("Yard")], RULES)
    by_hand = grouping_of(cows, ["Byre", "Yard", "Yard", "Yard"], RULES)
    assert by_hand.cost == pytest.approx(cost_of(cows, [[0], [1, 2, 3]]))
    assert by_hand.cost > best.cost == pytest.approx(0.0, abs=1e-12)
    assert [group.pen for group in by_hand.groups] == ["Byre", "Yard"]


def test_that_groups_may_be_made_by_energy_needed_too() -> None:
    cows = fed_cows([2.6] * 4, [60.0, 62.0, 100.0, 103.0])
    by_change = propose_groups(cows, [Pen("A"), Pen("B")], RULES, windows=1, by=BY_CHANGE)
    by_energy = propose_groups(cows, [Pen("A"), Pen("B")], RULES, windows=1, by=BY_ENERGY)
    assert by_energy.by == BY_ENERGY
    assert {frozenset(group.tags) for group in by_energy.groups} == {
        frozenset(("0001", "0002")),
        frozenset(("0003", "0004")),
    }
    assert by_energy.cost < sum(g.cost for g in grouping_of(cows, ["A", "B", "A", "B"], RULES, by=BY_ENERGY).groups)
    assert by_change.cost <= by_energy.cost or by_change.by != by_energy.by


def test_that_a_cow_joins_a_pen_only_within_one_step_of_its_ration() -> None:
    feeds = usual_feeds()
    barley = np.array([0.0, 0.0, 1.0, 0.0])
    near, far = TODAYS_RATION + 0.5 * barley, TODAYS_RATION + 1.5 * barley
    assert may_join(feeds, TODAYS_RATION, near, RULES) == (True, None)
    assert may_join(feeds, TODAYS_RATION, far, RULES) == (False, Limit.CONCENTRATE_STEP)


def test_that_no_cows_or_no_pens_make_no_groups() -> None:
    assert propose_groups(fed_cows([2.0], 40.0), [Pen("A")], RULES).groups == ()
    assert propose_groups(fed_cows([2.0], 100.0), [], RULES).groups == ()
    assert np.isclose(propose_groups(fed_cows([2.0], 100.0), [Pen("A")], RULES).cost, 0.0)
