"""Finding a cow by what a gloved hand types at the crush."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import CowBook, Found, is_near
from herdscore.domain.records import DEAD, SOLD, Cow

COWS = (
    Cow("a", "UK 10 2345 00512", management_no="7", eid="826 0102345 00512"),
    Cow("b", "UK 10 2345 00921"),
    Cow("c", "UK 10 2345 00221"),
    Cow("d", "UK 10 2345 00521", management_no="A12"),
    Cow("e", "12"),
    Cow("f", "2345 0044", status=SOLD),
    Cow("g", "2345 0745", status=DEAD),
    Cow("h", "2345 0746"),
)
HERD = Snapshot.from_records(COWS)
BOOK = CowBook(HERD)


def look_up(typed: str, *scored: str) -> Found:
    done = np.zeros(len(COWS), dtype=bool)
    done[[HERD.cow_place[cow] for cow in scored]] = True
    return BOOK.find(typed, done)


def ids(found: Found) -> list[str]:
    return [HERD.cows.id[match.cow] for match in found.matches]


def taken(found: Found) -> str | None:
    return None if found.takes is None else str(HERD.cows.id[found.takes])


def test_that_the_last_digits_find_her_and_enter_takes_the_only_one() -> None:
    found = look_up("512")
    assert ids(found) == ["a"]
    assert taken(found) == "a"


def test_that_leading_zeros_are_text() -> None:
    assert ids(look_up("0512")) == ["a"]
    other = look_up("012")
    assert other.near
    assert "e" not in ids(other)
    assert ids(look_up("12")) == ["e", "a", "d"]


@pytest.mark.parametrize("typed", ["uk 10 2345 00512", "UK10234500512", " 00512 ", "82601 0234500512", "7"])
def test_that_full_tag_eid_and_management_number_find_her_whatever_case_and_blanks(typed: str) -> None:
    assert taken(look_up(typed)) == "a"


def test_that_letters_of_a_management_number_count_in_either_case() -> None:
    assert taken(look_up("a12")) == "d"


def test_that_cows_still_to_score_come_first_and_the_only_one_of_them_is_taken() -> None:
    found = look_up("21", "c", "d")
    assert ids(found) == ["b", "c", "d"]
    assert found.still_to_score == 1
    assert taken(found) == "b"


def test_that_enter_takes_none_of_two_cows_still_to_score() -> None:
    assert taken(look_up("21", "c")) is None


def test_that_the_only_match_is_taken_even_when_she_was_scored_already() -> None:
    assert taken(look_up("0512", "a")) == "a"


def test_that_a_number_typed_in_full_wins_over_longer_ones_that_end_in_it() -> None:
    assert taken(look_up("12")) == "e"
    assert taken(look_up("12", "e")) == "e"


def test_that_two_cows_with_the_same_full_number_are_not_guessed_between() -> None:
    herd = Snapshot.from_records([Cow("x", "1 05"), Cow("y", "2 05", management_no="105"), Cow("z", "3 105")])
    found = CowBook(herd).find("105", np.zeros(3, dtype=bool))
    assert found.takes is None
    assert len(found.matches) == 3


def test_that_one_digit_off_and_two_swapped_are_offered_but_never_taken() -> None:
    found = look_up("0511")
    assert found.near
    assert ids(found) == ["a", "d"]
    assert found.takes is None
    swapped = look_up("0476")
    assert ids(swapped) == ["h"]
    assert swapped.takes is None


def test_that_two_digits_have_no_near_misses() -> None:
    assert ids(look_up("99")) == []


def test_that_a_sold_cow_is_named_when_no_living_one_fits() -> None:
    found = look_up("0044")
    assert found.matches == ()
    assert [HERD.cows.id[cow] for cow in found.gone] == ["f"]


def test_that_dead_cows_are_no_near_misses() -> None:
    assert ids(look_up("0747")) == ["h"]


def test_that_nothing_typed_lists_all_still_to_score_by_tag_and_takes_none() -> None:
    found = look_up("  ", "a", "e")
    assert ids(found) == ["h", "c", "d", "b"]
    assert found.takes is None


def test_that_a_herd_without_cows_finds_none() -> None:
    assert CowBook(Snapshot.from_records([])).find("12", np.zeros(0, dtype=bool)) == Found("12", near=True)


UK_HERD = Snapshot.from_records(
    [
        # Published examples of UK tags (ID01-ID03): mark 123450, check digits 6, 7, 1.
        Cow("k1", "UK 123450 600001", eid="826 123450600001"),
        Cow("k2", "UK 123450 700002", eid="0826123450700002"),
        Cow("k3", "UK 123450 100003", status=SOLD, eid="826123450100003"),
        Cow("k4", "UK 284205 600015", management_no="15"),
    ]
)
UK_BOOK = CowBook(UK_HERD)
NONE_DONE = np.zeros(4, dtype=bool)


@pytest.mark.parametrize(
    ("typed", "checked", "near"),
    [
        ("UK 123450 500001", False, ["k1"]),  # the check digit itself mistyped
        ("UK 123450 600010", False, ["k1"]),  # two swapped
        ("UK 123450 200004", True, []),  # (12345000004 mod 7) + 1 = 2, worked out here: a tag of somebody else's
        ("600002", False, ["k1", "k2"]),
        ("200004", True, []),
        ("6002", None, ["k2"]),
        ("0003", None, []),
    ],
)
def test_that_the_check_digit_tells_a_slip_from_a_tag_not_in_the_herd(
    typed: str, checked: bool | None, near: list[str]
) -> None:
    found = UK_BOOK.find(typed, NONE_DONE)
    assert found.checked is checked
    assert [UK_HERD.cows.id[match.cow] for match in found.matches] == near


def test_that_the_last_five_are_the_serial_and_the_last_four_end_tag_eid_or_management_number() -> None:
    for typed in ("00001", "0001", "600001"):
        found = UK_BOOK.find(typed, NONE_DONE)
        assert [UK_HERD.cows.id[match.cow] for match in found.matches] == ["k1"]
    assert UK_HERD.cows.id[UK_BOOK.find("15", NONE_DONE).takes] == "k4"


@pytest.mark.parametrize(
    ("code", "cow"),
    [
        ("826123450600001", "k1"),
        ("826 123450700002", "k2"),
        ("826123450100003", "k3"),  # sold, and still known
        ("826123450600011", None),  # one figure off: another tag
        ("0001", None),
        ("", None),
    ],
)
def test_that_an_electronic_tag_is_found_whole_in_any_form_and_never_nearly(code: str, cow: str | None) -> None:
    found = UK_BOOK.of_eid(code)
    assert (None if found is None else UK_HERD.cows.id[found]) == cow


def test_that_a_tag_said_by_a_reader_is_hers_only_when_it_is_whole() -> None:
    assert UK_HERD.cows.id[UK_BOOK.of_tag("UK123450600001")] == "k1"
    assert UK_BOOK.of_tag("UK123450100003") is None  # sold
    assert UK_BOOK.of_tag("00001") is None
    assert UK_BOOK.of_tag("") is None


digits = st.text("0123456789", min_size=3, max_size=6)


@given(digits, digits)
def test_that_being_near_is_mutual_and_never_holds_of_the_same_number(one: str, other: str) -> None:
    assert is_near(one, other) == is_near(other, one)
    assert not is_near(one, one)


@given(st.lists(digits, unique=True, min_size=1, max_size=8), st.data())
def test_that_enter_takes_only_a_cow_that_is_listed_and_every_one_listed_ends_in_it(
    tags: list[str], data: st.DataObject
) -> None:
    herd = Snapshot.from_records(Cow(tag, tag) for tag in tags)
    done = np.array(data.draw(st.lists(st.booleans(), min_size=len(tags), max_size=len(tags))), dtype=bool)
    typed = data.draw(digits)
    found = CowBook(herd).find(typed, done)
    listed = [match.cow for match in found.matches]
    assert len(set(listed)) == len(listed)
    if not found.near:
        assert all(herd.cows.tag[cow].endswith(typed) for cow in listed)
        assert [match.to_score for match in found.matches] == sorted(
            (not bool(done[cow]) for cow in listed), reverse=True
        )
    assert found.takes is None or found.takes in listed
