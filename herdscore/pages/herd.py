"""Page Herd: the herd as it is written down, tab by tab, and sheets in and out."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import QStackedWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.pages.herd_diets import DietsTab
from herdscore.pages.herd_groups import GroupsTab
from herdscore.pages.herd_services import ServicesTab
from herdscore.pages.herd_settings import SettingsTab
from herdscore.pages.herds_page import OPEN_SHEET, WORKBOOK, HerdsPage
from herdscore.pages.register import RegisterTab
from herdscore.pages.through_year import ThroughYearTab
from herdscore.parts.buttons import Pills, button
from herdscore.parts.cards import PAGE_MARGINS, column, holder, row
from herdscore.parts.fields import take_no_files
from herdscore.parts.labels import restyle
from herdscore.parts.theme import Look

REGISTER, SERVICES, GROUPS, DIETS, SETTINGS = "register", "services", "groups", "diets", "settings"
YEAR = "year"
TABS = (
    (REGISTER, "Register"),
    (SERVICES, "Services and scans"),
    (GROUPS, "Groups and moves"),
    (DIETS, "Diets and calendar"),
    (YEAR, "Through the year"),
    (SETTINGS, "Settings"),
)
_SHORT = {SERVICES: "Services", GROUPS: "Groups", DIETS: "Diets", YEAR: "Year"}
HerdTab: TypeAlias = RegisterTab | ServicesTab | GroupsTab | DietsTab | SettingsTab | ThroughYearTab


class HerdPage(HerdsPage):
    """The herd as it is written down."""

    title = "Herd"

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._herd, self._look = herd, look
        self._stale: set[str] = set()
        self.tabs = Pills(TABS, "Part of the herd")
        self.open_button = button("Open a sheet")
        self.write_button = button("Write the workbook")
        self.register = RegisterTab(look, herd)
        self._built: dict[str, HerdTab] = {}
        self._build: dict[str, Callable[[], HerdTab]] = {
            REGISTER: lambda: self.register,
            SERVICES: lambda: ServicesTab(look, herd),
            GROUPS: lambda: GroupsTab(look, herd),
            DIETS: lambda: DietsTab(look, herd),
            YEAR: lambda: ThroughYearTab(look, herd),
            SETTINGS: lambda: SettingsTab(look, herd, settings),
        }
        self._body = QStackedWidget()
        self._sheets = holder(row(self.open_button, self.write_button))
        self._beside, self._below = row(), row(None)
        self.setLayout(
            column(row(self.tabs, None, self._beside), self._below, (self._body, 1), spacing=8, margins=PAGE_MARGINS)
        )
        self._keys = [
            QShortcut(QKeySequence(keys), self, lambda step=step: self._step(step)) for keys, step in _KEYS.items()
        ]
        for key in self._keys:
            key.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        self._connect()
        self.show_tab(REGISTER)

    def _connect(self) -> None:
        self.tabs.chosen.connect(self._on_tab)
        self.open_button.clicked.connect(lambda: self.wished.emit(OPEN_SHEET))
        self.write_button.clicked.connect(lambda: self.wished.emit(WORKBOOK))
        self.register.move_wished.connect(self._on_move_wished)
        self.register.service_wished.connect(self._on_service_wished)
        self._herd.assessed.connect(self._on_assessed)
        self._herd.block_chosen.connect(self._on_block)
        self._herd.day_chosen.connect(self._show_rights)
        self._look.changed.connect(self._fit)

    # Tabs

    @property
    def tab(self) -> str:
        """Key of the tab in front."""
        return self.tabs.current

    def part(self, key: str) -> HerdTab:
        """A tab, built when first asked for."""
        if key not in self._built:
            made = self._build[key]()
            made.message.connect(self.message)
            take_no_files(made)
            if isinstance(made, ThroughYearTab | DietsTab):
                made.save_wished.connect(self.save_wished)
            if isinstance(made, ThroughYearTab):
                made.report_wished.connect(self.report_wished)
            self._built[key] = made
            self._stale.add(key)
            self._body.addWidget(made)
            made.widen(self.window().width())
        return self._built[key]

    def show_tab(self, key: str) -> None:
        """Bring a tab to the front."""
        self.tabs.choose(key)
        with self.resting():
            made = self.part(key)
            self._freshen()  # before it shows, so that it is laid out once, with its words
            self._body.setCurrentWidget(made)
            self._fit()

    def _on_tab(self, key: str) -> None:
        self.show_tab(key)
        self.focus_first()

    def _step(self, step: int) -> None:
        keys = self.tabs.keys
        self._on_tab(keys[(keys.index(self.tab) + step) % len(keys)])

    @override
    def focus_first(self) -> None:
        """Give the keyboard to the tab in front."""
        self._freshen()
        self.part(self.tab).focus_first()

    @override
    def find(self, text: str = "") -> None:  # type: ignore[override]
        """Go to the box that finds a cow, with a text already in it."""
        made = self.part(self.tab)
        if isinstance(made, RegisterTab):
            if text:
                made.cows.search.setText(text)
            made.cows.search.setFocus()
            made.cows.search.selectAll()
        else:
            made.find_cow()

    def _on_move_wished(self, cow_ids: list[str]) -> None:
        self.show_tab(GROUPS)
        made = self.part(GROUPS)
        assert isinstance(made, GroupsTab)
        made.begin_moving(cow_ids)

    def _on_service_wished(self, cow_ids: list[str]) -> None:
        self.show_tab(SERVICES)
        made = self.part(SERVICES)
        assert isinstance(made, ServicesTab)
        made.begin_many(cow_ids)

    # Keeping up

    def _on_assessed(self) -> None:
        self._stale.update(self._built)
        if self.isVisible():
            self._freshen()

    def _freshen(self) -> None:
        if self.tab in self._stale and self.tab in self._built:
            self._stale.discard(self.tab)
            made = self._built[self.tab]
            made.show_rights()
            made.show_assessment(self._herd.assessment)

    def _show_rights(self) -> None:
        for made in self._built.values():
            made.show_rights()

    def _on_block(self) -> None:
        for made in self._built.values():
            (made.cows if isinstance(made, RegisterTab) else made).fill()

    @override
    def showEvent(self, event: QShowEvent) -> None:
        self._freshen()
        super().showEvent(event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Fit the tabs to the window; the buttons of the register go below the tabs where there is no room beside."""
        for made in self._built.values():
            made.widen(self.window().width())
        short = self.width() < _ROOMY_PX * self._look.theme.text_scale
        for key, words in TABS:
            self.tabs.show_words(key, _SHORT.get(key, words) if short else words)
            self.tabs.button(key).setAccessibleName(words)
        beside = any(self._has_room(points) for points in ("12", "11"))
        if not beside:
            self._has_room("12")
        (self._below if beside else self._beside).removeWidget(self._sheets)
        if beside and self._beside.indexOf(self._sheets) < 0:
            self._beside.addWidget(self._sheets)
        elif not beside and self._below.indexOf(self._sheets) < 0:
            self._below.addWidget(self._sheets)
        self._sheets.setVisible(self.tab == REGISTER)

    def _has_room(self, points: str) -> bool:
        """Write the tabs in a size; whether the buttons of the register then have room beside them."""
        for key in self.tabs.keys:
            restyle(self.tabs.button(key), "pt", points)
        room = self.width() - PAGE_MARGINS[0] - PAGE_MARGINS[2] - self.tabs.sizeHint().width() - 8
        return self._sheets.sizeHint().width() <= room


_ROOMY_PX = 1000  # width of the page, times the size of the text, from which all tabs have their whole names
_KEYS = {"Ctrl+PgDown": 1, "Ctrl+PgUp": -1}
