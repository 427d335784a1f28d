"""What pages on paper are made of: words, figures and drawings, each cut into pieces a page can end between.

Sizes are px of 1/96 inch on every device; fonts are set in px, so that screen, PDF and printer break lines alike.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Protocol

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QTextLayout, QTextOption

from herdscore.parts.marks import MARKS, paint_mark
from herdscore.parts.theme import FAMILY, Theme, each_thread, read_themes

Paint = Callable[[QPainter, QRectF], None]
_SMALLEST = 0.6


@each_thread
def paper_font(points: float, weight: int = 400) -> QFont:
    """The program's type on paper."""
    font = QFont(FAMILY)
    font.setPixelSize(round(points * 96 / 72))
    font.setWeight(QFont.Weight(weight))
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


@lru_cache(maxsize=1)
def paper_theme() -> Theme:
    """The colours of paper: those of the light theme."""
    return read_themes()["light"]


@dataclass(frozen=True)
class Piece:
    """One part of a page no page can end in. `keep`: the next piece stands on the same page.

    `again`: what is repeated above it when it begins a page. A gap is left out at the foot of a page.
    `fit`: the same piece made to fit a height it would not fit by itself.
    """

    height: float
    paint: Paint
    keep: bool = False
    again: tuple[Piece, ...] = ()
    starts_page: bool = False
    is_gap: bool = False
    fit: Callable[[float], Piece] | None = None


class Block(Protocol):
    """Anything that can be cut into pieces of a width."""

    def pieces(self, width: float) -> list[Piece]:
        """The pieces from top to bottom."""
        ...


@dataclass(frozen=True)
class Words:
    """A paragraph; `above` and `below` are gaps in px."""

    text: str
    points: float = 10
    weight: int = 400
    role: str = "ink"
    above: float = 0.0
    below: float = 4.0
    keep: bool = False

    def pieces(self, width: float) -> list[Piece]:
        """One piece, as paragraphs are short."""
        font = paper_font(self.points, self.weight)
        height = text_height(self.text, font, width)

        def paint(painter: QPainter, box: QRectF) -> None:
            inside = QRectF(box.left(), box.top() + self.above, width, height)
            write(painter, inside, self.text, font, self.role)

        return [Piece(self.above + height + self.below, paint, self.keep)]


def heading(text: str, points: float = 13, above: float = 12.0) -> Words:
    """A heading; what follows stands on the same page."""
    return Words(text, points, 700, above=above, below=5.0, keep=True)


@dataclass(frozen=True)
class Figures:
    """Large figures side by side with what they count below: (figure, words, colour role)."""

    items: Sequence[tuple[str, str, str]]

    def pieces(self, width: float) -> list[Piece]:
        """One piece."""
        large, small = paper_font(24, 700), paper_font(10)
        wide = width / max(len(self.items), 1)
        tall = QFontMetricsF(large).height()
        below = max((text_height(words, small, wide - 12) for _, words, _ in self.items), default=0.0)

        def paint(painter: QPainter, box: QRectF) -> None:
            for place, (figure, words, role) in enumerate(self.items):
                left = box.left() + place * wide
                write(painter, QRectF(left, box.top(), wide - 12, tall), figure, large, role)
                write(painter, QRectF(left, box.top() + tall, wide - 12, below), words, small, "ink_second")

        return [Piece(tall + below + 10, paint)]


@dataclass(frozen=True)
class Beside:
    """Two columns of blocks; the left one takes `share` of the width. It all stands on one page."""

    left: Sequence[Block]
    right: Sequence[Block]
    share: float = 0.5
    between: float = 22.0

    def pieces(self, width: float) -> list[Piece]:
        """One piece."""
        wide = (width - self.between) * self.share
        sides = [(stacked(self.left, wide), 0.0, wide)]
        sides.append((stacked(self.right, width - self.between - wide), wide + self.between, width - wide))

        def paint(painter: QPainter, box: QRectF) -> None:
            for piece, across, room in sides:
                piece.paint(painter, QRectF(box.left() + across, box.top(), room, piece.height))

        return [Piece(max(piece.height for piece, _, _ in sides), paint)]


@dataclass(frozen=True)
class Drawing:
    """A drawing of a height, as wide as the page."""

    height: float
    paint: Paint
    keep: bool = False

    def pieces(self, width: float) -> list[Piece]:
        """One piece."""
        return [Piece(self.height, self.paint, self.keep)]


@dataclass(frozen=True)
class MarkRow:
    """What shapes mean, in lines of (marks, words)."""

    items: Sequence[tuple[Sequence[str], str]]
    points: float = 9
    keep: bool = False

    def pieces(self, width: float) -> list[Piece]:
        """One piece of as many lines as it needs."""
        font = paper_font(self.points)
        metrics = QFontMetricsF(font)
        tall = max(metrics.height(), 22.0)
        placed, x, line = [], 0.0, 0
        for marks, words in self.items:
            wide = 22.0 * len(marks) + metrics.horizontalAdvance(words) + 20
            if x and x + wide > width:
                x, line = 0.0, line + 1
            placed.append((marks, words, x, line))
            x += wide

        def paint(painter: QPainter, box: QRectF) -> None:
            for marks, words, across, down in placed:
                left, top = box.left() + across, box.top() + down * tall
                for mark in marks:
                    at = QPointF(left + 9, top + tall / 2)
                    paint_mark(painter, paper_theme(), mark, at, MARKS[mark].px * 0.8)
                    left += 22
                place = QRectF(left, top + (tall - metrics.height()) / 2, 500, metrics.height())
                write(painter, place, words, font, "ink_second")

        return [Piece((line + 1) * tall + 4, paint, self.keep)]


@dataclass(frozen=True)
class PageBreak:
    """What follows begins a page."""

    def pieces(self, width: float) -> list[Piece]:
        """A piece without height."""
        return [Piece(0.0, nothing, starts_page=True)]


@dataclass(frozen=True)
class OnePage:
    """Blocks that fill one page of their own; they are drawn smaller where there is too much for it."""

    blocks: Sequence[Block]

    def pieces(self, width: float) -> list[Piece]:
        """One piece."""
        whole = stacked(self.blocks, width)
        return [Piece(whole.height, whole.paint, starts_page=True, fit=lambda room: self._fitted(width, room))]

    def _fitted(self, width: float, room: float) -> Piece:
        """The blocks laid out on wider paper, drawn smaller."""
        smaller = 1.0
        whole = stacked(self.blocks, width)
        while whole.height * smaller > room and smaller > _SMALLEST:
            smaller -= 0.02
            whole = stacked(self.blocks, width / smaller)
        return shrunk(whole, min(smaller, room / whole.height))


def shrunk(piece: Piece, times: float) -> Piece:
    """A piece drawn smaller."""

    def paint(painter: QPainter, box: QRectF) -> None:
        painter.save()
        painter.translate(box.topLeft())
        painter.scale(times, times)
        piece.paint(painter, QRectF(0, 0, box.width() / times, piece.height))
        painter.restore()

    return Piece(piece.height * times, paint, piece.keep, piece.again, piece.starts_page)


def stacked(blocks: Sequence[Block], width: float) -> Piece:
    """Blocks one below the other as one piece."""
    parts = [piece for block in blocks for piece in block.pieces(width)]
    tops = [0.0]
    for piece in parts:
        tops.append(tops[-1] + piece.height)

    def paint(painter: QPainter, box: QRectF) -> None:
        for piece, (top, foot) in zip(parts, pairwise(tops), strict=True):
            piece.paint(painter, QRectF(box.left(), box.top() + top, width, foot - top))

    return Piece(tops[-1], paint)


def gap(px: float) -> Piece:
    """Room between two blocks."""
    return Piece(px, nothing, is_gap=True)


def text_height(text: str, font: QFont, width: float) -> float:
    """Height of a text broken into lines of a width."""
    return _lines(text, font, width, right=False).boundingRect().height()


def write(painter: QPainter, box: QRectF, text: str, font: QFont, role: str, *, right: bool = False) -> None:
    """Write a text into a box, broken into lines of its width."""
    painter.setPen(paper_theme()[role])
    _lines(text, font, box.width(), right=right).draw(painter, box.topLeft())


def _lines(text: str, font: QFont, width: float, *, right: bool) -> QTextLayout:
    """A text broken between words, or within one that is longer than a line."""
    made = QTextLayout((text or " ").replace("\n", "\u2028"), font)
    option = QTextOption(Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft)
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    option.setUseDesignMetrics(True)
    made.setTextOption(option)
    made.beginLayout()
    down = 0.0
    while (line := made.createLine()).isValid():
        line.setLineWidth(max(width, 1.0))
        line.setPosition(QPointF(0, down))
        down += line.height()
    made.endLayout()
    return made


def nothing(painter: QPainter, box: QRectF) -> None:
    """Leave the place empty."""
