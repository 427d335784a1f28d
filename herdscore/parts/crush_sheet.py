"""The crush list on paper: pen by pen, what tells the cows apart, and boxes to write the three sites into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from herdscore.parts.report_blocks import Block, Piece, Words, gap, paper_font, paper_theme, write
from herdscore.parts.report_pages import Report

ROW_PX = 32.0  # 8.5 mm: a figure written with a cold hand
BOX_PX = 52.0
NOTE_BOX_PX = 110.0
SITES = ("Loin", "Ribs", "Tailhead")
_TAG, _PLAIN, _HEAD = (11.5, 700), (9.0, 400), (8.0, 600)
_SIDE = 6.0
_LAST_PX = 96.0
_WIDEST_TAG = 0.3  # share of the page a tag may take


@dataclass(frozen=True)
class SheetRow:
    """One cow: her tag, what else tells her apart, and her last score with its day."""

    tag: str
    who: str
    last: str


@dataclass(frozen=True)
class SheetPen:
    """One pen with its cows."""

    name: str
    rows: Sequence[SheetRow]

    def pieces(self, width: float) -> list[Piece]:
        """A heading, and a piece a cow; the headings are repeated on a new page."""
        across = _across(self.rows, width)
        title = self._title(width, self.name)
        head = _head(across, width)
        again = (self._title(width, f"{self.name}, continued"), head)
        return [title, head, *(_row(one, across, again) for one in self.rows), gap(12)]

    def _title(self, width: float, name: str) -> Piece:
        count = f"{len(self.rows)} cow{'' if len(self.rows) == 1 else 's'}"

        def paint(painter: QPainter, box: QRectF) -> None:
            painter.fillRect(QRectF(box.left(), box.top() + 4, width, 24), paper_theme()["sunk"])
            inside = QRectF(box.left() + _SIDE, box.top() + 7, width - 100, 20)
            write(painter, inside, name, paper_font(11, 700), "ink")
            side = QRectF(box.left() + width - 96, box.top() + 8, 90, 18)
            write(painter, side, count, paper_font(9), "ink_second", right=True)

        return Piece(31, paint, keep=True)


def crush_sheet(title: str, day: str, pens: Sequence[SheetPen], caution: str) -> Report:
    """The list as a report on A4, upright; `day` says what it is of and when it was printed."""
    cows = sum(len(pen.rows) for pen in pens)
    head = f"{day}. {cows} cow{'' if cows == 1 else 's'}. Day ____________  Scorer ____________"
    blocks: list[Block] = [Words(title, 16, 700, below=2.0, keep=True), Words(head, 10, 400, "ink_second", below=8.0)]
    blocks += list(pens) or [Words("No cow is to be scored.", 12)]
    return Report(title, blocks, foot=caution)


def _across(rows: Sequence[SheetRow], width: float) -> tuple[float, float, float]:
    """Px from the left where who she is, her last score and the boxes begin."""
    metrics = QFontMetricsF(paper_font(*_TAG))
    widest = max((metrics.horizontalAdvance(one.tag) for one in rows), default=0.0) + 2 * _SIDE + 2
    tag = min(max(widest, 60.0), width * _WIDEST_TAG)
    boxes = width - len(SITES) * BOX_PX - NOTE_BOX_PX
    return tag, boxes - _LAST_PX, boxes


def _head(across: tuple[float, float, float], width: float) -> Piece:
    who, last, boxes = across
    names = [(0.0, who, "Tag"), (who, last - who, "Who"), (last, _LAST_PX, "Last score")]
    names += [(boxes + at * BOX_PX, BOX_PX, site) for at, site in enumerate(SITES)]
    names.append((boxes + len(SITES) * BOX_PX, NOTE_BOX_PX, "Note"))

    def paint(painter: QPainter, box: QRectF) -> None:
        for left, wide, name in names:
            inside = QRectF(box.left() + left + _SIDE / 2, box.top() + 3, wide - _SIDE / 2, 14)
            write(painter, inside, name, paper_font(*_HEAD), "ink_second")
        painter.setPen(QPen(paper_theme()["ink"], 1.0))
        foot = box.top() + 19
        painter.drawLine(QLineF(box.left(), foot, box.left() + width, foot))

    return Piece(20, paint, keep=True)


def _row(one: SheetRow, across: tuple[float, float, float], again: tuple[Piece, ...]) -> Piece:
    who, last, boxes = across
    cells = ((0.0, who, one.tag, _TAG), (who, last - who, one.who, _PLAIN), (last, _LAST_PX, one.last, _PLAIN))

    def paint(painter: QPainter, box: QRectF) -> None:
        for left, wide, text, (points, weight) in cells:
            font = paper_font(points, weight)
            words = _fitted(text, QFontMetricsF(font), wide - _SIDE, 2 if points < _TAG[0] else 1)
            height = QFontMetricsF(font).height() * (words.count("\n") + 1)
            inside = QRectF(box.left() + left + _SIDE / 2, box.top() + (ROW_PX - height) / 2, wide - _SIDE / 2, height)
            write(painter, inside, words, font, "ink")
        painter.setPen(QPen(paper_theme()["edge"], 1.0))
        edge = box.left() + boxes
        for wide in (BOX_PX, BOX_PX, BOX_PX, NOTE_BOX_PX):
            painter.drawRect(QRectF(edge + 2, box.top() + 3, wide - 4, ROW_PX - 6))
            edge += wide
        painter.setPen(QPen(paper_theme()["line"], 0.75))
        foot = box.top() + ROW_PX
        painter.drawLine(QLineF(QPointF(box.left(), foot), QPointF(box.left() + edge - box.left(), foot)))

    return Piece(ROW_PX, paint, again=again)


def _fitted(text: str, metrics: QFontMetricsF, width: float, lines: int) -> str:
    """A text in as many lines as there may be, the last one cut short with dots."""
    made: list[str] = []
    words = text.split(" ")
    while words and len(made) < lines:
        line = words.pop(0)
        while words and metrics.horizontalAdvance(f"{line} {words[0]}") <= width:
            line = f"{line} {words.pop(0)}"
        made.append(line)
    if words:
        made[-1] = f"{made[-1]} {' '.join(words)}"
    while made and metrics.horizontalAdvance(made[-1]) > width and len(made[-1]) > 1:
        made[-1] = f"{made[-1].rstrip('…')[:-1].rstrip()}…"
    return "\n".join(made)
