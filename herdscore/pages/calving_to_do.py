"""Tab Things to do: what the next weeks ask for, ticked off line by line, and written into a calendar file."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox

from herdscore.desk.calving_saving import save_calendar
from herdscore.domain.calendar_entries import entries_of_calvings, entries_of_things
from herdscore.domain.reasons import say_day
from herdscore.domain.season_ticks import finished
from herdscore.domain.things_to_do import Thing, things_to_do
from herdscore.pages.calving_work import CalvingWork
from herdscore.pages.cow_words import say_cows
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.scoring_words import short_tag
from herdscore.pages.wishes import FileWish
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import Panel, card, column, row
from herdscore.parts.flow import flow
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

CALENDAR = "Calendar (*.ics)"
TO_DOS, EVENTS = "to-dos", "events"
_COLUMNS = (
    Column("done", "Done", width=64, shown="tick", sortable=False),
    Column("day", "Day", "date", width=124, weight=600),
    Column("what", "What", width=190, weight=600),
    Column("block", "Block", width=84),
    Column("cows", "Cows", "number", right=True, width=64),
    Column("say", "", width=560, sortable=False),
)
_TAGS_SHOWN = 60


class ThingsToDo(FreshTab):
    """`save_wished(FileWish)`: the calendar file."""

    save_wished = Signal(object)

    def __init__(self, look: Look, work: CalvingWork) -> None:
        super().__init__()
        self.work = work
        self.things: dict[str, Thing] = {}
        self._open: dict[str, Thing] = {}
        self.claim = label("", 14, 700, wrap=True)
        self.kind = JoinedButtons([(TO_DOS, "To-dos"), (EVENTS, "All as events")], "As what", height=44)
        self.kind.choose(TO_DOS)
        self.kind.setToolTip("Some phones show no to-dos: take events for those.")
        self.calvings = QCheckBox("with every calving date")
        self.calvings.setProperty("pt", "12")
        self.calvings.setChecked(True)
        self.export_button = button("To calendar file", "main", weight=600, height=44)
        self.list = ListView(look, _COLUMNS, "Things to do")
        self.foot, self.tags = label("", 12, 600, wrap=True), label("", 11, 400, "second", wrap=True)
        top = row((self.claim, 1), (flow(self.calvings, self.kind, self.export_button, spacing=12), 0), spacing=12)
        foot = Panel(column(self.foot, self.tags, spacing=2, margins=(14, 8, 14, 8)))
        self.setLayout(column(card(column(top, (self.list, 1), foot, spacing=8, margins=(16, 10, 16, 12))), spacing=0))
        self.list.tick_wished.connect(self._on_tick)
        self.list.opened.connect(lambda key: self._on_tick(key, str(key) in self._open))
        self.list.chosen.connect(self._on_chosen)
        self.export_button.clicked.connect(self.export)
        herd = work.herd
        for moved in (herd.assessed, herd.changed, herd.block_chosen):
            moved.connect(self.herd_moved)

    def focus_first(self) -> None:
        """Give the keyboard to the list."""
        self.list.setFocus()
        if self.list.current_key() is None and self.list.rows.rowCount():
            self.list.setCurrentIndex(self.list.rows.index(0, 0))

    def renew(self) -> None:
        """Work the list out anew."""
        herd = self.work.herd
        a, block = herd.assessment, herd.block
        ticked = finished(herd.snapshot)
        every, still = things_to_do(a), things_to_do(a, ticked)
        self.things = {thing.id: thing for thing in every if block == "both" or thing.block in (None, block)}
        self._open = {thing.id: thing for thing in still if thing.id in self.things}
        shown = [self._open.get(key, thing) for key, thing in self.things.items()]
        self.list.show_rows([self._row(thing, done=thing.id not in self._open) for thing in shown])
        late = sum(thing.late for thing in self._open.values())
        weeks = a.rulebook.calving.ahead_weeks
        count = len(self._open)
        said = f"{count} thing{'' if count == 1 else 's'} to do in the next {weeks} weeks"
        self.claim.setText(f"{said}, {late} of them late" if late else said)
        self._on_chosen(self.list.current_key())

    def export(self) -> None:
        """Ask for a place and write the calendar there."""
        self.freshen()
        herd = self.work.herd
        done = [key for key in self.things if key not in self._open]
        shown = [self._open.get(key, thing) for key, thing in self.things.items()]
        entries = list(entries_of_things(shown, done))
        if self.calvings.isChecked():
            ids = _calving_ids(self.work)
            entries += [one for one in entries_of_calvings(herd.assessment) if one.id.split("/")[1] in ids]
        write: Callable[..., Path] = partial(
            save_calendar,
            tuple(entries),
            herd.file.herd_id,
            herd.name,
            self.work.now(),
            self.kind.current == EVENTS,
        )
        name = f"{herd.path.stem} calving.ics"
        self.save_wished.emit(FileWish("The calendar", name, CALENDAR, write))

    def _row(self, thing: Thing, *, done: bool) -> ListRow:
        count = len(thing.cows)
        day = say_day(thing.day, self.work.herd.today)
        texts = (
            "done" if done else "",
            f"{day} late" if thing.late and not done else day,
            thing.word,
            thing.block or "",
            str(count) if count else "",
            thing.say,
        )
        values = (done, thing.day, thing.word, thing.block or "", count or None, thing.say)
        return ListRow(thing.id, texts, values, (done, None, None, None, None, None), done=done)

    def _on_tick(self, key: object, on: bool) -> None:
        thing = self.things.get(str(key))
        if thing is not None:
            self.work.tick(thing.ticks, f"{thing.word}, {say_day(thing.day)}", on=on)

    def _on_chosen(self, key: object) -> None:
        thing = self._open.get(str(key)) or self.things.get(str(key))
        if thing is None:
            self.foot.setText("Choose a line to see what it asks for; Space ticks it off.")
            self.tags.setText("")
            return
        self.foot.setText(thing.say)
        tags = [short_tag(tag) for tag in thing.tags]
        more = f" and {say_cows(len(tags) - _TAGS_SHOWN)} more" if len(tags) > _TAGS_SHOWN else ""
        self.tags.setText("   ".join(tags[:_TAGS_SHOWN]) + more)
        self.tags.setVisible(bool(tags))


def _calving_ids(work: CalvingWork) -> set[str]:
    """Identities of the cows of the blocks shown."""
    herd = work.herd
    return {str(cow_id) for cow_id in herd.assessment.snapshot.cows.id[np.flatnonzero(herd.in_block)]}
