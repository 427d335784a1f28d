"""Bringing older herd files to the format of this program, one numbered step at a time, behind a copy."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from sqlalchemy import Connection, inspect, select, update

from herdscore.errors import Problem
from herdscore.store import backup, database
from herdscore.store.faults import damaged, not_a_herd
from herdscore.store.tables import about, journal, metadata

Step = Callable[[Connection], None]
FIRST = 1


def to2(connection: Connection) -> None:
    """Rations of groups, and of which plan a diet came."""
    connection.exec_driver_sql(
        'CREATE TABLE rations (id TEXT NOT NULL PRIMARY KEY, "group" TEXT NOT NULL, day VARCHAR(10) NOT NULL, '
        "feed TEXT NOT NULL, kg_fresh FLOAT NOT NULL)"
    )
    connection.exec_driver_sql("ALTER TABLE diets ADD COLUMN plan_note TEXT")


# By the version they lead to. A step that renames a field must do so in the journal's content too. A step writes out
# its tables: those of `tables.py` are today's, not those of its version.
STEPS: dict[int, Step] = {2: to2}


def current() -> int:
    """Format version this program writes."""
    return max(STEPS, default=FIRST)


def version(connection: Connection, what: str, path: Path) -> int:
    """Format version of a file; a Problem if it is no herd file or newer than the program."""
    looked = inspect(connection)
    if not {about.name, journal.name} <= set(looked.get_table_names()):
        raise not_a_herd(what, path)
    if not {column.name for column in about.columns} <= {column["name"] for column in looked.get_columns(about.name)}:
        raise not_a_herd(what, path)
    found = connection.execute(select(about.c.format)).scalar()
    if not isinstance(found, int):
        raise damaged(what, path)
    if found > current():
        raise Problem(
            what,
            f"{path.name}: It was written by a newer version of this program (format {found}; this one reads up to "
            f"{current()}).",
            "Install the newer version on this computer too. The file is not touched.",
        )
    return found


def lacks_tables(connection: Connection) -> bool:
    """Whether a file of the current format is missing a table."""
    return not set(metadata.tables) <= set(inspect(connection).get_table_names())


def bring_up_to_date(path: Path, found: int, day: date) -> Path:
    """Copy the file, then take every step it lacks in one transaction; answers where the copy is."""
    kept = backup.before_migration(path, found, day)
    # A step may have to make a table anew, which SQLite lets pass only while it does not look at foreign keys.
    source = database.engine(path, ties=False)
    try:
        with database.writing(source) as connection:
            for number in range(found + 1, current() + 1):
                STEPS[number](connection)
            connection.execute(update(about).values(format=current()))
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
            if broken:
                raise RuntimeError(f"migration to {current()} leaves rows without their cow: {broken[:5]}")
    finally:
        source.dispose()
    return kept
