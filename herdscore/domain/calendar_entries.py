"""What goes into a calendar program: the things to do and the expected calvings as whole days with lasting names."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calving_season import date_windows, still_to_calve
from herdscore.domain.date_account import account
from herdscore.domain.reasons import say_day, say_spread
from herdscore.domain.things_to_do import Thing, cow_tick

_MOST_TAGS = 40


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One whole day: a lasting name, the day, a line and a text; `to_do` has a tick, an event just falls on its day."""

    id: str
    day: date
    line: str
    text: str
    to_do: bool
    done: bool = False


def entries_of_things(things: Iterable[Thing], done: Collection[str] = ()) -> tuple[CalendarEntry, ...]:
    """Things to do as entries; `done` are names of things finished meanwhile."""
    return tuple(
        CalendarEntry(
            id=thing.id,
            day=thing.day,
            line=f"{thing.word}{_how_many(thing)}",
            text="\n".join(part for part in (thing.say, _tags(thing.tags)) if part).replace("\u00a0", " "),
            to_do=True,
            done=thing.id in done,
        )
        for thing in things
    )


def entries_of_calvings(assessment: Assessment) -> tuple[CalendarEntry, ...]:
    """An event on the projected date of every cow still to calve, with her window and where the date comes from."""
    a = assessment
    low, high = date_windows(a)
    share = f"{a.rulebook.calving.window_share * 100:g} in 100"
    made = []
    for cow in np.flatnonzero(still_to_calve(a)).tolist():
        day = a.day(a.dates.day[cow])
        assert day is not None
        tag, spread = a.snapshot.cows.tag[cow], say_spread(a.dates.spread[cow])
        first, last = (say_day(a.day(edge[cow]), a.today) for edge in (low, high))
        text = f"Between {first} and {last}, {share}. {account(a, cow).rests_on}."
        line = f"{tag} calves, ± {spread} days"
        made.append(CalendarEntry(cow_tick(a, "calving", cow), day, line, text.replace("\u00a0", " "), to_do=False))
    return tuple(made)


def _how_many(thing: Thing) -> str:
    if thing.cows:
        return f": {len(thing.cows)} {'cow' if len(thing.cows) == 1 else 'cows'}"
    return f": {thing.block} calvers" if thing.block else ""


def _tags(tags: tuple[str, ...]) -> str:
    shown = ", ".join(tags[:_MOST_TAGS])
    return f"{shown} and {len(tags) - _MOST_TAGS} more" if len(tags) > _MOST_TAGS else shown
