"""Which columns a list shows and in which order: ticked, moved up and down, and sorted by, all by keyboard."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame
from typing_extensions import override

from herdscore.parts.buttons import button
from herdscore.parts.cards import column, row
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

_SHAPE = (
    Column("shown", "Shown", width=72, shown="tick", sortable=False),
    Column("name", "Column", width=150, sortable=False),
)


class _Names(ListView):
    """The names; Alt and the arrows move one, S sorts by it, Esc closes."""

    moved = Signal(int)
    sort_wished = Signal()
    left = Signal()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
        if alt and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.moved.emit(-1 if event.key() == Qt.Key.Key_Up else 1)
        elif event.text().lower() == "s":
            self.sort_wished.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


class ColumnsPanel(QFrame):
    """`chosen(keys)`: show these columns in this order; `sort_wished(key)`: sort by one; `left()`: closed."""

    chosen = Signal(object)
    sort_wished = Signal(str)
    left = Signal()

    def __init__(self, look: Look, columns: Sequence[Column], first_shown: Sequence[str], held: str) -> None:
        super().__init__()
        self._columns = {one.key: one for one in columns}
        self._first_shown, self._held = tuple(first_shown), held
        self._keys: list[str] = []
        self._shown: set[str] = set()
        self.names = _Names(look, _SHAPE, "Columns of the list")
        self.up_button, self.down_button = button("Up"), button("Down")
        self.sort_button, self.again_button, self.close_button = (
            button("Sort"),
            button("As at first"),
            button("Close"),
        )
        words = label("Space shows or hides, Alt ↑ ↓ moves, S sorts by it.", 11, tone="second", wrap=True)
        self.setLayout(
            column(
                label("Columns", 14, 700),
                words,
                (self.names, 1),
                row(self.up_button, self.down_button, self.sort_button),
                row(self.again_button, self.close_button),
                spacing=6,
                margins=(10, 0, 0, 0),
            )
        )
        self.names.tick_wished.connect(self._on_tick)
        self.names.moved.connect(self._move)
        self.names.sort_wished.connect(self._on_sort)
        self.names.left.connect(self.left)
        self.up_button.clicked.connect(lambda: self._move(-1))
        self.down_button.clicked.connect(lambda: self._move(1))
        self.sort_button.clicked.connect(self._on_sort)
        self.again_button.clicked.connect(self._on_again)
        self.close_button.clicked.connect(self.left)

    def show_columns(self, keys: Sequence[str]) -> None:
        """Show which columns are shown, in their order; the others follow."""
        self._shown = set(keys)
        self._keys = [*keys, *(key for key in self._columns if key not in self._shown)]
        self._fill()

    def focus_first(self) -> None:
        """Give the keyboard to the names."""
        self.names.setFocus()
        if self.names.current_key() is None:
            self.names.choose(self._keys[0])

    def _fill(self) -> None:
        rows = []
        for key in self._keys:
            name = self._columns[key].heading.replace("\n", " ")
            shown = key in self._shown
            rows.append(ListRow(key, ("shown" if shown else "hidden", name), ("", ""), (shown, None)))
        self.names.show_rows(rows)

    def _on_tick(self, key: object, on: bool) -> None:
        if key == self._held:
            return  # a list without it would not say whom it is about
        self._shown = self._shown | {str(key)} if on else self._shown - {str(key)}
        self._tell()

    def _move(self, ways: int) -> None:
        key = self.names.current_key()
        if not isinstance(key, str) or key == self._held:
            return
        at = self._keys.index(key)
        to = min(max(at + ways, 1), len(self._keys) - 1)
        self._keys.insert(to, self._keys.pop(at))
        self._tell()

    def _on_sort(self) -> None:
        key = self.names.current_key()
        if isinstance(key, str) and self._columns[key].sortable:
            self.sort_wished.emit(key)

    def _on_again(self) -> None:
        self.show_columns(self._first_shown)
        self._tell()

    def _tell(self) -> None:
        self._fill()
        self.chosen.emit(tuple(key for key in self._keys if key in self._shown))
