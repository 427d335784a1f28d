"""Plans beside an independent statement of the same problem: day by day for one cow, written out in plain loops."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from scipy.optimize import linprog

from herdscore.domain.feeding import plan
from herdscore.domain.feeding_plan import Plan, Status
from herdscore.domain.feeds import Feeds, eaten_of
from herdscore.domain.need import CowsFed
from tests.domain.fed_cows import TODAYS_RATION, fed_cows, usual_feeds
from tests.domain.herds import RULES

FEEDING = RULES.feeding
Rule = tuple[dict[tuple[int, int], float], float]


def change_of(feeds: Feeds, rations: np.ndarray, present: np.ndarray) -> float:
    """Kg changed, concentrate twice, and a tenth of the MJ changed."""
    total, before = 0.0, present
    for ration in rations:
        for feed, kg in enumerate(np.abs(ration - before)):
            total += kg * (2.0 if feeds.is_concentrate[feed] else 1.0)
        total += 0.1 * abs(float(feeds.me @ (ration - before)))
        before = ration
    return total


def least_change(made: Plan, cows: CowsFed, feeds: Feeds, present: np.ndarray) -> float:
    """Least change with which one cow fed up keeps every limit about the course that was found, worked out anew."""
    periods, score = made.periods, made.fed.score[0, :-1]
    count, kinds = len(periods), len(feeds)
    rules: list[Rule] = []  # sum of factor x kg <= bound

    def at(period: int, weight: Callable[[int], float], sign: float = 1.0) -> dict[tuple[int, int], float]:
        return {(period, feed): sign * weight(feed) for feed in range(kinds)}

    eaten, size = eaten_of(feeds, FEEDING), cows.frame[0] * (1 + 0.07105 * 2 * (cows.score[0] - 3)) / 0.96
    moved: dict[tuple[int, int], float] = {}
    drift = 0.0
    lines: dict[int, float] = {}  # need in the last weeks, rising by a tenth in 21 days at most
    for p in range(count):
        start, length, me = periods.start[p], periods.length[p], made.me[p]
        m = me / 4.184
        k = (1.37 * m - 0.138 * m**2 + 0.0105 * m**3 - 1.12) / m
        n = 5 + 2 * (score[p] - 3)
        factor, held = 1 + 0.07105 * (n - 5), 1.145050 + 0.316166 * n
        per_score = 2 * 4.184 * 0.851 * cows.frame[0] * (0.07105 * held + 0.316166 * factor)

        def needed(day: float, shrunk: float = cows.frame[0] * factor, share: float = k) -> float:
            t = min(285 - (cows.calving_day[0] - day), 290)
            calf = 0.004184 * 42 * (0.4504 - 0.000766 * t) * np.exp((0.03233 - 0.0000275 * t) * t)
            return 4.184 * 0.077 * shrunk**0.75 / share + calf

        middle, last = start + (length - 1) / 2, start + length - 1
        fastest = 0.98 * 0.5 / 42 * per_score * 1.3 / k
        share = 0.85 if cows.calving_day[0] - last < 56 else 0.75
        floor = max(1.005 * share * needed(last), needed(last) - 0.98 * 0.5 / 56 * per_score * 0.8 / k)
        energy = feeds.me.__getitem__
        early = start < 14
        now = float(feeds.me @ present)
        rules.append((at(p, energy), max(needed(start) + fastest, now if early else 0.0)))
        rules.append((at(p, energy, -1.0), -min(max(floor, 0.0), now if early else np.inf)))
        asked = needed(middle)
        if p >= periods.back:
            then = [q for q in lines if periods.start[q] <= start - 21]
            lines[p] = asked = min(asked, 1.1 * lines[max(then) if then else periods.back] if lines else asked)
            rules.append((at(p, energy), 1.03 * needed(middle)))
        rules.append((at(p, energy, -1.0), -min(asked, now if early else np.inf)))
        late = 0.9 if cows.calving_day[0] - start <= 21 else 1.0
        rules.append((at(p, lambda feed: 100 / eaten[feed] / size), late))
        rules.append((at(p, lambda feed: -100 / eaten[feed] / size), -0.75))
        rules.append((at(p, lambda feed: 0.6 - feeds.is_forage[feed]), 0.0))
        rules.append((at(p, lambda feed: 0.09 - feeds.cp[feed]), 0.0))
        rules.append((at(p, lambda feed: float(feeds.is_concentrate[feed])), 3.0))
        gains = made.offered[p] > made.fed.need[0, p]
        worth = length * k / (1.3 if gains else 0.8) / per_score
        for feed in range(kinds):
            moved[p, feed] = worth * feeds.me[feed]
        drift -= worth * needed(middle)
    # What the plan reaches about this course, so that both are asked for the same.
    reached = sum(value * made.ration[place] for place, value in moved.items())
    assert reached + drift == pytest.approx(made.wanted - 0.02, abs=0.02)
    rules.append(({place: -value for place, value in moved.items()}, -reached))
    return _solved(rules, periods.start, feeds, present, count)


def _solved(rules: list[Rule], start: np.ndarray, feeds: Feeds, present: np.ndarray, count: int) -> float:
    """Solve: kg by period and feed, then size of every change of kg and of MJ as variables of their own."""
    kinds = len(feeds)
    wide = count * kinds * 2 + count
    matrix: list[np.ndarray] = []
    bound: list[float] = []

    def add(factors: dict[int, float], most: float) -> None:
        row = np.zeros(wide)
        for place, factor in factors.items():
            row[place] += factor
        matrix.append(row)
        bound.append(most)

    for factors, most in rules:
        add({p * kinds + feed: factor for (p, feed), factor in factors.items()}, most)
    for p in range(count):
        # Change sizes: each at least the difference either way.
        for feed, sign in product(range(kinds), (1.0, -1.0)):
            factors = {p * kinds + feed: sign, count * kinds + p * kinds + feed: -1.0}
            if p:
                factors[(p - 1) * kinds + feed] = -sign
            add(factors, 0.0 if p else sign * present[feed])
        for sign in (1.0, -1.0):
            factors = {p * kinds + feed: sign * feeds.me[feed] for feed in range(kinds)}
            factors[2 * count * kinds + p] = -1.0
            if p:
                factors |= {(p - 1) * kinds + feed: -sign * feeds.me[feed] for feed in range(kinds)}
            add(factors, 0.0 if p else sign * float(feeds.me @ present))
        before = {} if not p else {(p - 1) * kinds + feed: 1.0 for feed in range(kinds)}

        def step(weight: np.ndarray, now: float, then: float, most: float, p: int = p) -> None:
            factors = {p * kinds + feed: now * weight[feed] for feed in range(kinds)}
            if p:
                factors |= {(p - 1) * kinds + feed: then * weight[feed] for feed in range(kinds)}
            add(factors, most if p else most - then * float(weight @ present))

        step(feeds.me, 1.0, -1.0, 10.0)
        step(feeds.me, -1.0, 0.9, 0.0)
        step(np.ones(kinds), -1.0, 0.9, 0.0)
        concentrate, forage = np.flatnonzero(feeds.is_concentrate), np.flatnonzero(feeds.is_forage)
        for chosen in product((0, 1), repeat=len(concentrate)):  # every set of them rises by half a kg at most
            some = np.zeros(kinds)
            some[concentrate] = chosen
            step(some, 1.0, -1.0, 0.5)
        for chosen in product((0, 1), repeat=len(forage)):
            some = np.zeros(kinds)
            some[forage] = chosen
            factors = {p * kinds + feed: some[feed] for feed in range(kinds)}
            for place in before:
                factors[place] = factors.get(place, 0.0) - some[place - (p - 1) * kinds] - 0.25
            add(factors, 0.0 if p else float(some @ present) + 0.25 * float(present.sum()))
    weights = np.array([2.0 if feed else 1.0 for feed in feeds.is_concentrate])
    cost = np.concatenate([np.zeros(count * kinds), np.tile(weights, count), np.full(count, 0.1)])
    found = linprog(cost, A_ub=np.array(matrix), b_ub=np.array(bound), method="highs-ipm")
    assert found.status == 0, found.message
    return float(found.fun)


@pytest.mark.parametrize(("score", "due"), [(2.0, 95.0), (2.2, 110.0), (2.25, 75.0)])
def test_that_no_ration_keeps_the_limits_with_less_change(score: float, due: float) -> None:
    cows, feeds = fed_cows(score, due), replace(usual_feeds(), price=np.full(4, np.nan))
    made = plan(cows, feeds, RULES, TODAYS_RATION)
    assert made.status is Status.PLANNED
    found = change_of(feeds, made.ration, TODAYS_RATION)
    assert found == pytest.approx(least_change(made, cows, feeds, TODAYS_RATION), rel=0.01)


def test_that_a_price_makes_the_ration_cheaper_for_little_more_change() -> None:
    cows, priced = fed_cows(2.0, 95.0), usual_feeds()
    blind = plan(cows, replace(priced, price=np.full(4, np.nan)), RULES, TODAYS_RATION)
    made = plan(cows, priced, RULES, TODAYS_RATION)
    paid = [float(one.used @ priced.price) for one in (blind, made)]
    assert paid[1] < 0.95 * paid[0]
    assert made.cost == pytest.approx(paid[1])
    more = [change_of(priced, one.ration, TODAYS_RATION) for one in (blind, made)]
    assert more[1] <= 1.12 * more[0]


@pytest.mark.parametrize("price", [True, False])
def test_that_a_rise_is_spread_over_the_steps_there_are(price: bool) -> None:
    """Some 28 MJ in all: the largest step is well below the limit on one, and change and cost stay what they were."""
    rng = np.random.default_rng(2)
    cows = fed_cows(np.clip(rng.normal(2.0, 0.25, 20), 1.75, 3.9), rng.uniform(75, 105, 20))
    feeds = usual_feeds()
    feeds = feeds if price else replace(feeds, price=np.full(len(feeds), np.nan))
    hasty = replace(RULES, feeding=replace(FEEDING, even_slack=-5.0))  # no room at all: the first ration found stays
    made, first = (plan(cows, feeds, rules, TODAYS_RATION) for rules in (RULES, hasty))
    steps, at_first = (
        np.abs(np.diff(np.append(float(feeds.me @ TODAYS_RATION), one.offered))) for one in (made, first)
    )
    assert at_first.max() > 0.95 * FEEDING.step_up_mj
    assert steps.max() < 0.9 * at_first.max()
    assert made.reached == pytest.approx(first.reached, abs=0.005)
    assert change_of(feeds, made.ration, TODAYS_RATION) <= 1.02 * change_of(feeds, first.ration, TODAYS_RATION)
    if price:
        assert made.cost <= 1.02 * first.cost
