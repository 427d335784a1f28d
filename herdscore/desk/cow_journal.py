"""What the journal says of one cow; run in a job, as a journal that brought in a whole herd is long."""

from __future__ import annotations

from typing import TYPE_CHECKING

from herdscore.desk.jobs import Report
from herdscore.domain.cow_records import CowEntry

if TYPE_CHECKING:
    from herdscore.store.herd_file import HerdFile


def entries_of_cow(file: HerdFile, cow_id: str, report: Report) -> list[CowEntry]:
    """Every change of a record of hers, newest first."""
    made = []
    for entry in file.entries(naming=cow_id):
        report(0, 0, "")
        rows = entry.change(cow_id).rows
        made += [CowEntry(entry.time, entry.who, row.before, row.after) for row in reversed(rows)]
    return made
