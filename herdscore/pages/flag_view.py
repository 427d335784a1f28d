"""The flagged list itself: which columns it shows, how wide and in which order, sorted by what; as a table to copy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QKeySequence, QPagedPaintDevice, QResizeEvent
from typing_extensions import override

from herdscore.desk.herd_in_view import BOTH
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings, shown_columns, sort_order
from herdscore.domain.reasons import say_day
from herdscore.pages.cow_words import say_cows
from herdscore.pages.flagged_paper import copy_table, cut, print_table
from herdscore.pages.flagged_rows import COLUMNS, FIRST_SHOWN, KEYS
from herdscore.pages.wishes import PrintWish
from herdscore.parts.edit_list import EditList
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.table_paper import PaperTable
from herdscore.parts.theme import Look

SORT = sort_order("flagged")
SHOWN = shown_columns("flagged", FIRST_SHOWN)
LETTERS = "cdm"
_WIDEST_TAG = 190
_SCROLL_PX, _HEADER_PX = 16, 50
_DONE_PX = 96  # on paper the day stands beside the tick
_GIVES = {"scores": 0.3, "verdict": 0.08, "group": 0.35, "projected": 0.05}
"""Shares of their width that columns give up, in this order, before the list scrolls sideways."""


class FlagView(EditList):
    """`letter(str)`: a key the tab answers to, one of LETTERS; `order_changed()`: sorted anew; `columns_changed()`."""

    letter = Signal(str)
    order_changed = Signal()
    columns_changed = Signal()

    def __init__(self, look: Look, settings: Settings) -> None:
        super().__init__(look, COLUMNS, "Flagged cows", several=True)
        self._settings = settings
        self._longest_tag = ""
        self._times = 1.0
        header = self.horizontalHeader()
        header.setSectionsMovable(True)
        header.setFirstSectionMovable(False)
        self._arrange(self.shown)
        self._restore_order()
        header.sectionMoved.connect(self._on_dragged)
        header.sortIndicatorChanged.connect(self._on_sorted)
        look.changed.connect(self.fit)

    # Columns

    @property
    def shown(self) -> tuple[str, ...]:
        """Keys of the columns shown, in their order; the tag is always the first."""
        chosen: tuple[str, ...] = self._settings.get(SHOWN)
        kept = [key for key in dict.fromkeys(chosen) if key in KEYS and key != KEYS[0]]
        return (KEYS[0], *kept)

    def show_columns(self, keys: Sequence[str]) -> None:
        """Show these columns in this order, now and the next time."""
        self._settings.set(SHOWN, tuple(keys))
        self._arrange(self.shown)
        self.fit()
        self.columns_changed.emit()

    def widen_to(self, times: float) -> None:
        """Columns by the width of the window."""
        self._times = times
        self.fit()

    def show_longest_tag(self, tag: str) -> None:
        """Fit the first column to the tags of the herd."""
        self._longest_tag = tag
        self.fit()

    def fit(self) -> None:
        """Columns by the window and the size of the text; the tag column by its tags, some others by the room left."""
        theme, shown = self._look.theme, self.shown
        self.widen(self._times * theme.text_scale)
        self.horizontalHeader().setFixedHeight(round(_HEADER_PX * theme.text_scale))
        wanted = QFontMetricsF(theme.font(11, 700)).horizontalAdvance(self._longest_tag) + 24
        self.setColumnWidth(0, round(min(max(wanted, self.columnWidth(0)), _WIDEST_TAG * theme.text_scale)))
        over = sum(self.columnWidth(KEYS.index(key)) for key in shown) + _SCROLL_PX - self.width()
        for key, share in _GIVES.items():
            place = KEYS.index(key)
            if key in shown:
                give = max(0, min(over, round(self.columnWidth(place) * share)))
                self.setColumnWidth(place, self.columnWidth(place) - give)
                over -= give

    def _arrange(self, keys: Sequence[str]) -> None:
        header = self.horizontalHeader()
        header.blockSignals(True)
        for at, key in enumerate((*keys, *(key for key in KEYS if key not in keys))):
            header.moveSection(header.visualIndex(KEYS.index(key)), at)
        header.blockSignals(False)
        for place, key in enumerate(KEYS):
            self.setColumnHidden(place, key not in keys)

    def _on_dragged(self) -> None:
        header = self.horizontalHeader()
        order = [KEYS[header.logicalIndex(at)] for at in range(len(KEYS))]
        self.show_columns([key for key in order if not self.isColumnHidden(KEYS.index(key))])

    # Order

    def sort_or_turn(self, key: str) -> None:
        """Sort by a column; again, the other way round."""
        header = self.horizontalHeader()
        same = header.sortIndicatorSection() == KEYS.index(key)
        self.sort_by(key, descending=same and header.sortIndicatorOrder() == Qt.SortOrder.AscendingOrder)

    def _restore_order(self) -> None:
        kept = self._settings.get(SORT)
        key, descending = kept.removeprefix("-"), kept.startswith("-")
        if key in KEYS:
            self.sort_by(key, descending=descending)

    def _on_sorted(self, place: int, order: Qt.SortOrder) -> None:
        sorted_by = 0 <= place < len(COLUMNS) and COLUMNS[place].sortable
        sign = "-" if order == Qt.SortOrder.DescendingOrder else ""
        self._settings.set(SORT, f"{sign}{COLUMNS[place].key}" if sorted_by else "")
        self.order_changed.emit()

    @property
    def is_as_it_comes(self) -> bool:
        """Whether nobody sorted it: soonest act-by first."""
        return not self._settings.get(SORT)

    # As a table

    def as_table(self, *, chosen: bool = False) -> tuple[list[Column], list[ListRow]]:
        """The columns shown and the rows as they stand, all of them or those chosen."""
        places = [KEYS.index(key) for key in self.shown]
        keys = set(self.selected_keys()) if chosen else set()
        picked = [cut(places, row) for row in self.rows.rows_seen()() if not chosen or row.key in keys]
        return [COLUMNS[place] for place in places], picked

    def copy(self) -> int:
        """Put the list on the clipboard, or the cows chosen when they are several; how many rows."""
        columns, rows = self.as_table(chosen=len(self.selected_keys()) > 1)
        copy_table(columns, rows)
        return len(rows)

    def print_wish(self, herd: OpenHerd, name: str) -> PrintWish:
        """The list as it is shown, to print on A4 lying on its long side."""
        places = [KEYS.index(key) for key in self.shown]
        columns = [replace(COLUMNS[at], width=_DONE_PX) if KEYS[at] == "done" else COLUMNS[at] for at in places]
        rows_of, title = self.rows.rows_seen(), f"{herd.name}: {name.lower()}"
        block = "" if herd.block == BOTH else f", {herd.block} block"
        day = f"{say_day(herd.today)} {herd.today.year}"
        sub = f"{say_cows(self.rows.rowCount())} on {day}{block}. {herd.rulebook.phrases['caution']}"
        foot = f"{herd.name}, {day}"

        def draw(device: QPagedPaintDevice) -> int:
            rows = [cut(places, row) for row in rows_of()]
            return print_table(device, PaperTable(title, sub, columns, rows, foot))

        return PrintWish(f"The list “{name}”", True, draw)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Letters and copying go to the tab; a list would else look for a row that begins with them."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.letter.emit("copy")
        elif event.text().lower() in tuple(LETTERS) and not event.modifiers():
            self.letter.emit(event.text().lower())
        else:
            super().keyPressEvent(event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit()
