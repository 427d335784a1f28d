"""Plan a group's rations from today to calving: least change, then least cost, then even steps, inside every limit.

The only module of the domain that knows SciPy, imported when a plan is made. MJ ME, kg dry matter, days from today.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from herdscore.domain import energy
from herdscore.domain.energy import Numbers
from herdscore.domain.feeding_cows import refusals_of_start, wanted_change
from herdscore.domain.feeding_energy import energy_rows
from herdscore.domain.feeding_periods import Periods, periods_of
from herdscore.domain.feeding_plan import InTheWay, Plan, Status
from herdscore.domain.feeding_programme import (
    OF_ENERGY,
    GroupFeeds,
    Rows,
    change_weights,
    cost_weights,
    distance_of,
    held,
    programme,
    with_largest_step,
)
from herdscore.domain.feeds import Feeds, ceilings_per_kg, energy_in, me_per_kg
from herdscore.domain.need import CowsFed, Fed, need_second, project_fed
from herdscore.domain.ration_checks import Limit, State, checks_of
from herdscore.domain.rulebook import Rulebook

ROUNDS = 5
SAME_ME = 0.05  # MJ/kg dry matter; less is the same k
AWAY_WEIGHT = 1e3  # kg of change that a score away from the wanted change counts as
TOLERANCE, HOLD_TOLERANCE = 0.02, 0.05  # score about the wanted change
OF_LARGEST = 1e-3  # MJ of the largest step that a kg of change counts as, so that nothing moves for nothing
SHORT = 0.03  # score beyond the tolerance that makes a plan "part way"
GIVES = 1e-6
TRUE_SLACK = {
    Limit.FLOOR: 0.3,
    Limit.GAIN: 0.5,
    Limit.NEED: 1.0,
    Limit.FREEZE: 1.0,
    Limit.LATE_RISE: 1.0,
    Limit.NEVER_SLIMMED: 0.009,
    Limit.LATE_LOSS: 0.003,
}
"""MJ, or score, by which a plan may miss a limit about its true course; less than the headroom kept of each."""


@dataclass(frozen=True, eq=False)
class _Solved:
    values: Numbers  # of every variable
    duals: Numbers  # of each row, per unit of its bound
    given: Numbers  # of each row, how far it gave way

    @property
    def away(self) -> float:
        """Score between the wanted change, with its tolerance, and what is reached."""
        return float(self.values[-1])


@dataclass(frozen=True, eq=False)
class _Round:
    solved: _Solved
    made: Plan
    hard: bool  # inside every limit, not only inside those that never give
    moved: float  # MJ/kg dry matter, against the round before


def plan(
    cows: CowsFed,
    feeds: Feeds,
    rules: Rulebook,
    present: Numbers | None = None,
    *,
    minerals: tuple[str, ...] | None = None,
    running: bool = False,
    wanted: float | None = None,
    aim: int | None = None,
) -> Plan:
    """Plan one group of scored and dated cows. `present` [F] is the ration of today, kg dry matter, None unknown.

    `minerals` are fed by their dose (None: the first mineral there is). `running` sees a begun change through;
    `wanted` overrides the mean change of score by calving, and `aim` what it is fed for (0: to need).
    """
    if not len(cows):
        raise ValueError("A plan needs a cow.")
    change = float(wanted_change(cows, rules.limits, running=running).mean()) if wanted is None else wanted
    if aim is None:
        aim = 0 if abs(change) <= rules.feeding.hold_within else int(np.sign(change))
    periods = periods_of(cows, rules)
    in_the_way = refusals_of_start(cows, slimming=aim < 0, running=running, limits=rules.limits) if aim else []
    if in_the_way:
        empty = _empty(cows, feeds, periods, present, aim, change)
        return replace(empty, status=Status.REFUSED, left_out=tuple(in_the_way))
    return _Planner(
        cows, feeds, rules, present, periods, aim, change, _dosed(feeds, minerals, cows, periods, rules)
    ).plan()


def plan_groups(groups: list[tuple[CowsFed, Numbers | None]], feeds: Feeds, rules: Rulebook) -> list[Plan]:
    """Plan several groups in order; what one uses is gone from the stock of the next."""
    plans = []
    for cows, present in groups:
        made = plan(cows, feeds, rules, present)
        plans.append(made)
        if len(made.ration):
            feeds = replace(feeds, stock=np.maximum(feeds.stock - made.used, 0.0))
    return plans


def _dosed(feeds: Feeds, minerals: tuple[str, ...] | None, cows: CowsFed, periods: Periods, rules: Rulebook) -> Numbers:
    """Kg dry matter of minerals by period, [P, F]: from the day the first cow is within the mineral's days."""
    names = minerals if minerals is not None else tuple(feeds.name[feeds.kind == "mineral"][:1])
    chosen = np.array([name in names for name in feeds.name], dtype=bool) & feeds.is_dosed
    waiting = np.where(periods.spent > 0, cows.calving_day[:, None], np.inf).min(axis=0)
    due = waiting - (periods.start + periods.length) < rules.minerals.dry_mineral_days
    return np.where(due[:, None] & chosen, np.nan_to_num(feeds.dose), 0.0)


def _empty(cows: CowsFed, feeds: Feeds, periods: Periods, present: Numbers | None, aim: int, wanted: float) -> Plan:
    none, held = np.empty(0), np.repeat(cows.score[:, None], 1, axis=1)
    still = np.zeros(len(cows))
    fed = Fed(held, np.empty((len(cows), 0)), cows.score, still, still, still + np.inf)
    return Plan(
        *(Status.NOT_FEASIBLE, aim, cows, feeds, periods, present),
        ration=np.empty((0, len(feeds))),
        offered=none,
        me=none,
        need=none,
        need_second=none,
        wanted=wanted,
        fed=fed,
    )


class _Planner:
    """One group's plan on its way: k held, solved, k and courses recomputed."""

    def __init__(
        self,
        cows: CowsFed,
        feeds: Feeds,
        rules: Rulebook,
        present: Numbers | None,
        periods: Periods,
        aim: int,
        wanted: float,
        dosed: Numbers,
    ) -> None:
        self.cows, self.feeds, self.rules, self.present = cows, feeds, rules, present
        self.periods, self.aim, self.wanted, self.dosed = periods, aim, wanted, dosed
        self.fed_for_energy = ~feeds.is_dosed
        self.used = feeds.only(self.fed_for_energy)
        self.now = None if present is None else present[self.fed_for_energy]
        if self.now is not None and self.now.sum() <= 0:
            self.now = None
        self.group = self._group()

    def plan(self) -> Plan:
        """Solve until k stands still and every cow's course is safe; else say what stands in the way."""
        me, score, offered = self._first_me(), self._level(), None
        sound: Plan | None = None
        last: _Round | None = None
        for count in range(1, ROUNDS + 2):
            rows = self._rows(me, score, offered)
            if last is not None:
                kept = last.hard and _holds(rows, last.solved.values)
                sound = last.made if kept else sound
                if (kept or not last.hard) and last.moved < SAME_ME:
                    break
            if count > ROUNDS:
                break
            found = self._solve(rows)
            if found is None:
                break
            solved, hard = found
            made = self._made(solved, rows, hard, count)
            last = _Round(solved, made, hard, float(np.abs(made.me - me).max()))
            me, score, offered = made.me, made.fed.score[:, :-1], made.offered
        return sound if sound is not None else self._best_gentle(rows, last)

    def _solve(self, rows: Rows) -> tuple[_Solved, bool] | None:
        """A ration inside every limit: least change, cheapest, then evenest; else one that gives way in energy only."""
        solved = _solve(rows, self._change(), give=None)
        if solved is not None:
            return self._evenest(rows, self._cheapest(rows, solved)), True
        solved = _solve(rows, self._change(), give=OF_ENERGY)
        return None if solved is None else (solved, False)

    def _best_gentle(self, rows: Rows, last: _Round | None) -> Plan:
        """What is said when no plan keeps every limit: the best gentle one, or only the limits in the way."""
        if last is None:
            solved = _solve(rows, self._change(), give=frozenset(Limit))
            ways = () if solved is None else self._broken(rows, solved)
            return replace(self._empty(), in_the_way=ways)
        solved = _solve(rows, self._change(), give=OF_ENERGY)
        best = last.made if solved is None else self._made(solved, rows, False, ROUNDS)
        if best.in_the_way:
            return best
        missed = _missed(rows, last.solved.values) or {Limit.NEED: 1.0}
        return replace(
            best, status=Status.NOT_FEASIBLE, in_the_way=(InTheWay(max(missed, key=missed.__getitem__), True),)
        )

    def _rows(self, me: Numbers, score: Numbers, offered: Numbers | None) -> Rows:
        present = None if self.now is None else float(energy_in(self.used, self.now))
        tolerance = TOLERANCE if self.aim else HOLD_TOLERANCE
        wanted = self.wanted if self.aim else 0.0
        limits = energy_rows(
            self.cows, self.periods, me, score, offered, present, self.aim, wanted, tolerance, self.rules
        )
        return programme(self.periods, self.group, limits, self.rules)

    def _first_me(self) -> Numbers:
        """Ration's energy to begin with: today's, else the forages' mean."""
        if self.now is not None:
            me = float(me_per_kg(self.used, self.now))
        else:
            me = float(self.used.me[self.used.is_forage].mean()) if self.used.is_forage.any() else self.used.me.mean()
        return np.full(len(self.periods), me)

    def _level(self) -> Numbers:
        return np.repeat(self.cows.score[:, None], len(self.periods), axis=1)

    def _change(self) -> Numbers:
        weights = change_weights(self.used, len(self.periods), self.rules.feeding)
        weights[-1] = AWAY_WEIGHT
        return weights

    def _cheapest(self, rows: Rows, solved: _Solved) -> _Solved:
        """The cheapest of the rations that change least; the first found when a price is missing."""
        if np.isnan(self.used.price).any():
            return solved
        change = self._unweighted_change()
        least = float(change @ solved.values) * (1 + self.rules.feeding.change_slack / 100.0)
        rows = held(rows, [(change, least), (distance_of(rows), solved.away)])
        cheapest = _solve(rows, cost_weights(self.used, self.periods), give=None)
        return solved if cheapest is None else replace(cheapest, duals=solved.duals, given=solved.given)

    def _evenest(self, rows: Rows, solved: _Solved) -> _Solved:
        """Of rations that change and cost as little, those whose largest step of energy is smallest."""
        slack = 1 + self.rules.feeding.even_slack / 100.0
        change, cost = self._unweighted_change(), cost_weights(self.used, self.periods)
        kept = [(change, float(change @ solved.values) * slack), (distance_of(rows), solved.away)]
        if not np.isnan(cost).any():
            kept.append((cost, float(cost @ solved.values) * slack))
        wider = with_largest_step(held(rows, kept), len(self.periods))
        found = _solve(wider, np.append(change * OF_LARGEST, 1.0), give=None)
        if found is None:
            return solved
        return replace(solved, values=found.values[:-1])

    def _unweighted_change(self) -> Numbers:
        change = self._change()
        change[-1] = 0.0
        return change

    def _group(self) -> GroupFeeds:
        waiting = self.periods.spent > 0
        weight = energy.live_weight(self.cows.frame, self.cows.score, self.rules.energy)[:, None]
        nearest = np.where(waiting, self.cows.calving_day[:, None] - self.periods.start, np.inf).min(axis=0)
        dosed = {
            element: (self.dosed * (np.nan_to_num(getattr(self.feeds, element)) - ceiling)).sum(axis=1)
            for element, ceiling in ceilings_per_kg(self.rules.minerals).items()
        }
        return GroupFeeds(
            feeds=self.used,
            present=self.now,
            dosed=dosed,
            weight=(weight * waiting).sum(axis=0) / np.maximum(waiting.sum(axis=0), 1),
            late=nearest <= self.rules.feeding.late_intake_days,
            first_calver=np.any(waiting & self.cows.first_calver[:, None], axis=0),
        )

    def _made(self, solved: _Solved, rows: Rows, hard: bool, count: int) -> Plan:
        size = len(self.periods), len(self.used)
        ration = self.dosed.copy()
        ration[:, self.fed_for_energy] = np.maximum(solved.values[: size[0] * size[1]].reshape(size), 0.0)
        offered, me = energy_in(self.feeds, ration), me_per_kg(self.feeds, ration)
        me = np.where(np.isfinite(me), me, self._first_me())
        fed = project_fed(self.cows, self.periods.start, self.periods.length, offered, me, self.rules.energy)
        spent = self.periods.spent
        waiting = np.maximum(spent.sum(axis=0), 1e-9)
        other = need_second(self.cows, me, self.periods.middle, self.rules.energy, fed.score[:, :-1]).total
        away = solved.away > SHORT
        status = Status.PART_WAY if away and self.aim else Status.PLANNED
        ways = self._holds_back(rows, solved) if away else ()
        if not hard:
            status, ways = Status.NOT_FEASIBLE, (*self._broken(rows, solved), *self._holds_back(rows, solved))
        return replace(
            self._empty(),
            status=status,
            ration=ration,
            offered=offered,
            me=me,
            need=(fed.need * spent).sum(axis=0) / waiting,
            need_second=(other * spent).sum(axis=0) / waiting,
            fed=fed,
            in_the_way=ways,
            outside_now=self._outside_now(),
            cost=float((self.periods.cow_days @ ration)[self.fed_for_energy] @ self.used.price),
            rounds=count,
        )

    def _empty(self) -> Plan:
        return _empty(self.cows, self.feeds, self.periods, self.present, self.aim, self.wanted)

    def _outside_now(self) -> tuple[Limit, ...]:
        if self.present is None:
            return ()
        found = checks_of(self.feeds, self.present, self.cows, self.rules)
        return tuple(check.limit for check in found if check.state is State.REFUSED)

    def _broken(self, rows: Rows, solved: _Solved) -> tuple[InTheWay, ...]:
        """Limits that gave way, those that gave most first, with the cows they hang on."""
        share: dict[Limit, float] = {}
        cows: dict[Limit, set[int]] = {}
        for place in np.flatnonzero(solved.given > GIVES + 0.01 * rows.room):
            limit, room = rows.limit[place], max(float(rows.room[place]), GIVES)
            share[limit] = share.get(limit, 0.0) + float(solved.given[place]) / room
            cows.setdefault(limit, set()).add(int(rows.cow[place]))
        return tuple(
            InTheWay(Limit(limit), True, tuple(self.cows.tag[cow] for cow in sorted(cows[limit]) if cow >= 0))
            for limit in sorted(share, key=lambda limit: -share[limit])
        )

    def _holds_back(self, rows: Rows, solved: _Solved) -> tuple[InTheWay, ...]:
        """Limits whose loosening by a tenth would bring most, those that matter most first."""
        gain: dict[Limit, float] = {}
        for limit, dual, room in zip(rows.limit, solved.duals, rows.room, strict=True):
            if limit is not Limit.WANTED and room > 0:
                gain[limit] = gain.get(limit, 0.0) + abs(dual) * room
        most = max(gain.values(), default=0.0)
        strong = [limit for limit in gain if gain[limit] > max(0.1 * most, 1.0)]
        return tuple(InTheWay(Limit(limit), False) for limit in sorted(strong, key=lambda limit: -gain[limit]))


def _holds(rows: Rows, values: Numbers) -> bool:
    """Whether a solution still keeps its energy limits about the course it leads to."""
    return not _missed(rows, values)


def _missed(rows: Rows, values: Numbers) -> dict[Limit, float]:
    """Energy limits that a solution misses about the course it leads to, and by how many times what is allowed."""
    missed = {}
    for limit, slack in TRUE_SLACK.items():
        of_limit = rows.limit == limit
        total = rows.matrix[of_limit] @ values
        beyond = np.maximum(rows.low[of_limit] - total, total - rows.high[of_limit]).max(initial=0.0)
        if beyond > slack:
            missed[limit] = float(beyond / slack)
    return missed


def _solve(rows: Rows, objective: Numbers, give: frozenset[Limit] | None) -> _Solved | None:
    """Solve one programme by HiGHS; rows of the limits in `give` may give way at a price. None when infeasible."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array, hstack

    equal = rows.low == rows.high
    above, below = ~equal & np.isfinite(rows.low), ~equal & np.isfinite(rows.high)
    matrix = csr_array(np.vstack([-rows.matrix[above], rows.matrix[below]]))
    bound = np.concatenate([-rows.low[above], rows.high[below]])
    limit = np.concatenate([rows.limit[above], rows.limit[below]])
    room = np.concatenate([rows.room[above], rows.room[below]])
    price = np.concatenate([rows.price[above], rows.price[below]])
    gives = np.array([give is not None and name in give and size > 0 for name, size in zip(limit, room, strict=True)])
    cost = objective
    links: Any = csr_array(rows.matrix[equal])
    if gives.any():
        count = int(gives.sum())
        loose = csr_array((-np.ones(count), (np.flatnonzero(gives), np.arange(count))), shape=(len(limit), count))
        matrix = hstack([matrix, loose], format="csr")
        links = hstack([links, csr_array((links.shape[0], count))], format="csr")
        cost = np.concatenate([objective, AWAY_WEIGHT * price[gives]])
    found = linprog(cost, A_ub=matrix, b_ub=bound, A_eq=links, b_eq=rows.low[equal], method="highs")
    if found.status != 0:
        return None
    given_of = np.zeros(len(limit))
    given_of[gives] = found.x[rows.variables :]
    given, duals = np.zeros(len(equal)), np.zeros(len(equal))
    for places, part in ((above, slice(0, int(above.sum()))), (below, slice(int(above.sum()), None))):
        given[places] += given_of[part]
        duals[places] += np.abs(found.ineqlin.marginals[part])
    return _Solved(found.x[: rows.variables], duals, given)
