"""The tables of a herd file: one for each kind of record, the journal of every change, and a row about the file.

Written so that SQLite and PostgreSQL both take them.
"""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from typing import Any, get_args, get_type_hints

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    SmallInteger,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from herdscore.domain.records import TABLES, Record

_FORMS: dict[type, Any] = {str: Text(), date: String(10), int: SmallInteger(), float: Float(), bool: Boolean()}

metadata = MetaData()


def _column(name: str, hint: Any) -> Column[Any]:
    """A column as its field says: dates are ISO text, quarters small whole numbers, a field without None is needed."""
    if name == "id":
        return Column(name, Text, primary_key=True)
    if name == "cow_id":
        # Looked at on commit only, so that a change and its inverse may name rows in any order.
        cows = ForeignKey("cows.id", deferrable=True, initially="DEFERRED")
        return Column(name, Text, cows, nullable=False, index=True)
    if name == "round_id":
        rounds = ForeignKey("rounds.id", deferrable=True, initially="DEFERRED")
        return Column(name, Text, rounds, nullable=False, index=True)
    types = get_args(hint) or (hint,)
    form = next(_FORMS[kind] for kind in types if kind in _FORMS)
    return Column(name, form, nullable=type(None) in types)


def _table(name: str, record: type[Record]) -> Table:
    hints = get_type_hints(record)
    return Table(name, metadata, *(_column(field.name, hints[field.name]) for field in fields(record)))


RECORDS: dict[str, Table] = {name: _table(name, record) for name, record in TABLES.items()}

journal = Table(
    "journal",
    metadata,
    Column("id", Text, primary_key=True),
    Column("time", Text, nullable=False),
    Column("laptop", Text, nullable=False),
    Column("number", Integer, nullable=False),
    Column("who", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("content", Text, nullable=False),
    UniqueConstraint("laptop", "number", name="one_number_once"),
    Index("journal_order", "time", "laptop", "number"),
)

# Every later version of the program must find `format` here: it is how a newer file is told from a damaged one.
about = Table(
    "about",
    metadata,
    Column("herd", Text, primary_key=True),
    Column("format", Integer, nullable=False),
    Column("revision", Integer, nullable=False),
)
