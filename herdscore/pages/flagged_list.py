"""Tab Flagged: the four lists and all cows, searched, sorted and ticked off; why the chosen cow is on at the foot."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QLineEdit, QSizePolicy, QStackedWidget, QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.listing import ACT
from herdscore.domain.ticks import take_back, tick_off
from herdscore.pages.columns_panel import ColumnsPanel
from herdscore.pages.cow_lists import ALL, LIST_WORDS, CowLists
from herdscore.pages.cow_words import say_cows
from herdscore.pages.flag_view import FlagView
from herdscore.pages.flagged_foot import DonePanel, WhyPanel
from herdscore.pages.flagged_rows import COLUMNS, FIRST_SHOWN, KEYS, FlaggedRows
from herdscore.pages.move_panel import MovePanel
from herdscore.parts.buttons import Pills, button
from herdscore.parts.cards import card, column, holder, row
from herdscore.parts.labels import label
from herdscore.parts.list_view import WIDE_PX
from herdscore.parts.theme import Look

_LOW_PX = 330  # height, in plain text, below which the list needs the room of the words under it
_ORDER_WORDS_FROM_PX = 1350
_AT_ONCE = 400
"""Rows made together before a list is shown; those further down are made when they come into sight."""


class SearchBox(QLineEdit):
    """A box whose text narrows a list; Down and Enter go on to the list, Esc empties the box, then leaves it."""

    left = Signal()
    entered = Signal()

    def __init__(self, hint: str, width: int = 210) -> None:
        super().__init__()
        self.setPlaceholderText(hint)
        self.setAccessibleName(hint)
        self.setProperty("pt", "12")
        self.setFixedHeight(46)
        self.setMaximumWidth(width)
        self.setMinimumWidth(width - 40)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Escape):
            self.left.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit()
        else:
            super().keyPressEvent(event)


class FlaggedTab(QWidget):
    """The flagged list. `opened(cow id)`: somebody wants to see her; `list_chosen(key)`: another list was taken.

    `print_wished(PrintWish)`; `said(words)`: what was done. Space ticks off, D asks on which day, M moves, C opens the
    columns, Ctrl+C copies.
    """

    opened = Signal(str)
    list_chosen = Signal(str)
    print_wished = Signal(object)
    said = Signal(str)

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self._herd = herd
        self._lists: CowLists | None = None
        self._rows: FlaggedRows | None = None
        self._roomy = True
        self._look = look
        self.pills = Pills(LIST_WORDS, "List")
        self.pills.choose(ACT)
        self.search = SearchBox("Find tag, name", 180)
        self.list = FlagView(look, settings)
        self.columns = ColumnsPanel(look, COLUMNS, FIRST_SHOWN, KEYS[0])
        self._order_words = label("", 11, tone="second", right=True)
        self._order_words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._empty_words = label("", 16, 600, wrap=True)
        self._show_all = button("Look in all lists")
        self.foot, self.move_panel, self.done_panel = WhyPanel(look), MovePanel(herd), DonePanel(herd)
        self._body = QStackedWidget()
        self.columns_button, self.copy_button = button("Columns"), button("Copy")
        self.print_button, self.export_button = button("Print"), button("Export spreadsheet", "main")
        buttons = (self.columns_button, self.copy_button, self.print_button, self.export_button)
        self.bar = holder(row(*buttons))
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        empty = holder(
            column(None, self._empty_words, 10, row(self._show_all, None), None, None, margins=(24, 0, 24, 0))
        )
        self._body.addWidget(self.list)
        self._body.addWidget(empty)
        # Not a stack: it would ask for the width of the widest at all times.
        self._foot = holder(column(self.foot, self.move_panel, self.done_panel, spacing=0))
        self._show_panel(self.foot)
        self.columns.setFixedWidth(290)
        self.columns.hide()
        top = row(self.pills, (self._order_words, 1), 4, self.search)
        middle = row((self._body, 1), self.columns, spacing=0)
        self.setLayout(column((card(column(top, (middle, 1), self._foot, spacing=8, margins=(12, 10, 12, 10))), 1)))

    def _connect(self) -> None:
        self.pills.chosen.connect(self.list_chosen)
        self.search.textChanged.connect(self._fill)
        self.search.left.connect(lambda: self._on_search(entered=False))
        self.search.entered.connect(lambda: self._on_search(entered=True))
        self.list.opened.connect(lambda key: self.opened.emit(str(key)))
        self.list.selection.connect(self._on_moved)
        self.list.tick_wished.connect(self._on_tick)
        self.list.letter.connect(self._on_letter)
        self.list.order_changed.connect(self._show_order_words)
        self.columns.chosen.connect(self.list.show_columns)
        self.columns.sort_wished.connect(self.list.sort_or_turn)
        self.columns.left.connect(lambda: self._on_letter("c"))
        for one, key in (
            (self.columns_button, "c"),
            (self.copy_button, "copy"),
            (self.foot.move_button, "m"),
            (self.foot.done_button, "d"),
        ):
            one.clicked.connect(lambda _=False, key=key: self._on_letter(key))
        self.print_button.clicked.connect(
            lambda: self.print_wished.emit(self.list.print_wish(self._herd, dict(LIST_WORDS)[self.current_list]))
        )
        self.foot.open_pressed.connect(self.opened)
        for leaving in (self.move_panel.left, self.move_panel.moved, self.done_panel.left):
            leaving.connect(self._close_panel)
        self.done_panel.answered.connect(self._on_done)
        self._show_all.clicked.connect(lambda: self.list_chosen.emit(ALL))

    # Showing

    @property
    def current_list(self) -> str:
        """Key of the list shown."""
        return self.pills.current

    def show_lists(self, lists: CowLists) -> None:
        """Show a new assessment, or another block of it."""
        fresh = self._lists is None or self._lists.assessment is not lists.assessment
        self._lists = lists
        self.foot.show_rights(self._herd.can_write)
        if fresh:
            self._rows = FlaggedRows(lists.assessment, lists.cow, lists.mark.tolist(), lists.tags)
            self._rows.prepare(lists.places(self.pills.current, self.search.text())[:_AT_ONCE])
            self.list.show_rows(self._rows)
            self.list.show_longest_tag(max(lists.tags, key=len, default=""))
        self._fill()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.foot.set_tight(self.height() < _LOW_PX * self._look.theme.text_scale)

    def show_list(self, key: str) -> None:
        """Show one of the lists."""
        self.pills.choose(key)
        self._fill()

    def focus_first(self) -> None:
        """Give the keyboard to the list, or to the search box when the list is empty."""
        self._first_row()
        (self.list if self.list.rows.rowCount() else self.search).setFocus()

    def widen(self, width: int) -> None:
        """Fit the columns to the width of the window."""
        self._roomy = width >= _ORDER_WORDS_FROM_PX
        self._show_order_words()
        self.list.widen_to(1.25 if width >= WIDE_PX else 1.0)

    def _show_order_words(self) -> None:
        """Say how the list is ordered while nobody sorted it, where there is room; the space is kept."""
        as_it_comes = self.list.is_as_it_comes and self._roomy
        self._order_words.setText("Soonest act-by first, vet on top" if as_it_comes else "")

    def _fill(self) -> None:
        if self._lists is None or self._rows is None:
            return
        for key, _ in LIST_WORDS:
            self.pills.show_count(key, self._lists.count(key))
        key, text = self.pills.current, self.search.text()
        places = self._lists.places(key, text)
        self._rows.prepare(places[:_AT_ONCE])
        self.list.show_only(places)
        if not len(places):
            self._empty_words.setText(self._lists.when_empty(key, text))
            self._show_all.setVisible(bool(text.strip()) and bool(len(self._lists.places(ALL, text))) and key != ALL)
        self._body.setCurrentIndex(0 if len(places) else 1)
        self._first_row()

    def _first_row(self) -> None:
        """Choose the first row when none is, so that the foot always speaks of somebody."""
        if self.list.current_key() is None and self.list.rows.rowCount():
            self.list.setCurrentIndex(self.list.rows.index(0, 0))
        self._on_moved()

    def _on_search(self, *, entered: bool) -> None:
        """On to the list from the search box; Enter opens the only cow left."""
        count = self.list.rows.rowCount()
        if entered and count == 1:
            self.opened.emit(self.list.rows.row_at(0).key)
        elif count:
            self.list.setFocus()

    def _on_moved(self) -> None:
        chosen = self._chosen()
        self._foot.setVisible(bool(chosen))
        if self._lists is not None and len(chosen) > 1:
            self.foot.show_several(self._lists, [str(key) for key in self.list.selected_keys()])
        elif self._lists is not None and chosen:
            self.foot.show_cow(self._lists, chosen[0])

    # Doing

    def _chosen(self) -> list[int]:
        """Places in the herd of the cows chosen, from the top."""
        place = {} if self._lists is None else self._lists.assessment.snapshot.cow_place
        return [place[str(key)] for key in self.list.selected_keys() if str(key) in place]

    def _on_letter(self, key: str) -> None:
        """Do what a key or a button asks for."""
        if key == "copy":
            self.said.emit(f"{say_cows(self.list.copy())} copied, to paste as a table.")
        elif key == "c":
            opening = self.columns.isHidden()
            self.columns.setVisible(opening)
            self.columns.show_columns(self.list.shown)
            (self.columns if opening else self).focus_first()
        elif self._lists is not None and (chosen := self._chosen()) and self._herd.can_write:
            ids = self._lists.assessment.snapshot.cows.id[chosen]
            self._show_panel(self.move_panel if key == "m" else self.done_panel)
            if key == "m":
                self.move_panel.ask([str(one) for one in ids])
            else:
                self.done_panel.ask(self._lists.tags[chosen[0]] if len(chosen) == 1 else say_cows(len(chosen)))

    def _close_panel(self) -> None:
        self._show_panel(self.foot)
        self.focus_first()

    def _show_panel(self, panel: QWidget) -> None:
        for one in (self.foot, self.move_panel, self.done_panel):
            one.setVisible(one is panel)

    def _on_tick(self, key: object, on: bool) -> None:
        """Tick one cow, or all chosen when she is one of them, as done today."""
        place = None if self._lists is None else self._lists.assessment.snapshot.cow_place.get(str(key))
        if place is None:
            return
        chosen = self._chosen()
        self._tick(chosen if place in chosen else [place], self._herd.today if on else None)

    def _on_done(self, day: date) -> None:
        self._tick(self._chosen(), day)
        self._close_panel()

    def _tick(self, cows: list[int], done: date | None) -> None:
        if self._lists is None or not cows:
            return
        a = self._lists.assessment
        change = take_back(a, cows) if done is None else tick_off(a, cows, done)
        who = self._lists.tags[cows[0]] if len(cows) == 1 else say_cows(len(cows))
        if change is not None:
            self._herd.push(change, f"tick of {who}")
