"""Tables to a new .xlsx, row by row through openpyxl, or to .csv through pandas; always a whole file or none."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdscore.exchange.sheet import guarded
from herdscore.files import saved_whole

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.cell import Cell
    from openpyxl.worksheet.worksheet import Worksheet

MOST_TEXT = 32_767
_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
_LOOKS_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")


def clean_text(text: str) -> str:
    """The text without control characters, line ends as line feeds, no longer than a cell may be."""
    if text.isprintable() and len(text) <= MOST_TEXT:
        return text
    return _UNWRITABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))[:MOST_TEXT]


@contextlib.contextmanager
def new_book(path: Path) -> Iterator[Workbook]:
    """An empty workbook to fill sheet by sheet, saved under `path` when all went well."""
    from openpyxl import Workbook

    with saved_whole(path) as part:
        book = Workbook(write_only=True)
        try:
            yield book
            book.save(part)
        finally:
            for sheet in book.worksheets:
                if not sheet.closed:
                    sheet.close()


def column_cell(
    sheet: Worksheet, number_format: str = "General", fill: str = "", *, wrap: bool = False, bold: bool = False
) -> Cell:
    """A styled cell to write every value of a column with."""
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Alignment, Font, PatternFill

    cell = WriteOnlyCell(sheet)
    cell.number_format = number_format
    cell.alignment = Alignment(vertical="top", wrap_text=wrap)
    if bold:
        cell.font = Font(bold=True)
    if fill:
        cell.fill = PatternFill("solid", start_color=fill)
    return cell


def add_headings(sheet: Worksheet, headings: Sequence[str], widths: Sequence[float], *, wrap: bool = False) -> None:
    """The widths of the columns and the first row, in bold; what else stands before the rows must be set by now."""
    from openpyxl.utils import get_column_letter

    for place, width in enumerate(widths, 1):
        sheet.column_dimensions[get_column_letter(place)].width = width
    add_row(sheet, [column_cell(sheet, bold=True, wrap=wrap) for _ in headings], headings)


def add_row(sheet: Worksheet, cells: Sequence[Cell], values: Iterable[Any]) -> None:
    """Append a row: text, numbers, dates or None, each written with the cell of its column."""
    row: list[Cell | None] = []
    for cell, value in zip(cells, values, strict=True):
        if value is None:
            row.append(None)
            continue
        if isinstance(value, str):
            text = clean_text(value)
            cell.value = _LOOKS_ESCAPED.sub("_x005F_", text) if "_x" in text else text
            cell.data_type = "s"  # text that begins like a formula stays text
        elif isinstance(value, float) and abs(float(f"{value:.16g}") - value) > 0:
            cell.value, cell.data_type = repr(value), "n"  # openpyxl itself writes 16 digits, and this one needs 17
        else:
            cell.value = value
        row.append(cell)
    sheet.append(row)


def write_csv(path: Path, headings: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Write text, numbers, dates and None as UTF-8 with its mark; text like a formula gets a quote in front."""
    import pandas as pd

    safe = [[guarded(clean_text(value)) if isinstance(value, str) else value for value in row] for row in rows]
    # Of type object, so that a whole number beside an empty cell stays whole.
    frame = pd.DataFrame(safe, columns=list(headings), dtype=object)
    with saved_whole(path) as part:
        frame.to_csv(part, index=False, encoding="utf-8-sig", lineterminator="\r\n")
