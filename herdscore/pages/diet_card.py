"""The diet of a group: asked for where it is not known, entered, changed, struck out, and what it would mean."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget
from typing_extensions import override

from herdscore.desk.edits import strike_record
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.change_effect import effect, effect_words
from herdscore.domain.changes import adding
from herdscore.domain.diet_form import ReadRow, expected_words, read_diet, typed_diet
from herdscore.domain.diets import group_key
from herdscore.domain.group_questions import GroupQuestion, group_questions, likely_answer, worth_words
from herdscore.domain.herd_strips import diet_words
from herdscore.domain.reasons import say_day
from herdscore.domain.records import AFTER_CALVING, DOWN, GRASS, TO_HOLD, UNKNOWN_DIET, UP, WINTER_FEED, Diet
from herdscore.domain.typed_day import say_whole_day
from herdscore.pages.form_keys import form_key
from herdscore.pages.service_one import SOON
from herdscore.parts.asked import (
    Asked,
    asked_choice,
    asked_line,
    asked_name,
    level,
    offer_names,
    say_problems,
    typed_in,
)
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import column, row
from herdscore.parts.labels import label

KINDS = (
    (WINTER_FEED, "Winter feed"),
    (GRASS, "Grass"),
    (TO_HOLD, "Feed to hold"),
    (AFTER_CALVING, "After calving"),
    (UNKNOWN_DIET, "Not sure"),
)
_AIMS = (("", "as it is"), (UP, "ease up"), (DOWN, "ease down"))


class DietForm(QWidget):
    """`written(words)`: a diet was saved or struck out; `left`: Esc with nothing begun."""

    written = Signal(str)
    left = Signal()

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__()
        self._herd = herd
        self._assessment: Assessment | None = None
        self._editing: Diet | None = None
        self._touched = False
        self.questions: list[GroupQuestion] = []
        self.title, self.worth = label("", 14, 700, wrap=True), label("", 11, tone="second", wrap=True)
        self.kinds = JoinedButtons(KINDS, "What it is on", 11, height=44)
        self.fields: dict[str, Asked] = {
            "group": asked_name("Group", letters=6),
            "day": asked_line("From", "8 Nov"),
            "kind": Asked("On", self.kinds),
            "aim": asked_choice("Aim", _AIMS, letters=6),
            "expected": asked_line("Change a week", "if stated"),
        }
        self.words = label("", 11, 500, wrap=True)
        self.save_button, self.cancel_button = button("Save", "main"), button("Cancel")
        self.strike_button, self.new_button = button("Strike out"), button("Another …")
        self._soon = QTimer(self, singleShot=True, interval=SOON)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        fields = self.fields
        fields["kind"].heading.hide()
        first = row(
            (fields["group"], 5), (fields["day"], 4), (fields["aim"], 4), (fields["expected"], 4),
            level(self.save_button),
            spacing=8,
        )  # fmt: skip
        second = row(fields["kind"], None, self.strike_button, self.cancel_button, self.new_button)
        self.setLayout(column(self.title, self.worth, second, first, self.words, None, spacing=4))

    def _connect(self) -> None:
        self.kinds.chosen.connect(lambda _: self._on_edited("kind"))
        for name, asked in self.fields.items():
            holds = asked.holds
            if isinstance(holds, QLineEdit):
                holds.textEdited.connect(lambda _, name=name: self._on_edited(name))
            elif isinstance(holds, QComboBox) and holds.isEditable():
                holds.editTextChanged.connect(lambda _, name=name: self._on_edited(name))
            elif isinstance(holds, QComboBox):
                holds.activated.connect(lambda _, name=name: self._on_edited(name))
        self._soon.timeout.connect(self.look_ahead)
        self.save_button.clicked.connect(self.save)
        self.cancel_button.clicked.connect(self.leave)
        self.strike_button.clicked.connect(lambda: self.strike(self._editing.id if self._editing is not None else ""))
        self.new_button.clicked.connect(self.begin_new)

    # Showing

    def show_assessment(self, assessment: Assessment) -> None:
        """Take over the herd as it is now: ask what is not known, unless something is half typed."""
        self._assessment = assessment
        self.questions = group_questions(assessment)
        offer_names(self.fields["group"], [name for name in assessment.groups.names if name is not None])
        if self._editing is not None and self._editing.id not in assessment.snapshot.diets.id:
            self._editing, self._touched = None, False
        if self._editing is None and not self._touched:
            self._ask_next()
        self._show_buttons()
        self.look_ahead()

    def show_rights(self) -> None:
        """Say whether anything can be written."""
        for one in (self.save_button, self.strike_button):
            one.setEnabled(self._herd.can_write)
        self.look_ahead()

    def focus_first(self) -> None:
        """Give the keyboard to what has to be said first."""
        self.fields["kind" if self.fields["group"].text else "group"].take_keyboard()

    def begin_new(self) -> None:
        """Start a diet of any group."""
        self._editing, self._touched = None, True
        self._fill({"day": say_whole_day(self._herd.herd_day)}, "Start a diet")
        self.fields["group"].take_keyboard()

    def begin_for(self, group: str, since: date) -> None:
        """Say what a group was on from a day."""
        asked = next((one for one in self.questions if one.group == group), None)
        self._editing, self._touched = None, True
        title = asked.title if asked is not None else f"What is {group} on from {say_day(since, self._herd.today)}?"
        since = asked.since if asked is not None and asked.since is not None else since
        self._fill({"group": group, "day": say_whole_day(since)}, title, asked)
        self.fields["kind"].take_keyboard()

    def begin_editing(self, diet_id: str) -> None:
        """Take a recorded diet into the form."""
        row_ = _diet_of(self._herd, diet_id)
        if row_ is None:
            return
        self._editing, self._touched = row_, True
        self._fill(typed_diet(row_), f"Change {row_.group}: {diet_words(row_)}")
        self.fields["kind"].take_keyboard()

    def _ask_next(self) -> None:
        if not self.questions:
            self._fill({"day": ""}, "Start a diet")
            return
        asked = self.questions[0]
        self._fill({"group": asked.group, "day": say_whole_day(asked.since)}, asked.title, asked)

    def _fill(self, typed: dict[str, str], title: str, asked: GroupQuestion | None = None) -> None:
        self.title.setText(title)
        more = len(self.questions) - 1
        self.worth.setText("" if asked is None else _worth(self._herd, self._assessment, asked, more))
        self.worth.setVisible(asked is not None)
        for name, asked_for in self.fields.items():
            if name == "kind" and not typed.get(name):
                self.kinds.clear_choice()
            else:
                asked_for.holds.blockSignals(True)
                asked_for.put(typed.get(name, ""))
                asked_for.holds.blockSignals(False)
            asked_for.say("")
        self._show_buttons()
        self.look_ahead()

    def _show_buttons(self) -> None:
        editing = self._editing is not None
        self.save_button.setText("Save change" if editing else "Save")
        self.strike_button.setVisible(editing)
        self.cancel_button.setVisible(editing or self._touched)
        self.new_button.setVisible(not editing and not self._touched and bool(self.questions))

    # What it would mean

    def _read(self) -> ReadRow:
        return read_diet(
            typed_in(self.fields), self._herd.snapshot, self._herd.rulebook, self._herd.herd_day, self._editing
        )

    def look_ahead(self) -> None:
        """Say what the diet typed would mean for the cows of its group."""
        self._soon.stop()
        a = self._assessment
        if a is None or a.snapshot is not self._herd.snapshot:
            return
        read = self._read()
        change = read.change()
        if change is None or not isinstance(read.row, Diet):
            self.words.setText("" if self._herd.can_write else self._herd.why_not)
            return
        keys = [None if name is None else group_key(name) for name in a.groups.names]
        key = group_key(read.row.group)
        cows = (a.groups.now == keys.index(key)) if key in keys else a.groups.now < 0
        found = effect_words(effect(a, self._herd.preview(change), cows)) if cows.any() else ""
        says = [read.note, expected_words(read.row), found or "No cow stands in it yet."]
        self.words.setText(" ".join(words for words in says if words))

    def _on_edited(self, name: str) -> None:
        self._touched = True
        self.fields[name].say("")
        self._show_buttons()
        self._soon.start()

    # Writing

    def save(self) -> None:
        """Write the diet; what is wrong is said and nothing is lost."""
        if not self._herd.can_write:
            return
        read = self._read()
        if say_problems(self.fields, read.problems):
            return
        change, row_ = read.change(), read.row
        assert isinstance(row_, Diet)
        if change is not None and not self._herd.push(change, f"diet of {row_.group}"):
            return
        self._end()
        self.written.emit(f"{row_.group}: {diet_words(row_)} from {say_day(row_.day, self._herd.today)} is written.")

    def strike(self, diet_id: str) -> None:
        """Take a diet out."""
        diet = _diet_of(self._herd, diet_id)
        if diet is None or not self._herd.can_write:
            return
        if self._herd.push(strike_record(diet), f"diet of {diet.group} struck out"):
            self._end()
            self.written.emit(f"{diet.group}: {diet_words(diet)} is struck out. Ctrl+Z takes it back.")

    def _end(self) -> None:
        self._editing, self._touched = None, False
        self.kinds.clear_choice()

    def leave(self) -> None:
        """Leave what was begun; with nothing begun leave the form."""
        begun = self._touched
        self._end()
        self._ask_next()
        if not begun:
            self.left.emit()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter saves, Esc leaves."""
        if not form_key(event, self.save, self.leave):
            super().keyPressEvent(event)


def _diet_of(herd: OpenHerd, diet_id: str) -> Diet | None:
    rows = herd.snapshot.records("diets")
    return next((one for one in rows if isinstance(one, Diet) and one.id == diet_id), None)


def _worth(herd: OpenHerd, a: Assessment | None, asked: GroupQuestion, more: int) -> str:
    """What an answer buys, and how many questions wait behind it."""
    if a is None or a.snapshot is not herd.snapshot:
        return ""
    after = herd.preview(adding("add diet", [likely_answer(a, asked)]))
    bought = worth_words(asked, effect(a, after, a.groups.now == asked.place))
    waiting = f" {more} more group{' is' if more == 1 else 's are'} asked about after it." if more > 0 else ""
    return bought + waiting
