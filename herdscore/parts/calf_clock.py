"""The clock of a calf: its steps as rings on a line that fills with time; what is late is written out."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.clock_drawing import CARD_TALL, DONE, LEAST_RING_PX, OPEN, ClockCard, RingStep, paint_ring
from herdscore.parts.labels import label, restyle
from herdscore.parts.theme import Look

_NAME_PX = 98


class _Ring(QAbstractButton):
    """One step to press when it is done."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.step, self.whose = RingStep("", "", "", OPEN, 0.0), ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(LEAST_RING_PX, 62)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_step(self, step: RingStep, whose: str) -> None:
        """Show how it stands now, and say whose it is."""
        if (step, whose) == (self.step, self.whose):
            return
        self.step, self.whose = step, whose
        self.setEnabled(step.standing != DONE)
        self.setAccessibleName(f"{whose}: {step.words}, {step.standing} {step.below}")
        self.update()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_ring(painter, QRectF(self.rect()), self._look.theme, self.step, focused=self.hasFocus())
        painter.end()


class _Line(QWidget):
    """One card as a line of rings."""

    pressed = Signal(str, str)

    def __init__(self, look: Look, steps: int) -> None:
        super().__init__()
        self._look, self._names = look, QWidget()
        self.key = ""
        self.who, self.rest = label("", 12, 700), label("", 11, 400, "second", wrap=True)
        names = QVBoxLayout()
        names.setSpacing(0)
        names.addStretch()
        names.addWidget(self.who)
        names.addWidget(self.rest)
        names.addStretch()
        self._names.setLayout(names)
        names.setContentsMargins(0, 0, 0, 0)
        inside = QHBoxLayout(self)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(0)
        inside.addWidget(self._names)
        self.rings = [_Ring(look) for _ in range(steps)]
        for ring in self.rings:
            inside.addWidget(ring, 1)
            ring.clicked.connect(lambda _=False, ring=ring: self.pressed.emit(self.key, ring.step.key))
        look.changed.connect(self._fit)
        self._fit()

    def _fit(self) -> None:
        """Give it the size the text has now."""
        scale = self._look.theme.text_scale
        self.setFixedHeight(round(CARD_TALL * scale))
        self._names.setFixedWidth(round(_NAME_PX * scale))

    def show_card(self, card: ClockCard) -> None:
        """Show another card, or the same one later."""
        self.key = card.key
        self.who.setText(card.who)
        self.rest.setText(card.rest)
        line = self.layout()
        assert isinstance(line, QHBoxLayout)
        restyle(self.rest, "tone", "thin" if card.late else "second")
        for place, (ring, step) in enumerate(zip(self.rings, card.steps, strict=True), 1):
            ring.show_step(step, card.who)
            line.setStretch(place, step.share)


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
        return QSize(460, max(120, len(self.lines) * (CARD_TALL + 6)))
