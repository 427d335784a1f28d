"""Rows of a list, prepared beforehand: the model only looks up, sorts and filters by an index array."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import Any, Literal, Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal
from typing_extensions import override

AnyIndex = QModelIndex | QPersistentModelIndex
Kind = Literal["text", "number", "date"]
Shown = Literal["words", "verdict", "spark", "tick"]

EXTRA_ROLE = Qt.ItemDataRole.UserRole  # mark name of a verdict cell, Spark of a spark cell, bool of a tick cell
DONE_ROLE = Qt.ItemDataRole.UserRole + 1  # the row is done with and goes quiet
KEY_ROLE = Qt.ItemDataRole.UserRole + 2  # what the row is about
_NOWHERE = QModelIndex()


@dataclass(frozen=True)
class Column:
    """One column: its key, heading (may hold a line break), how it sorts, how it is drawn, width in px, weight."""

    key: str
    heading: str
    kind: Kind = "text"
    right: bool = False
    width: int = 100
    shown: Shown = "words"
    weight: int = 400
    sortable: bool = True


@dataclass(frozen=True)
class ListRow:
    """One row as it is shown. One entry a column: words; value to sort by (None, NaN, NaT or "" = missing); extra."""

    key: Hashable
    texts: tuple[str, ...]
    values: tuple[Any, ...]
    extras: tuple[Any, ...] = ()
    done: bool = False


class RowSource(Protocol):
    """Rows made when they are asked for, for lists too long to prepare as a whole."""

    def __len__(self) -> int: ...

    def row(self, place: int) -> ListRow:
        """The row at a place."""
        ...

    def key(self, place: int) -> Hashable:
        """Its key, without making the row."""
        ...

    def values(self, column: int) -> Sequence[Any]:
        """Values of a column to sort by, of all rows."""
        ...


@runtime_checkable
class MakesMany(Protocol):
    """A source of rows that makes many at once, quicker than one by one; a job may ask it too."""

    def make(self, places: Sequence[int]) -> list[ListRow]:
        """The rows at these places, made anew."""
        ...


class _Prepared:
    """Rows that are there already."""

    def __init__(self, rows: Sequence[ListRow]) -> None:
        self._rows = tuple(rows)

    def __len__(self) -> int:
        return len(self._rows)

    def row(self, place: int) -> ListRow:
        return self._rows[place]

    def key(self, place: int) -> Hashable:
        return self._rows[place].key

    def values(self, column: int) -> Sequence[Any]:
        return [row.values[column] for row in self._rows]


class ListModel(QAbstractTableModel):
    """A table over prepared rows; `tick_wished` asks for a tick, the page answers with new rows."""

    tick_wished = Signal(object, bool)

    def __init__(self, columns: Sequence[Column], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.columns = tuple(columns)
        self._rows: RowSource = _Prepared(())
        self._shown: NDArray[np.intp] = np.arange(0)
        self._kept: NDArray[np.intp] | None = None
        self._order: tuple[int, bool] | None = None
        self._sort_values: dict[int, NDArray[Any]] = {}
        self._align = [
            (Qt.AlignmentFlag.AlignRight if column.right else Qt.AlignmentFlag.AlignLeft)
            | Qt.AlignmentFlag.AlignVCenter
            for column in self.columns
        ]

    def show_rows(self, rows: Sequence[ListRow] | RowSource) -> None:
        """Swap all rows; the order chosen is kept, a filter by place is not."""
        self.beginResetModel()
        self._rows = _Prepared(rows) if isinstance(rows, Sequence) else rows
        self._kept = None
        self._sort_values = {}
        self._shown = self._arranged()
        self.endResetModel()

    def show_only(self, kept: NDArray[np.intp] | Sequence[int] | None) -> None:
        """Show only the rows at these places of `show_rows`; None shows all."""
        self.beginResetModel()
        self._kept = None if kept is None else np.asarray(kept, dtype=np.intp)
        self._shown = self._arranged()
        self.endResetModel()

    def row_at(self, place: int) -> ListRow:
        """The row seen at a place."""
        return self._rows.row(int(self._shown[place]))

    def rows_seen(self) -> Callable[[], list[ListRow]]:
        """What answers the rows as they are seen now; a job may call it while the list goes on."""
        rows, places = self._rows, self._shown.tolist()
        return lambda: rows.make(places) if isinstance(rows, MakesMany) else [rows.row(place) for place in places]

    def place_of(self, key: Hashable) -> int | None:
        """Where the row with a key is seen, if it is."""
        for place, at in enumerate(self._shown.tolist()):
            if self._rows.key(at) == key:
                return place
        return None

    def column_place(self, key: str) -> int:
        """Place of the column with a key."""
        return [column.key for column in self.columns].index(key)

    @override
    def rowCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._shown)

    @override
    def columnCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.columns)

    @override
    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid():
            return None
        row, place = self._rows.row(int(self._shown[index.row()])), index.column()
        if role == Qt.ItemDataRole.DisplayRole:
            return row.texts[place]
        if role == EXTRA_ROLE:
            return row.extras[place] if row.extras else None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return self._align[place]
        if role == DONE_ROLE:
            return row.done
        if role == KEY_ROLE:
            return row.key
        if role == Qt.ItemDataRole.CheckStateRole and self.columns[place].shown == "tick":
            return Qt.CheckState.Checked if row.extras[place] else Qt.CheckState.Unchecked
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{self.columns[place].heading.replace(chr(10), ' ')}: {row.texts[place] or 'none'}"
        return None

    @override
    def setData(self, index: AnyIndex, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        if (
            role != Qt.ItemDataRole.CheckStateRole
            or not index.isValid()
            or self.columns[index.column()].shown != "tick"
        ):
            return False
        self.tick_wished.emit(self.row_at(index.row()).key, Qt.CheckState(value) == Qt.CheckState.Checked)
        return True

    @override
    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        flags = super().flags(index)
        if index.isValid() and self.columns[index.column()].shown == "tick":
            flags |= Qt.ItemFlag.ItemIsUserCheckable
        return flags

    @override
    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self.columns[section].heading
        if role == Qt.ItemDataRole.TextAlignmentRole:
            if self.columns[section].shown == "tick":
                return Qt.AlignmentFlag.AlignCenter
            return self._align[section]
        return None

    @override
    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        descending = order == Qt.SortOrder.DescendingOrder
        wanted = (column, descending) if 0 <= column < len(self.columns) and self.columns[column].sortable else None
        self.layoutAboutToBeChanged.emit()
        held = self.persistentIndexList()
        rows_held = [int(self._shown[index.row()]) for index in held]
        self._order = wanted
        self._shown = self._arranged()
        where = np.empty(len(self._rows), dtype=np.intp)
        where[self._shown] = np.arange(len(self._shown))
        moved = [self.index(int(where[row]), index.column()) for row, index in zip(rows_held, held, strict=True)]
        self.changePersistentIndexList(held, moved)
        self.layoutChanged.emit()

    def _arranged(self) -> NDArray[np.intp]:
        shown = np.arange(len(self._rows)) if self._kept is None else self._kept
        if self._order is None or not len(shown):
            return shown
        column, descending = self._order
        values = self._values(column)[shown]
        return shown[sorted_places(values, descending=descending)]

    def _values(self, column: int) -> NDArray[Any]:
        if column not in self._sort_values:
            self._sort_values[column] = sort_values(self._rows.values(column), self.columns[column].kind)
        return self._sort_values[column]


def sort_values(raw: Sequence[Any], kind: Kind) -> NDArray[Any]:
    """Values of a column as one array argsort understands: floats (NaN missing), or words ("" missing)."""
    if kind == "text":
        return np.array(["" if value is None else str(value).casefold() for value in raw], dtype=object)
    if kind == "number":
        return np.array([np.nan if value is None else value for value in raw], dtype=float)
    return np.array([_day_number(value) for value in raw], dtype=float)


def _day_number(value: Any) -> float:
    if value is None:
        return np.nan
    day = np.datetime64(value, "D")
    return np.nan if np.isnat(day) else float(day.astype(np.int64))


def sorted_places(values: NDArray[Any], *, descending: bool) -> NDArray[np.intp]:
    """Places in order of value; equal values keep their order, missing ones come last either way."""
    missing = values == "" if values.dtype == object else np.isnan(values)
    known, unknown = np.flatnonzero(~missing), np.flatnonzero(missing)
    if descending:
        backwards = known[::-1]
        ordered = backwards[np.argsort(values[backwards], kind="stable")][::-1]
    else:
        ordered = known[np.argsort(values[known], kind="stable")]
    return np.concatenate([ordered, unknown])
