"""Page Cows: the runway, the flagged list, and one cow."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import QSizePolicy, QStackedWidget, QWidget
from typing_extensions import override

from herdscore.desk.messages import note
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.lookup import CowBook, Found
from herdscore.pages.cow_lists import ALL, CowLists
from herdscore.pages.flagged_list import FlaggedTab, SearchBox
from herdscore.pages.herds_page import EXPORT, HerdsPage
from herdscore.pages.one_cow import OneCowTab
from herdscore.pages.runway import RunwayTab
from herdscore.parts.buttons import Pills
from herdscore.parts.cards import PAGE_MARGINS, column, row
from herdscore.parts.labels import label
from herdscore.parts.theme import Look

TABS = RUNWAY, FLAGGED, ONE_COW = "runway", "flagged", "one cow"
_PRINTED = {RUNWAY: "Runway shown", FLAGGED: "List shown", ONE_COW: "Cow shown"}
_NAMED = 3


class CowsPage(HerdsPage):
    """Cows in one picture, by list, and one at a time."""

    title = "Cows"

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._herd = herd
        self._lists: CowLists | None = None
        self._stale = self._runway_stale = True
        self._book: CowBook | None = None
        self.tabs = Pills(((RUNWAY, "Runway"), (FLAGGED, "Flagged"), (ONE_COW, "One cow")), "View")
        self.find_box = SearchBox("Find a tag", 190)
        self._found = label("", 12, tone="second", right=True)
        self.runway = RunwayTab(look, herd)
        self.flagged = FlaggedTab(look, herd, settings)
        self.one_cow = OneCowTab(look, herd)
        self._body = QStackedWidget()
        for one in (self.runway, self.flagged, self.one_cow):
            self._body.addWidget(one)
        self.tabs.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self._gap = QWidget()
        top = row(
            self.tabs,
            (self._gap, 1),
            (self.runway.bar, 1),
            self._found,
            self.find_box,
            self.one_cow.bar,
            self.flagged.bar,
        )
        self.setLayout(column(top, (self._body, 1), spacing=8, margins=PAGE_MARGINS))
        self._show_tab(RUNWAY)
        self._connect()
        self._keys = [
            QShortcut(
                QKeySequence(keys),
                self,
                partial(self._step_tab, ways),
                context=Qt.ShortcutContext.WidgetWithChildrenShortcut,
            )
            for keys, ways in (("Ctrl+PgDown", 1), ("Ctrl+PgUp", -1))
        ]

    def _connect(self) -> None:
        self._herd.assessed.connect(self._on_assessed)
        self._herd.block_chosen.connect(self._on_assessed)
        self.tabs.chosen.connect(self._on_tab)
        self.runway.report_wished.connect(lambda: self.report_wished.emit(""))
        self.flagged.export_button.clicked.connect(lambda: self.wished.emit(EXPORT))
        for one in (self.flagged, self.one_cow):
            one.print_wished.connect(self.print_wished)
            one.said.connect(lambda words: self.message.emit(note(words)))
        self.one_cow.save_wished.connect(self.save_wished)
        self.runway.opened.connect(self.show_cow)
        self.runway.save_wished.connect(self.save_wished)
        self.flagged.opened.connect(self.show_cow)
        self.flagged.list_chosen.connect(self.show_list)
        self.one_cow.chosen.connect(self.flagged.list.choose)
        self.find_box.entered.connect(self._on_find)
        self.find_box.textEdited.connect(lambda: self._found.setText(""))
        self.find_box.left.connect(self._on_find_left)

    # What the window asks

    @override
    def focus_first(self) -> None:
        """Give the keyboard to what is shown."""
        (self.runway if self._tab == RUNWAY else self.flagged if self._tab == FLAGGED else self.one_cow).focus_first()

    @override
    def find(self, text: str = "") -> None:  # type: ignore[override]
        """Go to the box that finds a cow, with a text already in it."""
        box = self.flagged.search if self._tab == FLAGGED else self.find_box
        self._show_find_box(self._tab != FLAGGED)
        if text:
            box.setText(text)
        box.setFocus()
        box.selectAll()

    @property
    @override
    def printed_words(self) -> str:
        return _PRINTED[self._tab]

    @override
    def print_page(self) -> None:
        """Print what is shown."""
        if self._tab == RUNWAY:
            self.print_wished.emit(self.runway.print_wish())
        elif self._tab == FLAGGED:
            self.flagged.print_button.click()
        else:
            self.one_cow.print_button.click()

    def show_list(self, key: str) -> None:
        """Show one of the lists: act, hand, nothing, missing or all."""
        self._freshen()
        self._show_tab(FLAGGED)
        self.flagged.show_list(key)
        self.flagged.focus_first()

    def show_cow(self, cow_id: str) -> None:
        """Show one cow beside the list she is on."""
        lists = self._freshen()
        place = lists.assessment.snapshot.cow_place.get(cow_id)
        if place is None:
            return
        key = self.flagged.current_list
        if cow_id not in lists.cow_ids(lists.places(key)):
            key = lists.list_of(place) or ALL
            self.flagged.search.clear()
            self.flagged.show_list(key)
        self.one_cow.show_lists(lists, key)
        self.one_cow.show_cow(cow_id)
        self.flagged.list.choose(cow_id)
        self._show_tab(ONE_COW)
        self.one_cow.focus_first()

    # How it keeps up

    def _freshen(self) -> CowLists:
        """The lists of the newest assessment; made only when somebody looks."""
        if self._lists is None or self._stale:
            self._stale = False
            self._book = None
            if self._lists is None or self._lists.assessment is not self._herd.assessment:
                self._lists = CowLists(self._herd.assessment, self._herd.in_block)
            else:
                self._lists.show_block(self._herd.in_block)
            self.flagged.show_lists(self._lists)
            self._runway_stale = True
            if self._tab == ONE_COW:
                self.one_cow.show_lists(self._lists, self.flagged.current_list)
        if self._tab == RUNWAY and self._runway_stale:
            self._runway_stale = False
            self.runway.show_lists(self._lists)
        return self._lists

    def _on_assessed(self) -> None:
        self._stale = True
        if self.isVisible():
            self._freshen()

    @override
    def showEvent(self, event: QShowEvent) -> None:
        self._freshen()
        super().showEvent(event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        width = self.window().width()
        self.flagged.widen(width)
        self.one_cow.widen(width)
        super().resizeEvent(event)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc goes back to where she was opened from, from anywhere on the page."""
        if event.key() == Qt.Key.Key_Escape and self._tab == ONE_COW:
            self._on_back(self._came_from)
        else:
            super().keyPressEvent(event)

    # Tabs

    def _show_tab(self, tab: str) -> None:
        if tab == ONE_COW and self._tab != ONE_COW:
            self._came_from = self._tab
        self._tab = tab
        self.tabs.choose(tab)
        self._body.setCurrentIndex(TABS.index(tab))
        self._show_find_box(tab == ONE_COW)

    _tab = _came_from = RUNWAY

    def _show_find_box(self, shown: bool) -> None:
        """The box that finds a tag; on the runway it stands in the place of the filters while it is used."""
        runway = self._tab == RUNWAY
        wanted = {
            self.runway.bar: runway and not shown,
            self.flagged.bar: self._tab == FLAGGED,
            self.one_cow.bar: self._tab == ONE_COW,
            self.find_box: shown,
            self._found: shown,
            self._gap: shown or not runway,
        }
        # What goes, goes first: all of them together would ask for a wider window.
        for one in sorted(wanted, key=wanted.__getitem__):
            one.setVisible(wanted[one])

    def _on_tab(self, tab: str) -> None:
        if tab != ONE_COW:
            self._on_back(tab)
            return
        lists = self._freshen()
        chosen = self.flagged.list.current_key()
        first = next(iter(lists.cow_ids(lists.places(self.flagged.current_list))), None)
        anybody = next(iter(lists.cow_ids(lists.places(ALL))), None)
        cow_id = chosen or first or anybody
        if isinstance(cow_id, str):
            self.show_cow(cow_id)
        else:
            self._show_tab(ONE_COW)

    def _step_tab(self, ways: int) -> None:
        self._on_tab(TABS[(TABS.index(self._tab) + ways) % len(TABS)])

    def _on_back(self, tab: str) -> None:
        self._show_tab(tab)
        self._freshen()
        if self.one_cow.cow_id:
            (self.flagged.list if tab == FLAGGED else self.runway).choose(self.one_cow.cow_id)
        self.focus_first()

    def _on_find_left(self) -> None:
        self._show_find_box(self._tab == ONE_COW)
        self.focus_first()

    def _on_find(self) -> None:
        lists = self._freshen()
        snapshot = lists.assessment.snapshot
        if self._book is None:
            self._book = CowBook(snapshot)
        found = self._book.find(self.find_box.text(), lists.assessment.facts.gone)
        cow = found.takes if found.takes is not None and not found.near else None
        if cow is None and len(found.gone) == 1:
            cow = found.gone[0]
        if cow is not None:
            self.find_box.clear()
            self._found.setText("")
            self._show_found(str(snapshot.cows.id[cow]))
        elif self.find_box.text().strip():
            self._found.setText(_many(found, snapshot.cows.tag.tolist()))

    def _show_found(self, cow_id: str) -> None:
        """Point at her where she is on the runway; else her own page."""
        if self._tab == RUNWAY and self.runway.choose(cow_id):
            self._on_find_left()
        else:
            self.show_cow(cow_id)


def _many(found: Found, tags: list[str]) -> str:
    """Why Enter took nobody."""
    cows = [match.cow for match in found.matches] or list(found.gone)
    if not cows or found.near:
        near = f"; near: {', '.join(tags[cow] for cow in cows[:_NAMED])}" if cows else ""
        return f"No cow ends in {found.typed}{near}"
    named = ", ".join(tags[cow] for cow in cows[:_NAMED])
    return f"{len(cows)} cows end in {found.typed}: {named}{' …' if len(cows) > _NAMED else ''}"
