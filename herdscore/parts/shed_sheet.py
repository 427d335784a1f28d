"""The sheet for the shed door on A4: the vet's number large, who calves when, the first hours, pens and kit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QPainter, QPen

from herdscore.parts.report_blocks import (
    Beside,
    Block,
    Drawing,
    Piece,
    Words,
    heading,
    paper_font,
    paper_theme,
    text_height,
    write,
)
from herdscore.parts.report_pages import Report
from herdscore.parts.report_table import PaperColumn, PaperRow, Table

_VET_PX = 74.0


@dataclass(frozen=True)
class ShedCow:
    """One cow due: tag, day with spread, window, group, score now, and what to watch."""

    tag: str
    due: str
    window: str
    group: str
    score: str
    watch: str


@dataclass(frozen=True)
class ShedSheet:
    """All that stands on the sheet; kit lines come with whether they are ticked."""

    herd: str
    day: str
    block: str
    cows: Sequence[ShedCow]
    between: str
    more: str
    pens: str
    standards: Sequence[tuple[str, str]]
    hours: Sequence[tuple[str, str]]
    kit: Sequence[tuple[str, bool]]


def shed_sheet(sheet: ShedSheet) -> Report:
    """The sheet as a report, the same for paper and PDF."""
    blocks: list[Block] = [
        Words(f"{sheet.herd}: calving", 18, 700, below=0.0, keep=True),
        Words(f"{sheet.block}, {sheet.day}", 10, 400, "ink_second", below=8.0, keep=True),
        Drawing(_VET_PX + 8, _vet),
        Beside(
            [heading("First hours", above=4.0), _pairs(sheet.hours)],
            [heading("Kit", above=4.0), _Boxes(sheet.kit)],
            0.54,
        ),
        heading("Pens"),
        Words(sheet.pens, 10, 600),
        _pairs(sheet.standards),
        heading("Next to calve"),
    ]
    if sheet.cows:
        columns = (
            PaperColumn("Tag", weight=700, points=11),
            PaperColumn("Day"),
            PaperColumn(sheet.between),
            PaperColumn("Group", share=1),
            PaperColumn("Score", right=True),
            PaperColumn("Watch", share=1),
            PaperColumn("Calved", share=0.8),
        )
        rows = [PaperRow((one.tag, one.due, one.window, one.group, one.score, one.watch, "")) for one in sheet.cows]
        blocks.append(Table(columns, rows))
    else:
        blocks.append(Words("No cow with a date ahead.", 10))
    if sheet.more:
        blocks.append(Words(sheet.more, 10, 400, "ink_second"))
    return Report("Shed sheet", blocks, foot="A day is the middle of a guess: look at her, not at the date alone.")


def _pairs(pairs: Sequence[tuple[str, str]]) -> Table:
    """A word and a sentence a row."""
    columns = (PaperColumn("", weight=700), PaperColumn("", share=1))
    return Table(columns, [PaperRow(pair) for pair in pairs])


def _vet(painter: QPainter, box: QRectF) -> None:
    """Room to write the vet's number large, and one more."""
    theme = paper_theme()
    frame = QRectF(box.left() + 1, box.top() + 1, box.width() - 2, _VET_PX - 2)
    painter.setPen(QPen(theme["ink"], 2))
    painter.drawRoundedRect(frame, 8, 8)
    middle = frame.left() + frame.width() * 0.62
    for left, right, words in ((frame.left(), middle, "Vet"), (middle, frame.right(), "Who is on call")):
        write(painter, QRectF(left + 14, frame.top() + 8, 160, 18), words, paper_font(11, 700), "ink")
        painter.setPen(QPen(theme["edge"], 1))
        foot = frame.bottom() - 16
        painter.drawLine(QLineF(left + 14, foot, right - 14, foot))


@dataclass(frozen=True)
class _Boxes:
    """Lines with a box to tick; those ticked already bear a tick."""

    lines: Sequence[tuple[str, bool]]

    def pieces(self, width: float) -> list[Piece]:
        """One drawing as high as its lines."""
        font = paper_font(9.5)
        tall = [text_height(words, font, width - 20) + 5 for words, _ in self.lines]
        tops = [sum(tall[:place]) for place in range(len(tall) + 1)]

        def paint(painter: QPainter, box: QRectF) -> None:
            theme = paper_theme()
            for place, (words, done) in enumerate(self.lines):
                top = box.top() + tops[place]
                tick = QRectF(box.left() + 1, top + 3, 12, 12)
                painter.setPen(QPen(theme["ink"], 1.2))
                painter.drawRect(tick)
                if done:
                    painter.drawLine(QLineF(tick.left() + 2, tick.top() + 6, tick.left() + 5, tick.bottom() - 2))
                    painter.drawLine(QLineF(tick.left() + 5, tick.bottom() - 2, tick.right() - 1, tick.top() + 2))
                write(painter, QRectF(box.left() + 20, top + 1, width - 20, tall[place]), words, font, "ink")

        return Drawing(tops[-1] + 4, paint).pieces(width)
