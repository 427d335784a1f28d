"""Puts bytes into a file as a whole: what stood there before stays until the new file is complete."""

from __future__ import annotations

import contextlib
import errno
import os
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


def write_whole(path: Path, data: bytes) -> Path:
    """Write beside the file first, then put it in its place."""
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_bytes(data)
        os.replace(part, path)
    except OSError as fault:
        said = (f"The computer says: {fault.strerror}.", "Choose another folder or name.")
        why, what_to_do = _WHY.get(fault.errno or 0, said)
        raise Problem(f"{path.name} could not be saved.", why, what_to_do) from fault
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
    return path
