"""The clock of a calf: its steps as rings on a line that fills with time; what is late is written out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.labels import label, restyle
from herdscore.parts.theme import Look

_RING = 10.0
_TALL = 74
_NAME_PX = 98
_WIDE, _NARROW = 76, 61
_LONG = 8  # letters of a step that needs more room
DONE, LATE, OPEN = "done", "late", "open"


@dataclass(frozen=True)
class RingStep:
    """One step: its key, words above, words below, and how it stands; `fill` is how far its stretch has run, 0 to 1."""

    key: str
    words: str
    below: str
    standing: str
    fill: float


@dataclass(frozen=True)
class ClockCard:
    """One line of the clock: its key, who, what of it, and its steps."""

    key: str
    who: str
    rest: str
    steps: tuple[RingStep, ...]
    late: bool = False


class _Ring(QAbstractButton):
    """One step to press when it is done."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.step = RingStep("", "", "", OPEN, 0.0)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(_NARROW, 62)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_step(self, step: RingStep) -> None:
        """Show how it stands now."""
        if step == self.step:
            return
        self.step = step
        self.setEnabled(step.standing != DONE)
        self.setAccessibleName(f"{step.words}, {step.standing} {step.below}")
        self.update()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        theme, step, painter = self._look.theme, self.step, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = QPointF(self.width() / 2, self.height() / 2)
        track = QRectF(0, middle.y() - 4, self.width(), 8)
        painter.fillRect(track, theme["sunk"])
        painter.fillRect(QRectF(0, track.top(), self.width() * step.fill, 8), theme["primary"])
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
        if self.hasFocus():
            painter.setPen(QPen(theme["focus"], 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(middle, _RING + 5, _RING + 5)
        words = theme.font(11, 600 if late else 400)
        painter.setPen(theme["thin" if late else "ink"])
        self._write(painter, words, QRectF(0, 0, self.width(), middle.y() - _RING - 3), step.words, at_foot=True)
        painter.setPen(theme["thin" if late else "ink_second"])
        self._write(painter, words, QRectF(0, middle.y() + _RING + 3, self.width(), 40), step.below, at_foot=False)
        painter.end()

    def _write(self, painter: QPainter, font: QFont, box: QRectF, text: str, *, at_foot: bool) -> None:
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        if metrics.horizontalAdvance(text) > box.width() and " " in text and not at_foot:
            text = text.partition(" ")[2]  # "by 15:20" is "15:20" where there is little room
        text = metrics.elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        how = Qt.AlignmentFlag.AlignBottom if at_foot else Qt.AlignmentFlag.AlignTop
        painter.drawText(box, how | Qt.AlignmentFlag.AlignHCenter, text)


class _Line(QWidget):
    """One card as a line of rings."""

    pressed = Signal(str, str)

    def __init__(self, look: Look, steps: int) -> None:
        super().__init__()
        self.setFixedHeight(round(_TALL * look.theme.text_scale))
        self.key = ""
        self.who, self.rest = label("", 12, 700), label("", 11, 400, "second")
        names = QVBoxLayout()
        names.setSpacing(0)
        names.addStretch()
        names.addWidget(self.who)
        names.addWidget(self.rest)
        names.addStretch()
        box = QWidget()
        box.setLayout(names)
        names.setContentsMargins(0, 0, 0, 0)
        box.setFixedWidth(round(_NAME_PX * look.theme.text_scale))
        inside = QHBoxLayout(self)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(0)
        inside.addWidget(box)
        self.rings = [_Ring(look) for _ in range(steps)]
        for ring in self.rings:
            inside.addWidget(ring, 1)
            ring.clicked.connect(lambda _=False, ring=ring: self.pressed.emit(self.key, ring.step.key))

    def show_card(self, card: ClockCard) -> None:
        """Show another card, or the same one later."""
        self.key = card.key
        self.who.setText(card.who)
        self.rest.setText(card.rest)
        line = self.layout()
        assert isinstance(line, QHBoxLayout)
        restyle(self.rest, "tone", "thin" if card.late else "second")
        for place, (ring, step) in enumerate(zip(self.rings, card.steps, strict=True), 1):
            ring.show_step(step)
            # A step with longer words gets more of the line.
            line.setStretch(place, _WIDE if len(step.words) > _LONG else _NARROW)


class CalfClock(QWidget):
    """Lines of the clock, the worst on top. `pressed(card key, step key)`: it is done.

    A line that stays where it is is only repainted where something changed.
    """

    pressed = Signal(str, str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.lines: list[_Line] = []
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(6)
        self._box.addStretch()

    def show_cards(self, cards: Sequence[ClockCard]) -> None:
        """Show cards in their order."""
        shapes = [len(card.steps) for card in cards]
        if shapes != [len(line.rings) for line in self.lines]:
            for line in self.lines:
                self._box.removeWidget(line)
                line.hide()
                line.deleteLater()
            self.lines = [_Line(self._look, steps) for steps in shapes]
            for place, line in enumerate(self.lines):
                line.pressed.connect(self.pressed)
                self._box.insertWidget(place, line)
        for line, card in zip(self.lines, cards, strict=True):
            line.show_card(card)

    @override
    def sizeHint(self) -> QSize:
        return QSize(460, max(120, len(self.lines) * (_TALL + 6)))
