"""Copies of a herd file, made whole even while a window writes it."""

from __future__ import annotations

import os
import re
import uuid
from contextlib import closing
from datetime import date
from pathlib import Path

from herdscore.store.database import connected
from herdscore.store.faults import said_plainly


def copy(source: Path, target: Path) -> None:
    """Copy a herd file; `target` holds its old content until the copy is complete on the disk."""
    part = target.with_name(f"{target.name}.{uuid.uuid4().hex[:8]}.part")
    try:
        part.touch(exist_ok=False)
        with closing(connected(source, writes=False)) as old, closing(connected(part)) as new:
            old.backup(new)
        # A half-done change that a crash left beside the old target must not be taken back into the new one.
        target.with_name(f"{target.name}-journal").unlink(missing_ok=True)
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)


def before_migration(path: Path, version: int, day: date) -> Path:
    """Keep a copy beside the file, named with day and format version; answers where."""
    kept = _unused(path.with_name(f"{path.stem} {day.isoformat()} version {version}{path.suffix}"))
    copy(path, kept)
    return kept


def backup(path: Path, folder: Path, *, day: date, keep: int) -> Path | None:
    """Keep a copy of the day in a folder and drop all but the newest `keep`; None if the day has one."""
    with said_plainly("The copy of the day was not made.", folder):
        folder.mkdir(parents=True, exist_ok=True)
        made = folder / f"{path.stem} {day.isoformat()}{path.suffix}"
        if made.exists():
            return None
        copy(path, made)
        form = re.compile(rf"{re.escape(path.stem)} \d{{4}}-\d\d-\d\d{re.escape(path.suffix)}")
        of_this_herd = sorted(file for file in folder.iterdir() if form.fullmatch(file.name))
        for old in of_this_herd[:-keep]:
            old.unlink()
    return made


def _unused(path: Path) -> Path:
    """The path itself, or with the first number behind it that is free."""
    free, n = path, 1
    while free.exists():
        n += 1
        free = path.with_name(f"{path.stem} ({n}){path.suffix}")
    return free
