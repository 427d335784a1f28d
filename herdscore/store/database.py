"""Connections to a herd file: SQLite with foreign keys on, full sync and a rollback journal."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.pool import QueuePool

WAIT = 5.0  # seconds a write waits for a reader in another window


def connected(path: Path, *, writes: bool = True, ties: bool = True) -> sqlite3.Connection:
    """A bare connection to a file that exists; `ties` = foreign keys are looked at."""
    # Always opened for writing where the disk allows: what a crash left half done can only so be taken back.
    whole = path.absolute().as_posix()
    address = f"file://{'' if whole.startswith('/') else '/'}{quote(whole)}?mode=rw"
    link = sqlite3.connect(address, uri=True, timeout=WAIT, isolation_level=None, check_same_thread=False)
    try:
        link.execute(f"PRAGMA foreign_keys = {'ON' if ties else 'OFF'}")
        if writes:
            link.execute("PRAGMA journal_mode = DELETE")
            # EXTRA is FULL that also syncs the folder: a power cut right after a save does not undo it.
            link.execute("PRAGMA synchronous = EXTRA")
        else:
            link.execute("PRAGMA query_only = ON")
    except BaseException:
        link.close()
        raise
    return link


def engine(path: Path, *, writes: bool = True, ties: bool = True) -> Engine:
    """An engine on a file that exists; use it through `reading` and `writing`."""
    made = create_engine(
        URL.create("sqlite+pysqlite", database=str(path)),
        creator=lambda: connected(path, writes=writes, ties=ties),
        poolclass=QueuePool,
    )

    @event.listens_for(made, "begin")
    def _begin(connection: Connection) -> None:
        now = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if now else "BEGIN")

    return made


@contextmanager
def reading(source: Engine) -> Iterator[Connection]:
    """A transaction that sees the herd at one moment."""
    with source.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(source: Engine) -> Iterator[Connection]:
    """A transaction that holds the file from its first line, and is saved whole or not at all."""
    with source.connect().execution_options(writes=True) as connection, connection.begin():
        yield connection


def is_sound(connection: Connection) -> bool:
    """Whether SQLite finds the file whole."""
    return connection.exec_driver_sql("PRAGMA quick_check(1)").scalar() == "ok"
