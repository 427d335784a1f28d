"""A list whose cells are changed in place and whose rows are struck out, several at once, all by keyboard."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from PySide6.QtCore import QEvent, QItemSelectionModel, QObject, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractItemView, QComboBox, QLineEdit
from typing_extensions import override

from herdscore.parts.buttons import choice_box
from herdscore.parts.labels import restyle
from herdscore.parts.list_model import Column, ListRow, RowSource
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

_EDITOR_PX = (150, 40)
_LEAVES = (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason, Qt.FocusReason.MenuBarFocusReason)


class EditList(ListView):
    """`edit_wished(key, column)`: Enter or F2 on a cell of `editable`, answer with `begin_edit`.

    `typed(key, column, text)`: Enter in the cell, answer with `end_edit` or leave it open; `struck(keys)`: Delete;
    `selection()`: other rows are chosen.
    """

    edit_wished = Signal(object, str)
    typed = Signal(object, str, str)
    edit_left = Signal()
    struck = Signal(object)
    selection = Signal()

    def __init__(
        self,
        look: Look,
        columns: Sequence[Column],
        name: str = "",
        *,
        editable: Sequence[str] = (),
        several: bool = False,
    ) -> None:
        super().__init__(look, columns, name)
        self._editable = tuple(editable)
        self._cell: tuple[Hashable, str] | None = None
        self.editor: QLineEdit | QComboBox | None = None
        if several:
            self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.selectionModel().selectionChanged.connect(lambda: self.selection.emit())
        for bar in (self.verticalScrollBar(), self.horizontalScrollBar()):
            bar.valueChanged.connect(self._put_editor)

    # Which rows are chosen

    def selected_keys(self) -> list[Hashable]:
        """What the chosen rows are about, from the top."""
        places = sorted(index.row() for index in self.selectionModel().selectedRows())
        return [self.rows.row_at(place).key for place in places]

    @override
    def choose(self, key: Hashable | None) -> bool:
        place = None if key is None else self.rows.place_of(key)
        if place is None:
            return False
        self.setCurrentIndex(self.rows.index(place, max(0, self.currentIndex().column())))
        return True

    @override
    def show_rows(self, rows: Sequence[ListRow] | RowSource) -> None:
        column, keys = max(0, self.currentIndex().column()), self.selected_keys()
        super().show_rows(rows)
        self._take_up(column, keys)

    @override
    def show_only(self, kept: object) -> None:
        column, keys = max(0, self.currentIndex().column()), self.selected_keys()
        super().show_only(kept)  # type: ignore[arg-type]
        self._take_up(column, keys)

    def select(self, keys: Sequence[Hashable]) -> None:
        """Choose several rows beside the one moved to."""
        how = QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows
        for key in keys:
            place = self.rows.place_of(key)
            if place is not None:
                self.selectionModel().select(self.rows.index(place, 0), how)

    def _take_up(self, column: int, keys: Sequence[Hashable]) -> None:
        """After other rows: the same column, the same rows chosen, the cell being changed still open."""
        index = self.currentIndex()
        if index.isValid() and index.column() != column:
            how = QItemSelectionModel.SelectionFlag.NoUpdate
            self.selectionModel().setCurrentIndex(self.rows.index(index.row(), column), how)
        if len(keys) > 1 and self.selectionMode() != QAbstractItemView.SelectionMode.SingleSelection:
            self.select(keys)
        self._put_editor()

    # Changing a cell

    @property
    def is_editing(self) -> bool:
        """Whether a cell is open."""
        return self._cell is not None

    def begin_edit(
        self, text: str, choices: Sequence[tuple[str, str]] = (), names: Sequence[str] = (), name: str = ""
    ) -> None:
        """Open the cell moved to: a line to type in, one of several (key, words), or names to type or to take."""
        index = self.currentIndex()
        if not index.isValid():
            return
        self.end_edit()
        self._cell = (self.rows.row_at(index.row()).key, self.rows.columns[index.column()].key)
        self.editor = _editor(text, choices, names, name)
        self.editor.setParent(self.viewport())
        self.editor.installEventFilter(self)
        line = self.editor.lineEdit() if isinstance(self.editor, QComboBox) else self.editor
        if line is not None:
            line.installEventFilter(self)
            line.setAcceptDrops(False)
        self._put_editor()
        self.editor.show()
        self.editor.setFocus()
        if line is not None:
            line.selectAll()

    def show_wrong(self) -> None:
        """Mark what is typed as wrong and leave the cell open."""
        if self.editor is not None:
            restyle(self.editor, "wrong", "true")

    def end_edit(self) -> None:
        """Close the cell."""
        editor, self.editor, self._cell = self.editor, None, None
        if editor is not None:
            had_keyboard = editor.hasFocus()
            editor.removeEventFilter(self)
            editor.hide()
            editor.deleteLater()
            if had_keyboard:
                self.setFocus()
            self.edit_left.emit()

    def editor_text(self) -> str:
        """What stands in the open cell."""
        if isinstance(self.editor, QLineEdit):
            return self.editor.text()
        if self.editor is None:
            return ""
        return self.editor.currentText() if self.editor.isEditable() else str(self.editor.currentData())

    def _put_editor(self) -> None:
        if self.editor is None or self._cell is None:
            return
        place = self.rows.place_of(self._cell[0])
        if place is None:
            self.end_edit()
            return
        cell = self.visualRect(self.rows.index(place, self.rows.column_place(self._cell[1])))
        width = min(max(cell.width(), round(_EDITOR_PX[0] * self._look.theme.text_scale)), self.viewport().width())
        left = max(0, min(cell.left(), self.viewport().width() - width))
        tall = max(_EDITOR_PX[1], self.editor.sizeHint().height())
        self.editor.setGeometry(QRect(left, cell.center().y() - tall // 2, width, tall))

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Tab):
                self._commit()
                return True
            if event.key() == Qt.Key.Key_Escape:
                self.end_edit()
                self.setFocus()
                return True
        if event.type() == QEvent.Type.FocusOut and watched is self.editor:
            reason = event.reason()  # type: ignore[attr-defined]
            if reason not in _LEAVES:
                self._commit()
        return super().eventFilter(watched, event)

    def _commit(self) -> None:
        if self._cell is not None:
            self.typed.emit(self._cell[0], self._cell[1], self.editor_text())

    # Keys and the ring

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        index, key = self.currentIndex(), event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_F2) and index.isValid():
            column = self.rows.columns[index.column()].key
            row = self.rows.row_at(index.row()).key
            if column in self._editable:
                self.edit_wished.emit(row, column)
            else:
                self.opened.emit(row)
        elif key == Qt.Key.Key_Delete and index.isValid():
            self.struck.emit(self.selected_keys() or [self.rows.row_at(index.row()).key])
        else:
            super().keyPressEvent(event)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        index = self.currentIndex()
        if not (self.hasFocus() and index.isValid()) or self.rows.columns[index.column()].key not in self._editable:
            return
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self._look.theme["focus"], 2))
        painter.drawRoundedRect(self.visualRect(index).adjusted(2, 3, -2, -4), 5, 5)
        painter.end()


def _editor(text: str, choices: Sequence[tuple[str, str]], names: Sequence[str], name: str) -> QLineEdit | QComboBox:
    if not choices and not names:
        line = QLineEdit(text)
        line.setProperty("pt", "11")
        line.setAccessibleName(name)
        return line
    box = choice_box(name, points=11, height=_EDITOR_PX[1])
    box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    for key, words in choices:
        box.addItem(words, key)
    if names:
        box.setEditable(True)
        box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        box.setCompleter(None)  # type: ignore[arg-type]
        box.addItems(list(names))
        box.setCurrentIndex(box.findText(text))
        box.setEditText(text)
    else:
        box.setCurrentIndex(max(0, box.findData(text)))
    return box
