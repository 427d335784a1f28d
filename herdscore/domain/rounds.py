"""Rounds: a named scoring with the list it was opened with, on one or more days, until it is closed.

The list is kept as it was on opening; a cow who turns up and is not on it joins it when she is sent to a pen.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES, NO_BLOCK
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.crush_forms import CrushRules
from herdscore.domain.diets import group_key
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    ALL,
    BLOCKS,
    FIRST_CALVERS,
    GONE,
    GROUP,
    WANTED,
    Listed,
    Round,
    new_id,
)
from herdscore.domain.scored import work_of
from herdscore.domain.verdict import Verdict

Flags = npt.NDArray[np.bool_]

_FOREVER = date(9999, 12, 31)
TO_SCORE = (Verdict.TO_SCORE, Verdict.SCORE_FOR_BULL)


# What a round is about


def of_group(name: str) -> str:
    """What a round of one feeding group covers.

    >>> of_group(" Top  yard ")
    'group Top yard'
    """
    return f"{GROUP} {' '.join(name.split())}"


def covered(assessment: Assessment, covers: str) -> Flags:
    """Cows a round would have on its list, one flag a cow: all, a block, a group, first-calvers, or those wanted."""
    a = assessment
    living = ~a.facts.gone
    if covers == ALL:
        return living
    if covers in BLOCKS:
        return np.asarray(living & ((a.block == BLOCK_NAMES.index(covers)) | (a.block == NO_BLOCK)), dtype=bool)
    if covers == FIRST_CALVERS:
        return np.asarray(living & a.dates.first_calver, dtype=bool)
    if covers == WANTED:
        return living & _wanted(a)
    if not covers.startswith(f"{GROUP} "):
        raise ValueError(f"a round cannot cover {covers!r}")
    wanted = group_key(covers.removeprefix(f"{GROUP} "))
    keys = np.array([None if name is None else group_key(name) for name in a.groups.names], dtype=object)
    return np.asarray(living & (keys[a.groups.now] == wanted), dtype=bool)


def _wanted(a: Assessment) -> Flags:
    """To score now, asked for by a day, or 28 days and more into a change without a score since then."""
    rules = a.rulebook.verdicts
    due = a.running.begun + rules.running_days
    change_unseen = (a.running.side != 0) & (due <= 0) & ~(a.sessions.last_day >= due)
    seen_through = (a.verdict == Verdict.SEE_THROUGH) & change_unseen
    return np.asarray(np.isin(a.verdict, TO_SCORE) | np.isfinite(a.score_by) | seen_through, dtype=bool)


# Opening, carrying over, closing


def rounds_of(snapshot: Snapshot) -> list[Round]:
    """All rounds, the newest first."""
    return [one for one in reversed(snapshot.records("rounds")) if isinstance(one, Round)]


def open_round(snapshot: Snapshot) -> Round | None:
    """The round that is open, the newest when two files were joined; None when none is."""
    return next((one for one in rounds_of(snapshot) if one.closed is None), None)


def opening(
    assessment: Assessment,
    name: str,
    covers: str,
    day: date,
    *,
    lean_pen: str | None = None,
    fat_pen: str | None = None,
) -> Change:
    """Open a round with the list it covers now; a round still open is closed the day before, or that day."""
    snapshot = assessment.snapshot
    made = Round(new_id(), name.strip(), day, None, covers, lean_pen, fat_pen)
    cows = np.flatnonzero(covered(assessment, covers))
    listed = [Listed(new_id(), str(cow_id), made.id) for cow_id in snapshot.cows.id[cows]]
    old = [one for one in rounds_of(snapshot) if one.closed is None]
    ended = [RowChange(one, replace(one, closed=max(one.opened, day - timedelta(days=1)))) for one in old]
    return Change("open round", (*ended, RowChange(None, made), *(RowChange(None, one) for one in listed)))


def carrying_over(snapshot: Snapshot, round_: Round) -> Change | None:
    """Go on another day: the round stays open, and those skipped are to come again; None when none was skipped."""
    rows = [one for one in _listed(snapshot, round_) if one.skipped]
    if not rows:
        return None
    return Change("carry round over", tuple(RowChange(one, replace(one, skipped=False)) for one in rows))


def closing(round_: Round, day: date) -> Change:
    """Close a round; scores after that day are not of it."""
    return Change("close round", (RowChange(round_, replace(round_, closed=max(day, round_.opened))),))


def reopening(snapshot: Snapshot, round_: Round, day: date) -> Change:
    """Take up a closed round again; another one still open is closed."""
    others = [one for one in rounds_of(snapshot) if one.closed is None and one.id != round_.id]
    ended = tuple(RowChange(one, replace(one, closed=max(one.opened, day))) for one in others)
    return Change("open round again", (*ended, RowChange(round_, replace(round_, closed=None))))


def editing_round(round_: Round, after: Round) -> Change:
    """Rename a round or its pens."""
    return Change("edit round", (RowChange(round_, after),))


# The cows of a round


def skipping(snapshot: Snapshot, round_: Round, cow_id: str, *, skipped: bool = True) -> Change | None:
    """Leave a cow for later, or have her come after all; None when it is so already."""
    before = listing_of(snapshot, round_, cow_id)
    if (before is not None and before.skipped == skipped) or (before is None and not skipped):
        return None
    after = replace(before or Listed(new_id(), cow_id, round_.id), skipped=skipped)
    return Change("skip" if skipped else "unskip", (RowChange(before, after),))


def with_pen(change: Change, snapshot: Snapshot, round_: Round, cow_id: str, pen: str | None) -> Change:
    """A change, such as a saved score, together with the pen she leaves to (None: her own group)."""
    before = listing_of(snapshot, round_, cow_id)
    if before is None and pen is None:
        return change
    after = replace(before or Listed(new_id(), cow_id, round_.id), skipped=False, pen=pen)
    return change if after == before else Change(change.kind, (*change.rows, RowChange(before, after)))


def listing_of(snapshot: Snapshot, round_: Round, cow_id: str) -> Listed | None:
    """A cow's line on the list of a round, None when she is not on it."""
    place = snapshot.cow_place.get(cow_id)
    if place is None:
        return None
    rows = snapshot.of_cow("listed", place)
    rows = rows[snapshot.listed.round_id[rows] == round_.id]
    found = snapshot.records("listed", rows.tolist()[:1])
    return found[0] if found and isinstance(found[0], Listed) else None


def _listed(snapshot: Snapshot, round_: Round) -> list[Listed]:
    rows = np.flatnonzero(snapshot.listed.round_id == round_.id)
    return [one for one in snapshot.records("listed", rows.tolist()) if isinstance(one, Listed)]


# How far it is


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a round stands: flags, one a cow; `asides` counts tags scored that no cow of the herd bears.

    Every cow listed and not gone is in exactly one of scored, unsafe, skipped and to_come. `extra`: scored, not listed.
    """

    listed: Flags
    scored: Flags
    unsafe: Flags
    skipped: Flags
    to_come: Flags
    gone: Flags
    extra: Flags
    asides: int

    @property
    def total(self) -> int:
        """Cows of the list who are still in the herd."""
        return int((self.listed & ~self.gone).sum())

    @property
    def done(self) -> int:
        """Cows of the list scored or marked unsafe."""
        return int((self.scored | self.unsafe).sum())

    @property
    def left(self) -> int:
        """Cows of the list neither scored nor marked unsafe."""
        return self.total - self.done

    @property
    def still_to_score(self) -> Flags:
        """The same as flags, one a cow."""
        return np.asarray(self.to_come | self.skipped, dtype=bool)


def progress(snapshot: Snapshot, round_: Round) -> Progress:
    """How far a round is: what was scored from its first day to its last."""
    n = len(snapshot.cows)
    rows = snapshot.listed
    mine = rows.round_id == round_.id
    listed, skipped = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    listed[rows.cow[mine]] = True
    skipped[rows.cow[mine & (rows.skipped == 1)]] = True
    gone = listed & np.isin(snapshot.cows.status, GONE)
    last = round_.closed or _FOREVER
    work = work_of(snapshot, round_.opened, last)
    here = listed & ~gone
    scored, unsafe = here & work.scored, here & work.unsafe
    open_ = here & ~scored & ~unsafe
    days = snapshot.asides.day
    asides = (days >= np.datetime64(round_.opened, "D")) & (days <= np.datetime64(last, "D"))
    return Progress(
        listed=listed,
        scored=scored,
        unsafe=unsafe,
        skipped=open_ & skipped,
        to_come=open_ & ~skipped,
        gone=gone,
        extra=work.scored & ~listed,
        asides=int(asides.sum()),
    )


def still_to_score(assessment: Assessment, among: Flags) -> int:
    """Figure of the header: what is left of the open round; with none open, cows whose verdict asks for a score."""
    open_now = open_round(assessment.snapshot)
    if open_now is None:
        return int((np.isin(assessment.verdict, TO_SCORE) & among).sum())
    return int((progress(assessment.snapshot, open_now).still_to_score & among).sum())


SAVES = ("score", "score aside")
"""Kinds of change that save a cow."""


def save_times(entries: Iterable[tuple[str, datetime]]) -> list[datetime]:
    """Times at which cows were saved, oldest first, from kinds and times of the journal, newest first.

    A save that was taken back is none.
    """
    taken_back, times = dict.fromkeys(SAVES, 0), []
    for kind, time in entries:
        if kind.startswith("undo ") and (of := kind.removeprefix("undo ")) in taken_back:
            taken_back[of] += 1
        elif kind in taken_back:
            if taken_back[kind]:
                taken_back[kind] -= 1
            else:
                times.append(time)
    return times[::-1]


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast the work goes: seconds a cow, cows an hour, whole minutes to go."""

    seconds: float
    an_hour: int
    minutes_to_go: int


def pace(saves: Sequence[datetime], left: int, rules: CrushRules) -> Pace | None:
    """From the times of the last ten saves, oldest first, pauses left out; None before there are two."""
    times = list(saves)[-rules.pace_saves :]
    gaps = [(after - before).total_seconds() for before, after in pairwise(times)]
    work = [gap for gap in gaps if 0 <= gap <= rules.pause_minutes * 60]
    if not work or sum(work) <= 0:
        return None
    seconds = sum(work) / len(work)
    return Pace(seconds, round(3600 / seconds), math.ceil(left * seconds / 60))
