"""Page Groups: the cows compared by group, calving date, block, age, breed or choice; split, moved, written out."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QStackedWidget
from typing_extensions import override

from herdscore.desk.group_export import sheet_writer
from herdscore.desk.messages import note
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Choice, Settings
from herdscore.domain.diets import group_key
from herdscore.domain.group_split import Split, moving, split
from herdscore.domain.grouping import GROUP, OWN, WAYS
from herdscore.pages.chart_saving import chart_wish
from herdscore.pages.cow_words import say_cows
from herdscore.pages.file_asking import SHEETS
from herdscore.pages.group_choice import ChoicePanel
from herdscore.pages.group_moves import MovesPanel
from herdscore.pages.group_pair import PairPanel
from herdscore.pages.group_side import PATHS, WAYS_HOW, WAYS_TITLE, GroupSide
from herdscore.pages.group_split_card import TOGETHER
from herdscore.pages.group_strips_card import StripsCard
from herdscore.pages.group_top import STRIPS, GroupTop
from herdscore.pages.group_view import GroupView
from herdscore.pages.herds_page import HerdsPage
from herdscore.pages.wishes import FileWish
from herdscore.parts.cards import PAGE_MARGINS, card, column, row
from herdscore.parts.group_drawing import height_of, paint_strips
from herdscore.parts.group_paths import paint_paths
from herdscore.parts.theme import Look, Theme

_SPLIT_NOTES = ("group_spread", "group_dates")


def _read_way(text: str) -> str:
    if text not in dict(WAYS):
        raise ValueError(text)
    return text


WAY = Choice("groups compared by", GROUP, _read_way)


class GroupsPage(HerdsPage):
    """`message(Message)` for the bar; `open_cow(cow id)`; `save_wished(SaveWish or FileWish)`."""

    title = "Groups"
    finds_cows = False

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._herd, self._settings = herd, settings
        self._view: GroupView | None = None
        self._split: Split | None = None
        self._chosen: set[str] = set()
        self._place = 0  # group the split is of; behind the last: all of them
        self._name = ""
        self.top = GroupTop(look)
        self.top.show_way(settings.get(WAY))
        self.strips, self.pair = StripsCard(look), PairPanel(look)
        self.moves, self.choice = MovesPanel(look), ChoicePanel(look)
        self.side = GroupSide(look)
        self.left = QStackedWidget()
        for one in (self.strips, self.pair, self.moves, self.choice):
            self.left.addWidget(one)
        both = row((card(column(self.left)), 45), (self.side, 55), spacing=12)
        self.setLayout(column(self.top, (both, 1), spacing=8, margins=PAGE_MARGINS))
        self._connect()

    def _connect(self) -> None:
        self._herd.assessed.connect(self._on_herd)
        self._herd.block_chosen.connect(self._on_herd)
        self.top.way_chosen.connect(self._on_way)
        self.top.choice_wished.connect(self.show_choice)
        self.top.table_wished.connect(self.export)
        self.top.chart_wished.connect(self.save_chart)
        self.strips.pair_wished.connect(lambda: self.show_pair(self._place))
        self.strips.strips.chosen.connect(self._on_group)
        self.side.group_chosen.connect(self._on_group)
        self.side.group_opened.connect(self.show_pair)
        self.side.picture_button.clicked.connect(self.save_paths)
        self.side.split.group_chosen.connect(self._on_group)
        self.side.split.asked.connect(self._renew_split)
        self.side.split.detail_wished.connect(self.show_moves)
        self.moves.move_wished.connect(self._on_move)
        self.choice.chosen.connect(self._on_own)
        for panel in (self.pair, self.moves, self.choice):
            panel.left.connect(self.show_strips)
        for opens in (self.strips.strips, self.pair, self.moves):
            opens.opened.connect(self.open_cow)

    # What the window asks

    @property
    def view(self) -> GroupView:
        """The groups as they are looked at now."""
        if self._view is None:
            way = self.top.pills.current
            self._view = GroupView(self._herd.assessment, self._herd.in_block, way, self._chosen)
        return self._view

    @override
    def focus_first(self) -> None:
        """Give the keyboard to what is shown at the left."""
        shown = self.left.currentWidget()
        if isinstance(shown, PairPanel | MovesPanel | ChoicePanel):
            shown.focus_first()
        else:
            self.strips.strips.setFocus()

    @override
    def export(self) -> bool:
        view = self.view
        write = sheet_writer(self._herd.name, view.assessment, view.standing, view.grouping, view.figures, view.about())
        name = f"{self._herd.path.stem} groups {self._herd.today.isoformat()}.xlsx"
        self.save_wished.emit(FileWish("The table of groups", name, SHEETS, write))
        return True

    def save_chart(self) -> None:
        """Save the strips as a picture."""
        view, pair = self.view, self.left.currentWidget() is self.pair
        picture = self.pair.strips.picture if pair else view.strips
        title = self.pair.claim.text() if pair else view.finding

        def body(painter: QPainter, box: QRectF, theme: Theme) -> None:
            paint_strips(painter, box, theme, picture)

        def tall(wide: float, theme: Theme) -> float:
            return height_of(picture, wide, theme)

        self.save_wished.emit(chart_wish(self._herd, STRIPS, title, "", body, tall))

    def save_paths(self) -> None:
        """Save the mean ways to calving as a picture."""
        picture = self.side.paths.picture

        def body(painter: QPainter, box: QRectF, theme: Theme) -> None:
            paint_paths(painter, box, theme, picture)

        self.save_wished.emit(chart_wish(self._herd, PATHS, WAYS_TITLE, WAYS_HOW, body))

    # What is shown

    def show_strips(self) -> None:
        """Show all groups."""
        self.left.setCurrentWidget(self.strips)
        self.strips.strips.setFocus()

    def show_pair(self, place: int) -> None:
        """Show a group beside the one that stands furthest from it."""
        figures = self.view.figures
        if len(figures) < 2:
            return
        place = min(place, len(figures) - 1)
        apart = [
            -1.0
            if at == place or one.in_milk != figures[place].in_milk
            else float(np.nan_to_num(abs(one.against.mean - figures[place].against.mean), nan=-0.5))
            for at, one in enumerate(figures)
        ]
        other = int(np.argmax(apart)) if max(apart) > -1 else (place + 1) % len(figures)
        self.pair.show_view(self.view, place, other)
        self.left.setCurrentWidget(self.pair)
        self.pair.focus_first()

    def show_moves(self) -> None:
        """Show who goes where in the split proposed."""
        if self._split is not None:
            self.moves.show_split(
                self.view.assessment, self._split, self.view.tags, self._name or TOGETHER, self._herd.why_not
            )
            self.left.setCurrentWidget(self.moves)
            self.moves.focus_first()

    def show_choice(self) -> None:
        """Choose cows of one's own to compare with the others."""
        self.choice.show_view(self.view, self._chosen)
        self.left.setCurrentWidget(self.choice)
        self.choice.focus_first()

    def _freshen(self) -> None:
        """Work out and show what is looked at, if it is not shown yet."""
        if self._view is not None:
            return
        view = self.view
        names = [one.name for one in view.figures]
        place = names.index(self._name) if self._name in names else self._first_to_split(view)
        self.strips.show_view(view)
        self.side.show_view(view)
        self.pair.show_view(view)
        if self.left.currentWidget() is self.moves:
            self.left.setCurrentWidget(self.strips)
        if self.left.currentWidget() is self.choice:
            self.choice.show_view(view, self._chosen)
        self._on_group(place)

    def _first_to_split(self, view: GroupView) -> int:
        """The group with most cows among those whose notes ask for a split, else the first."""
        asked = [
            (len(view.cows(place)), -place)
            for place, one in enumerate(view.figures)
            if not one.in_milk and any(note_.key in _SPLIT_NOTES for note_ in view.notes(place))
        ]
        return -max(asked)[1] if asked else 0

    def _on_herd(self) -> None:
        self._view = None
        if self.isVisible():
            self._freshen()

    def _on_way(self, way: str) -> None:
        self._settings.set(WAY, way)
        self._view = None
        self._freshen()
        if way == OWN and not self._chosen:
            self.show_choice()
        else:
            self.left.setCurrentWidget(self.strips)

    def _on_own(self, chosen: set[str]) -> None:
        self._chosen = chosen
        self._view = None
        self._freshen()
        self.show_strips()

    def _on_group(self, place: int) -> None:
        """Another group was chosen, in the strips, the table or the box."""
        figures = self.view.figures
        self._place = place
        self._name = figures[place].name if place < len(figures) else ""
        if place < len(figures):
            self.strips.strips.choose(place)
            self.side.choose(place)
        self.side.split.show_groups([one.name for one in figures], place)
        self._renew_split()

    def _renew_split(self) -> None:
        """Work out the split of the group chosen anew."""
        view, card_ = self.view, self.side.split
        card_.show_most(view.assessment.rulebook.groups.pens)
        together = self._place >= len(view.figures)
        cows = np.flatnonzero(view.grouping.of_cow >= 0) if together else view.cows(self._place)
        self._split = split(view.assessment, cows, card_.count, card_.way)
        card_.show_split(view.assessment, self._split, [] if together else view.notes(self._place), view.tags)
        if self.left.currentWidget() is self.moves:
            self.show_moves()

    def _on_move(self, made: Split) -> None:
        """Write the moves as one step."""
        a, herd = self.view.assessment, self._herd
        if not herd.can_write or herd.snapshot is not a.snapshot:
            return
        change = moving(herd.snapshot, made, herd.herd_day)
        count = len(made.moves)
        if change is None or not herd.push(change, f"move of {say_cows(count)}"):
            return
        self.show_strips()
        fed = {group_key(name) for name in herd.snapshot.diets.group}
        unfed = [pen.name for pen in made.pens if group_key(pen.name) not in fed]
        rest = (
            f"Say what {' and '.join(unfed)} {'is' if len(unfed) == 1 else 'are'} on, or it counts as unknown."
            if unfed
            else ""
        )
        self.message.emit(note(f"{say_cows(count)} moved.", rest))

    @override
    def showEvent(self, event: QShowEvent) -> None:
        self._freshen()
        super().showEvent(event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        self.top.widen(self.width())
        super().resizeEvent(event)
