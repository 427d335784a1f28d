"""A cow as somebody types her in the register: fields to a cow or plain sentences, and the change to write."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.diets import group_key, groups_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import folded
from herdscore.domain.moves import move_rows, moves_of
from herdscore.domain.records import BLOCKS, DATE_SOURCES, GONE, IN_HERD, STATUSES, Cow, new_id
from herdscore.domain.typed_day import NotADay, read_day, say_whole_day

FIELDS = (
    "tag management_no eid name breed born calvings season group calving_date date_from twins vet_plan status note"
).split()
YES, NO = "yes", "no"
EID_DIGITS = 15
MOST_CALVINGS = 25
_TEXTS = ("management_no", "name", "breed", "note")


@dataclass(frozen=True)
class ReadCow:
    """The cow read from a form, or what is wrong by field, each a sentence."""

    cow: Cow | None
    problems: Mapping[str, str]


def typed_of(cow: Cow, group: str | None) -> dict[str, str]:
    """The fields of a cow as a form shows them; `group` is where she stands now."""
    return {
        **{name: getattr(cow, name) or "" for name in ("tag", "eid", *_TEXTS)},
        "born": say_whole_day(cow.born),
        "calvings": "" if cow.calvings is None else str(cow.calvings),
        "season": cow.season or "",
        "group": group or "",
        "calving_date": say_whole_day(cow.calving_date),
        "date_from": cow.date_from or "",
        "twins": "" if cow.twins is None else YES if cow.twins else NO,
        "vet_plan": YES if cow.vet_plan else "",
        "status": cow.status,
    }


def empty_form() -> dict[str, str]:
    """The fields of a cow not known yet."""
    return {**dict.fromkeys(FIELDS, ""), "status": IN_HERD}


def read_form(typed: Mapping[str, str], snapshot: Snapshot, today: date, before: Cow | None = None) -> ReadCow:
    """Read the fields of a form over the cow `before`, or as a new cow."""
    form = _Form(typed, snapshot, today, before)
    values = form.values()
    if form.problems:
        return ReadCow(None, form.problems)
    return ReadCow(replace(before, **values) if before is not None else Cow(id=new_id(), **values), {})


def read_field(name: str, text: str, snapshot: Snapshot, today: date, before: Cow) -> Cow | str:
    """The cow with one field typed anew, or what is wrong with it; her other fields stay as they are."""
    groups = groups_of(snapshot, today)
    now = groups.names[int(groups.now[snapshot.cow_place[before.id]])]
    form = _Form({**typed_of(before, now), name: text}, snapshot, today, before)
    values = form.values()
    return form.problems.get(name) or replace(before, **{name: values[name]})


class _Form:
    """One reading of a form; `problems` fills up as fields are read."""

    def __init__(self, typed: Mapping[str, str], snapshot: Snapshot, today: date, before: Cow | None) -> None:
        self._typed = {name: " ".join(typed.get(name, "").split()) for name in FIELDS}
        self._snapshot, self._today, self._before = snapshot, today, before
        self.problems: dict[str, str] = {}

    def values(self) -> dict[str, Any]:
        read: dict[str, Any] = {name: self._typed[name] or None for name in _TEXTS}
        read["tag"] = self._tag()
        read["eid"] = self._eid()
        read["born"] = self._day("born", past_only=True)
        read["calvings"] = self._calvings()
        read["season"] = self._choice("season", BLOCKS)
        read["group"] = self._group()
        read["calving_date"] = self._day("calving_date")
        read["date_from"] = self._choice("date_from", DATE_SOURCES)
        read["twins"] = {YES: True, NO: False}.get(self._typed["twins"])
        read["vet_plan"] = True if self._typed["vet_plan"] == YES else None
        read["status"] = self._choice("status", STATUSES) or IN_HERD
        if read["calving_date"] is None and "calving_date" not in self.problems:
            read["date_from"] = None
        born, calves = read["born"], read["calving_date"]
        if born is not None and calves is not None and calves <= born:
            self.problems["calving_date"] = "She would calve before she was born. Check both dates."
        return read

    def _others(self) -> np.ndarray:
        ids = self._snapshot.cows.id
        return np.flatnonzero(ids != self._before.id) if self._before is not None else np.arange(len(ids))

    def _tag(self) -> str:
        tag = self._typed["tag"]
        if not tag:
            self.problems["tag"] = "She needs a tag."
            return ""
        self._refuse_twice("tag", "tag", folded(tag))
        return tag

    def _eid(self) -> str | None:
        typed = self._typed["eid"]
        digits = re.sub(r"[\s\-.]", "", typed)
        if not digits:
            return None
        if not (digits.isdecimal() and digits.isascii()):
            self.problems["eid"] = "An EID is 15 digits and nothing else."
        elif len(digits) != EID_DIGITS:
            self.problems["eid"] = f"An EID has 15 digits; this one has {len(digits)}."
        else:
            self._refuse_twice("eid", "EID", digits)
        return digits

    def _refuse_twice(self, field: str, word: str, wanted: str) -> None:
        cows = self._snapshot.cows
        values = getattr(cows, field)
        for place in self._others().tolist():
            if folded(values[place]) == wanted:
                status = cows.status[place]
                gone = f", marked {status}" if status in GONE else ""
                whose = f"another cow{gone}" if field == "tag" else f"cow {cows.tag[place]}{gone}"
                self.problems[field] = f"{values[place]} is the {word} of {whose} already."
                return

    def _day(self, field: str, *, past_only: bool = False) -> date | None:
        if not self._typed[field]:
            return None
        day = read_day(self._typed[field], self._today, past_only=past_only)
        if isinstance(day, NotADay):
            self.problems[field] = day.sentence
            return None
        return day

    def _calvings(self) -> int | None:
        typed = self._typed["calvings"]
        if not typed:
            return None
        if not (typed.isascii() and typed.isdecimal()) or int(typed) > MOST_CALVINGS:
            self.problems["calvings"] = f"Calvings so far: a whole number from 0 to {MOST_CALVINGS}."
            return None
        recorded = self._recorded_calvings()
        if int(typed) < recorded:
            times = "1 calving is" if recorded == 1 else f"{recorded} calvings are"
            self.problems["calvings"] = f"{times} recorded for her; it cannot be fewer."
        return int(typed)

    def _recorded_calvings(self) -> int:
        place = self._snapshot.cow_place.get(self._before.id) if self._before is not None else None
        if place is None:
            return 0
        days = self._snapshot.calvings.day[self._snapshot.of_cow("calvings", place)]
        return len(np.unique(days[days <= np.datetime64(self._today, "D")]))

    def _choice(self, field: str, words: tuple[str, ...]) -> str | None:
        typed = self._typed[field]
        if typed and typed not in words:
            self.problems[field] = f"Choose {', '.join(words[:-1])} or {words[-1]}."
        return typed or None

    def _group(self) -> str | None:
        """The group as it is spelled in the herd already; blank only for a cow never moved."""
        typed = self._typed["group"]
        groups = groups_of(self._snapshot, self._today)
        if typed:
            spelled = {group_key(name): name for name in groups.names if name is not None}
            return spelled.get(group_key(typed), typed)
        if self._before is not None and moves_of(self._snapshot, self._before.id):
            self.problems["group"] = "She has been moved between groups. Choose the one she is in now."
        return None


def cow_change(snapshot: Snapshot, before: Cow | None, after: Cow, today: date) -> Change:
    """The change that writes a cow; another group is also a move of today, so that diets follow her.

    A group filled in where none was known counts as hers all along.
    """
    if before is None:
        return Change("add cow", (RowChange(None, after),))
    groups = groups_of(snapshot, today)
    now = groups.names[int(groups.now[snapshot.cow_place[before.id]])]
    if now is not None and after.group is not None and group_key(now) == group_key(after.group):
        after = replace(after, group=before.group)
        moves: list[RowChange] = []
    else:
        moved = after.group is not None and (now is not None or moves_of(snapshot, before.id))
        moves = move_rows(snapshot, groups, before, str(after.group), today, today) if moved else []
    cow = [RowChange(before, after)] if after != before else []
    return Change("edit cow", (*cow, *moves))


def group_hint(snapshot: Snapshot, before: Cow | None, typed: str, today: date) -> str:
    """What a group typed in the form would mean; "" when it is the one she is in."""
    if before is None or not typed.strip():
        return ""
    groups = groups_of(snapshot, today)
    now = groups.names[int(groups.now[snapshot.cow_place[before.id]])]
    if now is None:
        return "" if moves_of(snapshot, before.id) else "Taken as her group all along."
    if group_key(now) == group_key(typed):
        return ""
    return f"She moves today; until now she was in {now}."
