"""One service, bull run or scan day for many cows: who, what, and what it gives each of them before it is saved."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPlainTextEdit, QSizePolicy, QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, SPRING_BLOCK
from herdscore.domain.change_effect import dates_summary
from herdscore.domain.lookup import CowBook
from herdscore.domain.reasons import say_day
from herdscore.domain.service_form import CHECKS, ServiceFacts, add_services, read_service
from herdscore.domain.service_many import PlannedService, cows_of_block, cows_of_group, plan_services
from herdscore.domain.tag_list import ListedCow, TagList, read_tags
from herdscore.pages.cow_words import say_cows
from herdscore.pages.form_keys import form_key
from herdscore.pages.service_fields import ServiceFields
from herdscore.pages.service_one import SOON
from herdscore.parts.asked import asked_choice
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import Panel, column, holder, row, scrolled
from herdscore.parts.labels import label

BLOCK, GROUP, TAGS = "block", "group", "tags"
_WHO = ((BLOCK, "Block"), (GROUP, "Group"), (TAGS, "Tags"))
_BLOCKS = tuple((name, f"{name} calvers") for name in (BLOCK_NAMES[SPRING_BLOCK], BLOCK_NAMES[AUTUMN_BLOCK]) if name)
_NONE = "\0none"
_TAGS_PX = 92
_HOW_TAGS = "Last digits of each, parted by blanks, commas or new lines."
_HOW_FOUND = "A cow a line: last digits, then the age in days, calf, empty or twins, as “0512 52” or “0347 empty”."


class ManyCowsEntry(QWidget):
    """`planned`: other cows or another entry; `written(words)`; `left`: back to one cow."""

    planned = Signal()
    written = Signal(str)
    left = Signal()

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__()
        self._herd = herd
        self._assessment: Assessment | None = None
        self._book: CowBook | None = None
        self._without: set[str] = set()
        self.plan: list[PlannedService] = []
        self.after: Assessment | None = None
        self.who = JoinedButtons(_WHO, "Which cows", 11, width=84, height=44)
        self.block, self.group = asked_choice("Block", _BLOCKS), asked_choice("Group", (), letters=12)
        self.tags = QPlainTextEdit()
        self.how = label("", 11, tone="second", wrap=True)
        self.fields = ServiceFields()
        self._claim, self._words = label("", 14, 700, wrap=True), label("", 11, wrap=True)
        self._panel = Panel(column(self._claim, self._words, spacing=2, margins=(12, 8, 12, 8)), "sunk")
        self.save_button, self.left_button = button("Save", "main"), button("One cow")
        self._why_not = label("", 11, tone="second", wrap=True)
        self._soon = QTimer(self, singleShot=True, interval=SOON)
        self._lay_out()
        self._connect()
        self.choose_who(BLOCK)

    def _lay_out(self) -> None:
        self.tags.setAccessibleName("Tags")
        self.tags.setProperty("pt", "12")
        self.tags.setTabChangesFocus(True)
        self.tags.setFixedHeight(_TAGS_PX)
        self.tags.setAcceptDrops(False)
        for asked in (self.block, self.group):
            asked.heading.hide()
            asked.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        who = column(row(self.who, None), self.block, self.group, self.tags, self.how, spacing=6)
        inside = column(who, 4, self.fields, self._panel, None, spacing=8, margins=(14, 0, 12, 4))
        foot = column(row(self.save_button, None, self.left_button), self._why_not, margins=(14, 0, 12, 0))
        top = row(label("For many cows", 18, 700), None, margins=(14, 0, 12, 0))
        self.setLayout(column(top, (scrolled(holder(inside)), 1), foot, spacing=8, margins=(0, 10, 0, 10)))

    def _connect(self) -> None:
        self.who.chosen.connect(self.choose_who)
        for asked in (self.block, self.group):
            asked.holds.currentIndexChanged.connect(self._on_others)  # type: ignore[union-attr]
        self.tags.textChanged.connect(self._on_others)
        self.fields.edited.connect(self._soon.start)
        self._soon.timeout.connect(self.look_ahead)
        self.save_button.clicked.connect(self.save)
        self.left_button.clicked.connect(self.left)

    # Showing

    def show_rights(self) -> None:
        """Say whether anything can be written."""
        self._why_not.setText(self._herd.why_not)
        self._why_not.setVisible(not self._herd.can_write)
        self.fields.show_day(self._herd.herd_day)
        self._show_save()

    def show_assessment(self, assessment: Assessment) -> None:
        """Take over the herd as it is now."""
        self._assessment = assessment
        self._book = CowBook(assessment.snapshot)
        box, before = self.group.holds, self.group.text
        box.blockSignals(True)
        box.clear()  # type: ignore[union-attr]
        for name in assessment.groups.names:
            box.addItem(name or "No group", name if name is not None else _NONE)  # type: ignore[union-attr]
        self.group.put(before)
        box.blockSignals(False)
        self.look_ahead()

    def choose_who(self, who: str) -> None:
        """Choose how the cows are named."""
        self.who.choose(who)
        self.block.setVisible(who == BLOCK)
        self.group.setVisible(who == GROUP)
        self.tags.setVisible(who == TAGS)
        self._on_others()

    def begin(self, tags: str = "") -> None:
        """Start with cows named by their tags, or as it was left."""
        if tags:
            self.tags.setPlainText(tags)
            self.choose_who(TAGS)
        self.focus_first()

    def focus_first(self) -> None:
        """Give the keyboard to who it is about."""
        if self.who.current == TAGS:
            self.tags.setFocus()
        else:
            (self.block if self.who.current == BLOCK else self.group).take_keyboard()

    @property
    def said(self) -> tuple[str, str]:
        """The claim of the preview and the rest of it."""
        return self._claim.text(), self._words.text()

    # Who, and what it would give

    def _on_others(self) -> None:
        self._without = set()
        self._soon.start()

    def leave_out(self, cow_id: str, out: bool) -> None:
        """Leave a cow out, or take her in again."""
        (self._without.add if out else self._without.discard)(cow_id)
        self.look_ahead()

    def is_in(self, planned: PlannedService) -> bool:
        """Whether a cow gets the entry."""
        ids = self._herd.snapshot.cows.id
        return planned.row is not None and str(ids[planned.cow]) not in self._without

    def _cows(self, assessment: Assessment) -> TagList:
        who = self.who.current
        if who == BLOCK:
            return TagList(tuple(cows_of_block(assessment, BLOCK_NAMES.index(self.block.text))))
        if who == GROUP:
            return TagList(tuple(cows_of_group(assessment, None if self.group.text == _NONE else self.group.text)))
        assert self._book is not None
        found = self.fields.kind in CHECKS
        return read_tags(self.tags.toPlainText(), assessment.snapshot, self._book, with_findings=found)

    def _read(self) -> ServiceFacts:
        later = self.who.current == TAGS
        return read_service(self.fields.typed(), self._herd.rulebook, self._herd.herd_day, found_later=later)

    def look_ahead(self) -> None:
        """Work out what each cow would get, and say it in sum."""
        self._soon.stop()
        a = self._assessment
        if a is None or a.snapshot is not self._herd.snapshot:
            return  # the assessment of what was just written is on its way
        found, read = self._cows(a), self._read()
        self.how.setText(found.sentence or (_HOW_FOUND if self.fields.kind in CHECKS else _HOW_TAGS))
        self.how.setVisible(self.who.current == TAGS)
        self.how.setProperty("tone", "thin" if found.problems else "second")
        self.how.style().polish(self.how)
        self.plan, self.after = self._plan(a, found.cows, read)
        self._show_sum(a, read)
        self._show_save()
        self.planned.emit()

    def _plan(
        self, a: Assessment, cows: Sequence[ListedCow], read: ServiceFacts
    ) -> tuple[list[PlannedService], Assessment | None]:
        if read.problems:
            return [PlannedService(one.cow, None) for one in cows], None
        plan = plan_services(a.snapshot, cows, read)
        self.plan = plan
        rows = [one.row for one in plan if one.row is not None and self.is_in(one)]
        return plan, self._herd.preview(add_services(rows)) if rows else None

    def _show_sum(self, a: Assessment, read: ServiceFacts) -> None:
        going = [one.cow for one in self.plan if self.is_in(one)]
        if not self.plan:
            claim, words = "No cow is named yet", ""
        elif read.problems:
            claim, words = say_cows(len(self.plan)), next(iter(read.problems.values()))
        else:
            claim = f"{read.kind} {say_day(read.facts['day'], a.today)} for {say_cows(len(going))}"
            claim = claim[0].upper() + claim[1:]
            words = dates_summary(a, self.after, np.array(going)) if self.after is not None else ""
            out = len(self.plan) - len(going)
            words += f" {say_cows(out)} left out." if out else ""
        self._claim.setText(claim)
        self._words.setText(words.strip())
        self._words.setVisible(bool(words.strip()))
        self._panel.show_hue("ok" if self.after is not None else "sunk")

    def _show_save(self) -> None:
        going = sum(self.is_in(one) for one in self.plan)
        self.save_button.setText(f"Save for {say_cows(going)}" if going else "Save")
        self.save_button.setEnabled(self._herd.can_write)

    # Writing

    def save(self) -> None:
        """Write the entry for every cow that is in, as one change; what is wrong is said and nothing is lost."""
        if not self._herd.can_write or self._assessment is None:
            return
        self.look_ahead()
        read = self._read()
        self.fields.show_problems(read.problems, go=True)
        if read.problems:
            return
        found = self._cows(self._assessment)
        rows = [one.row for one in self.plan if one.row is not None and self.is_in(one)]
        if found.problems or not rows:
            self.focus_first()
            return
        words = f"{read.kind} for {say_cows(len(rows))}"
        if self._herd.push(add_services(rows), words):
            self.tags.setPlainText("")
            self.fields.empty_findings()
            said = words[0].upper() + words[1:]
            self.written.emit(f"{said}, {say_day(read.facts['day'])}, is written. Ctrl+Z takes it back.")

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter saves (in the list of tags Ctrl+Enter), Esc goes back to one cow."""
        if not form_key(event, self.save, self.left.emit):
            super().keyPressEvent(event)
