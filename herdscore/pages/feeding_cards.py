"""The feeding groups as a row of cards, one chosen: name, cows, what they are on, and where they head."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QScrollArea, QWidget
from typing_extensions import override

from herdscore.domain.diets import group_key
from herdscore.domain.fed_groups import NO_GROUP, FedGroup, Stand, state_words
from herdscore.domain.reasons import say_number
from herdscore.pages.cow_words import say_cows
from herdscore.parts.cards import column, row
from herdscore.parts.labels import ShortenedLabel, label, restyle
from herdscore.parts.marks import MarkGlyph
from herdscore.parts.theme import Look

CARD_PX = (250, 70)
_MARKS = {Stand.NOT_SAID: "cross", Stand.NO_PLAN: "dot", Stand.RUNNING: "square", Stand.NOBODY: "early"}


class _Card(QPushButton):
    """`stepped(way)`: an arrow key, -1 to the left."""

    stepped = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setProperty("kind", "row")
        self.setAutoDefault(False)
        self.name = ""
        self._mark = MarkGlyph(look, "dot", 15)
        self._name, self._count = ShortenedLabel(13, 700), label("", 13, 700, right=True)
        self._state, self._heads = ShortenedLabel(11, 400, "second"), label("", 11, 400, "second", right=True)
        words = column(
            row((self._name, 1), self._count, spacing=8), row((self._state, 1), self._heads, spacing=8), spacing=2
        )
        self._inside = row(self._mark, (words, 1), spacing=10, margins=(12, 6, 12, 6))
        self.setLayout(self._inside)
        for one in (self._mark, self._name, self._count, self._state, self._heads):
            one.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def show_group(self, group: FedGroup, today: date, *, chosen: bool) -> None:
        """Show a group."""
        self.name = group.name
        name, cows = group.name or NO_GROUP, say_cows(len(group.rows))
        state = state_words(group, today)
        less = group.less_target
        heads = f"{say_number(less, 2, sign=True)} at calving" if less == less else ""
        self._mark.show_mark(_MARKS[group.stand], group.stand.value)
        self._name.show_words(name)
        self._state.show_words(state)
        self._count.setText(cows)
        self._heads.setText(heads)
        self._heads.setToolTip("Mean score at calving less target, as they are fed now")
        restyle(self, "chosen", "true" if chosen else "false")
        self.setAccessibleName(f"{name}, {cows}: {state}" + (f"; {heads} against target" if heads else ""))

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        way = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if way is None:
            super().keyPressEvent(event)
        else:
            self.stepped.emit(way)

    @override
    def sizeHint(self) -> QSize:
        inside = self._inside.sizeHint()
        return QSize(max(CARD_PX[0], inside.width()), max(CARD_PX[1], inside.height() + 8))

    @override
    def minimumSizeHint(self) -> QSize:
        inside = self._inside.minimumSize()
        return QSize(max(CARD_PX[0], inside.width()), max(CARD_PX[1], inside.height() + 8))


class GroupCards(QScrollArea):
    """`chosen(name)`: another group is looked at. Left and right arrow walk the cards."""

    chosen = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.cards: list[_Card] = []
        self._inside = QWidget()
        self._inside.setProperty("kind", "scrolled")
        self._line = QHBoxLayout(self._inside)
        self._line.setContentsMargins(0, 0, 0, 0)
        self._line.setSpacing(10)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(self._inside)
        self.setAccessibleName("Feeding groups")

    def show_groups(self, groups: Sequence[FedGroup], chosen: FedGroup | None, today: date) -> None:
        """Show the groups; cards are kept where there are as many as before, and with them the keyboard."""
        while len(self.cards) > len(groups):
            gone = self.cards.pop()
            self._line.removeWidget(gone)
            gone.deleteLater()
        while len(self.cards) < len(groups):
            made = _Card(self._look)
            made.clicked.connect(lambda _=False, one=made: self.chosen.emit(one.name))
            made.stepped.connect(self._on_stepped)
            self.cards.append(made)
            self._line.addWidget(made, 1)
        for one, group in zip(self.cards, groups, strict=True):
            is_chosen = chosen is not None and group_key(group.name) == group_key(chosen.name)
            one.show_group(group, today, chosen=is_chosen)
            if is_chosen:
                self.ensureWidgetVisible(one, 20, 0)
        self.setVisible(bool(groups))
        self._fit()

    def take_keyboard(self) -> None:
        """Give the keyboard to the card chosen."""
        one = next((one for one in self.cards if one.property("chosen") == "true"), None)
        if one is not None:
            one.setFocus()

    def _fit(self) -> None:
        high = max((one.sizeHint().height() for one in self.cards), default=0)
        wide = self._inside.minimumSizeHint().width() > self.viewport().width()
        bar = self.horizontalScrollBar().sizeHint().height() if wide else 0
        self.setFixedHeight(high + bar + 2)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _on_stepped(self, way: int) -> None:
        at = next((place for place, one in enumerate(self.cards) if one.hasFocus()), 0)
        at = min(max(at + way, 0), len(self.cards) - 1)
        self.cards[at].setFocus()
        self.ensureWidgetVisible(self.cards[at], 20, 0)
        self.chosen.emit(self.cards[at].name)
