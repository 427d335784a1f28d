"""The end of a round: how many, each group against last time, days that look off for everybody, whom to act on."""

from __future__ import annotations

import math

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.domain.reasons import words_of
from herdscore.domain.round_summary import GroupSummary, RoundSummary, summary
from herdscore.domain.scale import show
from herdscore.pages.cow_words import act_by_of
from herdscore.pages.round_paper import NO_PEN
from herdscore.pages.round_words import days_off_words, group_texts, summary_claim, title_of
from herdscore.pages.round_work import RoundWork
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, card, column, row
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

GROUPS = (
    Column("group", "Group", width=126, weight=600),
    Column("cows", "Cows", kind="number", right=True, width=56),
    Column("mean", "Mean\n± spread", kind="number", right=True, width=102),
    Column("again", "Scored\nbefore", kind="number", right=True, width=68),
    Column("then", "Then", kind="number", right=True, width=102),
    Column("change", "Change", kind="number", right=True, width=90),
)
ACT = (
    Column("tag", "Tag", width=104, weight=700),
    Column("score", "Score", kind="number", right=True, width=66),
    Column("verdict", "Verdict", shown="verdict", width=190),
    Column("by", "Act by", width=120),
)
_ALL = "All of them"


class RoundSummaryPage(QWidget):
    """`open_cow(cow_id)`; `print_pressed`, `save_pressed`: the summary on paper."""

    open_cow = Signal(str)
    print_pressed = Signal()
    save_pressed = Signal()

    def __init__(self, look: Look, work: RoundWork) -> None:
        super().__init__()
        self.work = work
        self.found: RoundSummary | None = None
        self.title, self.when = label("", 18, 700, wrap=True), label("", 12, 400, "second", wrap=True)
        self.claim = label("", 16, 600, wrap=True)
        self.off = label("", 14, 600, wrap=True)
        self._off = Panel(row((self.off, 1), margins=(14, 8, 14, 8)), "hold", edged=True)
        self.groups = ListView(look, GROUPS, "Groups of the round")
        self.act = ListView(look, ACT, "Cows to act on")
        self.act_title = label("", 14, 700)
        self.print_key, self.save_key = button("Print"), button("Save as PDF")
        head = column(self.title, self.when, spacing=0)
        left = card(column(label("By group", 14, 700), (self.groups, 1), spacing=6, margins=(12, 10, 12, 8)))
        right = card(column(self.act_title, (self.act, 1), spacing=6, margins=(12, 10, 12, 8)))
        self.setLayout(
            column(
                row((head, 1), self.print_key, self.save_key, spacing=8),
                self.claim,
                self._off,
                (row((left, 1), (right, 1), spacing=12), 1),
                spacing=8,
            )
        )
        self.act.opened.connect(lambda key: self.open_cow.emit(str(key)))
        self.print_key.clicked.connect(self.print_pressed)
        self.save_key.clicked.connect(self.save_pressed)
        work.moved.connect(self.renew)

    @override
    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.renew()

    def focus_first(self) -> None:
        """Give the keyboard to the cows to act on."""
        (self.act if self.found is not None and self.found.to_act else self.groups).setFocus()

    def renew(self) -> None:
        """Sum the round up anew, from the newest assessment."""
        if not self.isVisible():
            return  # brought up to date when it comes to the front: a save must not wait for it
        round_, assessment = self.work.round, self.work.herd.assessment
        for one in (self.print_key, self.save_key):
            one.setEnabled(round_ is not None)
        if round_ is None:
            self.found = None
            self.title.setText("No round yet")
            self.when.setText("Open one under Round: its summary stands here while it goes on, and when it is closed.")
            self.claim.setText("")
            self._off.hide()
            self._show_rows(None)
            return
        found = self.found = summary(assessment, round_)
        self.title.setText(round_.name)
        self.when.setText(title_of(round_, assessment.today))
        self.claim.setText(summary_claim(found))
        off = "\n".join(days_off_words(found))
        self.off.setText(off)
        self._off.setVisible(bool(off))
        self._show_rows(found)

    def _show_rows(self, found: RoundSummary | None) -> None:
        if found is None:
            self.groups.show_rows([])
            self.act.show_rows([])
            self.act_title.setText("To act on")
            return
        rows = [_group_row(one, str(at)) for at, one in enumerate(found.groups)]
        if len(found.groups) > 1:
            rows.append(_group_row(found.herd, "all", _ALL))
        self.groups.show_rows(rows)
        self.act.show_rows([self._act_row(cow) for cow in found.to_act])
        self.act_title.setText(f"To act on: {len(found.to_act)}" if found.to_act else "To act on: nobody")

    def _act_row(self, cow: int) -> ListRow:
        a = self.work.herd.assessment
        words, last = words_of(a, cow), float(a.sessions.last[cow])
        tag = self.work.tags[cow] if cow < len(self.work.tags) else str(a.snapshot.cows.tag[cow])
        score = show(round(last * 4)) if math.isfinite(last) else ""
        by = act_by_of(a, cow).removeprefix("Begin ").rstrip(".")
        return ListRow(
            str(a.snapshot.cows.id[cow]),
            (tag, score, words.word, by),
            (tag, last, words.word, float(a.reach.act_by[cow])),
            (None, None, words.mark, None),
        )


def _group_row(one: GroupSummary, key: str, name: str = NO_PEN) -> ListRow:
    values = (one.group or name, one.cows, one.mean, one.again, one.mean_before, one.change)
    return ListRow(key, group_texts(one, name), values)
