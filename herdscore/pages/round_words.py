"""What is said of a round: its list, how far it is, its pace, its summary."""

from __future__ import annotations

import math
from datetime import date

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.day_names import SHORT_DAYS
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.records import ALL, AUTUMN, FIRST_CALVERS, GROUP, SPRING, WANTED, Round
from herdscore.domain.round_summary import GroupSummary, RoundSummary
from herdscore.domain.rounds import Pace, Progress, covered, of_group
from herdscore.pages.cow_words import say_cows, say_days

_COVERS = {
    ALL: "All cows",
    AUTUMN: "Autumn calvers",
    SPRING: "Spring calvers",
    WANTED: "Cows the rules want scored",
    FIRST_CALVERS: "First-calvers",
}
_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def covers_words(covers: str) -> str:
    """What a round is about: "All cows", "Group North park"."""
    return _COVERS.get(covers) or f"Group {covers.removeprefix(f'{GROUP} ')}"


def covers_choices(assessment: Assessment) -> list[tuple[str, str, int]]:
    """Everything a round may be about, as (key, words, cows)."""
    groups = sorted({name for name in assessment.groups.names if name})
    keys = [*_COVERS, *(of_group(name) for name in groups)]
    return [(key, covers_words(key), int(covered(assessment, key).sum())) for key in keys]


def proposed_name(day: date, taken: list[str]) -> str:
    """A name for a round of a day: its month, and a number when it is taken."""
    name = f"{_MONTHS[day.month - 1]} round"
    used = {one.casefold() for one in taken}
    names = (name, *(f"{name} {n}" for n in range(2, len(used) + 3)))
    return next(one for one in names if one.casefold() not in used)


def title_of(round_: Round, today: date) -> str:
    """When it was and what it is about."""
    opened = say_day(round_.opened, today)
    about = covers_words(round_.covers)
    about = f"{about[0].lower()}{about[1:]}"
    if round_.closed is None:
        return f"Opened {opened}, {about}"
    closed = "" if round_.closed == round_.opened else f" to {say_day(round_.closed, today)}"
    return f"{opened}{closed}, closed, {about}"


def open_since(round_: Round, today: date) -> str:
    """What to do about a round opened on an earlier day; empty for one of today."""
    days = (today - round_.opened).days
    if days <= 0 or round_.closed is not None:
        return ""
    since = "yesterday" if days == 1 else f"{say_day(round_.opened, today)}, {say_days(days)} ago"
    return f"Open since {since}: carry it over to go on, or close it."


def progress_lines(progress: Progress) -> list[str]:
    """Where it stands, in a few lines."""
    if not progress.total:
        return ["No cow is on its list."]
    lines = [f"{progress.done} of {progress.total} done: {int(progress.scored.sum())} scored"]
    unsafe = int(progress.unsafe.sum())
    lines[0] += f", {unsafe} unsafe" if unsafe else ""
    to_come, skipped = int(progress.to_come.sum()), int(progress.skipped.sum())
    lines.append("Nobody is left." if not progress.left else f"{to_come} to come, {skipped} skipped.")
    gone, extra, asides = int(progress.gone.sum()), int(progress.extra.sum()), progress.asides
    if gone:
        lines.append(f"{say_cows(gone)} of the list left the herd.")
    if extra:
        lines.append(f"{say_cows(extra)} scored who {'is' if extra == 1 else 'are'} not on the list.")
    if asides:
        lines.append(f"{asides} tag{'' if asides == 1 else 's'} scored that no cow of the herd bears.")
    return lines


def pace_words(pace: Pace | None, left: int, *, short: bool = False) -> str:
    """Time to go, and unless short the pace; empty before it is known or when nobody is left."""
    if pace is None or not left:
        return ""
    minutes = pace.minutes_to_go
    to_go = f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60:02d}"
    return f"{to_go} to go" + ("" if short else f", {pace.an_hour} an hour")


def tags_words(tags: list[str], most: int) -> str:
    """Tags in a line, at most so many."""
    more = len(tags) - most
    return "  ".join(tags[:most]) + (f"  and {more} more" if more > 0 else "")


# The summary


def summary_claim(found: RoundSummary) -> str:
    """The round in a sentence or two."""
    if not found.herd.cows:
        return "Nobody is scored in this round yet."
    done = found.progress
    unsafe = int(done.unsafe.sum())
    said = f"{int(done.scored.sum())} of {done.total} scored" + (f", {unsafe} unsafe" if unsafe else "")
    extra = int(done.extra.sum())
    said += f", {extra} more not on the list" if extra else ""
    said += f". Mean {_with_spread(found.herd.mean, found.herd.spread)}"
    if not math.isfinite(found.herd.change):
        return f"{said}; none of them was scored before."
    return f"{said}; {change_words(found.herd.change)} on the {say_cows(found.herd.again)} scored before."


def change_words(change: float) -> str:
    """A change of a mean: "down 0.12"."""
    if not math.isfinite(change):
        return ""
    if abs(round(change, 2)) < 0.005:
        return "level"
    return f"{'down' if change < 0 else 'up'} {say_number(abs(change), 2)}"


def group_texts(one: GroupSummary, nameless: str) -> tuple[str, ...]:
    """A row of the table by group: name, cows, mean and spread, scored before, mean then, change."""
    then = _with_spread(one.mean_before, one.spread_before) if one.again else "–"
    return (
        one.group or nameless,
        str(one.cows),
        _with_spread(one.mean, one.spread),
        str(one.again),
        then,
        say_number(one.change, 2, sign=True) if one.again else "–",
    )


def _with_spread(mean: float, spread: float) -> str:
    return say_number(mean, 2) + (f" ± {say_number(spread, 2)}" if math.isfinite(spread) else "")


def days_off_words(found: RoundSummary) -> list[str]:
    """A sentence for each day that looks low or high for everybody."""
    said = []
    for one in found.days_off:
        who = f", {one.scorer}," if one.scorer else ""
        day = f"{SHORT_DAYS[one.day.weekday()]} {say_day(one.day)}"
        way, side = ("low", "below") if one.is_low else ("high", "above")
        said.append(
            f"{day}{who} looks {way} for everybody: {say_number(abs(one.bias), 2)} {side} what the "
            f"{say_cows(one.cows)} should feel like; {say_number(one.usual, 2)} is usual. Feel a few again."
        )
    return said


def tags_of(tags: list[str], flags: np.ndarray) -> list[str]:
    """Short tags of the cows marked, flags one a cow."""
    return [tags[cow] for cow in np.flatnonzero(flags).tolist()]
