"""Mineral and magnesium to order, and what all sources come to against the ceilings."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from herdscore.domain.minerals import (
    COPPER,
    ELEMENTS,
    IODINE,
    MAGNESIUM,
    REFUSED,
    SELENIUM,
    WARNED,
    WELL,
    ElementSum,
    Source,
    ceiling,
    dry_mineral_order,
    magnesium_need,
    magnesium_order,
    mineral_kg,
    rich_ration_kg,
    source_of_feed,
    sums_of_day,
    whole_sources,
)
from herdscore.domain.records import CalendarDay, Feed, Record, new_id
from tests.domain.herds import RULES, assessed, calving, cow, day

MINERALS = RULES.minerals


@pytest.mark.parametrize(
    ("cows", "kg"),
    [
        (100, 560),  # MN01: a pre-calver mineral article, read
        (45, 252),  # MN02: arithmetic
    ],
)
def test_that_the_mineral_of_a_group_is_heads_times_dose_times_days(cows: int, kg: float) -> None:
    assert mineral_kg(cows, MINERALS.dry_mineral_grams, MINERALS.dry_mineral_days) == pytest.approx(kg)
    a = assessed([cow(f"{at}", 100, group="Byre") for at in range(cows)])
    order = dry_mineral_order(a)
    assert order.kg == pytest.approx(kg)
    assert order.bags == math.ceil(kg / 25)
    (line,) = order.lines
    assert (line.group, line.start, len(line.cows)) == ("Byre", 44, cows)


def test_that_the_dose_lies_in_the_usual_range_of_labels() -> None:
    # MN03: Irish Farmers Journal, read.
    assert (MINERALS.label_low, MINERALS.label_high) == (100, 120)
    assert MINERALS.label_low <= MINERALS.dry_mineral_grams <= MINERALS.label_high


def test_that_magnesium_needs_follow_milk_and_potassium() -> None:
    # MN04, MN05: Farm Advisory Service Scotland 2021, read.
    assert [magnesium_need(MINERALS, milked=milked) for milked in (True, False)] == [30, 20]
    assert [magnesium_need(MINERALS, milked=milked, potassium=2.0) for milked in (True, False)] == [30, 20]
    assert [magnesium_need(MINERALS, milked=milked, potassium=2.5) for milked in (True, False)] == [40, 30]


def test_that_sixty_grams_of_magnesite_give_the_need_of_a_cow_in_milk() -> None:
    # MN06: common practice. MN07: arithmetic at 50 % magnesium.
    assert MINERALS.magnesite_grams == 60
    assert MINERALS.magnesite_grams * MINERALS.magnesite_share == magnesium_need(MINERALS, milked=True)


def test_that_twins_want_a_quarter_more_energy() -> None:
    # MN08: The Scottish Farmer (SAC), read.
    assert RULES.notes["twins"].value == 25


def test_that_only_what_is_left_of_each_cows_own_weeks_is_ordered() -> None:
    rows: list[Record] = [cow("1", 20), cow("2", 70), cow("3", 200, status="sold"), cow("4"), cow("5", -60)]
    order = dry_mineral_order(assessed(rows))
    assert sum(line.cow_days for line in order.lines) == 20 + 56
    assert order.kg == pytest.approx(7.6)
    assert order.bags == 1


def test_that_groups_come_by_the_day_their_first_cow_comes_to_it() -> None:
    rows: list[Record] = [cow("1", 120, group="Late"), cow("2", 70, group="Early"), cow("3", 90, group="Early")]
    order = dry_mineral_order(assessed(rows))
    assert [(line.group, line.start, line.cow_days) for line in order.lines] == [("Early", 14, 112), ("Late", 64, 56)]


def test_that_magnesium_is_ordered_from_ahead_of_turnout_through_the_flush() -> None:
    turnout = CalendarDay(new_id(), "spring", "turnout", day(40))
    rows: list[Record] = [turnout, milked := cow("1", season="spring"), calving(milked, day(-5))]
    rows += [cow("2", 60, season="spring"), cow("3", 150, season="spring"), cow("4", 60, season="autumn")]
    order = magnesium_order(assessed(rows))
    # In milk from day 12 to day 100; the one due on day 60 from then on; the rest calve too late or have no turnout.
    assert sum(line.cow_days for line in order.lines) == 88 + 40
    assert order.kg == pytest.approx(0.060 * 128)
    assert rich_ration_kg(order, MINERALS) == pytest.approx((128, 256))
    assert magnesium_order(assessed(rows[1:])).lines == ()


def test_that_magnesium_goes_on_counting_after_turnout_and_then_stops() -> None:
    turnout = CalendarDay(new_id(), "spring", "turnout", day(-30))
    rows: list[Record] = [turnout, milked := cow("1", season="spring"), calving(milked, day(-60))]
    assert magnesium_order(assessed(rows)).lines[0].cow_days == 30
    assert magnesium_order(assessed(rows, today=day(31))).lines == ()


def sums(*sources: Source, dry_kg: float = 11, at_grass: bool = False) -> dict[str, ElementSum]:
    return {one.element: one for one in sums_of_day(sources, MINERALS, dry_kg, at_grass=at_grass)}


def test_that_the_lowest_ceiling_wins() -> None:
    # Worked out at 11 kg of dry matter from the limits of complete feed: selenium 6.25, copper 375, iodine 125 mg;
    # magnesium 0.4 % of dry matter, 44 g. All of them are below the tolerable levels of NASEM 2016.
    assert [ceiling(element, 11, MINERALS) for element in ELEMENTS] == pytest.approx([375, 6.25, 125, 44_000])
    assert ceiling(COPPER, 1, MINERALS) < MINERALS.copper_tolerable
    assert ceiling(SELENIUM, 1, MINERALS) < MINERALS.selenium_tolerable
    assert ceiling(IODINE, 1, MINERALS) < MINERALS.iodine_tolerable


def test_that_a_strong_mineral_alone_is_close_and_with_a_concentrate_over() -> None:
    # A mineral of 60 mg/kg selenium at 100 g gives 6 mg of 6.25 (worked out).
    mineral = Source("Mineral", "mineral", 0.100, selenium=60)
    alone = sums(mineral)[SELENIUM]
    assert alone.mg == pytest.approx(6)
    assert alone.standing == WARNED
    both = sums(mineral, Source("Nuts", "concentrate", 2.0, selenium=0.3))[SELENIUM]
    assert both.mg == pytest.approx(6.6)
    assert both.standing == REFUSED
    assert both.share == pytest.approx(1.056)


@pytest.mark.parametrize(("share", "standing"), [(0.79, WELL), (0.80, WARNED), (1.0, WARNED), (1.01, REFUSED)])
def test_that_four_fifths_of_a_ceiling_are_warned_of_and_more_than_all_refused(share: float, standing: str) -> None:
    given = Source("Mineral", "mineral", 1.0, copper=375 * share)
    assert sums(given)[COPPER].standing == standing


def test_that_a_source_without_figures_is_named_and_not_taken_for_none() -> None:
    found = sums(Source("Silage", "forage", 9.0, copper=8), Source("Bolus", "bolus", 0.0, selenium=math.nan))
    assert found[COPPER].mg == 72
    assert found[COPPER].not_counted == ("Bolus",)
    assert found[SELENIUM].not_counted == ("Silage", "Bolus")


def test_that_magnesium_cover_at_grass_is_only_warned_of() -> None:
    grass, cover = (
        Source("Grass", "forage", 12, magnesium=3500),
        Source("Magnesite", "mineral", 0.06, magnesium=500_000),
    )
    assert sums(grass, cover, dry_kg=12, at_grass=True)[MAGNESIUM].standing == WARNED
    assert sums(grass, cover, dry_kg=12)[MAGNESIUM].standing == REFUSED
    more = Source("Magnesite", "mineral", 0.07, magnesium=500_000)
    assert sums(grass, more, dry_kg=12, at_grass=True)[MAGNESIUM].standing == REFUSED


def test_that_two_complete_sources_together_are_named() -> None:
    powder, bolus = Source("Powder", "mineral", 0.1), Source("Bolus", "bolus", 0.0)
    assert whole_sources([powder, bolus, Source("Barley", "concentrate", 2)]) == ("Powder", "Bolus")
    assert whole_sources([powder]) == ()


def test_that_a_feed_of_the_herd_is_a_source_at_its_dose() -> None:
    feed = Feed(new_id(), "Dry-cow", 95, 0, "mineral", cu=1500, se=40, mg=200, dose=100)
    a = assessed([feed])
    source = source_of_feed(a.snapshot, 0)
    assert source.dry_kg == pytest.approx(0.095)
    found = sums(source)
    assert found[COPPER].mg == pytest.approx(142.5)
    assert found[MAGNESIUM].mg == pytest.approx(19_000)
    assert found[IODINE].not_counted == ("Dry-cow",)
    assert source_of_feed(a.snapshot, 0, 200).dry_kg == pytest.approx(0.19)


def test_that_a_herds_own_dose_is_used() -> None:
    own, problems = RULES.with_settings({"Dry-cow mineral (g/head/day)": "120"})
    assert not problems
    assert dry_mineral_order(assessed([cow("1", 100)], rules=own)).kg == pytest.approx(0.120 * 56)


def test_that_the_day_moves_the_order() -> None:
    rows: list[Record] = [cow("1", 70)]
    later = assessed(rows, today=day(0) + timedelta(days=30))
    assert dry_mineral_order(later).lines[0].cow_days == 40
