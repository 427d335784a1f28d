"""The rows of one known sheet as columns of read values, with what was wrong at each place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from herdscore.domain.rule_forms import SheetLimits
from herdscore.exchange.cells import Bad, read_all, reader_of, shown
from herdscore.exchange.columns_in import FoundColumn, KnownSheet
from herdscore.exchange.dates_in import DateLimits, either_way, read_dates
from herdscore.exchange.drafts import NOTE, PROBLEM, Answers, DateOrderQuestion, Question, RowProblem
from herdscore.exchange.workbook_form import DATE, PAST, plain_word

KEPT_OUT = "row kept out; it stays on this list"


@dataclass
class Reading:
    """What holds for one reading: the day, the limits, the answers given, and the questions met so far."""

    today: date
    limits: SheetLimits
    answers: Answers
    questions: list[Question] = field(default_factory=list)


@dataclass
class TableIn:
    """One sheet read: values by field (None where empty), which rows are kept, and the problems found."""

    known: KnownSheet
    values: dict[str, list[Any]]
    kept: list[bool]
    problems: dict[int, list[RowProblem]] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Name of the sheet as in the file."""
        return self.known.sheet.name

    def row(self, place: int) -> int:
        """Row of the sheet, from 1."""
        return self.known.heading_row + 2 + place

    def places(self) -> Iterator[int]:
        """Places of the rows kept so far."""
        return (place for place, kept in enumerate(self.kept) if kept)

    def kept_values(self, *fields: str) -> Iterator[tuple[Any, ...]]:
        """Values of some fields for the rows kept, row by row."""
        rows = zip(*(self.values[name] for name in fields), strict=True)
        return (row for row, kept in zip(rows, self.kept, strict=True) if kept)

    def shown(self, place: int, field_name: str) -> str:
        """What the cell says in the file."""
        column = self.known.columns.get(field_name)
        cells = self.known.sheet.rows[self.known.heading_row + 1 + place]
        return shown(cells[column.place]) if column is not None and column.place < len(cells) else ""

    def heading(self, field_name: str) -> str:
        """The heading of a field as in the file, or ours where the column is not there."""
        column = self.known.columns.get(field_name)
        if column is not None:
            return column.shown
        return next(heading.written for heading in self.known.form.headings if heading.field == field_name)

    def report(
        self, place: int, field_name: str, wrong: str, comes_in_as: str, what_to_do: str = "", severity: str = PROBLEM
    ) -> None:
        """Put one cell on the list."""
        says = self.shown(place, field_name)
        problem = RowProblem(
            self.name, self.row(place), self.heading(field_name), says, wrong, comes_in_as, what_to_do, severity
        )
        self.problems.setdefault(place, []).append(problem)

    def note(self, place: int, field_name: str, wrong: str, comes_in_as: str, what_to_do: str = "") -> None:
        """Tell of one cell without calling it faulty."""
        self.report(place, field_name, wrong, comes_in_as, what_to_do, NOTE)

    def keep_out(self, place: int, field_name: str, wrong: str, what_to_do: str = "") -> None:
        """Leave a row out and say why."""
        self.kept[place] = False
        self.report(place, field_name, wrong, KEPT_OUT, what_to_do)

    def keep_cell_out(self, place: int, field_name: str, other: str, wrong: str, what_to_do: str) -> None:
        """Leave a cell out that needs another; if that other is on the list already, the reason is told there."""
        heading = self.heading(other)
        for at, problem in enumerate(self.problems.get(place, ())):
            if problem.column == heading:
                comes_in_as = f"left empty; {self.heading(field_name)} not used"
                self.problems[place][at] = replace(problem, comes_in_as=comes_in_as)
                return
        self.report(place, field_name, wrong, "left empty", what_to_do)

    def keep_out_for_want_of(self, place: int, fields: Sequence[str], wrong: str, what_to_do: str = "") -> None:
        """Leave a row out that lacks what it needs; cells already on the list are not listed twice."""
        headings = {self.heading(name) for name in fields}
        listed = False
        for at, problem in enumerate(self.problems.get(place, ())):
            if problem.column in headings and problem.severity == PROBLEM:
                self.problems[place][at] = replace(problem, comes_in_as=KEPT_OUT)
                listed = True
        self.kept[place] = False
        if not listed:
            self.report(place, fields[0], wrong, KEPT_OUT, what_to_do)


def read_table(known: KnownSheet, reading: Reading) -> TableIn:
    """Read every cell under a known heading; rows that lack a required cell are kept out and listed."""
    rows = known.sheet.rows[known.heading_row + 1 :]
    table = TableIn(known, {heading.field: [None] * len(rows) for heading in known.form.headings}, [True] * len(rows))
    cells = {
        name: [row[column.place] if column.place < len(row) else "" for row in rows]
        for name, column in known.columns.items()
    }
    repeated = _repeated_headings(known, cells)
    for name, column in known.columns.items():
        for place in repeated:
            cells[name][place] = ""
        table.values[name] = _read_column(table, name, column, cells[name], reading)
    columns = [table.values[name] for name in known.columns]
    for place, row in enumerate(zip(*columns, strict=True)):
        if not any(value is not None for value in row) and place not in table.problems:
            table.kept[place] = False
    for place in repeated:
        table.report(place, next(iter(known.columns)), "the headings again", "not used", severity=NOTE)
    for heading in known.form.headings:
        if heading.required:
            values = table.values[heading.field]
            for place in [at for at in table.places() if values[at] is None]:
                table.keep_out_for_want_of(place, (heading.field,), "this cell is empty", f"Fill in {heading.name}.")
    return table


def _read_column(
    table: TableIn, name: str, column: FoundColumn, cells: Sequence[object], reading: Reading
) -> list[Any]:
    heading = column.heading
    if heading.kind in (DATE, PAST):
        values = _read_date_column(table, name, column, cells, reading)
    else:
        values = read_all(cells, reader_of(heading, reading.limits, all_text=table.known.sheet.all_text))
    for place in [at for at, value in enumerate(values) if value.__class__ is Bad]:
        bad = values[place]
        assert isinstance(bad, Bad)
        values[place] = None
        table.report(place, name, bad.wrong, bad.comes_in_as or heading.when_wrong, bad.what_to_do)
    return values


def _read_date_column(
    table: TableIn, name: str, column: FoundColumn, cells: Sequence[object], reading: Reading
) -> list[object]:
    order = reading.answers.date_orders.get((table.name, column.shown))
    limits = DateLimits(reading.today, reading.limits, past_only=column.heading.kind == PAST)
    dates = read_dates(cells, limits, order)
    if dates.example is not None:
        days = either_way(cells[dates.example], reading.today)
        assert days is not None
        example = shown(cells[dates.example])
        reading.questions.append(DateOrderQuestion(table.name, column.shown, example, *days, dates.count))
    if dates.mixed:
        place = next(at for at, cell in enumerate(cells) if isinstance(cell, date))
        table.note(
            place,
            name,
            "dates and text are mixed, and no date has a day above 12",
            "read as they stand",
            "The spreadsheet may have swapped day and month of the dates: check some.",
        )
    return dates.values


def _repeated_headings(known: KnownSheet, cells: dict[str, list[object]]) -> list[int]:
    """Places where the headings stand again, as at the top of a printed page."""
    first = next(iter(known.columns))
    plain = {name: plain_word(column.shown) for name, column in known.columns.items()}
    texts = {cell for cell in cells[first] if isinstance(cell, str)}
    again = {text for text in texts if plain_word(text) == plain[first]}
    if not again:
        return []
    return [
        place
        for place, cell in enumerate(cells[first])
        if cell in again and all(plain_word(str(cells[name][place])) == word for name, word in plain.items())
    ]
