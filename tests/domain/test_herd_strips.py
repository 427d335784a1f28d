"""The strips of diets and dates, and what is asked of a group's feeding."""

from __future__ import annotations

from datetime import date

from herdscore.domain.group_questions import group_questions
from herdscore.domain.herd_strips import herd_strips
from herdscore.domain.records import (
    AUTUMN,
    DOWN,
    GRASS,
    HOUSING,
    SPRING,
    TURNOUT,
    UP,
    WINTER_FEED,
    CalendarDay,
    Diet,
    Record,
)
from tests.domain.herds import calving, cow
from tests.domain.recorded_herds import TODAY, ahead, assessed

HOUSED = CalendarDay("h", SPRING, HOUSING, date(2026, 11, 8))
TURNED = CalendarDay("t", SPRING, TURNOUT, date(2027, 3, 25))
FED = cow("0001", due=100, group="Beck side", season=SPRING)
UNSAID = cow("0002", due=90, group="Top yard", season=SPRING)
MORE = cow("0003", due=95, group="Top yard", season=SPRING)


def pieces(*rows: Record) -> dict[str, list[tuple[str, str, bool]]]:
    made = herd_strips(assessed(FED, UNSAID, MORE, *rows))
    return {
        strip.name: [(piece.words, piece.first.isoformat(), piece.assumed) for piece in strip.pieces]
        for strip in made.groups
    }


def test_that_a_strip_says_entered_assumed_and_not_said_without_a_gap() -> None:
    diets = (Diet("a", "Beck side", date(2026, 4, 20), GRASS), Diet("b", "Beck side", date(2026, 11, 8), WINTER_FEED))
    found = pieces(HOUSED, TURNED, *diets)
    assert found["Beck side"] == [
        ("grass", "2026-09-01", False),
        ("winter feed", "2026-11-08", False),
        ("grass from turnout, assumed", "2027-03-25", True),
    ]
    assert found["Top yard"] == [
        ("not said", "2026-09-01", False),
        ("grass from turnout, assumed", "2027-03-25", True),
    ]
    made = herd_strips(assessed(FED, UNSAID, MORE, HOUSED, TURNED, *diets))
    for strip in made.groups:
        assert [piece.last for piece in strip.pieces[:-1]] == [piece.first for piece in strip.pieces[1:]]
        assert (strip.pieces[0].first, strip.pieces[-1].last) == (made.first, made.last)
    assert (made.first, made.last) == (date(2026, 9, 1), date(2027, 10, 1))
    assert [piece.diet for piece in made.groups[0].pieces] == ["a", "b", ""]


def test_that_nothing_is_assumed_without_a_calendar_or_after_a_diet_ahead() -> None:
    assert pieces()["Top yard"] == [("not said", "2026-09-01", False)]
    later = Diet("a", "Beck side", ahead(20), WINTER_FEED)
    assert [words for words, _, _ in pieces(TURNED, later)["Beck side"]] == ["not said", "winter feed"]


def test_that_a_change_of_condition_is_named_for_its_aim() -> None:
    up = Diet("a", "Beck side", ahead(-20), WINTER_FEED, aim=UP, expected_change=0.05)
    down = Diet("b", "Top yard", ahead(-20), "unknown", aim=DOWN)
    made = herd_strips(assessed(FED, UNSAID, up, down))
    assert [(strip.pieces[-1].kind, strip.pieces[-1].words) for strip in made.groups] == [
        ("ease up", "winter feed, ease up"),
        ("ease down", "ease down"),
    ]


def test_that_each_block_has_its_dates_and_the_weeks_it_calves() -> None:
    autumn = cow("0009", group="Quarry", season=AUTUMN)
    rows = [FED, UNSAID, autumn, calving(autumn, date(2026, 9, 20)), HOUSED, TURNED]
    made = herd_strips(assessed(*rows))
    assert [line.name for line in made.blocks] == ["spring", "autumn"]
    spring, of_autumn = made.blocks
    assert [(one.words, one.day) for one in spring.days] == [("housing", HOUSED.day), ("turnout", TURNED.day)]
    assert spring.calving == ((date(2027, 4, 4), date(2027, 4, 30)),)  # dates of 90 and 100 days ± 8
    assert of_autumn.days == ()
    assert of_autumn.calving == ()  # one calving is a day, not a span
    assert [strip.cows for strip in made.groups] == [1, 1, 1]


def test_that_groups_without_a_diet_are_asked_about_the_largest_first() -> None:
    alone = cow("0004", group="Quarry", season=AUTUMN)
    asked = group_questions(assessed(FED, UNSAID, MORE, alone, HOUSED, cow("0005")))
    assert [(one.group, one.cows, one.since) for one in asked] == [
        ("Top yard", 2, HOUSED.day),
        ("Beck side", 1, HOUSED.day),
        ("Quarry", 1, None),
    ]
    assert asked[0].title == "What is Top yard on since 8\u00a0Nov?"
    assert asked[2].title == "What is Quarry on?"


def test_that_an_answer_not_sure_is_not_asked_again() -> None:
    asked = group_questions(assessed(UNSAID, Diet("a", "Top yard", ahead(-65), "unknown")))
    assert asked == []


def test_that_a_group_on_grass_since_before_it_was_housed_is_asked_last() -> None:
    rows = (FED, UNSAID, HOUSED, Diet("a", "Beck side", date(2026, 4, 20), GRASS))
    asked = group_questions(assessed(*rows))
    assert [one.title for one in asked] == [
        "What is Top yard on since 8\u00a0Nov?",
        "Beck side was housed 8\u00a0Nov. What is it on?",
    ]
    fed = Diet("b", "Beck side", date(2026, 11, 10), WINTER_FEED)
    assert [one.group for one in group_questions(assessed(*rows, fed))] == ["Top yard"]


def test_that_a_herd_without_groups_has_one_strip_without_a_name() -> None:
    made = herd_strips(assessed(cow("0001"), cow("0002")))
    assert [(strip.name, strip.cows) for strip in made.groups] == [("", 2)]
    assert group_questions(assessed(cow("0001"))) == []
    assert herd_strips(assessed()).groups == ()
    assert made.today == TODAY
