"""Tab Register: every cow of the herd, found, shown, entered and changed."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtGui import QFontMetricsF, QResizeEvent
from PySide6.QtWidgets import QComboBox, QSizePolicy, QStackedWidget, QWidget
from typing_extensions import override

from herdscore.desk.messages import note
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.assess import Assessment
from herdscore.domain.cow_form import cow_change, empty_form, group_hint, read_form, typed_of
from herdscore.domain.cow_search import CowSearch
from herdscore.domain.diets import groups_of
from herdscore.domain.records import BY_HAND, Cow
from herdscore.domain.verdict import Verdict
from herdscore.pages.cow_card import CowCard
from herdscore.pages.cow_form import CowForm
from herdscore.pages.cow_words import say_cows
from herdscore.pages.flagged_list import SearchBox
from herdscore.pages.register_rows import COLUMNS, register_rows
from herdscore.parts.buttons import button, choice_box
from herdscore.parts.cards import Panel, card, column, row
from herdscore.parts.labels import label
from herdscore.parts.list_view import WIDE_PX, ListView
from herdscore.parts.theme import Look

ALL_GROUPS, NO_GROUP = "All groups", "No group"
LIVING, GONE_COWS = "In the herd", "Gone"
_SCROLL_PX = 16
_EID_FROM_PX = 1350
_TAKES = {"group": 40, "breed": 60, "source": 20}
"""Columns that take the room left over, at most so many px each, or give up a little."""


class RegisterTab(QWidget):
    """The register. `message(Message)` for the bar."""

    message = Signal(object)

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._assessment: Assessment | None = None
        self._search: CowSearch | None = None
        self._editing: str | None = None  # identity of the cow in the form, "" a new one, None no form
        self._chosen = ""
        self._chosen_before = ""  # the cow chosen when the form was opened
        self._wanted = ""  # a cow just added: chosen once the list knows her
        self._times = 1.0
        self.search = SearchBox("Find tag, EID, breed", 220)
        self.group_box = choice_box("Group", (ALL_GROUPS,))
        self.gone_box = choice_box("Cows shown", (LIVING, GONE_COWS))
        self.count = label("", 12, 500, "second", right=True)
        self.add_button = button("Add a cow")
        self.list = ListView(look, COLUMNS, "Cows of the herd")
        self._empty_words = label("", 16, 600, wrap=True)
        self.card, self.form = CowCard(), CowForm()
        self._body, self._right = QStackedWidget(), QStackedWidget()
        self._unsaved_words = label("", 12, 600, wrap=True)
        self._unsaved = Panel(row((self._unsaved_words, 1), margins=(12, 8, 12, 8)), "hold")
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        self.group_box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.group_box.setMinimumContentsLength(9)
        self.count.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        bar = row(self.search, self.group_box, self.gone_box, (self.count, 1), 4)
        empty = QWidget()
        empty.setLayout(column(None, self._empty_words, None, None, margins=(24, 0, 24, 0)))
        self._body.addWidget(self.list)
        self._body.addWidget(empty)
        left = card(column(bar, (self._body, 1), spacing=8, margins=(12, 10, 8, 8)))
        self._nobody = QWidget()
        words = label("Choose a cow to see what is known of her.", 12, tone="second", wrap=True)
        self._nobody.setLayout(column(words, None, margins=(14, 14, 14, 14)))
        for one in (self._nobody, self.card, self.form):
            self._right.addWidget(one)
        self._side = card(column((self._right, 1), row(self._unsaved, margins=(10, 0, 10, 10)), spacing=0))
        self._unsaved.hide()
        self.setLayout(row((left, 1), self._side, spacing=12))
        self.widen(0)

    def _connect(self) -> None:
        self.search.textChanged.connect(self._fill)
        self.search.left.connect(self.list.setFocus)
        self.search.entered.connect(self.list.setFocus)
        self.group_box.currentIndexChanged.connect(self._fill)
        self.gone_box.currentIndexChanged.connect(self._fill)
        self.add_button.clicked.connect(self.begin_adding)
        self.list.chosen.connect(self._on_chosen)
        self.list.opened.connect(self._on_opened)
        self.card.change_wished.connect(self.begin_changing)
        self.form.save_wished.connect(self.save)
        self.form.left.connect(self.leave_form)
        self.form.edited.connect(self._on_edited)
        self._look.changed.connect(self._fit_columns)

    # Showing

    def show_assessment(self, assessment: Assessment) -> None:
        """Show the herd as it is now."""
        self._assessment = assessment
        groups = assessment.groups
        self._search = CowSearch(assessment.snapshot.cows, [groups.names[g] for g in groups.now.tolist()])
        self._show_groups()
        self.list.show_rows(register_rows(assessment))
        self._fit_columns()
        if self._wanted and self.list.choose(self._wanted):
            self._wanted = ""
        if self._editing and self._editing not in assessment.snapshot.cow_place:
            self._close_form()  # she was taken out again, by undo
        self._fill()

    def show_block(self) -> None:
        """Show the cows of another block."""
        self._fill()

    def show_rights(self) -> None:
        """Say whether anything can be changed."""
        self.card.show_rights(self._herd.why_not)
        self.add_button.setEnabled(self._herd.can_write)
        self.form.save_button.setEnabled(self._herd.can_write)

    def focus_first(self) -> None:
        """Give the keyboard to the list, or to the form while it is open."""
        if self._editing is not None:
            self.form.focus_first()
        else:
            (self.list if self.list.rows.rowCount() else self.search).setFocus()

    def widen(self, width: int) -> None:
        """Fit the columns to the width of the window."""
        self._times = 1.25 if width >= WIDE_PX else 1.0
        # Fifteen digits take the room of two columns; the card says them too.
        self.list.setColumnHidden(self.list.rows.column_place("eid"), 0 < width < _EID_FROM_PX)
        self._side.setFixedWidth(440 if width >= WIDE_PX else 352)
        self._fit_columns()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        """Columns by the size of the text; group, breed and tag take what room is left, or give up some."""
        theme = self._look.theme
        self.list.widen(self._times * theme.text_scale)
        if self._assessment is None:
            return
        metrics = QFontMetricsF(theme.font(11, 700))
        tags = sorted(self._assessment.snapshot.cows.tag.tolist(), key=len)[-20:]
        widest = max((metrics.horizontalAdvance(tag) for tag in tags), default=0.0) + 24
        self.list.setColumnWidth(0, round(min(max(widest, self.list.columnWidth(0)), 200 * theme.text_scale)))
        room = self.list.width() - _SCROLL_PX - sum(self.list.columnWidth(place) for place in range(len(COLUMNS)))
        for key, most in _TAKES.items():
            place = self.list.rows.column_place(key)
            change = min(max(room, -16), most)
            self.list.setColumnWidth(place, self.list.columnWidth(place) + change)
            room -= change

    def _show_groups(self) -> None:
        assert self._assessment is not None
        names = [name for name in self._assessment.groups.names if name is not None]
        before = self.group_box.currentText()
        self.group_box.blockSignals(True)
        self.group_box.clear()
        self.group_box.addItems([ALL_GROUPS, *names, NO_GROUP])
        self.group_box.setCurrentIndex(max(0, self.group_box.findText(before)))
        self.group_box.blockSignals(False)

    def _fill(self) -> None:
        a = self._assessment
        if a is None or self._search is None:
            return
        gone = a.facts.gone
        keep = gone if self.gone_box.currentText() == GONE_COWS else ~gone
        keep = keep & self._herd.in_block
        group = self.group_box.currentText()
        if group != ALL_GROUPS:
            code = a.groups.names.index(None if group == NO_GROUP else group)
            keep = keep & (a.groups.now == code)
        text = self.search.text()
        if text.strip():
            keep = keep & self._search.matches(text)
        self.list.show_only(np.flatnonzero(keep))
        self._body.setCurrentIndex(0 if keep.any() else 1)
        self._empty_words.setText(f"No cow here holds “{text.strip()}”." if text.strip() else "No cow here.")
        needs = int((keep & (a.verdict == Verdict.NEEDS_DATE)).sum())
        date = f", {needs} need{'s' if needs == 1 else ''} a date" if needs else ""
        self.count.setText(f"{say_cows(int(keep.sum()))}{date}")
        if self.list.current_key() is None and self.list.rows.rowCount():
            self.list.setCurrentIndex(self.list.rows.index(0, 0))
        self._on_chosen(self.list.current_key())

    def _on_chosen(self, key: object) -> None:
        self._chosen = key if isinstance(key, str) else ""
        self._show_right()

    def _on_opened(self, key: object) -> None:
        self._chosen = str(key)
        if self._editing is None and self._herd.can_write:
            self.begin_changing()

    def _show_right(self) -> None:
        """The form while it is open, whoever is chosen; else the card of the cow chosen."""
        a = self._assessment
        self._unsaved.setVisible(self._editing is not None and self._chosen != self._chosen_before)
        if self._editing is not None:
            self._unsaved_words.setText("Not saved yet: save or cancel, and the other cow is shown.")
            self._right.setCurrentWidget(self.form)
            return
        place = a.snapshot.cow_place.get(self._chosen) if a is not None else None
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
        cow = self._cow(self._chosen)
        if cow is None or self._editing is not None:
            return
        groups = groups_of(self._herd.snapshot, self._herd.herd_day)
        group = groups.names[int(groups.now[self._herd.snapshot.cow_place[cow.id]])]
        self._open_form(cow.id, f"Change {cow.tag}", typed_of(cow, group))

    def save(self) -> None:
        """Write the form as one change; what is wrong is said at its field and nothing is lost."""
        if self._editing is None or not self._herd.can_write:
            return
        before = self._cow(self._editing) if self._editing else None
        read = read_form(self._typed(before), self._herd.snapshot, self._herd.herd_day, before)
        self.form.show_problems(read.problems)
        if read.cow is None:
            return
        change = cow_change(self._herd.snapshot, before, read.cow, self._herd.herd_day)
        if not change.rows:
            self._close_form()
            return
        words = f"change of {read.cow.tag}" if before is not None else f"new cow {read.cow.tag}"
        wanted, editing = self._wanted, self._editing
        self._wanted, self._editing = read.cow.id, None  # what is told while writing finds the form closed
        if self._herd.push(change, words):
            self._close_form()
            if before is None:
                self.message.emit(note(f"{read.cow.tag} is in the herd.", "Her services and scores can follow."))
        else:
            self._wanted, self._editing = wanted, editing

    def leave_form(self) -> None:
        """Leave the form without writing."""
        self._close_form()
        self.list.setFocus()

    def _typed(self, before: Cow | None) -> Mapping[str, str]:
        """What the form says, over what is known of her now where nobody touched a field."""
        if before is None:
            return self.form.typed()
        groups = groups_of(self._herd.snapshot, self._herd.herd_day)
        group = groups.names[int(groups.now[self._herd.snapshot.cow_place[before.id]])]
        return {**typed_of(before, group), **self.form.changed()}

    def _cow(self, cow_id: str) -> Cow | None:
        place = self._herd.snapshot.cow_place.get(cow_id)
        found = None if place is None else self._herd.snapshot.record("cows", place)
        return found if isinstance(found, Cow) else None

    def _open_form(self, cow_id: str, title: str, typed: Mapping[str, str]) -> None:
        self._editing, self._chosen_before = cow_id, self._chosen
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
        if self._editing is None or name not in ("group", "calving_date", "date_from"):
            return
        typed = self.form.typed()
        cow = self._cow(self._editing) if self._editing else None
        hints = {"group": group_hint(self._herd.snapshot, cow, typed["group"], self._herd.herd_day)}
        a = self._assessment
        place = a.snapshot.cow_place.get(self._editing) if a is not None else None
        if a is not None and place is not None and np.isfinite(a.dates.served_day[place]):
            if typed["calving_date"].strip() and typed["date_from"] != BY_HAND:
                hints["calving_date"] = "Her services and scans give her date; set by hand overrules them."
        self.form.show_hints(hints)
