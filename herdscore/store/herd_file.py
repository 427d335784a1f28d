"""The herd file: one window writes it, any number look.

It is read whole and changed one change at a time.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from types import TracebackType

from sqlalchemy import Connection, Engine, insert, select, update
from sqlalchemy.exc import IntegrityError

from herdscore.domain.changes import Change
from herdscore.domain.herd import Snapshot
from herdscore.errors import Problem
from herdscore.store import backup, database, journal, migrations, rows
from herdscore.store.faults import Conflict, breaks_a_tie, damaged, said_plainly
from herdscore.store.journal import Entry
from herdscore.store.lock import WriteLock
from herdscore.store.tables import about, metadata

NOT_OPENED = "The herd file could not be opened."
NOT_MADE = "The herd file could not be made."
NOT_READ = "The herd file could not be read."
NOT_SAVED = "The change was not saved."
NOT_COPIED = "The herd was not saved elsewhere."


class HerdFile:
    """One open herd file."""

    def __init__(
        self, path: Path, engine: Engine, *, laptop: str, lock: WriteLock | None, why: str, kept: Path | None = None
    ) -> None:
        """Use `create` or `open`."""
        self.path = path
        self.laptop = laptop
        self.why_read_only = why  # for the band across the window; empty while it writes
        self.kept_before_migration = kept  # the copy of the older format made on opening, if one was
        self._engine = engine
        self._lock = lock
        self._closed = False

    @classmethod
    def create(cls, path: Path, *, laptop: str) -> HerdFile:
        """Make a new, empty herd file and open it for writing; a Problem if the name is taken."""
        path = Path(path).resolve()
        with said_plainly(NOT_MADE, path):
            lock = _name_taken(path)
            made = None
            try:
                path.touch(exist_ok=False)
                made = database.engine(path)
                with database.writing(made) as connection:
                    metadata.create_all(connection)
                    first = {"herd": str(uuid.uuid4()), "format": migrations.current(), "revision": 0}
                    connection.execute(insert(about), first)
            except BaseException:
                if made is not None:
                    made.dispose()
                    path.unlink()
                lock.release()
                raise
        return cls(path, made, laptop=laptop, lock=lock, why="")

    @classmethod
    def open(cls, path: Path, *, laptop: str = "", read_only: bool = False) -> HerdFile:
        """Open for writing if no other window does, else to look only (see `why_read_only`); `laptop` to write."""
        if not (laptop or read_only):
            raise ValueError("a file opened for writing needs the identity of the laptop")
        path = Path(path).resolve()
        with said_plainly(NOT_OPENED, path):
            path.stat()
        if not path.is_file():
            raise Problem(NOT_OPENED, f"{path.name}: It is a folder.", "Choose a file ending in .herd.")
        lock, why = (None, "This window was opened to look only.") if read_only else _right_to_write(path)
        engine = database.engine(path, writes=lock is not None)
        try:
            with said_plainly(NOT_OPENED, path):
                kept = _made_ready(path, engine, may_write=lock is not None)
        except BaseException:
            engine.dispose()
            if lock is not None:
                lock.release()
            raise
        return cls(path, engine, laptop=laptop, lock=lock, why=why, kept=kept)

    @property
    def read_only(self) -> bool:
        """Whether this window only looks."""
        return self._lock is None

    @property
    def revision(self) -> int:
        """Count of changes written by any window, as the file says now."""
        with self._reading() as connection:
            count: int = connection.execute(select(about.c.revision)).scalar_one()
        return count

    @property
    def herd_id(self) -> str:
        """Identity of the herd, the same in all copies of its file."""
        with self._reading() as connection:
            identity: str = connection.execute(select(about.c.herd)).scalar_one()
        return identity

    def read(self) -> Snapshot:
        """The whole herd as it stands in the file."""
        with self._reading() as connection:
            lists = rows.read(connection)
        return Snapshot.from_columns(lists)

    def entries(self, limit: int | None = None, naming: str = "") -> list[Entry]:
        """Changes from the journal, newest first; all, or at most `limit`, or those that name an identity."""
        with self._reading() as connection:
            return list(journal.entries(connection, limit, naming))

    def apply(self, change: Change, who: str) -> None:
        """Save a change: tables and journal together or not at all; a Conflict if the file is not as it supposes."""
        with self._writing() as connection:
            rows.write(connection, change)
            journal.append(connection, change, who=who, laptop=self.laptop, now=datetime.now(UTC))

    def rebuild(self) -> None:
        """Make all tables again from the journal."""
        with self._writing() as connection:
            journal.rebuild(connection)

    def copy_to(self, path: Path) -> None:
        """Save a copy elsewhere, in place of what is there; this file stays the open one."""
        path = Path(path).resolve()
        if path == self.path:
            raise Problem(NOT_COPIED, "That is the file already open.", "Choose another name or folder.")
        with said_plainly(NOT_COPIED, path):
            lock = WriteLock(path)
            if not lock.take():
                raise Problem(NOT_COPIED, f"{path.name} is open in another window.", "Choose another name or folder.")
            try:
                backup.copy(self.path, path)
            finally:
                lock.release()

    def close(self) -> None:
        """Let the file go; closing twice does no harm."""
        self._closed = True
        self._engine.dispose()
        if self._lock is not None:
            self._lock.release()

    def __enter__(self) -> HerdFile:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        self._must_be_open()
        with said_plainly(NOT_READ, self.path), database.reading(self._engine) as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        """One transaction that counts as one revision."""
        self._must_be_open()
        if self.read_only:
            raise Problem(NOT_SAVED, self.why_read_only, "Write in the other window, or save the herd elsewhere.")
        try:
            with said_plainly(NOT_SAVED, self.path), database.writing(self._engine) as connection:
                yield connection
                connection.execute(update(about).values(revision=about.c.revision + 1))
        except IntegrityError as fault:
            if not breaks_a_tie(fault):
                raise
            raise Conflict(
                NOT_SAVED,
                "It names a cow who is not in the herd file, or takes out one who still has records; or a round alike.",
                "Look at the herd as it is now and make the change again.",
            ) from fault

    def _must_be_open(self) -> None:
        # A closed file has given its lock back; the engine would quietly connect again.
        if self._closed:
            raise ValueError(f"{self.path.name} is closed")


def _name_taken(path: Path) -> WriteLock:
    """The right to make a file of this name."""
    if path.exists():
        raise Problem(NOT_MADE, f"There is a file {path.name} already.", "Choose another name, or open that file.")
    lock = WriteLock(path)
    if not lock.take():
        raise Problem(NOT_MADE, f"Another window is making {path.name} just now.", "Choose another name.")
    return lock


def _right_to_write(path: Path) -> tuple[WriteLock | None, str]:
    """The lock, or why this window can only look."""
    if not os.access(path, os.W_OK):
        return None, "The file may only be read."
    lock = WriteLock(path)
    try:
        if lock.take():
            return lock, ""
    except OSError:
        return None, "The folder of this file may only be read."
    where = lock.holder()
    return None, f"Another window is writing this herd{f' on {where}' if where else ''}; this one only looks."


def _made_ready(path: Path, engine: Engine, *, may_write: bool) -> Path | None:
    """Check a file and bring it to the current format; answers where the copy of an older one is."""
    with database.reading(engine) as connection:
        found = migrations.version(connection, NOT_OPENED, path)
        if not database.is_sound(connection):
            raise damaged(NOT_OPENED, path)
    kept = None
    if found < migrations.current():
        if not may_write:
            raise Problem(
                NOT_OPENED,
                f"{path.name}: It was written by an older version of this program.",
                "Open it once for writing, and it is brought up to date; a copy of it as it was is kept.",
            )
        engine.dispose()
        kept = migrations.bring_up_to_date(path, found, date.today())
    with database.reading(engine) as connection:
        if migrations.lacks_tables(connection):
            raise damaged(NOT_OPENED, path)
    return kept
