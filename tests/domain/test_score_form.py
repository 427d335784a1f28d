"""A score mended, a weight and a note as they are typed."""

from __future__ import annotations

from datetime import date

import pytest

from herdscore.domain.records import UNSAFE, Cow, Score, Weight
from herdscore.domain.score_form import Read, read_note, read_score, read_weight, typed_score
from tests.domain.herds import RULES, TODAY

BEFORE = Score("s", "c", date(2026, 12, 1), 8, 9, None, None, None, "R. T.", "feet")


def mended(**typed: str) -> Read:
    return read_score({**typed_score(BEFORE), **typed}, BEFORE, TODAY)


def test_that_a_score_unchanged_is_nothing_to_write() -> None:
    assert mended() == Read(None, {})


def test_that_the_same_record_is_written_anew_so_that_the_journal_keeps_both() -> None:
    read = mended(tailhead="2,5", day="2 Dec 2026", by_eye="yes", note="")
    assert read.change is not None
    (row,) = read.change.rows
    assert row.before == BEFORE
    assert row.after == Score("s", "c", date(2026, 12, 2), 8, 9, 10, None, True, "R. T.", None)
    assert read.change.inverse().rows[0].after == BEFORE


def test_that_sites_win_over_an_overall_score() -> None:
    read = mended(score="3")
    assert read.change is None
    read = mended(loin="", ribs="", score="3")
    assert read.change is not None
    assert read.change.rows[0].after == Score("s", "c", date(2026, 12, 1), None, None, None, 12, None, "R. T.", "feet")


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"loin": "2.3"}, "loin"),
        ({"ribs": "6"}, "ribs"),
        ({"day": "13 Jan 2027"}, "day"),
        ({"day": ""}, "day"),
        ({"day": "soon"}, "day"),
        ({"loin": "", "ribs": ""}, "loin"),
    ],
)
def test_that_what_is_wrong_is_said_at_its_field(typed: dict[str, str], field: str) -> None:
    read = mended(**typed)
    assert read.change is None
    assert list(read.problems) == [field]
    assert read.problems[field].endswith(".")


def test_that_a_cow_not_handled_needs_no_score() -> None:
    read = mended(loin="", ribs="", note=UNSAFE)
    assert read.change is not None
    assert read.problems == {}


@pytest.mark.parametrize(("text", "kg"), [("640", 640.0), ("640 kg", 640.0), ("655,5", 655.5)])
def test_that_a_weight_is_read_in_kg(text: str, kg: float) -> None:
    read = read_weight({"day": "12 Jan 2027", "weight": text}, "c", RULES, TODAY)
    assert read.change is not None
    after = read.change.rows[0].after
    assert isinstance(after, Weight)
    assert (after.cow_id, after.day, after.weight) == ("c", TODAY, kg)


@pytest.mark.parametrize("text", ["", "heavy", "49", "2001", "nan"])
def test_that_a_weight_no_cow_has_is_refused(text: str) -> None:
    read = read_weight({"day": "12 Jan 2027", "weight": text}, "c", RULES, TODAY)
    assert read.change is None
    assert read.problems == {"weight": "Her weight in kg, from 50 to 2000."}


def test_that_a_note_takes_the_place_of_the_old_one() -> None:
    cow = Cow("c", "1", note="quiet")
    read = read_note({"note": "  lame   off fore "}, cow)
    assert read.change is not None
    after = read.change.rows[0].after
    assert isinstance(after, Cow)
    assert after.note == "lame off fore"
    assert read_note({"note": "quiet"}, cow).change is None
