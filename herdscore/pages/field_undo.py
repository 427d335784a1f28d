"""Lets Ctrl+Z and Ctrl+Y reach the herd while an empty or untouched field has the keyboard."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from typing_extensions import override


class FieldUndo(QObject):
    """A field takes these keys for itself even when it has nothing to take back; here it is passed over then."""

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
        undo, redo = (event.matches(keys) for keys in (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo))
        if (undo and not watched.isUndoAvailable()) or (redo and not watched.isRedoAvailable()):
            event.ignore()
            return True
        return False

    def _on_focus_changed(self, old: QWidget | None, new: QWidget | None) -> None:
        if isinstance(old, QLineEdit):
            old.removeEventFilter(self)
        if isinstance(new, QLineEdit):
            new.installEventFilter(self)
