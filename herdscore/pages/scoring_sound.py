"""Optional sound at the crush: one tone for a cow saved, two for a question."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication

from herdscore.desk.settings import SOUND, Settings

BETWEEN_MS = 220


class Sounds(QObject):
    """The computer's own tone, when it is chosen."""

    def __init__(self, settings: Settings, parent: QObject) -> None:
        super().__init__(parent)
        self._settings = settings

    def saved(self) -> None:
        """A cow is saved."""
        if self._settings.get(SOUND) == "on":
            QApplication.beep()

    def question(self) -> None:
        """Something is asked."""
        if self._settings.get(SOUND) == "on":
            QApplication.beep()
            QTimer.singleShot(BETWEEN_MS, self, QApplication.beep)
