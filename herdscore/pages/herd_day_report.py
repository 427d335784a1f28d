"""The herd day report for the office wall, two to four pages: the herd, whom to act on, groups, dates and the year."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.groups import IN_BAND, standing
from herdscore.domain.listing import ACT, HAND, MISSING, NOTHING, flag_lists
from herdscore.domain.reasons import say_day
from herdscore.domain.runway import Runway, runway_of
from herdscore.domain.runway_finding import finding
from herdscore.pages.cow_words import say_cows
from herdscore.pages.herd_day_lists import ALL_TAGS, DayLists
from herdscore.pages.herd_day_parts import BLOCKS, DayParts, Room
from herdscore.pages.runway_pictures import key_of, runway_picture
from herdscore.parts.paper_runway import paint_runway
from herdscore.parts.report_blocks import (
    Block,
    Drawing,
    Figures,
    MarkRow,
    OnePage,
    PageBreak,
    Paint,
    Words,
    heading,
    paper_theme,
    stacked,
)
from herdscore.parts.report_pages import Report, a4, lay_out, paper_size
from herdscore.parts.runway_picture import RunwayPicture

Flags = npt.NDArray[np.bool_]
_MOST_PAGES = 4
_FOOT_PX = 66.0
_LEAST_RUNWAY, _MOST_RUNWAY = 230.0, 560.0
_SINGLY_AT_MOST, _TAGS_AT_MOST = 120, 900
"""Cows above whom a line each, or a tag each, is not tried: it cannot fit."""


@dataclass(frozen=True)
class _Plan:
    """How much is told: tags with one verdict at most (0: a line a cow), lines of the register, the other parts."""

    tags: int
    register: int
    room: Room


_ALL, _SOME, _FEW = Room(10, 24, 20, 10), Room(5, 16, 14, 8), Room(0, 12, 10, 6)
_PLANS = (
    _Plan(0, 60, _ALL),
    _Plan(0, 0, _ALL),
    _Plan(0, 0, _SOME),
    _Plan(0, 0, _FEW),
    _Plan(ALL_TAGS, 0, _SOME),
    _Plan(ALL_TAGS, 0, _FEW),
    *(_Plan(tags, 0, room) for tags in (200, 100, 50, 24) for room in (_SOME, _FEW)),
)


def herd_day_report(assessment: Assessment, name: str, among: Flags | None = None) -> Report:
    """Two to four A4 pages about the cows among, by default all.

    Where all of it takes more, less is told plan by plan, each list saying how many more there are and where.
    """
    inside = np.ones(len(assessment), dtype=bool) if among is None else among
    day = _Day(assessment, name, inside)
    for plan in _PLANS:
        if day.is_worth_trying(plan):
            report = day.report(plan)
            if len(lay_out(report, paper_size(a4()))) <= _MOST_PAGES:
                return report
    return day.on_four_pages(_PLANS[-1])


class _Day:
    """One report being made: what every plan of it shares."""

    def __init__(self, assessment: Assessment, name: str, inside: Flags) -> None:
        self._a, self._name = assessment, name
        self._inside = inside & ~assessment.facts.gone
        self._lists = DayLists(assessment, flag_lists(assessment), inside)
        self._parts = DayParts(assessment, inside)
        self._day = f"{say_day(assessment.today)} {assessment.today.year}"
        self._runways = [
            (runway, np.ones(len(runway.cow), dtype=bool))
            for runway in (runway_of(assessment, block) for block in BLOCKS if self._has(block))
            if not runway.early.all()
        ]

    def _has(self, block: int) -> bool:
        return bool((self._inside & (self._a.block == block)).any())

    def is_worth_trying(self, plan: _Plan) -> bool:
        """Whether so much could fit at all."""
        if plan.tags == 0 and self._lists.to_tell_singly > _SINGLY_AT_MOST:
            return False
        return plan.tags not in (0, ALL_TAGS) or self._lists.listed <= _TAGS_AT_MOST

    def report(self, plan: _Plan) -> Report:
        """The report by a plan, on as many pages as it takes."""
        lists = self._lists.blocks(plan.tags)
        if self._runways:
            after = [*(self._lists.register(plan.register) if plan.register else []), *self._parts.groups(plan.room)]
            return self._made([OnePage(self._front()), PageBreak(), *lists, *after, *self._rest(plan), *self._missing()])
        front = [*self._head(), *self._no_runway(), *self._missing(), *self._lists.register(plan.register or 12)]
        return self._made([*front, PageBreak(), *lists, *self._parts.groups(plan.room), *self._rest(plan)])

    def on_four_pages(self, plan: _Plan) -> Report:
        """The same with each part drawn smaller until it fits a page of its own."""
        front = self._front() if self._runways else [*self._head(), *self._no_runway(), *self._missing()]
        pages = [front, self._lists.blocks(plan.tags), self._parts.groups(plan.room), self._rest(plan)]
        return self._made([OnePage(page) for page in pages if page])

    def _made(self, blocks: list[Block]) -> Report:
        return Report(f"Herd day, {self._name}, {self._day}", blocks, self._a.rulebook.phrases["caution"])

    def _rest(self, plan: _Plan) -> list[Block]:
        return [*self._parts.things(plan.room.things), *self._parts.fed(plan.room.fed), *self._parts.year]

    def _missing(self) -> list[Block]:
        return self._parts.missing

    # The first page

    def _head(self) -> list[Block]:
        rows = self._lists.rows
        return [
            Words(f"Herd day, {self._name}", 20, 700, below=0),
            Words(f"{self._day}: {say_cows(int(self._inside.sum()))}", 11, role="ink_second", below=8),
            Figures(
                [
                    (str(len(rows[ACT])), "to act on now", "thin" if rows[ACT] else "ink"),
                    (str(len(rows[HAND])), "have time in hand", "ink"),
                    (str(len(rows[MISSING])), "to find out", "ink"),
                    (str(len(rows[NOTHING])), "nothing new begins", "ink"),
                ]
            ),
            *([Words(self._glance(), 11, 500)] if self._inside.any() else []),
        ]

    def _glance(self) -> str:
        """The herd in a line: how many are heading into the band, and when they calve."""
        a, where = self._a, standing(self._a)
        place, calves = where.place[self._inside & ~where.in_milk], where.calves[self._inside]
        known, dated = int(np.isfinite(place).sum()), calves[np.isfinite(calves)]
        said = []
        if known:
            said.append(f"{int((place == IN_BAND).sum())} of {known} projected cows are heading into the band.")
        milk = int((self._inside & where.in_milk).sum())
        if milk:
            said.append(f"{say_cows(milk)} in milk.")
        if len(dated):
            first, last = (say_day(a.day(float(day)), a.today) for day in (dated.min(), dated.max()))
            said.append(f"Calving from {first} to {last}." if first != last else f"She calves about {first}.")
        return " ".join(said) or "No cow has both a score and a calving date yet."

    def _no_runway(self) -> list[Block]:
        none = "No cow with a score is near enough to calving to be placed."
        return [heading("The herd before calving", above=0), Words(none, 10.5)]

    def _front(self) -> list[Block]:
        """The head, and the runways in what is left of the page."""
        said = [finding(self._a, [one]) for one in self._runways]
        pictures = [
            runway_picture(self._a, runway, keep, words)
            for (runway, keep), words in zip(self._runways, said, strict=True)
        ]
        claims = [_claim(runway, words) for (runway, _), words in zip(self._runways, said, strict=True)]
        how = "Each mark is a cow: across the days until she calves, up and down how far from target she is heading."
        key = [MarkRow(key_of(pictures)), Words(how, 9, role="ink_second", below=6)]
        head = self._head()
        size = paper_size(a4())
        taken = stacked([*head, *claims, *key], size.width()).height + _FOOT_PX
        each = min(max((size.height() - taken) / len(pictures), _LEAST_RUNWAY), _MOST_RUNWAY)
        drawn: list[Block] = []
        for claim, picture in zip(claims, pictures, strict=True):
            drawn += [claim, Drawing(each, _runway(picture))]
        return [*head, *drawn, *key]


def _claim(runway: Runway, said: str) -> Words:
    name = str(BLOCK_NAMES[runway.block]).capitalize()
    return heading(f"{name}: {said[0].lower()}{said[1:]}", 12, above=6)


def _runway(picture: RunwayPicture) -> Paint:
    def paint(painter: QPainter, box: QRectF) -> None:
        paint_runway(painter, box, paper_theme(), picture)

    return paint
