"""The card with all groups as strips: its finding as title, the strips, and what the shapes mean."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from herdscore.pages.group_view import GroupView
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, holder, row, scrolled
from herdscore.parts.group_strips import GroupStrips
from herdscore.parts.labels import label
from herdscore.parts.mark_flow import MarkFlow
from herdscore.parts.theme import Look

_KEY = (
    (("now_up", "now_down"), "begin now"),
    (("bull",), "feed for the bull"),
    (("hand_up", "hand_down"), "time in hand"),
    (("part_up", "part_down"), "part way"),
    (("square",), "nothing new"),
    (("dot",), "on course"),
    (("gaining",), "gaining well"),
    (("again", "cross"), "to score"),
    (("vet",), "vet first"),
    (("early",), "too early to say"),
)


class StripsCard(QWidget):
    """`pair_wished()`: two side by side."""

    pair_wished = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._view: GroupView | None = None
        self.title = label("", 14, 700, wrap=True)
        self._said = label(
            "Score less target, one mark a cow; bar: middle half and median.", 11, tone="second", wrap=True
        )
        self.pair_button = button("Two side by side")
        self.strips = GroupStrips(look, lambda key: self._view.tip(key) if self._view is not None else "")
        self.key = MarkFlow(look, _KEY)
        head = row((self.title, 1), self.pair_button, spacing=10)
        shown = column(head, self._said, (self.strips, 1), self.key, spacing=6, margins=(14, 10, 12, 8))
        self.setLayout(column(scrolled(holder(shown))))
        self.pair_button.clicked.connect(self.pair_wished)

    def show_view(self, view: GroupView) -> None:
        """Show the groups of a view, and of the shapes those that are on it."""
        self._view = view
        self.title.setText(view.finding)
        self.strips.show_picture(view.strips)
        used = {mark for strip in view.strips.strips for mark in strip.marks}
        self.key.show_items([(marks, words) for marks, words in _KEY if used & set(marks)])
        self.pair_button.setEnabled(len(view.figures) > 1)
