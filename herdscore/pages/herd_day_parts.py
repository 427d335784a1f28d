"""What follows the lists on the herd day report: groups, dates ahead, what is fed, the year, what is missing."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont, QPainter
from typing_extensions import override

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, SPRING_BLOCK
from herdscore.domain.diets import group_key
from herdscore.domain.group_table import group_rows
from herdscore.domain.grouping import GROUP
from herdscore.domain.groups import MEASURED_NOW, GroupFigures
from herdscore.domain.herd_strips import NOT_SAID, BlockLine, HerdStrips, herd_strips
from herdscore.domain.looking_back import look_back
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.season_outcomes import Outcomes, outcomes_of
from herdscore.domain.season_ticks import finished
from herdscore.domain.things_to_do import things_to_do
from herdscore.domain.through_the_year import finding, through_the_year
from herdscore.domain.verdict import Verdict
from herdscore.pages.cow_words import say_cows
from herdscore.pages.group_view import GroupView
from herdscore.pages.looking_back_words import held_claim
from herdscore.pages.short_tags import short_tags
from herdscore.pages.year_pictures import year_picture
from herdscore.parts import calendar_drawing, group_drawing
from herdscore.parts.report_blocks import Beside, Block, Drawing, Paint, Words, heading, paper_font, paper_theme
from herdscore.parts.report_table import PaperColumn, PaperRow, Table
from herdscore.parts.theme import Theme
from herdscore.parts.year_chart import YearPicture, paint_year

Flags = npt.NDArray[np.bool_]
BLOCKS = (AUTUMN_BLOCK, SPRING_BLOCK)
_SMALLER = 0.75  # of a size on screen
_MOST_TAGS = 8
_DATES_SHOWN = 6


class _Smaller(Theme):
    """The theme of paper for drawings made for the screen."""

    @override
    def font(self, points: float, weight: int = 400) -> QFont:
        return QFont(paper_font(points * _SMALLER, weight))


def _theme() -> Theme:
    paper = paper_theme()
    return _Smaller(paper.name, paper.roles, paper.border)


class DayParts:
    """The parts about some cows of a herd (flags, one a cow), each made once it is asked for."""

    def __init__(self, assessment: Assessment, inside: Flags) -> None:
        self._a, self._inside = assessment, inside & ~assessment.facts.gone
        self._blocks = [block for block in BLOCKS if (self._inside & (assessment.block == block)).any()]

    # Groups

    @cached_property
    def _view(self) -> GroupView:
        return GroupView(self._a, self._inside, GROUP)

    @cached_property
    def _in_order(self) -> list[int]:
        """Places of the groups by who calves first, those in milk last."""
        found = self._view.figures
        first = [one.first if one.first == one.first else np.inf for one in found]
        return sorted(range(len(found)), key=lambda at: (found[at].in_milk, first[at], found[at].name))

    def groups(self, most: int, strips: int) -> list[Block]:
        """At most so many groups by who calves first: the first of them as strips, and their figures."""
        if not self._view.figures:
            return []
        made: list[Block] = [heading("Groups, the first to calve on top")]
        # A strip of a few cows says no more than the lists.
        compared = [
            at for at in self._in_order if self._view.figures[at].against.count and not self._view.figures[at].is_small
        ]
        if strips and compared:
            picture = self._view.strips_of(compared[:strips], "Groups")
            theme = _theme()
            high = group_drawing.height_of(picture, _WIDTH, theme) + 4

            def paint(painter: QPainter, box: QRectF) -> None:
                group_drawing.paint_strips(painter, box, _theme(), picture)

            said = "Score less target, one mark a cow; bar: middle half and median."
            made += [Words(said, 9, role="ink_second", keep=True), Drawing(high, paint)]
        return [*made, *self._figures(most)]

    def _figures(self, most: int) -> list[Block]:
        a = self._a
        shown = [self._view.figures[at] for at in self._in_order]
        columns = (
            PaperColumn("Group", 1.0, weight=600),
            PaperColumn("Cows", right=True),
            PaperColumn("Score now", right=True),
            PaperColumn("Measured"),
            PaperColumn("From target", right=True),
            PaperColumn("In band", right=True),
            PaperColumn("To act on", right=True),
            PaperColumn("First calves", right=True),
        )
        more = len(shown) - most
        after = [Words(f"And {more} more groups, on the page Groups.", 9, role="ink_second")] if more > 0 else []
        return [Table(columns, [_figures_row(a, one) for one in shown[:most]], points=10), *after]

    # Dates and feeding

    def things(self, most: int) -> list[Block]:
        """What the next weeks ask for, by day."""
        a = self._a
        names = {BLOCK_NAMES[block] for block in self._blocks}
        found = [
            (thing, cows)
            for thing in things_to_do(a, finished(a.snapshot))
            for cows in [int(self._inside[list(thing.cows)].sum()) if thing.cows else 0]
            if cows or (not thing.cows and thing.block in names)
        ]
        weeks = a.rulebook.calving.ahead_weeks
        title = heading(f"Dates ahead, {weeks} weeks")
        if not found:
            return [title, Words("Nothing dated is to be done in these weeks.", 10.5, role="ink_second")]
        said_of: set[str] = set()
        rows = []
        for thing, cows in found[:most]:
            say = thing.say if cows == len(thing.cows) and thing.kind not in said_of else ""
            said_of.add(thing.kind)
            day = f"{say_day(thing.day, a.today)}{', late' if thing.late else ''}"
            rows.append(PaperRow((day, thing.word, thing.block or "", str(cows) if cows else "", say)))
        columns = (
            PaperColumn("Day", weight=700),
            PaperColumn("What", weight=600),
            PaperColumn("Block"),
            PaperColumn("Cows", right=True),
            PaperColumn("", 1.0),
        )
        more = len(found) - most
        said = f"And {more} more, on the page Calving under Things to do."
        return [
            title,
            Table(columns, rows, points=9.5),
            *([Words(said, 9, role="ink_second")] if more > 0 else []),
        ]

    @cached_property
    def _strips(self) -> HerdStrips:
        found = herd_strips(self._a)
        now = {self._a.groups.names[group] for group in np.unique(self._a.groups.now[self._inside]).tolist()}
        here = {group_key(name) for name in now if name} | ({""} if None in now else set())
        names = {BLOCK_NAMES[block] for block in self._blocks}
        return replace(
            found,
            groups=tuple(one for one in found.groups if (group_key(one.name) if one.name else "") in here),
            blocks=tuple(one for one in found.blocks if one.name in names),
        )

    def fed(self, most: int) -> list[Block]:
        """What each group is on through the year, and the calendar of the blocks below."""
        found = self._strips
        if not found.groups and not found.blocks:
            return []
        order = {self._view.figures[at].name.removesuffix(", in milk"): n for n, at in enumerate(self._in_order)}
        groups = sorted(found.groups, key=lambda one: order.get(one.name, len(order)))
        picture = replace(found, groups=tuple(groups[:most]))
        high = calendar_drawing.place_strips(picture, _WIDTH, _theme()).height + 4

        def paint(painter: QPainter, box: QRectF) -> None:
            theme = _theme()
            places = calendar_drawing.place_strips(picture, box.width(), theme)
            painter.save()
            painter.translate(box.topLeft())
            calendar_drawing.paint_strips(painter, theme, picture, places)
            painter.restore()

        more = len(groups) - most
        said = f"And {more} more groups, on the page Herd under Diets."
        return [
            heading("What is fed, and the calendar"),
            Drawing(high, paint),
            *(Words(self._next_dates(line), 9.5) for line in picture.blocks),
            *([Words(said, 9, role="ink_second")] if more > 0 else []),
        ]

    def _next_dates(self, line: BlockLine) -> str:
        """The dates of a block that are still to come, in words."""
        a = self._a
        ahead = [one for one in line.days if one.day >= a.today][:_DATES_SHOWN]
        said = [f"{one.words} {say_day(one.day, a.today)}" for one in ahead]
        spans = [(first, last) for first, last in line.calving if last >= a.today]
        said += [f"calving {say_day(first, a.today)} to {say_day(last, a.today)}" for first, last in spans[:1]]
        return f"{line.name.capitalize()} block, to come: {', '.join(said) if said else 'no date is entered'}."

    # The year

    @cached_property
    def _outcomes(self) -> Outcomes:
        return outcomes_of(self._a.snapshot, self._a.rulebook, self._a.today)

    def year(self, high: float) -> list[Block]:
        """Each block's year so far, two beside each other, and how last season's projections held."""
        if not self._blocks:
            return []
        sides: list[list[Block]] = []
        for block in self._blocks:
            year = through_the_year(self._a, self._outcomes, block)
            name = str(BLOCK_NAMES[block]).capitalize()
            side: list[Block] = [Words(f"{name} block. {finding(year)}.", 10, 600, keep=True)]
            if any(line.months for line in year.lines):
                side.append(Drawing(high, _year(year_picture(year, self._a.today)), keep=True))
            side.append(Words(f"{held_claim(look_back(self._a, self._outcomes, block))}.", 9, role="ink_second"))
            sides.append(side)
        both: list[Block] = [Beside(sides[0], sides[1])] if len(sides) > 1 else sides[0]
        return [heading("The year so far, and how projections held"), *both]

    # What is missing

    @cached_property
    def missing(self) -> list[Block]:
        """What the herd is not told yet, a line each."""
        a, inside = self._a, self._inside
        if not inside.any():
            return [
                heading("What is missing", above=0),
                Words("There is no cow yet. Bring in a list of cows, or add them on the page Herd in the register."),
            ]
        said = [
            self._lacking(inside & (a.verdict == Verdict.NEEDS_DATE), "no calving date"),
            self._lacking(inside & (a.verdict == Verdict.PAST_DATE), "a date that is past and no calving recorded"),
            self._lacking(inside & ~np.isfinite(a.sessions.last), "no score of the last year"),
            self._lacking(inside & (a.block == 0), "no block, neither autumn nor spring"),
            self._lacking(inside & self._without_group, "no feeding group"),
            *self._not_fed_known(),
            *(self._no_dates(line) for line in self._strips.blocks),
        ]
        kept = [one for one in said if one]
        none = "Nothing: every cow has a date, a score and a group, and each group's feed and dates are entered."
        return [heading("What is missing"), *(Words(one, below=2) for one in kept or [none])]

    @property
    def _without_group(self) -> Flags:
        names = np.array([name is None for name in self._a.groups.names], dtype=bool)
        return np.asarray(names[self._a.groups.now], dtype=bool)

    def _lacking(self, cows: Flags, what: str) -> str:
        places = np.flatnonzero(cows).tolist()
        if not places:
            return ""
        tags = short_tags(self._a.snapshot.cows.tag.tolist())
        named = ", ".join(tags[cow] for cow in places[:_MOST_TAGS])
        more = f" and {len(places) - _MOST_TAGS} more" if len(places) > _MOST_TAGS else ""
        return f"{say_cows(len(places))} with {what}: {named}{more}."

    def _not_fed_known(self) -> list[str]:
        shown = {one.name for one in self._strips.groups if one.name}
        unsaid = [row.name for row in group_rows(self._a) if row.name in shown and row.cows and row.diet == NOT_SAID]
        if not unsaid:
            return []
        more = f" and {len(unsaid) - _MOST_TAGS} more" if len(unsaid) > _MOST_TAGS else ""
        return [f"Not entered what is fed to {', '.join(unsaid[:_MOST_TAGS])}{more}."]

    def _no_dates(self, line: BlockLine) -> str:
        ahead = any(one.day >= self._a.today for one in line.days)
        return "" if ahead else f"No date to come is in the calendar of the {line.name} block (turnout, housing, bull)."


def _figures_row(a: Assessment, one: GroupFigures) -> PaperRow:
    compared = one.against.count
    return PaperRow(
        (
            one.name,
            str(one.cows),
            _said(one.now.mean),
            MEASURED_NOW if one.in_milk else "at calving",
            say_number(one.against.mean, 2, sign=True) if compared else "",
            f"{one.in_band} of {compared}" if compared else "",
            str(one.to_act),
            say_day(a.day(one.first), a.today) if one.first == one.first else "",
        )
    )


def _said(value: float) -> str:
    return say_number(value, 2) if value == value else ""


def _year(picture: YearPicture) -> Paint:
    def paint(painter: QPainter, box: QRectF) -> None:
        paint_year(painter, box, paper_theme(), lambda points, weight: paper_font(points * _SMALLER, weight), picture)

    return paint


_WIDTH = 703.0
"""Px of an A4 page between its margins, for drawings whose height follows from their width."""
