"""The dates of the herd calendar: set, moved and struck out, and what a date ahead bends."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget
from typing_extensions import override

from herdscore.desk.edits import strike_record
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.change_effect import effect, effect_words
from herdscore.domain.diet_form import ReadRow, read_event
from herdscore.domain.reasons import say_day
from herdscore.domain.records import AUTUMN, EVENTS, HOUSING, SPRING, TURNOUT, CalendarDay
from herdscore.domain.typed_day import say_whole_day
from herdscore.pages.form_keys import form_key
from herdscore.pages.service_one import SOON
from herdscore.parts.asked import Asked, asked_choice, asked_line, say_problems, typed_in
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, row
from herdscore.parts.labels import label

_HINT = "Housing and turnout ahead bend every projection past their day, drawn as assumed."


class EventForm(QWidget):
    """`written(words)`: a date was set or struck out; `left`: Esc."""

    written = Signal(str)
    left = Signal()

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__()
        self._herd = herd
        self._assessment: Assessment | None = None
        self._editing: CalendarDay | None = None
        self.title = label("Herd calendar", 14, 700)
        self.fields: dict[str, Asked] = {
            "block": asked_choice("Block", ((SPRING, "spring"), (AUTUMN, "autumn"))),
            "event": asked_choice("What", tuple((one, one) for one in EVENTS), letters=7),
            "day": asked_line("Day", "25 Mar"),
        }
        self.words = label(_HINT, 11, tone="second", wrap=True)
        self.save_button, self.cancel_button = button("Set", "main"), button("Cancel")
        self.strike_button = button("Strike out")
        self._soon = QTimer(self, singleShot=True, interval=SOON)
        fields = self.fields
        first = row((fields["block"], 3), (fields["event"], 4), (fields["day"], 4), spacing=8)
        buttons = row(self.save_button, self.cancel_button, self.strike_button, None)
        self.setLayout(column(self.title, first, self.words, None, buttons, spacing=4))
        for asked in fields.values():
            holds = asked.holds
            if isinstance(holds, QLineEdit):
                holds.textChanged.connect(self._soon.start)
            elif isinstance(holds, QComboBox):
                holds.currentIndexChanged.connect(self._soon.start)
        self._soon.timeout.connect(self.look_ahead)
        self.save_button.clicked.connect(self.save)
        self.cancel_button.clicked.connect(self.leave)
        self.strike_button.clicked.connect(lambda: self.strike(self._editing))
        self._show_buttons()

    # Showing

    def show_assessment(self, assessment: Assessment) -> None:
        """Take over the herd as it is now."""
        self._assessment = assessment
        if self._editing is not None and self._editing.id not in assessment.snapshot.calendar.id:
            self._stop_editing()
        self.look_ahead()

    def show_rights(self) -> None:
        """Say whether anything can be written."""
        for one in (self.save_button, self.strike_button):
            one.setEnabled(self._herd.can_write)
        self.look_ahead()

    def focus_first(self) -> None:
        """Give the keyboard to the first field."""
        self.fields["block"].take_keyboard()

    def begin_editing(self, event_id: str) -> None:
        """Take a date of the calendar into the form."""
        row_ = self._event(event_id)
        if row_ is None:
            return
        self._editing = row_
        for name, text in (("block", row_.block), ("event", row_.event), ("day", say_whole_day(row_.day))):
            self.fields[name].put(text)
            self.fields[name].say("")
        self._show_buttons()
        self.fields["day"].take_keyboard()

    def _show_buttons(self) -> None:
        editing = self._editing is not None
        self.title.setText(f"Change {self._editing.event}" if self._editing is not None else "Herd calendar")
        self.save_button.setText("Save change" if editing else "Set")
        self.cancel_button.setVisible(editing)
        self.strike_button.setVisible(editing)

    def _event(self, event_id: str) -> CalendarDay | None:
        rows = self._herd.snapshot.records("calendar")
        return next((one for one in rows if isinstance(one, CalendarDay) and one.id == event_id), None)

    def _stop_editing(self) -> None:
        self._editing = None
        self.fields["day"].put("")
        self._show_buttons()

    # What it would mean

    def _read(self) -> ReadRow:
        return read_event(typed_in(self.fields), self._herd.snapshot, self._herd.herd_day, self._editing)

    def look_ahead(self) -> None:
        """Say what the date typed would mean for the cows of its block."""
        self._soon.stop()
        a = self._assessment
        if a is None or a.snapshot is not self._herd.snapshot:
            return
        self.fields["day"].say("")
        read = self._read()
        change, row_ = read.change(), read.row
        if change is None or not isinstance(row_, CalendarDay):
            self.words.setText(_HINT if self._herd.can_write else self._herd.why_not)
            return
        said = [f"{row_.event.capitalize()} {say_whole_day(row_.day)}.", read.note]
        if row_.event in (HOUSING, TURNOUT) and row_.day > self._herd.today:
            cows = np.asarray(a.block == BLOCK_NAMES.index(row_.block))
            said.append(effect_words(effect(a, self._herd.preview(change), cows)))
        self.words.setText(" ".join(words for words in said if words))

    # Writing

    def save(self) -> None:
        """Write the date; what is wrong is said and nothing is lost."""
        if not self._herd.can_write:
            return
        read = self._read()
        if say_problems(self.fields, read.problems):
            return
        change, row_ = read.change(), read.row
        assert isinstance(row_, CalendarDay)
        said = f"{row_.event} of the {row_.block} block"
        if change is not None and not self._herd.push(change, said):
            return
        self._stop_editing()
        self.written.emit(f"{said[0].upper()}{said[1:]} is {say_day(row_.day, self._herd.today)}.")

    def strike(self, event: CalendarDay | None) -> None:
        """Take a date out."""
        if event is None or not self._herd.can_write:
            return
        if self._herd.push(strike_record(event), f"{event.event} of the {event.block} block struck out"):
            self._stop_editing()
            self.written.emit(f"{event.event.capitalize()} {say_day(event.day, self._herd.today)} is struck out.")

    def strike_by_id(self, event_id: str) -> None:
        """Take a date out by its identity."""
        self.strike(self._event(event_id))

    def leave(self) -> None:
        """Leave the change of a date, else the form."""
        if self._editing is not None:
            self._stop_editing()
        self.left.emit()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter saves, Esc leaves."""
        if not form_key(event, self.save, self.leave):
            super().keyPressEvent(event)
