"""The list on a page: rows of a fixed height, one chosen, opened with Enter or a double click."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QTableView, QWidget
from typing_extensions import override

from herdscore.parts.delegates import RowDelegate, SparkDelegate, TickDelegate, VerdictDelegate
from herdscore.parts.list_model import Column, ListModel, ListRow, RowSource
from herdscore.parts.theme import Look

ROW_PX = 40
WIDE_PX = 1700  # width of the window from which columns are a quarter wider
_DELEGATES = {"words": RowDelegate, "verdict": VerdictDelegate, "spark": SparkDelegate, "tick": TickDelegate}


class ListView(QTableView):
    """A list over a `ListModel`.

    `opened(key)`: Enter or a double click; `chosen(key)`: the row moved to, or None; `tick_wished(key, on)`: Space or a
    click on the tick.
    """

    opened = Signal(object)
    chosen = Signal(object)
    tick_wished = Signal(object, bool)

    def __init__(self, look: Look, columns: Sequence[Column], name: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self.rows = ListModel(columns, self)
        self.rows.tick_wished.connect(self.tick_wished)
        self._tick_place = next((at for at, column in enumerate(columns) if column.shown == "tick"), None)
        self.setModel(self.rows)
        self.setAccessibleName(name)
        self._set_up_rows()
        self._set_up_header(columns)
        for place, column in enumerate(columns):
            self.setItemDelegateForColumn(place, _DELEGATES[column.shown](look, self))
        self.doubleClicked.connect(self._on_double_clicked)
        self.clicked.connect(self._on_clicked)
        self.selectionModel().currentRowChanged.connect(self._on_moved)

    def _set_up_rows(self) -> None:
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setMouseTracking(False)
        rows = self.verticalHeader()
        rows.hide()
        rows.setMinimumSectionSize(ROW_PX)
        rows.setDefaultSectionSize(ROW_PX)
        self.verticalScrollBar().setSingleStep(ROW_PX)

    def _set_up_header(self, columns: Sequence[Column]) -> None:
        header = self.horizontalHeader()
        header.setProperty("pt", "11")
        header.setFixedHeight(50 if any("\n" in column.heading for column in columns) else ROW_PX)
        header.setHighlightSections(False)
        header.setStretchLastSection(True)
        header.setMinimumSectionSize(36)
        header.setSortIndicatorClearable(True)
        header.setSortIndicator(-1, Qt.SortOrder.AscendingOrder)
        self.setSortingEnabled(True)
        self.widen(1.0)

    def widen(self, times: float) -> None:
        """Set column widths to their own, times a factor."""
        for place, column in enumerate(self.rows.columns):
            self.setColumnWidth(place, round(column.width * times))

    def show_rows(self, rows: Sequence[ListRow] | RowSource) -> None:
        """Swap all rows; the cow chosen stays chosen if she is still there."""
        key = self.current_key()
        self.rows.show_rows(rows)
        self.choose(key)

    def show_only(self, kept: NDArray[np.intp] | Sequence[int] | None) -> None:
        """Show only the rows at these places of `show_rows`; None shows all."""
        key = self.current_key()
        self.rows.show_only(kept)
        self.choose(key)

    def sort_by(self, key: str, *, descending: bool = False) -> None:
        """Sort by a column; missing values come last."""
        order = Qt.SortOrder.DescendingOrder if descending else Qt.SortOrder.AscendingOrder
        self.sortByColumn(self.rows.column_place(key), order)

    def current_key(self) -> Hashable | None:
        """What the chosen row is about."""
        index = self.currentIndex()
        return self.rows.row_at(index.row()).key if index.isValid() else None

    def choose(self, key: Hashable | None) -> bool:
        """Move to the row with a key and bring it into sight; False if it is not shown."""
        place = None if key is None else self.rows.place_of(key)
        if place is None:
            return False
        self.setCurrentIndex(self.rows.index(place, 0))
        return True

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        index = self.currentIndex()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and index.isValid():
            self.opened.emit(self.rows.row_at(index.row()).key)
        elif event.key() == Qt.Key.Key_Space and index.isValid() and self._tick_place is not None:
            self._wish_tick(index)
        else:
            super().keyPressEvent(event)

    def _on_clicked(self, index: QModelIndex) -> None:
        if index.column() == self._tick_place:
            self._wish_tick(index)

    def _on_double_clicked(self, index: QModelIndex) -> None:
        if index.column() != self._tick_place:
            self.opened.emit(self.rows.row_at(index.row()).key)

    def _wish_tick(self, index: QModelIndex) -> None:
        place = self._tick_place
        if place is not None:
            row = self.rows.row_at(index.row())
            self.tick_wished.emit(row.key, not row.extras[place])

    def _on_moved(self, current: QModelIndex) -> None:
        self.chosen.emit(self.rows.row_at(current.row()).key if current.isValid() else None)
