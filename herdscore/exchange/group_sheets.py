"""The table of groups to a workbook with every cow beside it, or to one .csv of the groups; true dates and numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdscore.domain.listing import Column
from herdscore.errors import Problem
from herdscore.exchange.lists_out import FORMATS, NONE, heading_of
from herdscore.exchange.tables_out import add_headings, add_row, column_cell, new_book, write_csv

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

Report = Callable[[int, int, str], None]
Rows = Sequence[Sequence[Any]]
GROUPS, COWS, ABOUT = "Groups", "Cows", "About"
_FORMATS = {**FORMATS, "difference": "+0.00;\u22120.00;0.00"}
_DECIMALS = {"score": 2, "difference": 2, "chance": 4, "rate": 2}
_A4 = 9


@dataclass(frozen=True, slots=True)
class GroupSheet:
    """The groups on one day: rows by column, None where unknown; the cows they are made of; label and text about."""

    herd_name: str
    day: date
    columns: tuple[Column, ...]
    rows: Rows
    cow_columns: tuple[Column, ...]
    cow_rows: Rows
    about: tuple[tuple[str, str], ...]


def write_groups(path: Path, sheet: GroupSheet, report: Report | None = None) -> None:
    """Write to .xlsx (groups, cows, about) or to .csv (groups)."""
    path = Path(path)
    suffix = path.suffix.lower()
    if suffix == ".csv":
        headings = [heading_of(column) for column in sheet.columns]
        write_csv(path, headings, [_rounded(row, sheet.columns) for row in sheet.rows])
        return
    if suffix != ".xlsx":
        raise Problem(
            f"A table is not written as {path.suffix or 'a folder'}.",
            what_to_do="Choose a name ending in .xlsx or .csv.",
        )
    with new_book(path) as book:
        for done, (name, columns, rows) in enumerate(
            ((GROUPS, sheet.columns, sheet.rows), (COWS, sheet.cow_columns, sheet.cow_rows))
        ):
            if report is not None:
                report(done, 3, f"Writing {name}")
            _write_sheet(book, name, columns, rows, f"{sheet.herd_name}, {sheet.day.isoformat()}: {name.lower()}")
        _write_about(book, sheet)


def _write_sheet(book: Workbook, name: str, columns: Sequence[Column], rows: Rows, title: str) -> None:
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    made: Worksheet = book.create_sheet(name)
    made.freeze_panes = "B2"
    made.auto_filter.ref = f"A1:{get_column_letter(len(columns))}{max(len(rows), 1) + 1}"
    made.row_dimensions[1].height = 45
    made.page_setup.orientation = "landscape"
    made.page_setup.paperSize = _A4
    made.page_setup.fitToWidth = 1
    made.page_setup.fitToHeight = 0
    made.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    made.print_title_rows = "1:1"
    if made.oddHeader is not None and made.oddHeader.left is not None:
        made.oddHeader.left.text = title.replace("&", "&&")
    headings = [heading_of(column) for column in columns]
    widths = [
        max(column.width, max(len(word) for word in heading.split()) + 3)
        for column, heading in zip(columns, headings, strict=True)
    ]
    add_headings(made, headings, widths, wrap=True)
    cells = [column_cell(made, _FORMATS[column.kind], bold=not place) for place, column in enumerate(columns)]
    if not rows:
        add_row(made, cells[:1], [NONE])
    for row in rows:
        add_row(made, cells, _rounded(row, columns))


def _write_about(book: Workbook, sheet: GroupSheet) -> None:
    made: Worksheet = book.create_sheet(ABOUT)
    made.column_dimensions["A"].width = 26
    made.column_dimensions["B"].width = 100
    made.page_setup.paperSize = _A4
    cells = (column_cell(made, "@", bold=True), column_cell(made, "@", wrap=True))
    for line in (("Herd", sheet.herd_name), ("Day", sheet.day.isoformat()), *sheet.about):
        add_row(made, cells, line)


def _rounded(row: Sequence[Any], columns: Sequence[Column]) -> list[Any]:
    """Numbers to the decimals of their kind; adding 0.0 takes the sign off a zero."""
    return [
        round(float(value), _DECIMALS[column.kind]) + 0.0 if value is not None and column.kind in _DECIMALS else value
        for value, column in zip(row, columns, strict=True)
    ]
