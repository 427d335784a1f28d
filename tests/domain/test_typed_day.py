"""Days typed by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdscore.domain.typed_day import FURTHEST_AHEAD, NotADay, read_day, say_whole_day
from tests.domain.recorded_herds import TODAY


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2027-04-18", date(2027, 4, 18)),
        ("18 Apr 2027", date(2027, 4, 18)),
        ("18th April 27", date(2027, 4, 18)),
        ("Sun 18 apr 2027", date(2027, 4, 18)),
        ("April 18, 2027", date(2027, 4, 18)),
        ("18\u00a0Apr\u00a02027", date(2027, 4, 18)),
        ("18/4/2027", date(2027, 4, 18)),
        ("4/18/2027", date(2027, 4, 18)),
        ("5.5.26", date(2026, 5, 5)),
        ("18 Apr", date(2027, 4, 18)),
        ("20 Dec", date(2026, 12, 20)),
        ("1 sept", date(2026, 9, 1)),
    ],
)
def test_that_a_day_is_read_where_it_can_mean_one_day_only(typed: str, day: date) -> None:
    assert read_day(typed, TODAY) == day


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("3/4/2020", "“3/4/2020” may be 3 Apr 2020 or 4 Mar 2020. Write the month as a word."),
        ("31 Feb 2026", "There is no day “31 feb 2026”."),
        ("29 Feb", "There is no day “29 feb” within a year."),
        ("31/31/2026", "There is no day “31/31/2026”."),
        ("18 Smarch", "“smarch” is not a month. Write the date as 18 Apr 2027."),
        ("soon", "“soon” is not a date. Write it as 18 Apr 2027."),
        ("1 Mar 1950", "1 Mar 1950 is before 1990. Check the year."),
        ("1 Mar 2035", "1 Mar 2035 is more than two years ahead. Check the year."),
    ],
)
def test_that_what_is_no_day_or_two_is_refused_in_a_sentence(typed: str, sentence: str) -> None:
    found = read_day(typed, TODAY)
    assert isinstance(found, NotADay)
    assert found.sentence == sentence


def test_that_a_birthday_lies_behind_and_takes_the_last_such_day() -> None:
    assert read_day("20 Jan", TODAY, past_only=True) == date(2026, 1, 20)
    ahead = read_day("20 Jan 2027", TODAY, past_only=True)
    assert isinstance(ahead, NotADay)
    assert ahead.sentence == "20 Jan 2027 is still ahead. Check the date."


@given(st.dates(min_value=date(1990, 1, 1), max_value=TODAY + FURTHEST_AHEAD - timedelta(days=1)))
def test_that_a_day_as_a_field_shows_it_is_read_back(day: date) -> None:
    assert read_day(say_whole_day(day), TODAY) == day
