"""The year of a herd as strips: what each group is on from day to day, and the dates of each block."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, NO_BLOCK, SPRING_BLOCK
from herdscore.domain.diets import AT_GRASS, WINTER, GroupPiece, group_key, group_pieces
from herdscore.domain.reasons import say_number
from herdscore.domain.records import DOWN, GRASS, HOUSING, TURNOUT, UNKNOWN_DIET, UP, WINTER_FEED, CalendarDay, Diet

NOT_SAID, EASE_UP, EASE_DOWN = "not said", "ease up", "ease down"
MONTHS_BACK, MONTHS_SEEN = 4, 13
_APART = 60  # days without a calving between two seasons of a block


@dataclass(frozen=True, slots=True)
class Piece:
    """One stretch of a group's strip. `kind` is a diet kind, or NOT_SAID, EASE_UP, EASE_DOWN.

    `diet` is the identity of the record behind it, "" when it is not said or assumed.
    """

    first: date
    last: date
    kind: str
    words: str
    assumed: bool = False
    diet: str = ""


@dataclass(frozen=True, slots=True)
class GroupStrip:
    """One group: its name ("" for cows without one), how many living cows, and its pieces without a gap."""

    name: str
    cows: int
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class BlockDay:
    """One date of the herd calendar; `event` is the identity of its record."""

    day: date
    words: str
    event: str


@dataclass(frozen=True, slots=True)
class BlockLine:
    """One block: its dates in order, and the spans in which it calves."""

    name: str
    days: tuple[BlockDay, ...]
    calving: tuple[tuple[date, date], ...]


@dataclass(frozen=True, slots=True)
class HerdStrips:
    """Everything between two days: groups with living cows or diets, and blocks with cows or dates."""

    first: date
    last: date
    today: date
    groups: tuple[GroupStrip, ...]
    blocks: tuple[BlockLine, ...]


def herd_strips(assessment: Assessment) -> HerdStrips:
    """The strips of a herd from some months back to some ahead."""
    a = assessment
    first = _month(a.today, -MONTHS_BACK)
    last = _month(first, MONTHS_SEEN)
    living = ~a.facts.gone
    counts = np.bincount(a.groups.now[living], minlength=len(a.groups.names))
    with_diets = {group_key(name) for name in a.snapshot.diets.group.tolist()}
    groups = []
    for group, name in enumerate(a.groups.names):
        if not counts[group] and (name is None or group_key(name) not in with_diets):
            continue
        block = main_block(a, group)
        pieces = group_pieces(a.snapshot, a.groups, group, block, a.rulebook.model, a.today)
        shown = [piece for piece in (_piece(a, one, first, last) for one in pieces) if piece is not None]
        groups.append(GroupStrip(name or "", int(counts[group]), tuple(shown)))
    blocks = [_block(a, code, first, last) for code in (SPRING_BLOCK, AUTUMN_BLOCK)]
    has_cows = {code: bool((living & (a.block == code)).any()) for code in (SPRING_BLOCK, AUTUMN_BLOCK)}
    kept = [
        line for code, line in zip((SPRING_BLOCK, AUTUMN_BLOCK), blocks, strict=True) if has_cows[code] or line.days
    ]
    return HerdStrips(first, last, a.today, tuple(groups), tuple(kept))


def main_block(assessment: Assessment, group: int) -> int:
    """The block most living cows of a group are of; 0 when nothing tells any of them."""
    a = assessment
    blocks = a.block[~a.facts.gone & (a.groups.now == group)]
    count = np.bincount(blocks, minlength=len(BLOCK_NAMES))
    count[NO_BLOCK] = 0
    return int(count.argmax()) if count.any() else NO_BLOCK


def diet_words(row: Diet) -> str:
    """A diet in words: "winter feed, easing up, +0.05 a week stated"."""
    kind = "a diet not known" if row.kind == UNKNOWN_DIET else row.kind
    aim = {UP: ", easing up", DOWN: ", easing down"}.get(row.aim or "", "")
    change = "" if row.expected_change is None else f", {say_number(row.expected_change, 2, sign=True)} a week stated"
    return f"{kind}{aim}{change}"


def _month(day: date, ahead: int) -> date:
    """First day of the month so many months on."""
    months = day.year * 12 + day.month - 1 + ahead
    return date(months // 12, months % 12 + 1, 1)


def _piece(a: Assessment, piece: GroupPiece, first: date, last: date) -> Piece | None:
    low = max(piece.low, float((first - a.today).days))
    high = min(piece.high, float((last - a.today).days))
    if low >= high:
        return None
    begins, ends = a.today + timedelta(days=int(low)), a.today + timedelta(days=int(high))
    if piece.diet is not None:
        row = a.snapshot.record("diets", piece.diet)
        assert isinstance(row, Diet)
        kind = {UP: EASE_UP, DOWN: EASE_DOWN}.get(row.aim or "", row.kind)
        words = "not known" if row.kind == UNKNOWN_DIET and row.aim is None else row.kind
        if row.aim is not None:
            words = kind if row.kind == UNKNOWN_DIET else f"{row.kind}, {kind}"
        return Piece(begins, ends, kind, words, diet=row.id)
    if piece.assumed:
        grass = piece.rate_class == AT_GRASS
        assert grass or piece.rate_class == WINTER
        kind, event = (GRASS, TURNOUT) if grass else (WINTER_FEED, HOUSING)
        return Piece(begins, ends, kind, f"{kind} from {event}, assumed", assumed=True)
    return Piece(begins, ends, NOT_SAID, NOT_SAID)


def _block(a: Assessment, code: int, first: date, last: date) -> BlockLine:
    name = BLOCK_NAMES[code]
    rows = [row for row in a.snapshot.records("calendar") if isinstance(row, CalendarDay) and row.block == name]
    days = tuple(
        BlockDay(row.day, row.event, row.id)
        for row in sorted(rows, key=lambda row: (row.day, row.event))
        if first <= row.day <= last
    )
    mine = ~a.facts.gone & (a.block == code)
    low, high = a.dates.day - a.dates.spread, a.dates.day + a.dates.spread
    ahead = mine & np.isfinite(a.dates.day)
    spans = list(zip(low[ahead].tolist(), high[ahead].tolist(), strict=True))
    calved = mine & np.isfinite(a.dates.last_calving)
    spans += [(day, day) for day in a.dates.last_calving[calved].tolist()]
    return BlockLine(str(name), days, _joined(spans, a.today, first, last))


def _joined(spans: list[tuple[float, float]], today: date, first: date, last: date) -> tuple[tuple[date, date], ...]:
    """Spans of days from today joined where they lie close together, within the days shown."""
    joined: list[list[float]] = []
    for low, high in sorted(spans):
        if joined and low - joined[-1][1] <= _APART:
            joined[-1][1] = max(joined[-1][1], high)
        else:
            joined.append([low, high])
    found = []
    for low, high in joined:
        begins = max(today + timedelta(days=int(np.floor(low))), first)
        ends = min(today + timedelta(days=int(np.ceil(high))), last)
        if begins < ends:
            found.append((begins, ends))
    return tuple(found)
