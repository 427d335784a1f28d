"""Small workbooks for the tests, written by openpyxl: a sheet is its headings and rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import openpyxl

from herdscore.exchange.drafts import Draft, RowProblem
from herdscore.exchange.herd_in import read_herd
from tests.exchange.herds import LIMITS, TODAY

Rows = Sequence[Sequence[object]]
COWS = ("Tag", "Group", "Calving date")
SCORES = ("Tag", "Date", "Loin", "Ribs", "Tailhead", "Score", "Scored by", "Note")


def book(path: Path, sheets: Mapping[str, Rows]) -> Path:
    """Write the rows of each sheet from A1 on; text stays text, "#REF!" is a broken formula."""
    made = openpyxl.Workbook()
    made.remove(made.worksheets[0])
    for name, rows in sheets.items():
        sheet = made.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    made.save(path)
    return path


def read(path: Path, sheets: Mapping[str, Rows], **more: object) -> Draft:
    """Write a workbook and read it on the tests' day."""
    return read_herd(book(path / "herd.xlsx", sheets), TODAY, LIMITS, **more)  # type: ignore[arg-type]


def places(draft: Draft, severity: str = "problem") -> list[tuple[str, int | None, str]]:
    """Sheet, row and column of everything on the list."""
    return [(one.sheet, one.row, one.column) for one in draft.problems if one.severity == severity]


def only(draft: Draft) -> RowProblem:
    """The one thing on the list."""
    assert len(draft.problems) == 1, draft.problems
    return draft.problems[0]
