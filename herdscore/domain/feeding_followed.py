"""Following a plan: what its diet expected of the cows against what the scores since have felt."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import days_from
from herdscore.domain.energy import Numbers
from herdscore.domain.fed_groups import FedGroup
from herdscore.domain.feeding_cows import cows_fed
from herdscore.domain.feeding_seen import Seen, compare_seen
from herdscore.domain.feeds import Feeds, me_per_kg
from herdscore.domain.reasons import say_number

MAINTENANCE = "Maintenance, times the book's"
"""The herd's setting that a round may adjust; its name in energy.toml."""


@dataclass(frozen=True)
class Followed:
    """A diet looked back on: the days of its cows' scores before and since, and what came of it."""

    begun: date
    last: date
    seen: Seen


def follow(assessment: Assessment, group: FedGroup, feeds: Feeds) -> Followed | None:
    """Expected and seen change of a group's cows since its diet began; None without one, or before a new score.

    The first score is the last within the weeks before the diet began, the second the last since.
    """
    a, rules = assessment, assessment.rulebook
    diet = group.diet
    if diet is None or diet.expected_change is None:
        return None
    begun = float(days_from(a.today, np.array([diet.day], dtype="datetime64[D]"))[0])
    cows = cows_fed(a, group.rows)
    first, first_day = _last(a, begun - rules.verdicts.running_days, begun)
    second, second_day = _last(a, begun + rules.feeding.back_days, 0.0)
    # A cow that joined since was not on it for all of the time.
    there = a.groups.joined[group.rows] <= begun
    gone = np.where(there, (second_day - first_day)[group.rows], np.nan)
    seen = (second - first)[group.rows]
    both = np.isfinite(seen) & np.isfinite(gone) & np.isfinite(cows.score)
    if not both.any():
        return None
    on_diet = (second_day[group.rows] - begun) / 7.0
    expected = diet.expected_change * np.where(both, on_diet, np.nan)
    found = compare_seen(
        cows.only(both), expected[both], seen[both], gone[both], _me(group, feeds, rules.feeding.me_average_top), rules
    )
    last = a.day(float(second_day[group.rows][both].max()))
    assert last is not None
    return Followed(diet.day, last, found)


def followed_words(found: Followed) -> str:
    """What came of a diet, and what that suggests, in words."""
    seen = found.seen
    expected, came = (say_number(change, 2, sign=True) for change in (seen.expected, seen.seen))
    said = f"Expected {expected} score, seen {came}, over {seen.cows} cows with scores before and since."
    if seen.maintenance_offered is None:
        return f"{said} No adjustment: {seen.why_not}."
    more = "more" if seen.maintenance_offered > seen.maintenance_now else "less"
    return (
        f"{said} They seem to need {more} than the book says; {seen.trust:.0%} of the gap is laid on that,"
        " the rest may be the scorers' days."
    )


def _last(a: Assessment, low: float, high: float) -> tuple[Numbers, Numbers]:
    """The last score of every cow from one day to another, and its day; NaN without."""
    score, day = np.full(len(a), np.nan), np.full(len(a), np.nan)
    sessions = a.sessions
    used = (sessions.day >= low) & (sessions.day <= high)
    order = np.argsort(sessions.day[used], kind="stable")
    cow = sessions.cow[used][order]
    score[cow], day[cow] = sessions.value[used][order], sessions.day[used][order]
    return score, day


def _me(group: FedGroup, feeds: Feeds, usual: float) -> float:
    if not group.ration:
        return usual
    known = {name: kg for name, kg in group.ration.items() if name.casefold() in {n.casefold() for n in feeds.name}}
    me = float(me_per_kg(feeds, feeds.ration(known)))
    return me if me > 0 else usual
