"""The keys every form answers: Enter saves, Esc leaves, and Enter on a plain button presses it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QPushButton


def form_key(event: QKeyEvent, save: Callable[[], None], leave: Callable[[], None]) -> bool:
    """Do what a key means in a form; False when it means nothing there."""
    if event.key() == Qt.Key.Key_Escape:
        leave()
        return True
    if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        return False
    focused = QApplication.focusWidget()
    if isinstance(focused, QPushButton) and not focused.isCheckable():
        focused.click()
    else:
        save()
    return True
