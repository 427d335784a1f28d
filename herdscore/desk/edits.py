"""The changes pages ask for, each built from the herd as it is; without Qt, as jobs make some too."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES, NO_BLOCK
from herdscore.domain.changes import Change, RowChange, adding, editing, striking_out
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Cow, Record, Score, Setting


def save_score(snapshot: Snapshot, score: Score) -> Change:
    """Add a score, in place of one by the same scorer of the same cow and day; the journal keeps both."""
    place = snapshot.cow_place.get(score.cow_id)
    rows = [] if place is None else snapshot.records("scores", snapshot.of_cow("scores", place).tolist())
    old = [
        row
        for row in rows
        if isinstance(row, Score)
        and row.id != score.id
        and row.day == score.day
        and _scorer(row.scorer) == _scorer(score.scorer)
    ]
    same = [row for row in rows if row.id == score.id]
    struck = [RowChange(row, None) for row in old]
    return Change("score", (*struck, RowChange(same[0] if same else None, score)))


def _scorer(name: str | None) -> str:
    return " ".join((name or "").split()).casefold()


def strike_score(score: Score) -> Change:
    """Take a score out; the journal keeps it."""
    return striking_out("strike score", [score])


def add_cow(cow: Cow) -> Change:
    """Add a cow."""
    return adding("add cow", [cow])


def edit_cow(before: Cow, after: Cow) -> Change:
    """Change what is known of a cow."""
    return editing("edit cow", [(before, after)])


def add_record(record: Record) -> Change:
    """Add any other record, such as a service or a diet."""
    return adding(f"add {type(record).__name__.lower()}", [record])


def strike_record(record: Record) -> Change:
    """Take any other record out; the journal keeps it."""
    return striking_out(f"strike {type(record).__name__.lower()}", [record])


def set_setting(snapshot: Snapshot, name: str, value: str | None) -> Change | None:
    """Set one of the herd's own settings, or take it back to its default with None; None when it is so already."""
    old = snapshot.setting.get(name)
    if old == value:
        return None
    before = None if old is None else Setting(name, old)
    return Change("setting", (RowChange(before, None if value is None else Setting(name, value)),))


def add_all(records: tuple[Record, ...], kind: str) -> Change:
    """A whole herd as one change."""
    return adding(kind, records)


def keep_seasons(assessment: Assessment) -> Change | None:
    """Write down the season of cows without one whose date is not near a season boundary; None when there is none."""
    cows = assessment.snapshot.cows
    unset = np.array([season is None for season in cows.season], dtype=bool)
    # Only a projected date settles it: the block of a past calving is a guess that a new date may overturn.
    told = unset & (assessment.block != NO_BLOCK) & ~assessment.block_near & np.isfinite(assessment.dates.day)
    before = [row for row in assessment.snapshot.records("cows", np.flatnonzero(told)) if isinstance(row, Cow)]
    if not before:
        return None
    names = [BLOCK_NAMES[code] for code in assessment.block[told].tolist()]
    return editing("keep seasons", [(cow, replace(cow, season=name)) for cow, name in zip(before, names, strict=True)])


def near_boundary(assessment: Assessment) -> list[int]:
    """Places of living cows whose season has to be asked: their date lies within one spread of a boundary."""
    living = ~assessment.facts.gone
    return [int(place) for place in np.flatnonzero(assessment.block_near & living)]
