"""The feeding groups of a herd as a table: cows by block, what they are on, and how many have to be acted on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK
from herdscore.domain.diets import group_pieces
from herdscore.domain.herd_strips import NOT_SAID, diet_words, main_block
from herdscore.domain.listing import ACT
from herdscore.domain.records import Diet, Move
from herdscore.domain.verdict import Verdict


@dataclass(frozen=True, slots=True)
class GroupRow:
    """One group ("" for cows without one): living cows, of them by block, to act on; its diet and since when."""

    name: str
    cows: int
    autumn: int
    spring: int
    act: int
    diet: str
    since: date | None


def group_rows(assessment: Assessment) -> list[GroupRow]:
    """Groups in order of name, cows without a group last; a group nobody stands in as long as something tells it."""
    a = assessment
    living = ~a.facts.gone
    lists = np.array([a.rulebook.words[one.key].list for one in Verdict])
    acted = lists[a.verdict] == ACT
    rows = []
    for group, name in enumerate(a.groups.names):
        mine = living & (a.groups.now == group)
        if name is None and not mine.any():
            continue
        diet, since = _diet_now(a, group)
        of_block = [int((mine & (a.block == code)).sum()) for code in (AUTUMN_BLOCK, SPRING_BLOCK)]
        act = int((mine & acted).sum())
        rows.append(GroupRow(name or "", int(mine.sum()), of_block[0], of_block[1], act, diet, since))
    return rows


def _diet_now(a: Assessment, group: int) -> tuple[str, date | None]:
    """What a group is on today in words, and since when it is known."""
    pieces = group_pieces(a.snapshot, a.groups, group, main_block(a, group), a.rulebook.model, a.today)
    now = next(piece for piece in pieces if piece.low <= 0 < piece.high)
    if now.diet is None:
        return NOT_SAID, None
    row = a.snapshot.record("diets", now.diet)
    assert isinstance(row, Diet)
    return diet_words(row), row.day


@dataclass(frozen=True, slots=True)
class MoveLine:
    """One move as it is listed: its record, the cow's place, the group she came from ("" not known)."""

    move: Move
    cow: int
    came_from: str


def move_lines(assessment: Assessment) -> list[MoveLine]:
    """Every move, the latest first, cows by tag within a day."""
    a = assessment
    lines = []
    before_cow, before_group = -1, ""
    for place, row in zip(a.snapshot.moves.cow.tolist(), a.snapshot.records("moves"), strict=True):
        assert isinstance(row, Move)
        lines.append(MoveLine(row, place, before_group if place == before_cow else ""))
        before_cow, before_group = place, row.group
    return sorted(lines, key=lambda line: (-line.move.day.toordinal(), line.cow))
