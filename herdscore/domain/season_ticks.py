"""Ticking off things to do and lines of the kit: the names ticked in a herd, and the changes that tick and untick."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Finished


def finished(snapshot: Snapshot) -> frozenset[str]:
    """Names of all ticks."""
    return frozenset(snapshot.finished.id.tolist())


def finishing(snapshot: Snapshot, names: Iterable[str], day: date) -> Change | None:
    """Tick names off on a day; None when all of them are."""
    there = finished(snapshot)
    rows = tuple(RowChange(None, Finished(name, day)) for name in dict.fromkeys(names) if name not in there)
    return Change("tick", rows) if rows else None


def taking_up_again(snapshot: Snapshot, names: Iterable[str]) -> Change | None:
    """Take ticks off again; None when none of them is set."""
    wanted = set(names)
    rows = tuple(
        RowChange(row, None) for row in snapshot.records("finished") if isinstance(row, Finished) and row.id in wanted
    )
    return Change("untick", rows) if rows else None
