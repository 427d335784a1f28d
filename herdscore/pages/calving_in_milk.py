"""Tab In milk: where cows stand after calving, whom to feed for the bull, who is to score, magnesium, wean by."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QWidget
from typing_extensions import override

from herdscore.domain import after_calving
from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK, HerdCalendar
from herdscore.domain.reasons import say_day, say_number, words_of
from herdscore.domain.records import TURNOUT
from herdscore.domain.verdict import Verdict
from herdscore.pages.calving_pictures import codes_of
from herdscore.pages.calving_work import CalvingWork
from herdscore.pages.chart_saving import chart_wish, picture_button
from herdscore.pages.column_widths import fit_columns, word_widths
from herdscore.pages.cow_words import say_cows, say_days
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.scoring_words import short_tag
from herdscore.parts.cards import Panel, card, column, holder, row, scrolled
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.mark_legend import MarkLegend
from herdscore.parts.marks import MarkGlyph
from herdscore.parts.milk_chart import MilkChart, MilkCow, MilkPicture, paint_milk
from herdscore.parts.theme import Look, Theme

Flags = npt.NDArray[np.bool_]

_COLUMNS = (
    Column("tag", "Tag", width=70, weight=700),
    Column("first", "First\ncalf", width=52),
    Column("group", "Group", width=92),
    Column("days", "Days", "number", right=True, width=54),
    Column("now", "Now", "number", right=True, width=56),
    Column("since", "Since\ncalving", "number", right=True, width=74),
    Column("heat", "First heat\nabout", "number", right=True, width=86),
)
_WHAT = "cows in milk"
_SHARES, _GAP_PX = (52, 48), 12
_AROUND_PX, _BELOW_PX = 50, 460
_TAGS_SHOWN = 24
_MARKS = "Triangle on a bar: feed for the bull. Cross: to score. Dot: nothing to do. Ringed cross: vet first."


class InMilk(FreshTab):
    """`open_cow(cow id)`; `save_wished(SaveWish)`: the chart."""

    open_cow = Signal(str)
    save_wished = Signal(object)

    def __init__(self, look: Look, work: CalvingWork) -> None:
        super().__init__()
        self._look, self.work = look, work
        self.claim, self.line = label("", 14, 700, wrap=True), label("", 11, 400, "second", wrap=True)
        self.chart = MilkChart(look)
        self.picture_button = picture_button(_WHAT)
        self.picture_button.clicked.connect(self.save_chart)
        key = MarkLegend(
            look,
            [
                (("bull",), "feed for the bull"),
                (("cross",), "to score"),
                (("dot",), "in milk, nothing to do"),
                (("vet",), "vet first"),
            ],
        )
        self.list = ListView(look, _COLUMNS, "Feed for the bull")
        self.feed_claim = label("Feed for the bull", 14, 700)
        self.advice = label("", 12, 500, wrap=True)
        self.to_score, self.magnesium, self.wean = (label("", 12, wrap=True) for _ in range(3))
        feed = Panel(row(MarkGlyph(look, "bull"), (self.advice, 1), spacing=12, margins=(14, 8, 14, 8)), "thin")
        head = row((self.claim, 1), self.picture_button, spacing=12)
        self._left = card(column(head, self.line, (self.chart, 1), key, spacing=4, margins=(16, 10, 12, 10)))
        below = QWidget()
        below.setLayout(
            column(
                feed,
                row(MarkGlyph(look, "cross"), (self.to_score, 1), spacing=10),
                self.magnesium,
                self.wean,
                None,
                spacing=8,
            )
        )
        self.foot = scrolled(below)
        self._right = card(column(self.feed_claim, (self.list, 3), (self.foot, 2), spacing=8, margins=(16, 10, 12, 10)))
        self._both = row(*zip((self._left, self._right), _SHARES, strict=True), spacing=_GAP_PX)
        self.setLayout(column(scrolled(holder(self._both))))
        look.changed.connect(self._fit)
        self.list.opened.connect(lambda key: self.open_cow.emit(str(key)))
        self.chart.opened.connect(self.open_cow)
        work.herd.assessed.connect(self.herd_moved)
        work.herd.block_chosen.connect(self.herd_moved)

    def focus_first(self) -> None:
        """Give the keyboard to the list."""
        self.list.setFocus()

    def renew(self) -> None:
        """Work everything out anew."""
        herd = self.work.herd
        a, shown = herd.assessment, herd.in_block
        milked = after_calving.in_milk(a) & shown
        feed = [cow for cow in after_calving.feed_for_bull(a).tolist() if shown[cow]]
        self.claim.setText(_claim(a, int(milked.sum()), feed))
        self.line.setText(
            "Lines run from her score at calving to now. Left of the line of first heat she has hardly been on heat."
        )
        self.chart.show_picture(milk_picture(a, milked))
        self.picture_button.setEnabled(bool(self.chart.picture.cows))
        self.list.show_rows(_feed_rows(a, feed))
        self._fit()
        self.feed_claim.setText(f"Feed for the bull: {say_cows(len(feed))}" if feed else "Feed for the bull: nobody")
        out = [float(a.facts.bull_out[cow]) for cow in feed if math.isfinite(a.facts.bull_out[cow])]
        until = f" Until bull out, {say_day(a.day(max(out)), a.today)}." if out else ""
        advice = a.rulebook.words["feed_for_bull"].advice
        self.advice.setText(f"{advice}{until}" if feed else "Nobody is to be fed for the bull now.")
        self._show_rest(a, shown)

    def _fit(self) -> None:
        """Put the list beside the chart where its words have room there, else below it."""
        share = (self.width() - _GAP_PX) * _SHARES[1] / sum(_SHARES)
        beside = sum(word_widths(self.list, self._look.theme)) <= share - _AROUND_PX
        self._both.setDirection(QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom)
        for part in (self._left, self._right):
            part.setMinimumHeight(0 if beside else _BELOW_PX)
        fit_columns(self.list, self._look.theme)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def save_chart(self) -> None:
        """Ask for a place and save the chart."""
        picture = self.chart.picture

        def body(painter: QPainter, box: QRectF, theme: Theme) -> None:
            paint_milk(painter, box, theme, theme.font, picture)

        under = f"{self.line.text()} {_MARKS}"
        self.save_wished.emit(chart_wish(self.work.herd, _WHAT, self.claim.text(), under, body))

    def _show_rest(self, a: Assessment, shown: Flags) -> None:
        blocks = [code for code in codes_of(self.work.herd.block) if code in (AUTUMN_BLOCK, SPRING_BLOCK)]
        calendar = HerdCalendar(a.snapshot, a.today)
        about = a.rulebook.after_calving.score_turnout_days
        wanted: set[int] = set()
        for code in blocks:
            wanted |= set(after_calving.to_score_before_bull(a, code).tolist())
            turnout = calendar.next(code, TURNOUT, -about - 1.0)
            if turnout <= about:
                wanted |= set(after_calving.to_score_at_turnout(a, code, turnout).tolist())
        wanted |= {int(cow) for cow in np.flatnonzero((a.verdict == Verdict.SCORE_FOR_BULL) & shown)}
        tags = _tags(a, sorted(wanted))
        self.to_score.setText(
            f"{say_cows(len(wanted))} to score before the bull or about turnout: {tags}"
            if wanted
            else "Nobody in milk is waiting for a score."
        )
        cows, young = after_calving.magnesium_list(a)
        mine = [place for place, cow in enumerate(cows.tolist()) if shown[cow]]
        under = sum(bool(young[place]) for place in mine)
        self.magnesium.setText(
            f"Magnesium every day now for {say_cows(len(mine))}, {under} with a calf under two months first: "
            f"{_tags(a, [int(cows[place]) for place in mine])}"
            if mine
            else "No magnesium cover now: nobody in milk is about turnout."
        )
        by = after_calving.wean_by(a)
        order = np.argsort(by, kind="stable").tolist()
        due = [cow for cow in order if math.isfinite(by[cow]) and shown[cow]]
        self.wean.setText(
            f"Calves off {say_cows(len(due))}, the first by {say_day(a.day(by[due[0]]), a.today)}: {_tags(a, due)}"
            if due
            else "No calf has to come off yet."
        )


def milk_picture(a: Assessment, milked: Flags) -> MilkPicture:
    """The chart of the cows in milk chosen."""
    cows = [int(cow) for cow in np.flatnonzero(milked)]
    aims = a.rulebook.targets
    made = []
    for cow in cows:
        now = float(a.facts.score_now[cow])
        mark = words_of(a, cow).mark
        made.append(
            MilkCow(
                str(a.snapshot.cows.id[cow]),
                short_tag(str(a.snapshot.cows.tag[cow])),
                float(-a.dates.last_calving[cow]),
                now,
                now + float(a.facts.fall[cow]),
                mark,
            )
        )
    floors, bands = [], []
    present = {int(a.block[cow]) for cow in cows}
    both = len(present & {AUTUMN_BLOCK, SPRING_BLOCK}) == 2
    for code, name, floor, target in (
        (AUTUMN_BLOCK, "autumn", aims.mating_floor_autumn, aims.mating_target_autumn),
        (SPRING_BLOCK, "spring", aims.mating_floor_spring, aims.mating_target_spring),
    ):
        if code in present:
            of = f", {name}" if both else ""
            floors.append((floor, f"mating floor {floor:g}{of}"))
            bands.append((target - aims.band, target + aims.band, f"target at mating {target:g}{of}"))
    rules = a.rulebook.dates
    scores = np.array([1.0, 5.0])
    heat = tuple(zip(after_calving.days_to_first_heat(scores, rules).tolist(), scores.tolist(), strict=True))
    spoken = "; ".join(f"{cow.tag} day {cow.days:.0f} {say_number(cow.now, 2)}" for cow in made)
    return MilkPicture(tuple(made), tuple(floors), tuple(bands), heat, "Score against days since calving", spoken)


def _claim(a: Assessment, milked: int, feed: list[int]) -> str:
    if not milked:
        return "No cow in milk"
    left = [float(a.facts.bull_out[cow]) for cow in feed if math.isfinite(a.facts.bull_out[cow])]
    begun = [float(a.facts.bull_in[cow]) for cow in feed if math.isfinite(a.facts.bull_in[cow])]
    if not feed:
        return f"{say_cows(milked)} in milk, none to feed for the bull"
    if begun and min(begun) > 0:
        return f"{say_cows(len(feed))} to feed for the bull; {say_days(int(min(begun)))} until he goes in"
    return f"{say_cows(len(feed))} to feed for the bull" + (f"; {say_days(int(max(left)))} of him left" if left else "")


def _feed_rows(a: Assessment, feed: list[int]) -> list[ListRow]:
    heat = after_calving.first_heat(a)
    rows = []
    for cow in feed:
        days, now, fall = -a.dates.last_calving[cow], a.facts.score_now[cow], a.facts.fall[cow]
        first = bool(a.dates.calvings[cow] == 1)
        on = heat.day[cow] - a.dates.last_calving[cow]
        rows.append(
            ListRow(
                str(a.snapshot.cows.id[cow]),
                (
                    short_tag(str(a.snapshot.cows.tag[cow])),
                    "yes" if first else "",
                    a.groups.names[int(a.groups.now[cow])] or "",
                    f"{days:.0f}",
                    say_number(now, 2),
                    say_number(-fall, 2, sign=True) if math.isfinite(fall) else "",
                    f"day {on:.0f}" if math.isfinite(on) else "",
                ),
                (a.snapshot.cows.tag[cow], first, "", float(days), float(now), float(-fall), float(on)),
            )
        )
    return rows


def _tags(a: Assessment, cows: list[int]) -> str:
    tags = [short_tag(str(a.snapshot.cows.tag[cow])) for cow in cows]
    more = " …" if len(tags) > _TAGS_SHOWN else ""
    return "  ".join(tags[:_TAGS_SHOWN]) + more
