"""A tab of a page: worked out anew when the herd moves, but only once somebody looks at it."""

from __future__ import annotations

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override


class FreshTab(QWidget):
    """Tabs give `renew` and `focus_first`."""

    def __init__(self) -> None:
        super().__init__()
        self._stale = True

    def renew(self) -> None:
        """Work out what is shown."""
        raise NotImplementedError

    def focus_first(self) -> None:
        """Give the keyboard to the right widget."""
        raise NotImplementedError

    def freshen(self) -> None:
        """Work it out if the herd moved since."""
        if self._stale:
            self._stale = False
            self.renew()

    def herd_moved(self) -> None:
        """The herd, the day or the block is another one."""
        self._stale = True
        if self.isVisible():
            self.freshen()

    @override
    def showEvent(self, event: QShowEvent) -> None:
        self.freshen()
        super().showEvent(event)
