"""Places on the runway, its edge, tails and words."""

from __future__ import annotations

import numpy as np
import pytest

from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK
from herdscore.domain.records import GRASS, SPRING, UP, WINTER_FEED, Calving, Cow, Diet, Record, new_id
from herdscore.domain.runway import (
    FOOT,
    TOP,
    at_rim,
    before_change,
    block_to_show,
    edge_of,
    nearest,
    next_in,
    past_rim,
    pile,
    runway_of,
)
from herdscore.domain.runway_finding import FIRST, RunwayFilter, calving_months, chosen, finding, left_out
from herdscore.domain.verdict import Verdict
from tests.domain.herds import RULES, assessed, cow, day, score

LIMITS, BAND = RULES.limits, RULES.targets.band


def told(*tags: Cow, now: float = 2.5, before: float = 2.5) -> list[Record]:
    rows: list[Record] = []
    for one in tags:
        rows += [one, score(one, -60, before), score(one, -30, (now + before) / 2), score(one, -1, now)]
    return rows


def spring(tag: str, due: float | None, **facts: object) -> Cow:
    return cow(tag, due, season=SPRING, group=str(facts.pop("group", "Byre")), date_from="set by hand", **facts)


# Who is on it, and where


def test_that_a_cow_stands_at_her_days_and_her_projection_less_target() -> None:
    a = assessed(told(spring("1", 100), spring("2", 70)))
    made = runway_of(a, SPRING_BLOCK)
    assert made.days.tolist() == [70, 100], "nearest to calving first"
    assert made.gap == pytest.approx(a.course.mean[made.cow] - 2.5)
    assert len(runway_of(a, AUTUMN_BLOCK).cow) == 0


def test_that_cows_in_milk_gone_undated_or_over_are_not_on_it() -> None:
    rows = told(spring("1", 100), spring("2", None), spring("3", -40), spring("4", 90, status="sold"))
    milking = spring("5", None)
    a = assessed([*rows, *told(milking), Calving(new_id(), milking.id, day(-40))])
    made = runway_of(a, SPRING_BLOCK)
    assert [a.snapshot.cows.tag[i] for i in made.cow] == ["1"]
    assert left_out(a, made) == "Not on it: 1 without a date, 1 past her date."


def test_that_a_cow_never_scored_has_no_place_and_is_told_of() -> None:
    a = assessed([spring("1", 100), *told(spring("2", 80))])
    made = runway_of(a, SPRING_BLOCK)
    assert [a.snapshot.cows.tag[i] for i in made.cow] == ["2"]
    assert [a.snapshot.cows.tag[i] for i in made.unscored] == ["1"]
    assert left_out(a, made) == "Not on it: 1 without a score."


def test_that_a_cow_beyond_150_days_stands_in_the_margin_without_a_gap() -> None:
    a = assessed(told(spring("1", 150), spring("2", 151)))
    made = runway_of(a, SPRING_BLOCK)
    assert made.early.tolist() == [False, True]
    assert np.isnan(made.gap[1])


def test_that_a_gap_beyond_the_rim_is_drawn_at_it() -> None:
    gap = np.array([TOP + 0.5, 0.0, FOOT - 0.1])
    assert past_rim(gap).tolist() == [True, False, True]
    assert at_rim(gap).tolist() == pytest.approx([TOP - 0.05, 0.0, FOOT + 0.05])


@pytest.mark.parametrize("count", [0, 1, 7, 26, 300, 5000])
def test_that_a_pile_holds_all_inside_its_margin_and_no_two_alike(count: int) -> None:
    across, up = pile(count, -164, -150)
    assert len({*zip(across.tolist(), up.tolist(), strict=True)}) == count
    assert ((across > -164) & (across < -150) & (np.abs(up) <= TOP)).all()


# The edge


@pytest.mark.parametrize("rate", [-0.006, -0.001, 0.0, 0.004])
def test_that_a_cow_of_mean_rate_on_the_edge_just_reaches_the_band_by_a_change_begun_now(rate: float) -> None:
    """By decisions: a start today reaches the band if m(0) + up (d - 31) >= L; 0.5 in 60 and in 100 days."""
    edge = edge_of(rate, LIMITS, BAND)
    assert edge is not None
    now = edge.thin - rate * edge.days
    reached = now + 0.5 / 60 * (edge.days - 31)
    outside = edge.thin < -BAND
    assert reached[outside] == pytest.approx(-BAND)
    now = edge.fat - rate * edge.days
    held = edge.fat > BAND
    assert (now - 0.5 / 100 * (edge.days - 31))[held] == pytest.approx(BAND)
    assert (edge.thin <= -BAND).all()
    assert (edge.fat >= BAND).all()
    assert edge.days[[0, -1]].tolist() == [150, 56]


def test_that_a_cow_of_the_blocks_rate_is_part_way_beyond_the_edge_and_not_within_it() -> None:
    rows: list[Record] = []
    for tag in range(24):
        rows += told(spring(f"{tag}", 60 + tag * 3), now=1.75 + tag % 3 * 0.25, before=1.75 + tag % 3 * 0.25)
    a = assessed(rows)
    made = runway_of(a, SPRING_BLOCK)
    edge = edge_of(made.rate, LIMITS, BAND)
    assert edge is not None
    thin = edge.thin[(150 - made.days).astype(int)]
    own = a.reach.expected_rate[made.cow]
    verdict = a.verdict[made.cow]
    # A cow's own edge lies off the mean one by the difference of rates over her days.
    thin_own = thin + (own - made.rate) * made.days
    for place in range(len(made.cow)):
        if verdict[place] == Verdict.PART_WAY_UP:
            assert made.gap[place] < thin_own[place] + 0.02
        elif verdict[place] in (Verdict.EASE_UP_NOW, Verdict.EASE_UP_IN_HAND):
            assert made.gap[place] > thin_own[place] - 0.02
    assert {Verdict.PART_WAY_UP, Verdict.EASE_UP_NOW} <= {Verdict(code) for code in verdict}


def test_that_a_block_without_a_cow_to_change_has_no_edge() -> None:
    made = runway_of(assessed(told(spring("1", 40))), SPRING_BLOCK)
    assert np.isnan(made.rate)
    assert edge_of(made.rate, LIMITS, BAND) is None


def test_that_cows_on_a_change_do_not_count_into_the_mean_rate() -> None:
    rows = told(spring("1", 100), spring("2", 100, group="Hill"), now=2.0, before=2.5)
    alone = runway_of(assessed([*rows]), SPRING_BLOCK)
    up = Diet(new_id(), "Hill", day(-40), WINTER_FEED, UP, 0.08)
    both = assessed([*rows, up])
    with_change = runway_of(both, SPRING_BLOCK)
    assert both.running.side.tolist() == [0, -1]
    assert with_change.rate == pytest.approx(both.reach.expected_rate[0])
    assert np.isfinite(alone.rate)


# Tails


def test_that_the_tail_ends_where_the_diet_before_the_change_would_have_led() -> None:
    one = spring("1", 100)
    before = Diet(new_id(), "Byre", day(-90), WINTER_FEED, None, -0.07)
    change = Diet(new_id(), "Byre", day(-20), WINTER_FEED, UP, 0.07)
    a = assessed([*told(one, now=2.25), before, change])
    moved = before_change(a)
    k = int((a.segments.high[0] <= 0).sum())
    rates = a.course.curve_rate[0]
    # 20 days of the change gone by and 100 to calving, each at the rate before instead of the change's.
    assert moved[0] == pytest.approx((rates[k - 1] - rates[k]) * 120)
    assert moved[0] == pytest.approx(-0.02 * 120, abs=0.3), "the stated rates, bent a little by her scores"
    made = runway_of(a, SPRING_BLOCK)
    assert made.tail[0] == pytest.approx(made.gap[0] + moved[0])


def test_that_a_change_in_two_steps_is_taken_back_to_before_the_first() -> None:
    one = spring("1", 100)
    diets = [
        Diet(new_id(), "Byre", day(-90), WINTER_FEED, None, -0.07),
        Diet(new_id(), "Byre", day(-40), WINTER_FEED, UP, 0.035),
        Diet(new_id(), "Byre", day(-20), WINTER_FEED, UP, 0.07),
    ]
    a = assessed([*told(one, now=2.25), *diets])
    k = int((a.segments.high[0] <= 0).sum())
    rates = a.course.curve_rate[0]
    expected = (rates[k - 2] - rates[k - 1]) * 20 + (rates[k - 2] - rates[k]) * 120
    assert before_change(a)[0] == pytest.approx(expected)


def test_that_a_change_ends_with_the_next_diet_in_the_tail_too() -> None:
    one = spring("1", 100)
    diets = [
        Diet(new_id(), "Byre", day(-90), WINTER_FEED, None, -0.07),
        Diet(new_id(), "Byre", day(-20), WINTER_FEED, UP, 0.07),
        Diet(new_id(), "Byre", day(30), GRASS),
    ]
    a = assessed([*told(one, now=2.25), *diets])
    k = int((a.segments.high[0] <= 0).sum())
    rates = a.course.curve_rate[0]
    assert before_change(a)[0] == pytest.approx((rates[k - 1] - rates[k]) * 50)


def test_that_a_cow_on_no_change_or_on_one_without_a_diet_before_it_has_no_tail() -> None:
    a = assessed([*told(spring("1", 100), spring("2", 100, group="Hill"))])
    assert np.isnan(before_change(a)).all()
    assert np.isnan(before_change(assessed([]))).all()


# Words and filters


def test_that_the_finding_counts_what_the_verdicts_say() -> None:
    rows = [
        *told(spring("1", 80), now=2.0, before=2.25),
        *told(spring("2", 130), now=2.25, before=2.5),
        *told(spring("3", 100), now=1.5, before=2.0),
        *told(spring("4", 100), now=2.75, before=2.75),
    ]
    a = assessed(rows)
    made = runway_of(a, SPRING_BLOCK)
    every = np.ones(len(made.cow), dtype=bool)
    assert finding(a, [(made, every)]) == (
        "1 cow needs a gentle change begun now, 1 has time in hand, 1 is for the vet first"
    )
    only = chosen(a, made, RunwayFilter(first=110, last=140))
    assert finding(a, [(made, only)]) == "No cow needs a change begun now, 1 has time in hand"
    assert finding(a, [(made, ~every)]) == "No cow of the spring block fits what was chosen"
    empty = runway_of(a, AUTUMN_BLOCK)
    none = np.zeros(0, dtype=bool)
    assert finding(a, [(empty, none)]) == "No cow of the autumn block is in calf with a date ahead"
    nobody = assessed([])
    assert finding(nobody, [(runway_of(nobody, SPRING_BLOCK), none)]) == "There is no cow in the herd yet"


def test_that_filters_let_through_by_group_age_breed_and_days() -> None:
    a = assessed(
        told(
            spring("1", 100, calvings=0, breed="Limousin"),
            spring("2", 80, group="Hill", calvings=1),
            spring("3", 60, calvings=5, breed="Limousin"),
        )
    )
    made = runway_of(a, SPRING_BLOCK)

    def tags(which: RunwayFilter) -> list[str]:
        return sorted(a.snapshot.cows.tag[made.cow[chosen(a, made, which)]].tolist())

    assert tags(RunwayFilter()) == ["1", "2", "3"]
    assert tags(RunwayFilter(group="Hill")) == ["2"]
    assert tags(RunwayFilter(parity=FIRST)) == ["1"]
    assert tags(RunwayFilter(breed="Limousin")) == ["1", "3"]
    assert tags(RunwayFilter(breed="Limousin", first=0, last=70)) == ["3"]
    assert [name for name, *_ in calving_months(a, made)] == ["March 2027", "April 2027"]
    assert calving_months(a, made)[0][1:] == (48.0, 78.0), "March from 12 January 2027"


def test_that_the_block_with_more_cows_between_56_and_150_days_is_shown() -> None:
    autumn = [cow(f"a{tag}", 100, season="autumn", date_from="set by hand") for tag in range(2)]
    near = [spring(f"s{tag}", 30) for tag in range(3)]
    assert block_to_show(assessed(told(*autumn, *near))) == AUTUMN_BLOCK
    assert block_to_show(assessed(told(*near))) == SPRING_BLOCK


def test_that_the_nearest_point_is_found_within_reach_only() -> None:
    x, y = np.array([0.0, 10.0, 10.0]), np.array([0.0, 0.0, 0.0])
    assert nearest(x, y, 1, 1, 24) == 0
    assert nearest(x, y, 9, 0, 24) == 2, "the upper of two alike"
    assert nearest(x, y, 100, 0, 24) is None
    assert nearest(np.empty(0), np.empty(0), 0, 0, 24) is None


def test_that_a_walk_stays_at_its_ends() -> None:
    order = np.array([4, 2, 7])
    assert next_in(order, None, 1) == 4
    assert next_in(order, 4, 1) == 2
    assert next_in(order, 7, 1) == 7
    assert next_in(order, 4, -1) == 4
    assert next_in(np.empty(0, dtype=int), 1, 1) is None
