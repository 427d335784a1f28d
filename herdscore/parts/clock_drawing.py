"""How the clock of a calf is drawn: its steps as rings on a line that fills with time, on the screen and saved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from herdscore.parts.theme import Theme

_RING = 10.0
CARD_TALL = 74
_WIDE, _NARROW = 76, 61
_LONG = 8  # letters of a step that needs more room
_CLEAR = 6  # px between the words of neighbours
_EDGE, _ASIDE, _BETWEEN, _APART = 4.0, 126.0, 28.0, 8.0
DONE, LATE, OPEN = "done", "late", "open"


@dataclass(frozen=True)
class RingStep:
    """One step: its key, words above, words below, and how it stands; `fill` is how far its stretch has run, 0 to 1."""

    key: str
    words: str
    below: str
    standing: str
    fill: float

    @property
    def share(self) -> int:
        """What it gets of the line beside other steps; longer words get more. Also the px it needs."""
        return _WIDE if len(self.words) > _LONG else _NARROW


LEAST_RING_PX = _NARROW


@dataclass(frozen=True)
class ClockCard:
    """One line of the clock: its key, who, what of it, and its steps."""

    key: str
    who: str
    rest: str
    steps: tuple[RingStep, ...]
    late: bool = False


def paint_ring(painter: QPainter, box: QRectF, theme: Theme, step: RingStep, *, focused: bool = False) -> None:
    """Draw one step into a box of px: its stretch of the line, its ring in the middle, its words."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    middle = box.center()
    track = QRectF(box.left(), middle.y() - 4, box.width(), 8)
    painter.fillRect(track, theme["sunk"])
    painter.fillRect(QRectF(track.left(), track.top(), track.width() * step.fill, 8), theme["primary"])
    late, done = step.standing == LATE, step.standing == DONE
    hue = theme["thin"] if late else theme["primary" if done else "edge"]
    painter.setPen(QPen(hue, 2.5))
    painter.setBrush(theme["primary"] if done else theme["surface"])
    painter.drawEllipse(middle, _RING, _RING)
    if done:
        painter.setPen(QPen(theme["on_primary"], 2.2))
        tick = [QPointF(-4.5, 0.5), QPointF(-1.5, 3.8), QPointF(4.8, -3.6)]
        painter.drawPolyline(QPolygonF([middle + point for point in tick]))
    elif late:
        painter.setPen(QPen(hue, 2.5))
        painter.drawLine(middle + QPointF(0, -5), middle + QPointF(0, 1.5))
        painter.drawPoint(middle + QPointF(0, 5))
    if focused:
        painter.setPen(QPen(theme["focus"], 3))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(middle, _RING + 5, _RING + 5)
    words = theme.font(11, 600 if late else 400)
    painter.setPen(theme["thin" if late else "ink"])
    above = QRectF(box.left(), box.top(), box.width(), box.height() / 2 - _RING - 3)
    _write(painter, words, above, step.words, at_foot=True)
    painter.setPen(theme["thin" if late else "ink_second"])
    below = QRectF(box.left(), middle.y() + _RING + 3, box.width(), 40)
    _write(painter, words, below, step.below, at_foot=False)


def _write(painter: QPainter, font: QFont, box: QRectF, text: str, *, at_foot: bool) -> None:
    painter.setFont(font)
    metrics = QFontMetricsF(font)
    if metrics.horizontalAdvance(text) > box.width() - _CLEAR and " " in text and not at_foot:
        text = text.partition(" ")[2]  # "by 15:20" is "15:20" where there is little room
    text = metrics.elidedText(text, Qt.TextElideMode.ElideRight, box.width())
    how = Qt.AlignmentFlag.AlignBottom if at_foot else Qt.AlignmentFlag.AlignTop
    painter.drawText(box, how | Qt.AlignmentFlag.AlignHCenter, text)


def clock_height(cards: Sequence[ClockCard]) -> float:
    """Px that cards take, two beside each other."""
    return (len(cards) + 1) // 2 * (CARD_TALL + _APART)


def paint_clock(painter: QPainter, box: QRectF, theme: Theme, cards: Sequence[ClockCard]) -> None:
    """Draw cards into a box of px, the worst first: from left to right, then the next line."""
    wide = (box.width() - 2 * _EDGE - _BETWEEN) / 2
    for place, card in enumerate(cards):
        left = box.left() + _EDGE + place % 2 * (wide + _BETWEEN)
        top = box.top() + place // 2 * (CARD_TALL + _APART)
        _paint_card(painter, QRectF(left, top, wide, CARD_TALL), theme, card)


def _paint_card(painter: QPainter, box: QRectF, theme: Theme, card: ClockCard) -> None:
    names = QRectF(box.left(), box.top(), _ASIDE - 8, box.height() / 2)
    painter.setFont(theme.font(12, 700))
    painter.setPen(theme["ink"])
    painter.drawText(names, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignLeft, card.who)
    painter.setFont(theme.font(11))
    painter.setPen(theme["thin" if card.late else "ink_second"])
    rest = names.translated(0, names.height())
    wrapped = int(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
    painter.drawText(rest, wrapped, card.rest)
    left = box.left() + _ASIDE
    share = (box.width() - _ASIDE) / max(sum(step.share for step in card.steps), 1)
    for step in card.steps:
        # On whole px, so that the line has no seams.
        right = left + step.share * share
        paint_ring(painter, QRectF(round(left), box.top(), round(right) - round(left), box.height()), theme, step)
        left = right
