"""Writes a file under another name first, so that an old one is never lost to half a new one; faults in plain words."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Iterator
from pathlib import Path

from herdscore.errors import Problem

_FULL = ("The disk is full.", "Make room on it, or choose another disk.")
_NOT_ALLOWED = (
    "The folder takes no files from you, or the file is open in another program.",
    "Close it there, or choose another folder.",
)
_GONE = ("The folder is not there any more.", "Choose another folder.")
_WHY = {
    getattr(errno, "EDQUOT", errno.ENOSPC): _FULL,  # which not every system knows
    errno.ENOSPC: _FULL,
    errno.EFBIG: _FULL,
    errno.EACCES: _NOT_ALLOWED,
    errno.EPERM: _NOT_ALLOWED,
    errno.EROFS: _NOT_ALLOWED,
    errno.ENOENT: _GONE,
    errno.ENOTDIR: _GONE,
    errno.EISDIR: ("A folder has this name.", "Choose another name."),
}


@contextlib.contextmanager
def saved_whole(path: Path) -> Iterator[Path]:
    """Give a path beside `path` to write to, and rename it when all went well."""
    part = path.with_name(f".{path.name}.part")
    try:
        yield part
        os.replace(part, path)
    except OSError as fault:
        said = (f"The computer says: {fault.strerror or fault}.", "Choose another folder or name.")
        why, what_to_do = _WHY.get(fault.errno or 0, said)
        raise Problem(f"{path.name} could not be saved.", why, what_to_do) from fault
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def write_whole(path: Path, data: bytes) -> Path:
    """Write bytes as a whole file; answers where it is."""
    with saved_whole(path) as part:
        part.write_bytes(data)
    return path
