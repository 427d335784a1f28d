"""The round: how far it is and who is left, carry it over, close it; its name and pens; and a new one."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QComboBox, QWidget
from typing_extensions import override

from herdscore.domain.records import Round
from herdscore.pages.cow_words import say_cows
from herdscore.pages.round_words import (
    covers_choices,
    open_since,
    pace_words,
    progress_lines,
    proposed_name,
    tags_of,
    tags_words,
    title_of,
)
from herdscore.pages.round_work import RoundWork
from herdscore.parts.asked import Asked, asked_choice, asked_line, asked_name, offer_names
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, card, column, holder, row, rule, scrolled
from herdscore.parts.labels import label
from herdscore.parts.progress import TensCount
from herdscore.parts.theme import Look

_MOST_TAGS = 60
_KEY_PX = 48
_MARGINS = (18, 14, 18, 14)


class _Pens:
    """Name of a round and of its two pens."""

    def __init__(self) -> None:
        self.name = asked_line("Name of the round")
        self.lean = asked_name("Pen for lean cows")
        self.fat = asked_name("Pen for fat cows")

    def all(self) -> tuple[Asked, Asked, Asked]:
        """The three fields."""
        return self.name, self.lean, self.fat

    def offer(self, names: list[str]) -> None:
        """Offer the groups of the herd as pens."""
        offer_names(self.lean, names)
        offer_names(self.fat, names)


class NewRound(QWidget):
    """A form for a new round; `begun`: it is open now."""

    begun = Signal()

    def __init__(self, work: RoundWork) -> None:
        super().__init__()
        self._work = work
        self.pens = _Pens()
        self.covers = asked_choice("Its list", (), letters=18)
        self.said = label("", 12, 400, "second", wrap=True)
        self.go = button("Open the round", "main", 16, 700, height=_KEY_PX)
        self._proposed = ""
        name, lean, fat = self.pens.all()
        inside = column(
            label("New round", 16, 700),
            row((name, 1), (self.covers, 1), spacing=10),
            row((lean, 1), (fat, 1), spacing=10),
            self.said,
            row(self.go, None),
            None,
            spacing=8,
            margins=_MARGINS,
        )
        self.setLayout(row((card(inside), 1)))
        self.go.clicked.connect(self._on_go)
        box = self._box
        box.currentIndexChanged.connect(lambda _: self._tell())
        assert not isinstance(name.holds, QComboBox)
        name.holds.returnPressed.connect(self._on_go)  # type: ignore[union-attr]

    @property
    def _box(self) -> QComboBox:
        assert isinstance(self.covers.holds, QComboBox)
        return self.covers.holds

    def renew(self) -> None:
        """Offer what the herd has; what was typed or chosen stays."""
        herd, box = self._work.herd, self._box
        kept = box.currentData()
        box.blockSignals(True)
        box.clear()
        for key, words, cows in covers_choices(herd.assessment):
            box.addItem(f"{words}, {cows}", key)
        box.setCurrentIndex(max(0, box.findData(kept)))
        box.blockSignals(False)
        self.pens.offer(sorted({name for name in herd.assessment.groups.names if name}))
        proposed = proposed_name(herd.herd_day, [one.name for one in self._work.all])
        if self.pens.name.text in ("", self._proposed):
            self.pens.name.put(proposed)
        self._proposed = proposed
        self.go.setEnabled(herd.can_write)
        self._tell()

    def take_keyboard(self) -> None:
        """Give its name the keyboard."""
        self.pens.name.take_keyboard()

    def _tell(self) -> None:
        herd, open_now = self._work.herd, self._work.open
        if not herd.can_write:
            self.said.setText(herd.why_not)
        elif open_now is not None:
            self.said.setText(f"{open_now.name} is closed by it.")
        else:
            self.said.setText("Cows who come and are not on the list are scored all the same.")

    def _on_go(self) -> None:
        if not self.go.isEnabled():
            return
        name, lean, fat = (one.text for one in self.pens.all())
        wrong = self._work.begin(name, self.covers.text, lean, fat)
        self.pens.name.say(wrong if not name.strip() else "", wrong=True)
        self.covers.say("" if not name.strip() else wrong, wrong=True)
        if not wrong:
            self._proposed = self.pens.name.text
            self.begun.emit()


class RoundPanel(QWidget):
    """`begun`: a round was opened; `print_pressed`, `save_pressed`: the crush list; `summary_pressed`."""

    begun = Signal()
    print_pressed = Signal()
    save_pressed = Signal()
    summary_pressed = Signal()

    def __init__(self, look: Look, work: RoundWork) -> None:
        super().__init__()
        self.work = work
        self.new = NewRound(work)
        self.title, self.when = label("", 18, 700, wrap=True), label("", 12, 400, "second", wrap=True)
        self.since = label("", 14, 600, wrap=True)
        self._since = Panel(row((self.since, 1), margins=(14, 8, 14, 8)), "score", edged=True)
        self.tens = TensCount(look)
        self.far, self.pace = label("", 14, 400, wrap=True), label("", 14, 400, "second", wrap=True)
        self.to_come, self.skipped = label("", 12, 400, wrap=True), label("", 12, 400, wrap=True)
        self.over = button("Carry over to today", points=14, height=_KEY_PX)
        self.close_key = button("Close the round", points=14, height=_KEY_PX)
        self.again = button("Take it up again", points=14, height=_KEY_PX)
        self.summary_key = button("Summary", points=14, height=_KEY_PX)
        self.print_key = button("Print the crush list", points=14, height=_KEY_PX)
        self.save_key = button("Save it as PDF", points=14, height=_KEY_PX)
        self.pens = _Pens()
        self.keep = button("Keep", points=12)
        self._shown = ""
        self._lay_out()
        self._connect()
        work.moved.connect(self.renew)

    def _lay_out(self) -> None:
        keys = row(self.over, self.close_key, self.again, self.summary_key, None, spacing=8)
        name, lean, fat = self.pens.all()
        self._edit = holder(
            column(
                rule(),
                row((name, 1), (lean, 1), (fat, 1), column(None, self.keep, None, spacing=0), spacing=8),
                spacing=8,
            )
        )
        self._lines = holder(
            column(self._since, self.tens, self.far, self.pace, keys, self.to_come, self.skipped, spacing=8)
        )
        paper = row(self.print_key, self.save_key, None, spacing=8)
        inside = column(self.title, self.when, self._lines, paper, self._edit, None, spacing=8, margins=_MARGINS)
        left = scrolled(holder(column(card(inside), None, margins=(0, 0, 6, 0))))
        right = scrolled(holder(column(self.new, None, margins=(0, 0, 6, 0))))
        self.setLayout(row((left, 3), (right, 2), spacing=12))

    def _connect(self) -> None:
        self.new.begun.connect(self.begun)
        self.over.clicked.connect(self.work.carry_over)
        self.close_key.clicked.connect(self._on_close)
        self.again.clicked.connect(self._on_again)
        self.summary_key.clicked.connect(self.summary_pressed)
        self.print_key.clicked.connect(self.print_pressed)
        self.save_key.clicked.connect(self.save_pressed)
        self.keep.clicked.connect(self._on_keep)

    def focus_first(self) -> None:
        """Give the keyboard to what is likely wanted: a new round while none is open."""
        if self.work.round is None:
            self.new.take_keyboard()
        else:
            (self.over if self.over.isEnabled() and not self.over.isHidden() else self.summary_key).setFocus()

    @override
    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.renew()

    def renew(self) -> None:
        """Show the round looked at, and what a new one may be."""
        if not self.isVisible():
            return  # brought up to date when it comes to the front: a save must not wait for it
        round_, today = self.work.round, self.work.herd.today
        self._lines.setVisible(round_ is not None)
        self._edit.setVisible(round_ is not None)
        self.save_key.setEnabled(True)
        if round_ is None:
            self.title.setText("No round is open")
            self.when.setText("Without one, every cow of the block is to score. The crush list holds them all.")
            self._shown = ""
        else:
            self._show_round(round_, today)
        self.new.renew()

    def _show_round(self, round_: Round, today: date) -> None:
        work, far, can_write = self.work, self.work.progress, self.work.herd.can_write
        assert far is not None
        is_open = work.open is not None and work.open.id == round_.id
        self.title.setText(round_.name)
        self.when.setText(title_of(round_, today))
        since = open_since(round_, today) if far.left else ""
        if not since and is_open and round_.opened < today and not far.left:
            since = "Everybody is done: close it."
        self.since.setText(since)
        self._since.setVisible(bool(since))
        self.tens.show_count(far.done, far.total)
        self.far.setText(" ".join(line if line.endswith(".") else f"{line}." for line in progress_lines(far)))
        pace = pace_words(work.pace, far.left) if is_open else ""
        self.pace.setText(pace)
        self.pace.setVisible(bool(pace))
        for shown, words, flags in ((self.to_come, "To come", far.to_come), (self.skipped, "Skipped", far.skipped)):
            tags = tags_of(work.tags, flags)
            shown.setText(f"{words}:  {tags_words(tags, _MOST_TAGS)}")
            shown.setVisible(bool(tags))
        self.over.setVisible(is_open)
        self.over.setEnabled(can_write and bool(far.skipped.any()))
        skipped = say_cows(int(far.skipped.sum()))
        self.over.setToolTip(f"{skipped} skipped will be to come again" if far.skipped.any() else "Nobody was skipped")
        self.close_key.setVisible(is_open)
        self.close_key.setEnabled(can_write)
        self.again.setVisible(not is_open)
        self.again.setEnabled(can_write)
        self.keep.setEnabled(can_write)
        if self._shown != round_.id or not any(one.holds.hasFocus() for one in self.pens.all()):
            self._shown = round_.id
            self.pens.offer(sorted({name for name in work.herd.assessment.groups.names if name}))
            for field, text in zip(self.pens.all(), (round_.name, round_.lean_pen, round_.fat_pen), strict=True):
                field.put(text or "")
                field.say("")

    def _on_close(self) -> None:
        if self.work.close_round():
            self.summary_pressed.emit()

    def _on_again(self) -> None:
        if self.work.round is not None:
            self.work.reopen(self.work.round)

    def _on_keep(self) -> None:
        name, lean, fat = (one.text for one in self.pens.all())
        wrong = self.work.edit(name, lean, fat)
        self.pens.name.say(wrong, wrong=bool(wrong))
