"""Cows that fit the digits typed for a calving, or those due next: a row each, taken with Enter or a press."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from herdscore.pages.calving_words import due_words
from herdscore.pages.calving_work import MOST_SHOWN, CalvingWork
from herdscore.parts.buttons import button
from herdscore.parts.labels import restyle

_ACROSS = 3


class CowsThatFit(QWidget):
    """`taken(cow)`: her place in the snapshot."""

    taken = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self._cows: list[int] = []
        self.rows = [button("", "row", height=48) for _ in range(MOST_SHOWN)]
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(8)
        for place, one in enumerate(self.rows):
            one.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            one.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            one.clicked.connect(lambda _=False, place=place: self.taken.emit(self._cows[place]))
            grid.addWidget(one, place // _ACROSS, place % _ACROSS)
        grid.setRowStretch(len(self.rows) // _ACROSS, 1)

    def show_cows(self, work: CalvingWork) -> None:
        """Show who fits, and whom Enter takes."""
        self._cows = work.fitting
        plain = work.found.takes if work.typed.strip() and work.at == 0 else None
        for place, one in enumerate(self.rows):
            one.setVisible(place < len(self._cows))
            if place < len(self._cows):
                cow = self._cows[place]
                one.setText(due_words(work, cow))
                chosen = cow == plain if plain is not None else place == work.at and work.at > 0
                restyle(one, "chosen", "true" if chosen else "false")
