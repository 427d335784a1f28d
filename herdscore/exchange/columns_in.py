"""Which sheet is which, where its headings stand, and which column fills which field."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from herdscore.exchange.drafts import NOTE, PROBLEM, RowProblem
from herdscore.exchange.sheet import RawSheet
from herdscore.exchange.workbook_form import SHEETS, Heading, SheetForm, plain_word, unit_of

HEADING_WITHIN = 10
_OTHER_WEIGHTS = {"lb", "lbs", "pound", "pounds", "st", "stone", "cwt"}


@dataclass(frozen=True, slots=True)
class FoundColumn:
    """One column of a sheet that fills a field; `shown` is its heading as it stands in the file."""

    heading: Heading
    place: int
    shown: str


@dataclass(frozen=True, slots=True)
class KnownSheet:
    """A sheet with its form, the place of its heading row, its columns by field, and what it lacks."""

    sheet: RawSheet
    form: SheetForm
    heading_row: int
    columns: dict[str, FoundColumn]
    missing: tuple[Heading, ...]

    @property
    def is_usable(self) -> bool:
        """True when every column it must have is there."""
        return not self.missing


def letter(place: int) -> str:
    """Spreadsheet letter of a column counted from 0."""
    text = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        text = chr(65 + rest) + text
    return text


def known_sheets(sheets: Sequence[RawSheet], problems: list[RowProblem]) -> list[KnownSheet]:
    """Match sheets to forms, by name or, where no name is known, by their columns; all else is reported."""
    forms = {plain_word(form.name): form for form in SHEETS}
    filled = [sheet for sheet in sheets if not sheet.is_empty]
    named = [sheet for sheet in filled if plain_word(sheet.name) in forms]
    if not named or (len(sheets) == 1 and sheets[0].all_text):
        return _by_columns(filled, problems)
    taken: dict[str, KnownSheet] = {}
    for sheet in filled:
        form = forms.get(plain_word(sheet.name))
        if form is None:
            problems.append(_whole(sheet.name, "", sheet.name, "not a sheet this program knows", "not used", NOTE))
        elif form.name in taken:
            problems.append(_whole(sheet.name, "", sheet.name, f"a second sheet {form.name}", "not used", PROBLEM))
        else:
            taken[form.name] = _match(sheet, form)
    for known in taken.values():
        _report_columns(known, problems)
    return [taken[form.name] for form in SHEETS if form.name in taken]


def _by_columns(sheets: Sequence[RawSheet], problems: list[RowProblem]) -> list[KnownSheet]:
    taken: dict[str, KnownSheet] = {}
    for sheet in sheets:
        fits = [_match(sheet, form) for form in SHEETS if form.name not in taken]
        fits = [known for known in fits if known.is_usable]
        if not fits:
            problems.append(
                _whole(sheet.name, "", sheet.name, "its columns fit no sheet this program knows", "not used", NOTE)
            )
            continue
        same_name = plain_word(sheet.name)
        best = max(fits, key=lambda known: (len(known.columns), plain_word(known.form.name) == same_name))
        taken[best.form.name] = best
        _report_columns(best, problems)
    return [taken[form.name] for form in SHEETS if form.name in taken]


def _match(sheet: RawSheet, form: SheetForm) -> KnownSheet:
    best: dict[str, FoundColumn] = {}
    row = 0
    for place, cells in enumerate(sheet.rows[:HEADING_WITHIN]):
        columns = _columns(cells, form)
        if len(columns) > len(best):
            best, row = columns, place
    missing = tuple(heading for heading in form.headings if heading.required and heading.field not in best)
    return KnownSheet(sheet, form, row, best, missing)


def _columns(cells: Sequence[object], form: SheetForm) -> dict[str, FoundColumn]:
    """Columns by field; a heading by its own name comes before one by another word for it."""
    words = [(place, plain_word(cell), cell.strip()) for place, cell in enumerate(cells) if isinstance(cell, str)]
    found: dict[str, FoundColumn] = {}
    used: set[int] = set()
    for own_name in (True, False):
        for heading in form.headings:
            names = {plain_word(name) for name in ((heading.name,) if own_name else heading.also)}
            for place, word, shown in words:
                if heading.field not in found and place not in used and word in names:
                    found[heading.field] = FoundColumn(heading, place, shown)
                    used.add(place)
    return found


def _report_columns(known: KnownSheet, problems: list[RowProblem]) -> None:
    name = known.sheet.name
    for heading in known.missing:
        problems.append(
            _whole(
                name,
                heading.written,
                "",
                "this column is missing",
                "sheet not used",
                PROBLEM,
                f"Add a column {heading.name}.",
            )
        )
    if not known.columns:
        return
    used = {column.place for column in known.columns.values()}
    headings = known.sheet.rows[known.heading_row]
    width = max(len(row) for row in known.sheet.rows)
    for place in range(width):
        if place in used:
            continue
        cell = headings[place] if place < len(headings) else ""
        shown = cell.strip() if isinstance(cell, str) else str(cell)
        if shown:
            problems.append(_whole(name, shown, "a heading", *_unknown(shown, known)))
        elif any(place < len(row) and row[place] != "" for row in known.sheet.rows[known.heading_row + 1 :]):
            problems.append(
                _whole(name, f"column {letter(place)}", "", "no heading over these cells", "not used", NOTE)
            )
    for column in known.columns.values():
        _report_unit(name, column, problems)
    for place, row in enumerate(known.sheet.rows[: known.heading_row]):
        says = " ".join(str(cell).strip() for cell in row if cell != "")
        if says:
            problems.append(
                RowProblem(name, place + 1, "", says[:60], "stands above the headings", "not used", severity=NOTE)
            )


def _unknown(shown: str, known: KnownSheet) -> tuple[str, str, str, str]:
    word = plain_word(shown)
    for column in known.columns.values():
        if word in {plain_word(name) for name in (column.heading.name, *column.heading.also)}:
            return (f"a second column for {column.heading.name}", "not used", NOTE, f"Column {column.shown} is used.")
    for form in SHEETS:
        if form is not known.form and any(word == plain_word(heading.name) for heading in form.headings):
            return ("unknown column", "not used", NOTE, f"It belongs in a sheet {form.name}.")
    return ("unknown column", "not used", NOTE, "")


def _report_unit(name: str, column: FoundColumn, problems: list[RowProblem]) -> None:
    unit, ours = unit_of(column.shown), column.heading.unit
    if not unit or not ours or plain_word(unit) == plain_word(ours):
        return
    if ours == "kg" and plain_word(unit) in _OTHER_WEIGHTS:
        problems.append(
            _whole(name, column.shown, unit, "the unit is not kg", "read as kg", PROBLEM, "Write the weights in kg.")
        )
    elif plain_word(ours) not in plain_word(unit):
        problems.append(_whole(name, column.shown, unit, f"the unit is not {ours}", f"read as {ours}", NOTE))


def _whole(
    sheet: str, column: str, says: str, wrong: str, comes_in_as: str, severity: str, what_to_do: str = ""
) -> RowProblem:
    return RowProblem(sheet, None, column, says, wrong, comes_in_as, what_to_do, severity)
