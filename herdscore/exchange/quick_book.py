"""An .xlsx whose frame is made by openpyxl and whose many rows are written straight into it as text.

Row by row through openpyxl, ten thousand cows take seconds; written as text, a fraction of one.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from herdscore.exchange.save import saved_whole

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

MOST_TEXT = 32_767
_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
_LOOKS_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_DAY_ZERO = date(1899, 12, 30).toordinal()
_END_OF_ROWS = b"</sheetData>"
_NO_ROWS = b"<sheetData/>"
_EXTENT = re.compile(rb'<dimension ref="[^"]*"\s*/>')


def clean_text(text: str) -> str:
    """The text without control characters, line ends as line feeds, no longer than a cell may be."""
    if text.isprintable() and len(text) <= MOST_TEXT:
        return text
    return _UNWRITABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))[:MOST_TEXT]


class QuickBook:
    """A workbook: make sheets and styles, add columns of values, save."""

    def __init__(self) -> None:
        from openpyxl import Workbook

        self._book = Workbook()
        self._scratch = self._book.worksheets[0]
        self._rows: dict[str, tuple[str, list[str]]] = {}

    def add_sheet(self, name: str) -> Worksheet:
        """A new sheet, for its headings, widths and print set-up."""
        sheet: Worksheet = self._book.create_sheet(name)
        return sheet

    def style(self, number_format: str = "General", fill: str = "", *, wrap: bool = False, bold: bool = False) -> int:
        """Number of a cell style."""
        from openpyxl.styles import Alignment, Font, PatternFill

        cell = self._scratch.cell(1, 1)
        cell.style = "Normal"
        cell.number_format = number_format
        cell.alignment = Alignment(vertical="top", wrap_text=wrap)
        cell.font = Font(bold=bold)
        if fill:
            cell.fill = PatternFill("solid", start_color=fill)
        return int(cell.style_id)

    def add_columns(
        self,
        sheet: Worksheet,
        columns: Sequence[Sequence[Any]],
        styles: Sequence[int | Sequence[int]],
        first_row: int = 2,
    ) -> None:
        """Values by column from `first_row` on: text, numbers, dates or None; a style a column or a cell."""
        from openpyxl.utils import get_column_letter

        n = len(columns[0]) if columns else 0
        written = []
        for place, (values, style) in enumerate(zip(columns, styles, strict=True), 1):
            each = [style] * n if isinstance(style, int) else style
            written.append(_column(get_column_letter(place), first_row, values, each))
        rows = [
            f'<row r="{row}">{"".join(cells)}</row>' for row, cells in enumerate(zip(*written, strict=True), first_row)
        ]
        extent = f"A1:{get_column_letter(max(len(columns), 1))}{first_row + n - 1}"
        self._rows[sheet.title] = (extent, rows)

    def save(self, path: Path) -> None:
        """Write the file: under another name first, then renamed."""
        self._book.remove(self._scratch)
        frame = io.BytesIO()
        self._book.save(frame)
        parts = {f"xl/worksheets/sheet{number}.xml": name for number, name in enumerate(self._book.sheetnames, 1)}
        with (
            saved_whole(path) as part,
            zipfile.ZipFile(frame) as made,
            zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED, compresslevel=4) as whole,
        ):
            for entry in made.infolist():
                data = made.read(entry)
                name = parts.get(entry.filename)
                if name in self._rows:
                    data = _with_rows(data, *self._rows[name])
                whole.writestr(entry.filename, data)


def _with_rows(data: bytes, extent: str, rows: Sequence[str]) -> bytes:
    data = _EXTENT.sub(f'<dimension ref="{extent}"/>'.encode(), data, count=1)
    data = data.replace(b"<sheetData />", _NO_ROWS, 1).replace(_NO_ROWS, b"<sheetData>" + _END_OF_ROWS, 1)
    before, end, after = data.partition(_END_OF_ROWS)
    return b"".join((before, "".join(rows).encode(), end, after))


def _column(letter: str, first_row: int, values: Sequence[Any], styles: Sequence[int]) -> list[str]:
    """Cells of one column, "" where there is none."""
    cells = []
    text_of: dict[str, str] = {}
    for row, (value, style) in enumerate(zip(values, styles, strict=True), first_row):
        if value is None:
            cells.append("")
        elif isinstance(value, str):
            if value not in text_of:
                text_of[value] = _text(value)
            cells.append(f'<c r="{letter}{row}" s="{style}" t="inlineStr"><is>{text_of[value]}</is></c>')
        elif isinstance(value, date):
            cells.append(f'<c r="{letter}{row}" s="{style}"><v>{value.toordinal() - _DAY_ZERO}</v></c>')
        else:
            cells.append(f'<c r="{letter}{row}" s="{style}"><v>{value!r}</v></c>')
    return cells


def _text(value: str) -> str:
    plain = _LOOKS_ESCAPED.sub("_x005F_", escape(clean_text(value)))
    keep = ' xml:space="preserve"' if plain != plain.strip() or "\n" in plain else ""
    return f"<t{keep}>{plain}</t>"
