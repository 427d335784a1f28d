"""A ration entered by hand: the steps it takes, whether it keeps the limits, and what it will do to every cow.

Rations are kg dry matter a head a day [F]; MJ ME; days from today.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from herdscore.domain.energy import Flags, Numbers
from herdscore.domain.feeding_periods import periods_of
from herdscore.domain.feeds import Feeds, energy_in, me_per_kg
from herdscore.domain.need import CowsFed, Fed, need, project_fed
from herdscore.domain.ration_checks import (
    SLACK,
    Check,
    Limit,
    State,
    Step,
    checks_of,
    dated_steps,
    largest_step,
    step_checks,
)
from herdscore.domain.rulebook import Rulebook

FEELS_LEVEL = 0.005  # score; less is no loss to a cow never slimmed


@dataclass(frozen=True, eq=False)
class Tried:
    """What a ration does. Cows inside the lead keep today's ration; from `back_day` on all are fed to need."""

    checks: tuple[Check, ...]  # of the ration, and of how fast it moves the cows
    jump: tuple[Check, ...]  # of the change in one go; empty when today's ration is not known
    largest: Numbers  # the largest step towards it that would be taken, [F]
    held_back_by: Limit | None  # None: it is one step
    steps: tuple[Step, ...]
    arrives: bool  # the steps bring it there before the group is fed to need only
    back_day: float
    score: Numbers  # at calving with this ration, [N]
    score_as_now: Numbers  # at calving fed as today, [N]; NaN when today's ration is not known
    in_band: Flags
    in_band_as_now: Flags
    still_thin: tuple[str, ...]
    would_be_fat: tuple[str, ...]
    not_to_change: tuple[str, ...]

    @property
    def refused(self) -> bool:
        """Whether a limit is passed that no ration may pass, beside the size of the first step."""
        return any(check.state is State.REFUSED for check in self.checks)


def try_ration(
    cows: CowsFed, feeds: Feeds, ration: Numbers, rules: Rulebook, present: Numbers | None = None, from_day: float = 0.0
) -> Tried:
    """Look at a ration for scored and dated cows, begun on `from_day`, against today's (None: not known)."""
    late = cows.calving_day - from_day < rules.limits.lead_days
    back = periods_of(cows, rules).back_day
    jump: tuple[Check, ...] = ()
    share, held = 1.0, None
    steps = [Step(from_day, ration)]
    if present is not None:
        jump = tuple(step_checks(feeds, present, ration, rules.feeding))
        share, held = largest_step(feeds, present, ration, rules.feeding)
        steps = dated_steps(feeds, present, ration, rules.feeding, from_day)
    before = ration if present is None else present
    fed = _course(cows, feeds, steps, before, back, rules)
    as_now = None if present is None else _course(cows, feeds, [], present, back, rules)
    score = fed.at_calving
    if as_now is not None:
        score = np.where(late, as_now.at_calving, score)
    checks = [*checks_of(feeds, ration, cows, rules, steps[-1].day), *_speed_checks(cows, fed, late, rules)]
    now = np.full(len(cows), np.nan) if as_now is None else as_now.at_calving
    changed = ~late if present is not None else np.ones(len(cows), dtype=bool)
    return Tried(
        checks=tuple(checks),
        jump=jump,
        largest=before + share * (ration - before),
        held_back_by=held,
        steps=tuple(steps),
        arrives=bool(np.allclose(steps[-1].ration, ration)) and (steps[-1].day < back or len(steps) == 1),
        back_day=back,
        score=score,
        score_as_now=now,
        in_band=_within(cows, score),
        in_band_as_now=_within(cows, now),
        still_thin=tuple(cows.tag[changed & (score < cows.lower)]),
        would_be_fat=tuple(cows.tag[changed & (score > cows.upper)]),
        not_to_change=tuple(cows.tag[late]),
    )


def _within(cows: CowsFed, score: Numbers) -> Flags:
    inside: Flags = (score >= cows.lower) & (score <= cows.upper)
    return inside


def _course(cows: CowsFed, feeds: Feeds, steps: list[Step], before: Numbers, back: float, rules: Rulebook) -> Fed:
    """Feed the steps day by day until `back`, then the mean need of those still waiting."""
    days = np.arange(max(np.ceil(cows.calving_day.max()), 1.0))
    rations = np.repeat(before[None, :], len(days), axis=0)
    for step in steps:
        rations[days >= step.day] = step.ration
    one = np.ones(len(days))
    offered, me = energy_in(feeds, rations), me_per_kg(feeds, rations)
    first = project_fed(cows, days, one, offered, me, rules.energy)
    only_need = days >= back
    if only_need.any():
        at_back = first.score[:, int(np.argmax(only_need))]
        waiting = cows.calving_day[:, None] > days
        needed = np.where(waiting, need(cows, me, days, rules.energy, at_back).total, 0.0)
        mean = needed.sum(axis=0) / np.maximum(waiting.sum(axis=0), 1)
        offered = np.where(only_need, mean, offered)
    return project_fed(cows, days, one, offered, me, rules.energy)


def _speed_checks(cows: CowsFed, fed: Fed, late: Flags, rules: Rulebook) -> list[Check]:
    """How fast it moves the cows it is for, in days for half a score; and those never slimmed who would lose."""
    limits = rules.limits
    made = []
    for limit, speed, gentle, refused in (
        (Limit.GAIN, fed.fastest_gain, limits.planning_gain, limits.refused_gain),
        (Limit.LOSS, fed.fastest_loss, limits.planning_loss, limits.refused_loss),
    ):
        too_fast = ~late & (speed > refused * (1 + SLACK))
        fast = ~late & (speed > gentle * (1 + SLACK))
        state = State.REFUSED if too_fast.any() else State.CAUTION if fast.any() else State.FINE
        most = float(np.where(late, 0.0, speed).max(initial=0.0))
        names = too_fast if too_fast.any() else fast
        made.append(Check(limit, state, 7 * most, 7 * refused, "score a week", tuple(cows.tag[names])))
    lost = np.where(cows.never_slimmed & ~late, cows.score - fed.at_calving, 0.0)
    slimmed = lost > rules.feeding.slack_never_slimmed
    losing = lost > FEELS_LEVEL
    state = State.REFUSED if slimmed.any() else State.CAUTION if losing.any() else State.FINE
    made.append(
        Check(
            Limit.NEVER_SLIMMED,
            state,
            float(lost.max(initial=0.0)),
            rules.feeding.slack_never_slimmed,
            "score lost",
            tuple(cows.tag[slimmed if slimmed.any() else losing]),
        )
    )
    return made
