"""Page Feeding: the plan of a group, a ration by hand, feeding groups, the feeds, and the sheets for the yard."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QStackedWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.pages.feeding_by_hand import RationByHand
from herdscore.pages.feeding_cards import GroupCards
from herdscore.pages.feeding_feeds import FeedsTab
from herdscore.pages.feeding_on_paper import PaperTab
from herdscore.pages.feeding_pens import PensTab
from herdscore.pages.feeding_plan import PlanTab
from herdscore.pages.feeding_work import FeedingWork
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.herds_page import HerdsPage
from herdscore.parts.buttons import Pills
from herdscore.parts.cards import PAGE_MARGINS, column, row
from herdscore.parts.theme import Look

PLAN, BY_HAND, PENS, FEEDS, PAPER = "plan", "by hand", "groups", "feeds", "paper"
TABS = (
    (PLAN, "Plan"),
    (BY_HAND, "Ration by hand"),
    (PENS, "Feeding groups"),
    (FEEDS, "Feeds"),
    (PAPER, "On paper"),
)


class FeedingPage(HerdsPage):
    """`message(Message)`, `open_cow(cow id)`, `save_wished(wish)`, `print_wished(PrintWish)`."""

    title = "Feeding"

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self.work = FeedingWork(herd)
        self.cards = GroupCards(look)
        self.pills = Pills(TABS, "Feeding")
        self.pills.choose(PLAN)
        self.plan = PlanTab(look, self.work)
        self.by_hand = RationByHand(look, self.work)
        self.pens, self.feeds = PensTab(look, self.work), FeedsTab(look, self.work)
        self.paper = PaperTab(look, self.work)
        self._tabs: dict[str, FreshTab] = {
            PLAN: self.plan,
            BY_HAND: self.by_hand,
            PENS: self.pens,
            FEEDS: self.feeds,
            PAPER: self.paper,
        }
        self.stack = QStackedWidget()
        for tab in self._tabs.values():
            self.stack.addWidget(tab)
        self.setLayout(
            column(row(self.pills, None, spacing=8), self.cards, (self.stack, 1), spacing=8, margins=PAGE_MARGINS)
        )
        self._connect()
        self._keys = [
            QShortcut(
                QKeySequence(keys),
                self,
                partial(self._step_tab, way),
                context=Qt.ShortcutContext.WidgetWithChildrenShortcut,
            )
            for keys, way in (("Ctrl+PgDown", 1), ("Ctrl+PgUp", -1))
        ]
        self._show_cards()

    def _connect(self) -> None:
        self.pills.chosen.connect(self.show_tab)
        self.cards.chosen.connect(self.work.choose)
        self.work.moved.connect(self._show_cards)
        for tab in self._tabs.values():
            for name in ("message", "open_cow", "save_wished", "print_wished"):
                if hasattr(tab, name):
                    getattr(tab, name).connect(getattr(self, name))
        self.plan.by_hand_wished.connect(lambda: self.show_tab(BY_HAND))

    @override
    def focus_first(self) -> None:
        """Give the keyboard to what is in front."""
        self._tabs[self.pills.current].focus_first()

    @override
    def find(self, text: str = "") -> None:  # type: ignore[override]
        """No cow is found here: the group cards take the keyboard."""
        self.cards.take_keyboard()

    @property
    @override
    def printed_words(self) -> str:
        return self.paper.words if self.pills.current == PAPER else ""

    @override
    def print_page(self) -> None:
        self.paper.print_page()

    @override
    def save_page(self) -> bool:
        self.paper.save_pdf()
        return True

    @override
    def export(self) -> bool:
        if self.pills.current != PAPER:
            self.show_tab(PAPER)
        self.paper.save_book()
        return True

    def show_tab(self, key: str) -> None:
        """Bring a tab to the front."""
        self.pills.choose(key)
        self._tabs[key].freshen()
        self.stack.setCurrentWidget(self._tabs[key])
        self.cards.setVisible(key in (PLAN, BY_HAND) and bool(self.work.groups))
        self.focus_first()

    def _step_tab(self, way: int) -> None:
        keys = list(self._tabs)
        self.show_tab(keys[(keys.index(self.pills.current) + way) % len(keys)])

    def _show_cards(self) -> None:
        self.cards.show_groups(self.work.groups, self.work.chosen, self.work.herd.today)
        self.cards.setVisible(self.pills.current in (PLAN, BY_HAND) and bool(self.work.groups))
