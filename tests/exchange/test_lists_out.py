from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from herdscore.domain.listing import FLAG_LIST
from herdscore.errors import Problem
from herdscore.exchange.lists_out import ALL_COWS, FLAGGED, MISSING, write_list
from tests.exchange.flag_lists import SOUND, THIN, UNKNOWN, flag_list

# The column order and the units of the flag list as the herd workbook lays them down.
HEADINGS = [
    *("Tag", "Management no", "Group", "Season", "Calving date", "Date ± (days)", "Days to calving", "Last scored"),
    *("Last score", "Score now", "Projected", "Low", "High", "Target", "Chance thin", "Chance on target", "Chance fat"),
    *("Verdict", "Rate expected (score/week)", "Rate wanted (score/week)", "Act by", "Advice", "Why"),
]
FORMATS = [
    *("@", "@", "@", "@", "yyyy-mm-dd", "0.0", "0", "yyyy-mm-dd", "0.00", "0.00", "0.00", "0.00", "0.00", "0.00"),
    *("0%", "0%", "0%", "@", "+0.00;-0.00;0.00", "+0.00;-0.00;0.00", "yyyy-mm-dd", "@", "@"),
]


@pytest.fixture
def book(tmp_path: Path) -> openpyxl.Workbook:
    write_list(tmp_path / "list.xlsx", flag_list())
    return openpyxl.load_workbook(tmp_path / "list.xlsx")


def _row(sheet: Worksheet, row: int) -> list[object]:
    values = [cell.value for cell in sheet[row]]
    return [value.date() if cell.is_date else value for cell, value in zip(sheet[row], values, strict=True)]


def _to_two(place: int, value: object) -> object:
    return round(value, 2) if FLAG_LIST[place].kind in ("score", "rate") and isinstance(value, float) else value


def test_that_every_cell_of_the_list_reads_back_with_its_value(book: openpyxl.Workbook) -> None:
    assert book.sheetnames == ["Flagged", "Missing", "All cows", "About"]
    for name, rows in flag_list().sheets.items():
        sheet = book[name]
        assert [cell.value for cell in sheet[1]] == HEADINGS
        assert sheet.max_row == len(rows) + 1
    assert _row(book[MISSING], 2) == list(UNKNOWN)
    assert _row(book[ALL_COWS], 3) == list(UNKNOWN)
    for row, cow in ((2, THIN), (4, SOUND)):
        assert _row(book[ALL_COWS], row) == [_to_two(place, value) for place, value in enumerate(cow)]


def test_that_every_column_has_the_format_of_its_kind(book: openpyxl.Workbook) -> None:
    cells = book[FLAGGED][2]
    assert [cell.number_format for cell in cells] == FORMATS
    kinds = {"date": "d", "text": "s"}
    assert [cell.data_type for cell in cells] == [kinds.get(column.kind, "n") for column in FLAG_LIST]
    wrapped = [column.key for column, cell in zip(FLAG_LIST, cells, strict=True) if cell.alignment.wrap_text]
    assert wrapped == ["advice", "why"]


def test_that_the_verdict_is_tinted_by_its_side_and_said_in_words(book: openpyxl.Workbook) -> None:
    sheet = book[ALL_COWS]
    tints = [(sheet.cell(row, 18).value, sheet.cell(row, 18).fill.start_color.rgb) for row in (2, 3, 4)]
    assert tints == [("ease up now", "FFFBE9DD"), ("needs a date", "00000000"), ("on course", "FFDDF0E9")]
    assert {cell.fill.fill_type for cell in sheet[2] if cell.column != 18} == {None}


def test_that_text_like_a_formula_stays_text(book: openpyxl.Workbook) -> None:
    cell = book[MISSING]["A2"]
    assert (cell.value, cell.data_type) == ("=0347", "s")


def test_that_a_rate_that_rounds_to_nothing_has_no_sign(book: openpyxl.Workbook) -> None:
    assert str(book[ALL_COWS]["S4"].value) in ("0", "0.0")


def test_that_the_sheets_are_ready_to_sort_and_to_print(book: openpyxl.Workbook) -> None:
    for name, last in ((FLAGGED, 2), (MISSING, 2), (ALL_COWS, 4)):
        sheet = book[name]
        assert sheet.freeze_panes == "B2"
        assert sheet.auto_filter.ref == f"A1:W{last}"
        assert sheet.dimensions == f"A1:W{last}"
        assert (sheet.page_setup.orientation, sheet.page_setup.paperSize) == ("landscape", 9)
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.oddHeader.left.text == f"Ellershaw && Son, 2026-11-25: {name.lower()}"
        widths = [sheet.column_dimensions[cell.column_letter].width for cell in sheet[1]]
        assert all(width >= column.width for width, column in zip(widths, FLAG_LIST, strict=True))


def test_that_about_names_herd_day_settings_and_caution(book: openpyxl.Workbook) -> None:
    assert list(book["About"].iter_rows(values_only=True)) == [
        ("Herd", "Ellershaw & Son"),
        ("Day", "2026-11-25"),
        ("Lead (days)", "56"),
        ("Caution", "A projection is an estimate. Look at the cow."),
    ]


def test_that_an_empty_sheet_says_none(tmp_path: Path) -> None:
    empty = replace(flag_list(), sheets={ALL_COWS: (SOUND,)}, hues={ALL_COWS: ("ok",)})
    write_list(tmp_path / "list.xlsx", empty)
    book = openpyxl.load_workbook(tmp_path / "list.xlsx")
    for name in (FLAGGED, MISSING):
        assert [cell.value for cell in book[name]["A"]] == ["Tag", "none"]


def test_that_a_csv_holds_all_cows_and_the_list_each_is_on(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    write_list(path, flag_list())
    assert path.read_bytes().startswith(b"\xef\xbb\xbf")
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == [*HEADINGS, "List"]
    assert [(row[0], row[-1]) for row in rows[1:]] == [("0142", "Flagged"), ("'=0347", "Missing"), ("'+0866", "")]
    first = dict(zip(rows[0], rows[1], strict=True))
    assert (first["Calving date"], first["Score now"], first["Days to calving"]) == ("2027-03-28", "2.04", "123")
    assert (first["Rate expected (score/week)"], first["Rate wanted (score/week)"]) == ("-0.01", "0.04")
    chances = [float(first[name]) for name in ("Chance thin", "Chance on target", "Chance fat")]
    assert sum(chances) == pytest.approx(1)
    assert rows[2][4:17] == [""] * 13


def test_that_a_csv_of_no_cows_has_headings_only(tmp_path: Path) -> None:
    write_list(tmp_path / "list.csv", replace(flag_list(), sheets={}, hues={}))
    assert len((tmp_path / "list.csv").read_text(encoding="utf-8-sig").splitlines()) == 1


@pytest.mark.parametrize("ending", [".xlsx", ".csv"])
def test_that_a_failed_save_leaves_what_was_there_and_no_half_file(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"list{ending}"
    path.mkdir()
    (path / "kept").touch()
    with pytest.raises(Problem, match="could not be saved"):
        write_list(path, flag_list())
    assert [file.name for file in tmp_path.iterdir()] == [path.name]


def test_that_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Problem, match=r"not written as \.pdf"):
        write_list(tmp_path / "list.pdf", flag_list())
    assert list(tmp_path.iterdir()) == []


def test_that_progress_is_told_sheet_by_sheet(tmp_path: Path) -> None:
    told: list[str] = []
    write_list(tmp_path / "list.xlsx", flag_list(), lambda done, total, text: told.append(f"{done}/{total} {text}"))
    assert told == ["0/4 Writing Flagged", "1/4 Writing Missing", "2/4 Writing All cows"]
