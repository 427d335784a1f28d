"""A simulated herd fed by the program's plans from about 110 days before calving, beside the same herd left alone.

The world's cows differ from the book as the program does not know: frame, maintenance, forage, own deviations.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.random import Generator

from herdscore.domain.feeding import plan
from herdscore.domain.feeding_groups import Pen, propose_groups
from herdscore.domain.feeding_plan import Plan, Status
from herdscore.domain.feeding_seen import compare_seen
from herdscore.domain.feeds import Feeds, book_feeds
from herdscore.domain.herd_scores import FAR_DAYS, Flags, Floats, HerdScores, Ints
from herdscore.domain.need import CowsFed, need, score_rate
from herdscore.domain.trajectory import project
from tests.domain.fed_cows import fed_cows
from tests.domain.herds import RULES

WINTER, GRASS = 1, 2
HERD_RATE = {WINTER: -0.0060, GRASS: 0.0055}  # of the simulated world, by class; as in the trajectory simulator
GROUPS = 6
EVERY, BAND, DAYS, PAST = 28, 0.25, 175, 91


@dataclass(frozen=True, eq=False)
class World:
    """The truth: what no one on the farm knows exactly, [N] or [N, days]; days run from PAST days before today."""

    told: CowsFed  # what the program believes at the start, scores apart
    true: CowsFed  # true frames, scores at the start and calving days
    group: Ints  # those of the summer, of no use to the winter's pens
    change: Floats  # [groups], day their diet became what it is
    left_alone: Floats  # condition on every day without a plan, [N, days]
    own: Floats  # score a day of each cow beside what energy explains, from today on, [N, days]
    needs: Floats  # true need as a multiple of the book's
    me_error: Floats  # MJ/kg by which each feed differs from its analysis
    session_sd: float
    score_sd: float
    classes: tuple[int, int]  # of the diet before the change and since


@dataclass(frozen=True)
class Season:
    """What became of a herd: shares in the band, and whether every plan kept its limits."""

    spring: bool
    cows: int
    in_band: int
    left_alone: int
    ceiling: int
    outside: tuple[str, ...]
    plans: int
    kept: int  # plans inside every limit; the others were the best gentle ones, and said so
    fast: int  # cows whose true change over some 28 days was beyond a refused rate, by their own deviations


def feeds_of_world() -> Feeds:
    """What the farm has in store."""
    names = ("Grass silage, 68 DMD", "Barley straw", "Barley, rolled", "Soya bean meal")
    return replace(book_feeds(RULES.book_feeds[name] for name in names), price=np.array([0.15, 0.11, 0.25, 0.5]))


def make_world(seed: int, herd: int, weeks: float = 4.0) -> World:
    """Draw one herd that calves over so many weeks."""
    rng = np.random.default_rng([seed, 17, herd])
    n, spring = int(rng.integers(30, 201)), bool(rng.random() < 0.5)
    classes = (GRASS, WINTER) if spring else (WINTER, GRASS)
    due = np.round(110 + weeks * 3.5 * rng.uniform(-1, 1, n))
    spread = rng.uniform(3, 10, n)
    first, twins = rng.random(n) < 0.15, rng.random(n) < 0.02
    told = fed_cows(2.5, due, spread=spread, target=2.5 if spring else 3.0, first_calver=first, twins=twins)
    group = rng.integers(0, rng.integers(2, GROUPS + 1), n)
    change = np.clip(np.round(rng.uniform(-75, 0) + rng.uniform(-10, 10, GROUPS)), 1 - PAST, 0)
    true_due = np.clip(np.round(due + spread * rng.standard_normal(n)), 30, DAYS - 1)
    day = np.arange(-PAST, DAYS)
    own, late = _own(rng, n), rng.uniform(-0.002, 0.0)
    own += late * ((day >= true_due[:, None] - 60) & (day < true_due[:, None]))
    before, since = (
        HERD_RATE[kind] + 0.003 * rng.standard_normal() + 0.002 * rng.standard_normal(GROUPS)[group] for kind in classes
    )
    rate = np.where(day < change[group][:, None], before[:, None], since[:, None]) + own
    run = np.concatenate([np.zeros((n, 1)), np.cumsum(rate, axis=1)], axis=1)
    level = (3.25 if spring else 2.35) + 0.15 * rng.standard_normal() + 0.10 * rng.standard_normal(GROUPS)[group]
    level = level + 0.40 * rng.standard_normal(n)
    on_change = run[np.arange(n), change[group].astype(int) + PAST]
    left_alone = np.clip(run + (level - on_change)[:, None], 1.0, 5.0)
    frame = told.frame * (1 + 0.07 * rng.standard_normal(n))
    return World(
        told=told,
        true=replace(told, score=left_alone[:, PAST], frame=frame, calving_day=true_due),
        group=group,
        change=change,
        left_alone=left_alone,
        own=own[:, PAST:],
        needs=np.clip(rng.normal(1.0, 0.06), 0.88, 1.14) * (1 + 0.04 * rng.standard_normal(n)),
        me_error=np.array([0.25, 0.25, 0.1, 0.1]) * rng.standard_normal(4),
        session_sd=rng.uniform(0.05, 0.20),
        score_sd=rng.uniform(0.18, 0.28),
        classes=classes,
    )


def _own(rng: Generator, cows: int) -> Floats:
    """Score a day by which each cow differs from her mates: for good, and wandering, [N, days]."""
    blocks, fade = -(-(PAST + DAYS) // 10), np.exp(-10 / 45)
    wander = rng.standard_normal((cows, blocks))
    for block in range(1, blocks):
        wander[:, block] = fade * wander[:, block - 1] + np.sqrt(1 - fade**2) * wander[:, block]
    own: Floats = 0.0018 * rng.standard_normal((cows, 1)) + 0.0012 * np.repeat(wander, 10, axis=1)[:, : PAST + DAYS]
    return own


class Farm:
    """The farm through one season: scores its cows, plans, feeds, scores again."""

    def __init__(self, world: World, seed: int) -> None:
        self.world, self.rng, self.rules = world, np.random.default_rng([seed, 23]), RULES
        self.feeds = feeds_of_world()
        n = len(world.told)
        self.level = np.empty((n, DAYS + 1))
        self.level[:, 0] = world.true.score
        self.scored = [(float(day), self._felt(world.left_alone[:, PAST + day])) for day in (-70, -35)]
        self.pen = np.zeros(n, dtype=np.int64)
        self.stated: list[tuple[float, Floats]] = []  # day, expected change a day of each pen's plan
        self.plans: dict[int, Plan] = {}
        self.began: dict[int, float] = {}
        self.outside: list[str] = []
        self.made = self.kept = 0

    def season(self) -> Season:
        """Run it to the last calving."""
        world = self.world
        for day in range(DAYS):
            if day % EVERY == 0 and (world.told.calving_day > day).any():
                self._score_and_plan(float(day))
            self._feed(day)
        truth = self._at_calving(self.level)
        return Season(
            spring=world.classes[1] == WINTER,
            cows=len(truth),
            in_band=self._in_band(truth),
            left_alone=self._in_band(self._at_calving(world.left_alone[:, PAST:])),
            ceiling=self._in_band(self._alone_and_known()),
            outside=tuple(self.outside),
            plans=self.made,
            kept=self.kept,
            fast=int(self._too_fast().sum()),
        )

    def _felt(self, level: Floats) -> Floats:
        """What a scorer writes down, NaN for cows not there."""
        bias = self.world.session_sd * self.rng.standard_normal()
        felt = level + bias + self.world.score_sd * self.rng.standard_normal(len(level))
        there = self.rng.random(len(level)) < 0.9
        return np.where(there, np.clip(np.round(felt / 0.25) * 0.25, 1.0, 5.0), np.nan)

    def _score_and_plan(self, day: float) -> None:
        self.scored.append((day, self._felt(self.level[:, int(day)])))
        believed = self._believed(day)
        limits = self.rules.limits
        told = self._told(day)
        never = (
            told.first_calver | told.twins | (believed <= limits.never_slimmed_at) | (believed >= limits.vet_plan_at)
        )
        cows = replace(told, score=believed, never_slimmed=never)
        known = np.isfinite(believed) & (cows.calving_day > 0)
        if day == 0:
            pens = [Pen(f"Pen {n}") for n in range(4)]
            found = propose_groups(cows.only(known), pens, self.rules)
            rows = np.flatnonzero(known)
            self.aim = {}
            self.pen[:] = len(found.groups)
            for place, group in enumerate(found.groups):
                self.pen[rows[group.cows]], self.aim[place] = place, group.aim
            self.aim[len(found.groups)] = 0
        else:
            self._learn(day)
        rates = np.zeros(len(cows))
        for pen in np.unique(self.pen[known]):
            mine = known & (self.pen == pen)
            self._plan_pen(int(pen), cows.only(mine), day)
        for pen in np.unique(self.pen[known]):
            rates[known & (self.pen == pen)] = self.plans[int(pen)].change_a_week / 7
        self.stated.append((day, rates))

    def _told(self, day: float) -> CowsFed:
        told = self.world.told
        born = self.world.true.calving_day <= day
        return replace(told, calving_day=np.where(born, -1.0, np.maximum(told.calving_day - day, 1.0)))

    def _plan_pen(self, pen: int, cows: CowsFed, day: float) -> None:
        """Plan a pen; cows a plan refuses go to a pen of their own, from the same ration, and are held level."""
        before = self.plans.get(pen)
        present = None if before is None else before.on(day - self.began[pen])
        late = bool((cows.calving_day < self.rules.limits.lead_days).any())
        aim = None if before is not None and not late else self.aim[pen]
        made = plan(cows, self.feeds, self.rules, present, running=before is not None, aim=aim)
        if made.status is Status.REFUSED:
            out = np.isin(cows.row, [cow.row for cow in made.left_out])
            apart = max(self.aim) + 1
            self.aim[apart] = 0
            self.pen[cows.row[out]] = apart
            self._take(apart, plan(cows.only(out), self.feeds, self.rules, present, running=True, aim=0), day, present)
            if out.all():
                return
            made = plan(cows.only(~out), self.feeds, self.rules, present, running=True, aim=made.aim)
        self._take(pen, made, day, present)

    def _take(self, pen: int, made: Plan, day: float, present: Floats | None) -> None:
        self.made += 1
        self.kept += made.status in (Status.PLANNED, Status.PART_WAY)
        first = pen not in self.plans
        self.aim[pen] = made.aim
        self.plans[pen], self.began[pen] = made, day
        self._check(made, present, first=first)

    def _check(self, made: Plan, present: Floats | None, *, first: bool) -> None:
        """Every plan inside the limits, as far as the farm can know."""
        limits, feeding = self.rules.limits, self.rules.feeding
        offered = made.offered if present is None else np.concatenate([[float(made.feeds.me @ present)], made.offered])
        if (offered[1:] < offered[:-1] * (1 - feeding.step_down / 100) - 1e-4).any():
            self.outside.append("step down")
        if (np.diff(offered) > feeding.step_up_mj + 1e-4).any():
            self.outside.append("step up")
        if made.status is Status.NOT_FEASIBLE:
            return
        if made.fed.fastest_gain.max() > limits.refused_gain * 1.01 and first:
            self.outside.append("gain")
        if made.fed.fastest_loss.max() > limits.refused_loss * 1.01 and first:
            self.outside.append("loss")
        # A ration that new scores put below the floor is brought up within the days of a changeover.
        settled = (made.periods.start >= (0 if first else feeding.changeover_days)) & (made.periods.spent > 0)
        if np.where(settled, made.offered / made.fed.need, 1.0).min() < feeding.floor_before_lead / 100 - 0.005:
            self.outside.append("floor")
        lost = (made.cows.score - made.fed.at_calving)[made.cows.never_slimmed]
        if lost.max(initial=0.0) > feeding.slack_never_slimmed + 0.005:
            self.outside.append("never slimmed")

    def _believed(self, day: float) -> Floats:
        """Score of every cow today by the model, told what she was fed."""
        world, n = self.world, len(self.world.told)
        changed = world.change[world.group] - day
        starts = [
            np.full(n, -float(FAR_DAYS)),
            changed,
            *(np.maximum(begun - day, changed) for begun, _ in self.stated),
        ]
        lo = np.stack(starts, axis=1)
        hi = np.concatenate([lo[:, 1:], np.full((n, 1), float(FAR_DAYS))], axis=1)
        means, sds = [0.0, -0.005, 0.005, -0.005, 0.0], [0.006, 0.003, 0.003, 0.003, 0.003]
        classes = list(world.classes) * GROUPS
        seg_rate = np.zeros((n, len(starts)), dtype=np.int64)
        seg_rate[:, 0], seg_rate[:, 1] = 2 * world.group, 2 * world.group + 1
        for place, (_, rates) in enumerate(self.stated):
            for rate in np.unique(rates):
                means.append(float(rate))
                sds.append(0.0015)
                classes.append(len(means) - 1)
                seg_rate[rates == rate, place + 2] = len(classes) - 1
        cow, session, score, at = [], [], [], []
        for place, (scored_on, felt) in enumerate(self.scored):
            there = np.flatnonzero(np.isfinite(felt))
            cow.append(there)
            session.append(np.full(len(there), place))
            score.append(felt[there])
            at.append(np.full(len(there), scored_on - day))
        told = world.told
        course = project(
            HerdScores(
                group=world.group if not self.stated else self.pen,
                score_cow=np.concatenate(cow),
                score_day=np.concatenate(at),
                score=np.concatenate(score),
                score_session=np.concatenate(session),
                seg_lo=lo,
                seg_hi=hi,
                seg_rate=seg_rate,
                rate_class=np.array(classes),
                rate_mean=np.full(len(classes), np.nan),
                calving_day=np.maximum(told.calving_day - day, 0.0),
                calving_sd=told.spread,
                target=told.target,
                calved=np.zeros(n, dtype=bool),
                band=BAND,
                class_mean=np.array(means),
                class_sd=np.array(sds),
                groups=GROUPS + int(self.pen.max()) + 1,
            ),
            self.rules.model,
        )
        return np.where(course.n_scores > 0, course.curve_level + course.curve_wander, np.nan)

    def _learn(self, day: float) -> None:
        """Compare what was expected since the last round with what was felt; take the one adjustment offered."""
        (before, was), (_, now) = self.scored[-2:]
        rates = self.stated[-1][1]
        cows = self._told(before)
        cows = replace(cows, score=np.where(np.isfinite(was), was, 2.5))
        waiting = self._told(day).calving_day > 0
        seen = np.where(waiting, now - was, np.nan)
        gone = np.full(len(was), day - before)
        found = compare_seen(cows, rates * (day - before), seen, gone, 10.0, self.rules)
        if found.maintenance_offered is not None:
            energy = replace(self.rules.energy, maintenance_multiplier=found.maintenance_offered)
            self.rules = replace(self.rules, energy=energy)

    def _feed(self, day: int) -> None:
        """One day of the true cows on the rations of their pens."""
        world, now = self.world, self.level[:, day]
        energy = RULES.energy
        true_me = self.feeds.me + world.me_error
        rate = np.zeros(len(now))
        for pen, made in self.plans.items():
            mine = np.flatnonzero(self.pen == pen)
            ration = made.on(day - self.began[pen])
            offered = float(true_me @ ration)
            me = offered / float(ration.sum())
            cows = replace(world.true.only(mine), score=now[mine])
            asked = need(cows, me, np.array([float(day)]), energy).total[:, 0] * world.needs[mine]
            rate[mine] = score_rate(cows, (offered - asked)[:, None], me, now[mine][:, None], energy)[:, 0]
        calved = world.true.calving_day <= day
        self.level[:, day + 1] = np.where(calved, now, np.clip(now + rate + world.own[:, day], 1.0, 5.0))

    def _at_calving(self, level: Floats) -> Floats:
        return level[np.arange(len(level)), self.world.true.calving_day.astype(int)]

    def _too_fast(self) -> Flags:
        waiting = np.arange(EVERY, DAYS + 1) <= self.world.true.calving_day[:, None]
        moved = np.where(waiting, self.level[:, EVERY:] - self.level[:, :-EVERY], 0.0)
        limits = self.rules.limits
        up, down = EVERY * limits.refused_gain, EVERY * limits.refused_loss
        fast: Flags = (moved.max(axis=1) > up) | (moved.min(axis=1) < -down)
        return fast

    def _in_band(self, score: Floats) -> int:
        return int((np.abs(score - self.world.told.target) <= BAND).sum())

    def _alone_and_known(self) -> Floats:
        """Every cow fed alone with her course known: as near her target as the planning rates bring her."""
        cows, limits = self.world.true, self.rules.limits
        room = np.maximum(self.world.told.calving_day - limits.lost_days, 0.0)
        never = cows.first_calver | cows.twins | (cows.score <= limits.never_slimmed_at)
        down = np.where(never, 0.0, limits.planning_loss * room)
        return np.clip(cows.target, cows.score - down, cows.score + limits.planning_gain * room)


def season(seed: int, herd: int, weeks: float = 4.0) -> Season:
    """One herd through one season."""
    return Farm(make_world(seed, herd, weeks), 1000 * seed + herd).season()


def together(seasons: list[Season]) -> str:
    """Shares over several herds, in words for a report."""
    cows = sum(one.cows for one in seasons)
    shares = {
        name: sum(getattr(one, name) for one in seasons) / cows for name in ("in_band", "left_alone", "ceiling", "fast")
    }
    plans, kept = sum(one.plans for one in seasons), sum(one.kept for one in seasons)
    return (
        f"{len(seasons)} herds, {cows} cows: in the band {shares['in_band']:.3f} fed by the plans, "
        f"{shares['left_alone']:.3f} left alone ({shares['in_band'] / shares['left_alone']:.2f} times), "
        f"{shares['ceiling']:.3f} each fed alone and known; {shares['fast']:.3f} of cows once faster than a plan may; "
        f"{kept} of {plans} plans inside every limit, the others said so"
    )
