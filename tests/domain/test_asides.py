"""Scores of unknown tags, matched to a cow later; unknown electronic tags put to a cow."""

from __future__ import annotations

import numpy as np
import pytest

from herdscore.domain import asides, pairing, scoring_entry
from herdscore.domain.changes import adding, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import CowBook
from herdscore.domain.records import SOLD, Aside, Cow, Score
from herdscore.domain.scoring_entry import open_entry
from tests.domain.herds import RULES, TODAY, assessed, day

# UK tags with check digits of the published examples (ID01-ID03), mark 123450.
ONE = Cow("one", "UK 123450 600001")
TWO = Cow("two", "UK 123450 700002", eid="826123450700002")
SOLD_COW = Cow("three", "UK 123450 100003", status=SOLD)
HERD = Snapshot.from_records([ONE, TWO, SOLD_COW])
FELT = Aside("aside", "UK 123450 600010", TODAY, 10, 11, 12, "Ann", "feet; limps")


def book(snapshot: Snapshot) -> CowBook:
    return CowBook(snapshot)


def kept(aside: Aside = FELT, herd: Snapshot = HERD) -> Snapshot:
    return applied(herd, asides.keeping(herd, aside))


def scores(snapshot: Snapshot) -> list[Score]:
    return [one for one in snapshot.records("scores") if isinstance(one, Score)]


def test_that_what_is_felt_of_an_unknown_cow_is_kept_and_is_no_score_of_the_herd() -> None:
    entry = open_entry("")
    for key in ("2", "enter", "3", "-", "F", "enter", "3"):
        entry, _ = scoring_entry.press(entry, key, RULES.verdicts)
    made = asides.aside_of(entry, " 0700 ", TODAY, "Ann")
    assert (made.tag, made.loin, made.ribs, made.tailhead, made.note) == ("0700", 8, 11, 12, "feet")
    snapshot = kept(made)
    assert asides.asides_of(snapshot) == [made]
    assert len(snapshot.scores) == 0
    assert len(assessed(snapshot.all_records()).sessions.row) == 0


def test_that_the_same_tag_scored_again_by_the_same_person_that_day_replaces() -> None:
    snapshot = kept()
    again = Aside("b", "uk123450600010", TODAY, 12, scorer=" ann")
    other = Aside("c", FELT.tag, TODAY, 12, scorer="Ben")
    snapshot = kept(other, kept(again, snapshot))
    assert {one.id for one in asides.asides_of(snapshot)} == {"b", "c"}
    mended = kept(Aside("c", FELT.tag, TODAY, 13, scorer="Ben"), snapshot)
    assert {one.loin for one in asides.asides_of(mended)} == {12, 13}
    assert len(mended.asides) == 2


def test_that_a_mistyped_tag_names_the_cow_it_may_have_been() -> None:
    found = asides.near_cows(HERD, book(HERD), FELT)
    assert [HERD.cows.id[match.cow] for match in found.matches] == ["one"]
    assert (found.near, found.checked) == (True, False)


def test_that_matching_gives_her_the_score_and_undo_takes_it_back() -> None:
    snapshot = kept()
    change = asides.matching(snapshot, FELT, "one")
    after = applied(snapshot, change)
    (score,) = scores(after)
    assert (score.cow_id, score.day, score.loin, score.ribs, score.tailhead, score.score) == (
        "one",
        TODAY,
        10,
        11,
        12,
        11,
    )
    assert score.note == "feet; limps; scored as UK 123450 600010"
    assert score.scorer == "Ann"
    assert len(after.asides) == 0
    assert applied(after, change.inverse()).all_records() == snapshot.all_records()


def test_that_matching_replaces_her_own_score_of_that_day_by_the_same_scorer_only() -> None:
    own, other = Score("own", "one", TODAY, 8, scorer="ANN"), Score("other", "one", TODAY, 8, scorer="Ben")
    earlier = Score("earlier", "one", day(-30), 8, scorer="Ann")
    snapshot = applied(kept(), adding("score", [own, other, earlier]))
    assert asides.replaces(snapshot, FELT, "one") == own
    assert asides.replaces(snapshot, FELT, "two") is None
    after = applied(snapshot, asides.matching(snapshot, FELT, "one"))
    assert {one.id for one in scores(after)} >= {"other", "earlier"}
    assert len(scores(after)) == 3


def test_that_she_can_be_new_to_the_herd() -> None:
    snapshot = kept()
    after = applied(snapshot, asides.adding_her(snapshot, FELT))
    (score,) = scores(after)
    place = after.cow_place[score.cow_id]
    assert after.cows.tag[place] == FELT.tag
    assert len(after.asides) == 0
    told = Cow("told", "0700", calvings=3)
    other = applied(snapshot, asides.adding_her(snapshot, FELT, told))
    assert scores(other)[0].cow_id == "told"


def test_that_a_tag_that_is_an_electronic_number_is_kept_as_one() -> None:
    assert asides.new_cow(Aside("a", "276 000312312345", TODAY)).eid == "276000312312345"
    assert asides.new_cow(Aside("a", "0700", TODAY)).eid is None


def test_that_one_can_be_thrown_away() -> None:
    snapshot = kept()
    assert len(applied(snapshot, asides.striking_aside(FELT)).asides) == 0


# Electronic tags


def test_that_an_unknown_tag_is_put_to_a_cow_and_found_from_then_on() -> None:
    assert book(HERD).of_eid("826123450600001") is None
    change = pairing.pair(HERD, book(HERD), "826 123450600001", "one")
    after = applied(HERD, change)
    assert after.cows.id[book(after).of_eid("826 123450600001")] == "one"
    assert applied(after, change.inverse()).all_records() == HERD.all_records()


def test_that_a_tag_another_cow_bears_is_not_put_to_a_second_one() -> None:
    looked = pairing.pairing(HERD, book(HERD), "826123450700002", "one")
    assert (HERD.cows.id[looked.borne_by], looked.is_possible) == ("two", False)
    with pytest.raises(ValueError, match="cannot be put"):
        pairing.pair(HERD, book(HERD), "826123450700002", "one")


def test_that_a_new_tag_of_a_cow_who_has_one_is_said_and_can_be_done() -> None:
    looked = pairing.pairing(HERD, book(HERD), "276000312312345", "two")
    assert (looked.has, looked.is_possible) == ("826123450700002", True)
    after = applied(HERD, pairing.pair(HERD, book(HERD), "276000312312345", "two"))
    assert after.cows.eid[after.cow_place["two"]] == "276000312312345"


def test_that_her_own_tag_is_no_matter() -> None:
    assert pairing.pairing(HERD, book(HERD), "826123450700002", "two") == pairing.Pairing("826123450700002")


def test_that_only_an_electronic_number_is_put_to_a_cow() -> None:
    for code in ("0512", "UK 123450 600001", "826700000100001"):
        assert not pairing.pairing(HERD, book(HERD), code, "one").is_possible


def test_that_the_cow_whose_uk_tag_has_the_same_figures_is_offered() -> None:
    assert HERD.cows.id[pairing.likely_cow(HERD, "826123450600001")] == "one"
    for code in ("826123450700002", "826123450100003", "276123450600001", "826123450600010"):
        assert pairing.likely_cow(HERD, code) is None  # has one already, sold, another country, another number
    assert np.all(HERD.cows.eid != "826123450600001")
