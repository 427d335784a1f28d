"""A group's rations over the periods as one linear programme, as rows with a name each; solved elsewhere.

Variables in order: ration x [P, F], what comes more and less of each feed at a period's start [P, F] each, energy more
and less [P] each, distance from the wanted change. F are the feeds fed for energy; MJ ME, kg dry matter, score.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from herdscore.domain.energy import Flags, Numbers
from herdscore.domain.feeding_forms import FeedingLimits
from herdscore.domain.feeding_periods import WEEK, Periods
from herdscore.domain.feeds import Feeds, ceilings_per_kg, eaten_of
from herdscore.domain.need import Places
from herdscore.domain.ration_checks import OF_ELEMENT, Limit
from herdscore.domain.rulebook import Rulebook

OF_ENERGY = frozenset(
    (Limit.NEED, Limit.FLOOR, Limit.GAIN, Limit.FREEZE, Limit.LATE_RISE, Limit.NEVER_SLIMMED, Limit.LATE_LOSS)
)
"""Limits that give way when the best gentle plan is sought; the others never do."""
HELD_SLACK = 1e-6  # of a sum that is held, for the solver
ONE_COW = 3.0  # times that a single cow's score weighs against that of one among her mates
FORAGE_ROOM, PROTEIN_ROOM = 0.6, 0.09  # kg; a tenth of a usual ration's


@dataclass(frozen=True, eq=False)
class OneCow:
    """A row of one cow: the sum of score per MJ [P] times offered energy is at least so much."""

    limit: Limit
    cow: int
    per_mj: Numbers
    least: float


@dataclass(frozen=True, eq=False)
class EnergyRows:
    """Bounds on offered energy by period [P], and what it does to the cows; NaN bounds do not bind."""

    floor: Numbers  # each member's least share of need, and her refused speed of loss
    floor_cow: Places  # the member it hangs on
    cap: Numbers  # refused speed of gain of the member who needs least
    cap_cow: Places
    least: Numbers  # need, where the aim wants no less
    most: Numbers  # need, where the aim wants no more
    most_of: tuple[Limit, ...]  # why no more, by period
    score_per_mj: Numbers  # [P], of the average cow, over the whole period
    score_at_need: float  # her change if nothing were offered, summed up
    wanted: float
    tolerance: float
    cows: int
    single: list[OneCow] = field(default_factory=list)


@dataclass(frozen=True, eq=False)
class Rows:
    """Constraints low <= A x <= high, one name a row; `room` is what a tenth more of the limit would be."""

    matrix: Numbers
    low: Numbers
    high: Numbers
    limit: npt.NDArray[np.object_]
    room: Numbers
    cow: Places  # the cow a row hangs on, -1 none
    price: Numbers  # of giving way by a unit, in scores of the average cow

    @property
    def variables(self) -> int:
        """Number of variables."""
        return int(self.matrix.shape[1])


@dataclass(frozen=True, eq=False)
class GroupFeeds:
    """What the programme is told beside energy: feeds for energy, the ration now (None unknown), minerals dosed."""

    feeds: Feeds
    present: Numbers | None
    dosed: dict[str, Numbers]  # element: mg over its ceiling of dry matter in the doses, [P]
    weight: Numbers  # [P], mean live weight
    late: Flags  # [P], within the weeks of smaller intake
    first_calver: Flags  # [P], one waits in the group


class _Table:
    """Rows as they are made; those that today's ration breaks hold as it is now for the days of a changeover."""

    def __init__(self, periods: Periods, feeds: GroupFeeds, limits: FeedingLimits) -> None:
        self.periods, self.group, self.limits = periods, feeds, limits
        self.p, self.f = len(periods), len(feeds.feeds)
        self.variables = 3 * self.p * self.f + 2 * self.p + 1
        self.parts: list[tuple[Numbers, float, float, Limit, float, int, float]] = []

    def row(self) -> Numbers:
        """An empty row."""
        return np.zeros(self.variables)

    def of_ration(self, period: int) -> slice:
        """Places of the ration of a period."""
        return slice(period * self.f, (period + 1) * self.f)

    def more(self, period: int) -> slice:
        """Places of what comes more at its start."""
        return slice((self.p + period) * self.f, (self.p + period + 1) * self.f)

    def less(self, period: int) -> slice:
        """Places of what comes less at its start."""
        return slice((2 * self.p + period) * self.f, (2 * self.p + period + 1) * self.f)

    def add(
        self,
        row: Numbers,
        low: float,
        high: float,
        limit: Limit,
        room: float,
        cow: int = -1,
        price: float | None = None,
    ) -> None:
        """Keep a row."""
        self.parts.append((row, low, high, limit, room, cow, 1 / max(room, 1e-9) if price is None else price))

    def bound(
        self, period: int, weights: Numbers, low: float, high: float, limit: Limit, room: float, cow: int = -1
    ) -> None:
        """low <= weights . ration <= high in a period; where today's ration is outside, as near as steps allow.

        What is too much falls by the largest steps down; all else is no worse than now while a changeover lasts.
        """
        present = self.group.present
        if present is not None:
            now = float(weights @ present)
            if self.periods.start[period] < self.limits.changeover_days:
                low, high = min(low, now), max(high, now)
            elif (weights >= 0).all():
                high = max(high, now * (1.0 - self.limits.step_down / 100.0) ** (period + 1))
        row = self.row()
        row[self.of_ration(period)] = weights
        self.add(row, low, high, limit, room, cow)

    def rows(self) -> Rows:
        """All rows."""
        limit = np.empty(len(self.parts), dtype=object)
        limit[:] = [part[3] for part in self.parts]
        return Rows(
            np.array([part[0] for part in self.parts]),
            np.array([part[1] for part in self.parts]),
            np.array([part[2] for part in self.parts]),
            limit,
            np.array([part[4] for part in self.parts]),
            np.array([part[5] for part in self.parts], dtype=np.intp),
            np.array([part[6] for part in self.parts]),
        )


def programme(periods: Periods, group: GroupFeeds, energy: EnergyRows, rules: Rulebook) -> Rows:
    """Every constraint of a group's plan."""
    table = _Table(periods, group, rules.feeding)
    _steps(table)
    _rations(table, rules)
    _stock(table)
    _energy(table, energy)
    return table.rows()


def change_weights(feeds: Feeds, periods: int, limits: FeedingLimits) -> Numbers:
    """Objective of least change: kg and MJ more and less, concentrate weighing more; zero for all else, [variables]."""
    each: Numbers = np.where(feeds.is_concentrate, limits.concentrate_weight, 1.0)
    change, moved = np.tile(each, periods), np.full(2 * periods, limits.energy_weight)
    return np.concatenate([np.zeros(len(change)), change, change, moved, [0.0]])


def cost_weights(feeds: Feeds, periods: Periods) -> Numbers:
    """Objective of least cost: price of everything fed to every cow, [variables]."""
    of_ration = (periods.cow_days[:, None] * feeds.price).ravel()
    return np.concatenate([of_ration, np.zeros(2 * len(of_ration) + 2 * len(periods) + 1)])


def distance_of(rows: Rows) -> Numbers:
    """Weights of the distance from the wanted change alone, [variables]."""
    weights = np.zeros(rows.variables)
    weights[-1] = 1.0
    return weights


def held(rows: Rows, kept: list[tuple[Numbers, float]]) -> Rows:
    """The same rows, and weighted sums that may not become larger than they are."""
    count = len(kept)
    return replace(
        rows,
        matrix=np.vstack([rows.matrix, *(weights for weights, _ in kept)]),
        low=np.append(rows.low, np.full(count, -np.inf)),
        high=np.append(rows.high, [most + HELD_SLACK for _, most in kept]),
        limit=np.append(rows.limit, [Limit.WANTED] * count),
        room=np.append(rows.room, np.zeros(count)),
        cow=np.append(rows.cow, np.full(count, -1)),
        price=np.append(rows.price, np.zeros(count)),
    )


def with_largest_step(rows: Rows, periods: int) -> Rows:
    """The same rows with one variable more at the end: MJ of the largest step, up or down."""
    steps = np.zeros((periods, rows.variables + 1))
    first = rows.variables - 1 - 2 * periods
    for p in range(periods):
        steps[p, first + p] = steps[p, first + periods + p] = 1.0
        steps[p, -1] = -1.0
    wider = replace(rows, matrix=np.hstack([rows.matrix, np.zeros((len(rows.matrix), 1))]))
    return held(wider, [(step, 0.0) for step in steps])


def _steps(table: _Table) -> None:
    """What one step and one week may bring."""
    limits, group = table.limits, table.group
    concentrate, forage = group.feeds.is_concentrate.astype(float), group.feeds.is_forage.astype(float)
    me, one = group.feeds.me, np.ones(table.f)
    for p in range(table.p):
        row = table.row()
        if p == 0 and group.present is None:
            row[table.of_ration(0)] = concentrate
            table.add(row, -np.inf, limits.concentrate_step, Limit.CONCENTRATE_STEP, limits.concentrate_step / 10)
            continue
        _link(table, p)
        row[table.more(p)] = concentrate
        table.add(row, -np.inf, limits.concentrate_step, Limit.CONCENTRATE_STEP, limits.concentrate_step / 10)
        kept = 1.0 - limits.step_down / 100.0
        _step(table, p, me, 1.0, -np.inf, limits.step_up_mj, Limit.STEP_UP, limits.step_up_mj / 10)
        _step(table, p, me, kept, 0.0, np.inf, Limit.STEP_DOWN, 1.0)
        _step(table, p, one, kept, 0.0, np.inf, Limit.STEP_DOWN, 0.1)
        row, before = table.row(), -limits.changeover_share / 100.0 * one
        row[table.more(p)] = forage
        high = 0.0
        if p:
            row[table.of_ration(p - 1)] = before
        elif group.present is not None:
            high = -float(before @ group.present)
        table.add(row, -np.inf, high, Limit.CHANGEOVER, 0.25)
    for p in range(table.p):
        within = [q for q in range(p, table.p) if table.periods.start[q] < table.periods.start[p] + WEEK]
        if len(within) > 2:
            row = table.row()
            for q in within:
                row[table.more(q)] = concentrate
            table.add(row, -np.inf, limits.concentrate_week, Limit.CONCENTRATE_WEEK, limits.concentrate_week / 10)


def _link(table: _Table, p: int) -> None:
    """Ration = ration before + more - less, feed by feed and in energy."""
    present = table.group.present
    for f in range(table.f):
        row = table.row()
        row[table.of_ration(p).start + f] = 1.0
        row[table.more(p).start + f], row[table.less(p).start + f] = -1.0, 1.0
        before = 0.0
        if p:
            row[table.of_ration(p - 1).start + f] = -1.0
        elif present is not None:
            before = float(present[f])
        table.add(row, before, before, Limit.NEED, 0.0)
    row, me, before = table.row(), table.group.feeds.me, 0.0
    row[table.of_ration(p)] = me
    row[3 * table.p * table.f + p], row[(3 * table.f + 1) * table.p + p] = -1.0, 1.0
    if p:
        row[table.of_ration(p - 1)] = -me
    elif present is not None:
        before = float(me @ present)
    table.add(row, before, before, Limit.NEED, 0.0)


def _step(
    table: _Table, p: int, weights: Numbers, kept: float, low: float, high: float, limit: Limit, room: float
) -> None:
    """low <= weights . ration - kept x weights . ration before <= high."""
    row, present = table.row(), table.group.present
    row[table.of_ration(p)] = weights
    if p:
        row[table.of_ration(p - 1)] = -kept * weights
    elif present is not None:
        before = kept * float(weights @ present)
        low, high = low + before, high + before
    table.add(row, low, high, limit, room)


def _rations(table: _Table, rules: Rulebook) -> None:
    """What every ration must be."""
    limits, feeds = table.limits, table.group.feeds
    concentrate, cp = feeds.is_concentrate.astype(float), np.nan_to_num(feeds.cp)
    forage = feeds.is_forage.astype(float) - limits.forage_share / 100.0
    eaten = 100.0 / eaten_of(feeds, limits)
    ceilings = ceilings_per_kg(rules.minerals)
    known = {element: np.nan_to_num(getattr(feeds, element)) for element in ceilings}
    for p in range(table.p):
        table.bound(p, concentrate, -np.inf, limits.concentrate_day, Limit.CONCENTRATE, limits.concentrate_day / 10)
        table.bound(p, forage, 0.0, np.inf, Limit.FORAGE, FORAGE_ROOM)
        wanted = limits.protein_first_calver if table.group.first_calver[p] else limits.protein
        table.bound(p, cp - wanted / 100.0, 0.0, np.inf, Limit.PROTEIN, PROTEIN_ROOM)
        share = eaten / table.group.weight[p]
        late = limits.late_intake if table.group.late[p] else 1.0
        table.bound(p, share, -np.inf, late, Limit.INTAKE, 0.1)
        table.bound(p, share, limits.dm_floor / 100.0, np.inf, Limit.DM_FLOOR, 0.075)
        for element, ceiling in ceilings.items():
            if known[element].max(initial=0.0) <= 0 and table.group.dosed[element][p] <= 0:
                continue
            over = known[element] - ceiling
            table.bound(p, over, -np.inf, -table.group.dosed[element][p], OF_ELEMENT[element], ceiling)


def _stock(table: _Table) -> None:
    """No more than lies in store."""
    feeds = table.group.feeds
    for f in np.flatnonzero(np.isfinite(feeds.stock)):
        row = table.row()
        row[f : table.p * table.f : table.f] = table.periods.cow_days
        table.add(row, -np.inf, float(feeds.stock[f]), Limit.STOCK, max(float(feeds.stock[f]) / 10, 1.0))


def _energy(table: _Table, energy: EnergyRows) -> None:
    """Energy by period, the wanted change, and single cows' course."""
    me = table.group.feeds.me
    for p in range(table.p):
        table.bound(p, me, float(energy.floor[p]), np.inf, Limit.FLOOR, 4.0, int(energy.floor_cow[p]))
        table.bound(p, me, -np.inf, float(energy.cap[p]), Limit.GAIN, 1.0, int(energy.cap_cow[p]))
        if not np.isnan(energy.least[p]):
            table.bound(p, me, float(energy.least[p]), np.inf, Limit.NEED, 3.0)
        if not np.isnan(energy.most[p]):
            table.bound(p, me, -np.inf, float(energy.most[p]), energy.most_of[p], 3.0)
    row = _over_periods(table, energy.score_per_mj)
    goal = energy.wanted - energy.score_at_need
    for side, low, high in ((1.0, goal - energy.tolerance, np.inf), (-1.0, -np.inf, goal + energy.tolerance)):
        reach = row.copy()
        reach[-1] = side
        table.add(reach, low, high, Limit.WANTED, 0.05)
    for one in energy.single:
        table.add(_over_periods(table, one.per_mj), one.least, np.inf, one.limit, 0.1, one.cow, ONE_COW / energy.cows)


def _over_periods(table: _Table, per_mj: Numbers) -> Numbers:
    row = table.row()
    row[: table.p * table.f] = (per_mj[:, None] * table.group.feeds.me).ravel()
    return row
