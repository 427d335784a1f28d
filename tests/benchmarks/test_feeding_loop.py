"""Simulated herds fed by the program from 110 days before calving, scored again every 28; run with -m benchmark.

Autumn herds come thin and are fed up. Spring herds come half a score too fat and are slimmed by their winter feed when
left alone, faster than a plan may: there the plans gain less.
"""

from __future__ import annotations

import sys

import pytest

from tests.domain.feeding_world import season, together

pytestmark = pytest.mark.benchmark


@pytest.mark.parametrize(
    ("weeks", "least"), [(2.0, (1.25, 1.45, 1.1)), (4.0, (1.2, 1.4, 1.05)), (9.0, (1.15, 1.3, 1.0))]
)
def test_that_plans_bring_more_cows_into_the_band_than_leaving_them_alone(
    weeks: float, least: tuple[float, float, float], capsys: pytest.CaptureFixture[str]
) -> None:
    seasons = [season(2026, herd, weeks) for herd in range(40)]
    autumn, spring = ([one for one in seasons if one.spring is side] for side in (False, True))
    with capsys.disabled():
        for name, part in (("all", seasons), ("autumn", autumn), ("spring", spring)):
            sys.stdout.write(f"\ncalving over {weeks:g} weeks, {name}: {together(part)}\n")
    assert not [one.outside for one in seasons if one.outside]
    for part, times in zip((seasons, autumn, spring), least, strict=True):
        assert sum(one.in_band for one in part) >= times * sum(one.left_alone for one in part)
