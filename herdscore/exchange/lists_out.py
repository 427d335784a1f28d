"""The flag list to a workbook with formats, or to one .csv: the columns of the screen, unrounded words, true dates."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdscore.domain.listing import Column
from herdscore.errors import Problem
from herdscore.exchange.quick_book import QuickBook, clean_text
from herdscore.exchange.save import saved_whole
from herdscore.exchange.sheet import guarded

if TYPE_CHECKING:
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
    book = QuickBook()
    for done, name in enumerate(SHEETS):
        if report is not None:
            report(done, len(SHEETS) + 1, f"Writing {name}")
        _write_sheet(book, name, flag_list)
    _write_about(book, flag_list)
    book.save(path)


def heading_of(column: Column) -> str:
    """Heading as written, unit in brackets."""
    return f"{column.heading} ({column.unit})" if column.unit else column.heading


def _write_sheet(book: QuickBook, name: str, flag_list: FlagList) -> None:
    from openpyxl.utils import get_column_letter

    columns, rows = flag_list.columns, flag_list.sheets.get(name, ())
    sheet = book.add_sheet(name)
    _write_headings(sheet, columns)
    last = get_column_letter(len(columns))
    sheet.auto_filter.ref = f"A1:{last}{max(len(rows), 1) + 1}"
    _set_up_print(sheet, f"{flag_list.herd_name}, {flag_list.day.isoformat()}: {name.lower()}")
    styles: list[int | Sequence[int]] = [
        book.style(FORMATS[column.kind], wrap=column.key in _WRAPPED) for column in columns
    ]
    if not rows:
        book.add_columns(sheet, [[NONE], *([None] for _ in columns[1:])], styles)
        return
    by_column = [_rounded(values, column.kind) for values, column in zip(zip(*rows, strict=True), columns, strict=True)]
    tinted = {hue: book.style("@", TINTS.get(hue, ""), bold=True) for hue in {*flag_list.hues.get(name, ())}}
    for place, column in enumerate(columns):
        if column.key == _VERDICT and name in flag_list.hues:
            styles[place] = [tinted[hue] for hue in flag_list.hues[name]]
    book.add_columns(sheet, by_column, styles)


def _write_headings(sheet: Worksheet, columns: Sequence[Column]) -> None:
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    sheet.freeze_panes = "B2"
    for place, column in enumerate(columns, 1):
        cell = sheet.cell(1, place, heading_of(column))
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        longest_word = max(len(word) for word in heading_of(column).split())
        sheet.column_dimensions[get_column_letter(place)].width = max(column.width, longest_word + 3)
    sheet.row_dimensions[1].height = 45


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


def _write_about(book: QuickBook, flag_list: FlagList) -> None:
    sheet = book.add_sheet(ABOUT)
    sheet.column_dimensions["A"].width = 26
    sheet.column_dimensions["B"].width = 100
    sheet.page_setup.paperSize = _A4
    lines = (("Herd", flag_list.herd_name), ("Day", flag_list.day.isoformat()), *flag_list.about)
    styles = (book.style("@", bold=True), book.style("@", wrap=True))
    book.add_columns(sheet, list(zip(*lines, strict=True)), styles, first_row=1)


def _rounded(values: Sequence[Any], kind: str) -> list[Any]:
    """Numbers to the decimals of their kind; adding 0.0 takes the sign off a zero."""
    decimals = _DECIMALS.get(kind)
    if decimals is None:
        return list(values)
    return [None if value is None else round(float(value), decimals) + 0.0 for value in values]


def _write_csv(path: Path, flag_list: FlagList) -> None:
    """All cows, the columns in their order, then on which list each cow is."""
    on_list = {row[0]: name for name in (MISSING, FLAGGED) for row in flag_list.sheets.get(name, ())}
    rows = flag_list.sheets.get(ALL_COWS, ())
    columns = [
        [_csv_cell(value) for value in _rounded(values, column.kind)]
        for values, column in zip(zip(*rows, strict=True), flag_list.columns, strict=False)
    ]
    with saved_whole(path) as part, part.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)
        writer.writerow([*(heading_of(column) for column in flag_list.columns), "List"])
        for row, cells in zip(rows, zip(*columns, strict=True), strict=True):
            writer.writerow([*cells, on_list.get(row[0], "")])


def _csv_cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return guarded(clean_text(value))
    return value.isoformat() if isinstance(value, date) else repr(value)
