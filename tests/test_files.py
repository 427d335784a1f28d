"""A file is written whole or not at all, and what went wrong is said in plain words."""

from __future__ import annotations

import resource
from collections.abc import Iterator
from pathlib import Path

import pytest

from herdscore.errors import Problem
from herdscore.files import write_whole


@pytest.fixture
def little_room() -> Iterator[None]:
    """No file may grow past 1 kB, as on a disk that is full."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1024, hard))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_that_a_new_file_takes_the_place_of_the_old_one(tmp_path: Path) -> None:
    path = tmp_path / "day.pdf"
    path.write_bytes(b"old")
    assert write_whole(path, b"new") == path
    assert path.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [path]


def test_that_a_full_disk_leaves_the_old_file_and_no_half_of_a_new_one(tmp_path: Path, little_room: None) -> None:
    path = tmp_path / "day.pdf"
    path.write_bytes(b"old")
    with pytest.raises(Problem) as told:
        write_whole(path, bytes(5000))
    assert told.value.what == "day.pdf could not be saved."
    assert told.value.why == "The disk is full."
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_that_a_folder_that_is_gone_is_named_so(tmp_path: Path) -> None:
    with pytest.raises(Problem) as told:
        write_whole(tmp_path / "gone" / "day.pdf", b"new")
    assert told.value.why == "The folder is not there any more."


def test_that_a_folder_in_its_place_is_told_and_stays(tmp_path: Path) -> None:
    (tmp_path / "day.pdf").mkdir()
    with pytest.raises(Problem) as told:
        write_whole(tmp_path / "day.pdf", b"new")
    assert told.value.why == "A folder has this name."
    assert (tmp_path / "day.pdf").is_dir()
    assert [one.name for one in tmp_path.iterdir()] == ["day.pdf"]


def test_that_a_folder_nobody_may_write_to_is_said_plainly() -> None:
    # Folders of the system itself refuse whoever runs the tests.
    folder = next(one for one in (Path("/sys/kernel"), Path("/System")) if one.is_dir())
    with pytest.raises(Problem) as told:
        write_whole(folder / "day.pdf", b"new")
    assert told.value.why == "The folder takes no files from you, or the file is open in another program."
