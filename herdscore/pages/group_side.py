"""The right side of page Groups: the table, the split proposed, and the mean ways to calving."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QFontMetricsF, QResizeEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.pages.chart_saving import picture_button
from herdscore.pages.column_widths import word_widths
from herdscore.pages.group_split_card import SplitCard
from herdscore.pages.group_view import GIVES_WAY, TABLE, GroupView
from herdscore.parts.cards import card, column, row, scrolled
from herdscore.parts.group_paths import GroupPaths
from herdscore.parts.labels import label
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

_MOST_ROWS = 5
_ROW_PX = 34
_BAR_PX = 14
_LEAST_NAME, _MOST_NAME = 84, 190
_PATHS_PX = 200
PATHS = "the way to calving"
WAYS_TITLE = "Mean score less target on the way to calving"
WAYS_HOW = "Dots: rounds scored. Dotted: projected. Left of the first line a change may begin."


class GroupSide(QWidget):
    """`group_chosen(place)`: another row of the table; `group_opened(place)`: Enter on it."""

    group_chosen = Signal(int)
    group_opened = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.table = ListView(look, TABLE, "Figures of the groups")
        self.split = SplitCard(look)
        self.paths = GroupPaths(look)
        self.paths.setMinimumHeight(_PATHS_PX)
        self.picture_button = picture_button(PATHS)
        words = column(label(WAYS_TITLE, 14, 700, wrap=True), label(WAYS_HOW, 11, tone="second", wrap=True), spacing=2)
        of_paths = column(
            row((words, 1), self.picture_button, spacing=12),
            (self.paths, 1),
            spacing=2,
            margins=(14, 8, 10, 6),
        )
        inside = QWidget()
        inside.setLayout(
            column(
                card(column(self.table, margins=(6, 6, 6, 4))),
                card(column(self.split)),
                (card(of_paths), 1),
                spacing=10,
            )
        )
        self.area = scrolled(inside)
        self.setLayout(column((self.area, 1)))
        self.table.chosen.connect(self._on_moved)
        self.table.opened.connect(self._on_opened)
        look.changed.connect(self._fit)

    def show_view(self, view: GroupView) -> None:
        """Show the groups of a view."""
        self.table.show_rows(view.rows())
        self.paths.show_picture(view.paths)
        self.picture_button.setEnabled(bool(view.paths.lines))
        self._fit()

    def choose(self, place: int) -> None:
        """Choose the row of a group; no signal."""
        self.table.blockSignals(True)
        self.table.choose(place)
        self.table.blockSignals(False)

    def _fit(self) -> None:
        """Columns as wide as their words, some left out where there is no room; rows as there are, up to five."""
        theme, table = self._look.theme, self.table
        px = max(_ROW_PX, round(QFontMetricsF(theme.font(11)).height()) + 12)
        table.horizontalHeader().setFixedHeight(2 * px - 14)
        table.verticalHeader().setMinimumSectionSize(px)
        table.verticalHeader().setDefaultSectionSize(px)
        wanted = word_widths(table, theme)
        wanted[0] = min(wanted[0], round(_MOST_NAME * theme.text_scale))
        scrolls = table.rows.rowCount() > _MOST_ROWS
        room = table.width() - (_BAR_PX if scrolls else 0) - 2
        for key in GIVES_WAY:
            place = table.rows.column_place(key)
            table.setColumnHidden(place, sum(wanted) > room)
            if sum(wanted) > room:
                wanted[place] = 0
        wanted[0] = max(wanted[0] - (sum(wanted) - room), round(_LEAST_NAME * theme.text_scale))
        for place, width in enumerate(wanted):
            if width:
                table.setColumnWidth(place, width)
        rows = min(max(table.rows.rowCount(), 1), _MOST_ROWS)
        bar = _BAR_PX if sum(wanted) > room else 0
        table.setFixedHeight(table.horizontalHeader().height() + rows * px + 4 + bar)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _on_moved(self, key: object) -> None:
        if isinstance(key, int):
            self.group_chosen.emit(key)

    def _on_opened(self, key: object) -> None:
        if isinstance(key, int):
            self.group_opened.emit(key)
