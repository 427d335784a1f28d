"""Everything recorded of one cow, record by record: what, when, by whom, and who wrote, changed or struck it out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime

from herdscore.domain.assess import Assessment
from herdscore.domain.cow_history import EASE, score_words, service_words
from herdscore.domain.reasons import say_day
from herdscore.domain.records import (
    TABLE_OF,
    UNSAFE,
    BlindScore,
    Calving,
    Cow,
    Listed,
    Move,
    Record,
    Score,
    Service,
    Tick,
    Weight,
)

OF_COW = ("scores", "services", "calvings", "weights", "moves", "ticks", "listed", "blind_scores")
"""Tables whose records belong to a cow."""
_FIELD_WORDS = {
    "management_no": "management no",
    "eid": "EID",
    "calving_date": "calving date",
    "date_from": "date comes from",
    "vet_plan": "vet's plan",
}


@dataclass(frozen=True, slots=True)
class CowEntry:
    """One change of one record of a cow as the journal has it; `time` is when it was written."""

    time: datetime
    who: str
    before: Record | None
    after: Record | None


@dataclass(frozen=True, slots=True)
class RecordLine:
    """One record in words; `by` is who scored. `stands` is false for what was struck out or changed since.

    `written` and `writer` say when and by whom it was put as it is; None and "" when the journal was not asked.
    """

    record: Record
    day: date
    words: str
    by: str = ""
    stands: bool = True
    done: str = ""
    written: datetime | None = None
    writer: str = ""

    @property
    def key(self) -> str:
        """What tells this line from all others of the cow."""
        return f"{TABLE_OF[type(self.record)]} {self.record.id} {self.stands} {self.done} {self.written}"


def record_lines(assessment: Assessment, cow: int, entries: Sequence[CowEntry] = ()) -> list[RecordLine]:
    """All that is, and by the journal was, recorded of a cow, newest first."""
    a, today = assessment, assessment.today
    rounds = {row.id: row for row in a.snapshot.records("rounds")}
    opened = {key: getattr(row, "opened", today) for key, row in rounds.items()}
    named = {key: str(getattr(row, "name", "")) for key, row in rounds.items()}

    def line(record: Record, **how: object) -> RecordLine:
        day = opened.get(record.round_id, today) if isinstance(record, Listed) else getattr(record, "day", today)
        words = words_of_record(record, today, named)
        return RecordLine(record, day, words, getattr(record, "scorer", None) or "", **how)  # type: ignore[arg-type]

    last: dict[tuple[str, str], CowEntry] = {}
    for entry in entries:
        if entry.after is not None:
            last.setdefault((TABLE_OF[type(entry.after)], entry.after.id), entry)
    lines = []
    standing = set()
    for table in OF_COW:
        for record in a.snapshot.records(table, a.snapshot.of_cow(table, cow).tolist()):
            standing.add((table, record.id))
            put = last.get((table, record.id))
            put = put if put is not None and put.after == record else None
            done = "" if put is None else "changed" if put.before is not None else "written"
            when, who = (None, "") if put is None else (put.time, put.who)
            lines.append(line(record, done=done, written=when, writer=who))
    lines += _past_lines(entries, standing, line)
    return sorted(lines, key=lambda one: (one.day, one.stands, str(one.written or "")), reverse=True)


def _past_lines(entries: Iterable[CowEntry], standing: set[tuple[str, str]], line: object) -> list[RecordLine]:
    """What was struck out or changed since, and what was changed in the register."""
    made = []
    for entry in entries:
        before, after = entry.before, entry.after
        if isinstance(before, Cow) and isinstance(after, Cow):
            words = register_words(before, after)
            if words:
                day = entry.time.date()
                made.append(RecordLine(after, day, words, "", True, "changed", entry.time, entry.who))
        elif before is not None and not isinstance(before, Cow):
            undone = after is None and (TABLE_OF[type(before)], before.id) in standing
            if not undone and before != after:
                done = "struck out" if after is None else "changed"
                made.append(line(before, stands=False, done=done, written=entry.time, writer=entry.who))  # type: ignore[operator]
    return made


def words_of_record(record: Record, today: date, rounds: dict[str, str]) -> str:
    """One record in words, without its day."""
    if isinstance(record, Score):
        note = f", note: {record.note}" if record.note and record.note != UNSAFE else ""
        return f"scored {score_words(record)}{note}"
    if isinstance(record, Service):
        sire = " ".join(part for part in (record.sire_breed, record.sire) if part)
        return service_words(record, sire, today)
    if isinstance(record, Calving):
        parts = [EASE.get(record.ease or 0, "calved"), record.calf_sex or "", record.note or ""]
        return ", ".join(part for part in parts if part)
    if isinstance(record, Weight):
        return f"{record.weight:g} kg"
    if isinstance(record, Move):
        return f"to {record.group}"
    if isinstance(record, Tick):
        return f"ticked off: {record.what}, done {say_day(record.done, today)}"
    if isinstance(record, Listed):
        pen = f", left to {record.pen}" if record.pen else ""
        return f"on the list of {rounds.get(record.round_id, 'a round')}{pen}"
    if isinstance(record, BlindScore):
        sites = [site for site in (record.loin, record.ribs, record.tailhead) if site is not None]
        return f"scored apart: {', '.join(f'{site / 4:g}' for site in sites)}"
    return ""


def register_words(before: Cow, after: Cow) -> str:
    """What was changed in the register: "season spring, was autumn"."""
    parts = []
    for one in fields(Cow):
        old, new = getattr(before, one.name), getattr(after, one.name)
        if old != new:
            name = _FIELD_WORDS.get(one.name, one.name)
            parts.append(f"{name} {_said(new)}, was {_said(old)}")
    return f"register: {'; '.join(parts)}" if parts else ""


def _said(value: object) -> str:
    if value is None:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{say_day(value)} {value.year}" if isinstance(value, date) else str(value)
