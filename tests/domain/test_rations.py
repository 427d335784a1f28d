"""Rations of feeding groups as written down: what is fed on a day, and steps put in the place of others."""

from __future__ import annotations

from datetime import date

from herdscore.domain.changes import Change, RowChange, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.moves import rename_group
from herdscore.domain.rations import feeds_in_use, ration_on, ration_rows, rations_of
from herdscore.domain.records import Ration

TODAY = date(2027, 1, 12)
HERD = Snapshot.from_records(
    [
        Ration("a", "Straw yard", date(2027, 1, 4), "Silage", 22.0),
        Ration("b", "straw  YARD", date(2027, 1, 4), "Barley", 0.6),
        Ration("c", "Straw yard", date(2027, 1, 20), "Silage", 22.0),
        Ration("d", "Straw yard", date(2027, 1, 20), "Barley", 1.2),
        Ration("e", "Heifer pen", date(2027, 1, 4), "Hay", 8.0),
    ]
)


def after(rows: list[RowChange]) -> Snapshot:
    return applied(HERD, Change("ration", tuple(rows)))


def test_that_a_ration_holds_until_the_next_and_a_feed_not_named_in_it_is_not_fed() -> None:
    assert ration_on(HERD, "Straw yard", date(2027, 1, 3)) == {}
    assert ration_on(HERD, "STRAW YARD", TODAY) == {"Silage": 22.0, "Barley": 0.6}
    assert ration_on(HERD, "Straw yard", date(2027, 1, 20)) == {"Silage": 22.0, "Barley": 1.2}
    assert ration_on(HERD, "Heifer pen", TODAY) == {"Hay": 8.0}


def test_that_new_steps_replace_what_was_to_come_and_leave_what_was_fed() -> None:
    steps = [(TODAY, {"Silage": 20.0}), (date(2027, 1, 20), {"Silage": 22.0, "Barley": 0.9})]
    made = after(ration_rows(HERD, "Straw yard", steps, TODAY))
    assert rations_of(made, "Straw yard") == [(date(2027, 1, 4), {"Silage": 22.0, "Barley": 0.6}), *steps]
    assert rations_of(made, "Heifer pen") == rations_of(HERD, "Heifer pen")


def test_that_rows_that_stay_equal_are_not_touched_and_the_change_can_be_taken_back() -> None:
    rows = ration_rows(HERD, "Straw yard", [(date(2027, 1, 20), {"Silage": 22.0, "Barley": 1.5})], TODAY)
    assert [(row.before.kg_fresh, row.after.kg_fresh) for row in rows] == [(1.2, 1.5)]
    back = applied(after(rows), Change("ration", tuple(rows)).inverse())
    assert back.records("rations") == HERD.records("rations")


def test_that_a_feed_is_in_use_where_it_is_fed_today_or_is_to_be_fed() -> None:
    assert feeds_in_use(HERD, "barley", TODAY) == ["Straw yard"]
    assert feeds_in_use(HERD, "Hay", TODAY) == ["Heifer pen"]
    made = after(ration_rows(HERD, "Heifer pen", [(TODAY, {"Silage": 20.0})], TODAY))
    assert feeds_in_use(made, "Hay", TODAY) == []


def test_that_a_group_called_otherwise_takes_its_rations_along() -> None:
    change = rename_group(HERD, "Straw yard", "Long barn")
    assert change is not None
    made = applied(HERD, change)
    assert rations_of(made, "Long barn") == rations_of(HERD, "Straw yard")
    assert rations_of(made, "Straw yard") == []
