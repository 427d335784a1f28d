"""Faults of disk, folder and file said in words a person can act on; faults of the program pass as they are."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from herdscore.errors import Problem

_FULL = ("The disk is full.", "Free some space, or save the herd to another disk.")
_NOT_ALLOWED = (
    "The file or its folder may only be read.",
    "Save the herd in a folder of your own, or ask for the right to write here.",
)
_BUSY = ("Another window or program is holding the file.", "Close the other one, or wait a moment and try again.")
_GONE = (
    "The file or its folder is not there any more, or is out of reach.",
    "Look whether it was moved, renamed or deleted, and whether the disk or stick is still plugged in.",
)
_NO_HERD = ("It is not a herd file.", "Choose a file ending in .herd. A workbook or csv is brought in with Import.")
_DAMAGED = ("The file is damaged.", "Open your latest copy of this herd, and keep the damaged file for repair.")
_DISK = ("The disk did not take or give the data.", "Check the disk or stick, then save the herd to another place.")

_BY_SQLITE = {
    "SQLITE_FULL": _FULL,
    "SQLITE_READONLY": _NOT_ALLOWED,
    "SQLITE_PERM": _NOT_ALLOWED,
    "SQLITE_BUSY": _BUSY,
    "SQLITE_LOCKED": _BUSY,
    "SQLITE_CANTOPEN": _GONE,
    "SQLITE_NOTADB": _NO_HERD,
    "SQLITE_CORRUPT": _DAMAGED,
    "SQLITE_IOERR": _DISK,
}
_BY_SYSTEM = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EACCES: _NOT_ALLOWED,
    errno.EPERM: _NOT_ALLOWED,
    errno.EROFS: _NOT_ALLOWED,
    errno.EBUSY: _BUSY,
    errno.ENOENT: _GONE,
    errno.ENOTDIR: _GONE,
}


class Conflict(Problem):
    """A change made for a herd that has changed since; nothing of it was written."""


def not_a_herd(what: str, path: Path) -> Problem:
    """The Problem of a file that holds something else."""
    return _problem(what, path, _NO_HERD)


def damaged(what: str, path: Path) -> Problem:
    """The Problem of a herd file that cannot be trusted any more."""
    return _problem(what, path, _DAMAGED)


@contextmanager
def said_plainly(what: str, path: Path) -> Iterator[None]:
    """Turn the environment's faults inside into a Problem that begins with `what`."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as fault:
        cause = fault.orig if isinstance(fault, DBAPIError) else fault
        # "SQLITE_IOERR_WRITE" is a kind of "SQLITE_IOERR".
        known = _BY_SQLITE.get("_".join(getattr(cause, "sqlite_errorname", "").split("_")[:2]))
        if known is None:
            raise
        raise _problem(what, path, known) from fault
    except OSError as fault:
        known = _BY_SYSTEM.get(fault.errno or 0, (f"The computer says: {fault.strerror}.", _DISK[1]))
        raise _problem(what, path, known) from fault


def breaks_a_tie(fault: DBAPIError) -> bool:
    """Whether a write was refused because a row names a cow who is not there."""
    return getattr(fault.orig, "sqlite_errorname", "") == "SQLITE_CONSTRAINT_FOREIGNKEY"


def _problem(what: str, path: Path, words: tuple[str, str]) -> Problem:
    why, what_to_do = words
    return Problem(what, f"{path.name}: {why}", what_to_do)
