"""Lets the window's keys through a field that has the keyboard: Ctrl+E, and undo and redo where nothing was typed."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from typing_extensions import override


class FieldKeys(QObject):
    """A field takes undo and redo for itself even with nothing to take back, and Ctrl+E as the end of the line.

    A slash in an empty field finds a tag, as everywhere; in a date half typed it is a slash.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._on_focus_changed)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() != QEvent.Type.ShortcutOverride:
            return False
        if not isinstance(event, QKeyEvent) or not isinstance(watched, QLineEdit):
            return False
        export = event.key() == Qt.Key.Key_E and event.modifiers() == Qt.KeyboardModifier.ControlModifier
        undo, redo = (event.matches(keys) for keys in (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo))
        idle = (undo and not watched.isUndoAvailable()) or (redo and not watched.isRedoAvailable())
        find = event.text() == "/" and not watched.text()
        if export or idle or find:
            event.ignore()
            return True
        return False

    def _on_focus_changed(self, old: QWidget | None, new: QWidget | None) -> None:
        if isinstance(old, QLineEdit):
            old.removeEventFilter(self)
        if isinstance(new, QLineEdit):
            new.installEventFilter(self)
