"""Diets and dates of the herd calendar read from a form."""

from __future__ import annotations

from datetime import date

import pytest

from herdscore.domain.diet_form import expected_words, read_diet, read_event, typed_diet
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import BULL_IN, BULL_OUT, SPRING, TURNOUT, UP, WINTER_FEED, CalendarDay, Diet, Record
from tests.domain.herds import cow
from tests.domain.recorded_herds import RULES, TODAY, ahead

COW = cow("0001", group="Beck side")
WINTER = Diet("w", "Beck side", date(2026, 11, 8), WINTER_FEED)
TURNED = CalendarDay("t", SPRING, TURNOUT, date(2027, 3, 25))
GIVEN = {"group": "beck SIDE", "day": "8 Dec", "kind": "grass", "aim": "", "expected": ""}


def herd(*rows: Record) -> Snapshot:
    return Snapshot.from_records((COW, WINTER, TURNED, *rows))


def problems(**typed: str) -> dict[str, str]:
    return dict(read_diet({**GIVEN, **typed}, herd(), RULES, TODAY).problems)


def test_that_a_diet_takes_the_groups_own_spelling_and_a_signed_change() -> None:
    read = read_diet({**GIVEN, "aim": "up", "expected": "+0,05"}, herd(), RULES, TODAY)
    row = read.row
    assert isinstance(row, Diet)
    assert (row.group, row.day, row.kind, row.aim, row.expected_change) == (
        "Beck side",
        date(2026, 12, 8),
        "grass",
        UP,
        0.05,
    )
    assert typed_diet(row)["expected"] == "+0.05"
    assert expected_words(row) == "Up half a score in 70 days."
    change = read.change()
    assert change is not None
    assert change.kind == "add diet"


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"group": " "}, "group", "Which group?"),
        ({"kind": ""}, "kind", "What is it on? Choose one."),
        ({"day": ""}, "day", "From which day? About right will do."),
        (
            {"day": "3/4/2026"},
            "day",
            "“3/4/2026” may be 3 Apr 2026 or 4 Mar 2026. Write the month as a word.",
        ),
        (
            {"expected": "a bit"},
            "expected",
            "“a bit” is not a number. Write the change a week as +0.05 or −0.03.",
        ),
        ({"expected": "5"}, "expected", "A change a week lies between −1 and +1; usual are hundredths."),
        (
            {"aim": "up", "expected": "0.1"},
            "expected",
            "Too fast for any plan: +0.08 a week at most, half a score in 42 days.",
        ),
        (
            {"aim": "down", "expected": "-0.07"},
            "expected",
            "Too fast for any plan: −0.06 a week at most, half a score in 56 days.",
        ),
    ],
)
def test_that_what_is_wrong_is_a_sentence(typed: dict[str, str], field: str, sentence: str) -> None:
    assert problems(**typed) == {field: sentence}


def test_that_the_fastest_a_plan_may_be_is_taken() -> None:
    # Half a score in 42 and in 56 days, limits.toml.
    assert problems(aim="up", expected="0.083") == {}
    assert problems(aim="down", expected="−0.062") == {}
    assert problems(expected="0.1") == {}, "a figure without a plan is what somebody found"


def test_that_a_second_diet_from_one_day_takes_the_place_of_the_first() -> None:
    read = read_diet({**GIVEN, "day": "8 Nov"}, herd(), RULES, TODAY)
    assert read.before == WINTER
    assert read.note == "In place of winter feed, entered from that day."
    assert isinstance(read.row, Diet)
    assert read.row.id == WINTER.id
    other = Diet("x", "Beck side", ahead(-5), "grass")
    assert read_diet({**GIVEN, "day": "8 Nov"}, herd(other), RULES, TODAY, other).problems == {
        "day": "Beck side has winter feed from 8\u00a0Nov already. Strike one of the two out."
    }


def test_that_a_diet_read_back_unchanged_is_no_change() -> None:
    assert read_diet(typed_diet(WINTER), herd(), RULES, TODAY, WINTER).change() is None


def test_that_a_diet_ahead_says_what_it_does_to_the_calendar() -> None:
    assert "nothing is assumed" in read_diet({**GIVEN, "day": "1 Mar"}, herd(), RULES, TODAY).note


# The herd calendar


def event(block: str, what: str, day: str, *more: Record, before: CalendarDay | None = None) -> object:
    read = read_event({"block": block, "event": what, "day": day}, herd(*more), TODAY, before)
    return dict(read.problems) or (read.row, read.note)


def test_that_a_date_of_one_season_is_moved_and_of_another_is_added() -> None:
    assert event(SPRING, TURNOUT, "1 Apr") == (
        CalendarDay("t", SPRING, TURNOUT, date(2027, 4, 1)),
        "In place of 25\u00a0Mar.",
    )
    read = read_event({"block": SPRING, "event": TURNOUT, "day": "20 Mar 2026"}, herd(), TODAY)
    assert read.before is None
    assert read.change() is not None
    assert event("autumn", TURNOUT, "1 Apr") != event(SPRING, TURNOUT, "1 Apr")


def test_that_a_date_without_block_event_or_day_is_asked_for() -> None:
    assert event("", "", "") == {
        "block": "Autumn or spring calvers?",
        "event": "Choose housing, turnout, weaning, bull in or bull out.",
        "day": "On which day is it?",
    }


def test_that_a_bull_does_not_leave_before_he_came() -> None:
    came = CalendarDay("i", SPRING, BULL_IN, date(2027, 6, 8))
    assert event(SPRING, BULL_OUT, "1 Jun", came) == {"day": "Bull in is 8 Jun 2027: he cannot leave before he came."}
    row, note = event(SPRING, BULL_OUT, "10 Aug 2027", came)  # type: ignore[misc]
    assert (row.day, note) == (date(2027, 8, 10), "")


def test_that_editing_a_date_onto_another_is_refused() -> None:
    other = CalendarDay("u", SPRING, TURNOUT, date(2026, 3, 20))
    assert event(SPRING, TURNOUT, "1 Apr 2027", other, before=other) == {
        "day": "Turnout of that season is entered, 25\u00a0Mar. Strike one out."
    }
