"""Tab Runway: the herd in one picture, who must be acted on and who is past it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import numpy as np
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QPagedPaintDevice, QPainter, QResizeEvent
from PySide6.QtWidgets import QComboBox, QSizePolicy, QWidget
from typing_extensions import override

from herdscore.desk.herd_in_view import BOTH
from herdscore.desk.jobs import Job
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, SPRING_BLOCK
from herdscore.domain.runway import Runway, block_to_show, runway_of
from herdscore.domain.runway_finding import PARITIES, RunwayFilter, calving_months, chosen, finding, left_out
from herdscore.errors import Problem
from herdscore.pages.cow_lists import CowLists
from herdscore.pages.runway_pictures import card_of, key_of, runway_picture
from herdscore.pages.wishes import PICTURES, PrintWish, SaveWish
from herdscore.parts.buttons import JoinedButtons, button, choice_box
from herdscore.parts.cards import card, column, holder, row
from herdscore.parts.labels import label, restyle
from herdscore.parts.mark_legend import MarkLegend
from herdscore.parts.plotting import bring_plotting
from herdscore.parts.runway_chart import RunwayChart
from herdscore.parts.save_picture import paint_widget, save_picture
from herdscore.parts.theme import Look

TWO = "two"
_LOW_PX = 470
_ROOMY_PX = 1100
_PAPER_PX = (1060, 720)
_HOW = "Cows move right a day each day; the way to the thick edge is about the time left to begin. Up is fatter."
_TAIL = " A tail: where she was going before her change."


class RunwayFilters(QWidget):
    """Group, age, breed and calving month. `changed()`: another was chosen."""

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.group, self.parity = choice_box("Group", height=46), choice_box("Age", height=46)
        self.breed, self.month = choice_box("Breed", height=46), choice_box("Calving month", height=46)
        self._months: list[tuple[str, float, float]] = []
        self.boxes = (self.group, self.parity, self.breed, self.month)
        for box in self.boxes:
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumWidth(96)
            box.setMaximumWidth(200)
            box.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            box.currentIndexChanged.connect(lambda _: self.changed.emit())
        self.setLayout(row((QWidget(), 1), *((box, 100) for box in self.boxes), spacing=8))

    def show_herd(self, lists: CowLists, shown: list[Runway]) -> None:
        """Offer what the cows on the runways are; what was chosen stays while it is offered."""
        a = lists.assessment
        cows = np.concatenate([runway.cow for runway in shown])
        groups = sorted(
            {a.groups.names[g] or "" for g in np.unique(a.groups.now[cows]).tolist()} - {""}, key=str.casefold
        )
        breeds = sorted({breed for breed in a.snapshot.cows.breed[cows].tolist() if breed}, key=str.casefold)
        months = {name: (name, first, last) for runway in shown for name, first, last in calving_months(a, runway)}
        self._months = sorted(months.values(), key=lambda one: one[1])
        _offer(self.group, "Groups", [(name, name) for name in groups])
        _offer(self.parity, "Ages", [(words, key) for key, words in PARITIES])
        _offer(self.breed, "Breeds", [(name, name) for name in breeds])
        _offer(self.month, "Dates", [(name, name) for name, _, _ in self._months])

    def which(self) -> RunwayFilter:
        """What is chosen now."""
        first, last = self.window_of_days() or (-np.inf, np.inf)
        return RunwayFilter(
            str(self.group.currentData() or ""),
            str(self.parity.currentData() or ""),
            str(self.breed.currentData() or ""),
            first,
            last,
        )

    def window_of_days(self) -> tuple[float, float] | None:
        """First and last day of the month chosen, from today."""
        return next(((first, last) for name, first, last in self._months if name == self.month.currentData()), None)

    def clear(self) -> None:
        """Let all cows through again."""
        for box in self.boxes:
            box.setCurrentIndex(0)


def _offer(box: QComboBox, all_words: str, items: list[tuple[str, str]]) -> None:
    kept = box.currentData()
    box.blockSignals(True)
    box.clear()
    box.addItem(all_words, "")
    for words, key in items:
        box.addItem(words, key)
    box.setCurrentIndex(max(0, box.findData(kept)))
    box.blockSignals(False)


class RunwayTab(QWidget):
    """The runway of a block, or of both one above the other. `opened(cow id)`; `save_wished(SaveWish)`.

    `report_wished()`: to choose a report to print or save.
    """

    opened = Signal(str)
    save_wished = Signal(object)
    report_wished = Signal()

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._lists: CowLists | None = None
        self._which_block = ""  # chosen while both blocks are looked at
        self.shown: list[Runway] = []
        self.charts: list[RunwayChart] = []
        self.filters = RunwayFilters()
        self.save_button, self.report_button = button("Save picture"), button("Reports")
        self.report_button.hide()
        self.bar = holder(row((self.filters, 1), self.save_button, self.report_button))
        self.title = label("", 15, 700, wrap=True)
        self.how = label(_HOW, 12, tone="second", wrap=True)
        blocks = [
            (BLOCK_NAMES[code] or "", str(BLOCK_NAMES[code]).capitalize()) for code in (AUTUMN_BLOCK, SPRING_BLOCK)
        ]
        self.blocks = JoinedButtons([*blocks, (TWO, "Both")], "Which runway", 11, height=44)
        self._names = [label("", 12, 700) for _ in (AUTUMN_BLOCK, SPRING_BLOCK)]
        self._key = MarkLegend(look)
        self._drawing = label("Drawing …", 12, tone="second")
        self._drawing.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._coming: Job | None = None  # brings what charts are drawn with
        self._to_point = ""  # a cow to point at once they are drawn
        self._body = column((self._drawing, 1), spacing=2)
        head = row((column(self.title, self.how, spacing=2), 1), self.blocks, spacing=12)
        self.card = card(column(head, (self._body, 1), self._key, spacing=6, margins=(16, 8, 12, 6)))
        self.setLayout(column((self.card, 1)))
        self.filters.changed.connect(self._fill)
        self.blocks.chosen.connect(self._on_block)
        self.save_button.clicked.connect(self._on_save)
        self.report_button.clicked.connect(self.report_wished)

    @property
    def chart(self) -> RunwayChart:
        """The first chart, which has the keyboard first."""
        return self.charts[0]

    def focus_first(self) -> None:
        """Give the keyboard to the chart."""
        (self.chart if self.charts else self).setFocus()

    def show_lists(self, lists: CowLists, *, at_once: bool = False) -> None:
        """Show a new assessment, or another block of it; the first charts come a moment later, or `at_once`."""
        pointed = self._pointed()
        self._lists = lists
        self.shown = [runway_of(lists.assessment, block) for block in self._blocks_shown()]
        if self.charts or at_once:
            self._build_charts()
        elif self._coming is None:
            self._coming = self._herd.in_steps(bring_plotting)
            self._coming.finished.connect(self._on_charts_here)
            self._coming.failed.connect(self._herd.failed)
        self.filters.show_herd(lists, self.shown)
        self._fill(pointed)

    def choose(self, cow_id: str) -> bool:
        """Point at a cow; False if she is on no runway shown."""
        found = False
        lists = self._lists
        cow = lists.assessment.snapshot.cow_place.get(cow_id) if lists is not None else None
        self._to_point = cow_id
        for place, runway in enumerate(self.shown):
            at = np.flatnonzero(runway.cow == (-1 if cow is None else cow))
            if place < len(self.charts):
                self.charts[place].point_at(int(at[0]) if len(at) else None)
            found = found or bool(len(at))
        return found

    def _blocks_shown(self) -> list[int]:
        """Codes of the blocks whose runways are drawn."""
        self.blocks.setVisible(self._herd.block == BOTH)
        if self._herd.block != BOTH:
            return [BLOCK_NAMES.index(self._herd.block)]
        assert self._lists is not None
        which = self._which_block or str(BLOCK_NAMES[block_to_show(self._lists.assessment)])
        self.blocks.choose(which)
        return [AUTUMN_BLOCK, SPRING_BLOCK] if which == TWO else [BLOCK_NAMES.index(which)]

    def _build_charts(self) -> None:
        """Make charts when they are first needed: they bring pyqtgraph along."""
        self._drawing.hide()
        while len(self.charts) < len(self.shown):
            place = len(self.charts)
            made = RunwayChart(self._look, partial(self._card, place))
            made.opened.connect(partial(self._on_opened, place))
            self.charts.append(made)
            self._body.addWidget(self._names[place])
            self._body.addWidget(made, 1)
        for place, (name, chart) in enumerate(zip(self._names, self.charts, strict=False)):
            name.setVisible(len(self.shown) == 2)
            chart.setVisible(place < len(self.shown))

    def _on_charts_here(self) -> None:
        had_keyboard = self.hasFocus()
        self._build_charts()
        self._fill(self._to_point)
        if had_keyboard:
            self.focus_first()

    def _fill(self, pointed: str = "") -> None:
        lists = self._lists
        if lists is None:
            return
        pointed = pointed or self._pointed()
        a, which, window = lists.assessment, self.filters.which(), self.filters.window_of_days()
        kept = [chosen(a, runway, which) for runway in self.shown]
        said = finding(a, list(zip(self.shown, kept, strict=True)))
        named = [box.currentText() for box in self.filters.boxes if box.currentData()]
        self.title.setText(f"{', '.join(named)}: {said[0].lower()}{said[1:]}" if named else said)
        others = " ".join(words for runway in self.shown if (words := left_out(a, runway)))
        tails = any(bool(np.isfinite(runway.tail).any()) for runway in self.shown)
        self.how.setText(f"{_HOW}{_TAIL if tails else ''} {others}".strip())
        self.title.setToolTip(self.how.text())
        pictures = [
            runway_picture(a, runway, keep, self.title.text()) for runway, keep in zip(self.shown, kept, strict=True)
        ]
        for runway, name, chart, picture in zip(self.shown, self._names, self.charts, pictures, strict=False):
            name.setText(f"{str(BLOCK_NAMES[runway.block]).capitalize()} block")
            chart.show_picture(picture)
            if window is not None and window[0] <= float(picture.furthest_days):
                chart.show_window(max(window[0], 0.0), min(window[1], float(picture.furthest_days)))
            else:
                chart.show_window(None)
        self._key.show_items(key_of(pictures))
        if pointed:
            self.choose(pointed)

    def _pointed(self) -> str:
        """Identity of the cow pointed at."""
        for runway, chart in zip(self.shown, self.charts, strict=False):
            if chart.place is not None and self._lists is not None and chart.place < len(runway.cow):
                return str(self._lists.assessment.snapshot.cows.id[runway.cow[chart.place]])
        return ""

    def _card(self, place: int, at: int) -> tuple[str, ...]:
        assert self._lists is not None
        cow = int(self.shown[place].cow[at])
        return card_of(self._lists.assessment, cow, self._lists.tags[cow])

    def _on_opened(self, place: int, at: int) -> None:
        assert self._lists is not None
        self.opened.emit(str(self._lists.assessment.snapshot.cows.id[self.shown[place].cow[at]]))

    def _on_block(self, which: str) -> None:
        self._which_block = which
        if self._lists is not None:
            self.show_lists(self._lists)
        self.focus_first()

    def _on_save(self) -> None:
        day = self._herd.today.isoformat()
        self.save_wished.emit(SaveWish("The runway", f"{self._herd.path.stem} runway {day}.png", PICTURES, self._write))

    def print_wish(self) -> PrintWish:
        """The runway as it is filtered, to print on A4 lying on its long side."""
        return PrintWish("The runway", True, self._print, of_widgets=True)

    def _write(self, path: Path) -> Path:
        with on_paper(self, self._herd) as paper:
            for chart in paper.charts:
                chart.draw_as_shapes()
            return save_picture(path, paper.card.size(), paint_widget(paper.card))

    def _print(self, device: QPagedPaintDevice) -> None:
        painter = QPainter()
        if not painter.begin(device):
            raise Problem("Nothing could be printed.", "The printer or the file does not take it.", "Choose another.")
        with on_paper(self, self._herd) as paper:
            times = min(device.width() / paper.card.width(), device.height() / paper.card.height())
            for chart in paper.charts:
                chart.draw_as_shapes()
            painter.scale(times, times)
            paint_widget(paper.card)(painter)
        painter.end()

    def take_after(self, other: RunwayTab) -> None:
        """Show what another shows: the same runways, filtered alike."""
        assert other._lists is not None
        self._which_block = other._which_block
        self.show_lists(other._lists, at_once=True)
        for mine, theirs in zip(self.filters.boxes, other.filters.boxes, strict=True):
            mine.setCurrentIndex(theirs.currentIndex())
        self.blocks.hide()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where the chart would be low, the title is smaller and how to read it is left to the tool tip."""
        super().resizeEvent(event)
        low = self.height() < _LOW_PX * self._look.theme.text_scale
        restyle(self.title, "pt", "13" if low else "15")
        self.how.setVisible(not low)
        # Ctrl+P does the same where there is no room for the button.
        self.report_button.setVisible(self.width() >= _ROOMY_PX * self._look.theme.text_scale)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Ctrl+C copies the picture for a letter or a message."""
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setPixmap(self.card.grab())
        else:
            super().keyPressEvent(event)


@contextmanager
def on_paper(tab: RunwayTab, herd: OpenHerd) -> Iterator[RunwayTab]:
    """The same runway in the light colours and the shape of a sheet, laid out and never seen."""
    look = Look("light")
    paper = RunwayTab(look, herd)
    look.dress(paper)
    paper.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    paper.resize(*_PAPER_PX)
    paper.take_after(tab)
    paper.show()
    try:
        yield paper
    finally:
        paper.close()
        paper.deleteLater()
