"""Feeds and rations as they are typed: what is read, and the sentence for what cannot be."""

from __future__ import annotations

from datetime import date

import pytest

from herdscore.domain.changes import applied
from herdscore.domain.feed_form import feed_of_book, is_book, me_words, read_feed_field, rename_rows
from herdscore.domain.feeds import feeds_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.ration_form import read_kg, read_ration
from herdscore.domain.records import Feed, Ration
from tests.domain.fed_cows import usual_feeds
from tests.domain.herds import RULES

SILAGE = Feed("s", "Clamp two", 27.0, 10.1, "forage", 12.0)
BARLEY = Feed("b", "Barley, rolled", 86.0, 13.2, "concentrate", 11.0)
FEEDS = feeds_of(Snapshot.from_records([SILAGE, BARLEY]).feeds)


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("me", "130", "Perhaps 13?"),
        ("me", "a lot", "is not a number"),
        ("dm", "8.6", "dry matter"),
        ("dm", "0.86", "looks like a share"),
        ("cp", "0.12", "looks like a share"),
        ("price", "-3", "cannot be below 0"),
        ("feed", "clamp TWO", "already"),
        ("kind", "grass", "one of forage"),
        ("dm", "", "needs its dry matter"),
    ],
)
def test_that_what_cannot_be_is_refused_with_a_sentence(name: str, typed: str, said: str) -> None:
    read = read_feed_field(name, typed, BARLEY, FEEDS, RULES)
    assert isinstance(read, str)
    assert said in read


def test_that_a_good_figure_is_taken_with_point_or_comma_and_an_empty_price_is_not_known() -> None:
    for typed in ("12,9", "12.9"):
        read = read_feed_field("me", typed, BARLEY, FEEDS, RULES)
        assert isinstance(read, Feed)
        assert read.me == 12.9
    read = read_feed_field("price", "", BARLEY, FEEDS, RULES)
    assert isinstance(read, Feed)
    assert read.price is None


def test_that_a_feed_of_the_book_is_marked_until_an_analysis_is_typed_over_it() -> None:
    made = feed_of_book(RULES.book_feeds["Hay"], FEEDS)
    assert is_book(made, RULES.book_feeds)
    read = read_feed_field("me", "9.3", made, FEEDS, RULES)
    assert isinstance(read, Feed)
    assert not is_book(read, RULES.book_feeds)


def test_that_a_feed_called_otherwise_takes_the_rations_along() -> None:
    herd = Snapshot.from_records([SILAGE, Ration("r", "Pen 1", date(2027, 1, 4), "clamp two", 24)])
    read = read_feed_field("feed", "Clamp three", SILAGE, FEEDS, RULES)
    assert isinstance(read, Feed)
    assert applied(herd, rename_rows(herd, SILAGE, read)).rations.feed.tolist() == ["Clamp three"]


def test_that_digestibility_gives_energy_as_the_handbook_has_it() -> None:
    # ME = 0.16 x (DMD - 5): common practice; 68 DMD gives 10.1.
    assert me_words("68", RULES.feeding)[0] == 10.1
    assert me_words("680", RULES.feeding)[0] is None


@pytest.mark.parametrize(
    ("typed", "kg", "said"),
    [
        ("1,5", 1.5, ""),
        ("26 kg", 26.0, ""),
        ("", None, ""),
        ("260", None, "point missing: 26"),
        ("-2", None, "nothing"),
    ],
)
def test_that_an_amount_is_read_or_told_why_not(typed: str, kg: float | None, said: str) -> None:
    number, wrong = read_kg(typed, RULES.sheet)
    assert number == kg
    assert said in wrong


def test_that_a_ration_without_forage_or_with_a_feed_twice_is_told() -> None:
    feeds = usual_feeds()
    assert "forage" in read_ration([("Barley, rolled", "3")], feeds, RULES.sheet).wrong
    twice = read_ration([("Barley straw", "3"), ("barley straw", "2")], feeds, RULES.sheet)
    assert list(twice.problems) == [1]
    good = read_ration([("Barley straw", "3"), ("Barley, rolled", "")], feeds, RULES.sheet)
    assert good.is_good
    assert good.kg == {"Barley straw": 3.0}
