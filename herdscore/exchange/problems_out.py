"""The list of what was wrong in a workbook, saved so that it can lie beside the sheet while it is mended."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from herdscore.errors import Problem
from herdscore.exchange.drafts import RowProblem
from herdscore.exchange.quick_book import QuickBook, clean_text
from herdscore.exchange.save import saved_whole
from herdscore.exchange.sheet import guarded

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
        with saved_whole(path) as part, part.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(HEADINGS)
            writer.writerows(
                [guarded(clean_text(cell)) if isinstance(cell, str) else cell for cell in row] for row in rows
            )
    elif suffix == ".xlsx":
        _write_book(path, rows)
    else:
        raise Problem(
            f"A list is not written as {path.suffix or 'a folder'}.",
            what_to_do="Choose a name ending in .xlsx or .csv.",
        )


def _write_book(path: Path, rows: Sequence[tuple[str | int, ...]]) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = QuickBook()
    sheet = book.add_sheet("Problems")
    sheet.freeze_panes = "A2"
    for place, (heading, width) in enumerate(zip(HEADINGS, _WIDTHS, strict=True), 1):
        sheet.cell(1, place, heading).font = Font(bold=True)
        sheet.column_dimensions[get_column_letter(place)].width = width
    styles = [book.style("General" if heading == "Row" else "@", wrap=heading != "Row") for heading in HEADINGS]
    book.add_columns(sheet, list(zip(*rows, strict=True)) or [()] * len(HEADINGS), styles)
    sheet.auto_filter.ref = f"A1:H{len(rows) + 1}"
    book.save(path)
