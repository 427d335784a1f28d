"""The first line of page Groups: compare by what, two side by side, choose cows, write out."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from herdscore.domain.grouping import GROUP, OWN, WAYS
from herdscore.pages.chart_saving import picture_button
from herdscore.parts.buttons import Pills, button, choice_box
from herdscore.parts.cards import row
from herdscore.parts.labels import label
from herdscore.parts.theme import Look

STRIPS = "groups"
_PILLS_FROM_PX = 1180  # width of the page at text as it is, from which all ways stand side by side


class GroupTop(QWidget):
    """`way_chosen(key)`: compare by another way; the others are the buttons."""

    way_chosen = Signal(str)
    choice_wished = Signal()
    table_wished = Signal()
    chart_wished = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.pills = Pills(WAYS, "Compare by")
        self.box = choice_box("Compare by", [words for _, words in WAYS])
        self.choose_button = button("Choose cows")
        self.table_button = button("Export table")
        self.chart_button = picture_button(STRIPS)
        words = label("Compare by", 12, tone="second")
        line = row(
            words, self.pills, self.box, self.choose_button, None, self.table_button, self.chart_button, spacing=10
        )
        self.setLayout(line)
        self.pills.chosen.connect(self._on_chosen)
        self.box.activated.connect(lambda at: self._on_chosen(WAYS[at][0]))
        self.choose_button.clicked.connect(self.choice_wished)
        self.table_button.clicked.connect(self.table_wished)
        self.chart_button.clicked.connect(self.chart_wished)
        look.changed.connect(self._fit)
        self.show_way(GROUP)
        self.widen(0)

    def show_way(self, way: str) -> None:
        """Show which way is chosen; no signal."""
        self.pills.choose(way)
        self.box.setCurrentIndex([key for key, _ in WAYS].index(way))
        # What goes is hidden before what comes is shown: both at once could push the window wider.
        if way != OWN:
            self.choose_button.hide()
        self._fit()
        self.choose_button.setVisible(way == OWN)

    def widen(self, width: int) -> None:
        """Fit the line to the width of the page: pills where there is room, else a choice box."""
        self._width = width
        self._fit()

    _width = 0

    def focus_first(self) -> None:
        """Give the keyboard to the ways."""
        if self.pills.isVisible():
            self.pills.button(self.pills.current).setFocus()
        else:
            self.box.setFocus()

    def _fit(self) -> None:
        more = 150 if self.pills.current == OWN else 0
        roomy = self._width >= (_PILLS_FROM_PX + more) * self._look.theme.text_scale
        leaves, comes = (self.box, self.pills) if roomy else (self.pills, self.box)
        leaves.hide()
        comes.show()

    def _on_chosen(self, way: str) -> None:
        self.show_way(way)
        self.way_chosen.emit(way)
