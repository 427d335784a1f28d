"""Scores of tags nobody bears, kept to one side: whose they are is said here."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from herdscore.domain.asides import score_of
from herdscore.domain.reasons import say_day
from herdscore.domain.records import Aside
from herdscore.domain.scale import show
from herdscore.parts.buttons import button
from herdscore.parts.cards import card, column, holder, row, scrolled
from herdscore.parts.labels import label


class AsidesPanel(QWidget):
    """`match_wished(Aside)`, `add_wished(Aside)`, `strike_wished(Aside)`: what is to become of one; `closed`."""

    match_wished = Signal(object)
    add_wished = Signal(object)
    strike_wished = Signal(object)
    closed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.back = button("Back to the cows", points=14)
        self.back.clicked.connect(self.closed)
        self._rows = column(spacing=6)
        self._shown: tuple[Aside, ...] = ()
        self._widgets: list[QWidget] = []
        inside = column(self._rows, None, spacing=0)
        head = row((label("Tags to sort out", 16, 700), 1), self.back, spacing=8)
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        around.addLayout(column(head, (scrolled(holder(inside)), 1), spacing=6))

    def show_asides(self, asides: list[Aside], today: date) -> None:
        """Show all of them."""
        if tuple(asides) == self._shown:
            return
        self._shown = tuple(asides)
        for old in self._widgets:
            self._rows.removeWidget(old)
            old.deleteLater()
        self._widgets = [self._row(one, today) for one in asides]
        for made in self._widgets:
            self._rows.addWidget(made)

    def _row(self, aside: Aside, today: date) -> QWidget:
        given = score_of(aside, "").score
        who = f", {aside.scorer}" if aside.scorer else ""
        words = f"{'not scored' if given is None else show(given)} on {say_day(aside.day, today)}{who}"
        said = column(label(aside.tag, 16, 700), label(words, 14, 400, "second"), spacing=0)
        keys = []
        for text, name, signal in (
            ("Match her", "Match", self.match_wished),
            ("Add as a new cow", "Add as a new cow", self.add_wished),
            ("Throw away", "Throw away the score of", self.strike_wished),
        ):
            made = button(text, "flat" if signal is self.strike_wished else "", 14)
            made.setAccessibleName(f"{name} {aside.tag}")
            made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            made.clicked.connect(lambda _=False, signal=signal: signal.emit(aside))
            keys.append(made)
        return card(row((said, 1), *keys, spacing=8, margins=(14, 6, 10, 6)))
