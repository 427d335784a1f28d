"""Ticks hold for what is asked, from the day of the list until she is looked at anew."""

from __future__ import annotations

from dataclasses import replace

from herdscore.domain.changes import applied
from herdscore.domain.records import SPRING, Record, Tick, new_id
from herdscore.domain.ticks import DOWN, UP, asked_of, take_back, tick_off, ticked
from herdscore.domain.verdict import Verdict
from tests.domain.herds import assessed, calving, cow, day, score

THIN = cow("1", 80, season=SPRING, date_from="set by hand")
FAT = cow("2", 80, season=SPRING, date_from="set by hand")


def herd(*more: Record) -> list[Record]:
    rows: list[Record] = [THIN, FAT]
    for one, value in ((THIN, 2.0), (FAT, 3.5)):
        rows += [score(one, -60, value), score(one, -30, value), score(one, -5, value)]
    return [*rows, *more]


def tick(what: str, on: int, done: int) -> Tick:
    return Tick(new_id(), THIN.id, what, day(on), day(done))


def test_that_easing_up_is_one_thing_now_or_in_hand() -> None:
    a = assessed(herd())
    assert Verdict(a.verdict[0]) == Verdict.EASE_UP_NOW
    assert asked_of(a, 0) == UP
    assert asked_of(a, 1) == DOWN
    later = assessed([replace(THIN, calving_date=day(130)), *herd()[2:5]])
    assert Verdict(later.verdict[0]) == Verdict.EASE_UP_IN_HAND
    assert asked_of(later, 0) == UP


def test_that_a_tick_holds_for_what_is_asked_and_nothing_else() -> None:
    assert ticked(assessed(herd(tick(UP, -3, -4)))).tolist() == [0, -1]
    assert ticked(assessed(herd(tick(DOWN, -3, -4)))).tolist() == [-1, -1]
    assert ticked(assessed(herd())).tolist() == [-1, -1]


def test_that_a_score_or_a_calving_after_the_list_ends_a_tick() -> None:
    assert ticked(assessed(herd(tick(UP, -5, -9)))).tolist() == [0, -1], "scored on the day of the list"
    assert ticked(assessed(herd(tick(UP, -6, -5)))).tolist() == [-1, -1], "scored the day after"
    calved = assessed([*herd(tick(UP, -3, -3)), calving(THIN, day(-2))])
    assert ticked(calved)[0] == -1


def test_that_a_tick_of_a_day_ahead_is_not_there_yet() -> None:
    rows = herd(tick(UP, 0, 0))
    assert ticked(assessed(rows))[0] == 0
    assert ticked(assessed(rows, day(-1)))[0] == -1


def test_that_ticks_are_set_once_and_taken_back_together() -> None:
    a = assessed(herd())
    change = tick_off(a, [0, 1], day(-1))
    assert change is not None
    made = [row.after for row in change.rows]
    assert [(one.what, one.day, one.done) for one in made if isinstance(one, Tick)] == [
        (UP, day(0), day(-1)),
        (DOWN, day(0), day(-1)),
    ]
    after = replace(a, snapshot=applied(a.snapshot, change))
    assert (ticked(after) >= 0).all()
    assert tick_off(after, [0, 1], day(0)) is None
    back = take_back(after, [0, 1])
    assert back is not None
    assert len(applied(after.snapshot, back).ticks) == 0
    assert take_back(a, [0, 1]) is None
