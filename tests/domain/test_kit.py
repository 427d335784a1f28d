"""The kit list, scaled to the herd."""

from __future__ import annotations

import pytest

from herdscore.domain.calendar import SPRING_BLOCK
from herdscore.domain.kit import helped_calvings, kit_for, kit_list
from herdscore.domain.records import Record
from tests.domain.herds import RULES, assessed, calving, cow, day

# Quantities at 30, 60 and 120 cows, one in five helped (project choices after published lists of items).
TABLE = {
    "long_gloves": (80, 140, 260),
    "short_gloves": (60, 120, 240),
    "lubricant": (3, 6, 12),
    "iodine": (3, 6, 12),
    "dip_cups": (2, 2, 2),
    "colostrum": (3, 6, 12),
    "tubes": (2, 2, 4),
    "bottles": (2, 2, 4),
    "electrolytes": (18, 36, 72),
    "heat_lamp": (1, 2, 3),
    "jack": (1, 1, 2),
    "ropes": (2, 2, 4),
    "tags": (32, 63, 126),
    "small": (1, 1, 1),
    "bottles_of_minerals": (None, None, None),
}


@pytest.mark.parametrize(("place", "cows"), [(0, 30), (1, 60), (2, 120)])
def test_that_the_kit_grows_with_the_herd(place: int, cows: int) -> None:
    found = {line.tick.rsplit("/", 1)[1]: line.quantity for line in kit_for(cows, 0.2 * cows, RULES)}
    assert found == {key: quantities[place] for key, quantities in TABLE.items()}


def test_that_a_whole_quantity_is_not_rounded_up_once_more() -> None:
    # 14 in 100 helped of 100 are 14.000000000000002 to a computer.
    assert next(line.quantity for line in kit_for(100, 0.14 * 100, RULES) if line.tick.endswith("lubricant")) == 7


def test_that_a_small_herd_keeps_the_least_of_each() -> None:
    found = {line.tick.rsplit("/", 1)[1]: line.said for line in kit_for(3, 0.5, RULES)}
    assert (found["lubricant"], found["colostrum"], found["electrolytes"]) == ("2 L", "2 doses of 3 L", "12")
    assert found["bottles_of_minerals"] == "ask your vet"


def test_that_helped_calvings_come_from_the_herds_own_record_when_there_is_enough() -> None:
    rows: list[Record] = []
    for at in range(20):
        rows += [one := cow(f"{at}", 60), calving(one, day(-300), ease=2 if at < 10 else 1)]
        if at < 10:
            # A twin is no second calving.
            rows.append(calving(one, day(-300), ease=2))
    a = assessed(rows)
    assert helped_calvings(a.snapshot, a.rulebook, 40, 0) == pytest.approx(20)
    few = assessed(rows[:-2])
    # 15 % of cows and 40 % of first-calvers (Echternkamp and Gregory 1999: 13-23 and 40.5 %).
    assert helped_calvings(few.snapshot, few.rulebook, 40, 10) == pytest.approx(0.15 * 40 + 0.40 * 10)


def test_that_the_list_counts_the_block_due_and_its_ticks_belong_to_the_season() -> None:
    rows: list[Record] = [cow(f"{at}", 60, season="spring") for at in range(40)]
    rows += [cow("a", 60, season="autumn"), cow("b", 60, season="spring", status="sold")]
    lines = kit_list(assessed(rows), SPRING_BLOCK)
    tags = next(line for line in lines if line.tick.endswith("/tags"))
    assert (tags.quantity, tags.tick) == (42, "kit/spring 2027/tags")
