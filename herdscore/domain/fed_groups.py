"""Where the feeding of each group stands: who is in it, what it is on and gets, which step it is at, where it heads."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.diets import group_key
from herdscore.domain.energy import Flags, Numbers
from herdscore.domain.feeding_cows import LeftOut, members
from herdscore.domain.feeds import Feeds
from herdscore.domain.need import CowsFed, Places
from herdscore.domain.rations import ration_on, rations_of
from herdscore.domain.reasons import say_day
from herdscore.domain.records import DOWN, UP, Diet

AIM_WORDS = {1: "ease up", 0: "hold", -1: "ease down"}
NO_GROUP = "Without a group"


class Stand(StrEnum):
    """How far the feeding of a group is settled."""

    NOT_SAID = "not said"
    NO_PLAN = "no plan"
    RUNNING = "running"
    NOBODY = "nobody to plan for"


@dataclass(frozen=True, eq=False)
class FedGroup:
    """One feeding group on a day. `name` is "" for cows without a group; steps are kg fresh a head a day by feed."""

    place: int  # in the names of the assessment's groups
    name: str
    rows: Places  # its living cows
    cows: CowsFed  # those of them a plan can be made for
    left_out: tuple[LeftOut, ...]
    diet: Diet | None
    steps: tuple[tuple[date, dict[str, float]], ...]
    ration: dict[str, float]  # of today, empty when it is not known
    less_target: float  # mean score at calving less target, as it is fed now; NaN unknown

    @property
    def stand(self) -> Stand:
        """How far its feeding is settled."""
        if self.aim or self.is_planned:
            return Stand.RUNNING
        if not len(self.cows):
            return Stand.NOBODY
        return Stand.NOT_SAID if self.diet is None else Stand.NO_PLAN

    @property
    def aim(self) -> int:
        """Way its running change goes: +1 up, -1 down, 0 none."""
        return 0 if self.diet is None else {UP: 1, DOWN: -1}.get(self.diet.aim or "", 0)

    @property
    def is_planned(self) -> bool:
        """Whether what it is on was begun as a plan."""
        return self.diet is not None and bool(self.diet.plan_note)

    def planned(self) -> tuple[tuple[date, dict[str, float]], ...]:
        """Steps since its diet began, those to come among them; none without a plan."""
        if self.diet is None or not self.is_planned:
            return ()
        begun = self.diet.day
        return tuple(step for step in self.steps if step[0] >= begun)


def fed_groups(assessment: Assessment, in_block: Flags | None = None) -> list[FedGroup]:
    """Every group with a living cow of the chosen block (None both), whole, by name; those without a group last.

    Cows of the other block in it eat the same ration, and count.
    """
    a = assessment
    living = ~a.facts.gone
    chosen = living if in_block is None else living & in_block
    rows = {row.id: row for row in a.snapshot.records("diets") if isinstance(row, Diet)}
    made = []
    for place, name in enumerate(a.groups.names):
        mine = np.flatnonzero(living & (a.groups.now == place))
        if not chosen[mine].any():
            continue
        cows, left = members(a, mine)
        less = (a.course.mean - a.targets.target)[cows.row]
        made.append(
            FedGroup(
                place=place,
                name=name or "",
                rows=mine,
                cows=cows,
                left_out=tuple(left),
                diet=_diet_on(list(rows.values()), name, a.today),
                steps=() if name is None else tuple(rations_of(a.snapshot, name)),
                ration={} if name is None else ration_on(a.snapshot, name, a.today),
                less_target=float(np.nanmean(less)) if np.isfinite(less).any() else float("nan"),
            )
        )
    return made


def state_words(group: FedGroup, today: date) -> str:
    """What is to be known of a group's feeding in a few words."""
    if not group.name:
        return "give them a group first"
    if group.stand is Stand.NOBODY:
        return "nobody to plan for now"
    if group.diet is None:
        return "what are they on?"
    if group.stand is not Stand.RUNNING:
        return f"{group.diet.kind}, no plan yet"
    way, steps = AIM_WORDS[group.aim], group.planned()
    if not steps:
        return f"{way} since {say_day(group.diet.day, today)}"
    at = sum(day <= today for day, _ in steps)
    ahead = [day for day, _ in steps if day > today]
    if any(day == today for day, _ in steps):
        return f"{way}, step {at} of {len(steps)} today"
    if not at:
        return f"{way}, begins {say_day(steps[0][0], today)}"
    return f"{way}, step {at} of {len(steps)}" + (f", next {say_day(ahead[0], today)}" if ahead else "")


def present_ration(group: FedGroup, feeds: Feeds) -> Numbers | None:
    """Today's ration in kg dry matter by feed, [F]; None when it is not known or holds a feed that is gone."""
    if not group.ration:
        return None
    known = {name.casefold() for name in feeds.name}
    if any(name.casefold() not in known for name, kg in group.ration.items() if kg):
        return None
    return feeds.ration({name: kg for name, kg in group.ration.items() if kg})


def too_soon(group: FedGroup, today: date, day: date, apart_days: float) -> str:
    """Why no step may be taken on a day after those written down, in a sentence; empty when one may."""
    ahead = [begun for begun, _ in group.steps if today < begun <= day]
    if ahead:
        return f"A step is written down for {say_day(ahead[0], today)}: begin before it, or plan again."
    steps = [step for step in group.steps if step[0] <= day]
    changed = [after[0] for before, after in pairwise(steps) if before[1] != after[1]]
    free = changed[-1] + timedelta(days=int(apart_days) + 1) if changed else day
    if day >= free:
        return ""
    return f"The ration was changed on {say_day(changed[-1], today)}: the next step may come on {say_day(free, today)}."


def _diet_on(diets: list[Diet], group: str | None, day: date) -> Diet | None:
    if group is None:
        return None
    key = group_key(group)
    mine = [row for row in diets if row.day <= day and group_key(row.group) == key]
    return max(mine, key=lambda row: row.day, default=None)
