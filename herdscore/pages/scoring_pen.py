"""Which way a cow leaves the crush: three keys with their counts, the advised one chosen."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from herdscore.domain.crush_pens import Pen, Why, pen_name
from herdscore.pages.scoring_ahead import PenState
from herdscore.parts.cards import card, column, row
from herdscore.parts.crush_keys import PenKey
from herdscore.parts.labels import ShortenedLabel, label
from herdscore.parts.theme import Look

_MARKS = {Pen.LEAN: "now_up", Pen.OWN: "dot", Pen.FAT: "now_down"}
_OWN = "Own group"
_LARGE, _HIGHER = 1.3, 0.87  # size of the text from which words are spared, and what keys grow with it


class PenPanel(QWidget):
    """`pen_chosen(str)`: a key was pressed, by the name of the way out."""

    pen_chosen = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.title = ShortenedLabel(16, 700)
        self._hint = label("P changes it", 14, 400, "second")
        self.keys = {pen: PenKey(look) for pen in Pen}
        for pen, key in self.keys.items():
            key.clicked.connect(lambda _=False, pen=pen: self.pen_chosen.emit(pen.name))
        keys = row(*self.keys.values(), spacing=8)
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        head = row(self.title, None, self._hint, spacing=8)
        around.addWidget(card(column(head, keys, spacing=4, margins=(14, 6, 14, 10))))

    def set_low(self, low: bool) -> None:
        """Lower keys in a low window, higher ones in large text."""
        scale = self._look.theme.text_scale
        for key in self.keys.values():
            key.setFixedHeight(round((60 if low else 70) * max(scale * _HIGHER, 1.0)))
        self._hint.setVisible(scale < _LARGE)

    def show_pens(self, state: PenState, own: str) -> None:
        """Show the pens of the round; `own` is the group she is in."""
        names = {pen: pen_name(state.round, pen) or own or _OWN for pen in Pen}
        counts = {Pen.LEAN: state.counts.lean, Pen.OWN: state.counts.stayed, Pen.FAT: state.counts.fat}
        for pen, key in self.keys.items():
            words = f"{counts[pen]} {'stay' if pen is Pen.OWN else 'in'}"
            key.show_pen(_MARKS[pen], names[pen], words, chosen=state.chosen is pen)
        self.title.show_words("Pen: with her last site" if state.chosen is None else f"Pen: {names[state.chosen]}")


def why_pen(state: PenState) -> str:
    """Why she is not sent where her verdict would have her; empty when she is."""
    if state.advice is None:
        return ""
    if state.advice.why is Why.MID_PLAN:
        return "The pen she is for is some steps into its change: to join it now would be a sudden one."
    if state.advice.why is Why.NEVER_SLIMMED:
        return "She is never slimmed: she stays in her group."
    return ""
