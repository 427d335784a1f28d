from __future__ import annotations

from pathlib import Path

import pytest

from herdscore.store.laptop import this_laptop
from tests.store.small_herd import names_in


def test_that_a_laptop_keeps_its_identity(tmp_path: Path) -> None:
    folder = tmp_path / "not made yet" / "herdscore"
    first = this_laptop(folder)
    assert len(first) == 32
    assert this_laptop(folder) == first
    assert names_in(folder) == ["laptop"]


def test_that_two_laptops_differ(tmp_path: Path) -> None:
    assert this_laptop(tmp_path / "a") != this_laptop(tmp_path / "b")


@pytest.mark.parametrize("left", [b"", b"0123", b"\xff\xfe"])
def test_that_a_spoilt_identity_is_replaced_by_a_lasting_one(tmp_path: Path, left: bytes) -> None:
    (tmp_path / "laptop").write_bytes(left)
    fresh = this_laptop(tmp_path)
    assert len(fresh) == 32
    assert this_laptop(tmp_path) == fresh


def test_that_a_home_that_cannot_be_written_still_gives_an_identity(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert len(this_laptop(tmp_path / "file")) == 32
