"""A scoring process killed at random moments of a round: all it called saved is there, and nothing else."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.journeys.killed import begin, look, score_until_killed

KILLS = 20


@pytest.fixture(scope="module")
def counted() -> list[int]:
    """Scores saved in each run, so that the runs are known to have done something."""
    return []


@pytest.mark.parametrize("run", range(KILLS))
def test_that_every_cow_called_saved_is_there_after_a_kill_and_no_other(
    tmp_path: Path, run: int, counted: list[int]
) -> None:
    path = tmp_path / "Ellershaw.herd"
    begin(path)
    counted.append(look(path, score_until_killed(path, random.Random(run))))
    assert len(counted) < KILLS or sum(counted) > 10 * KILLS
