"""Reading a sheet: the draft of a herd, with its problems and questions.

It runs in a job; what reads spreadsheets is brought along only then.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

from herdscore import shipped
from herdscore.desk.jobs import Report
from herdscore.domain.rulebook import Rulebook
from herdscore.exchange.drafts import (
    DAY_FIRST,
    MONTH_FIRST,
    PROBLEM,
    Answers,
    DateOrderQuestion,
    Draft,
    NewCowsQuestion,
    RowProblem,
)

__all__ = [
    "DAY_FIRST",
    "MONTH_FIRST",
    "PROBLEM",
    "Answers",
    "DateOrderQuestion",
    "Draft",
    "NewCowsQuestion",
    "RowProblem",
    "read_sheet",
]


def read_sheet(path: Path, today: date, answers: Answers | None, report: Report) -> Draft:
    """Read a sheet into a draft; nothing is written."""
    from herdscore.exchange.herd_in import read_herd  # late: spreadsheets take longer than the first page

    rules = Rulebook.from_tables(shipped.rule_tables())
    known = rules.known_settings
    return read_herd(path, today, rules.sheet, answers=answers or Answers(), known_settings=known, report=report)
