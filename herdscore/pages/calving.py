"""Page Calving: what is to come and recorded, what to do, what to have ready, cows in milk, what condition did."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QStackedWidget
from typing_extensions import override

from herdscore.desk.messages import note
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.assess import Assessment
from herdscore.domain.date_moves import date_moves
from herdscore.pages.calving_in_milk import InMilk
from herdscore.pages.calving_learned import Learned
from herdscore.pages.calving_ready import Ready
from herdscore.pages.calving_to_calve import ToCalve
from herdscore.pages.calving_to_do import ThingsToDo
from herdscore.pages.calving_work import CalvingWork
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.herds_page import HerdsPage
from herdscore.parts.buttons import Pills
from herdscore.parts.cards import PAGE_MARGINS, column, row
from herdscore.parts.theme import Look

TO_CALVE, TO_DO, READY, IN_MILK, LEARNED = "to calve", "to do", "ready", "in milk", "learned"
TABS = (
    (TO_CALVE, "To calve"),
    (TO_DO, "Things to do"),
    (READY, "Ready"),
    (IN_MILK, "In milk"),
    (LEARNED, "What condition did"),
)
_MOST_MOVES = 3


class CalvingPage(HerdsPage):
    """`message(Message)`, `open_cow(cow id)`, `save_wished(wish)`, `print_wished(PrintWish)`."""

    title = "Calving"

    def __init__(
        self, look: Look, herd: OpenHerd, settings: Settings, clock: Callable[[], datetime] | None = None
    ) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._herd = herd
        self._seen: Assessment = herd.assessment
        self.work = CalvingWork(herd, settings, clock)
        self.pills = Pills(TABS, "Calving")
        self.pills.choose(TO_CALVE)
        self.to_calve = ToCalve(look, self.work)
        self.stack = QStackedWidget()
        self.to_do, self.ready = ThingsToDo(look, self.work), Ready(self.work)
        self.in_milk, self.learned = InMilk(look, self.work), Learned(look, self.work)
        self._tabs: dict[str, FreshTab] = {
            TO_CALVE: self.to_calve,
            TO_DO: self.to_do,
            READY: self.ready,
            IN_MILK: self.in_milk,
            LEARNED: self.learned,
        }
        for tab in self._tabs.values():
            self.stack.addWidget(tab)
        self.setLayout(column(row(self.pills, None, spacing=8), (self.stack, 1), spacing=8, margins=PAGE_MARGINS))
        self.pills.chosen.connect(self.show_tab)
        self.to_calve.undo_pressed.connect(self._on_undo)
        self.in_milk.open_cow.connect(self.open_cow)
        self.ready.print_wished.connect(self.print_wished)
        for tab in (self.to_calve, self.to_do, self.ready, self.in_milk, self.learned):
            tab.save_wished.connect(self.save_wished)
        herd.assessed.connect(self._on_assessed)

    @override
    def focus_first(self) -> None:
        """Give the keyboard to what is in front."""
        self._tabs[self.pills.current].focus_first()

    @override
    def find(self, text: str = "") -> None:  # type: ignore[override]
        """Look for a tag; a calving half entered stays under the hand."""
        self.show_tab(TO_CALVE)
        if self.work.entry is not None and self.work.entry.is_changed:
            self.to_calve.focus_first()
            return
        self.work.leave()
        if text:
            self.work.type_tag(text)
        self.to_calve.focus_first()

    def show_tab(self, key: str) -> None:
        """Bring a tab to the front."""
        self.pills.choose(key)
        self._tabs[key].freshen()
        self.stack.setCurrentWidget(self._tabs[key])
        self.focus_first()

    @override
    def export(self) -> bool:
        """Write what the tab in front has to write; the calendar where it has nothing of its own."""
        if self.pills.current == LEARNED:
            self.learned.export()
        elif self.pills.current == READY:
            self.ready.save_sheet()
        else:
            self.to_do.export()
        return True

    @property
    @override
    def printed_words(self) -> str:
        return "Shed sheet"

    @override
    def print_page(self) -> None:
        self.ready.print_sheet()

    def _on_undo(self) -> None:
        words = self._herd.undo()
        if words:
            self.message.emit(note(f"Taken back: {words}."))

    def _on_assessed(self) -> None:
        """Say whose date moved, and what that means for her act-by day."""
        before, self._seen = self._seen, self._herd.assessment
        if before.today != self._seen.today:
            return
        moves = date_moves(before, self._seen)
        if moves:
            said = " ".join(move.say for move in moves[:_MOST_MOVES])
            more = f" And {len(moves) - _MOST_MOVES} more." if len(moves) > _MOST_MOVES else ""
            claim = "A calving date moved." if len(moves) == 1 else f"{len(moves)} calving dates moved."
            self.message.emit(note(claim, f"{said}{more}"))

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.to_calve.widen(self.width())
        self.ready.widen(self.width())
