"""The journal: every change ever made to the herd, from which the tables can be made again."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection, func, insert, select

from herdscore.domain.changes import Change
from herdscore.errors import Problem
from herdscore.store import rows
from herdscore.store.faults import Conflict
from herdscore.store.tables import journal

# Text of one width, so that times sort as text in any database.
_FORM = "%Y-%m-%dT%H:%M:%S.%fZ"
# One order for one file and for the united journals of two: no entry stands before one it was made upon (see `append`).
ORDER = (journal.c.time, journal.c.laptop, journal.c.number)


@dataclass(frozen=True, slots=True)
class Entry:
    """One change as it was made; `time` is UTC, `number` runs on the laptop."""

    id: str
    time: datetime
    laptop: str
    number: int
    who: str
    kind: str
    content: str

    def change(self, of_cow: str = "") -> Change:
        """The change itself; only what touched one cow, when she is named."""
        return Change.from_content(self.kind, self.content, of_cow)


def append(connection: Connection, change: Change, *, who: str, laptop: str, now: datetime) -> None:
    """Write a change at the end of the journal."""
    number = connection.execute(select(func.max(journal.c.number)).where(journal.c.laptop == laptop)).scalar()
    latest = connection.execute(select(func.max(journal.c.time))).scalar()
    # A laptop whose clock is slow, or was set back, must not write before the changes it has already seen.
    time = now if latest is None else max(now, _read_time(latest) + timedelta(microseconds=1))
    entry = {
        "id": str(uuid.uuid4()),
        "time": time.astimezone(UTC).strftime(_FORM),
        "laptop": laptop,
        "number": (number or 0) + 1,
        "who": who,
        "kind": change.kind,
        "content": change.content(),
    }
    connection.execute(insert(journal), entry)


def entries(connection: Connection, limit: int | None = None, naming: str = "") -> Iterator[Entry]:
    """Entries, newest first; all of them, or at most `limit`, or those whose content names an identity."""
    newest_first = select(journal).order_by(*(column.desc() for column in ORDER)).limit(limit)
    if naming:
        newest_first = newest_first.where(journal.c.content.contains(naming, autoescape=True))
    for row in connection.execute(newest_first):
        yield _entry(*row)


def rebuild(connection: Connection) -> None:
    """Make all tables again from the journal alone."""
    held: rows.Held = {}
    for row in connection.execute(select(journal).order_by(*ORDER)):
        entry = _entry(*row)
        try:
            rows.fold(held, entry.change())
        except Conflict as fault:
            raise Problem(
                "The herd could not be rebuilt from its journal.",
                f"The entry {entry.kind} of {entry.time:%Y-%m-%d %H:%M} does not follow from those before it.",
                "Open your latest copy of this herd, and keep this file for repair.",
            ) from fault
    rows.refill(connection, held)


def _entry(entry_id: str, time: str, laptop: str, number: int, who: str, kind: str, content: str) -> Entry:
    return Entry(entry_id, _read_time(time), laptop, number, who, kind, content)


def _read_time(text: str) -> datetime:
    return datetime.fromisoformat(text)
