"""The herd day report for the office wall: whom to act on, whom there is time for, what to find out, the herd drawn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, SPRING_BLOCK
from herdscore.domain.grouping import GROUP, NO_GROUP, group_cows
from herdscore.domain.groups import MEASURED_NOW, figures, standing
from herdscore.domain.listing import ACT, FLAG_LIST, HAND, MISSING, NOTHING, FlagLists, flag_lists
from herdscore.domain.reasons import say_day, say_number, say_spread
from herdscore.domain.runway import runway_of
from herdscore.domain.runway_finding import finding
from herdscore.pages.herd_day_more import dates_ahead, the_others
from herdscore.pages.runway_pictures import key_of, runway_picture
from herdscore.pages.short_tags import short_tags
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
)
from herdscore.parts.report_pages import Report, a4, lay_out, paper_size
from herdscore.parts.report_table import PaperColumn, PaperRow, Table
from herdscore.parts.runway_picture import RunwayPicture

Flags = npt.NDArray[np.bool_]
_AT = {column.key: place for place, column in enumerate(FLAG_LIST)}
_LEAST_PAGES, _MOST_PAGES = 2, 4
_MOST_LINES = 160  # more than four pages hold
_ONE_BY_ONE, _RUN_TOGETHER = 0, 100_000
_TAGS = (_ONE_BY_ONE, _RUN_TOGETHER, 200, 100, 50, 24)
"""How many tags of cows with the same verdict are told at most, tried in turn; first a line a cow."""
_MOST_GROUPS = 24
GROUPS = "Groups"
_RUNWAY_PX = {1: 400.0, 2: 320.0}
_LISTS = (
    (ACT, "To act on now", "Nothing to act on now."),
    (HAND, "Time in hand", "No change waits for its day."),
    (MISSING, "To find out", "Nothing to find out: every cow has a date, and a score new enough."),
    (NOTHING, "Nothing new begins", "No cow is on a change, close to calving, or gaining well."),
)


def herd_day_report(assessment: Assessment, name: str, among: Flags | None = None) -> Report:
    """Two to four A4 pages about the cows among, by default all.

    Long lists are first told by tags run together, then cut, each saying how many more there are. A small herd's second
    page has the days ahead and the cows on no list too.
    """
    inside = np.ones(len(assessment), dtype=bool) if among is None else among
    lists = flag_lists(assessment)
    begun = sum(bool(inside[lists.cow[i]]) for i in lists.on(ACT, HAND))
    for most_tags in _TAGS:
        if most_tags == _ONE_BY_ONE and begun > _MOST_LINES:
            continue
        report = _report(assessment, name, inside, lists, most_tags)
        pages = len(lay_out(report, paper_size(a4())))
        if pages < _LEAST_PAGES:
            return _report(assessment, name, inside, lists, most_tags, small=True)
        if pages <= _MOST_PAGES:
            return report
    # Very long names or very many groups: two pages, drawn smaller, so that nothing is left out.
    first = next(at for at, block in enumerate(report.blocks) if isinstance(block, Words) and block.text == GROUPS)
    return replace(report, blocks=[OnePage(report.blocks[:first]), OnePage(report.blocks[first:])])


def _report(
    a: Assessment, name: str, inside: Flags, lists: FlagLists, most_tags: int, *, small: bool = False
) -> Report:
    rows = {key: [i for i in lists.on(key) if inside[lists.cow[i]]] for key, _, _ in _LISTS}
    day = f"{say_day(a.today)} {a.today.year}"
    count = int((inside & ~a.facts.gone).sum())
    blocks: list[Block] = [
        Words(f"Herd day, {name}", 20, 700, below=0),
        Words(f"{day}: {count} cow{'' if count == 1 else 's'}", 11, role="ink_second", below=8),
        Figures(
            [
                (str(len(rows[ACT])), "to act on now", "thin" if rows[ACT] else "ink"),
                (str(len(rows[HAND])), "have time in hand", "ink"),
                (str(len(rows[MISSING])), "to find out", "ink"),
                (str(len(rows[NOTHING])), "nothing new begins", "ink"),
            ]
        ),
    ]
    tags = short_tags(a.snapshot.cows.tag.tolist())
    for key, title, none in _LISTS:
        blocks.append(heading(f"{title}: {len(rows[key])}"))
        if not rows[key]:
            blocks.append(Words(none, 10.5, role="ink_second"))
        elif key in (ACT, HAND) and most_tags == _ONE_BY_ONE:
            blocks.append(_one_by_one(a, lists, rows[key], tags))
        else:
            blocks.append(_run_together(a, lists, rows[key], tags, most_tags or _RUN_TOGETHER))
    groups, picture = _groups(a, inside, cut=0 < most_tags < _RUN_TOGETHER), _picture(a, inside)
    if small:
        blocks += [*the_others(a, inside, lists), PageBreak(), *picture, *groups, *dates_ahead(a, inside)]
    else:
        blocks += [*groups, *picture]
    return Report(f"Herd day, {name}, {day}", blocks, a.rulebook.phrases["caution"])


# The lists


def _one_by_one(a: Assessment, lists: FlagLists, rows: Sequence[int], tags: Sequence[str]) -> Table:
    """A line a cow under the name of her group; groups in the order of their most urgent cow."""
    by_group: dict[str, list[PaperRow]] = {}
    for i in rows:
        by_group.setdefault(_group(lists, i), []).append(_cow_row(a, lists, i, tags))
    made = []
    for group, of_group in by_group.items():
        made.append(PaperRow((f"{group}: {len(of_group)} cow{'' if len(of_group) == 1 else 's'}",), title=True))
        made += of_group
    columns = (
        PaperColumn("Tag", weight=700, marks=True, points=12),
        PaperColumn("Verdict", 0.20),
        PaperColumn("Calves"),
        PaperColumn("Now \u2192 at calving"),
        PaperColumn("Act by", weight=700),
        PaperColumn("What to do", 0.45),
    )
    return Table(columns, made, points=10)


def _cow_row(a: Assessment, lists: FlagLists, i: int, tags: Sequence[str]) -> PaperRow:
    row = lists.rows[i]
    calves, spread, now, projected = (
        row[_AT[key]] for key in ("calving_date", "date_spread", "score_now", "projected")
    )
    date_said = f"{say_day(calves)} ± {say_spread(float(str(spread)))}" if isinstance(calves, date) else ""
    scores = say_number(float(str(now)), 2) if now is not None else ""
    scores += f" \u2192 {say_number(float(str(projected)), 1)}" if projected is not None else ""
    return PaperRow(
        (tags[lists.cow[i]], str(row[_AT["verdict"]]), date_said, scores, _by(a, row), str(row[_AT["advice"]])),
        mark=lists.mark[i],
    )


def _by(a: Assessment, row: Sequence[object]) -> str:
    by = row[_AT["act_by"]]
    return "" if not isinstance(by, date) else "today" if by == a.today else say_day(by)


def _run_together(a: Assessment, lists: FlagLists, rows: Sequence[int], tags: Sequence[str], most_tags: int) -> Table:
    """A line for all cows with the same verdict and advice, their tags by group; days to score by follow the tags."""
    same: dict[tuple[str, str, str], list[int]] = {}
    for i in rows:
        row, by = lists.rows[i], lists.rows[i][_AT["act_by"]]
        advice = str(row[_AT["advice"]])
        if isinstance(by, date):
            advice = advice.replace(say_day(by), "the day named")
        same.setdefault((lists.mark[i], str(row[_AT["verdict"]]), advice), []).append(i)
    if most_tags < _RUN_TOGETHER:
        # What differs in a date only is told once.
        same = _merged(same)
    made = [
        PaperRow((f"{verdict}: {len(of)}", _tags_by_group(a, lists, of, tags, most_tags), advice), mark=mark)
        for (mark, verdict, advice), of in same.items()
    ]
    columns = (
        PaperColumn("Verdict", 0.22, marks=True),
        PaperColumn("Cows", 0.42, weight=500),
        PaperColumn("What to do", 0.36),
    )
    return Table(columns, made, points=10)


def _merged(same: dict[tuple[str, str, str], list[int]]) -> dict[tuple[str, str, str], list[int]]:
    by_verdict: dict[tuple[str, str], tuple[str, list[int]]] = {}
    for (mark, verdict, advice), of in same.items():
        first, cows = by_verdict.setdefault((mark, verdict), (advice, []))
        cows += of
        by_verdict[mark, verdict] = (first if first == advice else "As the flag list says of each.", cows)
    return {(mark, verdict, advice): cows for (mark, verdict), (advice, cows) in by_verdict.items()}


def _tags_by_group(a: Assessment, lists: FlagLists, rows: Iterable[int], tags: Sequence[str], most_tags: int) -> str:
    by_group: dict[str, list[str]] = {}
    for i in rows:
        by, tag = _by(a, lists.rows[i]), tags[lists.cow[i]]
        by_group.setdefault(_group(lists, i), []).append(f"{tag} {'' if by == 'today' else 'by '}{by}" if by else tag)
    said = []
    room, left = most_tags, sum(len(of) for of in by_group.values())
    for group, of in by_group.items():
        shown = of[: max(room, 0)]
        room, left = room - len(shown), left - len(shown)
        if shown:
            said.append(f"{group}: {', '.join(shown)}")
    return "; ".join(said) + (f"; {left} more on the flag list" if left else "")


def _group(lists: FlagLists, i: int) -> str:
    return str(lists.rows[i][_AT["group"]] or NO_GROUP)


# The picture and the groups


def _picture(a: Assessment, inside: Flags) -> list[Block]:
    """A runway for every block with cows on it, under what it finds."""
    shown = [runway_of(a, block) for block in (AUTUMN_BLOCK, SPRING_BLOCK) if (inside & (a.block == block)).any()]
    shown = [runway for runway in shown if not runway.early.all()]
    if not shown:
        none = "No cow with a score is near enough to calving to be placed."
        return [heading("The herd before calving", above=0), Words(none, 10.5)]
    blocks: list[Block] = []
    pictures = []
    for place, runway in enumerate(shown):
        keep = np.ones(len(runway.cow), dtype=bool)
        said = finding(a, [(runway, keep)])
        picture = runway_picture(a, runway, keep, said)
        pictures.append(picture)
        name = str(BLOCK_NAMES[runway.block]).capitalize()
        blocks.append(heading(f"{name}: {said[0].lower()}{said[1:]}", 12, above=0 if place == 0 else 8))
        blocks.append(Drawing(_RUNWAY_PX[len(shown)], _runway(picture), keep=place == len(shown) - 1))
    how = "Each mark is a cow: across the days until she calves, up and down how far from target she is heading."
    return [*blocks, MarkRow(key_of(pictures), keep=True), Words(how, 9, role="ink_second", below=6)]


def _runway(picture: RunwayPicture) -> Paint:
    def paint(painter: QPainter, box: QRectF) -> None:
        paint_runway(painter, box, paper_theme(), picture)

    return paint


def _groups(a: Assessment, inside: Flags, *, cut: bool) -> list[Block]:
    """The figures of every feeding group."""
    found = figures(a, standing(a), group_cows(a, GROUP, inside))
    if not found:
        return []
    shown = found[:_MOST_GROUPS] if cut else found
    rows = []
    for one in shown:
        compared = one.against.count
        rows.append(
            PaperRow(
                (
                    one.name,
                    str(one.cows),
                    _said(one.now.mean, 2),
                    MEASURED_NOW if one.in_milk else "at calving",
                    say_number(one.against.mean, 2, sign=True) if compared else "",
                    f"{one.in_band} of {compared}" if compared else "",
                    str(one.to_act),
                    say_day(a.day(one.first), a.today) if one.first == one.first else "",
                )
            )
        )
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
    more = len(found) - len(shown)
    after = [Words(f"And {more} more groups.", 9, role="ink_second")] if more else []
    return [heading(GROUPS), Table(columns, rows, points=10), *after]


def _said(value: float, decimals: int) -> str:
    return say_number(value, decimals) if value == value else ""
