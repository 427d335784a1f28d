"""What the trade says, against whole assessments: targets and the project's rules for single cows."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from herdscore.domain.notes import group_notes, notes_of
from herdscore.domain.records import CalendarDay, Record, new_id
from herdscore.domain.verdict import Verdict
from tests.domain.herds import TODAY, assessed, calving, cow, day, score, service, verdict


def keys(rows: list[Record]) -> set[str]:
    return {note.key for note in notes_of(assessed(rows), 0)}


@pytest.mark.parametrize(("season", "target"), [("spring", 2.5), ("autumn", 3.0)])
def test_that_the_calving_target_is_that_of_the_block(season: str, target: float) -> None:
    # TG01, TG02: Teagasc, read; common practice.
    assert assessed([cow("1", 90, season=season)]).targets.target[0] == target


@pytest.mark.parametrize(
    ("when", "season"),
    [(date(2027, 6, 30), 2.5), (date(2027, 7, 1), 3.0), (date(2026, 11, 30), 3.0), (date(2026, 12, 1), 2.5)],
)
def test_that_the_projected_date_sets_the_block(when: date, season: float) -> None:
    # The project's rule: 1 December - 30 June spring, 1 July - 30 November autumn.
    one = cow("1", (when - TODAY).days)
    assert assessed([one]).targets.target[0] == season


def test_that_a_fat_cow_18_days_from_calving_is_not_changed() -> None:
    # RU01: common practice, no change in the last three weeks.
    one = cow("1", 18)
    assert verdict([one, score(one, -5, 3.5)]) is Verdict.FEED_TO_NEED


@pytest.mark.parametrize("stage", ["in milk", "overdue", "no date", "dry"])
def test_that_a_cow_at_a_score_of_one_and_a_half_goes_to_the_vet_first(stage: str) -> None:
    # RU04: common practice (AssureWel).
    due = {"in milk": None, "overdue": -40, "no date": None, "dry": 90}[stage]
    one = cow("1", due)
    rows: list[Record] = [one, score(one, -5, 1.5)]
    if stage == "in milk":
        rows.append(calving(one, day(-30)))
    assert verdict(rows) is Verdict.VET_FIRST_THIN


def test_that_a_very_fat_cow_90_days_from_calving_goes_to_the_vet_first() -> None:
    # RU05: The Scottish Farmer (SAC); common practice.
    one = cow("1", 90)
    assert verdict([one, score(one, -5, 4.0)]) is Verdict.VET_FIRST_FAT


def test_that_a_cow_without_a_date_gets_no_other_advice() -> None:
    # RU06: the project's rule.
    one = cow("1")
    assert verdict([one, score(one, -5, 2.0)]) is Verdict.NEEDS_DATE


@pytest.mark.parametrize(("past", "expected"), [(13, Verdict.PAST_DATE), (12, Verdict.FEED_TO_NEED)])
def test_that_an_ai_date_is_past_after_two_spreads(past: int, expected: Verdict) -> None:
    # RU07, RU08: the project's rule, worked out from a spread of 6.
    one = cow("1")
    served = TODAY - timedelta(days=past) - timedelta(days=289)
    rows: list[Record] = [one, service(one, "AI", served, sire_breed="Limousin"), score(one, -20, 2.5)]
    assert verdict(rows) is expected


def test_that_a_score_75_days_old_is_too_old_110_days_before_calving() -> None:
    # RU09: the project's rule.
    one = cow("1", 110)
    assert verdict([one, score(one, -75, 2.5)]) is Verdict.TO_SCORE


def test_that_an_autumn_cow_still_suckling_25_days_before_calving_is_to_be_weaned() -> None:
    # RU10: Farm Advisory Service Scotland, read: dry three weeks before calving.
    one = cow("1", 25, season="autumn")
    rows: list[Record] = [one, calving(one, day(-340)), score(one, -20, 3.0)]
    assert "still_suckling" in keys(rows)
    weaned = CalendarDay(new_id(), "autumn", "weaning", day(-40))
    assert "still_suckling" not in keys([*rows, weaned])


def test_that_a_cow_on_course_has_no_note() -> None:
    # RU11: stay quiet.
    rows: list[Record] = []
    for tag in range(3):
        one = cow(f"{tag}", 57, season="spring")
        rows += [one, score(one, -60, 2.75), score(one, -25, 2.75), score(one, -2, 2.75)]
    a = assessed(rows)
    assert Verdict(a.verdict[0]) is Verdict.ON_COURSE
    assert notes_of(a, 0) == []


def test_that_a_group_from_2_to_3_5_is_to_be_split() -> None:
    # RU12: the project's rule after Teagasc.
    rows: list[Record] = []
    for tag, value in enumerate((2.0, 2.5, 3.5)):
        one = cow(f"{tag}", 90, season="spring", group="Byre")
        rows += [one, score(one, -5, value)]
    notes = group_notes(assessed(rows), np.arange(3))
    assert "group_spread" in {note.key for note in notes}
    even = [row for row in rows[:2]] + [two := cow("9", 90, season="spring", group="Byre"), score(two, -5, 2.25)]
    assert "group_spread" not in {note.key for note in group_notes(assessed(even), np.arange(2))}


def test_that_a_group_of_early_and_late_calvers_is_to_be_split() -> None:
    rows: list[Record] = [cow("1", 50, group="Byre"), cow("2", 101, group="Byre")]
    assert "group_dates" in {note.key for note in group_notes(assessed(rows), np.arange(2))}
    rows = [cow("1", 56, group="Byre"), cow("2", 100, group="Byre")]
    assert "group_dates" not in {note.key for note in group_notes(assessed(rows), np.arange(2))}


def test_that_sites_a_score_apart_and_a_big_jump_are_noted() -> None:
    one = cow("1", 90, season="spring")
    jump = [one, score(one, -31, 3.5), score(one, -2, 2.5)]
    assert "big_jump" in keys(jump)
    assert "big_jump" not in keys([one, score(one, -32, 3.5), score(one, -2, 2.5)])
    from dataclasses import replace

    apart = replace(score(one, -2, 2.5), loin=8, tailhead=12)
    assert "feel_again" in keys([one, apart])
    assert "feel_again" not in keys([one, score(one, -2, 2.5)])


def test_that_two_scorers_twins_first_calver_breed_and_a_wide_date_are_noted() -> None:
    one = cow("1", 90, calvings=0, twins=True, breed="Belgian Blue", date_from="bull run", season="spring")
    rows: list[Record] = [one, score(one, -40, 2.5, scorer="AB"), score(one, -2, 2.5, scorer="CD")]
    assert {"two_scorers", "twins", "first_calver", "breed", "wide_date"} <= keys(rows)


def test_that_magnesium_is_asked_for_about_turnout_in_milk() -> None:
    one = cow("1", season="spring")
    rows: list[Record] = [one, calving(one, day(-20)), score(one, -10, 2.5)]
    assert "magnesium" not in keys(rows)
    assert "magnesium" in keys([*rows, CalendarDay(new_id(), "spring", "turnout", day(28))])
    assert "magnesium" not in keys([*rows, CalendarDay(new_id(), "spring", "turnout", day(29))])
