"""Tab Register: every cow of the herd, found, shown, entered and changed."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from herdscore.desk.messages import note
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.changes import Change
from herdscore.domain.cow_form import cow_change, empty_form, group_hint, read_form, typed_of
from herdscore.domain.diets import groups_of
from herdscore.domain.leaving import status_change, status_words
from herdscore.domain.records import BY_HAND, Cow
from herdscore.pages.cow_card import CowCard
from herdscore.pages.cow_form import CowForm
from herdscore.pages.register_cells import RegisterCells
from herdscore.pages.register_list import RegisterList
from herdscore.pages.several_cows import LeaveCard, SeveralCard
from herdscore.parts.cards import Panel, card, column, holder, row
from herdscore.parts.labels import label
from herdscore.parts.list_view import WIDE_PX
from herdscore.parts.theme import Look

_HINTED = ("group", "calving_date", "date_from")


class RegisterTab(QWidget):
    """The register. `message(Message)` for the bar; `move_wished`, `service_wished`: with the cows chosen (ids)."""

    message = Signal(object)
    move_wished = Signal(object)
    service_wished = Signal(object)

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._assessment: Assessment | None = None
        self._editing: str | None = None  # identity of the cow in the form, "" a new one, None no form
        self._chosen_before = ""  # the cow chosen when the form was opened
        self._wanted = ""  # a cow just written: chosen once the list knows her
        self.cows = RegisterList(look, herd)
        self.add_button = self.cows.add_button
        self.card, self.form = CowCard(), CowForm()
        self.several, self.leaving = SeveralCard(), LeaveCard()
        self.cells = RegisterCells(self.cows, herd)
        words = label("Choose a cow to see what is known of her.", 12, tone="second", wrap=True)
        self._nobody = holder(column(words, None, margins=(14, 14, 14, 14)))
        self._right = QStackedWidget()
        for one in (self._nobody, self.card, self.form, self.several, self.leaving):
            self._right.addWidget(one)
        unsaved = label("Not saved yet: save or cancel, and the other cow is shown.", 12, 600, wrap=True)
        self._unsaved = Panel(row((unsaved, 1), margins=(12, 8, 12, 8)), "hold")
        self._unsaved.hide()
        self._side = card(column((self._right, 1), row(self._unsaved, margins=(10, 0, 10, 10)), spacing=0))
        self.setLayout(row((self.cows, 1), self._side, spacing=12))
        self.widen(0)
        self._connect()

    def _connect(self) -> None:
        self.add_button.clicked.connect(self.begin_adding)
        self.cows.chosen.connect(lambda _: self._show_right())
        self.cows.opened.connect(lambda _: self.begin_changing())
        self.cows.list.selection.connect(self._show_right)
        self.cows.list.struck.connect(lambda _: self.begin_leaving())
        self.card.change_wished.connect(self.begin_changing)
        self.card.leave_wished.connect(self.begin_leaving)
        self.several.leave_wished.connect(self.begin_leaving)
        self.several.move_wished.connect(lambda: self.move_wished.emit(self.cows.selected))
        self.several.service_wished.connect(lambda: self.service_wished.emit(self.cows.selected))
        self.leaving.answered.connect(self._on_leave_answered)
        self.leaving.left.connect(self.leave_form)
        self.form.save_wished.connect(self.save)
        self.form.left.connect(self.leave_form)
        self.form.edited.connect(self._on_edited)

    # Showing

    def show_assessment(self, assessment: Assessment) -> None:
        """Show the herd as it is now."""
        self._assessment = assessment
        if self._editing and self._editing not in assessment.snapshot.cow_place:
            self._editing = None  # she was taken out again, by undo
        wanted = self._wanted if self._wanted in assessment.snapshot.cow_place else ""
        self._wanted = "" if wanted else self._wanted
        self.cows.show_assessment(assessment, wanted)

    def show_rights(self) -> None:
        """Say whether anything can be changed."""
        for one in (self.card, self.form, self.several, self.leaving):
            one.show_rights(self._herd.why_not)
        self.add_button.setEnabled(self._herd.can_write)

    def focus_first(self) -> None:
        """Give the keyboard to the list, or to the form while it is open."""
        (self.cows if self._editing is None else self.form).focus_first()

    def widen(self, width: int) -> None:
        """Fit both sides to the width of the window."""
        scale = self._look.theme.text_scale
        self._side.setFixedWidth(round((440 if width >= WIDE_PX else 352) * (1 + (scale - 1) * 0.6)))
        self.cows.widen(width)

    def _show_right(self) -> None:
        """The form while it is open, whoever is chosen; else the card of the cow chosen."""
        a, chosen = self._assessment, self.cows.current
        self._unsaved.setVisible(self._editing is not None and chosen != self._chosen_before)
        if self._editing is not None:
            self._right.setCurrentWidget(self.form)
            return
        several = self.cows.selected
        if self._right.currentWidget() is self.leaving and tuple(several) == self.leaving.cow_ids:
            return
        if len(several) > 1 and a is not None:
            self._right.setCurrentWidget(self.several)
            self.several.show_cows(a.snapshot, several)
            return
        place = a.snapshot.cow_place.get(chosen) if a is not None else None
        self._right.setCurrentWidget(self._nobody if place is None else self.card)
        if a is not None and place is not None:
            self.card.show_cow(a, place)

    # Changing

    def begin_adding(self) -> None:
        """Open the form for a new cow."""
        if self._editing is None and self._herd.can_write:
            self._open_form("", "New cow", empty_form())

    def begin_changing(self) -> None:
        """Open the form for the cow chosen."""
        cow = self._cow(self.cows.current)
        if cow is not None and self._editing is None and self._herd.can_write:
            self._open_form(cow.id, f"Change {cow.tag}", self._known(cow))

    def begin_leaving(self) -> None:
        """Ask how the cows chosen leave the herd, or whether they come back."""
        chosen = [cow_id for cow_id in self.cows.selected if cow_id in self._herd.snapshot.cow_place]
        if not chosen or self._editing is not None:
            return
        if not self._herd.can_write:
            self.cows.say(self._herd.why_not, wrong=True)
            return
        self.leaving.ask(self._herd.snapshot, chosen)
        self._right.setCurrentWidget(self.leaving)
        self.leaving.focus_first()

    def _on_leave_answered(self, status: str) -> None:
        change = status_change(self._herd.snapshot, self.leaving.cow_ids, status)
        words = status_words(change) if change is not None else ""
        if change is not None and not self._herd.push(change, words):
            return
        self.leaving.cow_ids = ()
        self.leave_form()
        if words:
            self.message.emit(note(f"{words[0].upper()}{words[1:]}.", "Ctrl+Z takes it back."))

    def save(self) -> None:
        """Write the form as one change; what is wrong is said at its field and nothing is lost."""
        if self._editing is None or not self._herd.can_write:
            return
        before = self._cow(self._editing) if self._editing else None
        # What nobody touched in the form is as the herd has it now, not as it was when the form was opened.
        typed = self.form.typed() if before is None else {**self._known(before), **self.form.changed()}
        read = read_form(typed, self._herd.snapshot, self._herd.herd_day, before)
        self.form.show_problems(read.problems)
        if read.cow is None:
            return
        change = cow_change(self._herd.snapshot, before, read.cow, self._herd.herd_day)
        if change.rows and not self._written(change, read.cow, new=before is None):
            return
        self._close_form()
        if before is None:
            self.message.emit(note(f"{read.cow.tag} is in the herd.", "Her services and scores can follow."))

    def leave_form(self) -> None:
        """Leave the form, or the question, without writing."""
        self.leaving.cow_ids = ()
        self._close_form()
        self.cows.focus_first()

    def _written(self, change: Change, cow: Cow, *, new: bool) -> bool:
        words = f"new cow {cow.tag}" if new else f"change of {cow.tag}"
        wanted, self._wanted = self._wanted, cow.id
        if self._herd.push(change, words):
            return True
        self._wanted = wanted
        return False

    def _known(self, cow: Cow) -> Mapping[str, str]:
        """The fields of a cow as the herd has them now."""
        groups = groups_of(self._herd.snapshot, self._herd.herd_day)
        return typed_of(cow, groups.names[int(groups.now[self._herd.snapshot.cow_place[cow.id]])])

    def _cow(self, cow_id: str) -> Cow | None:
        place = self._herd.snapshot.cow_place.get(cow_id)
        found = None if place is None else self._herd.snapshot.record("cows", place)
        return found if isinstance(found, Cow) else None

    def _open_form(self, cow_id: str, title: str, typed: Mapping[str, str]) -> None:
        self._editing, self._chosen_before = cow_id, self.cows.current
        names = [name for name in groups_of(self._herd.snapshot, self._herd.herd_day).names if name is not None]
        self.form.show_cow(title, typed, names)
        self._on_edited("calving_date")
        self._show_right()
        self.form.focus_first()

    def _close_form(self) -> None:
        self._editing = None
        self._show_right()

    def _on_edited(self, name: str) -> None:
        """What a group or a date typed would mean, said under the field."""
        if self._editing is None or name not in _HINTED:
            return
        typed = self.form.typed()
        cow = self._cow(self._editing) if self._editing else None
        hints = {"group": group_hint(self._herd.snapshot, cow, typed["group"], self._herd.herd_day)}
        a = self._assessment
        place = a.snapshot.cow_place.get(self._editing) if a is not None else None
        served = a is not None and place is not None and bool(np.isfinite(a.dates.served_day[place]))
        if served and typed["calving_date"].strip() and typed["date_from"] != BY_HAND:
            hints["calving_date"] = "Her services and scans give her date; set by hand overrules them."
        self.form.show_hints(hints)
