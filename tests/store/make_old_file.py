"""Writes the file of this format that later versions must be able to open: `python -m tests.store.make_old_file`."""

from __future__ import annotations

from pathlib import Path

from herdscore.store import migrations
from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import LAPTOP, adding_all

OLD = Path(__file__).parent / "old"


def make() -> Path:
    """Make the file of the current format anew."""
    path = OLD / f"version_{migrations.current()}.herd"
    path.unlink(missing_ok=True)
    with HerdFile.create(path, laptop=LAPTOP) as herd:
        herd.apply(adding_all(), "Ann")
    return path


if __name__ == "__main__":
    make()
