"""Two groups side by side: their figures line by line, and how far they stand apart, with its interval."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from herdscore.domain.assess import Assessment
from herdscore.domain.group_finding import chance_words, say_interval, say_share
from herdscore.domain.groups import GroupFigures, Values
from herdscore.domain.intervals import Interval, mean_difference, share_difference
from herdscore.domain.reasons import say_day, say_number


@dataclass(frozen=True, slots=True)
class Pair:
    """Two groups: the right one's mean score less target and share in band, less the left one's; what that says.

    `lines` hold a label and the figure of each. Groups measured at different times are not set against each other.
    """

    left: GroupFigures
    right: GroupFigures
    apart: Interval | None
    share_apart: Interval | None
    claim: str
    rest: str
    lines: tuple[tuple[str, str, str], ...]


def compare(assessment: Assessment, left: GroupFigures, right: GroupFigures) -> Pair:
    """Set two groups side by side."""
    level = assessment.rulebook.model.level
    lines = tuple(_lines(assessment, left, right))
    if left.in_milk != right.in_milk:
        claim = "One group is measured now against mating, the other at calving"
        return Pair(left, right, None, None, claim, "How far they stand apart cannot be said.", lines)
    apart = mean_difference(left.against.sample, right.against.sample, level)
    shares = share_difference(left.in_band, left.against.count, right.in_band, right.against.count, level)
    claim, rest = _said(left, right, apart, chance_words(level))
    return Pair(left, right, apart, shares, claim, f"{rest} {_share_said(left, right, shares)}".strip(), lines)


def _said(left: GroupFigures, right: GroupFigures, apart: Interval, sure: str) -> tuple[str, str]:
    if not left.against.count or not right.against.count:
        none = right if left.against.count else left
        return f"{none.name} has no cow that can be compared", ""
    when = "now" if left.in_milk else "at calving"
    size = say_number(abs(apart.value), 2)
    way = "above" if apart.value > 0 else "below"
    claim = f"{right.name} stands {size} {way} {left.name} {when}"
    if not apart.is_known:
        return claim, "Too few cows to say whether that is more than chance."
    ends = f"{sure}: {say_number(apart.low, 2, sign=True)} to {say_number(apart.high, 2, sign=True)}"
    return claim, f"{ends}. {'More than chance.' if apart.leaves_out_zero else 'That may be chance.'}"


def _share_said(left: GroupFigures, right: GroupFigures, apart: Interval) -> str:
    if not apart.is_known:
        return ""
    low, high = (say_number(100 * end, 0, sign=True) for end in (apart.low, apart.high))
    return f"In the band {say_share(left)} against {say_share(right)}: {low} to {high} in a hundred."


def _lines(a: Assessment, left: GroupFigures, right: GroupFigures) -> list[tuple[str, str, str]]:
    def line(label: str, say: Callable[[GroupFigures], str]) -> tuple[str, str, str]:
        return label, say(left), say(right)

    sure = chance_words(a.rulebook.model.level)
    return [
        line("Cows", lambda one: f"{one.cows}"),
        line("Less target, mean ± spread", lambda one: _mean(one.against, sign=True)),
        line(f"Less target, {sure}", lambda one: _span(one.mean.low, one.mean.high)),
        line("Less target, median", lambda one: _number(one.against.median, sign=True)),
        line("Middle half", lambda one: _span(one.against.lower, one.against.upper)),
        line("In the band", say_share),
        line(f"In the band, {sure}", say_interval),
        line("Below the band, above it", lambda one: f"{one.thin}, {one.fat}" if one.against.count else ""),
        line("To act on now", lambda one: f"{one.to_act}"),
        line("Score now, mean ± spread", lambda one: _mean(one.now, sign=False)),
        line("Score now, median", lambda one: _number(one.now.median, sign=False)),
        line("With a score", lambda one: f"{one.now.count}"),
        line("First-calvers", lambda one: f"{one.first_calvers}"),
        line("Calves", lambda one: _calves(a, one)),
    ]


def _number(value: float, *, sign: bool) -> str:
    return say_number(value, 2, sign=sign) if value == value else ""


def _mean(values: Values, *, sign: bool) -> str:
    if not values.count:
        return ""
    spread = f" ± {say_number(values.spread, 2)}" if values.spread == values.spread else ""
    return f"{say_number(values.mean, 2, sign=sign)}{spread}"


def _span(low: float, high: float) -> str:
    if low != low or high != high:
        return ""
    return f"{say_number(low, 2, sign=True)} to {say_number(high, 2, sign=True)}"


def _calves(a: Assessment, one: GroupFigures) -> str:
    first, last = (say_day(a.day(day), a.today) if day == day else "" for day in (one.first, one.last))
    return first if first == last else f"{first} to {last}"
