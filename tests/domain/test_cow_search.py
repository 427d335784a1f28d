"""Narrowing a list of cows."""

from __future__ import annotations

from herdscore.domain.cow_search import CowSearch
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Cow

COWS = (
    Cow("a", "UK 100 0512", management_no="12", eid="999000026040512", name="Bramble", breed="AA"),
    Cow("b", "UK 100 0613", breed="Salers"),
)


def found(text: str) -> list[bool]:
    snapshot = Snapshot.from_records(COWS)
    return CowSearch(snapshot.cows, ["Top yard", None]).matches(text).tolist()


def test_that_tag_number_eid_name_breed_and_group_are_searched_without_case_and_blanks() -> None:
    for text in ("0512", "uk100 05", "9990000260", "bram", "TOPYARD", "top y"):
        assert found(text) == [True, False], text
    assert found("salers") == [False, True]
    assert found("uk") == [True, True]


def test_that_nothing_typed_keeps_all_and_nonsense_none() -> None:
    assert found(" ") == [True, True]
    assert found("zz") == [False, False]


def test_that_nothing_is_found_across_two_words_of_a_cow() -> None:
    assert found("051212") == [False, False]
