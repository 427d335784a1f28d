"""The left side of the register: every cow in a list, searched, filtered, and some fields changed in place."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtGui import QFontMetricsF, QResizeEvent
from PySide6.QtWidgets import QComboBox, QFrame, QStackedWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.cow_search import CowSearch
from herdscore.domain.verdict import Verdict
from herdscore.pages.cow_words import say_cows
from herdscore.pages.flagged_list import SearchBox
from herdscore.pages.register_rows import COLUMNS, register_rows
from herdscore.parts.buttons import button, choice_box
from herdscore.parts.cards import column, holder, row
from herdscore.parts.edit_list import EditList
from herdscore.parts.labels import label, restyle
from herdscore.parts.list_view import WIDE_PX
from herdscore.parts.theme import Look

ALL_GROUPS, NO_GROUP = "All groups", "No group"
LIVING, GONE_COWS = "In the herd", "Gone"
IN_PLACE = ("management_no", "calvings", "season", "group")
"""Fields that are changed in the list itself."""
HINT = (
    "Enter opens her. ← → to number, calvings, season or group, then F2 or Enter changes it here. "
    "Shift and ↑ ↓ choose several; Delete: they leave."
)
_SCROLL_PX, _SIDES_PX, _GIVE_PX = 16, 20, 32
_GIVES_WAY = ("eid", "source", "management_no", "season")
"""Columns left out in turn where there is no room: the card of the cow says them too."""
_WIDEST_TAG = 200
_LARGE = 1.2  # size of the text from which the boxes above the list are made narrow
_SEARCH_PX, _LARGE_SEARCH_PX = 180, 90
_TAKES = {"breed": 60, "group": 40}
"""Columns that take the room left over, at most so many px each, or give up a little."""


class RegisterList(QFrame):
    """The cows of the herd. `chosen(cow id)`: the row moved to, "" none; `opened(cow id)`: Enter or double click."""

    chosen = Signal(str)
    opened = Signal(str)

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self.setProperty("kind", "card")
        self._look, self._herd = look, herd
        self._assessment: Assessment | None = None
        self._search: CowSearch | None = None
        self._times = 1.0
        self.search = SearchBox("Find tag, EID, breed", 220)
        self.group_box = choice_box("Group", (ALL_GROUPS,))
        self.gone_box = choice_box("Cows shown", (LIVING, GONE_COWS))
        self.add_button = button("Add a cow")
        self.count = label("", 12, 500, "second", right=True)
        self.list = EditList(look, COLUMNS, "Cows of the herd", editable=IN_PLACE, several=True)
        self.foot = label(HINT, 11, tone="second", wrap=True)
        self._empty_words = label("", 16, 600, wrap=True)
        self._body = QStackedWidget()
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        self.group_box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.group_box.setMinimumContentsLength(9)
        bar = row(self.search, self.group_box, self.gone_box, None, self.add_button, spacing=6)
        self._body.addWidget(self.list)
        self._body.addWidget(holder(column(None, self._empty_words, None, None, margins=(24, 0, 24, 0))))
        self.setLayout(
            column(bar, (self._body, 1), row((self.foot, 1), self.count, 4), spacing=8, margins=(12, 10, 8, 8))
        )

    def _connect(self) -> None:
        self.search.textChanged.connect(self.fill)
        self.search.left.connect(self.list.setFocus)
        self.search.entered.connect(self.list.setFocus)
        self.group_box.currentIndexChanged.connect(self.fill)
        self.gone_box.currentIndexChanged.connect(self.fill)
        self.list.chosen.connect(lambda key: self.chosen.emit(key if isinstance(key, str) else ""))
        self.list.opened.connect(lambda key: self.opened.emit(str(key)))
        self._look.changed.connect(self._fit_columns)

    def say(self, words: str, *, wrong: bool = False) -> None:
        """Say something under the list; "" says what the keys do."""
        self.foot.setText(words or HINT)
        restyle(self.foot, "tone", "thin" if wrong else "second")
        restyle(self.foot, "weight", "600" if wrong else "400")

    @property
    def selected(self) -> list[str]:
        """Identities of the cows chosen, from the top."""
        return [key for key in self.list.selected_keys() if isinstance(key, str)]

    @property
    def current(self) -> str:
        """Identity of the cow chosen, "" for none."""
        key = self.list.current_key()
        return key if isinstance(key, str) else ""

    def show_assessment(self, assessment: Assessment, choose: str = "") -> None:
        """Show the herd as it is now, and go to a cow if the list shows her."""
        self._assessment = assessment
        groups = assessment.groups
        self._search = CowSearch(assessment.snapshot.cows, [groups.names[g] for g in groups.now.tolist()])
        self._show_groups(assessment)
        self.list.show_rows(register_rows(assessment))
        self._fit_columns()
        self.fill()
        if choose:
            self.list.choose(choose)

    def focus_first(self) -> None:
        """Give the keyboard to the list, or to the search box when the list is empty."""
        (self.list if self.list.rows.rowCount() else self.search).setFocus()

    def widen(self, width: int) -> None:
        """Fit the columns to the width of the window."""
        self._times = 1.25 if width >= WIDE_PX else 1.0
        large = self._look.theme.text_scale > _LARGE
        self.search.setMinimumWidth(_LARGE_SEARCH_PX if large else _SEARCH_PX)
        self.group_box.setMinimumContentsLength(6 if large else 9)
        self._fit_columns()

    def fill(self) -> None:
        """Show the cows that fit block, group and search."""
        a = self._assessment
        if a is None or self._search is None:
            return
        keep = a.facts.gone if self.gone_box.currentText() == GONE_COWS else ~a.facts.gone
        keep = keep & self._herd.in_block
        group = self.group_box.currentText()
        if group != ALL_GROUPS:
            keep = keep & (a.groups.now == a.groups.names.index(None if group == NO_GROUP else group))
        text = self.search.text().strip()
        if text:
            keep = keep & self._search.matches(text)
        self.list.show_only(np.flatnonzero(keep))
        self._body.setCurrentIndex(0 if keep.any() else 1)
        self._empty_words.setText(f"No cow here holds “{text}”." if text else "No cow here.")
        needs = int((keep & (a.verdict == Verdict.NEEDS_DATE)).sum())
        date = f", {needs} need{'s' if needs == 1 else ''} a date" if needs else ""
        self.count.setText(f"{say_cows(int(keep.sum()))}{date}")
        if not self.current and self.list.rows.rowCount():
            self.list.setCurrentIndex(self.list.rows.index(0, 0))
        self.chosen.emit(self.current)

    def _show_groups(self, assessment: Assessment) -> None:
        names = [name for name in assessment.groups.names if name is not None]
        before = self.group_box.currentText()
        self.group_box.blockSignals(True)
        self.group_box.clear()
        self.group_box.addItems([ALL_GROUPS, *names, NO_GROUP])
        self.group_box.setCurrentIndex(max(0, self.group_box.findText(before)))
        self.group_box.blockSignals(False)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        """Columns by the size of the text and of the tags; group and breed take what room is left, or give up some."""
        theme, rows = self._look.theme, self.list.rows
        places = {key: rows.column_place(key) for key in _GIVES_WAY}
        for place in places.values():
            self.list.setColumnHidden(place, False)
        self.list.widen(self._times * theme.text_scale)
        if self._assessment is None:
            return
        longest = max(self._assessment.snapshot.cows.tag, key=len, default="")
        widest = QFontMetricsF(theme.font(11, 700)).horizontalAdvance(longest) + 24
        self.list.setColumnWidth(0, round(min(max(widest, self.list.columnWidth(0)), _WIDEST_TAG * theme.text_scale)))
        if self._times == 1.0 and not any(self._assessment.snapshot.cows.management_no):
            self.list.setColumnHidden(places["management_no"], True)
        # The frame's own width: the list inside it is laid out only after this.
        inside = self.width() - _SIDES_PX - 2 * theme.border - _SCROLL_PX
        last = round(COLUMNS[-1].width * self._times * theme.text_scale)  # the view itself stretches it
        room = inside - last - sum(self.list.columnWidth(at) for at in range(len(COLUMNS) - 1))
        for place in places.values():
            if room < -_GIVE_PX and not self.list.isColumnHidden(place):
                room += last if place == len(COLUMNS) - 1 else self.list.columnWidth(place)
                self.list.setColumnHidden(place, True)
        for key, most in _TAKES.items():
            place = rows.column_place(key)
            change = min(max(room, -_GIVE_PX // 2), most)
            self.list.setColumnWidth(place, self.list.columnWidth(place) + change)
            room -= change
        self.list.setColumnWidth(len(COLUMNS) - 1, last)
