"""Cows to another group, in place: which group, from which day, and what it would mean, before anything is written."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import QDate, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.diets import group_key, groups_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.moves import plan_move, spelled
from herdscore.domain.reasons import say_day
from herdscore.domain.records import UP
from herdscore.pages.cow_words import say_cows
from herdscore.parts.buttons import button, choice_box
from herdscore.parts.cards import Panel, column, row
from herdscore.parts.fields import day_box, day_of
from herdscore.parts.labels import label


class MovePanel(Panel):
    """`moved()`: written; `left()`: not now. Enter moves, Esc leaves."""

    moved = Signal()
    left = Signal()

    def __init__(self, herd: OpenHerd, *, narrow: bool = False) -> None:
        self._herd = herd
        self._cow_ids: tuple[str, ...] = ()
        self.title = label("", 14, 700, wrap=True)
        self.group = choice_box("Group to move to")
        self.group.setEditable(True)
        self.group.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.group.setMinimumWidth(150)
        self.day = day_box("From which day", herd.today)
        self.words = label("", 12, wrap=True)
        self.move_button, self.leave_button = button("Move", "main"), button("Cancel")
        buttons = row(self.move_button, self.leave_button, *([None] if narrow else []))
        if narrow:
            inside = column(self.title, self.group, self.day, self.words, buttons, spacing=8, margins=(14, 10, 12, 10))
        else:
            fields = row(self.title, (self.group, 1), self.day, buttons, spacing=10)
            inside = column(fields, self.words, spacing=4, margins=(14, 8, 12, 8))
        super().__init__(inside, "selected")
        edit = self.group.lineEdit()
        assert edit is not None
        edit.setPlaceholderText("Group")
        self.group.editTextChanged.connect(lambda _: self._say())
        self.day.dateChanged.connect(lambda _: self._say())
        self.move_button.clicked.connect(self.move_cows)
        self.leave_button.clicked.connect(self.left)

    def ask(self, cow_ids: Sequence[str]) -> None:
        """Ask where these cows go."""
        self._cow_ids = tuple(cow_ids)
        snapshot, today = self._herd.snapshot, self._herd.today
        names = [name for name in groups_of(snapshot, today).names if name is not None]
        self.group.blockSignals(True)
        self.group.clear()
        self.group.addItems(sorted(names, key=str.casefold))
        self.group.setCurrentIndex(-1)
        self.group.setEditText("")
        self.group.blockSignals(False)
        self.day.setDate(QDate(today.year, today.month, today.day))
        places = self._places()
        who = str(snapshot.cows.tag[places[0]]) if len(places) == 1 else say_cows(len(places))
        self.title.setText(f"Move {who} to")
        self._say()
        self.group.setFocus()

    def move_cows(self) -> None:
        """Write the move as one step that can be taken back."""
        self.day.interpretText()
        name, change = self._name(), None
        if name and self._herd.can_write:
            change = plan_move(self._herd.snapshot, self._places(), name, day_of(self.day), self._herd.today).change
        if change is None:
            self.group.setFocus()
        elif self._herd.push(change, f"{say_cows(len(self._cow_ids))} to {name}"):
            self.moved.emit()

    def _places(self) -> list[int]:
        place = self._herd.snapshot.cow_place
        return [place[cow_id] for cow_id in self._cow_ids if cow_id in place]

    def _name(self) -> str:
        typed = self.group.currentText().strip()
        return spelled(groups_of(self._herd.snapshot, self._herd.today), typed) if typed else ""

    def _say(self) -> None:
        """What it would mean, while it is typed."""
        name, day, today = self._name(), day_of(self.day), self._herd.today
        if self._herd.why_not:
            said = self._herd.why_not
        elif not name:
            said = "Choose a group, or type a new name. The diets of the group follow her from that day."
        else:
            plan = plan_move(self._herd.snapshot, self._places(), name, day, today)
            said = f"{plan.words} {caution(self._herd.snapshot, name, day, today)}".strip()
        self.words.setText(said)
        self.move_button.setEnabled(bool(name) and self._herd.can_write)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.left.emit() if self.leave_button.hasFocus() else self.move_cows()
        else:
            super().keyPressEvent(event)


def caution(snapshot: Snapshot, group: str, day: date, today: date) -> str:
    """What to look at before cows join a group that is on a change; "" when it is on none that day."""
    diets, key = snapshot.diets, group_key(group)
    rows = [row for row in range(len(diets)) if group_key(diets.group[row]) == key and diets.day[row].item() <= day]
    last = max(rows, key=lambda row: diets.day[row], default=None)
    if last is None or diets.aim[last] is None:
        return ""
    way = "up" if diets.aim[last] == UP else "down"
    since = say_day(diets.day[last].item(), today)
    return (
        f"{group} is on a change {way} since {since}, and whoever joins is changed at once: bring in only cows whose "
        "ration is within one step of the pen's; others start the steps from the beginning."
    )
