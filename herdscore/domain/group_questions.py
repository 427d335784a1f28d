"""What the program has to ask of a group's feeding: groups without a diet, and groups housed or turned out since."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import HerdCalendar
from herdscore.domain.change_effect import Effect
from herdscore.domain.diets import group_pieces
from herdscore.domain.herd_strips import main_block
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.records import GRASS, HOUSING, TURNOUT, WINTER_FEED, Diet, new_id


@dataclass(frozen=True, slots=True)
class GroupQuestion:
    """A group whose diet the program has to ask for: the question, cows, and the day to start from if one is known."""

    group: str
    cows: int
    title: str
    since: date | None
    place: int
    likely: str = WINTER_FEED
    """A kind the answer may be, to reckon what an answer buys."""


def group_questions(assessment: Assessment) -> list[GroupQuestion]:
    """Groups without a diet today, most cows first; then those that were housed or turned out since their last one."""
    a = assessment
    living = ~a.facts.gone
    calendar = HerdCalendar(a.snapshot, a.today)
    unsaid, stale = [], []
    for group, name in enumerate(a.groups.names):
        cows = int((living & (a.groups.now == group)).sum())
        if name is None or not cows:
            continue
        block = main_block(a, group)
        past = {event: calendar.days(block, event) for event in (HOUSING, TURNOUT)}
        last = {event: float(days[days <= 0][-1]) for event, days in past.items() if (days <= 0).any()}
        event = max(last, key=lambda one: last[one], default=None)
        since = a.day(last[event]) if event is not None else None
        now = next(
            piece
            for piece in group_pieces(a.snapshot, a.groups, group, block, a.rulebook.model, a.today)
            if piece.low <= 0 < piece.high
        )
        if now.diet is None:
            from_day = f" since {say_day(since, a.today)}" if since is not None else ""
            likely = GRASS if event == TURNOUT else WINTER_FEED
            unsaid.append(GroupQuestion(name, cows, f"What is {name} on{from_day}?", since, group, likely))
        elif event is not None and since is not None:
            row = a.snapshot.record("diets", now.diet)
            assert isinstance(row, Diet)
            other = {HOUSING: GRASS, TURNOUT: WINTER_FEED}[event]
            if row.kind == other and row.day < since:
                done = "housed" if event == HOUSING else "turned out"
                title = f"{name} was {done} {say_day(since, a.today)}. What is it on?"
                likely = WINTER_FEED if event == HOUSING else GRASS
                stale.append(GroupQuestion(name, cows, title, since, group, likely))
    by_cows = sorted(unsaid, key=lambda one: (-one.cows, one.group.casefold()))
    return by_cows + sorted(stale, key=lambda one: (-one.cows, one.group.casefold()))


def likely_answer(assessment: Assessment, question: GroupQuestion) -> Diet:
    """A diet that may be the answer: from the day asked for, else from the first score of a cow of the group."""
    a = assessment
    cows = np.flatnonzero(~a.facts.gone & (a.groups.now == question.place))
    days = a.sessions.day[np.isin(a.sessions.cow, cows)]
    first = a.day(float(days.min())) if len(days) else a.today
    assert first is not None
    return Diet(new_id(), question.group, question.since or first, question.likely)


def worth_words(question: GroupQuestion, bought: Effect) -> str:
    """What an answer buys: how much narrower the 90 % band of these cows at calving gets."""
    wait = f"{question.cows} cow{' waits' if question.cows == 1 else 's wait'} for this"
    if bought.cows and bought.half[1] < bought.half[0] - 0.005:
        before, after = (say_number(half, 2) for half in bought.half)
        whose = "its" if bought.cows == 1 else "their"
        return f"{wait}: with {question.likely}, {whose} 9 in 10 at calving narrow from ± {before} to ± {after}."
    return f"{wait}: it says which way they are heading."
