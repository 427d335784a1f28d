"""The feeding sheet and the order list, beside sums done by hand."""

from __future__ import annotations

import math
from datetime import date

import pytest

from herdscore.domain.assess import Assessment
from herdscore.domain.fed_groups import FedGroup, fed_groups
from herdscore.domain.feed_order import FeedOrder, feed_order
from herdscore.domain.feeding_sheet import GroupSheet, feeding_sheet
from herdscore.domain.feeds import feeds_of
from herdscore.domain.records import Calving, Cow, Feed, Ration, Record
from tests.domain.recorded_herds import TODAY, ahead, assessed

YARD = "Straw yard"
SILAGE = Feed("f1", "Silage", 25.0, 10.0, "forage", 12.0, price=30.0, stock=2.0)
STRAW = Feed("f2", "Straw", 86.0, 6.5, "straw", 4.0)
BARLEY = Feed("f3", "Barley", 86.0, 13.0, "concentrate", 11.0, price=200.0, stock=0.0)
MINERAL = Feed("f4", "Dry mineral", 95.0, 0.0, "mineral", dose=100.0, stock=0.004)


def cows(*days: int | None, group: str = YARD) -> list[Record]:
    return [
        Cow(f"{group} {n}", f"{group[0]}{n:03}", group=group, calving_date=None if day is None else ahead(day))
        for n, day in enumerate(days)
    ]


def ration(day: date, group: str = YARD, **kg: float) -> list[Record]:
    return [Ration(f"{group} {day} {feed}", group, day, feed.replace("_", " "), amount) for feed, amount in kg.items()]


def sheet_of(a: Assessment, weeks: int | None = 4) -> GroupSheet:
    return feeding_sheet(a, fed_groups(a), weeks).groups[0]


def order_of(a: Assessment, weeks: int | None = None) -> FeedOrder:
    return feed_order(a, fed_groups(a), feeds_of(a.snapshot.feeds), weeks)


def group_of(a: Assessment) -> FedGroup:
    return fed_groups(a)[0]


def test_that_a_week_in_which_a_step_comes_is_parted_at_the_step_and_the_next_step_is_named() -> None:
    steps = [*ration(ahead(-20), Silage=20.0), *ration(ahead(10), Silage=22.0, Barley=0.6)]
    a = assessed(*cows(90, 95, 100), *steps, SILAGE, BARLEY)
    sheet = sheet_of(a, 3)
    assert [(line.first, line.last) for line in sheet.lines] == [
        (TODAY, ahead(6)),
        (ahead(7), ahead(9)),
        (ahead(10), ahead(16)),
        (ahead(17), ahead(20)),
    ]
    assert sheet.feeds == ("Silage", "Barley")
    assert [line.kg for line in sheet.lines] == [(20.0, 0.0), (20.0, 0.0), (22.0, 0.6), (22.0, 0.6)]
    assert [line.is_step for line in sheet.lines] == [False, False, True, False]
    assert sheet.lines[2].moved == pytest.approx((2.0, 0.6))
    assert sheet.in_all(sheet.lines[2]) == pytest.approx((66.0, 1.8))
    assert sheet.next_step == ahead(10)


def test_that_a_step_of_today_is_shown_as_one_and_is_not_the_next() -> None:
    steps = [*ration(ahead(-20), Silage=20.0), *ration(TODAY, Silage=18.0), *ration(ahead(60), Silage=19.0)]
    sheet = sheet_of(assessed(*cows(90), *steps, SILAGE), 4)
    assert sheet.lines[0].moved == (-2.0,)
    assert sheet.next_step is None


def test_that_a_change_too_small_to_be_written_is_no_step() -> None:
    steps = [*ration(ahead(-3), Silage=20.0), *ration(ahead(5), Silage=20.001)]
    sheet = sheet_of(assessed(*cows(60), *steps, SILAGE))
    assert not any(line.is_step for line in sheet.lines)
    assert sheet.next_step is None


def test_that_a_sheet_to_calving_ends_the_day_before_the_last_is_to_calve_and_groups_without_a_ration_are_named() -> (
    None
):
    a = assessed(*cows(60, 80), *cows(70, group="Heifer pen"), *ration(ahead(-3), Silage=20.0), SILAGE)
    found = feeding_sheet(a, fed_groups(a), None)
    assert [group.name for group in found.groups] == [YARD]
    assert found.groups[0].lines[-1].last == ahead(79)
    assert found.without == ("Heifer pen",)


def test_that_cows_eat_until_they_are_to_calve_and_the_store_is_taken_off_what_is_bought() -> None:
    """Common practice, summed by hand: cows x kg x days."""
    steps = [*ration(ahead(-3), Silage=20.0), *ration(ahead(10), Silage=22.0, Barley=0.5)]
    a = assessed(*cows(30, 50), *steps, SILAGE, BARLEY, STRAW)
    lines = {line.feed: line for line in order_of(a).lines}
    silage = 2 * 10 * 20 + 2 * 20 * 22 + 20 * 22
    assert lines["Silage"].kg == pytest.approx(silage)
    assert lines["Silage"].days == 50
    assert lines["Silage"].to_buy == 0.0
    assert lines["Silage"].store_ends is None
    assert lines["Barley"].kg == pytest.approx(0.5 * (2 * 20 + 20))
    assert lines["Barley"].to_buy == pytest.approx(30.0)
    assert lines["Barley"].store_ends == ahead(10)
    assert lines["Barley"].cost == pytest.approx(30.0 * 200.0 / 1000)
    assert "Straw" not in lines


def test_that_a_cow_calved_already_counts_as_long_as_she_stands_in_the_group() -> None:
    calved = Calving("k", f"{YARD} 0", ahead(-5))
    a = assessed(*cows(-5, 10), calved, *ration(ahead(-3), Silage=20.0), SILAGE)
    assert order_of(a, 4).lines[0].kg == pytest.approx((28 + 10) * 20)


def test_that_a_step_that_begins_after_the_last_is_to_calve_is_not_ordered_for() -> None:
    steps = [*ration(ahead(-3), Silage=20.0), *ration(ahead(20), Silage=20.0, Barley=0.5)]
    order = order_of(assessed(*cows(10, 12), *steps, SILAGE, BARLEY), 4)
    assert {line.feed: line.kg for line in order.lines if line.kind != "mineral"} == pytest.approx({"Silage": 22 * 20})


def test_that_the_day_is_named_on_which_the_store_falls_short() -> None:
    """2 t in store, 4 cows at 25 kg: 100 kg a day, 20 days."""
    a = assessed(*cows(90, 90, 90, None), *ration(ahead(-3), Silage=25.0), SILAGE)
    line = order_of(a, 4).lines[0]
    assert line.kg == pytest.approx(28 * 100)
    assert line.store_ends == ahead(20)
    assert line.to_buy == pytest.approx(800.0)


def test_that_mineral_missing_from_a_ration_is_reckoned_by_the_rule_and_bought_in_whole_bags() -> None:
    """Common practice: 100 g a head a day over the last eight weeks; 25 kg a bag."""
    a = assessed(*cows(80, 20), *ration(ahead(-3), Silage=20.0), SILAGE, MINERAL)
    order = order_of(a)
    line = next(line for line in order.lines if line.kind == "mineral")
    assert line.feed == "Dry mineral"
    assert line.kg == pytest.approx(0.1 * (56 + 20))
    assert line.bags == math.ceil((7.6 - 4.0) / 25)
    assert order.by_rule == (YARD,)
    near = order_of(a, 4)
    assert next(one for one in near.lines if one.kind == "mineral").kg == pytest.approx(0.1 * (4 + 20))


def test_that_mineral_in_the_ration_is_not_reckoned_twice_and_without_a_feed_of_its_own_it_is_named_by_the_rule() -> (
    None
):
    held = assessed(*cows(50), *ration(ahead(-3), Silage=20.0, Dry_mineral=0.12), SILAGE, MINERAL)
    order = order_of(held)
    assert order.by_rule == ()
    assert next(line for line in order.lines if line.kind == "mineral").kg == pytest.approx(0.12 * 50)
    bare = order_of(assessed(*cows(50), *ration(ahead(-3), Silage=20.0), SILAGE))
    assert [(line.feed, line.bags) for line in bare.lines if line.kind == "mineral"] == [("Dry-cow mineral", 1)]


def test_that_a_missing_price_leaves_the_cost_unknown_and_a_feed_gone_is_named() -> None:
    a = assessed(*cows(50), *ration(ahead(-3), Silage=20.0, Straw=2.0, Beet=1.0), SILAGE, STRAW)
    order = order_of(a)
    assert math.isnan(order.cost)
    assert order.unknown == ("Beet",)
    assert [line.feed for line in order.lines if line.kind != "mineral"] == ["Silage", "Straw"]
    assert group_of(a).name == YARD
