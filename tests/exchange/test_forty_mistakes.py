from __future__ import annotations

from datetime import date
from pathlib import Path

import openpyxl
import pytest

from herdscore.domain import records as r
from herdscore.exchange.drafts import Draft
from herdscore.exchange.herd_in import read_herd
from herdscore.exchange.problems_out import HEADINGS, problem_list_out
from tests.exchange.books import book, places
from tests.exchange.herds import LIMITS, TODAY

D = date
EID = "99900000000%04d"

# Each mistake is (sheet, row, column): what is wrong, how it comes in.
MISTAKES = {
    ("Cows", 3, "Calving date"): ("no such day", "date left empty"),
    ("Cows", 4, "Tag"): ("this tag is in row 2 too", "row kept out; it stays on this list"),
    ("Cows", 5, "Season"): ("not autumn or spring", "left empty"),
    ("Cows", 6, "EID"): ("this EID is in row 2 too", "left empty"),
    ("Cows", 7, "EID"): ("14 digits, not 15 digits", "left empty"),
    ("Cows", 8, "Tag"): ("this cell is empty", "row kept out; it stays on this list"),
    ("Cows", 9, "Status"): (
        "not in herd, not in calf, sold, culled or dead",
        "read as in herd",
    ),
    ("Cows", 10, "Weight (kg)"): ("not between 50 and 2000 kg", "left empty"),
    ("Cows", 11, "Calving date"): ("more than two years ahead", "date left empty"),
    ("Cows", 12, "Born"): ("before 1990", "left empty"),
    ("Cows", 13, "Calvings"): ("not a whole number", "left empty"),
    ("Cows", 14, "Twins"): ("not yes or no", "left empty"),
    ("Cows", 15, "Date from"): ("not service, scan, bull run, told or set by hand", "left empty"),
    ("Cows", 16, "Group"): ("a broken formula", "left empty"),
    ("Cows", 17, "Weight (kg)"): ("no date with this weight", "left empty"),
    ("Cows", 18, "EID"): ("a number of more than 15 digits, the last are lost", "left empty"),
    ("Scores", 3, "Date"): ("no such day", "row kept out; it stays on this list"),
    ("Scores", 4, "Loin"): ("not between 1 and 5", "site left empty"),
    ("Scores", 5, "Score"): ("the sites give 2.5", "the sites win"),
    ("Scores", 6, "Tag"): ("no such cow in Cows", "row kept out; it stays on this list"),
    ("Scores", 7, "Score"): ("not in quarters", "row kept out; it stays on this list"),
    ("Scores", 8, "Date"): ("after today, 2026-11-25", "row kept out; it stays on this list"),
    ("Scores", 9, "Tag"): ("same cow, day and scorer as row 2", "this row replaces row 2"),
    ("Scores", 10, "Score"): ("no score in this row", "row kept out; it stays on this list"),
    ("Scores", 11, "Ribs"): ("the spreadsheet has made a date of it", "site left empty"),
    ("Scores", 12, "Tag"): ("this cell is empty", "row kept out; it stays on this list"),
    ("Scores", 13, "Score"): ("not a score", "row kept out; it stays on this list"),
    ("Services", 3, "Until"): ("before the first day, 2026-07-01", "last day left empty"),
    ("Services", 4, "Kind"): (
        "not AI, service, bull run, scan or hand check",
        "row kept out; it stays on this list",
    ),
    ("Services", 5, "Result"): ("not in calf, empty or twins", "left empty"),
    ("Services", 6, "Foetal age (days)"): ("not between 1 and 300 days", "left empty"),
    ("Services", 7, "Date"): ("scan after today, 2026-11-25", "row kept out; it stays on this list"),
    ("Calvings", 2, "Ease"): ("not between 1 and 5", "ease left empty, as unseen"),
    ("Calvings", 3, "Calf weight (kg)"): ("not a number", "left empty"),
    ("Weights", 3, "Weight (kg)"): ("not between 50 and 2000 kg", "row kept out; it stays on this list"),
    ("Diets", 3, "Kind"): (
        "not winter feed, grass, feed to hold, after calving or unknown",
        "row kept out; it stays on this list",
    ),
    ("Diets", 4, "Aim"): ("not up or down", "left empty"),
    ("Moves", 2, "Group"): ("this cell is empty", "row kept out; it stays on this list"),
    ("Calendar", 3, "Event"): (
        "not housing, turnout, weaning, bull in or bull out",
        "row kept out; it stays on this list",
    ),
    ("Settings", 3, "Setting"): ("not a setting this program knows", "row kept out; it stays on this list"),
}


def _sheets() -> dict[str, list[tuple[object, ...]]]:
    heads = "Tag,EID,Born,Calvings,Season,Group,Calving date,Date from,Twins,Weight (kg),Weighed on,Status".split(",")

    def cow(tag: object, **cells: object) -> tuple[object, ...]:
        return (tag, *(cells.get(head.replace(" (kg)", "").replace(" ", "_").lower()) for head in heads[1:]))

    cows = [
        cow("0101", eid=EID % 1, born=D(2020, 3, 1), calvings=4, season="spring", group="Pen 1"),
        cow("0102", calving_date="31/02/2027"),
        cow("0101", group="Pen 2"),
        cow("0103", season="summer"),
        cow("0104", eid=EID % 1),
        cow("0105", eid="99900000000014"),
        cow(None, group="Pen 1"),
        cow("0106", status="lost"),
        cow("0107", weight=6400, weighed_on=D(2026, 11, 1)),
        cow("0108", calving_date=D(2207, 3, 1)),
        cow("0109", born=D(1900, 3, 1)),
        cow("0110", calvings=2.5),
        cow("0111", twins="perhaps"),
        cow("0112", date_from="guess"),
        cow("0113", group="#REF!"),
        cow("0114", weight=640),
        cow("0115", eid=9990000000001423),
    ]
    day = D(2026, 11, 3)
    scores = [
        ("0101", day, None, None, None, 2.5, "R. Fell"),
        ("0101", "31/11/2026", None, None, None, 2.5, None),
        ("0102", day, 25, 2.5, 2.5, None, None),
        ("0103", day, 2.5, 2.5, 2.5, 3, None),
        ("0771", day, None, None, None, 2.5, None),
        ("0104", day, None, None, None, 2.3, None),
        ("0105", D(2027, 1, 3), None, None, None, 2.5, None),
        ("0101", day, None, None, None, 2.75, "R. Fell"),
        ("0106", day, None, None, None, None, None),
        ("0107", day, 2.5, D(2026, 5, 2), 2.5, None, None),
        (None, day, None, None, None, 3, None),
        ("0108", day, None, None, None, "poor", None),
    ]
    services = [
        ("0101", "AI", D(2026, 6, 1), None, None, "in calf"),
        ("0102", "bull run", D(2026, 7, 1), D(2026, 6, 1), None, None),
        ("0103", "hope", D(2026, 7, 1), None, None, None),
        ("0104", "hand check", D(2026, 9, 1), None, None, "maybe"),
        ("0105", "scan", D(2026, 9, 1), None, 400, "in calf"),
        ("0106", "scan", D(2027, 9, 1), None, 60, "in calf"),
    ]
    return {
        "Cows": [tuple(heads), *cows],
        "Scores": [("Tag", "Date", "Loin", "Ribs", "Tailhead", "Score", "Scored by"), *scores],
        "Services": [("Tag", "Kind", "Date", "Until", "Foetal age (days)", "Result"), *services],
        "Calvings": [
            ("Tag", "Date", "Ease", "Calf weight (kg)"),
            ("0101", D(2026, 3, 2), 7, 41),
            ("0102", D(2026, 3, 2), 1, "big"),
        ],
        "Weights": [("Tag", "Date", "Weight (kg)"), ("0101", day, 655), ("0102", day, 12)],
        "Diets": [
            ("Group", "From", "Kind", "Aim"),
            ("Pen 1", day, "winter feed", None),
            ("Pen 1", D(2026, 12, 1), "leftovers", None),
            ("Pen 2", D(2026, 12, 1), "grass", "sideways"),
        ],
        "Moves": [("Tag", "Date", "Group"), ("0101", day, None)],
        "Calendar": [
            ("Block", "Event", "Date"),
            ("spring", "housing", D(2026, 11, 10)),
            ("spring", "party", D(2026, 11, 10)),
        ],
        "Settings": [("Setting", "Value"), ("Herd name", "Ellershaw"), ("Luck", "good")],
    }


@pytest.fixture
def draft(tmp_path: Path) -> Draft:
    return read_herd(book(tmp_path / "herd.xlsx", _sheets()), TODAY, LIMITS)


def test_that_forty_mistakes_give_forty_problems_each_at_its_place(draft: Draft) -> None:
    assert len(MISTAKES) == 40
    assert sorted(places(draft)) == sorted((str(s), int(row), str(c)) for s, row, c in MISTAKES)
    assert places(draft, "note") == []


def test_that_each_mistake_says_what_is_wrong_and_how_it_comes_in(draft: Draft) -> None:
    found = {(one.sheet, one.row, one.column): (one.wrong, one.comes_in_as) for one in draft.problems}
    assert found == MISTAKES
    assert [one for one in draft.problems if not one.what_to_do and one.wrong != "the sites give 2.5"] == []


def test_that_the_list_follows_the_file_from_top_to_bottom(draft: Draft) -> None:
    order = list(_sheets())
    at = [(order.index(one.sheet), one.row or 0) for one in draft.problems]
    assert at == sorted(at)


def test_that_the_good_rows_beside_forty_mistakes_come_in(draft: Draft) -> None:
    assert [cow.tag for cow in draft.cows] == [f"{number:04d}" for number in range(101, 116)]
    assert {name: count for name, count in draft.counts.items() if count} == {
        "cows": 15,
        "scores": 4,
        "services": 4,
        "calvings": 2,
        "weights": 1,
        "diets": 2,
        "calendar": 1,
        "settings": 1,
    }
    tag_of = {cow.id: cow.tag for cow in draft.cows}
    scores = {tag_of[row.cow_id]: row for row in draft.records if isinstance(row, r.Score)}
    assert sorted(scores) == ["0101", "0102", "0103", "0107"]
    assert scores["0101"].score == 11
    assert (scores["0102"].loin, scores["0102"].ribs) == (None, 10)
    assert (scores["0103"].loin, scores["0103"].score) == (10, None)
    assert draft.has_problems


def test_that_a_draft_with_mistakes_still_makes_a_herd(draft: Draft) -> None:
    assert len(draft.snapshot().cows) == 15


@pytest.mark.parametrize("name", ["problems.xlsx", "problems.csv"])
def test_that_the_list_of_problems_can_be_saved_and_read(draft: Draft, tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    problem_list_out(path, draft.problems)
    if name.endswith(".csv"):
        lines = path.read_text(encoding="utf-8-sig").splitlines()
        assert lines[0] == ",".join(HEADINGS)
        assert lines[1].startswith("Cows,3,Calving date,31/02/2027,no such day,date left empty,")
        assert len(lines) == 41
        return
    rows = list(openpyxl.load_workbook(path)["Problems"].iter_rows(values_only=True))
    assert rows[0] == HEADINGS
    assert rows[1][:6] == ("Cows", 3, "Calving date", "31/02/2027", "no such day", "date left empty")
    assert len(rows) == 41
