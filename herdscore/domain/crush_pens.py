"""Which pen a cow goes to as she leaves the crush, and how many went where."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.diets import group_key
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Round
from herdscore.domain.verdict import Verdict

LEAN_PEN, FAT_PEN = "Lean pen", "Fat pen"
"""What the pens are called where the round does not say."""
_UP = (Verdict.EASE_UP_NOW, Verdict.EASE_UP_IN_HAND, Verdict.PART_WAY_UP)
_DOWN = (Verdict.EASE_DOWN_NOW, Verdict.EASE_DOWN_IN_HAND, Verdict.PART_WAY_DOWN)


class Pen(Enum):
    """The three ways out: to be eased up together, back to her own group, to be eased down together."""

    LEAN = auto()
    OWN = auto()
    FAT = auto()


class Why(Enum):
    """What the advice rests on."""

    VERDICT = auto()
    STAYS = auto()
    NEVER_SLIMMED = auto()
    MID_PLAN = auto()


@dataclass(frozen=True, slots=True)
class PenAdvice:
    """The pen advised, and why."""

    pen: Pen
    why: Why


@dataclass(frozen=True, slots=True)
class PenCounts:
    """How many cows of a round went to each pen; `stayed` are those seen who went back to their own group."""

    lean: int
    fat: int
    stayed: int


def pen_name(round_: Round | None, pen: Pen) -> str | None:
    """Name of a pen in a round, None for her own group."""
    if pen is Pen.OWN:
        return None
    given = None if round_ is None else round_.lean_pen if pen is Pen.LEAN else round_.fat_pen
    return given or (LEAN_PEN if pen is Pen.LEAN else FAT_PEN)


def advised_pen(assessment: Assessment, cow: int, round_: Round | None) -> PenAdvice:
    """The pen for a cow, by her verdict: only a change that may begin takes her out of her group.

    A cow never slimmed is not sent where feed is eased down, and nobody joins a pen some steps into its change.
    """
    a, verdict = assessment, Verdict(assessment.verdict[cow])
    if verdict in _UP:
        wanted = Pen.LEAN
    elif verdict in _DOWN:
        if a.reach.never_slimmed[cow]:
            return PenAdvice(Pen.OWN, Why.NEVER_SLIMMED)
        wanted = Pen.FAT
    else:
        return PenAdvice(Pen.OWN, Why.STAYS)
    name = pen_name(round_, wanted)
    if name is not None and is_mid_plan(a, name) and group_key(name) != _group_of(a, cow):
        return PenAdvice(Pen.OWN, Why.MID_PLAN)
    return PenAdvice(wanted, Why.VERDICT)


def is_mid_plan(assessment: Assessment, pen: str) -> bool:
    """Whether the group of that name is on a running change that began before today."""
    a = assessment
    diets = a.snapshot.diets
    begun = diets.day < np.datetime64(a.today, "D")
    mine = [row for row in np.flatnonzero(begun).tolist() if group_key(diets.group[row]) == group_key(pen)]
    last = max(mine, key=lambda row: diets.day[row], default=None)
    return last is not None and diets.aim[last] is not None


def next_pen(pen: Pen) -> Pen:
    """The pen after this one, in the order in which they stand."""
    order = list(Pen)
    return order[(order.index(pen) + 1) % len(order)]


def pen_of(round_: Round | None, name: str | None) -> Pen:
    """Which of the three a kept name is: her own group for None and for any other name."""
    keys = {group_key(pen_name(round_, pen) or ""): pen for pen in (Pen.FAT, Pen.LEAN)}
    return Pen.OWN if name is None else keys.get(group_key(name), Pen.OWN)


def pen_counts(snapshot: Snapshot, round_: Round, seen: npt.NDArray[np.bool_]) -> PenCounts:
    """How many went where, of the cows seen in the round, scored or unsafe (flags, one a cow)."""
    rows = snapshot.listed
    mine = np.flatnonzero((rows.round_id == round_.id) & seen[rows.cow])
    names = rows.pen[mine].tolist()
    named = {name: pen_of(round_, name) for name in dict.fromkeys(names)}
    pens = [named[name] for name in names]
    lean, fat = pens.count(Pen.LEAN), pens.count(Pen.FAT)
    return PenCounts(lean, fat, int(seen.sum()) - lean - fat)


def _group_of(a: Assessment, cow: int) -> str:
    return group_key(a.groups.names[a.groups.now[cow]] or "")
