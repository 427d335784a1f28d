"""What the comparison of groups finds, in a sentence: who is heading thin or fat, and who needs feed for the bull."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.grouping import BLOCK, BREED, FORTNIGHT, GROUP, MONTH, Flags, Grouping
from herdscore.domain.groups import GroupFigures
from herdscore.domain.reasons import say_chance, say_number
from herdscore.domain.verdict import Verdict

_NAMED = 2


def leaning(found: GroupFigures) -> int:
    """-1 when a group as a whole stands under its target, +1 above it, 0 when that may be chance."""
    if found.is_small or not found.mean.leaves_out_zero:
        return 0
    thin = found.mean.high < 0
    if thin:
        return -1 if found.thin > found.fat else 0
    return 1 if found.fat > found.thin else 0


def finding(assessment: Assessment, grouping: Grouping, groups: Sequence[GroupFigures], among: Flags) -> str:
    """The picture in a sentence."""
    if not any(one.cows for one in groups):
        return "No cow in this block" if len(assessment) else "There is no cow in the herd yet"
    if not any(one.against.count for one in groups):
        return "No cow has a score and a date to be compared by"
    dry = [one for one in groups if not one.in_milk]
    said = ""
    for side, word in ((-1, "thin"), (1, "fat")):
        names = [one.name for one in dry if leaning(one) == side]
        if names:
            verb = "" if said else " is heading" if _is_one(grouping.way, names) else " are heading"
            said += f"{', ' if said else ''}{_named(grouping.way, names)}{verb} {word}"
    said = said or _nothing_leans(groups, dry)
    bull = int((among & (assessment.verdict == Verdict.FEED_FOR_BULL)).sum())
    if bull:
        said += f"; {bull} to feed for the bull"
    return f"{said[0].upper()}{said[1:]}"


def _nothing_leans(groups: Sequence[GroupFigures], dry: Sequence[GroupFigures]) -> str:
    counted = sum(one.against.count for one in groups)
    inside = sum(one.in_band for one in groups)
    said = f"{inside} of {counted} cow{'' if counted == 1 else 's'} in the band"
    if not any(one.against.count for one in dry):
        return f"{said} for mating"
    return said if len(groups) == 1 else f"no group stands surely off its target; {said}"


def _named(way: str, names: Sequence[str]) -> str:
    """Some groups in a sentence, as what they are groups of."""
    said = " and ".join(names) if len(names) <= _NAMED else f"{names[0]} and {len(names) - 1} others"
    if way == FORTNIGHT:
        return f"cows calving {said}"
    if way == MONTH:
        return f"cows calving in {said}"
    if way == BLOCK:
        return f"the {said} block"
    return f"{said} cows" if way == BREED else said


def _is_one(way: str, names: Sequence[str]) -> bool:
    return len(names) == 1 and way in (GROUP, BLOCK)


def describe(groups: Sequence[GroupFigures]) -> str:
    """The picture for somebody who cannot see it: every group in a line."""
    return " ".join(f"{describe_one(one)}." for one in groups)


def describe_one(one: GroupFigures) -> str:
    """One group in a line."""
    cows = f"{one.name}: {one.cows} cow{'' if one.cows == 1 else 's'}"
    if not one.against.count:
        return f"{cows}, none that can be compared"
    when = "now" if one.in_milk else "at calving"
    median = say_number(one.against.median, 2, sign=True)
    return (
        f"{cows}, median {median} less target {when}, {say_share(one)} in the band, {one.thin} below it and "
        f"{one.fat} above, {one.to_act} to act on"
    )


def say_share(one: GroupFigures) -> str:
    """Share in the band with the cows it is taken from: "27 of 45, 60 %"."""
    if not one.against.count:
        return ""
    said = f"{one.in_band} of {one.against.count}"
    return said if one.is_small else f"{said}, {round(100 * one.share.value)}\u00a0%"


def say_interval(one: GroupFigures) -> str:
    """The interval of the share in band: "47\u201371 %"."""
    if not one.share.is_known:
        return ""
    return f"{round(100 * one.share.low)}\u2013{round(100 * one.share.high)}\u00a0%"


def chance_words(level: float) -> str:
    """How sure an interval is, in words: "9 in 10"."""
    tenths = level * 10
    return f"{tenths:.0f} in 10" if np.isclose(tenths, round(tenths)) else say_chance(level)
