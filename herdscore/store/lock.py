"""One window at a time writes: a lock of the operating system on a small file beside the herd file.

The lock dies with the process that holds it; the small file goes when the herd is closed.
"""

from __future__ import annotations

import os
import platform
import sys
from contextlib import suppress
from pathlib import Path

if sys.platform == "win32":
    import msvcrt

    def _grip(handle: int) -> bool:
        # A locked byte cannot be read by others; this one lies far behind the name they want to read.
        os.lseek(handle, 1 << 30, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        finally:
            os.lseek(handle, 0, os.SEEK_SET)
        return True
else:
    import fcntl

    def _grip(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


class WriteLock:
    """The right to write one herd file."""

    def __init__(self, herd: Path) -> None:
        self._file = herd.with_name(f"{herd.name}-lock")
        self._handle: int | None = None

    def take(self) -> bool:
        """Take it if it is free; an OSError if the folder does not let a lock be made."""
        while True:
            handle = os.open(self._file, os.O_RDWR | os.O_CREAT, 0o666)
            try:
                if not _grip(handle):
                    os.close(handle)
                    return False
                if self._is_the_one(handle):
                    os.ftruncate(handle, 0)
                    os.write(handle, platform.node().encode())
                    self._handle = handle
                    return True
            except BaseException:
                os.close(handle)
                raise
            os.close(handle)

    def holder(self) -> str:
        """Name of the computer that holds it, or nothing if that cannot be read."""
        try:
            return self._file.read_text(encoding="utf-8", errors="replace")
        except OSError:
            return ""

    def release(self) -> None:
        """Give it back and take the small file away."""
        if self._handle is None:
            return
        handle, self._handle = self._handle, None
        if sys.platform == "win32":
            # Windows takes no file away that is open, and so none that another window has just gripped.
            os.close(handle)
            with suppress(OSError):
                self._file.unlink()
        else:
            with suppress(OSError):
                self._file.unlink()
            os.close(handle)

    def _is_the_one(self, handle: int) -> bool:
        """Whether the file gripped still is the one beside the herd; its last holder may just have taken it away."""
        try:
            return os.path.samestat(os.fstat(handle), self._file.stat())
        except FileNotFoundError:
            return False
