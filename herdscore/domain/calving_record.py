"""The change that writes a calving as it was entered: its calves, the score felt, and the cow brought up to it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import numpy as np

from herdscore.domain.calving_checks import ONE_PREGNANCY_DAYS, read_weight
from herdscore.domain.calving_entry import CalvingEntry
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import IN_HERD, NOT_IN_CALF, Calving, Cow, Score, new_id
from herdscore.domain.scale import parse


def calving_change(
    snapshot: Snapshot, entry: CalvingEntry, today: date, in_milk_days: int, scorer: str | None = None
) -> Change:
    """The change that writes an entry without problems: a record a calf, the score felt, and the cow brought up to it.

    A date and twins that were for this calving are used up, "not in calf" is taken off, and her calvings counted on.
    """
    rows = [*_calf_rows(entry), *_score_rows(snapshot, entry, scorer)]
    place = snapshot.cow_place[entry.cow_id]
    cow = snapshot.record("cows", place)
    assert isinstance(cow, Cow)
    if not entry.before:
        after = _calved_cow(snapshot, cow, place, entry.day, today, in_milk_days)
        rows += [RowChange(cow, after)] if after != cow else []
    return Change("mend calving" if entry.before else "record calving", tuple(rows))


def _calf_rows(entry: CalvingEntry) -> Iterator[RowChange]:
    for place, calf in enumerate(entry.calves):
        before = entry.before[place] if place < len(entry.before) else None
        row = Calving(
            id=new_id() if before is None else before.id,
            cow_id=entry.cow_id,
            day=entry.day,
            ease=entry.how or None,
            calf_sex=calf.sex if calf.sex or before is None else before.calf_sex,
            calf_weight=read_weight(calf.weight) if calf.weight.strip() else None,
            calf_alive=calf.alive,
            calf_tag=calf.tag.strip() or None,
            size=calf.size or None,
            presentation=calf.presentation or None,
            premature=True if entry.premature else None,
            note=entry.note.strip() or None,
        )
        if row != before:
            yield RowChange(before, row)
    for before in entry.before[len(entry.calves) :]:
        yield RowChange(before, None)


def _score_rows(snapshot: Snapshot, entry: CalvingEntry, scorer: str | None) -> Iterator[RowChange]:
    """The condition felt, as a score of the day; one by the same scorer that day is replaced."""
    quarters = parse(entry.score)
    if quarters is None:
        return
    rows = snapshot.records("scores", snapshot.of_cow("scores", snapshot.cow_place[entry.cow_id]).tolist())
    same = [row for row in rows if isinstance(row, Score) and row.day == entry.day and row.scorer == scorer]
    before = same[-1] if same else None
    row_id = new_id() if before is None else before.id
    yield RowChange(before, Score(row_id, entry.cow_id, entry.day, score=quarters, scorer=scorer))


def _calved_cow(snapshot: Snapshot, cow: Cow, place: int, day: date, today: date, in_milk_days: int) -> Cow:
    """The cow once this calving is hers; one from long ago changes nothing but the record."""
    days = snapshot.calvings.day[snapshot.of_cow("calvings", place)]
    latest = not (days >= np.datetime64(day, "D")).any() and (today - day).days <= in_milk_days
    if not latest:
        return cow
    due = cow.calving_date
    used = due is not None and abs((due - day).days) <= ONE_PREGNANCY_DAYS
    return replace(
        cow,
        calvings=None if cow.calvings is None else cow.calvings + 1,
        twins=None,
        calving_date=None if used else due,
        date_from=None if used else cow.date_from,
        status=IN_HERD if cow.status == NOT_IN_CALF else cow.status,
    )
