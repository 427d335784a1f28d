from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import LAPTOP, adding_all


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "Höhe 50% farm #2.herd"


@pytest.fixture
def herd(path: Path) -> Iterator[HerdFile]:
    """A new herd file holding the small herd."""
    with HerdFile.create(path, laptop=LAPTOP) as made:
        made.apply(adding_all(), "Ann")
        yield made
