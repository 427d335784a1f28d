"""Cows moved between feeding groups as they are proposed or set by hand: who may, and the one change that does it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.diets import group_key
from herdscore.domain.fed_groups import FedGroup, fed_groups, present_ration
from herdscore.domain.feeding_groups import may_join
from herdscore.domain.feeds import Feeds, feeds_of
from herdscore.domain.moves import plan_move


@dataclass(frozen=True, slots=True)
class Barred:
    """A cow that may not join a pen today: her place in the herd, the pen, and why."""

    row: int
    pen: str
    why: str


def barred(assessment: Assessment, groups: Sequence[FedGroup], feeds: Feeds, pen_of: Mapping[int, str]) -> list[Barred]:
    """Cows whose ration is more than one step from that of the pen they are to join, where its plan runs."""
    a = assessment
    by_key = {group_key(one.name): one for one in groups}
    found = []
    for row, pen in pen_of.items():
        to = by_key.get(group_key(pen))
        home_name = a.groups.names[int(a.groups.now[row])]
        if to is None or not to.aim or (home_name is not None and group_key(home_name) == group_key(pen)):
            continue
        home = by_key.get(group_key(home_name)) if home_name is not None else None
        own = None if home is None else present_ration(home, feeds)
        theirs = present_ration(to, feeds)
        if own is None or theirs is None:
            found.append(Barred(row, pen, "what she or the pen gets is not known"))
            continue
        fits, limit = may_join(feeds, own, theirs, a.rulebook)
        if not fits:
            why = f"more than one step at once: {limit.value}" if limit is not None else "more than one step at once"
            found.append(Barred(row, pen, why))
    return found


def moves_to_pens(assessment: Assessment, pen_of: Mapping[int, str]) -> tuple[Change | None, int]:
    """One change that moves every cow (place in the herd) to her pen today, and how many go; None when nobody does."""
    a = assessment
    rows: list[RowChange] = []
    moved = 0
    for pen in dict.fromkeys(pen_of.values()):
        cows = [row for row, to in pen_of.items() if to == pen]
        made = plan_move(a.snapshot, cows, pen, a.today, a.today)
        moved += made.moved
        rows += [] if made.change is None else made.change.rows
    return (Change("move cows", tuple(rows)) if rows else None), moved


def pens_now(assessment: Assessment, rows: Sequence[int]) -> list[str | None]:
    """Where each of these cows stands now."""
    a = assessment
    return [a.groups.names[int(a.groups.now[row])] for row in np.asarray(rows, dtype=int)]


def joined_on_its_steps(before: Assessment, after: Assessment) -> list[Barred]:
    """Cows that now stand in a pen whose plan runs, and came from a ration more than one step away from its own.

    Both are of one day and of the same cows; what they got is read from the first.
    """
    if before.today != after.today or before.snapshot.cows.id.tolist() != after.snapshot.cows.id.tolist():
        return []
    was, now = (np.array(a.groups.names, dtype=object)[a.groups.now] for a in (before, after))
    moved = {int(row): str(now[row]) for row in np.flatnonzero(was != now) if now[row] is not None}
    if not moved:
        return []
    feeds = feeds_of(before.snapshot.feeds)
    return barred(before, fed_groups(before), feeds, moved)
