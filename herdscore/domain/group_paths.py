"""The mean way of each group to calving: rounds that were scored, and the course of its cows from today.

Score less target against days before calving, over the cows of a group that are projected; none in milk.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.grouping import Grouping, Numbers, Places
from herdscore.domain.groups import Standing
from herdscore.domain.shared_line import days_in_segments
from herdscore.domain.trajectory import HIGHEST_SCORE, LOWEST_SCORE

_STEPS = 24


@dataclass(frozen=True, eq=False)
class GroupPath:
    """One group's mean way: days before calving and score less target, first measured, then from today to calving.

    `measured_cows` says how many cows each measured point is the mean of.
    """

    name: str
    cows: int
    measured_days: Numbers
    measured: Numbers
    measured_cows: Places
    ahead_days: Numbers
    ahead: Numbers

    @property
    def end(self) -> float:
        """Mean score less target at calving."""
        return float(self.ahead[-1])


def mean_paths(assessment: Assessment, where: Standing, grouping: Grouping) -> list[GroupPath]:
    """The ways of all groups that have a cow projected to calving, in the order of the groups."""
    a = assessment
    counted = np.isfinite(where.against) & ~where.in_milk & (a.dates.day >= 0)
    rounds = _rounds(a.sessions.day, a.rulebook.groups.round_days)
    made = []
    for at, name in enumerate(grouping.names):
        cows = np.flatnonzero((grouping.of_cow == at) & counted)
        if len(cows):
            made.append(_path(a, name, cows, rounds))
    return made


def _rounds(day: Numbers, apart: float) -> Places:
    """Number of the round of every score: a round ends where nobody was scored for longer than `apart` days."""
    days, at = np.unique(day, return_inverse=True)
    first = np.ones(len(days), dtype=bool)
    first[1:] = np.diff(days) > apart
    number: Places = (np.cumsum(first) - 1)[at].astype(np.intp)
    return number


def _path(a: Assessment, name: str, cows: Places, rounds: Places) -> GroupPath:
    day, target = a.dates.day, a.targets.target
    share = np.linspace(0.0, 1.0, _STEPS + 1)
    ahead = share * day[cows, None]
    score = np.clip(_course(a, cows, ahead), LOWEST_SCORE, HIGHEST_SCORE) - target[cows, None]
    measured_days, measured, count = _measured(a, cows, rounds)
    return GroupPath(
        name=name,
        cows=len(cows),
        measured_days=measured_days,
        measured=measured,
        measured_cows=count,
        ahead_days=day[cows].mean() * (1 - share),
        ahead=score.mean(axis=0),
    )


def _course(a: Assessment, cows: Places, ahead: Numbers) -> Numbers:
    """Each cow's projected score on days ahead, [cows, days]."""
    course = a.course
    score = course.curve_level[cows, None] + course.curve_wander[cows, None] * np.exp(
        ahead / -a.rulebook.model.wander_memory_days
    )
    for k in range(a.scores.seg_lo.shape[1]):
        low, high = a.scores.seg_lo[cows, k, None], a.scores.seg_hi[cows, k, None]
        score = score + days_in_segments(ahead, low, high) * course.curve_rate[cows, k, None]
    return score


def _measured(a: Assessment, cows: Places, rounds: Places) -> tuple[Numbers, Numbers, Places]:
    """Mean days before calving, mean score less target and cows of every round in which enough were scored."""
    sessions, rules = a.sessions, a.rulebook.groups
    mine = np.isin(sessions.cow, cows)
    calved = a.dates.last_calving[sessions.cow]
    # Scores from before the last calving belong to another way.
    mine &= ~(sessions.day <= np.where(np.isfinite(calved), calved, -np.inf))
    cow, number = sessions.cow[mine], rounds[mine]
    before = a.dates.day[cow] - sessions.day[mine]
    gap = sessions.value[mine] - a.targets.target[cow]
    pairs = np.unique(np.stack([number, cow]), axis=1)
    size = int(rounds.max(initial=-1)) + 1
    distinct = np.bincount(pairs[0], minlength=size)
    scores = np.bincount(number, minlength=size)
    enough = np.flatnonzero(distinct >= max(1.0, rules.round_share * len(cows)))
    days = np.bincount(number, before, size)[enough] / scores[enough]
    values = np.bincount(number, gap, size)[enough] / scores[enough]
    return days, values, distinct[enough].astype(np.intp)
