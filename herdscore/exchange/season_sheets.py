"""What condition did to a workbook: by condition, like with like, seasons, what it says; or the first to one .csv."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from herdscore.errors import Problem
from herdscore.exchange.tables_out import add_headings, add_row, column_cell, new_book, write_csv

Report = Callable[[int, int, str], None]


@dataclass(frozen=True, slots=True)
class SeasonTable:
    """One table: its name, headings, number format of each column, and rows; None where nothing is known."""

    name: str
    headings: tuple[str, ...]
    formats: tuple[str, ...]
    rows: Sequence[Sequence[Any]]


@dataclass(frozen=True, slots=True)
class SeasonSheet:
    """All tables of one herd on a day, and the sentences that go with them."""

    herd_name: str
    day: date
    tables: tuple[SeasonTable, ...]
    said: tuple[str, ...]


def write_season(path: Path, sheet: SeasonSheet, report: Report | None = None) -> None:
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
    with new_book(path) as book:
        for done, table in enumerate(sheet.tables):
            if report is not None:
                report(done, len(sheet.tables) + 1, f"Writing {table.name}")
            made = book.create_sheet(table.name)
            made.freeze_panes = "B2"
            add_headings(made, table.headings, [max(len(one) + 3, 11) for one in table.headings], wrap=True)
            cells = [column_cell(made, form, bold=not place) for place, form in enumerate(table.formats)]
            for row in table.rows:
                add_row(made, cells, row)
        about = book.create_sheet("What it says")
        about.column_dimensions["A"].width = 120
        cell = (column_cell(about, "@", wrap=True),)
        for line in (f"{sheet.herd_name}, {sheet.day.isoformat()}", *sheet.said):
            add_row(about, cell, (line,))
