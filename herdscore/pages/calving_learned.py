"""Tab What condition did: help, losses and in calf again by condition, like with like; season against season."""

from __future__ import annotations

import math
from functools import partial
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from herdscore.desk.saving import save_tables
from herdscore.desk.season_export import season_sheet
from herdscore.domain import season_learning as learning
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.rates import Rate
from herdscore.domain.reasons import say_number
from herdscore.domain.season_learning import AT_CALVING, AT_MATING, MEASURES
from herdscore.domain.season_outcomes import Outcomes, outcomes_of
from herdscore.pages.calving_work import CalvingWork
from herdscore.pages.chart_saving import chart_wish, picture_button
from herdscore.pages.file_asking import SHEETS
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.wishes import FileWish
from herdscore.parts.buttons import JoinedButtons, button, choice_box
from herdscore.parts.cards import Panel, card, column, holder, row, scrolled
from herdscore.parts.flow import flow
from herdscore.parts.labels import label
from herdscore.parts.rate_chart import RateChart, RateDot, RateLine, RatePicture, paint_rates
from herdscore.parts.theme import Look, Theme

Flags = npt.NDArray[np.bool_]

_KEYS = tuple(MEASURES)
_ALL = "all seasons"
_WHAT = "what condition did"
_HINT = "Solid: cows. Hollow: first-calvers, kept apart. Bars: 95 in 100 intervals."


class Learned(FreshTab):
    """`save_wished(wish)`: the tables as a spreadsheet, the chart as a picture."""

    save_wished = Signal(object)

    def __init__(self, look: Look, work: CalvingWork) -> None:
        super().__init__()
        self.work = work
        self._outcomes: Outcomes | None = None
        self.measure = choice_box("What came of it", [words.capitalize() for words in MEASURES.values()])
        self.at = JoinedButtons([(AT_CALVING, "Score at calving"), (AT_MATING, "Score at mating")], "Which score")
        self.at.choose(AT_CALVING)
        self.season = choice_box("Season", [_ALL])
        for box in (self.measure, self.season):
            box.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.export_button = button("Export spreadsheet", "main", weight=600)
        self.picture_button = picture_button(_WHAT)
        self.picture_button.clicked.connect(self.save_chart)
        self.claim = label("", 14, 700, wrap=True)
        self.chart = RateChart(look)
        self.says = [label("", 12, wrap=True) for _ in range(2)]
        self.weeks = label("", 12, wrap=True)
        self._strata, self._seasons, self._others = QVBoxLayout(), QVBoxLayout(), QVBoxLayout()
        self._build()
        self.measure.currentIndexChanged.connect(self.show_measure)
        self.season.currentIndexChanged.connect(self.show_measure)
        self.at.chosen.connect(self.show_measure)
        self.export_button.clicked.connect(self.export)
        work.herd.assessed.connect(self.herd_moved)
        work.herd.block_chosen.connect(self.herd_moved)

    def _build(self) -> None:
        top = row((flow(self.measure, self.at, self.season), 1), self.picture_button, self.export_button)
        hint = label(_HINT, 11, 400, "second", wrap=True)
        said = Panel(column(*self.says, self.weeks, spacing=6, margins=(14, 8, 14, 8)))
        shown = holder(column(self.claim, hint, (self.chart, 1), said, spacing=6, margins=(0, 0, 6, 0)))
        left = card(column(scrolled(shown), margins=(16, 10, 8, 12)))
        inside = QWidget()
        for box in (self._strata, self._seasons, self._others):
            box.setSpacing(4)
        inside.setLayout(
            column(
                label("Like with like", 14, 700),
                self._strata,
                8,
                label("Season against season", 14, 700),
                self._seasons,
                8,
                label("What others found", 14, 700),
                self._others,
                None,
                spacing=4,
            )
        )
        right = card(column(scrolled(inside), margins=(16, 10, 8, 12)))
        self.setLayout(column(top, (row((left, 55), (right, 45), spacing=12), 1), spacing=8))

    def focus_first(self) -> None:
        """Give the keyboard to the choice of what is looked at."""
        self.measure.setFocus()

    @property
    def outcomes(self) -> Outcomes:
        """Every calving of the blocks shown with what came of it, worked out when it is first asked for."""
        if self._outcomes is None:
            herd = self.work.herd
            a = herd.assessment
            every = outcomes_of(a.snapshot, a.rulebook, a.today)
            code = None if herd.block == "both" else BLOCK_NAMES.index(herd.block)
            self._outcomes = every if code is None else chosen(every, every.block == code)
        return self._outcomes

    def renew(self) -> None:
        """Work out every calving anew."""
        self._outcomes = None
        rows = learning.seasons(self.outcomes, self.work.herd.rulebook)
        names = [_ALL, *(one.name for one in reversed(rows))]
        if [self.season.itemText(at) for at in range(self.season.count())] != names:
            self.season.blockSignals(True)
            self.season.clear()
            self.season.addItems(names)
            self.season.blockSignals(False)
        self.show_measure()

    def show_measure(self) -> None:
        """Show the measure, score and season chosen."""
        rulebook, measure, at = self.work.herd.rulebook, _KEYS[self.measure.currentIndex()], self.at.current
        outcomes = self._of_season()
        rows = learning.by_condition(outcomes, measure, rulebook, at)
        known = sum(one.cows.of + one.first_calvers.of for one in rows)
        self.claim.setText(f"{MEASURES[measure].capitalize()} by score {at}: {known} calvings counted")
        spoken = "; ".join(f"{one.label}: cows {one.cows.said}, first-calvers {one.first_calvers.said}" for one in rows)
        lines = tuple(RateLine(one.label, _dot(one.cows), _dot(one.first_calvers)) for one in rows)
        self.chart.show_picture(RatePicture(lines, MEASURES[measure], self.claim.text(), spoken))
        self.picture_button.setEnabled(not self.chart.empty)
        for said, claim in zip(self.says, learning.claims(outcomes, measure, rulebook, at), strict=True):
            said.setText(claim.say)
        self.weeks.setText(weeks_said(outcomes, self.work, at))
        strata = learning.by_stratum(outcomes, measure, rulebook, at)
        _fill(self._strata, _strata_lines(strata))
        _fill(self._seasons, self._season_lines(measure))
        others = learning.published_findings(rulebook)
        _fill(self._others, [(f"{word}: {say}", source) for word, say, source in others])

    def save_chart(self) -> None:
        """Ask for a place and save the chart."""
        picture = self.chart.picture

        def body(painter: QPainter, box: QRectF, theme: Theme) -> None:
            paint_rates(painter, box, theme, theme.font, picture)

        self.save_wished.emit(chart_wish(self.work.herd, _WHAT, self.claim.text(), _HINT, body))

    def export(self) -> None:
        """Ask for a place and write the tables there."""
        self.freshen()
        herd = self.work.herd
        sheet = season_sheet(self.outcomes, herd.rulebook, herd.name, herd.today)
        name = f"{herd.path.stem} what condition did {herd.today.isoformat()}.xlsx"
        self.save_wished.emit(FileWish("What condition did", name, SHEETS, partial(save_tables, sheet)))

    def _of_season(self) -> Outcomes:
        name = self.season.currentText()
        rows = [one for one in learning.seasons(self.outcomes, self.work.herd.rulebook) if one.name == name]
        if not rows:
            return self.outcomes
        mine = (self.outcomes.year == rows[0].year) & (self.outcomes.block == rows[0].block)
        return chosen(self.outcomes, mine)

    def _season_lines(self, measure: str) -> list[tuple[str, str]]:
        """Each season of a block beside the one before it."""
        rules = self.work.herd.rulebook.learning
        rows = learning.seasons(self.outcomes, self.work.herd.rulebook)
        lines = []
        for block in sorted({one.block for one in rows}):
            mine = [one for one in rows if one.block == block]
            for earlier, later in pairwise(mine):
                lines.append((learning.season_change(earlier, later, measure, rules), _season_line(later)))
            if len(mine) == 1:
                said = f"{mine[0].name}: cows {mine[0].rates[measure][0].said}. One season: nothing to hold it against."
                lines.append((said, _season_line(mine[0])))
        return list(reversed(lines))


def chosen(outcomes: Outcomes, mine: Flags) -> Outcomes:
    """Some of the calvings."""
    return Outcomes(**{name: values[mine] for name, values in vars(outcomes).items()})


def weeks_said(outcomes: Outcomes, work: CalvingWork, at: str) -> str:
    """Middle week of the next calving by condition, in a sentence."""
    parts = [
        f"{name} week {say_number(week, 0)} ({count})"
        for name, week, count in learning.week_by_condition(outcomes, work.herd.rulebook, at)
        if math.isfinite(week)
    ]
    return f"Next calving, middle week of the season by score {at}: {', '.join(parts)}." if parts else ""


def _dot(rate: Rate) -> RateDot:
    return RateDot(rate.count, rate.of, rate.low, rate.high)


def _strata_lines(strata: tuple[learning.StratumRow, ...]) -> list[tuple[str, str]]:
    if not strata:
        return [("Too few calvings of one kind to compare: no claim.", "")]
    return [
        (one.label, f"lean {one.rates[0].said}; fit {one.rates[1].said}; fat {one.rates[2].said}") for one in strata
    ]


def _season_line(one: learning.SeasonRow) -> str:
    mean = f", mean score at calving {say_number(one.mean_at_calving, 2)} of {one.scored}" if one.scored else ""
    twins = f", {one.twins} with twins" if one.twins else ""
    return f"{one.name}: {one.calvings} calvings{twins}{mean}"


def _fill(box: QVBoxLayout, lines: list[tuple[str, str]]) -> None:
    """Lines of a firm and a quiet part, in place of those before."""
    while (item := box.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()
    for firm, quiet in lines:
        box.addWidget(label(firm, 12, 500, wrap=True))
        if quiet:
            box.addWidget(label(quiet, 11, 400, "second", wrap=True))
