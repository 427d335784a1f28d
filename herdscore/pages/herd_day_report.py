"""The herd day report for the office wall, two to four pages: the herd, whom to act on, groups, dates and the year."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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
from herdscore.pages.herd_day_lists import ALL_LINES, ALL_TAGS, DayLists, first_sheet
from herdscore.pages.herd_day_parts import BLOCKS, DayParts
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
    Piece,
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
_FEW_COWS, _FIRST_COWS = 60, (36, 30, 24, 18, 12, 6, 3)
_LEAST_RUNWAY, _MOST_RUNWAY = 230.0, 760.0
_SINGLY_AT_MOST, _TAGS_AT_MOST = 120, 900
"""Cows above whom a line each, or a tag each, is not tried: it cannot fit."""
_LISTS = (
    (ALL_LINES, ALL_TAGS),
    (20, ALL_TAGS),
    (20, 200),
    (20, 100),
    (20, 50),
    (12, 50),
    (12, 24),
    (8, 12),
    (5, 6),
    (0, 6),
    (0, 3),
    (0, 2),
)
"""How many cows have a line each, and how many tags with the same verdict are told at most; tried in turn."""
_GROUPS, _THINGS, _FED, _YEAR, _MISSING, _REGISTER = "groups", "dates", "what is fed", "year", "missing", "every cow"
_NEEDED = ((_GROUPS, 0), (_THINGS, 0), (_FED, 0))
_MORE = (
    (_MISSING, 0),
    (_YEAR, 0),
    (_GROUPS, 1),
    (_THINGS, 1),
    (_FED, 1),
    (_YEAR, 1),
    (_REGISTER, 0),
    (_GROUPS, 2),
    (_THINGS, 2),
    (_GROUPS, 3),
)
"""Parts in the order they are given room, and how much of it."""
_ELSEWHERE = {
    _YEAR: "the year so far (page Herd, Through the year)",
    _MISSING: "what is not entered yet (page Herd, Register)",
}
_ON_PAPER = (_GROUPS, _THINGS, _FED, _YEAR, _MISSING, _REGISTER)


class _Kept:
    """Blocks cut into pieces once, as they are laid out again and again."""

    def __init__(self, blocks: Sequence[Block]) -> None:
        self.blocks = blocks
        self._pieces: list[Piece] | None = None

    def pieces(self, width: float) -> list[Piece]:
        """The pieces of all blocks; the paper is always as wide."""
        if self._pieces is None:
            self._pieces = [piece for block in self.blocks for piece in block.pieces(width)]
        return self._pieces


def herd_day_report(assessment: Assessment, name: str, among: Flags | None = None) -> Report:
    """Two to four A4 pages about the cows among, by default all.

    The lists come first: as much of them as leaves room for the groups and dates. What is cut says how many more there
    are and where. The other parts get what room is left.
    """
    inside = np.ones(len(assessment), dtype=bool) if among is None else among
    return _Day(assessment, name, inside).report()


class _Day:
    """One report being made."""

    def __init__(self, assessment: Assessment, name: str, inside: Flags) -> None:
        self._a, self._name = assessment, name
        self._inside = inside & ~assessment.facts.gone
        self._lists = DayLists(assessment, flag_lists(assessment), inside)
        self._parts = DayParts(assessment, inside)
        self._made: dict[tuple[str, int], _Kept] = {}
        self._day = f"{say_day(assessment.today)} {assessment.today.year}"
        self._runways = [
            (runway, np.ones(len(runway.cow), dtype=bool))
            for runway in (runway_of(assessment, block) for block in BLOCKS if self._has(block))
            if not runway.early.all()
        ]

    def _has(self, block: int) -> bool:
        return bool((self._inside & (self._a.block == block)).any())

    def report(self) -> Report:
        """The report with as much of everything as four pages hold."""
        if not self._inside.any():
            return self._report([*self._head(), *self._parts.missing, PageBreak(), *first_sheet()])
        front = _Kept(self._front())
        for lines, tags in self._lists_to_try():
            lists = _Kept([PageBreak(), *self._lists.blocks(lines, tags)])
            chosen = dict(_NEEDED)
            if self._pages(front, lists, chosen) > _MOST_PAGES:
                continue
            for part, much in _MORE:
                tried = {**chosen, part: much}
                if self._part(part, much).blocks and self._pages(front, lists, tried) <= _MOST_PAGES:
                    chosen = tried
            return self._with_left_out(front, lists, chosen)
        return self._on_four_pages(front)

    def _with_left_out(self, front: _Kept, lists: _Kept, chosen: Mapping[str, int]) -> Report:
        """The report, its first page naming what was found no room for."""
        left_out = [place for part, place in _ELSEWHERE.items() if part not in chosen and self._part(part, 0).blocks]
        if left_out:
            front = _Kept(self._front(f"Not on these pages for want of room: {'; '.join(left_out)}."))
        return self._composed(front, lists, chosen)

    def _lists_to_try(self) -> list[tuple[int, int]]:
        singly, every = self._lists.to_tell_singly <= _SINGLY_AT_MOST, self._lists.listed <= _TAGS_AT_MOST
        return [
            (lines, tags) for lines, tags in _LISTS if (singly or lines != ALL_LINES) and (every or tags != ALL_TAGS)
        ]

    def _pages(self, front: _Kept, lists: _Kept, chosen: Mapping[str, int]) -> int:
        return len(lay_out(self._composed(front, lists, chosen), paper_size(a4())))

    def _composed(self, front: _Kept, lists: _Kept, chosen: Mapping[str, int]) -> Report:
        parts = [self._part(part, chosen[part]) for part in _ON_PAPER if part in chosen]
        return self._report([front, lists, *parts])

    def _on_four_pages(self, front: _Kept) -> Report:
        """Each part drawn smaller until it fits a page of its own: names are too long for anything else."""
        lists = self._lists.blocks(*_LISTS[-1])
        pages: list[list[Block]] = [
            [front],
            lists,
            [self._part(_GROUPS, 0)],
            [self._part(_THINGS, 0), self._part(_FED, 0)],
        ]
        return self._report([OnePage(page) for page in pages])

    def _report(self, blocks: Sequence[Block]) -> Report:
        return Report(f"Herd day, {self._name}, {self._day}", blocks, self._a.rulebook.phrases["caution"])

    def _part(self, part: str, much: int) -> _Kept:
        """A part with a measure of room, made once."""
        if (part, much) not in self._made:
            self._made[part, much] = _Kept(self._blocks_of(part, much))
        return self._made[part, much]

    def _blocks_of(self, part: str, much: int) -> list[Block]:
        parts = self._parts
        if part == _GROUPS:
            return parts.groups(*((8, 0), (16, 0), (16, 4), (24, 10))[much])
        if part == _THINGS:
            return parts.things((8, 14, 20)[much])
        if part == _FED:
            return parts.fed((4, 10)[much])
        if part == _YEAR:
            return parts.year((120.0, 190.0)[much])
        if part == _MISSING:
            return parts.missing if self._runways else []
        few = int(self._inside.sum()) <= _FEW_COWS
        return self._lists.register(_FEW_COWS) if few and self._runways else []

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

    def _front(self, note: str = "") -> list[Block]:
        """The first page: the head, and the runways; without one, what is missing and the cows there are."""
        if self._runways:
            return [OnePage(self._with_runways(note))]
        none = "No cow with a score is near enough to calving to be placed."
        told = [*self._head(), heading("The herd before calving", above=6), Words(none, 10.5), *self._parts.missing]
        left_out: list[Block] = [Words(note, 9, role="ink_second")] if note else []
        size = paper_size(a4())
        for most in _FIRST_COWS:
            page = [*told, *self._lists.register(most), *left_out]
            if stacked(page, size.width()).height + _FOOT_PX <= size.height():
                break
        return [OnePage(page)]

    def _with_runways(self, note: str) -> list[Block]:
        """The head, and the runways in what is left of the page."""
        said = [finding(self._a, [one]) for one in self._runways]
        pictures = [
            runway_picture(self._a, runway, keep, words)
            for (runway, keep), words in zip(self._runways, said, strict=True)
        ]
        claims: list[Block] = [_claim(runway, words) for (runway, _), words in zip(self._runways, said, strict=True)]
        how = "Each mark is a cow: across the days until she calves, up and down how far from target she is heading."
        key: list[Block] = [MarkRow(key_of(pictures)), Words(f"{how} {note}".rstrip(), 9, role="ink_second", below=6)]
        head: list[Block] = self._head()
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
