"""Page Calving: what is to come and recorded, what to do, what to have ready, cows in milk, what condition did."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import cast

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
from herdscore.parts.fields import take_no_files
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
        self._build: dict[str, Callable[[], FreshTab]] = {
            TO_CALVE: lambda: ToCalve(look, self.work),
            TO_DO: lambda: ThingsToDo(look, self.work),
            READY: lambda: Ready(self.work),
            IN_MILK: lambda: InMilk(look, self.work),
            LEARNED: lambda: Learned(look, self.work),
        }
        self._built: dict[str, FreshTab] = {}
        self.stack = QStackedWidget()
        self.part(TO_CALVE)
        self.setLayout(column(row(self.pills, None, spacing=8), (self.stack, 1), spacing=8, margins=PAGE_MARGINS))
        self.pills.chosen.connect(self.show_tab)
        herd.assessed.connect(self._on_assessed)

    def part(self, key: str) -> FreshTab:
        """A tab, built when it is first asked for."""
        if key not in self._built:
            with self.resting():
                self._built[key] = made = self._build[key]()
                for name, then in (
                    ("undo_pressed", self._on_undo),
                    ("open_cow", self.open_cow),
                    ("save_wished", self.save_wished),
                    ("print_wished", self.print_wished),
                ):
                    if hasattr(made, name):
                        getattr(made, name).connect(then)
                self.stack.addWidget(made)
            take_no_files(made)
        return self._built[key]

    @property
    def to_calve(self) -> ToCalve:
        """The weeks ahead and the form."""
        return cast(ToCalve, self.part(TO_CALVE))

    @property
    def to_do(self) -> ThingsToDo:
        """Things to do."""
        return cast(ThingsToDo, self.part(TO_DO))

    @property
    def ready(self) -> Ready:
        """What to have ready."""
        return cast(Ready, self.part(READY))

    @property
    def in_milk(self) -> InMilk:
        """Cows in milk."""
        return cast(InMilk, self.part(IN_MILK))

    @property
    def learned(self) -> Learned:
        """What condition did."""
        return cast(Learned, self.part(LEARNED))

    @override
    def focus_first(self) -> None:
        """Give the keyboard to what is in front."""
        self.part(self.pills.current).focus_first()

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
        made = self.part(key)
        made.freshen()
        self.stack.setCurrentWidget(made)
        self._widen()
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
        self._widen()

    def _widen(self) -> None:
        for made in self._built.values():
            if isinstance(made, ToCalve | Ready):
                made.widen(self.width())
