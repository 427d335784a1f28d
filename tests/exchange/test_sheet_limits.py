from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from pathlib import Path

import pytest

from herdscore.domain.rule_forms import SheetLimits
from herdscore.exchange.herd_in import read_herd
from tests.exchange.books import Rows, book
from tests.exchange.herds import LIMITS, TODAY

DAY = date(2026, 11, 3)
ROWS: dict[str, Rows] = {
    "Cows": [("Tag", "Born", "Calvings", "Weight", "Weighed on"), ("7", date(2020, 4, 2), 3, 640, DAY)],
    "Calvings": [("Tag", "Date", "Calf weight"), ("7", date(2024, 4, 1), 41), ("7", date(2024, 4, 1), 38)],
    "Services": [
        ("Tag", "Kind", "Date", "Until", "Foetal age"),
        ("7", "service", date(2023, 6, 24), None, None),
        ("7", "scan", date(2026, 8, 1), None, 60),
        ("7", "bull run", date(2026, 6, 1), date(2027, 12, 3), None),
    ],
    "Diets": [("Group", "From", "Kind", "Expected change"), ("Pen 1", DAY, "grass", -0.02)],
    "Feeds": [("Feed", "DM", "ME", "CP", "Kind"), ("Silage", 27, 10.6, 12, "forage")],
    "Rations": [("Group", "From", "Feed", "Fed"), ("Pen 1", DAY, "Silage", 26)],
}
# A narrower limit, and the cell that is told for it.
NARROWER = {
    "weight_lowest": (650, ("Cows", 2, "Weight")),
    "weight_highest": (600, ("Cows", 2, "Weight")),
    "calf_weight_lowest": (40, ("Calvings", 3, "Calf weight")),
    "calf_weight_highest": (40, ("Calvings", 2, "Calf weight")),
    "calvings_highest": (2, ("Cows", 2, "Calvings")),
    "foetal_age_highest": (59, ("Services", 3, "Foetal age")),
    "weekly_change_most": (0.01, ("Diets", 2, "Expected change")),
    "dry_matter_lowest": (30, ("Feeds", 2, "DM")),
    "energy_highest": (10, ("Feeds", 2, "ME")),
    "protein_highest": (11, ("Feeds", 2, "CP")),
    "earliest_year": (2021, ("Cows", 2, "Born")),
    "years_ahead": (1, ("Services", 4, "Until")),
    "shortest_pregnancy_days": (290, ("Calvings", 2, "Date")),
    "youngest_mother_days": (1500, ("Calvings", 2, "Date")),
    "ration_highest": (20, ("Rations", 2, "Fed")),
    "most_calves": (1, ("Calvings", 3, "Date")),
}


def _told(tmp_path: Path, limits: SheetLimits) -> list[tuple[str, int | None, str]]:
    draft = read_herd(book(tmp_path / "herd.xlsx", ROWS), TODAY, limits)
    return [(one.sheet, one.row, one.column) for one in draft.problems]


def test_that_a_sound_herd_is_inside_every_limit_and_every_limit_is_tried(tmp_path: Path) -> None:
    assert _told(tmp_path, LIMITS) == []
    assert [field.name for field in fields(SheetLimits)] == list(NARROWER)


@pytest.mark.parametrize("name", NARROWER)
def test_that_each_limit_of_the_rule_table_decides_what_is_told(tmp_path: Path, name: str) -> None:
    value, place = NARROWER[name]
    assert place in _told(tmp_path, replace(LIMITS, **{name: value}))


def test_that_a_date_too_far_ahead_is_told_with_the_limit_that_holds(tmp_path: Path) -> None:
    path = book(tmp_path / "herd.xlsx", {"Cows": [("Tag", "Calving date"), ("7", date(2033, 4, 1))]})
    for years, said in ((1, "a year"), (2, "two years"), (5, "5 years")):
        draft = read_herd(path, TODAY, replace(LIMITS, years_ahead=years))
        assert [one.wrong for one in draft.problems] == [f"more than {said} ahead"]
