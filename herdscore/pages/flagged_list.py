"""Tab Flagged: the four lists and all cows, searched and sorted, with the reason of the chosen cow at the foot."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QSizePolicy, QStackedWidget, QWidget
from typing_extensions import override

from herdscore.desk.settings import Settings, sort_order
from herdscore.domain.listing import ACT
from herdscore.domain.reasons import advice, why, words_of
from herdscore.pages.cow_lists import ALL, LIST_WORDS, CowLists
from herdscore.pages.flagged_rows import COLUMNS, flagged_rows
from herdscore.parts.buttons import Pills, button
from herdscore.parts.cards import Panel, card, column, holder, row
from herdscore.parts.labels import label
from herdscore.parts.list_view import WIDE_PX, ListView
from herdscore.parts.marks import MarkGlyph, mark_tint
from herdscore.parts.theme import Look

SORT = sort_order("flagged")
_WIDEST_TAG = 190
_ORDER_WORDS_FROM_PX = 1350
_SCROLL_PX = 16
_GIVES = {"scores": 0.3, "verdict": 0.03, "group": 0.3}
"""Shares of their width that columns give up, in this order, before the list scrolls sideways."""


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
    """The flagged list. `opened(cow id)`: somebody wants to see her; `list_chosen(key)`: another list was taken."""

    opened = Signal(str)
    list_chosen = Signal(str)

    def __init__(self, look: Look, settings: Settings) -> None:
        super().__init__()
        self._look, self._settings = look, settings
        self._lists: CowLists | None = None
        self.pills = Pills(LIST_WORDS, "List")
        self.pills.choose(ACT)
        self.search = SearchBox("Find tag, name", 180)
        self.list = ListView(look, COLUMNS, "Flagged cows")
        self._order_words = label("", 11, tone="second", right=True)
        self._order_words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._empty_words = label("", 16, 600, wrap=True)
        self._show_all = button("Look in all lists")
        self.foot = WhyPanel(look)
        self._body = QStackedWidget()
        self._lay_out()
        self._restore_order()
        self._connect()

    def _lay_out(self) -> None:
        empty = holder(
            column(None, self._empty_words, 10, row(self._show_all, None), None, None, margins=(24, 0, 24, 0))
        )
        self._body.addWidget(self.list)
        self._body.addWidget(empty)
        top = row(self.pills, (self._order_words, 1), 4, self.search)
        inside = column(top, (self._body, 1), self.foot, spacing=8, margins=(12, 10, 12, 10))
        column_of_all = column((card(inside), 1))
        self.setLayout(column_of_all)

    def _restore_order(self) -> None:
        kept = self._settings.get(SORT)
        key, descending = kept.removeprefix("-"), kept.startswith("-")
        if key in [column.key for column in COLUMNS]:
            self.list.sort_by(key, descending=descending)
        self._show_order_words()

    def _show_order_words(self) -> None:
        """Say how the list is ordered while nobody sorted it, where there is room; the space is kept."""
        as_it_comes = not self._settings.get(SORT)
        self._order_words.setText("Soonest act-by first, vet on top" if as_it_comes and self._roomy else "")

    def _connect(self) -> None:
        self.pills.chosen.connect(self._on_pill)
        self.search.textChanged.connect(self._fill)
        self.search.left.connect(self._on_search_left)
        self.search.entered.connect(self._on_search_entered)
        self.list.opened.connect(lambda key: self.opened.emit(str(key)))
        self.list.chosen.connect(self._on_moved)
        self.list.horizontalHeader().sortIndicatorChanged.connect(self._on_sorted)
        self.foot.open_pressed.connect(self.opened)
        self._show_all.clicked.connect(lambda: self.list_chosen.emit(ALL))
        self._look.changed.connect(self._fit_columns)

    @property
    def current_list(self) -> str:
        """Key of the list shown."""
        return self.pills.current

    def show_lists(self, lists: CowLists) -> None:
        """Show a new assessment, or another block of it."""
        fresh = self._lists is None or self._lists.assessment is not lists.assessment
        self._lists = lists
        if fresh:
            self.list.show_rows(flagged_rows(lists.assessment, lists.flags, lists.tags))
            self._fit_columns()
        self._fill()

    def show_list(self, key: str) -> None:
        """Show one of the lists."""
        self.pills.choose(key)
        self._fill()

    def choose(self, cow_id: str) -> None:
        """Go to the row of a cow, if the list shows her."""
        self.list.choose(cow_id)

    def focus_first(self) -> None:
        """Give the keyboard to the list, or to the search box when the list is empty."""
        self._first_row()
        (self.list if self.list.rows.rowCount() else self.search).setFocus()

    def widen(self, width: int) -> None:
        """Fit the columns to the width of the window."""
        self._times = 1.25 if width >= WIDE_PX else 1.0
        self._roomy = width >= _ORDER_WORDS_FROM_PX
        self._show_order_words()
        self._fit_columns()

    _times = 1.0
    _roomy = True

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        """Columns by the window and the size of the text; the tag column by its tags, some others by the room left."""
        theme = self._look.theme
        self.list.widen(self._times * theme.text_scale)
        if self._lists is None:
            return
        metrics = QFontMetricsF(theme.font(11, 700))
        wanted = metrics.horizontalAdvance(max(self._lists.tags, key=len, default="")) + 24
        self.list.setColumnWidth(0, round(min(max(wanted, self.list.columnWidth(0)), _WIDEST_TAG * theme.text_scale)))
        over = sum(self.list.columnWidth(place) for place in range(len(COLUMNS))) + _SCROLL_PX - self.list.width()
        for key, share in _GIVES.items():
            place = self.list.rows.column_place(key)
            give = max(0, min(over, round(self.list.columnWidth(place) * share)))
            self.list.setColumnWidth(place, self.list.columnWidth(place) - give)
            over -= give

    def _fill(self) -> None:
        if self._lists is None:
            return
        for key, _ in LIST_WORDS:
            self.pills.show_count(key, self._lists.count(key))
        key, text = self.pills.current, self.search.text()
        places = self._lists.places(key, text)
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
        self._on_moved(self.list.current_key())

    def _on_pill(self, key: str) -> None:
        self.list_chosen.emit(key)

    def _on_search_left(self) -> None:
        if self.list.rows.rowCount():
            self.list.setFocus()

    def _on_search_entered(self) -> None:
        """Enter opens the only cow left, else goes on to the list."""
        if self.list.rows.rowCount() == 1:
            self.opened.emit(self.list.rows.row_at(0).key)
        else:
            self._on_search_left()

    def _on_moved(self, key: object) -> None:
        lists = self._lists
        place = lists.assessment.snapshot.cow_place.get(key) if lists is not None and isinstance(key, str) else None
        self.foot.setVisible(place is not None)
        if lists is not None and place is not None:
            self.foot.show_cow(lists, place)

    def _on_sorted(self, place: int, order: Qt.SortOrder) -> None:
        sorted_by = 0 <= place < len(COLUMNS) and COLUMNS[place].sortable
        sign = "-" if order == Qt.SortOrder.DescendingOrder else ""
        self._settings.set(SORT, f"{sign}{COLUMNS[place].key}" if sorted_by else "")
        self._show_order_words()


class WhyPanel(Panel):
    """Why the chosen cow stands on the list: her advice and its reason. `open_pressed(cow id)`."""

    open_pressed = Signal(str)

    def __init__(self, look: Look) -> None:
        self._glyph = MarkGlyph(look, "dot", 26)
        self._name = label("", 14, 700)
        self._words: QLabel = label("", 12, wrap=True)
        self._words.setMinimumHeight(58)
        self.open_button = button("Open her")
        self._cow_id = ""
        super().__init__(
            row(self._glyph, self._name, (self._words, 1), self.open_button, spacing=12, margins=(14, 8, 12, 8))
        )
        self.open_button.clicked.connect(lambda: self.open_pressed.emit(self._cow_id))

    def show_cow(self, lists: CowLists, cow: int) -> None:
        """Say why, for the cow at a place of the herd."""
        a = lists.assessment
        words = words_of(a, cow)
        self._cow_id = str(a.snapshot.cows.id[cow])
        self._glyph.show_mark(words.mark, words.word)
        self._glyph.setVisible(words.mark != "none")
        self._name.setText(f"Why {a.snapshot.cows.tag[cow]}")
        self._words.setText(f"{advice(a, cow)} {why(a, cow)}")
        self.show_hue(mark_tint(words.mark) if words.mark != "none" else "sunk")
