"""The feeding sheet for whoever drives the loader: what each group gets, a head and in all, week by week."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.fed_groups import FedGroup

WEEK_DAYS = 7
LEAST_SAID = 0.005  # kg; less is written 0.00 and is no step


@dataclass(frozen=True, slots=True)
class SheetLine:
    """Days fed the same: kg fresh a head a day by feed of the sheet, and how much more or less than before."""

    first: date
    last: date
    kg: tuple[float, ...]
    moved: tuple[float, ...]

    @property
    def is_step(self) -> bool:
        """Whether the ration changes on its first day."""
        return any(abs(moved) >= LEAST_SAID for moved in self.moved)

    @property
    def days(self) -> int:
        """Days it is fed."""
        return (self.last - self.first).days + 1


@dataclass(frozen=True, slots=True)
class GroupSheet:
    """One group's part: cows standing in it today, feeds in the order of their weight, lines from today on."""

    name: str
    cows: int
    feeds: tuple[str, ...]
    lines: tuple[SheetLine, ...]
    next_step: date | None  # after today

    def in_all(self, line: SheetLine) -> tuple[float, ...]:
        """Kg fresh a day of each feed for all its cows."""
        return tuple(kg * self.cows for kg in line.kg)


@dataclass(frozen=True, slots=True)
class FeedingSheet:
    """The groups with a ration written down, and the names of those without."""

    day: date
    groups: tuple[GroupSheet, ...]
    without: tuple[str, ...]


def last_day_of(assessment: Assessment, group: FedGroup, weeks: int | None) -> date:
    """Last day a sheet or an order looks at: so many weeks on, or (None) the day its last cow is to calve.

    A group in which none has a date ahead is looked at for four weeks.
    """
    if weeks is None:
        ahead = assessment.dates.day[group.rows]
        ahead = ahead[np.isfinite(ahead) & (ahead > 0)]
        days = int(np.ceil(ahead.max())) if len(ahead) else 4 * WEEK_DAYS
    else:
        days = weeks * WEEK_DAYS
    return assessment.today + timedelta(days=days - 1)


def feeding_sheet(assessment: Assessment, groups: Sequence[FedGroup], weeks: int | None = None) -> FeedingSheet:
    """What every group gets from today on, so many weeks or (None) until its last cow is to calve.

    A line holds a week at most, counted from the last step.
    """
    made, without = [], []
    for group in groups:
        last = last_day_of(assessment, group, weeks)
        steps = [step for step in group.steps if step[0] <= last]
        if steps:
            made.append(_of_group(group, steps, assessment.today, last))
        else:
            without.append(group.name)
    return FeedingSheet(assessment.today, tuple(made), tuple(without))


def _of_group(group: FedGroup, steps: Sequence[tuple[date, dict[str, float]]], today: date, last: date) -> GroupSheet:
    now = max((place for place, (day, _) in enumerate(steps) if day <= today), default=0)
    known = steps[now:]
    most: dict[str, float] = {}
    for feed, kg in (pair for _, ration in known for pair in ration.items() if pair[1] > 0):
        most[feed] = max(most.get(feed, 0.0), kg)
    feeds = tuple(sorted(most, key=lambda feed: (-most[feed], feed.casefold())))
    first = max(known[0][0], today)
    changes = sorted({first, *(day for day, _ in known if day > today)})
    ends = [*changes[1:], last + timedelta(days=1)]
    starts = [
        day + timedelta(days=n)
        for day, end in zip(changes, ends, strict=True)
        for n in range(0, (end - day).days, WEEK_DAYS)
    ]
    before = steps[now - 1][1] if now and known[0][0] == today else known[0][1]
    was = tuple(before.get(feed, 0.0) for feed in feeds)
    lines: list[SheetLine] = []
    for place, start in enumerate(starts):
        ration = [fed for day, fed in known if day <= start][-1]
        amounts = tuple(ration.get(feed, 0.0) for feed in feeds)
        end = starts[place + 1] - timedelta(days=1) if place + 1 < len(starts) else last
        moved = tuple(amount - earlier for amount, earlier in zip(amounts, was, strict=True))
        lines.append(SheetLine(start, end, amounts, moved))
        was = amounts
    ahead = next((line.first for line in lines if line.is_step and line.first > today), None)
    return GroupSheet(group.name, len(group.rows), feeds, tuple(lines), ahead)
