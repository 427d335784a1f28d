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
