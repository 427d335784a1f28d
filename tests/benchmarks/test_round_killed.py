"""Two hundred kills of a scoring process, at random moments of a round."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.journeys.killed import begin, expected, look, score_until_killed

KILLS = 200


@pytest.mark.benchmark
def test_that_two_hundred_kills_lose_no_saved_cow_and_leave_no_other(tmp_path: Path) -> None:
    saved, in_a_save = 0, 0
    for run in range(KILLS):
        folder = tmp_path / str(run)
        folder.mkdir()
        path = folder / "Ellershaw.herd"
        begin(path)
        said = score_until_killed(path, random.Random(1000 + run))
        saved += look(path, said)
        in_a_save += expected(said)[1] is not None
    print(f"\n{KILLS} kills, {in_a_save} of them inside a write: {saved} scores called saved, all there, no other")
    assert in_a_save > KILLS / 10
