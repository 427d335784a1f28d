"""A service, bull run or check as somebody types it: fields to facts or plain sentences, and the change to write."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.herd import Snapshot
from herdscore.domain.reasons import say_day
from herdscore.domain.records import (
    AI,
    BULL_RUN,
    CHECK_RESULTS,
    EMPTY,
    HAND_CHECK,
    IN_CALF,
    SCAN,
    SERVICE,
    SERVICE_KINDS,
    Service,
    new_id,
)
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.typed_day import NotADay, read_day, say_whole_day

CHECKS, MATINGS = (SCAN, HAND_CHECK), (AI, SERVICE, BULL_RUN)
FIELDS = ("day", "until", "foetal_age", "result", "sire", "sire_breed")
USED = {
    AI: ("day", "sire", "sire_breed"),
    SERVICE: ("day", "sire", "sire_breed"),
    BULL_RUN: ("day", "until", "sire", "sire_breed"),
    SCAN: ("day", "foetal_age", "result"),
    HAND_CHECK: ("day", "foetal_age", "result"),
}
"""Fields each kind has; the others are left empty."""
LONGEST_RUN = timedelta(days=365)


@dataclass(frozen=True)
class ServiceFacts:
    """What was read of a form, the same for every cow it is about; `problems` by field when something is wrong."""

    kind: str = SCAN
    facts: Mapping[str, Any] = field(default_factory=dict)
    problems: Mapping[str, str] = field(default_factory=dict)

    def record(self, cow_id: str, **more: Any) -> Service:
        """A new record of it for a cow; `more` is what was found of her alone."""
        return Service(new_id(), cow_id, self.kind, **{**self.facts, **more})


def typed_of(row: Service) -> dict[str, str]:
    """The fields of a service as a form shows them."""
    return {
        "kind": row.kind,
        "day": say_whole_day(row.day),
        "until": say_whole_day(row.until),
        "foetal_age": "" if row.foetal_age is None else str(row.foetal_age),
        "result": row.result or "",
        "sire": row.sire or "",
        "sire_breed": row.sire_breed or "",
    }


def read_service(typed: Mapping[str, str], rules: Rulebook, today: date, *, found_later: bool = False) -> ServiceFacts:
    """Read the fields of a form; with `found_later` what a check found may stand behind each tag instead."""
    kind = typed.get("kind", "")
    if kind not in SERVICE_KINDS:
        return ServiceFacts(problems={"kind": "Choose what was done: AI, service, bull run, scan or hand check."})
    given = {name: " ".join(typed.get(name, "").split()) for name in USED[kind]}
    problems: dict[str, str] = {}
    facts: dict[str, Any] = {"day": _day(given["day"], today, problems, kind)}
    for name in ("sire", "sire_breed"):
        if name in given:
            facts[name] = given[name] or None
    if kind == BULL_RUN:
        facts["until"] = _until(given["until"], facts["day"], today, problems)
    if kind in CHECKS:
        facts["foetal_age"] = _age(given["foetal_age"], rules, problems)
        facts["result"] = given["result"] or None
        _fit_findings(facts, problems, found_later=found_later)
    return ServiceFacts(kind, facts, problems)


def _day(text: str, today: date, problems: dict[str, str], kind: str) -> date | None:
    if not text:
        problems["day"] = "On which day? Write it as 18 Apr 2027."
        return None
    day = read_day(text, today)
    if isinstance(day, NotADay):
        problems["day"] = day.sentence
        return None
    if day > today:
        later = " A date ahead belongs on the herd calendar, as bull in." if kind == BULL_RUN else ""
        problems["day"] = f"{say_whole_day(day)} is still ahead. Enter it when it is done.{later}"
        return None
    return day


def _until(text: str, day: date | None, today: date, problems: dict[str, str]) -> date | None:
    if not text:
        return None
    until = read_day(text, today)
    if isinstance(until, NotADay):
        problems["until"] = until.sentence
    elif day is not None and until < day:
        problems["until"] = f"The bull cannot leave on {say_whole_day(until)}, before he came."
    elif day is not None and until - day > LONGEST_RUN:
        problems["until"] = f"From {say_whole_day(day)} to {say_whole_day(until)} is over a year. Check the years."
    else:
        return until
    return None


def _age(text: str, rules: Rulebook, problems: dict[str, str]) -> int | None:
    if not text:
        return None
    most = rules.sheet.foetal_age_highest
    if not (text.isascii() and text.isdecimal()) or not 1 <= int(text) <= most:
        problems["foetal_age"] = f"Age of the foetus in whole days, from 1 to {most}."
        return None
    return int(text)


def _fit_findings(facts: dict[str, Any], problems: dict[str, str], *, found_later: bool) -> None:
    age, result = facts["foetal_age"], facts["result"]
    if result is not None and result not in CHECK_RESULTS:
        problems["result"] = "Choose in calf, empty or twins."
    elif result == EMPTY and age is not None:
        problems.setdefault("foetal_age", "An empty cow has no foetus: leave the age out, or choose in calf.")
    elif age is not None and result is None:
        facts["result"] = IN_CALF
    elif age is None and result is None and not found_later and "foetal_age" not in problems:
        problems["result"] = "What was found? In calf, empty or twins; with the age of the foetus if it was told."


def why_not_hers(snapshot: Snapshot, cow: int, row: Service) -> str:
    """Why a service cannot be this cow's, as a sentence; "" when it can."""
    born = snapshot.cows.born[cow].item()
    if born is not None and row.day <= born:
        return f"She was born on {say_whole_day(born)}."
    others = snapshot.records("services", snapshot.of_cow("services", cow).tolist())
    for other in others:
        if isinstance(other, Service) and other.id != row.id and (other.kind, other.day) == (row.kind, row.day):
            return f"A {row.kind} of {say_day(row.day)} is entered for her already."
    if row.foetal_age is not None:
        conceived = row.day - timedelta(days=row.foetal_age)
        days = snapshot.calvings.day[snapshot.of_cow("calvings", cow)]
        between = days[(days >= np.datetime64(conceived, "D")) & (days <= np.datetime64(row.day, "D"))]
        if len(between):
            calved = say_day(between[-1].item())
            return f"She calved on {calved}; a foetus of {row.foetal_age} days would be older than that."
    return ""


def add_services(rows: Iterable[Service]) -> Change:
    """Write services as one change."""
    made = tuple(RowChange(None, row) for row in rows)
    return Change("add service" if len(made) == 1 else "add services", made)


def edit_service(before: Service, read: ServiceFacts) -> Change | None:
    """Write a service anew; None when nothing is different."""
    blank = dict.fromkeys(FIELDS)
    after = replace(before, kind=read.kind, **{**blank, **read.facts})
    return None if after == before else Change("edit service", (RowChange(before, after),))
