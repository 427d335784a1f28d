"""The list of what was wrong in a workbook, saved so that it can lie beside the sheet while it is mended."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from herdscore.errors import Problem
from herdscore.exchange.drafts import RowProblem
from herdscore.exchange.tables_out import add_headings, add_row, column_cell, new_book, write_csv

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

HEADINGS = ("Sheet", "Row", "Column", "It says", "What is wrong", "It comes in as", "What to do", "Kind")
_WIDTHS = (14, 7, 20, 30, 46, 40, 60, 10)
_WHOLE = "all"


def problem_list_out(path: Path, problems: Sequence[RowProblem]) -> None:
    """Write the problems to .xlsx or .csv, one a row; "all" stands for a whole column or sheet."""
    path = Path(path)
    suffix = path.suffix.lower()
    rows = [
        (
            p.sheet,
            _WHOLE if p.row is None else p.row,
            p.column,
            p.says,
            p.wrong,
            p.comes_in_as,
            p.what_to_do,
            p.severity,
        )
        for p in problems
    ]
    if suffix == ".csv":
        write_csv(path, HEADINGS, rows)
    elif suffix == ".xlsx":
        _write_book(path, rows)
    else:
        raise Problem(
            f"A list is not written as {path.suffix or 'a folder'}.",
            what_to_do="Choose a name ending in .xlsx or .csv.",
        )


def _write_book(path: Path, rows: Sequence[tuple[str | int, ...]]) -> None:
    with new_book(path) as book:
        sheet: Worksheet = book.create_sheet("Problems")
        sheet.freeze_panes = "A2"
        sheet.auto_filter.ref = f"A1:H{len(rows) + 1}"
        add_headings(sheet, HEADINGS, _WIDTHS)
        cells = [column_cell(sheet, "General" if head == "Row" else "@", wrap=head != "Row") for head in HEADINGS]
        for row in rows:
            add_row(sheet, cells, row)
