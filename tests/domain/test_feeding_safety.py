"""The safety of every feeding plan, as properties over groups, feeds and dates of every kind."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.feeding import plan
from herdscore.domain.feeding_plan import Plan, Status
from herdscore.domain.feeds import Feeds, book_feeds, energy_in, share_eaten
from herdscore.domain.need import CowsFed, need, project_fed
from herdscore.domain.ration_checks import Limit
from tests.domain.fed_cows import fed_cows, usual_feeds
from tests.domain.herds import RULES

LIMITS, FEEDING = RULES.limits, RULES.feeding
SLACK = 1e-5
KEPT = (Status.PLANNED, Status.PART_WAY)


@st.composite
def groups(draw: st.DrawFn) -> CowsFed:
    """Up to six cows of one pen, alike or not."""
    n = draw(st.integers(1, 6))
    level = draw(st.floats(1.75, 3.75))
    due = draw(st.floats(57, 140))
    scores = [min(max(level + draw(st.floats(-0.4, 0.4)), 1.25), 4.5) for _ in range(n)]
    dues = [max(due + draw(st.floats(-15, 25)), 5.0) for _ in range(n)]
    if draw(st.booleans()):
        dues = [max(day, 60.0) for day in dues]
    first = [draw(st.sampled_from([False, False, False, True])) for _ in range(n)]
    twins = [draw(st.sampled_from([False, False, False, False, True])) for _ in range(n)]
    weight, spread = draw(st.floats(480, 800)), draw(st.floats(3, 16))
    target = draw(st.sampled_from([2.5, 3.0]))
    return fed_cows(scores, dues, weight=weight, spread=spread, target=target, first_calver=first, twins=twins)


@st.composite
def feed_lists(draw: st.DrawFn) -> Feeds:
    """Some feeds of the book, with or without prices, stock and minerals."""
    names = draw(st.lists(st.sampled_from(sorted(RULES.book_feeds)), min_size=1, max_size=6, unique=True))
    feeds = book_feeds(RULES.book_feeds[name] for name in names)

    def column(low: float, high: float) -> np.ndarray:
        values = st.one_of(st.just(float("nan")), st.floats(low, high))
        return np.array([draw(values) for _ in names])

    priced = draw(st.booleans())
    return replace(
        feeds,
        price=column(0.05, 0.6) if priced else feeds.price,
        stock=column(0, 60_000) if draw(st.booleans()) else feeds.stock,
        se=column(0, 0.4),
        cu=column(0, 30),
    )


@st.composite
def rations(draw: st.DrawFn, feeds: Feeds) -> np.ndarray | None:
    """A ration of today, sensible or absurd; None unknown."""
    if draw(st.booleans()):
        return None
    top = np.where(feeds.is_concentrate, 4.0, 9.0)
    return np.array([draw(st.one_of(st.just(0.0), st.floats(0, float(kg)))) for kg in top])


def check_said(made: Plan) -> None:
    """A plan that cannot be kept says so."""
    if made.status is Status.REFUSED:
        assert made.left_out
        assert not len(made.ration)
    if made.status is Status.NOT_FEASIBLE:
        assert made.in_the_way
    if made.status is Status.PART_WAY:
        assert made.aim
    if made.status is Status.PLANNED and made.aim:
        assert abs(made.reached - made.wanted) < 0.12


def check_steps(made: Plan, present: np.ndarray | None) -> None:
    """Steps are small, apart, and no week brings too much concentrate."""
    feeds, start = made.feeds, made.periods.start
    concentrate = made.ration[:, feeds.is_concentrate].sum(axis=1)
    assert (made.ration >= 0).all()
    assert (np.diff(start) >= FEEDING.step_days).all()
    before = made.ration[:1] if present is None else present[None, :]
    rations = np.concatenate([before, made.ration])
    more = np.maximum(np.diff(rations, axis=0), 0.0)[:, feeds.is_concentrate].sum(axis=1)
    assert (more <= FEEDING.concentrate_step + SLACK).all()
    for day in start:
        week = (start >= day) & (start < day + 7)
        assert more[week].sum() <= FEEDING.concentrate_week + SLACK
    for of in (energy_in(feeds, rations), rations.sum(axis=1)):
        assert (of[1:] >= of[:-1] * (1 - FEEDING.step_down / 100) - SLACK).all()
    assert (np.diff(energy_in(feeds, rations)) <= FEEDING.step_up_mj + SLACK).all()
    if present is None:
        assert concentrate[0] <= FEEDING.concentrate_step + SLACK


def check_rations(made: Plan, from_day: float, present: np.ndarray | None) -> None:
    """Every ration from a day on has forage, protein, bulk and minerals inside the limits; stock lasts."""
    feeds, cows = made.feeds, made.cows
    kept = 1 - FEEDING.step_down / 100
    for place, (start, ration) in enumerate(zip(made.periods.start, made.ration, strict=True)):
        if start < from_day:
            continue
        dm = ration.sum()
        waiting = cows.calving_day > start
        wanted = FEEDING.protein_first_calver if cows.first_calver[waiting].any() else FEEDING.protein
        assert ration @ feeds.cp >= wanted / 100 * dm - SLACK
        assert ration[feeds.is_forage].sum() >= FEEDING.forage_share / 100 * dm - SLACK
        was = 0.0 if present is None else present[feeds.is_concentrate].sum() * kept ** (place + 1)
        assert ration[feeds.is_concentrate].sum() <= max(FEEDING.concentrate_day, was) + SLACK
        weight = (cows.frame * (1 + 0.07105 * 2 * (cows.score - 3)) / 0.96)[waiting].mean()
        # More than she can eat, as it stands today, comes down by the largest steps.
        now = 0.0 if present is None else share_eaten(feeds, present, weight, FEEDING) * kept ** (place + 1)
        assert FEEDING.dm_floor / 100 - SLACK <= share_eaten(feeds, ration, weight, FEEDING) <= max(1, now) + SLACK
        assert ration @ np.nan_to_num(feeds.se) <= 0.5 / 0.88 * dm + SLACK
        assert ration @ np.nan_to_num(feeds.cu) <= 30 / 0.88 * dm + SLACK
    stocked = np.isfinite(feeds.stock)
    assert (made.used[stocked] <= feeds.stock[stocked] + 1e-3).all()


def check_cows(made: Plan, from_day: float) -> None:
    """Day by day no cow moves too fast, falls under her floor or, never slimmed, ends lower; then need only."""
    cows, days = made.cows, np.arange(np.ceil(made.cows.calving_day.max()))
    place = np.searchsorted(made.periods.start, days, side="right") - 1
    offered, me = made.offered[place], made.me[place]
    fed = project_fed(cows, days, np.ones(len(days)), offered, me, RULES.energy)
    waiting = (cows.calving_day[:, None] >= days + 1) & (days >= from_day)
    rate = np.where(waiting, np.diff(fed.score, axis=1), 0.0)
    assert rate.max() <= LIMITS.refused_gain * 1.001
    assert rate.min() >= -LIMITS.refused_loss * 1.001
    ahead = cows.calving_day[:, None] - days
    least = np.where(ahead < LIMITS.lead_days, FEEDING.floor_after_lead, FEEDING.floor_before_lead) / 100
    assert (np.where(waiting, offered / fed.need - least, 0.0) >= -0.004).all()
    assert (cows.score - fed.at_calving)[cows.never_slimmed].max(initial=0.0) <= FEEDING.slack_never_slimmed + 1e-3
    late = (ahead < LIMITS.lead_days) & (ahead >= LIMITS.freeze_days)
    lost = -np.where(late, np.diff(fed.score, axis=1), 0.0).sum(axis=1)
    assert lost.max() <= FEEDING.loss_after_lead + 0.01 or made.aim >= 0
    back = max(np.floor((cows.calving_day - cows.spread).min()) - LIMITS.freeze_days, from_day)
    asked = need(cows, me, days, RULES.energy, fed.score[:, :-1]).total
    alone = np.where(cows.calving_day[:, None] > days, asked, np.nan)
    for period in np.unique(place[days >= back]):
        of_period = place == period  # one ration while a cow calves and the mean need falls
        highest = max(np.nanmean(alone[:, of_period], axis=0).max() * 1.04, np.nanmax(alone[:, of_period]) * 1.005)
        assert offered[of_period].max() <= highest + 1.5


@settings(max_examples=100)
@given(st.data())
def test_that_no_plan_has_a_rate_step_floor_or_freeze_outside_the_limits(data: st.DataObject) -> None:
    cows, feeds = data.draw(groups()), data.draw(feed_lists())
    present = data.draw(rations(feeds))
    made = plan(cows, feeds, RULES, present)
    check_said(made)
    if made.aim and (cows.calving_day < LIMITS.lead_days).any():
        assert made.status is Status.REFUSED
    if made.aim < 0 and cows.never_slimmed.any():
        assert made.status is Status.REFUSED
    if not len(made.ration):
        return
    known = None if present is None or present.sum() <= 0 else present
    check_steps(made, known)
    if made.status in KEPT:
        settled = FEEDING.changeover_days if known is not None else 0.0
        check_rations(made, settled, known)
        if known is None or not _starts_outside(made, known):
            check_cows(made, settled)


def _starts_outside(made: Plan, present: np.ndarray) -> bool:
    """Whether today's ration is so far above need that steps down take longer than a changeover."""
    return float(energy_in(made.feeds, present)) > 1.35 * float(made.need[0]) or Limit.FLOOR in made.outside_now


@settings(max_examples=40)
@given(st.data())
def test_that_a_plan_seen_through_keeps_the_limits_too(data: st.DataObject) -> None:
    cows, feeds = data.draw(groups()), data.draw(feed_lists())
    made = plan(cows, feeds, RULES, None, running=True)
    check_said(made)
    if made.status in KEPT:
        check_steps(made, None)
        check_rations(made, 0.0, None)
        check_cows(made, 0.0)


@settings(max_examples=40)
@given(groups(), st.lists(st.floats(0, 1), min_size=4, max_size=4))
def test_that_with_good_feeds_most_plans_are_made_and_safe(cows: CowsFed, parts: list[float]) -> None:
    cows = replace(cows, calving_day=np.maximum(cows.calving_day, 62.0))
    feeds, present = usual_feeds(), np.array([5.0, 1.0, 0.0, 0.0]) + np.array([3.0, 2.0, 1.5, 0.3]) * parts
    made = plan(cows, feeds, RULES, present)
    check_said(made)
    if not len(made.ration):
        return
    check_steps(made, present)
    if made.status in KEPT:
        check_rations(made, FEEDING.changeover_days, present)
        if not _starts_outside(made, present):
            check_cows(made, FEEDING.changeover_days)
