from __future__ import annotations

import errno
import os
import resource
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from herdscore.domain.changes import adding
from herdscore.errors import Problem
from herdscore.store import database
from herdscore.store.faults import said_plainly
from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import LAPTOP, names_in, rows_in, score


def make_text(path: Path) -> None:
    path.write_text("tag,score\nZZ 100 9,2.75\n" * 100)


def make_other_database(path: Path) -> None:
    with closing(sqlite3.connect(path)) as link, link:
        link.execute("CREATE TABLE about (words TEXT)")
        link.execute("CREATE TABLE journal (words TEXT)")


def make_spoilt_page(path: Path) -> None:
    with HerdFile.create(path, laptop=LAPTOP):
        pass
    with closing(sqlite3.connect(path)) as link:
        page = link.execute("SELECT rootpage FROM sqlite_master WHERE name = 'scores'").fetchone()[0]
    whole = bytearray(path.read_bytes())
    whole[(page - 1) * 4096 : page * 4096] = b"\xa5" * 4096
    path.write_bytes(whole)


def make_half(path: Path) -> None:
    with HerdFile.create(path, laptop=LAPTOP):
        pass
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])


def make_one_table_less(path: Path) -> None:
    with HerdFile.create(path, laptop=LAPTOP):
        pass
    with closing(sqlite3.connect(path)) as link, link:
        link.execute("DROP TABLE calvings")


@pytest.mark.parametrize("read_only", [False, True])
@pytest.mark.parametrize(
    ("make", "why"),
    [
        (make_text, "not a herd file"),
        (Path.touch, "not a herd file"),
        (make_other_database, "not a herd file"),
        (make_spoilt_page, "damaged"),
        (make_half, "damaged"),
        (make_one_table_less, "damaged"),
        (Path.mkdir, "It is a folder"),
        (lambda path: None, "not there any more"),
    ],
)
def test_that_a_file_that_is_no_sound_herd_is_refused_in_plain_words_and_left_alone(
    path: Path, make: Callable[[Path], None], why: str, read_only: bool
) -> None:
    make(path)
    before = path.read_bytes() if path.is_file() else None
    beside = names_in(path.parent)
    with pytest.raises(Problem) as refused:
        HerdFile.open(path, laptop=LAPTOP, read_only=read_only)
    assert refused.value.what == "The herd file could not be opened."
    assert why in refused.value.why
    assert path.name in refused.value.why
    assert refused.value.what_to_do
    assert (path.read_bytes() if path.is_file() else None) == before
    assert names_in(path.parent) == beside


@pytest.mark.parametrize("folder", ["no such folder", "a file"])
def test_that_a_file_cannot_be_made_or_saved_where_there_is_no_folder(herd: HerdFile, folder: str) -> None:
    where = herd.path.parent / folder / "new.herd"
    (herd.path.parent / "a file").touch()
    with pytest.raises(Problem, match="The herd file could not be made"):
        HerdFile.create(where, laptop=LAPTOP)
    with pytest.raises(Problem, match="The herd was not saved elsewhere"):
        herd.copy_to(where)


@pytest.fixture
def no_file_beyond() -> Iterator[Callable[[int], None]]:
    """Lets no file grow past a size in bytes, until called again or the test ends."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    yield lambda size: resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_that_a_change_the_disk_does_not_take_is_said_and_leaves_the_herd_as_it_was(
    herd: HerdFile, path: Path, no_file_beyond: Callable[[int], None]
) -> None:
    before = rows_in(path)
    no_file_beyond(path.stat().st_size)
    with pytest.raises(Problem) as refused:
        herd.apply(adding("round", [score(f"new {n}") for n in range(3000)]), "Ann")
    assert refused.value.what == "The change was not saved."
    assert rows_in(path) == before
    assert herd.revision == 1
    assert len(herd.read().scores) == 2


def test_that_a_new_file_the_disk_does_not_take_leaves_nothing(
    tmp_path: Path, no_file_beyond: Callable[[int], None]
) -> None:
    no_file_beyond(8192)
    with pytest.raises(Problem, match="The herd file could not be made"):
        HerdFile.create(tmp_path / "new.herd", laptop=LAPTOP)
    assert names_in(tmp_path) == []


def test_that_a_copy_the_disk_does_not_take_leaves_the_old_one(
    herd: HerdFile, path: Path, no_file_beyond: Callable[[int], None]
) -> None:
    target = path.with_name("copy.herd")
    target.write_bytes(b"an older file")
    no_file_beyond(8192)
    with pytest.raises(Problem, match="The herd was not saved elsewhere"):
        herd.copy_to(target)
    assert target.read_bytes() == b"an older file"
    assert names_in(path.parent) == sorted([path.name, f"{path.name}-lock", target.name])


def test_that_a_file_held_by_another_program_is_said_and_the_change_can_be_made_later(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "WAIT", 0.01)
    with HerdFile.create(path, laptop=LAPTOP) as herd, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(Problem, match="holding the file"):
            herd.apply(adding("import", []), "Ann")
        with pytest.raises(Problem, match="holding the file"):
            herd.read()
        other.execute("ROLLBACK")
        herd.apply(adding("import", []), "Ann")
        assert herd.revision == 1


def test_that_a_full_disk_is_called_a_full_disk(herd: HerdFile, path: Path) -> None:
    with closing(database.connected(path)) as link:
        link.execute(f"PRAGMA max_page_count = {path.stat().st_size // 4096}")
        with pytest.raises(Problem, match="The disk is full"), said_plainly("The change was not saved.", path):
            link.execute("UPDATE cows SET note = zeroblob(100000)")


def test_that_a_file_that_may_only_be_read_is_said_to_be_so(herd: HerdFile, path: Path) -> None:
    with closing(database.connected(path, writes=False)) as link:
        with pytest.raises(Problem, match="may only be read"), said_plainly("The change was not saved.", path):
            link.execute("DELETE FROM settings")


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "The disk is full"),
        (errno.EACCES, "may only be read"),
        (errno.EROFS, "may only be read"),
        (errno.ENOENT, "not there any more"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_that_what_the_system_refuses_is_said_in_plain_words(path: Path, number: int, words: str) -> None:
    with pytest.raises(Problem, match=words), said_plainly("The herd was not saved elsewhere.", path):
        raise OSError(number, os.strerror(number))


def test_that_a_fault_of_the_program_is_raised_as_it_is(herd: HerdFile, path: Path) -> None:
    with closing(database.connected(path)) as link:
        with pytest.raises(sqlite3.OperationalError, match="no such column"), said_plainly("Not read.", path):
            link.execute("SELECT colour FROM cows")
    with pytest.raises(ZeroDivisionError), said_plainly("Not read.", path):
        1 / 0  # noqa: B018
