"""Recording a calving by keys: four presses, more on demand, plain sentences for what is wrong, and nothing lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.calving_checks import CalvingFacts, Mating, facts_of
from herdscore.domain.calving_entry import (
    CalvingEntry,
    Outcome,
    checked,
    on_day,
    open_entry,
    press,
    with_field,
)
from herdscore.domain.calving_record import calving_change
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Calving, Record
from tests.domain.herds import RULES, TODAY, assessed, calving, cow, day, service

CALVING = RULES.calving


def facts(**known: Any) -> CalvingFacts:
    plain: dict[str, Any] = {
        "today": TODAY,
        "tag": "0512",
        "status": "in herd",
        "born": None,
        "calved": (),
        "matings": (),
        "due": TODAY,
        "spread": 6.0,
        "twins_expected": False,
        "tags": frozenset({"0512"}),
    }
    return CalvingFacts(**{**plain, **known})


def typed(keys: str, on: date = TODAY, known: CalvingFacts | None = None) -> CalvingEntry:
    """The entry after these keys, without saving."""
    entry = open_entry("c", on)
    for key in keys:
        entry, outcome = press(entry, key, known or facts(), CALVING)
        assert outcome is Outcome.STAY
    return entry


def saved(entry: CalvingEntry, known: CalvingFacts | None = None) -> tuple[CalvingEntry, Outcome]:
    return press(entry, "enter", known or facts(), CALVING)


@pytest.mark.parametrize("order", ["1BA", "AB1", "B1A", "1ba"])
def test_that_four_presses_record_a_calving(order: str) -> None:
    entry, outcome = saved(typed(order))
    assert outcome is Outcome.SAVE
    assert (entry.how, entry.calf.sex, entry.calf.alive) == (1, "bull", True)


def test_that_the_ease_codes_are_those_of_the_open_list() -> None:
    # EA01: ICAR animal data exchange list in the order of Interbeef, read. The words are our own; unseen is no code.
    ease = RULES.calving_words.ease
    assert [ease[code].word for code in range(1, 6)] == ["Alone", "Light help", "Hard pull", "Vet needed", "Surgery"]
    assert ease[0].word == "Not seen"
    for code in range(6):
        herd = Snapshot.from_records([one := cow("1")])
        change = calving_change(herd, replace(typed(f"{code}HA"), cow_id=one.id), TODAY, 200)
        (calf,) = [row.after for row in change.rows if isinstance(row.after, Calving)]
        assert calf.ease == (code or None)


@pytest.mark.parametrize("key", ["6", "7", "8", "9"])
def test_that_ease_7_is_answered_and_loses_nothing(key: str) -> None:
    entry = typed("3BA")
    after, outcome = press(entry, key, facts(), CALVING)
    assert outcome is Outcome.STAY
    assert after.notice == f"Ease goes from 1 to 5; 0 is not seen. {key} is not a code."
    assert replace(after, notice="") == entry


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ("", "How did she calve? 1 to 5, or 0 when nobody saw it."),
        ("BA", "How did she calve? 1 to 5, or 0 when nobody saw it."),
        ("1B", "Is the calf alive? A alive, D dead."),
        ("1BATH", "Is calf 2 alive? A alive, D dead."),
        ("1BAT", "Twins, and only one calf is entered. Enter the second, or take the twin off with T."),
    ],
)
def test_that_what_is_missing_is_asked_for_and_nothing_lost(keys: str, says: str) -> None:
    entry = typed(keys)
    after, outcome = saved(entry)
    assert (outcome, after.notice) == (Outcome.STAY, says)
    assert replace(after, notice="") == entry


@pytest.mark.parametrize(
    ("on", "known", "says"),
    [
        (day(1), {}, "13 Jan is still ahead. A calving is recorded once it has happened."),
        (day(-3), {"matings": (Mating(day(-1), day(-1)),)}, "Her service is on 11 Jan, and she calved before it?"),
        (day(0), {"born": day(-400)}, "She was born on 8 Dec 2025, too young to calve on 12 Jan."),
        (day(-5), {"calved": (day(-5),)}, "She has a calving on 7 Jan already."),
        (day(-5), {"calved": (day(-65),)}, "She calved on 8 Nov, only 60 days earlier. Check the day."),
        (day(-65), {"calved": (day(-5),)}, "She calved on 7 Jan, only 60 days later. Check the day."),
    ],
)
def test_that_a_day_she_cannot_have_calved_on_is_refused_in_a_sentence(
    on: date, known: dict[str, Any], says: str
) -> None:
    about = facts(due=None, **known)
    entry = typed("1BA", on)
    after, outcome = saved(entry, about)
    assert outcome is Outcome.STAY
    assert after.notice.replace("\u00a0", " ").startswith(says)
    assert replace(after, notice="") == entry


def test_that_another_day_mends_it() -> None:
    entry, outcome = saved(typed("1BA", day(1)))
    assert outcome is Outcome.STAY
    assert saved(on_day(entry, day(0)))[1] is Outcome.SAVE


@pytest.mark.parametrize(
    ("known", "says"),
    [
        ({"status": "sold"}, "is marked sold"),
        ({"status": "not in calf"}, "marked not in calf"),
        ({"due": day(47)}, "Her date is 28 Feb ± 6 days, 47 days away. Right cow, right day?"),
        ({"matings": (Mating(day(-120), day(-120)),), "due": None}, "Only 120 days after her service on 14 Sep"),
        ({"matings": (Mating(day(-320), day(-320)),), "due": None}, "320 days after her service on 26 Feb"),
        (
            {"calved": (day(-280),), "matings": (Mating(day(-300), day(-300)), Mating(day(-120), day(-120)))},
            "Only 120 days after her service on 14 Sep",
        ),
        ({"twins_expected": True}, "She was to have twins."),
        (
            {"matings": (Mating(day(-285), day(-285)), Mating(day(5), day(5))), "due": None},
            "comes right after it.",
        ),
    ],
)
def test_that_what_may_be_right_is_asked_once(known: dict[str, Any], says: str) -> None:
    about = facts(**known)
    asked, outcome = saved(typed("2HA"), about)
    assert outcome is Outcome.STAY
    assert says in asked.asks.replace("\u00a0", " ")
    assert saved(asked, about)[1] is Outcome.SAVE
    # A key in between takes the question back, so that Enter is never pressed into the blue.
    changed, _ = press(asked, "B", about, CALVING)
    assert saved(changed, about)[1] is Outcome.STAY


@pytest.mark.parametrize(
    "known",
    [
        {"due": day(17)},
        {"due": day(200)},
        {"matings": (Mating(day(-285), day(-285)),)},
        {"matings": (Mating(day(-340), day(-277)),)},
        {"matings": (Mating(day(-700), day(-700)), Mating(day(-285), day(-285)))},
        {"calved": (day(-365),), "matings": (Mating(day(-640), day(-640)), Mating(day(-284), day(-284)))},
        {"born": day(-730)},
    ],
)
def test_that_a_calving_that_fits_is_not_asked_about(known: dict[str, Any]) -> None:
    assert saved(typed("1HA"), facts(**known))[1] is Outcome.SAVE


def test_that_a_service_after_a_calving_entered_late_is_no_fault() -> None:
    # Calved in autumn, served two months later, written down today.
    about = facts(matings=(Mating(day(-30), day(-30)),), due=day(254))
    assert saved(typed("1HA", day(-90)), about)[1] is Outcome.SAVE


def test_that_two_questions_are_asked_one_after_the_other() -> None:
    about = facts(status="sold", due=day(47))
    first, _ = saved(typed("1BA"), about)
    second, outcome = saved(first, about)
    assert outcome is Outcome.STAY
    assert first.asks != second.asks
    assert saved(second, about)[1] is Outcome.SAVE


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("weight", "heavy", "“heavy” is not a calf's weight: 5 to 150 kg."),
        ("weight", "450", "“450” is not a calf's weight: 5 to 150 kg."),
        ("weight", "nan", "“nan” is not a calf's weight: 5 to 150 kg."),
        ("tag", " 05 12", "Tag 05 12 is taken already."),
        ("score", "7", "“7” is not a score: 1 to 5 in quarters, such as 2.5 or 2.75."),
        ("score", "2.3", "“2.3” is not a score"),
    ],
)
def test_that_what_cannot_be_read_is_said_and_kept_as_typed(field: str, text: str, says: str) -> None:
    entry = with_field(typed("1BA"), field, text)
    after, outcome = saved(entry)
    assert outcome is Outcome.STAY
    assert after.notice.startswith(says)
    assert replace(after, notice="") == entry


def test_that_twins_take_a_second_calf_and_two_tags() -> None:
    entry = typed("2BATHA")
    assert [(calf.sex, calf.alive) for calf in entry.calves] == [("bull", True), ("heifer", True)]
    entry = with_field(with_field(entry, "tag", "27001", 0), "tag", "27001", 1)
    assert saved(entry)[0].notice == "Tag 27001 is taken already."
    entry = with_field(entry, "tag", "27002", 1)
    assert saved(entry)[1] is Outcome.SAVE


def test_that_twins_said_first_go_calf_by_calf() -> None:
    assert typed("2TBAHD").calves == typed("2BATHD").calves


def test_that_a_twin_is_taken_off_only_when_nothing_is_entered_of_it() -> None:
    entry = typed("1BATT")
    assert not entry.twins
    kept = typed("1BATHT")
    assert kept.twins
    assert kept.notice == "Take back what is entered of the twin first."


def test_that_backspace_takes_back_press_by_press() -> None:
    entry = typed("1BATHA")
    for expected in (("heifer", None), (None, None), ("bull", True), ("bull", None), (None, None)):
        entry, _ = press(entry, "backspace", facts(), CALVING)
        assert (entry.calf.sex, entry.calf.alive) == expected
    assert entry.how == 1
    entry, _ = press(entry, "backspace", facts(), CALVING)
    assert entry.how is None


def test_that_leaving_with_something_entered_is_asked() -> None:
    entry, outcome = press(open_entry("c", TODAY), "escape", facts(), CALVING)
    assert outcome is Outcome.LEAVE
    entry, outcome = press(typed("1"), "escape", facts(), CALVING)
    assert (outcome, entry.asks) == (Outcome.STAY, "Nothing is saved yet. Press Escape again to leave it.")
    assert entry.how == 1
    assert press(entry, "escape", facts(), CALVING)[1] is Outcome.LEAVE
    entry, _ = press(entry, "B", facts(), CALVING)
    assert press(entry, "escape", facts(), CALVING)[1] is Outcome.STAY


def test_that_more_is_said_on_demand() -> None:
    entry = typed("3BAPPSSM")
    assert (entry.calf.presentation, entry.calf.size, entry.premature) == ("backwards", "small", True)
    for _ in range(4):
        entry, _ = press(entry, "P", facts(), CALVING)
    assert entry.calf.presentation == ""


def test_that_a_birth_before_its_time_is_hinted_at() -> None:
    about = facts(matings=(Mating(day(-262), day(-262)),), due=day(22), spread=8.0)
    assert checked(typed("1BA"), about, CALVING).hints == (
        "Born 262 days after her service: before its time? M marks it.",
    )
    assert checked(typed("1BAM"), about, CALVING).hints == ()
    # A calf lost two months before its time is no double entry.
    early = facts(calved=(day(-250),), due=None)
    assert saved(typed("3BDM"), early)[1] is Outcome.SAVE
    assert saved(typed("3BA"), early)[1] is Outcome.STAY


KEYS = st.lists(
    st.sampled_from([*"0123456789BHADTMPSXé", "enter", "escape", "backspace", "left", "right", "up"]), max_size=30
)


@given(KEYS)
@settings(max_examples=300)
def test_that_no_keys_break_an_entry_and_only_a_whole_one_is_saved(keys: list[str]) -> None:
    entry = open_entry("c", TODAY)
    for key in keys:
        entry, outcome = press(entry, key, facts(), CALVING)
        assert 0 <= entry.active < len(entry.calves) <= 2
        if outcome is Outcome.SAVE:
            assert entry.how is not None
            assert all(calf.alive is not None for calf in entry.calves)
        if outcome is not Outcome.STAY:
            return


def test_that_facts_come_from_the_herd() -> None:
    one = cow("1", born=date(2020, 3, 1))
    rows: list[Record] = [one, cow("2"), calving(one, day(-365), calf_tag="X1"), service(one, "AI", day(-280))]
    rows += [service(one, "bull run", day(-270), until=day(-240)), service(one, "scan", day(-200), foetal_age=80)]
    known = facts_of(assessed(rows), 0)
    assert known.born == date(2020, 3, 1)
    assert known.calved == (day(-365),)
    assert known.matings == (Mating(day(-280), day(-280)), Mating(day(-270), day(-240)))
    assert known.due is not None
    assert {"1", "2", "x1"} == set(known.tags)
