"""How wide the columns of a list have to be for their headings and words, at the size of the text."""

from __future__ import annotations

from PySide6.QtGui import QFontMetricsF

from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Theme

_PAD_PX = 17
_MARK_PX = 28
_TICK_PX = 44
_MEASURED = 4  # the longest words of a column, by letters, that are measured


def word_widths(view: ListView, theme: Theme) -> list[int]:
    """Px of every column of a list, so that nothing in it is shortened."""
    head = QFontMetricsF(theme.font(11, 600))
    rows = [view.rows.row_at(at).texts for at in range(view.rows.rowCount())]
    wanted = []
    for place, column in enumerate(view.rows.columns):
        words = QFontMetricsF(theme.font(11, 600 if column.shown == "verdict" else column.weight))
        longest = sorted({row[place] for row in rows}, key=len)[-_MEASURED:]
        said = [words.horizontalAdvance(text) for text in longest]
        lines = [head.horizontalAdvance(line) for line in column.heading.split("\n")]
        more = _MARK_PX if column.shown == "verdict" else 0
        wanted.append(max(round(max([*said, 0.0]) + more), round(max(lines))) + _PAD_PX)
        if column.shown == "tick":
            wanted[-1] = max(wanted[-1], _TICK_PX)
    return wanted


def fit_columns(view: ListView, theme: Theme) -> None:
    """Give every column what it needs; the last one takes what is left."""
    for place, width in enumerate(word_widths(view, theme)):
        view.setColumnWidth(place, width)
    lines = max(column.heading.count("\n") + 1 for column in view.rows.columns)
    view.horizontalHeader().setFixedHeight(round(lines * QFontMetricsF(theme.font(11)).height()) + 14)
