"""The flag list to a workbook with formats, or to one .csv: the columns of the screen, unrounded words, true dates."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdscore.domain.listing import Column
from herdscore.errors import Problem
from herdscore.exchange.tables_out import add_headings, add_row, column_cell, new_book, write_csv

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

Report = Callable[[int, int, str], None]
Rows = Sequence[Sequence[Any]]
FLAGGED, MISSING, ALL_COWS, ABOUT = "Flagged", "Missing", "All cows", "About"
SHEETS = (FLAGGED, MISSING, ALL_COWS)
NONE = "none"
FORMATS = {
    "text": "@",
    "date": "yyyy-mm-dd",
    "whole": "0",
    "days": "0.0",
    "quarter": "0.00",
    "score": "0.00",
    "chance": "0%",
    "rate": "+0.00;-0.00;0.00",
}
TINTS = {"thin": "FFFBE9DD", "fat": "FFDDEDF7", "ok": "FFDDF0E9", "hold": "FFE9E5F3"}
_DECIMALS = {"score": 2, "quarter": 2, "rate": 2, "days": 1, "chance": 4}
_WRAPPED = ("advice", "why")
_VERDICT = "verdict"
_A4 = 9


@dataclass(frozen=True, slots=True)
class FlagList:
    """The list on one day: rows by sheet (Flagged, Missing, All cows) in column order, None where unknown.

    `hues` gives a hue name a row of a sheet: thin, fat, ok, hold, miss or none; `about` is label and text.
    """

    herd_name: str
    day: date
    columns: tuple[Column, ...]
    sheets: Mapping[str, Rows]
    hues: Mapping[str, Sequence[str]]
    about: tuple[tuple[str, str], ...] = ()


def write_list(path: Path, flag_list: FlagList, report: Report | None = None) -> None:
    """Write the list to .xlsx (four sheets), or to .csv (all cows, and which list each is on)."""
    path = Path(path)
    suffix = path.suffix.lower()
    if suffix == ".csv":
        _write_csv(path, flag_list)
        return
    if suffix != ".xlsx":
        raise Problem(
            f"A list is not written as {path.suffix or 'a folder'}.",
            what_to_do="Choose a name ending in .xlsx or .csv.",
        )
    with new_book(path) as book:
        for done, name in enumerate(SHEETS):
            if report is not None:
                report(done, len(SHEETS) + 1, f"Writing {name}")
            _write_sheet(book, name, flag_list)
        _write_about(book, flag_list)


def heading_of(column: Column) -> str:
    """Heading as written, unit in brackets."""
    return f"{column.heading} ({column.unit})" if column.unit else column.heading


def _write_sheet(book: Workbook, name: str, flag_list: FlagList) -> None:
    from openpyxl.utils import get_column_letter

    columns, rows = flag_list.columns, flag_list.sheets.get(name, ())
    hues = flag_list.hues.get(name, ())
    sheet: Worksheet = book.create_sheet(name)
    sheet.freeze_panes = "B2"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(columns))}{max(len(rows), 1) + 1}"
    sheet.row_dimensions[1].height = 45
    _set_up_print(sheet, f"{flag_list.herd_name}, {flag_list.day.isoformat()}: {name.lower()}")
    headings = [heading_of(column) for column in columns]
    add_headings(sheet, headings, [_width(column) for column in columns], wrap=True)
    cells = [column_cell(sheet, FORMATS[column.kind], wrap=column.key in _WRAPPED) for column in columns]
    tinted = {hue: column_cell(sheet, "@", TINTS.get(hue, ""), bold=True) for hue in {*hues}}
    verdicts = [place for place, column in enumerate(columns) if column.key == _VERDICT] if hues else []
    if not rows:
        add_row(sheet, cells[:1], [NONE])
    for at, row in enumerate(_rounded_rows(rows, columns)):
        for place in verdicts:
            cells[place] = tinted[hues[at]]
        add_row(sheet, cells, row)


def _width(column: Column) -> int:
    return max(column.width, max(len(word) for word in heading_of(column).split()) + 3)


def _set_up_print(sheet: Worksheet, title: str) -> None:
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = _A4
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_title_rows = "1:1"
    head, foot = sheet.oddHeader, sheet.oddFooter
    assert head is not None
    assert head.left is not None
    assert foot is not None
    assert foot.right is not None
    head.left.text, foot.right.text = title.replace("&", "&&"), "&P / &N"


def _write_about(book: Workbook, flag_list: FlagList) -> None:
    sheet: Worksheet = book.create_sheet(ABOUT)
    sheet.column_dimensions["A"].width = 26
    sheet.column_dimensions["B"].width = 100
    sheet.page_setup.paperSize = _A4
    lines = (("Herd", flag_list.herd_name), ("Day", flag_list.day.isoformat()), *flag_list.about)
    cells = (column_cell(sheet, "@", bold=True), column_cell(sheet, "@", wrap=True))
    for line in lines:
        add_row(sheet, cells, line)


def _rounded_rows(rows: Rows, columns: Sequence[Column]) -> Iterator[tuple[Any, ...]]:
    by_column = zip(zip(*rows, strict=True), columns, strict=False)
    return zip(*(_rounded(values, column.kind) for values, column in by_column), strict=True)


def _rounded(values: Sequence[Any], kind: str) -> Sequence[Any]:
    """Numbers to the decimals of their kind; adding 0.0 takes the sign off a zero."""
    decimals = _DECIMALS.get(kind)
    if decimals is None:
        return values
    return [None if value is None else round(float(value), decimals) + 0.0 for value in values]


def _write_csv(path: Path, flag_list: FlagList) -> None:
    """All cows, the columns in their order, then on which list each cow is."""
    on_list = {row[0]: name for name in (MISSING, FLAGGED) for row in flag_list.sheets.get(name, ())}
    rows = _rounded_rows(flag_list.sheets.get(ALL_COWS, ()), flag_list.columns)
    headings = [*(heading_of(column) for column in flag_list.columns), "List"]
    write_csv(path, headings, [(*row, on_list.get(row[0])) for row in rows])
