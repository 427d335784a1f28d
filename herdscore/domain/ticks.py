"""What the flag list asked for and somebody did: ticks that hold until the cow is looked at anew."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import days_from
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Tick, new_id
from herdscore.domain.verdict import Verdict

Places = npt.NDArray[np.intp]

UP, DOWN = "ease up", "ease down"
_ASKED = {
    Verdict.EASE_UP_NOW: UP,
    Verdict.EASE_UP_IN_HAND: UP,
    Verdict.PART_WAY_UP: UP,
    Verdict.EASE_DOWN_NOW: DOWN,
    Verdict.EASE_DOWN_IN_HAND: DOWN,
    Verdict.PART_WAY_DOWN: DOWN,
}


def asked_of(assessment: Assessment, cow: int) -> str:
    """What is asked for a cow, in the words a tick keeps; easing up is one thing, now or with time in hand."""
    verdict = Verdict(assessment.verdict[cow])
    return _ASKED.get(verdict) or assessment.rulebook.words[verdict.key].word


def ticked(assessment: Assessment) -> Places:
    """Row of the tick that holds for each cow, [N]; -1 where none does.

    A tick holds for what is asked of her now, until she is scored or calves after the day of the list it was set on.
    """
    a, ticks = assessment, assessment.snapshot.ticks
    held = np.full(len(a), -1, dtype=np.intp)
    if not len(ticks):
        return held
    day = days_from(a.today, ticks.day)
    since = np.fmax(a.facts.last_day, a.facts.calved_day)[ticks.cow]
    asked = np.array([asked_of(a, cow) for cow in ticks.cow.tolist()], dtype=object)
    # A day ahead is a tick of a day looked at later; it is not there yet.
    good = np.flatnonzero((asked == ticks.what) & (day <= 0) & ~(since > day))
    held[ticks.cow[good]] = good
    return held


def tick_off(assessment: Assessment, cows: Iterable[int], done: date) -> Change | None:
    """Tick off what is asked of these cows (places) as done on a day; None when all are ticked off already."""
    held = ticked(assessment)
    ids = assessment.snapshot.cows.id
    rows = [
        RowChange(None, Tick(new_id(), str(ids[cow]), asked_of(assessment, cow), assessment.today, done))
        for cow in cows
        if held[cow] < 0
    ]
    return Change("tick off", tuple(rows)) if rows else None


def take_back(assessment: Assessment, cows: Iterable[int]) -> Change | None:
    """Take the ticks of these cows back; None when none has one."""
    held = ticked(assessment)
    rows = [int(held[cow]) for cow in cows if held[cow] >= 0]
    struck = tuple(RowChange(tick, None) for tick in assessment.snapshot.records("ticks", rows))
    return Change("take back tick", struck) if struck else None


def done_day(snapshot: Snapshot, row: int) -> date:
    """The day on which what a tick stands for was done."""
    day: date = snapshot.ticks.done[row].item()
    return day
