"""The care of calves as the herd file keeps it: cards of the clock by calf, and the changes that add to them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

import numpy as np

from herdscore.domain import calf_clock
from herdscore.domain.calf_clock import BORN, CareCard, NewCalf, to_utc
from herdscore.domain.calf_words import calf_sex
from herdscore.domain.calving_forms import CalfCareRules
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Calving, Care, new_id

_LOOKED_AT = timedelta(days=60)
_CLOCK = re.compile(r"(\d{1,2})\s*[:. h]?\s*(\d{2})")


@dataclass(frozen=True, slots=True)
class NamedCard:
    """A card with its dam's tag and cow id, and the calf's sex; None when it was not entered."""

    card: CareCard
    cow_id: str
    tag: str
    sex: str | None
    twin: bool


def cards_of(snapshot: Snapshot, now: datetime, rules: CalfCareRules) -> tuple[NamedCard, ...]:
    """Cards of the calves of the last weeks that have a time of birth, worst first; `now` is aware."""
    care, table = snapshot.care, snapshot.calvings
    timed = set(care.calving_id[care.what == BORN].tolist())
    since = np.datetime64((to_utc(now) - _LOOKED_AT).date(), "D")
    rows = [row for row in np.flatnonzero(table.day >= since).tolist() if table.id[row] in timed]
    calves, of = [], {}
    for row in rows:
        alike = np.flatnonzero((table.cow == table.cow[row]) & (table.day == table.day[row]))
        weight = float(table.calf_weight[row])
        calves.append(
            NewCalf(
                str(table.id[row]),
                None if np.isnan(weight) else weight,
                alive=bool(table.calf_alive[row] == 1),
                first=bool(alike[0] == row),
            )
        )
        of[str(table.id[row])] = (row, len(alike) > 1)
    cares = [
        calf_clock.Care(
            str(care.calving_id[row]),
            str(care.what[row]),
            datetime.fromisoformat(care.at[row]),
            None if np.isnan(care.amount[row]) else float(care.amount[row]),
        )
        for row in range(len(care))
        if care.calving_id[row] in of
    ]
    made = []
    for card in calf_clock.care_cards(calves, cares, now, rules):
        row, twin = of[card.calving_id]
        cow = int(table.cow[row])
        sex = calf_sex(table.calf_sex[row])
        made.append(NamedCard(card, str(snapshot.cows.id[cow]), str(snapshot.cows.tag[cow]), sex, twin))
    return tuple(made)


def caring(calving_id: str, what: str, at: datetime, amount: float | None = None) -> Change:
    """One thing done for a calf or her dam; `at` is aware."""
    return Change("care", (RowChange(None, _care(calving_id, what, at, amount)),))


def with_birth_time(snapshot: Snapshot, change: Change, at: datetime | None) -> Change:
    """The change of a calving with its calves' time of birth; None leaves what is known of it."""
    if at is None:
        return change
    born = {row.calving_id: row for row in snapshot.records("care") if isinstance(row, Care) and row.what == BORN}
    rows = []
    for calf in (row.after for row in change.rows):
        if not isinstance(calf, Calving):
            continue
        before = born.get(calf.id)
        after = _care(calf.id, BORN, at, None)
        if before is None:
            rows.append(RowChange(None, after))
        elif before.at != after.at:
            rows.append(RowChange(before, Care(before.id, calf.id, BORN, after.at)))
    return Change(change.kind, (*change.rows, *rows))


def birth_time(snapshot: Snapshot, calving_id: str) -> datetime | None:
    """When a calf was born, in UTC, None where no time was entered."""
    care = snapshot.care
    rows = np.flatnonzero((care.calving_id == calving_id) & (care.what == BORN))
    return datetime.fromisoformat(care.at[rows[0]]) if len(rows) else None


def read_time(text: str) -> time | None:
    """A time of day as it is typed, None when it is none.

    >>> read_time("4.05"), read_time("1640"), read_time("25:00")
    (datetime.time(4, 5), datetime.time(16, 40), None)
    """
    found = _CLOCK.fullmatch(text.strip())
    if found is None or int(found[1]) > 23 or int(found[2]) > 59:
        return None
    return time(int(found[1]), int(found[2]))


def time_wrong(text: str, day: date, now: datetime) -> str:
    """Why a typed time of birth cannot be, as a sentence, "" when it can; `now` is aware, nothing typed is no time."""
    if not text.strip():
        return ""
    at = read_time(text)
    if at is None:
        return f"“{text.strip()}” is not a time of day: write 4:05 or 16:40."
    if datetime.combine(day, at).astimezone() > now:
        return f"{at:%H:%M} is still ahead."
    return ""


def _care(calving_id: str, what: str, at: datetime, amount: float | None) -> Care:
    return Care(new_id(), calving_id, what, at.astimezone(UTC).replace(microsecond=0).isoformat(), amount)
