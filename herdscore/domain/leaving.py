"""Cows that leave the herd, one or several at once, or come back: the change to write and what it is called."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import IN_HERD, Cow


def status_change(snapshot: Snapshot, cow_ids: Sequence[str], status: str) -> Change | None:
    """Give cows a status; None when all of them have it."""
    places = [snapshot.cow_place[cow_id] for cow_id in cow_ids if cow_id in snapshot.cow_place]
    cows = [row for row in snapshot.records("cows", places) if isinstance(row, Cow) and row.status != status]
    rows = tuple(RowChange(cow, replace(cow, status=status)) for cow in cows)
    return Change("status", rows) if rows else None


def status_words(change: Change) -> str:
    """What the change is called: "0201 sold", "3 cows culled", "0201 back in the herd"."""
    after = [row.after for row in change.rows if isinstance(row.after, Cow)]
    who = after[0].tag if len(after) == 1 else f"{len(after)} cows"
    status = after[0].status
    return f"{who} back in the herd" if status == IN_HERD else f"{who} {status}"
