"""The verdict marks: a shape points where condition has to go, so that no reading depends on colour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF, QTransform
from PySide6.QtWidgets import QHBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.labels import label
from herdscore.parts.theme import Look, Theme


@dataclass(frozen=True)
class Mark:
    """How one mark is drawn: shape within ±0.5, its size in px, colour roles of fill and rim, width of the rim."""

    shape: QPainterPath
    px: float
    hue: str
    fill: str
    rim: str
    rim_px: float
    words: str


def _triangle(up: bool) -> QPainterPath:
    way = 1.0 if up else -1.0
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(0, -0.55 * way), QPointF(0.52, 0.42 * way), QPointF(-0.52, 0.42 * way)]))
    path.closeSubpath()
    return path


def _box(half: float) -> QPainterPath:
    path = QPainterPath()
    path.addRect(QRectF(-half, -half, 2 * half, 2 * half))
    return path


def _disc(radius: float) -> QPainterPath:
    path = QPainterPath()
    path.addEllipse(QPointF(0, 0), radius, radius)
    return path


def _cross(reach: float, half: float) -> QPainterPath:
    upright, level = QPainterPath(), QPainterPath()
    upright.addRect(QRectF(-half, -reach, 2 * half, 2 * reach))
    level.addRect(QRectF(-reach, -half, 2 * reach, 2 * half))
    return upright.united(level)


def _on_a_bar() -> QPainterPath:
    raised = QTransform().translate(0, -0.08).scale(0.9, 0.9).map(_triangle(up=True))
    raised.addRect(QRectF(-0.56, 0.42, 1.12, 0.13))
    return raised


def _in_a_ring() -> QPainterPath:
    return _disc(0.5).subtracted(_disc(0.385)).united(_cross(0.27, 0.075))


_UP, _DOWN, _SQUARE, _DOT = _triangle(up=True), _triangle(up=False), _box(0.36), _disc(0.38)
_CUT_OUT = _disc(0.48).subtracted(_cross(0.34, 0.075))

# From back to front: what needs work lies on top.
MARKS: Mapping[str, Mark] = {
    "none": Mark(QPainterPath(), 11, "ink_second", "ink_second", "surface", 0, ""),
    "early": Mark(_DOT, 8, "ink_second", "ink_second", "surface", 1, "small grey dot"),
    "dot": Mark(_DOT, 11, "ok", "ok", "surface", 1, "dot"),
    "gaining": Mark(_disc(0.34), 17, "ok", "surface", "ok", 2, "open dot"),
    "again": Mark(_CUT_OUT, 16, "ok", "ok", "surface", 1, "dot with a cross cut out"),
    "cross": Mark(_cross(0.45, 0.09), 13, "score", "score", "surface", 1, "cross"),
    "hand_up": Mark(_UP, 15, "thin", "surface", "thin", 2, "open triangle up"),
    "hand_down": Mark(_DOWN, 15, "fat", "surface", "fat", 2, "open triangle down"),
    "square": Mark(_SQUARE, 14, "hold", "hold", "surface", 1, "square"),
    "now_up": Mark(_UP, 18, "thin", "thin", "surface", 1, "triangle up"),
    "now_down": Mark(_DOWN, 18, "fat", "fat", "surface", 1, "triangle down"),
    "bull": Mark(_on_a_bar(), 18, "thin", "thin", "surface", 1, "triangle up on a bar"),
    "part_up": Mark(_UP, 21, "thin", "thin", "ink", 2, "ringed triangle up"),
    "part_down": Mark(_DOWN, 21, "fat", "fat", "ink", 2, "ringed triangle down"),
    "vet": Mark(_in_a_ring(), 22, "score", "score", "surface", 1, "cross in a ring"),
}
BACK_TO_FRONT = tuple(MARKS)


def mark_hue(mark: str) -> str:
    """The colour role of a mark and of words beside it: thin, fat, ok, hold, score or ink_second."""
    return MARKS[mark].hue


def mark_tint(mark: str) -> str:
    """The `hue` of the panel behind words about a mark: thin, fat, ok, hold, score or sunk."""
    hue = MARKS[mark].hue
    return "sunk" if hue == "ink_second" else hue


def mark_pen(theme: Theme, mark: str, times: float = 1.0) -> QPen:
    """Pen of a mark's rim; it grows with a scaled painter, as print needs."""
    drawn = MARKS[mark]
    if not drawn.rim_px:
        return QPen(Qt.PenStyle.NoPen)
    pen = QPen(theme[drawn.rim], drawn.rim_px * times)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    pen.setCosmetic(False)
    return pen


def mark_brush(theme: Theme, mark: str) -> QBrush:
    """Brush of a mark's inside."""
    return QBrush(theme[MARKS[mark].fill])


def paint_mark(painter: QPainter, theme: Theme, mark: str, centre: QPointF, px: float | None = None) -> None:
    """Draw a mark about a point, at its own size or at one in px (rims grow with it, never shrink)."""
    drawn = MARKS[mark]
    size = drawn.px if px is None else px
    outline = drawn.rim == "surface"  # lies about the mark, so that overlapping marks stay countable
    shape = QTransform().translate(centre.x(), centre.y()).scale(size, size).map(drawn.shape)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(mark_brush(theme, mark))
    painter.setPen(mark_pen(theme, mark, 2.0 if outline else max(1.0, size / drawn.px)))
    painter.drawPath(shape)
    if outline:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawPath(shape)
    painter.restore()


class MarkGlyph(QWidget):
    """One mark by itself."""

    def __init__(self, look: Look, mark: str = "none", px: float | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._mark = mark
        self._px = px
        self.show_mark(mark)

    @property
    def mark(self) -> str:
        """The mark shown."""
        return self._mark

    def show_mark(self, mark: str, words: str = "") -> None:
        """Show another mark; `words` say the verdict to a screen reader."""
        self._mark = mark
        side = round(self._px or MARKS[mark].px) + 4
        self.setFixedSize(side, side)
        self.setAccessibleName(words or MARKS[mark].words)
        self.update()

    @override
    def sizeHint(self) -> QSize:
        return self.minimumSize()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_mark(painter, self._look.theme, self._mark, QPointF(self.width() / 2, self.height() / 2), self._px)
        painter.end()


class MarkKey(QWidget):
    """One row that says what each shape means: (marks, words) from left to right."""

    def __init__(self, look: Look, items: Sequence[tuple[Sequence[str], str]], points: int = 11) -> None:
        super().__init__()
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(5)
        for marks, words in items:
            for mark in marks:
                line.addWidget(MarkGlyph(look, mark))
            line.addWidget(label(words, points))
            line.addSpacing(8)
        line.addStretch()
