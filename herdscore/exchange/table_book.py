"""Tables of a herd to a workbook, a sheet each and what is to be said last; or the first of them to one .csv."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from herdscore.errors import Problem
from herdscore.exchange.tables_out import add_headings, add_row, column_cell, new_book, write_csv

Report = Callable[[int, int, str], None]
_A4 = 9


@dataclass(frozen=True, slots=True)
class BookTable:
    """One table: its name, headings, number format of each column, and rows; None where nothing is known.

    A column is as wide as its heading, or as said in `widths` (characters, 0 for the heading's).
    """

    name: str
    headings: tuple[str, ...]
    formats: tuple[str, ...]
    rows: Sequence[Sequence[Any]]
    widths: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class TableBook:
    """All tables of one herd on a day, and the sentences that go with them on a sheet of their own."""

    herd_name: str
    day: date
    tables: tuple[BookTable, ...]
    said: tuple[str, ...]
    said_on: str = "What it says"


def write_tables(path: Path, sheet: TableBook, report: Report | None = None) -> None:
    """Write to .xlsx (every table and what it says) or to .csv (the first table)."""
    path = Path(path)
    if path.suffix.lower() == ".csv":
        first = sheet.tables[0]
        write_csv(path, first.headings, first.rows)
        return
    if path.suffix.lower() != ".xlsx":
        raise Problem(
            f"A table is not written as {path.suffix or 'a folder'}.",
            what_to_do="Choose a name ending in .xlsx or .csv.",
        )
    from openpyxl.worksheet.properties import PageSetupProperties

    with new_book(path) as book:
        for done, table in enumerate(sheet.tables):
            if report is not None:
                report(done, len(sheet.tables) + 1, f"Writing {table.name}")
            made = book.create_sheet(table.name)
            made.freeze_panes = "B2"
            made.page_setup.orientation, made.page_setup.paperSize = "landscape", _A4
            made.page_setup.fitToWidth, made.page_setup.fitToHeight = 1, 0
            made.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
            made.print_title_rows = "1:1"
            widths = table.widths or (0.0,) * len(table.headings)
            wide = [max(width, len(one) + 3, 11) for width, one in zip(widths, table.headings, strict=True)]
            add_headings(made, table.headings, wide, wrap=True)
            cells = [column_cell(made, form, bold=not place) for place, form in enumerate(table.formats)]
            for row in table.rows:
                add_row(made, cells, row)
        about = book.create_sheet(sheet.said_on)
        about.column_dimensions["A"].width = 120
        cell = (column_cell(about, "@", wrap=True),)
        for line in (f"{sheet.herd_name}, {sheet.day.isoformat()}", *sheet.said):
            add_row(about, cell, (line,))
