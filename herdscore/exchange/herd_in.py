"""A herd workbook, or a folder of .csv files, to a draft: records, problems with their places, questions."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from datetime import date
from pathlib import Path

from herdscore.domain.records import Record
from herdscore.domain.rule_forms import SheetLimits
from herdscore.errors import Problem
from herdscore.exchange.columns_in import KnownSheet, known_sheets
from herdscore.exchange.cows_in import CowsIn, add_cows_of_scores, last_weights, place_cows, read_cows, settle_groups
from herdscore.exchange.dates_in import DateLimits
from herdscore.exchange.drafts import NOTE, Answers, Draft, RowProblem
from herdscore.exchange.events_in import (
    note_what_does_not_fit,
    read_calvings,
    read_moves,
    read_services,
    read_weights,
)
from herdscore.exchange.feeding_in import (
    one_spelling,
    read_calendar,
    read_diets,
    read_feeds,
    read_rations,
    read_settings,
)
from herdscore.exchange.rows_in import Reading, TableIn, read_table
from herdscore.exchange.scores_in import read_scores
from herdscore.exchange.sheet import HIDES_BROKEN_FORMULAS, RawSheet, read_sheets

Report = Callable[[int, int, str], None]
NO_ANSWERS = Answers()


def read_herd(
    path: Path,
    today: date,
    limits: SheetLimits,
    *,
    answers: Answers = NO_ANSWERS,
    known_settings: Collection[str] = (),
    report: Report | None = None,
) -> Draft:
    """Read a workbook (.xlsx, .xls, .ods), a .csv or a folder of them; a Problem only if nothing can be read.

    `limits` say what is taken for a slip, `known_settings` which settings there are; `report(done, total, text)` is
    told of every sheet.
    """
    path = Path(path)
    tell = report if report is not None else _tell_nobody
    tell(0, 1, f"Opening {path.name}")
    sheets = read_sheets(path)
    problems: list[RowProblem] = []
    known = known_sheets(sheets, problems)
    usable = {sheet.form.table: sheet for sheet in known if sheet.is_usable}
    if "cows" not in usable and "scores" not in usable:
        raise _nothing_readable(path, problems)
    reading = Reading(today, limits, answers)
    tables: dict[str, TableIn] = {}
    rows: list[Record] = []
    order = ["settings", *(name for name in usable if name != "settings")]
    for done, name in enumerate(order):
        if name not in usable:
            continue
        tell(done, len(order) + 1, f"Reading {usable[name].sheet.name}")
        tables[name] = read_table(usable[name], reading)
        if name == "settings":
            settings, own_day = read_settings(tables[name], known_settings, DateLimits(today, limits, past_only=False))
            rows.extend(settings)
            reading.today = max(today, own_day) if own_day is not None else today
    tell(len(order), len(order) + 1, "Putting the herd together")
    has_cows_sheet = any(sheet.form.table == "cows" for sheet in known)
    rows[:0] = _assembled(tables, reading, has_cows_sheet=has_cows_sheet)
    if path.suffix.lower() in HIDES_BROKEN_FORMULAS:
        problems.append(_formulas_unseen(path))
    for table in tables.values():
        problems.extend(problem for found in table.problems.values() for problem in found)
    return Draft(path.name, tuple(rows), _in_order(problems, sheets, known), tuple(reading.questions))


def _assembled(tables: Mapping[str, TableIn], reading: Reading, *, has_cows_sheet: bool) -> list[Record]:
    """Records of every table but the settings, cows first."""
    one_spelling(tables, "group")
    one_spelling(tables, "scorer")
    found: CowsIn = read_cows(tables.get("cows"))
    if "scores" in tables:
        add_cows_of_scores(found, tables["scores"], reading, has_cows_sheet=has_cows_sheet)
    place_cows(found, tables, has_cows_sheet=has_cows_sheet)
    rows: list[Record] = []
    if "scores" in tables:
        rows.extend(read_scores(tables["scores"]))
    if "services" in tables:
        rows.extend(read_services(tables["services"], reading.today))
    if "calvings" in tables:
        rows.extend(read_calvings(tables["calvings"], reading.limits))
    weights = read_weights(tables["weights"]) if "weights" in tables else []
    moves = read_moves(tables["moves"]) if "moves" in tables else []
    rows.extend([*weights, *last_weights(found, weights), *moves])
    if "diets" in tables:
        rows.extend(read_diets(tables["diets"]))
    if "calendar" in tables:
        rows.extend(read_calendar(tables["calendar"]))
    feeds = read_feeds(tables["feeds"]) if "feeds" in tables else []
    rows.extend(feeds)
    if "rations" in tables:
        rows.extend(read_rations(tables["rations"], [feed.feed for feed in feeds]))
    settle_groups(found, moves, reading.today)
    note_what_does_not_fit(found, tables.get("services"), tables.get("calvings"), reading.limits)
    return [*found.cows, *rows]


def _nothing_readable(path: Path, problems: list[RowProblem]) -> Problem:
    lacking = [problem for problem in problems if problem.wrong == "this column is missing"]
    why = (
        f"Sheet {lacking[0].sheet} has no column {lacking[0].column}." if lacking else "No sheet holds cows or scores."
    )
    return Problem(
        f"{path.name} holds nothing this program can read.",
        why,
        "It needs a sheet Cows with a column Tag, or a sheet Scores with columns Tag, Date and Score.",
    )


def _formulas_unseen(path: Path) -> RowProblem:
    kind = path.suffix.lower()
    wrong = f"a broken formula in a {kind} file reads as an empty cell"
    return RowProblem("", None, "", path.name, wrong, "left empty", "Save the file as .xlsx to see them.", NOTE)


def _in_order(problems: list[RowProblem], sheets: list[RawSheet], known: list[KnownSheet]) -> tuple[RowProblem, ...]:
    """By sheet, row and column as they stand in the file; what concerns a whole column first."""
    sheet_place = {sheet.name: place for place, sheet in enumerate(sheets)}
    column_place = {(one.sheet.name, column.shown): column.place for one in known for column in one.columns.values()}

    def place(problem: RowProblem) -> tuple[int, int, int]:
        column = column_place.get((problem.sheet, problem.column), -1)
        return (sheet_place.get(problem.sheet, -1), problem.row or 0, column)

    return tuple(sorted(problems, key=place))


def _tell_nobody(done: int, total: int, text: str) -> None:
    """Stand in where no progress is wanted."""
