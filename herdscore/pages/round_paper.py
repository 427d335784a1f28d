"""What a round puts on paper: the crush list by pen, and the summary of the round."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.crush_list import CRUSH_LIST, crush_list
from herdscore.domain.crush_words import read_crush_words
from herdscore.domain.reasons import say_day, say_number, words_of
from herdscore.domain.records import Round
from herdscore.domain.round_summary import RoundSummary
from herdscore.domain.scale import show
from herdscore.pages.cow_words import act_by_of, claim_of
from herdscore.pages.round_words import days_off_words, group_texts, summary_claim, title_of
from herdscore.pages.short_tags import short_tags
from herdscore.parts.crush_sheet import SheetPen, SheetRow, crush_sheet
from herdscore.parts.report_blocks import Block, Words, heading
from herdscore.parts.report_pages import Report
from herdscore.parts.report_table import PaperColumn, PaperRow, Table

Flags = npt.NDArray[np.bool_]
NO_PEN = "No group"
_AT = {column.key: place for place, column in enumerate(CRUSH_LIST)}


def crush_list_report(assessment: Assessment, herd_name: str, round_: Round | None, among: Flags) -> Report:
    """The crush list of the cows among (flags, one a cow)."""
    pens = [
        SheetPen(pen.pen or NO_PEN, [_sheet_row(assessment, row) for row in pen.rows])
        for pen in crush_list(assessment, among)
    ]
    what = "Cows to score" if round_ is None else f"{round_.name}: still to score"
    said = read_crush_words(assessment.rulebook.tables["crush_words"]).caution.say
    day = say_day(assessment.today) + f"\u00a0{assessment.today.year}"
    return crush_sheet(f"{herd_name}, crush list", f"{what}, printed {day}", pens, " ".join(said[:3]))


def _sheet_row(a: Assessment, row: tuple[object, ...]) -> SheetRow:
    def of(key: str) -> object:
        return row[_AT[key]]

    number, calvings, day, note = of("management_no"), of("calvings"), of("calving_date"), of("note")
    born = "heifer" if calvings == 0 else f"{calvings} calving{'' if calvings == 1 else 's'}" if calvings else ""
    calves = f"calves {say_day(day, a.today)}" if day is not None else ""  # type: ignore[arg-type]
    who = ", ".join(
        str(part)
        for part in (f"no. {number}" if number and not str(of("tag")).endswith(str(number)) else "", born, calves, note)
        if part
    )
    last, scored = of("last_score"), of("last_scored")
    if not isinstance(last, float):
        return SheetRow(str(of("tag")), who, "never scored")
    return SheetRow(str(of("tag")), who, f"{show(round(last * 4))} on {say_day(scored, a.today)}")  # type: ignore[arg-type]


def summary_report(assessment: Assessment, herd_name: str, found: RoundSummary) -> Report:
    """The summary of a round: figures by group, days that look off, and whom to act on."""
    a = assessment
    blocks: list[Block] = [
        Words(f"{herd_name}: {found.round.name}", 16, 700, below=2.0, keep=True),
        Words(title_of(found.round, a.today), 10, 400, "ink_second"),
        Words(summary_claim(found), 12, 600, above=6.0),
    ]
    blocks += [Words(words, 10, 600, "thin") for words in days_off_words(found)]
    blocks.append(heading("By group"))
    columns = [PaperColumn("Group", 1.0, weight=600)]
    columns += [
        PaperColumn(words, right=True) for words in ("Cows", "Mean ± spread", "Scored before", "Then", "Change")
    ]
    lines = [*found.groups, found.herd] if len(found.groups) > 1 else list(found.groups)
    texts = [group_texts(one, "All of them" if one is found.herd else NO_PEN) for one in lines]
    blocks.append(Table(columns, [PaperRow(cells) for cells in texts]))
    blocks.append(heading(f"To act on: {len(found.to_act)}"))
    if not found.to_act:
        blocks.append(Words("Nobody needs a change begun now."))
        return Report(f"{herd_name}: {found.round.name}", blocks)
    tags = short_tags(a.snapshot.cows.tag.tolist())
    rows = [
        PaperRow(
            (tags[cow], _score_of(a, cow), group_of(a, cow), claim_of(a, cow), act_by_of(a, cow)),
            mark=words_of(a, cow).mark,
        )
        for cow in found.to_act
    ]
    heads = [PaperColumn("Tag", weight=700, marks=True), PaperColumn("Score", right=True), PaperColumn("Group")]
    heads += [PaperColumn("What", 1.0), PaperColumn("Act by", right=True)]
    blocks.append(Table(heads, rows))
    return Report(f"{herd_name}: {found.round.name}", blocks)


def group_of(assessment: Assessment, cow: int) -> str:
    """Name of a cow's group, in words when she has none."""
    return assessment.groups.names[int(assessment.groups.now[cow])] or NO_PEN


def _score_of(a: Assessment, cow: int) -> str:
    last = float(a.sessions.last[cow])
    return show(round(last * 4)) if math.isfinite(last) else say_number(last, 2)
