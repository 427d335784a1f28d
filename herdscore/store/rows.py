"""Rows of the tables read as columns, and changes written to them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from datetime import date
from typing import Any, get_type_hints

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.records import TABLES, Cow, Record
from herdscore.store import tables
from herdscore.store.faults import Conflict

Held = dict[str, dict[str, Record]]
"""Records by table and identity."""

_FIELDS = {name: [field.name for field in fields(form)] for name, form in TABLES.items()}
_DATES = {
    name: [place for place, hint in enumerate(get_type_hints(form).values()) if hint in (date, date | None)]
    for name, form in TABLES.items()
}
_AT_ONCE = 500  # rows read together, and identities in one query (old copies of SQLite take 999)


def read(connection: Connection) -> dict[str, dict[str, Sequence[Any]]]:
    """All tables as columns of plain values, dates as ISO text, in an order that does not depend on their history."""
    lists: dict[str, dict[str, Sequence[Any]]] = {}
    for name, table in tables.RECORDS.items():
        # As the driver gives them, some rows at a time: SQLAlchemy's reading of each flag, and the tidying of memory
        # over 20,000 rows held at once, take longer than the reading. Flags come as 0 and 1, which a column takes.
        query = str(select(table).order_by(table.c.id).compile(connection))
        columns: list[list[Any]] = [[] for _ in _FIELDS[name]]
        for some in connection.exec_driver_sql(query).partitions(_AT_ONCE):
            for column, values in zip(columns, zip(*some, strict=True), strict=True):
                column.extend(values)
        lists[name] = dict(zip(_FIELDS[name], columns, strict=True))
    return lists


def write(connection: Connection, change: Change) -> None:
    """Bring the tables to what a change says; a Conflict if a row is not as it was when the change was made."""
    named: dict[str, set[str]] = {}
    for row in change.rows:
        named.setdefault(row.table, set()).add(row.id)
    before = {table: _held(connection, table, named[table]) for table in TABLES if table in named}
    after = {table: dict(rows) for table, rows in before.items()}
    fold(after, change)
    for table in before:
        _replace(connection, table, before[table], after[table])


def fold(held: Held, change: Change) -> None:
    """Apply a change to records in memory, row by row; a Conflict leaves them half done."""
    for row in change.rows:
        rows = held.setdefault(row.table, {})
        there = rows.get(row.id)
        if there != row.before:
            raise _conflict(there, row)
        if row.after is None:
            del rows[row.id]
        else:
            rows[row.id] = row.after


def refill(connection: Connection, held: Held) -> None:
    """Empty all tables and fill them with these records."""
    for name in reversed(TABLES):
        connection.execute(delete(tables.RECORDS[name]))
    for name in TABLES:
        _add(connection, name, held.get(name, {}).values())


def _held(connection: Connection, name: str, identities: Iterable[str]) -> dict[str, Record]:
    table, ordered = tables.RECORDS[name], sorted(identities)
    held = {}
    for first in range(0, len(ordered), _AT_ONCE):
        wanted = select(table).where(table.c.id.in_(ordered[first : first + _AT_ONCE]))
        for row in connection.execute(wanted):
            record = _record(name, list(row))
            held[record.id] = record
    return held


def _replace(connection: Connection, name: str, before: Mapping[str, Record], after: Mapping[str, Record]) -> None:
    table = tables.RECORDS[name]
    out = [{"row_id": row_id} for row_id in before if row_id not in after]
    if out:
        connection.execute(delete(table).where(table.c.id == bindparam("row_id")), out)
    edited = [row for row_id, row in after.items() if row_id in before and row != before[row_id]]
    if edited:
        values: dict[str, Any] = {field: bindparam(f"new_{field}") for field in _FIELDS[name] if field != "id"}
        edit = update(table).where(table.c.id == bindparam("row_id")).values(values)
        connection.execute(edit, [_edit(_plain(row, name)) for row in edited])
    _add(connection, name, (row for row_id, row in after.items() if row_id not in before))


def _add(connection: Connection, name: str, rows: Iterable[Record]) -> None:
    plain = [_plain(row, name) for row in rows]
    if plain:
        connection.execute(insert(tables.RECORDS[name]), plain)


def _edit(values: dict[str, Any]) -> dict[str, Any]:
    return {"row_id" if field == "id" else f"new_{field}": value for field, value in values.items()}


def _plain(row: Record, name: str) -> dict[str, Any]:
    made = {field: getattr(row, field) for field in _FIELDS[name]}
    for place in _DATES[name]:
        field = _FIELDS[name][place]
        if made[field] is not None:
            made[field] = made[field].isoformat()
    return made


def _record(name: str, values: list[Any]) -> Record:
    for place in _DATES[name]:
        if values[place] is not None:
            values[place] = date.fromisoformat(values[place])
    return TABLES[name](*values)


def _conflict(there: Record | None, row: RowChange) -> Conflict:
    """Words for a row that is not as the change thought."""
    record = row.before or row.after
    name = f"cow {record.tag}" if isinstance(record, Cow) else _SAID[row.table]
    if there is None:
        state = "is not there any more"
    elif row.before is None:
        state = "is there already"
    else:
        state = "has been changed since"
    return Conflict(
        "The change was not saved.",
        f"In the herd file {name} {state}.",
        "Look at the herd as it is now and make the change again.",
    )


_SAID = {
    "scores": "one of the scores",
    "services": "one of the services",
    "calvings": "one of the calvings",
    "weights": "one of the weights",
    "diets": "one of the diets",
    "moves": "one of the moves between groups",
    "calendar": "a day of the herd calendar",
    "settings": "one of the settings",
    "feeds": "one of the feeds",
    "rounds": "one of the rounds",
    "listed": "a cow on the list of a round",
    "asides": "a score kept to one side",
    "blind_scores": "a score of a check",
    "ticks": "a tick on the flag list",
    "finished": "a thing ticked off",
    "care": "the care of a calf",
    "rations": "one of the rations",
}
