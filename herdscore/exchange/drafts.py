"""What reading a workbook gives: a draft of the herd, every problem with its place, and the questions left.

Nothing of a draft is written anywhere until somebody chooses to use it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from herdscore.domain.herd import Snapshot
from herdscore.domain.records import TABLE_OF, TABLES, Cow, Record

PROBLEM, NOTE = "problem", "note"
DAY_FIRST, MONTH_FIRST = "day first", "month first"


@dataclass(frozen=True, slots=True)
class RowProblem:
    """One thing wrong at one place; `row` is the row of the sheet, None for a whole column or sheet.

    A note is told, but does not make the input faulty.
    """

    sheet: str
    row: int | None
    column: str
    says: str
    wrong: str
    comes_in_as: str
    what_to_do: str = ""
    severity: str = PROBLEM


@dataclass(frozen=True, slots=True)
class DateOrderQuestion:
    """Dates of one column read either way: which comes first, day or month?"""

    sheet: str
    column: str
    example: str
    day_first: date
    month_first: date
    count: int

    @property
    def text(self) -> str:
        """The question in words."""
        one, other = (f"{_nth(day.day)} of {day:%B}" for day in (self.day_first, self.month_first))
        return f"{self.sheet}, column {self.column}: is {self.example} the {one} or the {other}?"


def _nth(number: int) -> str:
    ending = "th" if 11 <= number <= 13 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


@dataclass(frozen=True, slots=True)
class NewCowsQuestion:
    """Cows met only in Scores: shall they be added?"""

    tags: tuple[str, ...]

    @property
    def text(self) -> str:
        """The question in words."""
        if len(self.tags) == 1:
            return f"Cow {self.tags[0]} is in Scores but not in Cows. Add her?"
        return f"{len(self.tags)} cows are in Scores but not in Cows. Add these {len(self.tags)} cows?"


Question = DateOrderQuestion | NewCowsQuestion


@dataclass(frozen=True, slots=True)
class Answers:
    """What a person has answered so far: date order by (sheet, column), and whether to add unknown cows."""

    date_orders: Mapping[tuple[str, str], str] = field(default_factory=dict)
    add_unknown_cows: bool | None = None


@dataclass(frozen=True)
class Draft:
    """The herd as read: good rows as records, and all that was not good."""

    name: str
    records: tuple[Record, ...]
    problems: tuple[RowProblem, ...]
    questions: tuple[Question, ...]

    @property
    def has_problems(self) -> bool:
        """True when anything but notes is on the list, or a question is open."""
        return bool(self.questions) or any(problem.severity == PROBLEM for problem in self.problems)

    @cached_property
    def counts(self) -> dict[str, int]:
        """Rows read, by table of the herd."""
        counts = dict.fromkeys(TABLES, 0)
        for record in self.records:
            counts[TABLE_OF[type(record)]] += 1
        return counts

    @property
    def cows(self) -> tuple[Cow, ...]:
        """The cows read."""
        return tuple(record for record in self.records if isinstance(record, Cow))

    def snapshot(self) -> Snapshot:
        """The herd of the good rows."""
        return Snapshot.from_records(self.records)
