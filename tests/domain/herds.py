"""Small herds for tests of the domain: a herd in a few words, assessed on a day."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from herdscore import shipped
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Calving, Cow, Record, Score, Service, new_id
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.verdict import Verdict

RULES = Rulebook.from_tables(shipped.rule_tables())
TODAY = date(2027, 1, 12)


def day(ahead: float) -> date:
    """A date so many days from today."""
    return TODAY + timedelta(days=int(ahead))


def cow(tag: str = "0001", due: float | None = None, **facts: Any) -> Cow:
    """A cow with three calvings, due in so many days by a scan."""
    facts = {"calvings": 3, "date_from": None if due is None else "scan", **facts}
    return Cow(new_id(), tag, calving_date=None if due is None else day(due), **facts)


def score(of: Cow, ahead: float, value: float, **facts: Any) -> Score:
    """A score of all three sites alike."""
    quarters = round(value * 4)
    return Score(new_id(), of.id, day(ahead), quarters, quarters, quarters, **facts)


def service(of: Cow, kind: str, on: date, **facts: Any) -> Service:
    """A service or check."""
    return Service(new_id(), of.id, kind, on, **facts)


def calving(of: Cow, on: date, **facts: Any) -> Calving:
    """A calving."""
    return Calving(new_id(), of.id, on, **facts)


def assessed(rows: Iterable[Record], today: date = TODAY, rules: Rulebook = RULES) -> Assessment:
    """The herd of these records on a day."""
    return assess(Snapshot.from_records(rows), rules, today)


def verdict(rows: Iterable[Record], today: date = TODAY) -> Verdict:
    """The verdict of the only or first cow."""
    return Verdict(assessed(rows, today).verdict[0])
