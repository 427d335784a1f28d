"""A group of one's own: cows ticked in a list that can be narrowed by tag, name, group or breed."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.domain.cow_search import CowSearch
from herdscore.domain.reasons import say_day
from herdscore.domain.verdict import Verdict
from herdscore.pages.column_widths import fit_columns
from herdscore.pages.cow_words import say_cows
from herdscore.pages.flagged_list import SearchBox
from herdscore.pages.group_view import GroupView
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, row
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

_COLUMNS = (
    Column("in", "In", width=44, shown="tick", sortable=False),
    Column("tag", "Tag", width=66, weight=700),
    Column("group", "Group", width=106),
    Column("calves", "Calves", kind="date", width=66),
    Column("verdict", "Verdict", width=110, shown="verdict"),
)


class ChoicePanel(QWidget):
    """`chosen(set of cow ids)`: compare these with all others; `left()`: as it was."""

    chosen = Signal(object)
    left = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._view: GroupView | None = None
        self._ticked: set[str] = set()
        self._shown: list[str] = []
        self._search: CowSearch | None = None
        self._title = label("", 14, 700)
        self.search = SearchBox("Find tag, group, breed", 220)
        self.list = ListView(look, _COLUMNS, "Cows to compare")
        self.all_button = button("Tick shown")
        self.none_button = button("Untick")
        self.done_button = button("Compare them", "main")
        self.setLayout(
            column(
                row(self._title, None, self.search),
                (self.list, 1),
                row(self.done_button, self.all_button, self.none_button, None),
                spacing=8,
                margins=(14, 10, 12, 10),
            )
        )
        look.changed.connect(self._fit_list)
        self._fit_list()
        self.search.textChanged.connect(self._fill)
        self.search.left.connect(self.list.setFocus)
        self.search.entered.connect(self._on_entered)
        self.list.tick_wished.connect(self._on_tick)
        self.all_button.clicked.connect(lambda: self._tick_shown(on=True))
        self.none_button.clicked.connect(lambda: self._tick_shown(on=False))
        self.done_button.clicked.connect(lambda: self.chosen.emit(set(self._ticked)))

    def show_view(self, view: GroupView, ticked: set[str]) -> None:
        """Show the cows of a view, some of them ticked."""
        self._view, self._ticked = view, set(ticked)
        a = view.assessment
        self._search = CowSearch(a.snapshot.cows, [a.groups.names[g] for g in a.groups.now.tolist()])
        self._fill()

    def focus_first(self) -> None:
        """Give the keyboard to the search box."""
        self.search.setFocus()
        self.search.selectAll()

    def _fit_list(self) -> None:
        fit_columns(self.list, self._look.theme)

    def _fill(self) -> None:
        view = self._view
        if view is None or self._search is None:
            return
        a = view.assessment
        inside = view.among & ~a.facts.gone
        if self.search.text().strip():
            inside = inside & self._search.matches(self.search.text())
        places = np.flatnonzero(inside).tolist()
        self._shown = [str(a.snapshot.cows.id[cow]) for cow in places]
        self.list.show_rows([self._row(view, cow) for cow in places])
        self._fit_list()
        self._title.setText(f"Own choice: {say_cows(len(self._ticked))}")

    def _row(self, view: GroupView, cow: int) -> ListRow:
        a = view.assessment
        cow_id = str(a.snapshot.cows.id[cow])
        word = a.rulebook.words[Verdict(a.verdict[cow]).key]
        group = a.groups.names[int(a.groups.now[cow])] or ""
        day = a.day(a.dates.day[cow])
        return ListRow(
            key=cow_id,
            texts=("", view.tags[cow], group, "" if day is None else say_day(day, a.today), word.word),
            values=(None, f"{cow:07d}", group, day, word.word),
            extras=(cow_id in self._ticked, None, None, None, word.mark),
        )

    def _on_tick(self, key: object, on: bool) -> None:
        (self._ticked.add if on else self._ticked.discard)(str(key))
        self._fill()

    def _tick_shown(self, *, on: bool) -> None:
        self._ticked = self._ticked | set(self._shown) if on else self._ticked - set(self._shown)
        self._fill()

    def _on_entered(self) -> None:
        """Enter ticks the only cow left, else goes on to the list."""
        if len(self._shown) == 1:
            self._on_tick(self._shown[0], self._shown[0] not in self._ticked)
            self.search.selectAll()
        else:
            self.list.setFocus()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
