"""Tables on paper: columns as wide as their words or by their share, headings repeated on every page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen

from herdscore.parts.marks import MARKS, paint_mark
from herdscore.parts.report_blocks import Piece, gap, nothing, paper_font, paper_theme, text_height, write

_CELL_PAD = 5.0
_ROW_PAD = 2.5
_MARK_PX = 22.0
_WIDEST = 0.24  # share of a table that a column kept to its words may take
_NARROWEST_CAP = 104.0


@dataclass(frozen=True)
class PaperColumn:
    """One column: a `share` of the room left, or 0 for as wide as its words; `marks` leaves room for a mark."""

    heading: str
    share: float = 0.0
    right: bool = False
    weight: int = 400
    marks: bool = False
    points: float = 0.0


@dataclass(frozen=True)
class PaperRow:
    """One row: a cell a column, its mark; a `title` row has one cell across and stays with the row after it."""

    cells: tuple[str, ...]
    mark: str = ""
    title: bool = False


@dataclass(frozen=True)
class Table:
    """Rows under headings, which are repeated on every page."""

    columns: Sequence[PaperColumn]
    rows: Sequence[PaperRow]
    points: float = 10
    below: float = 8.0

    def pieces(self, width: float) -> list[Piece]:
        """A piece a row, the heading first."""
        across = self.fitted(width)
        head = self._head(across)
        made = [head] if head.height else []
        over: Piece | None = None
        for row in self.rows:
            again = ((head,) if head.height else ()) + ((over,) if over is not None and not row.title else ())
            piece = self._row(row, across, again)
            over = piece if row.title else over
            made.append(piece)
        return [*made, gap(self.below)]

    def fitted(self, width: float) -> list[float]:
        """Widths of the columns in px; they add up to the width of the table unless no column takes a share."""
        across = []
        for place, column in enumerate(self.columns):
            font, strong = self._font(column), paper_font(self._head_points, 600)
            words = [row.cells[place] for row in self.rows if not row.title]
            lines = [line for text in words for line in text.split("\n")]
            wanted = max((QFontMetricsF(font).horizontalAdvance(line) for line in lines), default=0.0)
            named = (QFontMetricsF(strong).horizontalAdvance(line) for line in column.heading.split("\n"))
            wanted = max(wanted, *named) + 2 * _CELL_PAD + (_MARK_PX if column.marks else 0.0) + 1
            across.append(0.0 if column.share else min(wanted, max(width * _WIDEST, _NARROWEST_CAP)))
        shares = sum(column.share for column in self.columns)
        left = max(width - sum(across), 0.0)
        return [
            left * column.share / shares if column.share else wide
            for column, wide in zip(self.columns, across, strict=True)
        ]

    @property
    def _head_points(self) -> float:
        return max(self.points - 1.5, 7.5)

    def _font(self, column: PaperColumn) -> QFont:
        return paper_font(column.points or self.points, column.weight)

    def _head(self, across: list[float]) -> Piece:
        font = paper_font(self._head_points, 600)
        words = [column.heading for column in self.columns]
        if not any(words):
            return Piece(0.0, nothing)
        heights = [text_height(text, font, wide - 2 * _CELL_PAD) for text, wide in zip(words, across, strict=True)]
        tall = max(heights) + 2 * _ROW_PAD

        def paint(painter: QPainter, box: QRectF) -> None:
            left = box.left()
            for column, wide, height in zip(self.columns, across, heights, strict=True):
                inside = QRectF(left + _CELL_PAD, box.top() + tall - _ROW_PAD - height, wide - 2 * _CELL_PAD, height)
                write(painter, inside, column.heading, font, "ink_second", right=column.right)
                left += wide
            _line(painter, QPointF(box.left(), box.top() + tall), sum(across), "ink", 1.0)

        return Piece(tall + 1, paint, keep=True)

    def _row(self, row: PaperRow, across: list[float], again: tuple[Piece, ...]) -> Piece:
        if row.title:
            return self._title(row, sum(across), again)
        cells = []
        rise = max(QFontMetricsF(self._font(column)).ascent() for column in self.columns)
        for column, text, wide in zip(self.columns, row.cells, across, strict=True):
            room, font = wide - 2 * _CELL_PAD - (_MARK_PX if column.marks else 0.0), self._font(column)
            drop = rise - QFontMetricsF(font).ascent()  # words of all sizes stand on one line
            cells.append((column, text, wide, room, drop, text_height(text, font, room)))
        filled = [drop + height for _, text, _, _, drop, height in cells if text]
        tall = max([*filled, _MARK_PX * 0.9 if row.mark else 0.0]) + 2 * _ROW_PAD

        def paint(painter: QPainter, box: QRectF) -> None:
            left = box.left()
            for column, text, wide, room, drop, height in cells:
                inner = left + _CELL_PAD
                if column.marks:
                    if row.mark:
                        at = QPointF(inner + _MARK_PX / 2 - 3, box.top() + _ROW_PAD + rise * 0.62)
                        paint_mark(painter, paper_theme(), row.mark, at, MARKS[row.mark].px * 0.85)
                    inner += _MARK_PX
                place = QRectF(inner, box.top() + _ROW_PAD + drop, room, height)
                write(painter, place, text, self._font(column), "ink", right=column.right)
                left += wide
            _line(painter, QPointF(box.left(), box.top() + tall), sum(across), "line", 0.75)

        return Piece(tall + 0.75, paint, again=again)

    def _title(self, row: PaperRow, width: float, again: tuple[Piece, ...]) -> Piece:
        font = paper_font(self.points + 1, 700)
        height = text_height(row.cells[0], font, width - 2 * _CELL_PAD)

        def paint(painter: QPainter, box: QRectF) -> None:
            painter.fillRect(QRectF(box.left(), box.top() + 4, width, height + 6), paper_theme()["sunk"])
            inside = QRectF(box.left() + _CELL_PAD, box.top() + 7, width - 2 * _CELL_PAD, height)
            write(painter, inside, row.cells[0], font, "ink")

        return Piece(height + 11, paint, keep=True, again=again)


def _line(painter: QPainter, start: QPointF, width: float, role: str, px: float) -> None:
    painter.setPen(QPen(paper_theme()[role], px))
    painter.drawLine(QLineF(start, QPointF(start.x() + width, start.y())))
