"""How fast a herd is grouped and planned; run with -m benchmark."""

from __future__ import annotations

import sys
import time

import numpy as np
import pytest

from herdscore.domain.feeding import plan
from herdscore.domain.feeding_groups import Pen, propose_groups
from herdscore.domain.feeding_plan import Status
from herdscore.domain.ration_by_hand import try_ration
from tests.domain.fed_cows import TODAYS_RATION, fed_cows, usual_feeds
from tests.domain.herds import RULES

pytestmark = pytest.mark.benchmark


def test_that_200_cows_in_four_groups_are_planned_over_sixteen_weeks_within_a_second(
    capsys: pytest.CaptureFixture[str],
) -> None:
    rng = np.random.default_rng(2)
    first = rng.random(200) < 0.15
    cows = fed_cows(np.clip(rng.normal(2.5, 0.45, 200), 1.75, 3.75), rng.uniform(60, 112, 200), first_calver=first)
    feeds = usual_feeds()
    plan(cows.only(np.arange(5)), feeds, RULES, TODAYS_RATION, aim=0)  # SciPy is imported once
    taken = []
    for _ in range(3):
        begun = time.perf_counter()
        found = propose_groups(cows, [Pen(name, 60) for name in "ABCD"], RULES)
        plans = [plan(cows.only(group.cows), feeds, RULES, TODAYS_RATION, aim=group.aim) for group in found.groups]
        taken.append(time.perf_counter() - begun)
    begun = time.perf_counter()
    try_ration(cows.only(found.groups[0].cows), feeds, TODAYS_RATION + 0.4, RULES, TODAYS_RATION)
    by_hand = time.perf_counter() - begun
    with capsys.disabled():
        sys.stdout.write(f"\n200 cows, 4 groups: {min(taken):.2f} s; a ration by hand: {1000 * by_hand:.0f} ms\n")
    assert len(plans) == 4
    assert all(made.status is not Status.REFUSED for made in plans)
    assert min(taken) < 1.0
    assert by_hand < 0.2
