"""A few simulated herds fed by the program from scoring to scoring; the long run stands among the benchmarks."""

from __future__ import annotations

from tests.domain.feeding_world import season


def test_that_plans_bring_more_cows_into_the_band_and_keep_the_limits() -> None:
    seasons = [season(2026, herd) for herd in range(3)]
    assert not [one.outside for one in seasons if one.outside]
    in_band, left_alone = sum(one.in_band for one in seasons), sum(one.left_alone for one in seasons)
    assert in_band > 1.15 * left_alone
    assert in_band <= sum(one.ceiling for one in seasons)
