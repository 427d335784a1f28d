"""Simulated herds fed by the program from 110 days before calving, scored again every 28; run with -m benchmark.

Without a plan 25 to 27 in 100 cows calve in their band, as in the trajectory simulator the herds are drawn from.
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor

import pytest

from tests.domain.feeding_world import Season, season, together

pytestmark = pytest.mark.benchmark
SEEDS = (2026, 1, 2, 3)


@pytest.mark.parametrize(
    ("weeks", "herds", "least"),
    [(2.0, 20, (1.5, 1.5, 1.4)), (4.0, 60, (1.5, 1.6, 1.3)), (9.0, 20, (1.45, 1.5, 1.3))],
)
def test_that_plans_bring_more_cows_into_the_band_than_leaving_them_alone(
    weeks: float, herds: int, least: tuple[float, float, float], capsys: pytest.CaptureFixture[str]
) -> None:
    seasons = simulated(weeks, herds)
    autumn, spring = ([one for one in seasons if one.spring is side] for side in (False, True))
    with capsys.disabled():
        for name, part in (("all", seasons), ("autumn", autumn), ("spring", spring)):
            sys.stdout.write(f"\ncalving over {weeks:g} weeks, {name}: {together(part)}\n")
    assert not [one.outside for one in seasons if one.outside]
    for part, times in zip((seasons, autumn, spring), least, strict=True):
        assert sum(one.in_band for one in part) >= times * sum(one.left_alone for one in part)


def simulated(weeks: float, herds: int) -> list[Season]:
    """So many herds of every seed."""
    asked = [(seed, herd) for seed in SEEDS for herd in range(herds)]
    with ProcessPoolExecutor() as workers:
        return list(workers.map(season, *zip(*asked, strict=True), [weeks] * len(asked)))
