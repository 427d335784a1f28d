"""Herds written down record by record, assessed by the shipped rules; for tests of what is said of a cow."""

from __future__ import annotations

from datetime import date, timedelta

from herdscore import shipped
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Cow, Record, Score
from herdscore.domain.rulebook import Rulebook

TODAY = date(2027, 1, 12)
RULES = Rulebook.from_tables(shipped.rule_tables())


def ahead(days: int) -> date:
    """A day so many days from today."""
    return TODAY + timedelta(days=days)


def scored(cow: Cow, day: date, *sites: int, scorer: str = "R. T.", note: str | None = None) -> Score:
    """A score of loin, ribs and tailhead in quarters."""
    return Score(f"{cow.id} {day}", cow.id, day, *sites, scorer=scorer, note=note)


def assessed(*records: Record, today: date = TODAY) -> Assessment:
    """Assess a herd of records on a day."""
    snapshot = Snapshot.from_records(records)
    rules, problems = RULES.with_settings(snapshot.setting)
    assert not problems
    return assess(snapshot, rules, today)


def place(assessment: Assessment, cow: Cow) -> int:
    """Where a cow stands in the herd."""
    return assessment.snapshot.cow_place[cow.id]
