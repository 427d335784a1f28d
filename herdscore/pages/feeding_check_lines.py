"""Checks of a ration as lines: a tick or an exclamation mark, what it came to, and the limit."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from herdscore.domain.check_words import check_words, shown_checks
from herdscore.domain.ration_checks import Check, State
from herdscore.parts.labels import label, restyle

_SIGNS = {
    State.FINE: ("✓", "ok", "kept"),
    State.CAUTION: ("!", "thin", "look at this"),
    State.REFUSED: ("✕", "thin", "refused"),
}


class CheckLines(QWidget):
    """Lines that are kept and rewritten, so that a figure typed does not make the page jump."""

    def __init__(self) -> None:
        super().__init__()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 1)
        self.lines: list[tuple[str, str, str]] = []
        self._rows = 0

    def show_checks(self, checks: Sequence[Check]) -> None:
        """Show the checks worth a line."""
        self.lines = []
        for place, check in enumerate(shown_checks(checks)):
            said, bound = check_words(check)
            sign, tone, spoken = _SIGNS[check.state]
            self.lines.append((sign, said, bound))
            self._show_line(place, sign, tone, spoken, said, bound, loud=check.state is not State.FINE)
        for place in range(self._rows):
            for at in range(3):
                self._cell(place, at).setVisible(place < len(self.lines))

    def _show_line(self, place: int, sign: str, tone: str, spoken: str, said: str, bound: str, *, loud: bool) -> None:
        if place == self._rows:
            self._rows += 1
            self._grid.addWidget(label("", 12, 700), place, 0)
            self._grid.addWidget(label("", 11, 500, wrap=True), place, 1)
            self._grid.addWidget(label("", 11, 400, "second", right=True), place, 2)
        mark, words, limit = (self._cell(place, at) for at in range(3))
        mark.setText(sign)
        restyle(mark, "tone", tone)
        mark.setAccessibleName(spoken)
        words.setText(said)
        restyle(words, "weight", "700" if loud else "500")
        limit.setText(bound)

    def _cell(self, place: int, at: int) -> QLabel:
        item = self._grid.itemAtPosition(place, at)
        found = None if item is None else item.widget()
        assert isinstance(found, QLabel)
        return found
