"""Rations of feeding groups as they are written down: kg fresh a head a day by feed, from a day on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from herdscore.domain.changes import RowChange
from herdscore.domain.diets import group_key
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Ration, new_id

DatedRation = tuple[date, dict[str, float]]


def rations_of(snapshot: Snapshot, group: str) -> list[DatedRation]:
    """Every ration of a group with the day it begins, in order."""
    made: dict[date, dict[str, float]] = {}
    for row in _rows(snapshot, group):
        made.setdefault(row.day, {})[row.feed] = row.kg_fresh
    return sorted(made.items())


def ration_on(snapshot: Snapshot, group: str, day: date) -> dict[str, float]:
    """What a group gets on a day; empty when nothing is written down until then."""
    found: dict[str, float] = {}
    for begun, ration in rations_of(snapshot, group):
        if begun <= day:
            found = ration
    return found


def ration_rows(
    snapshot: Snapshot, group: str, steps: Sequence[tuple[date, Mapping[str, float]]], from_day: date
) -> list[RowChange]:
    """Rows that put steps in the place of all a group was to get from a day on; what is equal stays as it is."""
    old = {(row.day, row.feed.casefold()): row for row in _rows(snapshot, group) if row.day >= from_day}
    rows: list[RowChange] = []
    for day, ration in steps:
        for feed, kg in ration.items():
            before = old.pop((day, feed.casefold()), None)
            if before is not None and before.kg_fresh == kg:
                continue
            name, row_id = (group, new_id()) if before is None else (before.group, before.id)
            rows.append(RowChange(before, Ration(row_id, name, day, feed, kg)))
    return [*(RowChange(row, None) for row in old.values()), *rows]


def feeds_in_use(snapshot: Snapshot, feed: str, today: date) -> list[str]:
    """Groups that get a feed today or are to get it, by name."""
    name = feed.casefold()
    rows = [row for row in snapshot.records("rations") if isinstance(row, Ration) and row.feed.casefold() == name]
    using: dict[str, str] = {}
    for row in rows:
        later = [day for day, _ in rations_of(snapshot, row.group) if row.day < day <= today]
        if row.kg_fresh > 0 and not later:
            using[group_key(row.group)] = row.group
    return sorted(using.values(), key=str.casefold)


def _rows(snapshot: Snapshot, group: str) -> list[Ration]:
    key = group_key(group)
    places = [place for place, name in enumerate(snapshot.rations.group) if group_key(name) == key]
    return [row for row in snapshot.records("rations", places) if isinstance(row, Ration)]
