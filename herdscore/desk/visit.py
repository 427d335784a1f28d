"""One visit of a cow to the crush as one change: her score, a weight and a scan of that day, the pen she leaves to."""

from __future__ import annotations

from herdscore.desk.edits import save_score
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.crush_pens import Pen, pen_name
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import SCAN, Record, Round, Score, Service, Weight, new_id
from herdscore.domain.rounds import with_pen
from herdscore.domain.scoring_entry import Entry


def save_visit(
    snapshot: Snapshot, entry: Entry, score: Score, round_: Round | None = None, pen: Pen | None = None
) -> Change:
    """All that is to be kept of a cow; each replaces what was kept of its kind that day. `pen` goes with a round."""
    kept = save_score(snapshot, score)
    rows = [row for row in kept.rows if row.before != row.after]
    place = snapshot.cow_place.get(entry.cow_id)
    if entry.weight is not None:
        weight = Weight(new_id(), entry.cow_id, score.day, entry.weight)
        rows += [*_old(snapshot, "weights", place, weight), RowChange(None, weight)]
    if entry.scan is not None:
        scan = Service(new_id(), entry.cow_id, SCAN, score.day, foetal_age=entry.scan_age, result=entry.scan)
        rows += [*_old(snapshot, "services", place, scan), RowChange(None, scan)]
    change = Change(kept.kind, tuple(rows))
    if round_ is None or pen is None:
        return change
    return with_pen(change, snapshot, round_, entry.cow_id, pen_name(round_, pen))


def _old(snapshot: Snapshot, table: str, place: int | None, new: Weight | Service) -> list[RowChange]:
    """Taking out what was kept of the same kind, cow and day."""
    rows: list[Record] = [] if place is None else snapshot.records(table, snapshot.of_cow(table, place).tolist())
    return [
        RowChange(row, None)
        for row in rows
        if isinstance(row, type(new)) and row.day == new.day and (not isinstance(row, Service) or row.kind == SCAN)
    ]
