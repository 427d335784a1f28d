from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from herdscore.domain.changes import adding
from herdscore.errors import Problem
from herdscore.store.backup import backup
from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import names_in, rows_in, score

DAY = date(2025, 12, 1)


def test_that_a_day_has_one_copy_made_while_the_file_is_open(herd: HerdFile, path: Path, tmp_path: Path) -> None:
    folder = tmp_path / "copies"
    made = backup(path, folder, day=DAY, keep=5)
    assert made == folder / "Höhe 50% farm #2 2025-12-01.herd"
    as_it_was = rows_in(path)
    herd.apply(adding("score", [score("new")]), "Ann")
    assert backup(path, folder, day=DAY, keep=5) is None
    assert rows_in(made) == as_it_was != rows_in(path)
    assert names_in(folder) == [made.name]


def test_that_only_the_newest_copies_are_kept_and_only_copies_are_dropped(herd: HerdFile, path: Path) -> None:
    folder = path.parent / "copies"
    folder.mkdir()
    others = ["Höhe 50% farm #2 2020-01-01.txt", "Höhe 50% farm #2.herd", "other 2020-01-01.herd"]
    for name in others:
        (folder / name).touch()
    for n in range(6):
        backup(path, folder, day=DAY + timedelta(n), keep=3)
    assert names_in(folder) == sorted([f"Höhe 50% farm #2 2025-12-0{n}.herd" for n in (4, 5, 6)] + others)


def test_that_a_copy_that_cannot_be_made_is_said_and_leaves_nothing(herd: HerdFile, path: Path) -> None:
    (path.parent / "file").touch()
    with pytest.raises(Problem, match="The copy of the day was not made"):
        backup(path, path.parent / "file", day=DAY, keep=3)
    with pytest.raises(Problem, match="not there any more"):
        backup(path.with_name("gone.herd"), path.parent / "copies", day=DAY, keep=3)
    assert names_in(path.parent / "copies") == []
