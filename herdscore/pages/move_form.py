"""Moving cows from group to group: who by last digits or by choosing, where to, on which day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.diets import groups_of
from herdscore.domain.lookup import CowBook
from herdscore.domain.moves import MovePlan, edit_move, plan_move, spelled
from herdscore.domain.reasons import say_day
from herdscore.domain.records import Move
from herdscore.domain.tag_list import read_tags, tags_text
from herdscore.domain.typed_day import NotADay, read_day, say_whole_day
from herdscore.pages.cow_words import say_cows
from herdscore.pages.form_keys import form_key
from herdscore.parts.asked import Asked, asked_line, asked_name, offer_names
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, row
from herdscore.parts.labels import label


class MoveForm(QWidget):
    """`written(words)`: cows were moved or a move was changed; `left`: Esc."""

    written = Signal(str)
    left = Signal()

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__()
        self._herd = herd
        self._book: CowBook | None = None
        self._chosen: tuple[str, ...] = ()
        self._editing: Move | None = None
        self.title = label("Move cows", 14, 700)
        self.who = asked_line("Last digits, or choose them in the list", "0512, 347, 866")
        self.to: Asked = asked_name("To group")
        self.day = asked_line("On", "12 Jan")
        self.words = label("", 12, 500, wrap=True)
        self.save_button, self.cancel_button = button("Move", "main"), button("Cancel")
        buttons = row(self.save_button, self.cancel_button, None)
        second = row((self.to, 1), (self.day, 1), spacing=10)
        self.setLayout(column(self.title, self.who, second, self.words, buttons, spacing=6))
        for asked in (self.who, self.to, self.day):
            holds = asked.holds
            assert isinstance(holds, QLineEdit | QComboBox)
            (holds.textChanged if isinstance(holds, QLineEdit) else holds.editTextChanged).connect(self._on_edited)
        self.save_button.clicked.connect(self.save)
        self.cancel_button.clicked.connect(self.leave)
        self._show_editing()

    # Showing

    def show_rights(self) -> None:
        """Say whether anything can be moved."""
        self.save_button.setEnabled(self._herd.can_write)
        if not self.day.text:
            self.day.put(say_whole_day(self._herd.herd_day))
        self._on_edited()

    def show_herd(self) -> None:
        """Take over the herd as it is now."""
        self._book = CowBook(self._herd.snapshot)
        names = groups_of(self._herd.snapshot, self._herd.herd_day).names
        offer_names(self.to, [name for name in names if name is not None])
        if self._editing is not None and self._editing.id not in self._herd.snapshot.moves.id:
            self._stop_editing()
        self.show_rights()

    def show_chosen(self, cow_ids: Sequence[str]) -> None:
        """Cows chosen in a list: moved when no digits are typed."""
        self._chosen = tuple(cow_ids)
        self._on_edited()

    def begin(self, cow_ids: Sequence[str]) -> None:
        """Ask where these cows go."""
        self._stop_editing()
        self.who.put(tags_text(self._herd.snapshot, cow_ids))
        self.to.take_keyboard()

    def begin_editing(self, move: Move) -> None:
        """Take a recorded move into the form."""
        self._editing = move
        self.who.put(tags_text(self._herd.snapshot, [move.cow_id]))
        self.to.put(move.group)
        self.day.put(say_whole_day(move.day))
        self._show_editing()
        self.to.take_keyboard()

    def _show_editing(self) -> None:
        editing = self._editing is not None
        self.title.setText("Change a move" if editing else "Move cows")
        self.save_button.setText("Save change" if editing else "Move")
        self.cancel_button.setVisible(editing)
        self.who.setEnabled(not editing)

    def _stop_editing(self) -> None:
        if self._editing is not None:
            self._editing = None
            self.who.put("")
            self.to.put("")
            self.day.put(say_whole_day(self._herd.herd_day))
        self._show_editing()

    # What it would do

    def _places(self) -> tuple[list[int], str]:
        snapshot = self._herd.snapshot
        if self.who.text.strip():
            assert self._book is not None
            found = read_tags(self.who.text, snapshot, self._book)
            return found.places, found.sentence
        return [snapshot.cow_place[one] for one in self._chosen if one in snapshot.cow_place], ""

    def _plan(self) -> tuple[MovePlan | None, dict[str, str]]:
        today = self._herd.herd_day
        places, wrong = self._places()
        problems = {"who": wrong or ("" if places else "Which cows? Type their last digits, or choose them.")}
        problems["to"] = "" if self.to.text.strip() else "To which group?"
        day = read_day(self.day.text, today) if self.day.text.strip() else NotADay("On which day?")
        problems["day"] = day.sentence if isinstance(day, NotADay) else ""
        problems = {name: words for name, words in problems.items() if words}
        if problems or isinstance(day, NotADay):
            return None, problems
        to = spelled(groups_of(self._herd.snapshot, today), self.to.text)
        return plan_move(self._herd.snapshot, places, to, day, today), {}

    def _on_edited(self) -> None:
        if self._book is None:
            return
        for asked in (self.who, self.to, self.day):
            asked.say("")
        places, wrong = self._places()
        if wrong:
            self.who.say(wrong, wrong=True)
        elif self.who.text.strip() and self._editing is None:
            self.who.say(f"{say_cows(len(places))}: {tags_text(self._herd.snapshot, self._ids(places))}")
        plan, _ = self._plan() if self._editing is None else (None, {})
        if plan is not None:
            self.words.setText(plan.words)
        elif self._editing is None and places and not self.who.text.strip():
            self.words.setText(f"{say_cows(len(places))} chosen in the list.")
        else:
            self.words.setText("")

    def _ids(self, places: Sequence[int]) -> list[str]:
        return [str(self._herd.snapshot.cows.id[place]) for place in places]

    # Writing

    def save(self) -> None:
        """Write the move as one change; what is wrong is said and nothing is lost."""
        if not self._herd.can_write:
            self.words.setText(self._herd.why_not)
            return
        if self._editing is not None:
            self._save_edited(self._editing)
            return
        plan, problems = self._plan()
        fields = {"who": self.who, "to": self.to, "day": self.day}
        for name, asked in fields.items():
            if name in problems:
                asked.say(problems[name], wrong=True)
        if plan is None:
            fields[next(iter(problems))].take_keyboard()
        elif plan.change is None:
            self.words.setText(plan.words)
        elif self._herd.push(plan.change, f"move of {say_cows(plan.moved)}"):
            self.who.put("")
            self.to.put("")
            self.written.emit(f"{plan.words} Ctrl+Z takes it back.")

    def _save_edited(self, before: Move) -> None:
        today = self._herd.herd_day
        day = read_day(self.day.text, today) if self.day.text.strip() else NotADay("On which day?")
        to = spelled(groups_of(self._herd.snapshot, today), self.to.text)
        self.day.say(day.sentence if isinstance(day, NotADay) else "", wrong=True)
        self.to.say("" if to else "To which group?", wrong=True)
        if isinstance(day, NotADay) or not to:
            (self.day if isinstance(day, NotADay) else self.to).take_keyboard()
            return
        change = edit_move(self._herd.snapshot, before, replace(before, group=to, day=day), today)
        tag = tags_text(self._herd.snapshot, [before.cow_id])
        if change is None or self._herd.push(change, f"change of a move of {tag}"):
            self._stop_editing()
            self.written.emit(f"{tag}: to {to} {say_day(day, today)}.")

    def leave(self) -> None:
        """Leave the change of a move, else the form."""
        if self._editing is not None:
            self._stop_editing()
        self.left.emit()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter saves, Esc leaves."""
        if not form_key(event, self.save, self.leave):
            super().keyPressEvent(event)
