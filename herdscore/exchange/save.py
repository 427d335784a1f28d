"""Writes a file under another name first, so that an old file is never lost to half a new one."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from herdscore.errors import Problem


@contextlib.contextmanager
def saved_whole(path: Path) -> Iterator[Path]:
    """Give a path beside `path` to write to, and rename it when all went well."""
    part = path.with_name(f".{path.name}.part")
    try:
        yield part
        os.replace(part, path)
    except OSError as error:
        why = "It is open in another program." if isinstance(error, PermissionError) else str(error.strerror or error)
        raise Problem(f"{path.name} could not be saved.", why, "Close it there, or save under another name.") from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
