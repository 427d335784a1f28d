"""Tab One cow: the cows of the list beside her, her verdict and chart, why, her history, and what is written down."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.listing import ACT
from herdscore.domain.reasons import say_day
from herdscore.domain.verdict import EASING, Verdict
from herdscore.pages.cow_doings import LETTERS, CowDoings
from herdscore.pages.cow_lists import LIST_WORDS, CowLists
from herdscore.pages.cow_middle import AFTER, BEFORE, RECORDS, VIEW_LETTERS, CowMiddle
from herdscore.pages.cow_paper import copy_cow, print_cow, save_cow_picture
from herdscore.pages.cow_side import CowSide
from herdscore.pages.wishes import PICTURES, PrintWish, SaveWish
from herdscore.parts.buttons import button
from herdscore.parts.cards import card, column, holder, row
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import WIDE_PX, ListView
from herdscore.parts.theme import Look

COPY = "copy"
_BESIDE = (
    Column("tag", "Tag", kind="number", width=84, shown="verdict"),
    Column("act_by", "By", kind="date", right=True, width=70),
)


class _BesideList(ListView):
    """The list beside her. `letter(str)`: a key the tab answers to; Alt and the arrows step by act-by date."""

    letter = Signal(str)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        alt = event.modifiers() == Qt.KeyboardModifier.AltModifier
        if alt and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.letter.emit(BEFORE if event.key() == Qt.Key.Key_Up else AFTER)
        elif event.matches(QKeySequence.StandardKey.Copy):
            self.letter.emit(COPY)
        elif event.text().lower() in (*LETTERS, *VIEW_LETTERS) and not event.modifiers():
            self.letter.emit(event.text().lower())
        else:
            super().keyPressEvent(event)


class OneCowTab(QWidget):
    """One cow of the lists. `chosen(cow id)`: another cow was taken from the list beside; `said(words)`: what was done.

    `save_wished(SaveWish)`, `print_wished(PrintWish)`. Letters on the list: W weight, S service or scan, N note, G to a
    group, R records, I sites, L last season; Alt and the arrows go by act-by date.
    """

    chosen = Signal(str)
    said = Signal(str)
    save_wished = Signal(object)
    print_wished = Signal(object)

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._lists: CowLists | None = None
        self._list_key = ACT
        self._cow_id = ""
        self._list_name = label("", 11, 600, "second")
        self.beside = _BesideList(look, _BESIDE, "Cows of this list")
        self.middle = CowMiddle(look, herd)
        self.doings = CowDoings(look, herd)
        self.copy_button, self.save_button, self.print_button = button("Copy"), button("Save picture"), button("Print")
        self.bar = holder(row(self.copy_button, self.save_button, self.print_button))
        self._lay_out()
        self._connect()
        self.show_cow("")

    def _lay_out(self) -> None:
        self.beside.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._left = card(
            column(row(self._list_name, margins=(8, 0, 4, 0)), (self.beside, 1), spacing=4, margins=(4, 10, 4, 8))
        )
        self.nobody = label("No cow to show.", 16, 600)
        self.nobody.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setLayout(row(self._left, (self.middle, 1), (self.nobody, 1), self.doings, spacing=12))
        self.widen(0)

    def _connect(self) -> None:
        self.beside.chosen.connect(self._on_moved)
        self.beside.letter.connect(self._on_letter)
        self.beside.opened.connect(lambda _: self._on_letter(RECORDS))
        self.middle.letter.connect(self._on_letter)
        self.middle.records.mend_wished.connect(self.doings.mend)
        self.middle.records.said.connect(self.said)
        self.middle.records.left.connect(lambda: self._on_letter(RECORDS))
        self.doings.said.connect(self.said)
        self.doings.left.connect(self.focus_first)
        self.copy_button.clicked.connect(lambda: self._on_letter(COPY))
        self.save_button.clicked.connect(self._on_save)
        self.print_button.clicked.connect(self._on_print)

    def widen(self, width: int) -> None:
        """Fit the columns beside the chart to the width of the page."""
        wide, scale = width >= WIDE_PX, self._look.theme.text_scale
        self._left.setFixedWidth(round((240 if wide else 186) * (1 + (scale - 1) * 0.1)))
        self.doings.widen(round((380 if wide else 300) * (1 + (scale - 1) * 0.2)))
        self.beside.widen((1.35 if wide else 1.0) * (1 + (scale - 1) * 0.1))

    @property
    def cow_id(self) -> str:
        """Identity of the cow shown, "" for none."""
        return self._cow_id

    @property
    def side(self) -> CowSide:
        """Why and history."""
        return self.doings.side

    def focus_first(self) -> None:
        """Give the keyboard to the list beside her, or to her records while they are shown."""
        (self.middle.records if self.middle.shows_records else self.beside).setFocus()

    def show_lists(self, lists: CowLists, key: str) -> None:
        """Show the cows of a list beside, and the cow again by what is known of her now."""
        fresh = self._lists is None or self._lists.assessment is not lists.assessment
        self._lists, self._list_key = lists, key
        places = lists.places(key)
        words = dict(LIST_WORDS)[key]
        self._list_name.setText(f"{words}, {len(places)}")
        self.beside.blockSignals(True)
        if fresh:
            self.beside.show_rows(_BesideRows(lists))
        self.beside.show_only(places)
        self.beside.blockSignals(False)
        self.show_cow(self._cow_id)

    def show_cow(self, cow_id: str) -> None:
        """Show a cow; the list beside goes along when she is on it."""
        lists = self._lists
        place = lists.assessment.snapshot.cow_place.get(cow_id) if lists is not None else None
        self._cow_id = cow_id if place is not None else ""
        for one in (self.middle, self.doings):
            one.setVisible(place is not None)
        self.bar.setEnabled(place is not None)
        self.nobody.setVisible(place is None)
        if lists is None or place is None:
            return
        self.beside.blockSignals(True)
        if not self.beside.choose(cow_id):
            self.beside.clearSelection()
            self.beside.setCurrentIndex(self.beside.rows.index(-1, -1))
        self.beside.blockSignals(False)
        self.middle.show_cow(lists.assessment, place)
        self.doings.show_cow(lists.assessment, place)

    def step(self, ways: int) -> None:
        """Go to the next cow of the list by urgency, whatever it is sorted by: soonest act-by first."""
        if self._lists is None:
            return
        ids = self._lists.cow_ids(self._lists.places(self._list_key))
        if not ids:
            return
        at = ids.index(self._cow_id) + ways if self._cow_id in ids else 0
        cow_id = ids[min(max(at, 0), len(ids) - 1)]
        if cow_id != self._cow_id:
            self.show_cow(cow_id)
            self.chosen.emit(cow_id)

    def _on_moved(self, key: object) -> None:
        if isinstance(key, str) and key != self._cow_id:
            self.show_cow(key)
            self.chosen.emit(key)

    def _on_letter(self, key: str) -> None:
        """Do what a key or a button asks for."""
        place = None if self._lists is None else self._lists.assessment.snapshot.cow_place.get(self._cow_id)
        if self._lists is None or place is None:
            return
        if key in (BEFORE, AFTER):
            self.step(-1 if key == BEFORE else 1)
        elif key == COPY:
            copy_cow(self._lists.assessment, place, self.middle.picture(self._lists.assessment, place))
            self.said.emit(f"{self._lists.tags[place]} copied, in words and as a picture.")
        elif key in LETTERS:
            self.doings.begin(key)
        else:
            self.middle.turn(key)
            if key == RECORDS:
                self.focus_first()

    def _on_save(self) -> None:
        lists, place = self._lists, self._place()
        if lists is not None and place is not None:
            a, picture = lists.assessment, self.middle.picture(lists.assessment, place)
            tag = str(a.snapshot.cows.tag[place])
            name = f"{self._herd.path.stem} {tag} {self._herd.today.isoformat()}.png"
            write = partial(save_cow_picture, assessment=a, cow=place, picture=picture)
            self.save_wished.emit(SaveWish(f"The picture of {tag}", name, PICTURES, write))

    def _on_print(self) -> None:
        lists, place = self._lists, self._place()
        if lists is not None and place is not None:
            a, picture = lists.assessment, self.middle.picture(lists.assessment, place)
            draw = partial(print_cow, assessment=a, cow=place, picture=picture, herd=self._herd.name)
            self.print_wished.emit(PrintWish(f"The page of {lists.tags[place]}", False, draw))

    def _place(self) -> int | None:
        return None if self._lists is None else self._lists.assessment.snapshot.cow_place.get(self._cow_id)


class _BesideRows:
    """Rows of the list beside her, made when they come into sight: mark, tag, and by when to act."""

    def __init__(self, lists: CowLists) -> None:
        self._lists = lists

    def __len__(self) -> int:
        return len(self._lists.cow)

    def key(self, place: int) -> str:
        return str(self._lists.assessment.snapshot.cows.id[self._lists.cow[place]])

    def row(self, place: int) -> ListRow:
        lists, a = self._lists, self._lists.assessment
        cow, mark = int(lists.cow[place]), str(lists.mark[place])
        by = a.day(_act_by(a, cow))
        said = "vet" if mark == "vet" else "" if by is None else "today" if by == a.today else say_day(by)
        return ListRow(self.key(place), (lists.tags[cow], said), (), (mark, None))

    def values(self, column: int) -> Sequence[Any]:
        lists = self._lists
        if column == 0:
            return lists.cow.tolist()  # type: ignore[no-any-return]
        return [lists.assessment.day(_act_by(lists.assessment, cow)) for cow in lists.cow.tolist()]


def _act_by(a: Assessment, cow: int) -> float:
    """Days to the day by which to begin or to score her."""
    return float(a.reach.act_by[cow] if Verdict(a.verdict[cow]) in EASING else a.score_by[cow])
