"""The flagged list as it is shown, for the clipboard and for paper."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QGuiApplication, QPagedPaintDevice

from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.table_paper import PaperTable, paint_table
from herdscore.parts.theme import read_themes


def copy_table(columns: Sequence[Column], rows: Sequence[ListRow]) -> None:
    """Put rows on the clipboard as a table: for a spreadsheet (tabs) and for a letter (a table in HTML)."""
    lines = [
        [_one_line(column.heading) for column in columns],
        *([_one_line(text) for text in row.texts] for row in rows),
    ]
    held = QMimeData()
    held.setText("\n".join("\t".join(line) for line in lines))
    head, *body = (
        f"<tr>{''.join(f'<{tag}>{escape(text)}</{tag}>' for text in line)}</tr>"
        for tag, line in zip(["th", *["td"] * len(rows)], lines, strict=True)
    )
    held.setHtml(f"<table><thead>{head}</thead><tbody>{''.join(body)}</tbody></table>")
    QGuiApplication.clipboard().setMimeData(held)


def cut(places: Sequence[int], row: ListRow) -> ListRow:
    """A row with the columns at some places only."""
    extras = tuple(row.extras[at] for at in places) if row.extras else ()
    return ListRow(row.key, tuple(row.texts[at] for at in places), (), extras, row.done)


def print_table(device: QPagedPaintDevice, table: PaperTable) -> int:
    """Draw the list on A4 pages, in the light colours whatever the screen shows; the number of pages."""
    return paint_table(device, read_themes()["light"], table)


def _one_line(text: str) -> str:
    return " ".join(text.split())
