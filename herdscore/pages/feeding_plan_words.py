"""What is said of a plan: what it reaches, what stands in its way, and why there is none."""

from __future__ import annotations

from herdscore.domain.assess import Assessment
from herdscore.domain.check_words import named
from herdscore.domain.fed_groups import AIM_WORDS, FedGroup
from herdscore.domain.feeding_course import Course
from herdscore.domain.feeding_plan import InTheWay, Plan, Status
from herdscore.domain.group_plans import GroupPlan
from herdscore.domain.ration_checks import Limit
from herdscore.domain.reasons import say_day, say_number
from herdscore.pages.cow_words import say_cows

_MOST_WAYS = 3


def empty_words(group: FedGroup | None, lacking: str, made: GroupPlan | None) -> str:
    """Why there is no chart, and what to do."""
    if group is None:
        return "No cows in this block. Choose the other block, or both."
    if lacking:
        return f"{lacking} Enter what the farm has on the tab Feeds."
    if not len(group.cows):
        return "Nobody to plan for: no cow here has a score and a calving date within reach."
    if made is None:
        return "Working out the plan …"
    if made.plan.status is Status.REFUSED:
        return "No cow of this group may begin a change: feed them to need."
    return "No plan keeps every limit with these feeds."


def under_words(group: FedGroup, course: Course, made: GroupPlan | None, a: Assessment) -> str:
    """The line below the finding: what is drawn, of whom, and whose date it hangs on."""
    cows = made.plan.cows if made is not None else group.cows
    early = say_day(a.day(course.first_early), a.today)
    said = f"Energy a head a day, MJ, of {say_cows(len(cows))}. Dates are those of {course.first_cow}, early {early}."
    assumed = int(cows.weight_assumed.sum())
    weight = a.rulebook.energy.weight_at_middle
    if assumed:
        said += f" {assumed} not weighed: {weight:.0f} kg at score 3 or the breed's weight assumed."
    return said


def outcome_words(group: FedGroup, made: GroupPlan | None, a: Assessment) -> str:
    """What a plan reaches, against feeding on as now."""
    if made is None or made.plan.status is Status.REFUSED:
        return ""
    plan = made.plan
    if not len(plan.ration):
        return f"No plan keeps every limit. {ways_words(plan)}".strip()
    now = "" if made.as_now is None else f" instead of {made.as_now}"
    way = AIM_WORDS[plan.aim].capitalize()
    said = (
        f"{way}: {int(plan.in_band.sum())} of {len(plan.cows)} calve in their band{now}."
        f" Mean change {say_number(plan.reached, 2, sign=True)}"
    )
    if plan.status is Status.PLANNED:
        said += "."
    elif plan.status is Status.PART_WAY:
        said += f" of the {say_number(plan.wanted, 2, sign=True)} wanted: part of the way. {ways_words(plan)}"
    else:
        said = (
            f"No plan keeps every limit. {ways_words(plan)} The best gentle one reaches"
            f" {say_number(plan.reached, 2, sign=True)} of the {say_number(plan.wanted, 2, sign=True)} wanted."
        )
    return f"{said} {cost_words(plan)}".strip()


def cost_words(plan: Plan) -> str:
    """What the feed costs; that it is not known without prices."""
    if plan.cost != plan.cost:
        return "Cost not known: a feed has no price."
    days = float(plan.periods.cow_days.sum())
    return f"Feed for {plan.cost:,.0f} in all, {plan.cost / max(days, 1):.2f} a head a day, in the prices entered."


def ways_words(plan: Plan) -> str:
    """The limits that stand in the way, with the cows they hang on."""
    said = [_way(one) for one in plan.in_the_way[:_MOST_WAYS] if one.limit is not Limit.WANTED]
    return f"In the way: {'; '.join(said)}." if said else ""


def _way(one: InTheWay) -> str:
    return f"{one.limit.value} ({named(one.names)})" if one.names else one.limit.value
