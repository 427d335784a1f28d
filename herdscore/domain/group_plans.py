"""A plan for a feeding group of the herd: who can be in it, what starting it writes down, and who is penned apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.diets import group_key
from herdscore.domain.energy import Flags, Numbers
from herdscore.domain.fed_groups import AIM_WORDS, FedGroup, present_ration
from herdscore.domain.feeding import plan
from herdscore.domain.feeding_cows import LeftOut, Why
from herdscore.domain.feeding_plan import Plan, Status
from herdscore.domain.feeds import Feeds
from herdscore.domain.moves import plan_move
from herdscore.domain.need import CowsFed
from herdscore.domain.ration_by_hand import Tried, try_ration
from herdscore.domain.ration_checks import Limit, Step, largest_step
from herdscore.domain.rations import ration_rows
from herdscore.domain.reasons import say_day
from herdscore.domain.records import DOWN, UP, WINTER_FEED, Diet, Ration, new_id
from herdscore.domain.rulebook import Rulebook

AS_BEFORE = "as before"  # no comma: pens are named with commas between
_TRIES = 4
_GRAMS = 3
"""Decimals of kg fresh that are written down."""


@dataclass(frozen=True, eq=False)
class GroupPlan:
    """The plan of a group's cows that can begin, and those who stand in its way and keep the old ration, apart."""

    plan: Plan
    apart: tuple[LeftOut, ...]
    as_now: int | None = None  # cows in their band at calving fed as today; None: today's ration is not known

    @property
    def can_start(self) -> bool:
        """Whether it may be begun as the group stands: nobody in the way, and today's ration known."""
        good = self.plan.status in (Status.PLANNED, Status.PART_WAY)
        return good and not self.apart and self.plan.present is not None


def plan_group(
    cows: CowsFed,
    feeds: Feeds,
    rules: Rulebook,
    present: Numbers | None,
    *,
    running: bool = False,
    aim: int | None = None,
) -> GroupPlan:
    """Plan a group without those who stand in the way of its start; they are named."""
    apart: list[LeftOut] = []
    made = plan(cows, feeds, rules, present, running=running, aim=aim)
    for _ in range(_TRIES):
        if made.status is not Status.REFUSED:
            break
        apart += made.left_out
        out = np.isin(cows.row, [one.row for one in made.left_out])
        if out.all():
            break
        cows = cows.only(~out)
        # The way stays that of the whole group: else a group thins out until it wants the other.
        made = plan(cows, feeds, rules, present, running=running, aim=made.aim)
    if made.status is Status.NOT_FEASIBLE:
        short = _short_of(made)
        if short.any() and 2 * short.sum() < len(cows):
            without = plan(cows.only(~short), feeds, rules, present, running=running, aim=made.aim)
            if without.status in (Status.PLANNED, Status.PART_WAY):
                few = cows.only(short)
                apart += [
                    LeftOut(int(row), str(tag), Why.NEEDS_MORE, float(day))
                    for row, tag, day in zip(few.row, few.tag, few.calving_day, strict=True)
                ]
                made = without
    return GroupPlan(made, tuple(apart))


def _short_of(made: Plan) -> Flags:
    """Cows on whose account no ration of the group keeps every limit, [N]."""
    names = {
        name
        for one in made.in_the_way
        if one.broken and one.limit in (Limit.NEVER_SLIMMED, Limit.FLOOR, Limit.LATE_LOSS, Limit.LOSS)
        for name in one.names
    }
    return np.array([tag in names for tag in made.cows.tag], dtype=bool)


def kg_of(feeds: Feeds, ration: Numbers) -> dict[str, float]:
    """Kg fresh by feed of a ration in kg dry matter, without what is not fed."""
    fresh = np.round(ration / feeds.dm, _GRAMS)
    return {str(name): float(kg) for name, kg in zip(feeds.name, fresh, strict=True) if kg > 0}


def dated(steps: Sequence[Step], feeds: Feeds, today: date) -> list[tuple[date, dict[str, float]]]:
    """Steps as they are written down: day, and kg fresh a head by feed."""
    return [(today + timedelta(days=int(step.day)), kg_of(feeds, step.ration)) for step in steps]


def start_plan(assessment: Assessment, group: FedGroup, made: Plan) -> Change:
    """What begins a plan: its diet with the change expected of it, and its ration at every step."""
    today = assessment.today
    inside = int(made.in_band.sum())
    note = (
        f"plan of {say_day(today)}\u00a0{today.year}: {AIM_WORDS[made.aim]}, {inside} of {len(made.cows)} in the band"
    )
    aim = {1: UP, -1: DOWN}.get(made.aim)
    diet = _diet(assessment, group, aim, round(made.change_a_week, 4), note)
    steps = dated(made.steps(), made.feeds, today)
    if not steps or steps[0][0] > today:
        steps.insert(0, (today, kg_of(made.feeds, made.on(0.0))))
    return Change("start plan", (*diet, *ration_rows(assessment.snapshot, group.name, steps, today)))


def record_ration(
    assessment: Assessment, group: FedGroup, steps: Sequence[tuple[date, dict[str, float]]], kind: str = "ration"
) -> Change:
    """A ration entered by hand, as steps: what the group gets from the first of their days on."""
    return Change(kind, tuple(ration_rows(assessment.snapshot, group.name, steps, steps[0][0])))


def start_by_hand(
    assessment: Assessment,
    group: FedGroup,
    steps: Sequence[tuple[date, dict[str, float]]],
    aim: int,
    expected_a_week: float,
) -> Change:
    """A ration entered by hand, begun as the plan of its group."""
    today = assessment.today
    note = f"ration entered by hand on {say_day(today)}\u00a0{today.year}: {AIM_WORDS[aim]}"
    diet = _diet(assessment, group, {1: UP, -1: DOWN}.get(aim), round(expected_a_week, 4), note, steps[0][0])
    return Change("start plan", (*diet, *record_ration(assessment, group, steps).rows))


def pen_apart(assessment: Assessment, group: FedGroup, apart: Sequence[LeftOut]) -> tuple[Change, str]:
    """Move those who stand in the way to a pen of their own, where diet and ration stay as they are; its name.

    No change is begun there: the diet loses its aim.
    """
    a, name = assessment, _free_name(assessment, group.name)
    moved = plan_move(a.snapshot, [one.row for one in apart], name, a.today, a.today).change
    rows = [] if moved is None else list(moved.rows)
    if group.diet is not None:
        diet = replace(group.diet, id=new_id(), group=name, day=a.today, aim=None, plan_note=None)
        rows.append(RowChange(None, diet))
    if group.ration:
        rows += [RowChange(None, Ration(new_id(), name, a.today, feed, kg)) for feed, kg in group.ration.items()]
    return Change("pen apart", tuple(rows)), name


def why_not_start(made: GroupPlan, group: FedGroup) -> str:
    """Why a plan cannot be begun now, in a sentence; empty when it can."""
    if made.apart:
        late = sum(one.why is Why.TOO_LATE for one in made.apart)
        why = "too near calving" if late == len(made.apart) else "not to be changed like this"
        count = len(made.apart)
        cows, whom = ("cow is", "her") if count == 1 else ("cows are", "them")
        return f"{count} {cows} {why}: pen {whom} apart first."
    if made.plan.status is Status.NOT_FEASIBLE:
        return "No plan keeps every limit; change the feeds or the group."
    if made.plan.status is Status.REFUSED:
        return "No cow of this group may begin a change."
    if made.plan.present is None:
        return f"Say first what {group.name} gets now: steps are counted from it."
    return ""


def plan_again(assessment: Assessment, group: FedGroup, feeds: Feeds, aim: int | None = None) -> GroupPlan:
    """The plan of a group as it stands today; a change that runs is seen through."""
    running, rules, present = bool(group.aim), assessment.rulebook, present_ration(group, feeds)
    way = group.aim if running and aim is None else aim
    made = plan_group(group.cows, feeds, rules, present, running=running, aim=way)
    if made.plan.aim and not running:
        made = replace(made, apart=(*made.apart, *late_besides(group, rules)))
    if present is None or not len(made.plan.ration):
        return made
    fed = try_ration(made.plan.cows, feeds, present, rules, present)
    return replace(made, as_now=int(fed.in_band_as_now.sum()))


def late_besides(group: FedGroup, rules: Rulebook) -> list[LeftOut]:
    """Members no plan counts, for want of a score or for the vet, who are too near calving for a change to begin."""
    return [one for one in group.left_out if one.days < rules.limits.lead_days]


def _diet(
    a: Assessment, group: FedGroup, aim: str | None, expected: float, note: str, day: date | None = None
) -> list[RowChange]:
    """The diet of a plan from its first day on, in place of one that begins that day."""
    day = day or a.today
    now = group.diet
    kind = now.kind if now is not None else WINTER_FEED
    of_day = [
        row
        for row in a.snapshot.records("diets")
        if isinstance(row, Diet) and row.day == day and group_key(row.group) == group_key(group.name)
    ]
    before = of_day[0] if of_day else None
    row_id = before.id if before is not None else new_id()
    name = before.group if before is not None else group.name
    return [RowChange(before, Diet(row_id, name, day, kind, aim, expected, note))]


def _free_name(a: Assessment, name: str) -> str:
    known = {group_key(one) for one in a.groups.names if one is not None}
    made, count = f"{name} {AS_BEFORE}", 1
    while group_key(made) in known:
        count += 1
        made = f"{name} {AS_BEFORE} {count}"
    return made


def steps_of_hand(cows: CowsFed, feeds: Feeds, rules: Rulebook, tried: Tried) -> list[Step] | None:
    """The steps to a ration entered by hand and back to need before the freeze.

    None when they do not get there in time, or when no way back keeps every limit.
    """
    steps = list(tried.steps)
    turn = tried.back_day - rules.feeding.back_days
    if steps[-1].day + rules.feeding.step_days > turn:
        return None
    later = replace(
        cows, calving_day=cows.calving_day - turn, dry_day=cows.dry_day - turn, score=np.clip(tried.score, 1.0, 5.0)
    )
    back = plan(later, feeds, rules, steps[-1].ration, running=True, aim=0)
    if back.status not in (Status.PLANNED, Status.PART_WAY):
        return None
    return [*steps, *(Step(step.day + turn, step.ration) for step in back.steps())]


def fits_next(feeds: Feeds, ration: Numbers, ahead: Sequence[tuple[date, dict[str, float]]], rules: Rulebook) -> bool:
    """Whether the first step still to come is one gentle step from a ration, [F]."""
    if not ahead:
        return True
    share, _ = largest_step(feeds, ration, feeds.ration(ahead[0][1]), rules.feeding)
    return share >= 1
