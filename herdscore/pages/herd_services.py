"""Tab Services and scans: quick entry for one cow after the other, or for many at once."""

from __future__ import annotations

from datetime import date

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.cow_history import service_words
from herdscore.domain.cow_search import CowSearch
from herdscore.domain.date_account import account, date_source, sire_words
from herdscore.domain.lookup import CowBook
from herdscore.domain.reasons import say_day
from herdscore.domain.records import Service
from herdscore.domain.service_many import PlannedService
from herdscore.domain.tag_list import tags_text
from herdscore.domain.verdict import Verdict
from herdscore.pages.cow_words import say_cows
from herdscore.pages.flagged_list import SearchBox
from herdscore.pages.register_rows import calving_words, short_date, tag_value
from herdscore.pages.service_many import ManyCowsEntry
from herdscore.pages.service_one import OneCowEntry
from herdscore.pages.short_tags import short_tags
from herdscore.parts.cards import card, column, holder, row
from herdscore.parts.edit_list import EditList
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import WIDE_PX, ListView
from herdscore.parts.theme import Look

_SIDE_PX, _WIDE_SIDE_PX = 424, 500
_LARGE = 1.2  # size of the text from which columns are left out
_COWS = (
    Column("tag", "Tag", width=76, weight=700),
    Column("group", "Group", width=124),
    Column("calving_date", "Calving date", kind="date", width=136, shown="verdict"),
    Column("source", "Comes from", width=124),
    Column("last", "Last recorded", kind="date", width=240),
)
_MANY = (
    Column("in", "In", width=48, shown="tick", sortable=False),
    Column("tag", "Tag", width=72, weight=700),
    Column("what", "What is written", width=158),
    Column("until_now", "Until now", kind="date", width=112),
    Column("then", "Calves then", kind="date", width=112, weight=600),
)
_HINT = "Type the last digits, Enter takes her. Enter saves, and the next cow follows."


class ServicesTab(QWidget):
    """Services, bull runs and checks. `message(Message)` for the bar."""

    message = Signal(object)

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._assessment: Assessment | None = None
        self._search: CowSearch | None = None
        self._book: CowBook | None = None
        self._tags: list[str] = []
        self.search = SearchBox("Last digits of her tag", 230)
        self.count = label("", 12, 500, "second", wrap=True, right=True)
        self.list = ListView(look, _COWS, "Cows, one to enter for")
        self.many_list = EditList(look, _MANY, "Cows the entry is for")
        self.foot = label(_HINT, 11, tone="second", wrap=True)
        self.one, self.many = OneCowEntry(look, herd), ManyCowsEntry(herd)
        self._lists, self._forms = QStackedWidget(), QStackedWidget()
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        one = holder(column(row(self.search, (self.count, 1)), (self.list, 1), spacing=8))
        for stack, widgets in ((self._lists, (one, self.many_list)), (self._forms, (self.one, self.many))):
            for widget in widgets:
                stack.addWidget(widget)
        left = card(column((self._lists, 1), self.foot, spacing=6, margins=(12, 10, 8, 8)))
        self._side = card(column(self._forms))
        self.setLayout(row((left, 1), self._side, spacing=12))
        self.widen(0)

    def _connect(self) -> None:
        self.search.textChanged.connect(self.fill)
        self.search.entered.connect(self._on_entered)
        self.search.left.connect(self.list.setFocus)
        self.list.chosen.connect(self._on_chosen)
        self.list.opened.connect(lambda _: self.one.focus_first())
        self.one.written.connect(self._on_written)
        self.one.many_wished.connect(self.begin_many)
        self.one.left.connect(self.find_cow)
        self.many.planned.connect(self._show_plan)
        self.many.written.connect(self._on_written)
        self.many.left.connect(self.end_many)
        self.many_list.tick_wished.connect(lambda key, on: self.many.leave_out(str(key), not on))
        self.many_list.struck.connect(lambda keys: self.many.leave_out(str(keys[0]), True))

    # Showing

    def show_assessment(self, assessment: Assessment) -> None:
        """Show the herd as it is now."""
        self._assessment = assessment
        groups = assessment.groups
        self._search = CowSearch(assessment.snapshot.cows, [groups.names[g] for g in groups.now.tolist()])
        self._book = CowBook(assessment.snapshot)
        self._tags = short_tags(assessment.snapshot.cows.tag.tolist())
        last = _last_recorded(assessment)
        rows = [_cow_row(assessment, cow, self._tags[cow], last[cow]) for cow in range(len(assessment))]
        self.list.show_rows(rows)
        snapshot = assessment.snapshot
        sires = sorted({name for name in snapshot.services.sire.tolist() if name})
        breeds = sorted({name for name in snapshot.services.sire_breed.tolist() if name})
        for fields in (self.one.fields, self.many.fields):
            fields.offer(sires, breeds)
        self.fill()
        self.many.show_assessment(assessment)

    def show_rights(self) -> None:
        """Say whether anything can be written."""
        self.one.show_rights()
        self.many.show_rights()

    def fill(self) -> None:
        """Show the cows that fit block and search."""
        a = self._assessment
        if a is None or self._search is None:
            return
        keep = ~a.facts.gone & self._herd.in_block
        text = self.search.text().strip()
        if text:
            keep = keep & self._search.matches(text)
        self.list.show_only(np.flatnonzero(keep))
        needs = int((keep & (a.verdict == Verdict.NEEDS_DATE)).sum())
        self.count.setText(f"{say_cows(int(keep.sum()))}{f', {needs} without a date' if needs else ''}")
        if self.list.current_key() is None and self.list.rows.rowCount():
            self.list.setCurrentIndex(self.list.rows.index(0, 0))
        self._on_chosen(self.list.current_key())

    def widen(self, width: int) -> None:
        """Fit both sides to the width of the window and the size of the text."""
        scale = self._look.theme.text_scale
        wide = width >= WIDE_PX
        self._side.setFixedWidth(round((_WIDE_SIDE_PX if wide else _SIDE_PX) * (1 + (scale - 1) * 0.75)))
        self.list.widen(scale * (1.25 if wide else 1.0))
        self.many_list.widen(scale * (1.25 if wide else 1.0))
        large = scale > _LARGE and not wide
        self.many_list.setColumnHidden(self.many_list.rows.column_place("until_now"), large)
        self.list.setColumnHidden(self.list.rows.column_place("last"), large)

    def focus_first(self) -> None:
        """Give the keyboard to where a cow is found, or to who the many are."""
        if self.is_many:
            self.many.focus_first()
        else:
            self.find_cow()

    def find_cow(self) -> None:
        """Go to the box that finds a cow."""
        self.end_many()
        self.search.setFocus()
        self.search.selectAll()

    # One cow after the other

    def _on_entered(self) -> None:
        """Take the cow the digits plainly mean; else say why none was."""
        a, text = self._assessment, self.search.text().strip()
        if a is None or self._book is None:
            return
        found = self._book.find(text, np.zeros(len(a), dtype=bool))
        takes = None if found.near or not text else found.takes
        if takes is None and self.list.rows.rowCount() == 1:
            takes = a.snapshot.cow_place.get(str(self.list.rows.row_at(0).key))
        if takes is not None and self.list.choose(a.snapshot.cows.id[takes]):
            self.one.focus_first()
            self.foot.setText(_HINT)
        elif not self.list.rows.rowCount():
            self.foot.setText(f"No cow here ends in {text}.")
        elif text:
            self.foot.setText(f"{say_cows(self.list.rows.rowCount())} fit {text}: type more, or ↓ and Enter.")
        else:
            self.list.setFocus()

    def _on_chosen(self, key: object) -> None:
        if self._assessment is not None:
            self.one.show_cow(self._assessment, key if isinstance(key, str) else "")

    def _on_written(self, words: str) -> None:
        self.foot.setText(words)
        if not self.is_many:
            self.search.setFocus()
            self.search.selectAll()

    # Many at once

    @property
    def is_many(self) -> bool:
        """Whether the entry is for many cows."""
        return self._forms.currentWidget() is self.many

    def begin_many(self, cow_ids: list[str] | None = None) -> None:
        """Go on to an entry for many cows, those given or as it was left."""
        self._forms.setCurrentWidget(self.many)
        self._lists.setCurrentWidget(self.many_list)
        self.foot.setText("Space takes the cow chosen out of the entry, or in again.")
        self.many.begin(tags_text(self._herd.snapshot, cow_ids) if cow_ids else "")

    def end_many(self) -> None:
        """Go back to one cow."""
        if self.is_many:
            self._forms.setCurrentWidget(self.one)
            self._lists.setCurrentIndex(0)
            self.foot.setText(_HINT)
            self.search.setFocus()

    def _show_plan(self) -> None:
        a = self._assessment
        if a is not None:
            self.many_list.show_rows([self._plan_row(a, one) for one in self.many.plan])

    def _plan_row(self, a: Assessment, one: PlannedService) -> ListRow:
        cow, after = one.cow, self.many.after
        going = self.many.is_in(one)
        what = "" if one.row is None else service_words(one.row, "", a.today)
        then, day, why = "", None, one.why_not
        if after is not None and going:
            then, day = short_date(after, cow), after.day(after.dates.day[cow])
            why = "" if then else account(after, cow).rests_on
        texts = ("", self._tags[cow], what, short_date(a, cow), then or why)
        values = (going, tag_value(a, cow), what, a.day(a.dates.day[cow]), day)
        return ListRow(a.snapshot.cows.id[cow], texts, values, (going, *[None] * 4), done=not going)


def _last_recorded(a: Assessment) -> list[tuple[date | None, str]]:
    """Of each cow the last service, check or calving: its day and its words."""
    services, calvings = a.snapshot.services, a.snapshot.calvings
    last: list[tuple[date | None, str]] = [(None, "")] * len(a)
    for place, one in enumerate(a.snapshot.records("services")):
        assert isinstance(one, Service)
        last[int(services.cow[place])] = (one.day, service_words(one, sire_words(a, place), a.today))
    for cow, day in zip(calvings.cow.tolist(), calvings.day.tolist(), strict=True):
        before = last[cow][0]
        if before is None or day >= before:
            last[cow] = (day, "calved")
    return last


def _cow_row(a: Assessment, cow: int, tag: str, last: tuple[date | None, str]) -> ListRow:
    words, day, mark = calving_words(a, cow)
    group = a.groups.names[int(a.groups.now[cow])] or ""
    source = date_source(a, cow)
    recorded, what = last
    said = "" if recorded is None else f"{say_day(recorded, a.today)}  {what}"
    return ListRow(
        a.snapshot.cows.id[cow],
        (tag, group, words, source, said),
        (tag_value(a, cow), group, day, source, recorded),
        (None, None, mark, None, None),
    )
