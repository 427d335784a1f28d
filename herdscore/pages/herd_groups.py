"""Tab Groups and moves: the groups with their cows, moving cows, what was moved, and what a group is called."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.diets import Groups, group_key, groups_of
from herdscore.domain.group_table import GroupRow, MoveLine, group_rows, move_lines
from herdscore.domain.moves import rename_group, rename_words, spelled, strike_move
from herdscore.domain.reasons import say_day
from herdscore.domain.records import AUTUMN, SPRING, Move
from herdscore.pages.cow_words import say_cows
from herdscore.pages.form_keys import form_key
from herdscore.pages.move_form import MoveForm
from herdscore.pages.register_rows import calving_words, tag_value
from herdscore.pages.short_tags import short_tags
from herdscore.parts.asked import asked_line
from herdscore.parts.buttons import button
from herdscore.parts.cards import card, column, holder, row, rule, scrolled
from herdscore.parts.edit_list import EditList
from herdscore.parts.labels import ShortenedLabel, label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import WIDE_PX, ListView
from herdscore.parts.theme import Look

NO_GROUP = "No group"
_SIDE_PX, _WIDE_SIDE_PX = 364, 460
_HISTORY_PX = 200
_LARGE = 1.2  # size of the text from which columns are left out
_GROUPS = (
    Column("name", "Group", width=112, weight=700),
    Column("cows", "Cows", kind="number", right=True, width=62),
    Column("block", "Calve in", width=92),
    Column("act", "To act", kind="number", right=True, width=66),
    Column("diet", "On", width=90),
)
_COWS = (
    Column("tag", "Tag", width=66, weight=700),
    Column("calving_date", "Calving date", kind="date", width=112, shown="verdict"),
    Column("since", "Since", kind="date", width=60),
)
_MOVES = (
    Column("day", "Day", kind="date", width=80, weight=600),
    Column("tag", "Tag", width=64),
    Column("words", "Move", width=120, sortable=False),
)


class RenameForm(QWidget):
    """What a group is called. `written(words)`, `left`."""

    written = Signal(str)
    left = Signal()

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__()
        self._herd = herd
        self._group = ""
        self.title = label("", 14, 700, wrap=True)
        self.name = asked_line("Name, or another group to join it to")
        self.save_button = button("Rename")
        self.words = label("", 11, tone="second", wrap=True)
        self.setLayout(column(self.title, self.name, self.words, row(self.save_button, None), spacing=4))
        self.name.holds.textChanged.connect(self._on_edited)  # type: ignore[union-attr]
        self.save_button.clicked.connect(self.save)

    def show_group(self, group: str) -> None:
        """Offer to rename a group; a name half typed for it stays."""
        if group != self._group:
            self._group = group
            self.name.put(group)
        self.title.setText(f"What {group} is called" if group else "What a group is called")
        self.setEnabled(bool(group))
        self._on_edited()

    def _on_edited(self) -> None:
        self.words.setText(rename_words(self._herd.snapshot, self._groups(), self._group, self.name.text))
        self.save_button.setEnabled(self._herd.can_write and bool(self.words.text()))

    def _groups(self) -> Groups:
        return groups_of(self._herd.snapshot, self._herd.herd_day)

    def save(self) -> None:
        """Write the new name everywhere."""
        if not self.save_button.isEnabled():
            return
        typed = " ".join(self.name.text.split())
        groups = groups_of(self._herd.snapshot, self._herd.herd_day)
        # A change of spelling is what was typed; another group's name is as that group has it.
        to = typed if group_key(typed) == group_key(self._group) else spelled(groups, typed)
        change = rename_group(self._herd.snapshot, self._group, to)
        old, self._group = self._group, to
        if change is not None and not self._herd.push(change, f"{old} called {to}"):
            self._group = old
            return
        self.name.put(to)
        self.written.emit(f"{old} is called {to} now. Ctrl+Z takes it back.")

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter saves, Esc leaves."""
        if not form_key(event, self.save, self.left.emit):
            super().keyPressEvent(event)


class GroupsTab(QWidget):
    """Groups and moves. `message(Message)` for the bar."""

    message = Signal(object)

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._assessment: Assessment | None = None
        self._lines: dict[str, MoveLine] = {}
        self._tags: list[str] = []
        self.groups = ListView(look, _GROUPS, "Feeding groups")
        self.cows = EditList(look, _COWS, "Cows of the group", several=True)
        self.history = EditList(look, _MOVES, "Moves, the latest first")
        self.count = label("", 12, 500, "second")
        self.of_group = ShortenedLabel(14, 700)
        self.mover, self.rename = MoveForm(herd), RenameForm(herd)
        self.foot = label("", 11, tone="second", wrap=True)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        self.history.setMinimumHeight(_HISTORY_PX)
        self._say("")
        margins = (12, 10, 8, 8)
        groups = card(
            column(row(label("Groups", 14, 700), self.count, None), (self.groups, 1), spacing=8, margins=margins)
        )
        cows = card(column(self.of_group, (self.cows, 1), self.foot, spacing=8, margins=margins))
        inside = column(
            self.mover, 2, rule(), self.rename, rule(), label("Moves", 14, 700), (self.history, 1), spacing=8,
            margins=(14, 10, 12, 10),
        )  # fmt: skip
        self._side = card(column(scrolled(holder(inside))))
        self.setLayout(row((groups, 6), (cows, 4), self._side, spacing=12))
        self.widen(0)

    def _connect(self) -> None:
        self.groups.chosen.connect(lambda _: self._show_cows())
        self.groups.opened.connect(lambda _: self.cows.setFocus())
        self.cows.selection.connect(self._on_selection)
        self.cows.opened.connect(lambda _: self.mover.to.take_keyboard())
        self.history.opened.connect(self._on_history_opened)
        self.history.struck.connect(lambda keys: self._strike(str(keys[0])))
        for form in (self.mover, self.rename):
            form.written.connect(self._say)
            form.left.connect(self.groups.setFocus)

    # Showing

    def show_assessment(self, assessment: Assessment) -> None:
        """Show the herd as it is now."""
        self._assessment = assessment
        self._tags = short_tags(assessment.snapshot.cows.tag.tolist())
        rows = group_rows(assessment)
        self.groups.show_rows([_group_row(row_) for row_ in rows])
        named = sum(bool(row_.name) for row_ in rows)
        self.count.setText(f"{named} group{'' if named == 1 else 's'}")
        if self.groups.current_key() is None and self.groups.rows.rowCount():
            self.groups.setCurrentIndex(self.groups.rows.index(0, 0))
        self._lines = {line.move.id: line for line in move_lines(assessment)}
        rows_ = [_move_row(assessment, line, self._tags[line.cow]) for line in self._lines.values()]
        self.history.show_rows(rows_)
        self._show_cows()
        self.mover.show_herd()

    def show_rights(self) -> None:
        """Say whether anything can be written."""
        self.mover.show_rights()
        self.rename.show_group(self._group)
        if not self._herd.can_write:
            self._say(self._herd.why_not)
        elif self.foot.text().startswith("You are looking"):
            self._say("")

    def fill(self) -> None:
        """Show the cows of the block chosen."""
        self._show_cows()

    def widen(self, width: int) -> None:
        """Fit the columns to the width of the window and the size of the text."""
        scale, wide = self._look.theme.text_scale, width >= WIDE_PX
        self._side.setFixedWidth(round((_WIDE_SIDE_PX if wide else _SIDE_PX) * (1 + (scale - 1) * 0.6)))
        for view in (self.groups, self.cows, self.history):
            view.widen(scale * (1.25 if wide else 1.0))
        large = scale > _LARGE and not wide
        self.groups.setColumnHidden(self.groups.rows.column_place("block"), large)
        self.groups.setColumnHidden(self.groups.rows.column_place("act"), large)
        self.cows.setColumnHidden(self.cows.rows.column_place("since"), large)

    def focus_first(self) -> None:
        """Give the keyboard to the groups."""
        self.groups.setFocus()

    def find_cow(self) -> None:
        """Go to where cows are named by their last digits."""
        self.mover.who.take_keyboard()

    def begin_moving(self, cow_ids: list[str]) -> None:
        """Ask where these cows go."""
        self.mover.begin(cow_ids)

    @property
    def _group(self) -> str:
        key = self.groups.current_key()
        return key if isinstance(key, str) else ""

    def _show_cows(self) -> None:
        a = self._assessment
        if a is None:
            return
        group = self._group or None
        known = group in a.groups.names
        place = a.groups.names.index(group) if known else -1
        mine = np.flatnonzero(~a.facts.gone & (a.groups.now == place) & self._herd.in_block)
        shown = mine.tolist() if self.groups.current_key() is not None else []
        self.cows.show_rows([_cow_row(a, cow, self._tags[cow]) for cow in shown])
        self.of_group.show_words(f"{self._group or NO_GROUP}: {say_cows(len(shown))}" if known else "No group yet")
        self.rename.show_group(self._group)
        self._on_selection()

    def _on_selection(self) -> None:
        chosen = [key for key in self.cows.selected_keys() if isinstance(key, str)]
        self.mover.show_chosen(chosen)

    def _say(self, words: str) -> None:
        self.foot.setText(words or "Shift or Ctrl with ↑ ↓ and Space choose several; Enter goes on to where they go.")

    # Moves recorded

    def _on_history_opened(self, key: object) -> None:
        line = self._lines.get(str(key))
        if line is None:
            return
        if self._herd.can_write:
            self.mover.begin_editing(line.move)
        else:
            self._say(self._herd.why_not)

    def _strike(self, key: str) -> None:
        line = self._lines.get(key)
        if line is None:
            return
        if not self._herd.can_write:
            self._say(self._herd.why_not)
            return
        tag = str(self._herd.snapshot.cows.tag[self._herd.snapshot.cow_place[line.move.cow_id]])
        change = strike_move(self._herd.snapshot, line.move, self._herd.herd_day)
        if self._herd.push(change, f"move of {tag} struck out"):
            self._say(f"{tag}: the move to {line.move.group} is struck out. Ctrl+Z takes it back.")


def _group_row(group: GroupRow) -> ListRow:
    name = group.name or NO_GROUP
    since = f"{group.diet} since {say_day(group.since)}" if group.since is not None else group.diet
    blocks = [(count, word) for count, word in ((group.spring, SPRING), (group.autumn, AUTUMN)) if count]
    calve = ", ".join(word if len(blocks) == 1 else f"{count} {word}" for count, word in blocks)
    texts = (name, str(group.cows), calve, str(group.act) if group.act else "", since)
    return ListRow(group.name, texts, (name, group.cows, calve, group.act, since))


def _cow_row(a: Assessment, cow: int, tag: str) -> ListRow:
    words, day, mark = calving_words(a, cow)
    moved = a.snapshot.moves.day[a.snapshot.of_cow("moves", cow)]
    past = [found for found in moved.tolist() if found <= a.today]
    since = past[-1] if past else None
    texts = (tag, words, say_day(since, a.today) if since is not None else "")
    return ListRow(a.snapshot.cows.id[cow], texts, (tag_value(a, cow), day, since), (None, mark, None))


def _move_row(a: Assessment, line: MoveLine, tag: str) -> ListRow:
    move: Move = line.move
    words = f"{line.came_from} → {move.group}" if line.came_from else f"to {move.group}"
    texts = (say_day(move.day, a.today), tag, words)
    return ListRow(move.id, texts, (move.day, tag_value(a, line.cow), words))
