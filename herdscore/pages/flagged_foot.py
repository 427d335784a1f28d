"""Under the flagged list: why the chosen cow stands on it, and on which day what was asked was done."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QDate, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.reasons import advice, say_day, why, words_of
from herdscore.domain.ticks import asked_of, done_day, ticked
from herdscore.pages.cow_lists import CowLists
from herdscore.pages.cow_words import say_cows
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, column, row
from herdscore.parts.fields import day_box, day_of
from herdscore.parts.labels import ShortenedLabel, label
from herdscore.parts.marks import MarkGlyph, mark_tint
from herdscore.parts.theme import Look

_NAMED = 12


class WhyPanel(Panel):
    """Why the chosen cow stands on the list, or who is chosen, and what can be done with them.

    `open_pressed(cow id)`; `move_pressed`, `done_pressed`: of all chosen.
    """

    open_pressed = Signal(str)
    move_pressed = Signal()
    done_pressed = Signal()

    def __init__(self, look: Look) -> None:
        self._glyph = MarkGlyph(look, "dot", 26)
        self._name = label("", 14, 700)
        self._words: QLabel = label("", 12, wrap=True)
        self._words.setMinimumHeight(58)
        self._line = ShortenedLabel(12)
        self._line.hide()
        self.open_button = button("Open her")
        self.move_button, self.done_button = button("Move …"), button("Done …")
        self.move_button.setAccessibleName("Move to a group")
        self.done_button.setAccessibleName("Tick off as done on a day")
        self._cow_id = ""
        buttons = (self.open_button, self.move_button, self.done_button)
        words = ((self._words, 1), (self._line, 1))
        super().__init__(row(self._glyph, self._name, *words, *buttons, spacing=10, margins=(14, 8, 12, 8)))
        self.open_button.clicked.connect(lambda: self.open_pressed.emit(self._cow_id))
        self.move_button.clicked.connect(self.move_pressed)
        self.done_button.clicked.connect(self.done_pressed)

    def set_tight(self, tight: bool) -> None:
        """In a low window one line of the words, all of them in its tool tip: the list needs the room."""
        self._words.setVisible(not tight)
        self._line.setVisible(tight)

    def _say(self, words: str) -> None:
        self._words.setText(words)
        self._line.show_words(words)
        self.setAccessibleDescription(words)

    def show_rights(self, can_write: bool) -> None:
        """Whether anything can be written now."""
        self.move_button.setEnabled(can_write)
        self.done_button.setEnabled(can_write)

    def show_cow(self, lists: CowLists, cow: int) -> None:
        """Say why, for the cow at a place of the herd."""
        a = lists.assessment
        words = words_of(a, cow)
        self._cow_id = str(a.snapshot.cows.id[cow])
        self._glyph.show_mark(words.mark, words.word)
        self._glyph.setVisible(words.mark != "none")
        self._name.setText(f"Why {lists.tags[cow]}")
        tick = int(ticked(a)[cow])
        done = f"Done {say_day(done_day(a.snapshot, tick), a.today)}: {asked_of(a, cow)}. " if tick >= 0 else ""
        self._say(f"{done}{advice(a, cow)} {why(a, cow)}")
        self.open_button.show()
        self.show_hue(mark_tint(words.mark) if words.mark != "none" else "sunk")

    def show_several(self, lists: CowLists, cow_ids: Sequence[str]) -> None:
        """Say who is chosen."""
        places = [lists.assessment.snapshot.cow_place[cow_id] for cow_id in cow_ids]
        tags = [lists.tags[place] for place in places]
        more = f" and {len(tags) - _NAMED} more" if len(tags) > _NAMED else ""
        self._glyph.hide()
        self._name.setText(f"{say_cows(len(tags))} chosen")
        self._say(f"{', '.join(tags[:_NAMED])}{more}")
        self.open_button.hide()
        self.show_hue("selected")


class DonePanel(Panel):
    """On which day what was asked was done. `answered(date)`; `left()`. Enter writes, Esc leaves."""

    answered = Signal(object)
    left = Signal()

    def __init__(self, herd: OpenHerd) -> None:
        self._herd = herd
        self.title = label("", 14, 700, wrap=True)
        self.day = day_box("Done on", herd.today)
        self.tick_button, self.leave_button = button("Tick off", "main"), button("Cancel")
        words = label(
            "It stays in the journal with who ticked it off, and holds until she is scored again.", 11, wrap=True
        )
        fields = row(self.title, self.day, self.tick_button, self.leave_button, (words, 1), spacing=10)
        super().__init__(column(fields, margins=(14, 8, 12, 8)), "selected")
        self.tick_button.clicked.connect(self._answer)
        self.leave_button.clicked.connect(self.left)

    def ask(self, who: str) -> None:
        """Ask about some cows, in words."""
        today = self._herd.today
        self.title.setText(f"{who} done on")
        self.day.setMaximumDate(QDate(today.year, today.month, today.day))
        self.day.setDate(QDate(today.year, today.month, today.day))
        self.day.setFocus()

    def _answer(self) -> None:
        self.day.interpretText()
        self.answered.emit(day_of(self.day))

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.left.emit() if self.leave_button.hasFocus() else self._answer()
        else:
            super().keyPressEvent(event)
