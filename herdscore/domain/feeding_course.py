"""The energy a group is offered from day to day beside its need: of a plan, or of the steps written down for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.energy import Numbers
from herdscore.domain.fed_groups import AIM_WORDS, FedGroup
from herdscore.domain.feeding_periods import WEEK, periods_of
from herdscore.domain.feeding_plan import SAME_KG, Plan
from herdscore.domain.feeds import Feeds, energy_in, me_per_kg
from herdscore.domain.need import CowsFed, need, need_second
from herdscore.domain.ration_checks import Step
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.rulebook import Rulebook

UP, LEVEL, BACK, NEED_ONLY, CALVING = "up", "level", "back", "need only", "calving"
DOWN = "down"
_STILL = 0.5  # MJ a head a day; less is no step of energy


@dataclass(frozen=True, slots=True)
class Phase:
    """A stretch of a course: its days from today, and what is done in it."""

    first: float
    last: float
    kind: str


@dataclass(frozen=True, eq=False)
class Course:
    """Steps of a group's ration (days from today, the first may lie behind) and the need of its average cow.

    `need` and `need_second` are rows of day and MJ a head a day, [D, 2].
    """

    feeds: Feeds
    steps: tuple[Step, ...]
    before: Numbers | None  # ration before the first step, [F]; None: not known
    need: Numbers
    need_second: Numbers
    back_day: float  # from here on need only
    back_days: float  # days over which it goes back to need
    first_early: float  # the earliest cow's date less its spread
    first_cow: str
    end: float
    aim: int

    @property
    def offered(self) -> Numbers:
        """MJ a head a day of each step, [S]."""
        return np.array([float(energy_in(self.feeds, step.ration)) for step in self.steps])

    @property
    def mover(self) -> str:
        """Name of the feed that changes most before the return to need, "" when none does."""
        found = _mover(self)
        return found[0] if found is not None else ""

    def step_at(self, day: float) -> int:
        """Place of the step in force on a day; the first before it begins."""
        return max(sum(step.day <= day for step in self.steps) - 1, 0)

    def phases(self) -> tuple[Phase, ...]:
        """What is done when: eased up or down or held, back to need, need only, calving."""
        end = min(self.back_day, self.end)
        back = end - self.back_days if self.aim else end
        first = self.steps[0].day if self.steps else 0.0
        made: list[Phase] = []
        if self.aim > 0:
            offered = self.offered
            risen = [
                step.day
                for place, step in enumerate(self.steps[: self.turn() + 1])
                if place and step.day < back and offered[place] - offered[place - 1] > _STILL
            ]
            last = risen[-1] if risen else first
            made.append(Phase(first, last, UP))
            first = last
        made.append(Phase(first, back, DOWN if self.aim < 0 else LEVEL))
        made.append(Phase(max(back, first), end, BACK))
        made.append(Phase(end, min(self.first_early, self.end), NEED_ONLY))
        made.append(Phase(max(self.first_early, end), self.end, CALVING))
        return tuple(phase for phase in made if phase.last > phase.first)

    def turn(self) -> int:
        """Place of the last step before the return to need."""
        offered = self.offered
        inside = [place for place, step in enumerate(self.steps) if step.day < self.back_day]
        if not inside or not self.aim:
            return inside[-1] if inside else 0
        turn = inside[-1]
        while turn > 0 and self.aim * (offered[turn] - offered[turn - 1]) < -_STILL:
            turn -= 1
        return turn


def course_of_plan(made: Plan, rules: Rulebook) -> Course:
    """The course of a plan, from today."""
    steps = [Step(float(made.periods.start[0]), made.ration[0])]
    for day, ration in zip(made.periods.start[1:], made.ration[1:], strict=False):
        if np.abs(ration - steps[-1].ration).max() > SAME_KG:
            steps.append(Step(float(day), ration))
    middle = made.periods.middle
    early = float((made.cows.calving_day - made.cows.spread).min())
    return Course(
        feeds=made.feeds,
        steps=tuple(steps),
        before=made.present,
        need=np.column_stack([middle, made.need]),
        need_second=np.column_stack([middle, made.need_second]),
        back_day=made.periods.back_day,
        back_days=float(rules.feeding.back_days),
        first_early=early,
        first_cow=made.first_cow,
        end=float(made.periods.start[-1] + made.periods.length[-1]),
        aim=made.aim,
    )


def course_written(assessment: Assessment, group: FedGroup, feeds: Feeds) -> Course | None:
    """The course of the steps written down for a group since its plan began; None without a plan or known feeds."""
    known = {name.casefold() for name in feeds.name}
    written = [(day, kg) for day, kg in group.planned() if all(name.casefold() in known for name, v in kg.items() if v)]
    if not written or not len(group.cows) or len(written) < len(group.planned()):
        return None
    steps = [
        Step(float((day - assessment.today).days), feeds.ration({name: kg for name, kg in ration.items() if kg}))
        for day, ration in written
    ]
    earlier = [kg for day, kg in group.steps if day < written[0][0]]
    before = feeds.ration(earlier[-1]) if earlier and all(name.casefold() in known for name in earlier[-1]) else None
    cows, rules = group.cows, assessment.rulebook
    periods = periods_of(cows, rules)
    end = float(np.ceil(cows.calving_day.max()))
    days = np.unique(np.append(np.arange(min(steps[0].day, 0.0), end, WEEK), end))
    me = np.array([float(me_per_kg(feeds, steps[max(_at(steps, day), 0)].ration)) for day in days])
    early = cows.calving_day - cows.spread
    return Course(
        feeds=feeds,
        steps=tuple(steps),
        before=before,
        need=np.column_stack([days, _mean_need(need(cows, me, days, rules.energy).total, cows, days)]),
        need_second=np.column_stack([days, _mean_need(need_second(cows, me, days, rules.energy).total, cows, days)]),
        back_day=periods.back_day,
        back_days=float(rules.feeding.back_days),
        first_early=float(early.min()),
        first_cow=str(cows.tag[periods.first_cow]),
        end=end,
        aim=group.aim,
    )


def finding(name: str, course: Course, assessment: Assessment) -> str:
    """What a course does, in a sentence: "Straw yard eases up half a kilo of barley a step, at need from 19 Mar"."""
    today = assessment.today
    back = say_day(assessment.day(course.back_day), today)
    if not course.aim:
        return f"{name} is held level: fed to need until the last has calved"
    way = AIM_WORDS[course.aim].replace("ease", "eases")
    mover = _mover(course)
    if not mover or course.before is None or mover[2] * course.aim <= 0:
        return f"{name} {way}, back at need by {back}"
    feed, steps, kg = mover
    word = "step" if steps == 1 else "steps"
    return f"{name} {way}: {feed} by {say_number(kg, 1, sign=True)} kg in {steps} {word}, back at need by {back}"


def _mover(course: Course) -> tuple[str, int, float] | None:
    """The feed that changes most before the return to need, in how many steps, and by how many kg fresh in all."""
    turn = course.turn()
    before = course.before if course.before is not None else course.steps[0].ration
    change = (course.steps[turn].ration - before) / course.feeds.dm
    change = np.where(course.feeds.is_dosed, 0.0, change)
    place = int(np.argmax(np.abs(change * course.feeds.dm * course.feeds.me)))
    if abs(change[place]) < SAME_KG:
        return None
    rations = [before, *(step.ration for step in course.steps[: turn + 1])]
    moves = sum(abs(b[place] - a[place]) > SAME_KG for a, b in pairwise(rations))
    return str(course.feeds.name[place]), moves, float(change[place])


def _at(steps: Sequence[Step], day: float) -> int:
    return sum(step.day <= day for step in steps) - 1


def _mean_need(total: Numbers, cows: CowsFed, days: Numbers) -> Numbers:
    """Mean over the cows still waiting on each day; the last one's where none is."""
    waiting = cows.calving_day[:, None] >= np.minimum(days, cows.calving_day.max())
    mean: Numbers = np.where(waiting, total, 0.0).sum(axis=0) / np.maximum(waiting.sum(axis=0), 1)
    return mean
