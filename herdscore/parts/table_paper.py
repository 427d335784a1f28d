"""A table on paper: as many A4 pages as it needs, headings on each, the same for a printer and for a PDF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPagedPaintDevice, QPainter, QPen

from herdscore.errors import Problem
from herdscore.parts.delegates import Spark, paint_spark
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.marks import paint_mark
from herdscore.parts.theme import Theme

_DPI = 96.0
_BODY, _HEAD, _TITLE = 8.5, 8.5, 15.0  # points on paper
_PAD, _LEAST_ROW, _TICK = 4.0, 24.0, 14.0
_LONG_PX = 280
"""Columns this wide on screen hold sentences, which are broken into lines on paper."""


@dataclass(frozen=True)
class PaperTable:
    """Title, a line under it, columns and rows as a list has them (one entry a column), and a line at the foot."""

    title: str
    sub: str
    columns: Sequence[Column]
    rows: Sequence[ListRow]
    foot: str = ""


def paint_table(device: QPagedPaintDevice, theme: Theme, table: PaperTable) -> int:
    """Draw a table on the pages of a device; the number of pages."""
    painter = QPainter()
    if not painter.begin(device):
        raise Problem("Nothing could be printed.", "The printer or the file does not take it.", "Choose another.")
    try:
        scale = device.logicalDpiX() / _DPI
        painter.scale(scale, scale)
        page = QRectF(0, 0, device.width() / scale, device.height() / scale)
        return _Pages(painter, device, theme, table, page).paint()
    finally:
        painter.end()


class _Pages:
    """One printing: rows are measured first, so that every page can say of how many it is."""

    def __init__(
        self, painter: QPainter, device: QPagedPaintDevice, theme: Theme, table: PaperTable, page: QRectF
    ) -> None:
        self._painter, self._device, self._theme, self._table, self._page = painter, device, theme, table, page
        wanted = sum(column.width for column in table.columns) or 1
        self._widths = [column.width * page.width() / wanted for column in table.columns]
        lines = max((column.heading.count("\n") + 1 for column in table.columns), default=1)
        self._head_px = QFontMetricsF(self._font(_HEAD, 600)).lineSpacing() * lines + 2 * _PAD
        self._heights = [self._height(row) for row in table.rows]

    def paint(self) -> int:
        """Draw all pages; their number."""
        pages = self._cut()
        for number, rows in enumerate(pages, 1):
            if number > 1:
                self._device.newPage()
            top = self._paint_title() if number == 1 else 0.0
            top = self._paint_headings(top)
            for at in rows:
                self._paint_row(self._table.rows[at], top, self._heights[at])
                top += self._heights[at]
            if not self._table.rows:
                self._write(QRectF(0, top + 6, self._page.width(), 24), "none", self._font(_BODY, 600), "ink")
            self._paint_foot(number, len(pages))
        return len(pages)

    def _cut(self) -> list[list[int]]:
        """Rows of each page."""
        room = self._page.height() - self._head_px - 26
        pages: list[list[int]] = [[]]
        left = room - self._title_px()
        for at, height in enumerate(self._heights):
            if height > left and pages[-1]:
                pages.append([])
                left = room
            pages[-1].append(at)
            left -= height
        return pages

    def _title_px(self) -> float:
        sub = QFontMetricsF(self._font(_BODY)).boundingRect(
            QRectF(0, 0, self._page.width(), 1000), Qt.TextFlag.TextWordWrap, self._table.sub
        )
        return QFontMetricsF(self._font(_TITLE, 700)).lineSpacing() + sub.height() + 10

    def _height(self, row: ListRow) -> float:
        metrics = QFontMetricsF(self._font(_BODY))
        tall = _LEAST_ROW
        for column, words, width in zip(self._table.columns, row.texts, self._widths, strict=True):
            if column.width >= _LONG_PX:
                box = QRectF(0, 0, width - 2 * _PAD, 10_000)
                tall = max(tall, metrics.boundingRect(box, Qt.TextFlag.TextWordWrap, words).height() + 2 * _PAD)
        return tall

    def _paint_title(self) -> float:
        font = self._font(_TITLE, 700)
        line = QFontMetricsF(font).lineSpacing()
        self._write(QRectF(0, 0, self._page.width(), line), self._table.title, font, "ink")
        whole = self._title_px()
        box = QRectF(0, line + 2, self._page.width(), whole - line)
        self._painter.setFont(self._font(_BODY))
        self._painter.setPen(self._theme["ink_second"])
        self._painter.drawText(box, Qt.TextFlag.TextWordWrap, self._table.sub)
        return whole

    def _paint_headings(self, top: float) -> float:
        left = 0.0
        for column, width in zip(self._table.columns, self._widths, strict=True):
            side = Qt.AlignmentFlag.AlignRight if column.right else Qt.AlignmentFlag.AlignLeft
            box = QRectF(left + _PAD, top, width - 2 * _PAD, self._head_px - _PAD)
            self._painter.setFont(self._font(_HEAD, 600))
            self._painter.setPen(self._theme["ink"])
            self._painter.drawText(box, side | Qt.AlignmentFlag.AlignBottom, column.heading)
            left += width
        self._painter.setPen(QPen(self._theme["ink"], 1.2))
        self._painter.drawLine(QLineF(0, top + self._head_px, self._page.width(), top + self._head_px))
        return top + self._head_px

    def _paint_row(self, row: ListRow, top: float, height: float) -> None:
        left = 0.0
        extras = row.extras or (None,) * len(row.texts)
        for column, words, extra, width in zip(self._table.columns, row.texts, extras, self._widths, strict=True):
            self._paint_cell(column, words, extra, QRectF(left, top, width, height))
            left += width
        self._painter.setPen(QPen(self._theme["line"], 0.6))
        self._painter.drawLine(QLineF(0, top + height, self._page.width(), top + height))

    def _paint_cell(self, column: Column, words: str, extra: object, box: QRectF) -> None:
        painter, inside = self._painter, box.adjusted(_PAD, 0, -_PAD, 0)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if isinstance(extra, Spark):
            middle = QRectF(box.left(), box.center().y() - _LEAST_ROW / 2, box.width(), _LEAST_ROW)
            paint_spark(painter, self._theme, middle.adjusted(2, 3, -2, -3), extra)
        elif column.shown == "tick":
            square = QRectF(inside.left(), box.center().y() - _TICK / 2, _TICK, _TICK)
            painter.setPen(QPen(self._theme["ink"], 1))
            painter.drawRect(square)
            # Without a tick the square is empty, to be ticked by hand.
            if extra:
                painter.drawPolyline(
                    [
                        square.topLeft() + QPointF(3, 7.5),
                        square.topLeft() + QPointF(6, 11),
                        QPointF(square.right() - 2, square.top() + 3),
                    ]
                )
                room = inside.adjusted(_TICK + 4, 0, 0, 0)
                self._write(room, words.removeprefix("done "), self._font(_BODY), "ink")
        else:
            if column.shown == "verdict" and isinstance(extra, str) and extra != "none":
                paint_mark(painter, self._theme, extra, QPointF(inside.left() + 7, box.center().y()), 12)
                inside.adjust(18, 0, 0, 0)
            self._write(inside, words, self._font(_BODY, column.weight), "ink", column)
        painter.restore()

    def _paint_foot(self, number: int, pages: int) -> None:
        box = QRectF(0, self._page.height() - 18, self._page.width(), 18)
        self._write(box, self._table.foot, self._font(7.5), "ink_second")
        self._painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, f"{number} of {pages}")

    def _write(self, box: QRectF, words: str, font: QFont, role: str, column: Column | None = None) -> None:
        self._painter.setFont(font)
        self._painter.setPen(self._theme[role])
        right = column is not None and column.right
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        if column is not None and column.width >= _LONG_PX:
            inside = box.adjusted(0, _PAD, 0, 0)
            self._painter.drawText(inside, int(Qt.TextFlag.TextWordWrap.value), words)
            return
        short = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        self._painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, short)

    def _font(self, points: float, weight: int = 400) -> QFont:
        """A font of a size in px of 96 an inch, whatever the device counts in."""
        font = QFont(self._theme.font(points, weight))
        font.setPixelSize(round(points * _DPI / 72))
        return font
