"""Workbooks as a manager might hand them over, with and without mistakes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import openpyxl

COWS = (
    ("Tag", "Calving date", "Date from", "Group", "Calvings"),
    ("0512", date(2027, 2, 18), "scan", "Long field", 3),
    ("0347", date(2027, 3, 2), "scan", "Long field", 2),
    ("0866", date(2027, 3, 9), "service", "Low yard", 4),
)
SCORES = (
    ("Tag", "Date", "Loin", "Ribs", "Tailhead", "Scored by"),
    ("0512", date(2026, 10, 12), 2, 2, 2.25, "A. B."),
    ("0347", date(2026, 10, 12), 2.5, 2.5, 2.5, "A. B."),
    ("0866", date(2026, 10, 12), 3, 3, 3, "A. B."),
)
MISTAKES = (
    ("0512", "31/02/2026", 2, 2, 2, "A. B."),
    ("0347", date(2026, 11, 2), 25, 2.5, 2.5, "A. B."),
    ("0771", date(2026, 11, 2), 2.5, 2.5, 2.5, "A. B."),
)
WEIGHTS = (("Tag", "Date", "Weight (kg)"), ("0512", "05/03/2026", 640), ("0347", "06/04/2026", 655))


def sound_book(path: Path) -> Path:
    """Three cows and three scores, nothing wrong."""
    return _book(path, {"Cows": COWS, "Scores": SCORES})


def faulty_book(path: Path) -> Path:
    """The same with a bad date, a bad score, an unknown cow, and dates that read either way."""
    return _book(path, {"Cows": COWS, "Scores": (*SCORES, *MISTAKES), "Weights": WEIGHTS})


def _book(path: Path, sheets: dict[str, tuple[tuple[object, ...], ...]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    book.save(path)
    return path
