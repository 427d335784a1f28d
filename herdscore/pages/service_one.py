"""Services and scans of one cow: what is recorded of her, a form for the next, and the date it would give."""

from __future__ import annotations

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.desk.edits import strike_record
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.change_effect import DatePreview, date_preview
from herdscore.domain.changes import Change
from herdscore.domain.cow_history import service_words
from herdscore.domain.date_account import account, sire_words
from herdscore.domain.reasons import say_day
from herdscore.domain.records import Service
from herdscore.domain.service_form import add_services, edit_service, read_service, typed_of, why_not_hers
from herdscore.pages.cow_words import who_is
from herdscore.pages.form_keys import form_key
from herdscore.pages.service_fields import ServiceFields
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, column, holder, row, scrolled
from herdscore.parts.edit_list import EditList
from herdscore.parts.labels import ShortenedLabel, label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.theme import Look

SOON = 40  # ms from the last key until a preview is worked out
_COLUMNS = (
    Column("day", "Recorded", kind="date", width=96, weight=600),
    Column("words", "", width=220, sortable=False),
)
_LIST_PX = 124


class OneCowEntry(QWidget):
    """`written(words)`: a service was saved or struck out; `many_wished`: the same for many cows; `left`: Esc."""

    written = Signal(str)
    many_wished = Signal()
    left = Signal()

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._herd = herd
        self._assessment: Assessment | None = None
        self._cow_id = ""
        self._editing: Service | None = None
        self._title, self._who = label("", 18, 700), ShortenedLabel(11, tone="second")
        self.fields = ServiceFields()
        self._claim, self._words = label("", 14, 700, wrap=True), label("", 11, wrap=True)
        self._panel = Panel(column(self._claim, self._words, spacing=2, margins=(12, 8, 12, 8)), "sunk")
        self.save_button, self.cancel_button = button("Save", "main"), button("Cancel")
        self.many_button = button("For many cows …")
        self.strike_button = button("Strike out")
        self._why_not = label("", 11, tone="second", wrap=True)
        self.list = EditList(look, _COLUMNS, "Services and scans recorded")
        self.list.setMinimumHeight(_LIST_PX)
        self._soon = QTimer(self, singleShot=True, interval=SOON)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        buttons = row(self.save_button, self.cancel_button, self.strike_button, None, self.many_button)
        inside = column(self.fields, self._panel, 2, (self.list, 1), spacing=8, margins=(14, 0, 12, 4))
        top = row(self._title, (self._who, 1), spacing=8, margins=(14, 0, 12, 0))
        foot = column(buttons, self._why_not, margins=(14, 0, 12, 0))
        self.setLayout(column(top, (scrolled(holder(inside)), 1), foot, spacing=8, margins=(0, 10, 0, 10)))

    def _connect(self) -> None:
        self.fields.edited.connect(self._soon.start)
        self._soon.timeout.connect(self.look_ahead)
        self.save_button.clicked.connect(self.save)
        self.cancel_button.clicked.connect(self.leave_editing)
        self.many_button.clicked.connect(self.many_wished)
        self.strike_button.clicked.connect(lambda: self._strike(self._editing))
        self.list.opened.connect(lambda key: self.begin_editing(str(key)))
        self.list.struck.connect(lambda keys: self._strike(self._service(str(keys[0]))))

    # Showing

    def show_rights(self) -> None:
        """Say whether anything can be written."""
        can = self._herd.can_write
        self.save_button.setEnabled(can and bool(self._cow_id))
        self.strike_button.setEnabled(can)
        self._why_not.setText(self._herd.why_not)
        self._why_not.setVisible(not can)
        self.fields.show_day(self._herd.herd_day)

    def show_cow(self, assessment: Assessment, cow_id: str) -> None:
        """Show a cow; what is typed for the next service stays, a record of another cow being changed does not."""
        self._assessment = assessment
        place = assessment.snapshot.cow_place.get(cow_id)
        other = cow_id != self._cow_id
        self._cow_id = cow_id if place is not None else ""
        if self._editing is not None and (other or self._service(self._editing.id) is None):
            self._stop_editing()
        self._title.setText("" if place is None else str(assessment.snapshot.cows.tag[place]))
        self._who.show_words("Choose a cow." if place is None else who_is(assessment, place))
        self.list.show_rows([] if place is None else _rows(assessment, place))
        self._show_buttons()
        self.look_ahead()

    def focus_first(self) -> None:
        """Give the keyboard to the field to fill in first."""
        self.fields.fields["foetal_age" if self.fields.fields["foetal_age"].isVisible() else "day"].take_keyboard()

    @property
    def is_editing(self) -> bool:
        """Whether a recorded service is being changed."""
        return self._editing is not None

    @property
    def said(self) -> tuple[str, str]:
        """The claim of the preview and what it rests on."""
        return self._claim.text(), self._words.text()

    def _show_buttons(self) -> None:
        editing = self._editing is not None
        self.cancel_button.setVisible(editing)
        self.strike_button.setVisible(editing)
        self.many_button.setVisible(not editing)
        self.save_button.setText("Save change" if editing else "Save")
        self.show_rights()

    # What it would give

    def _change(self) -> tuple[Change | None, str]:
        """The change of what is typed, and why it cannot be written."""
        place = self._herd.snapshot.cow_place.get(self._cow_id)
        if place is None:
            return None, "Choose a cow."
        read = read_service(self.fields.typed(), self._herd.rulebook, self._herd.herd_day)
        if read.problems:
            return None, ""
        row_ = read.record(self._cow_id)
        change = edit_service(self._editing, read) if self._editing is not None else add_services([row_])
        after = change.rows[0].after if change is not None else None
        wrong = why_not_hers(self._herd.snapshot, place, after) if isinstance(after, Service) else ""
        return (None, wrong) if wrong else (change, "")

    def look_ahead(self) -> None:
        """Work out what the entry gives and say it; without one, the date as it is."""
        self._soon.stop()
        a = self._assessment
        place = None if a is None else a.snapshot.cow_place.get(self._cow_id)
        if a is None or place is None:
            self._panel.setVisible(False)
            return
        self._panel.setVisible(True)
        change, wrong = self._change()
        if wrong:
            self._say(DatePreview(f"Not of {self._title.text()}", wrong, False), "thin")
        elif change is not None and self._cow_id in self._herd.snapshot.cow_place:
            self._say(date_preview(a, self._herd.preview(change), self._cow_id), "ok")
        else:
            told = account(a, place)
            words = ". ".join(one.rstrip(".") for one in (told.rests_on, *told.notes)) + "."
            self._say(DatePreview(f"Calves {told.said} now" if told.said else "No calving date yet", words, False), "")

    def _say(self, preview: DatePreview, hue: str) -> None:
        self._claim.setText(preview.claim)
        self._words.setText(preview.words)
        self._panel.show_hue("hold" if hue == "ok" and not preview.dated else hue or "sunk")

    # Writing

    def save(self) -> None:
        """Write what is typed; what is wrong is said and nothing is lost."""
        if not self._herd.can_write or not self._cow_id:
            return
        read = read_service(self.fields.typed(), self._herd.rulebook, self._herd.herd_day)
        self.fields.show_problems(read.problems, go=True)
        if read.problems:
            return
        change, wrong = self._change()
        if wrong:
            self.look_ahead()
            self.fields.fields["day"].take_keyboard()
            return
        tag, gives = self._title.text(), self.said[0]
        editing = self._editing is not None
        words = f"{'change of ' if editing else ''}{read.kind} of {tag}"
        if change is not None and not self._herd.push(change, words):
            return
        self._stop_editing()
        self.fields.empty_findings()
        self.written.emit(f"{tag}: {read.kind} {say_day(read.facts['day'])} is written. {gives}.")

    def begin_editing(self, service_id: str) -> None:
        """Take a recorded service into the form."""
        row_ = self._service(service_id)
        if row_ is None:
            return
        self._editing = row_
        self.fields.show_typed(typed_of(row_))
        self._show_buttons()
        self.look_ahead()
        self.focus_first()

    def leave_editing(self) -> None:
        """Leave the change of a recorded service; else leave the form."""
        if self._editing is None:
            self.left.emit()
            return
        self._stop_editing()
        self.look_ahead()
        self.list.setFocus()

    def _stop_editing(self) -> None:
        if self._editing is not None:
            self._editing = None
            self.fields.fields["day"].put("")
            self.fields.fields["until"].put("")
            self.fields.empty_findings()
        self._show_buttons()

    def _strike(self, service: Service | None) -> None:
        if service is None:
            return
        if not self._herd.can_write:
            self.written.emit(self._herd.why_not)
            return
        if self._herd.push(strike_record(service), f"{service.kind} of {self._title.text()} struck out"):
            self._stop_editing()
            self.written.emit(f"{self._title.text()}: {service.kind} {say_day(service.day)} is struck out.")

    def _service(self, service_id: str) -> Service | None:
        place = self._herd.snapshot.cow_place.get(self._cow_id)
        if place is None:
            return None
        rows = self._herd.snapshot.records("services", self._herd.snapshot.of_cow("services", place).tolist())
        return next((one for one in rows if isinstance(one, Service) and one.id == service_id), None)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter saves, Esc leaves; both from any field."""
        if not form_key(event, self.save, self.leave_editing):
            super().keyPressEvent(event)


def _rows(a: Assessment, cow: int) -> list[ListRow]:
    places = a.snapshot.of_cow("services", cow).tolist()
    made = []
    for place, one in reversed(list(zip(places, a.snapshot.records("services", places), strict=True))):
        assert isinstance(one, Service)
        words = service_words(one, sire_words(a, place), a.today)
        made.append(ListRow(one.id, (say_day(one.day, a.today), words), (one.day, words)))
    return made
