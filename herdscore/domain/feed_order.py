"""The order list: what the rations written down use up of each feed, what lies in store, and mineral in bags."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calving_season import still_to_calve
from herdscore.domain.energy import Numbers
from herdscore.domain.fed_groups import FedGroup
from herdscore.domain.feeding_sheet import last_day_of
from herdscore.domain.feeds import KG_OF_TONNE, Feeds
from herdscore.domain.minerals import Order, magnesium_order, mineral_kg
from herdscore.domain.records import FEED_KINDS

MINERAL = "mineral"
DRY_MINERAL = "Dry-cow mineral"


@dataclass(frozen=True, slots=True)
class FeedLine:
    """One feed: kg fresh fed from the first day to the last, what lies in store (NaN not said), and what it costs.

    `store_ends`: first day the store does not cover, None when it lasts. `bags`: whole bags to buy, None for a feed
    that does not come in bags.
    """

    feed: str
    kind: str
    first: date
    last: date
    kg: float
    in_store: float
    store_ends: date | None
    cost: float
    groups: tuple[str, ...]
    bags: int | None

    @property
    def days(self) -> int:
        """Days from the first it is fed to the last."""
        return (self.last - self.first).days + 1

    @property
    def to_buy(self) -> float:
        """Kg fresh that do not lie in store; all of it where the store is not said."""
        return max(self.kg - (self.in_store if math.isfinite(self.in_store) else 0.0), 0.0)


@dataclass(frozen=True, slots=True)
class FeedOrder:
    """Feeds to have, and magnesium for about turnout."""

    day: date
    lines: tuple[FeedLine, ...]
    by_rule: tuple[str, ...]  # groups whose ration holds no mineral: reckoned by the rule of the last weeks
    magnesium: Order
    unknown: tuple[str, ...]  # feeds of rations that are no longer among the feeds
    without: tuple[str, ...]  # groups without a ration

    @property
    def cost(self) -> float:
        """Cost of what is to be bought; NaN when the price of one is not known."""
        return float(sum(line.cost for line in self.lines if line.to_buy > 0))


def feed_order(assessment: Assessment, groups: Sequence[FedGroup], feeds: Feeds, weeks: int | None = None) -> FeedOrder:
    """What the rations of these groups come to, so many weeks on or (None) until the last cow of each is to calve.

    A cow counts until the day she is to calve; one without a date ahead counts throughout.
    """
    a = assessment
    most = max(((last_day_of(a, group, weeks) - a.today).days + 1 for group in groups), default=0)
    known = {name.casefold(): place for place, name in enumerate(feeds.name)}
    used: dict[str, _Use] = {}
    by_rule: list[str] = []
    minerals = feeds.name[feeds.kind == MINERAL]
    mineral = str(minerals[0]) if len(minerals) else DRY_MINERAL
    for group in groups:
        days = (last_day_of(a, group, weeks) - a.today).days + 1
        day = a.dates.day[group.rows]
        heads, holds_mineral = _heads(day, days), False
        for first, last, ration in _stretches(group, a.today, days):
            if not heads[first:last].any():
                continue  # a step written down for after the last has calved
            for feed, kg in ration.items():
                if kg > 0:
                    used.setdefault(feed.casefold(), _Use(feed, most)).add(group, first, kg * heads[first:last])
                    place = known.get(feed.casefold())
                    holds_mineral |= place is not None and feeds.kind[place] == MINERAL
        dosed = _dosed(a, group, days)
        if not holds_mineral and dosed.any():
            used.setdefault(mineral.casefold(), _Use(mineral, most)).add(group, 0, dosed)
            by_rule.append(group.name)
    lines = [_line(a, feeds, one) for feed, one in used.items() if feed in known or one.feed == DRY_MINERAL]
    lines.sort(key=lambda line: (FEED_KINDS.index(line.kind), -line.kg, line.feed.casefold()))
    return FeedOrder(
        day=a.today,
        lines=tuple(lines),
        by_rule=tuple(by_rule),
        magnesium=_of_groups(magnesium_order(a), groups),
        unknown=tuple(sorted(one.feed for feed, one in used.items() if feed not in known and one.feed != DRY_MINERAL)),
        without=tuple(group.name for group in groups if not group.steps),
    )


class _Use:
    """Kg fresh of one feed on every day from today, [days], and the groups that get it."""

    def __init__(self, feed: str, days: int) -> None:
        self.feed, self.groups = feed, dict[str, None]()
        self.kg = np.zeros(days)

    def add(self, group: FedGroup, first: int, kg: Numbers) -> None:
        """Add what a group gets from a day on."""
        self.kg[first : first + len(kg)] += kg
        self.groups[group.name] = None


def _dosed(a: Assessment, group: FedGroup, days: int) -> Numbers:
    """Kg of dry-cow mineral a day by the rule: to each cow over her own last weeks before calving, [days]."""
    rules, day = a.rulebook.minerals, a.dates.day[group.rows]
    still = still_to_calve(a)[group.rows] & (day > 0)
    at = np.arange(days)
    due = still[:, None] & (day[:, None] > at) & (at >= day[:, None] - rules.dry_mineral_days)
    kg: Numbers = mineral_kg(1, rules.dry_mineral_grams, 1) * due.sum(axis=0)
    return kg


def _of_groups(order: Order, groups: Sequence[FedGroup]) -> Order:
    names = {group.name for group in groups}
    return replace(order, lines=tuple(line for line in order.lines if (line.group or "") in names))


def _heads(day: Numbers, days: int) -> Numbers:
    """Cows still to calve on each of so many days from today, [days]."""
    ahead = np.isfinite(day) & (day > 0)
    until = np.where(ahead, np.nan_to_num(day), days)
    heads: Numbers = (until[:, None] > np.arange(days)).sum(axis=0).astype(float)
    return heads


def _stretches(group: FedGroup, today: date, days: int) -> list[tuple[int, int, dict[str, float]]]:
    """Rations with the days from today on which they begin and end, within so many days."""
    starts = [max((day - today).days, 0) for day, _ in group.steps]
    made = []
    for place, (_, ration) in enumerate(group.steps):
        end = starts[place + 1] if place + 1 < len(starts) else days
        if min(end, days) > starts[place]:
            made.append((starts[place], min(end, days), ration))
    return made


def _line(a: Assessment, feeds: Feeds, use: _Use) -> FeedLine:
    fed, total = np.flatnonzero(use.kg > 0), float(use.kg.sum())
    kind, dm, in_store, price = MINERAL, math.nan, math.nan, math.nan
    if use.feed != DRY_MINERAL:
        place = feeds.place(use.feed)
        kind, dm = str(feeds.kind[place]), float(feeds.dm[place])
        in_store, price = float(feeds.stock[place]) / dm, float(feeds.price[place])
    store = in_store if math.isfinite(in_store) else 0.0
    short = np.flatnonzero(np.cumsum(use.kg) > store + 1e-6) if math.isfinite(in_store) else np.empty(0, dtype=np.intp)
    to_buy = max(total - store, 0.0)
    return FeedLine(
        feed=use.feed,
        kind=kind,
        first=a.today + timedelta(days=int(fed[0])),
        last=a.today + timedelta(days=int(fed[-1])),
        kg=total,
        in_store=in_store,
        store_ends=a.today + timedelta(days=int(short[0])) if len(short) else None,
        cost=to_buy * dm * price if to_buy > 0 else 0.0,
        groups=tuple(use.groups),
        bags=math.ceil(to_buy / a.rulebook.minerals.bag_kg - 1e-9) if kind == MINERAL else None,
    )


def say_tonnes(kg: float) -> str:
    """An amount as it is ordered: whole kg below a tonne, else tonnes with one decimal."""
    return f"{kg:,.0f}\u00a0kg" if round(kg) < KG_OF_TONNE else f"{kg / KG_OF_TONNE:,.1f}\u00a0t"
