"""Two groups side by side: their strips, how far they stand apart, and their figures line by line."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.domain.group_pairs import compare
from herdscore.pages.column_widths import fit_columns
from herdscore.pages.group_view import GroupView
from herdscore.parts.buttons import button, choice_box
from herdscore.parts.cards import column, row
from herdscore.parts.group_strips import GroupStrips
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

_STRIPS_PX = 204
_LINES_PX = 60
_LINES = (
    Column("what", "", width=196, sortable=False),
    Column("left", "", right=True, width=140, weight=600, sortable=False),
    Column("right", "", right=True, width=140, weight=600, sortable=False),
)


class PairPanel(QWidget):
    """`left()`: back to all groups; `opened(cow id)`: look at her."""

    left = Signal()
    opened = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._view: GroupView | None = None
        self.boxes = (choice_box("One group"), choice_box("The other group"))
        for box in self.boxes:
            box.setSizeAdjustPolicy(box.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(8)
            box.activated.connect(lambda _: self._fill())
        self.back_button = button("All groups")
        self.claim = label("", 14, 700, wrap=True)
        self.rest = label("", 11, tone="second", wrap=True)
        self.strips = GroupStrips(look, lambda key: self._view.tip(key) if self._view is not None else "")
        self.lines = ListView(look, _LINES, "Figures of the two groups")
        self.lines.horizontalHeader().hide()
        self.strips.setMinimumHeight(_STRIPS_PX)
        self.lines.setMinimumHeight(_LINES_PX)
        look.changed.connect(self._fit)
        self._fit()
        top = row((self.boxes[0], 1), label("and", 12, tone="second"), (self.boxes[1], 1), 4, self.back_button)
        self.setLayout(
            column(top, self.claim, self.rest, (self.strips, 1), (self.lines, 1), spacing=6, margins=(14, 10, 12, 10))
        )
        self.strips.opened.connect(self.opened)
        self.back_button.clicked.connect(self.left)

    def show_view(self, view: GroupView, left: int | None = None, right: int | None = None) -> None:
        """Show two groups by their places; without them the two shown before, else the first two."""
        self._view = view
        names = [one.name for one in view.figures]
        before = [box.currentText() for box in self.boxes]
        for at, (box, wished) in enumerate(zip(self.boxes, (left, right), strict=True)):
            if [box.itemText(i) for i in range(box.count())] != names:
                box.clear()
                box.addItems(names)
            kept = names.index(before[at]) if before[at] in names else min(at, len(names) - 1)
            box.setCurrentIndex(kept if wished is None else wished)
        self._fill()

    def _fit(self) -> None:
        """Fit the lines to the size of the text."""
        px = round(QFontMetricsF(self._look.theme.font(11)).height()) + 10
        fit_columns(self.lines, self._look.theme)
        self.lines.verticalHeader().setMinimumSectionSize(px)
        self.lines.verticalHeader().setDefaultSectionSize(px)

    def focus_first(self) -> None:
        """Give the keyboard to the first box."""
        self.boxes[0].setFocus()

    @property
    def places(self) -> tuple[int, int]:
        """Places of the two groups."""
        return self.boxes[0].currentIndex(), self.boxes[1].currentIndex()

    def _fill(self) -> None:
        view, (left, right) = self._view, self.places
        if view is None or left < 0 or right < 0:
            return
        pair = compare(view.assessment, view.figures[left], view.figures[right])
        same = left == right
        self.claim.setText("Choose another group to set it against" if same else pair.claim)
        self.rest.setText("" if same else pair.rest)
        self.strips.show_picture(view.strips_of((left,) if same else (left, right), "Two groups side by side"))
        heads = ("", pair.left.name, pair.right.name)
        rows = [ListRow(key="heads", texts=heads, values=heads)]
        rows += [ListRow(key=line[0], texts=line, values=line) for line in pair.lines]
        self.lines.show_rows(rows)
        self._fit()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
