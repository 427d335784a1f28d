"""A herd to a workbook, or to a folder of .csv files, in the form that reads back as the same herd."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdscore.domain.herd import Snapshot
from herdscore.errors import Problem
from herdscore.exchange.tables_out import add_headings, add_row, clean_text, column_cell, new_book, write_csv
from herdscore.exchange.workbook_form import (
    CHOICE,
    DATE,
    EID,
    NUMBER,
    PAST,
    QUARTERS,
    SHEETS,
    TAG,
    TEXT,
    YES,
    Heading,
    SheetForm,
)

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

Report = Callable[[int, int, str], None]
Row = list[Any]
_FORMATS = {kind: "@" for kind in (TAG, TEXT, EID, CHOICE, YES)} | {
    DATE: "yyyy-mm-dd",
    PAST: "yyyy-mm-dd",
    QUARTERS: "0.00",
}
_WIDTHS = {TAG: 16, EID: 18, DATE: 12, PAST: 12, QUARTERS: 9, YES: 9, NUMBER: 12, CHOICE: 13, TEXT: 18}
_WIDE = {"note": 40}


def write_herd(snapshot: Snapshot, path: Path, report: Report | None = None) -> None:
    """Write a workbook; a path without an ending is a folder of .csv files."""
    path = Path(path)
    if path.suffix == "" or path.is_dir():
        write_herd_folder(snapshot, path, report)
        return
    if path.suffix.lower() != ".xlsx":
        raise Problem(
            f"A herd is not written as {path.suffix}.",
            what_to_do="Choose a name ending in .xlsx, or a folder for .csv files.",
        )
    filled = list(_filled(snapshot))
    with new_book(path) as book:
        for done, (form, rows) in enumerate(filled):
            if report is not None:
                report(done, len(filled), f"Writing {form.name}")
            _write_sheet(book, form, rows)


def write_herd_folder(snapshot: Snapshot, folder: Path, report: Report | None = None) -> None:
    """Write one .csv a sheet; sheets of an earlier herd in that folder that this one does not fill are taken away."""
    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Problem(
            f"The folder {folder.name} cannot be made.", str(error.strerror or ""), "Choose another."
        ) from error
    filled = list(_filled(snapshot))
    for done, (form, rows) in enumerate(filled):
        if report is not None:
            report(done, len(filled), f"Writing {form.name}")
        write_csv(folder / f"{form.name}.csv", [heading.written for heading in form.headings], rows)
    for form in SHEETS:
        if form.name not in {one.name for one, _ in filled}:
            (folder / f"{form.name}.csv").unlink(missing_ok=True)


def sheet_rows(snapshot: Snapshot, form: SheetForm) -> list[Row]:
    """Rows of one sheet in canonical order: text, dates and numbers by heading, None where empty."""
    columns = getattr(snapshot, form.table)
    lists = []
    for heading in form.headings:
        if heading.field == "tag" and form.table != "cows":
            values: list[Any] = snapshot.cows.tag[columns.cow].tolist()
        elif form.table == "cows" and heading.field in ("weight", "weighed_on"):
            values = _last_weight(snapshot, heading.field)
        else:
            values = getattr(columns, heading.field).tolist()
        lists.append([_plain(value, heading) for value in values])
    return [list(row) for row in zip(*lists, strict=True)]


def _filled(snapshot: Snapshot) -> Iterator[tuple[SheetForm, list[Row]]]:
    for form in SHEETS:
        if form.table == "cows" or len(getattr(snapshot, form.table)):
            yield form, sheet_rows(snapshot, form)


def _last_weight(snapshot: Snapshot, field_name: str) -> list[Any]:
    weights = snapshot.weights
    last: list[Any] = [None] * len(snapshot.cows)
    for cow, day, weight in zip(weights.cow.tolist(), weights.day.tolist(), weights.weight.tolist(), strict=True):
        last[cow] = day if field_name == "weighed_on" else weight
    return last


def _plain(value: Any, heading: Heading) -> Any:
    if value is None or value != value:
        return None
    if heading.kind == YES:
        return "yes" if value else "no"
    if heading.kind == QUARTERS:
        return _short(value / 4)
    if isinstance(value, float):
        return _short(value)
    return clean_text(value) if isinstance(value, str) else value


def _short(value: float) -> float | int:
    return int(value) if value == int(value) else value


def _write_sheet(book: Workbook, form: SheetForm, rows: list[Row]) -> None:
    sheet: Worksheet = book.create_sheet(form.name)
    sheet.freeze_panes = "B2" if form.headings[0].kind == TAG else "A2"
    add_headings(sheet, [heading.written for heading in form.headings], [_width(heading) for heading in form.headings])
    cells = [column_cell(sheet, _FORMATS.get(heading.kind, "General")) for heading in form.headings]
    for row in rows:
        add_row(sheet, cells, row)
    _guard_entries(sheet, form)


def _width(heading: Heading) -> int:
    return max(_WIDE.get(heading.field, _WIDTHS.get(heading.kind, 12)), len(heading.written) + 3)


def _guard_entries(sheet: Worksheet, form: SheetForm) -> None:
    """Let the spreadsheet itself refuse a score that is not in quarters, and offer the words of a choice."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    for place, heading in enumerate(form.headings, 1):
        column = get_column_letter(place)
        if heading.kind == QUARTERS:
            rule = DataValidation("custom", formula1=f"AND({column}2>=1,{column}2<=5,MOD({column}2*4,1)=0)")
            rule.error = "Write a score of 1 to 5 in quarters or halves."
        elif heading.kind == CHOICE:
            rule = DataValidation("list", formula1=f'"{",".join(heading.words)}"')
            rule.error = f"Write {', '.join(heading.words)}."
        else:
            continue
        rule.errorTitle, rule.allow_blank, rule.showErrorMessage = heading.name, True, True
        rule.add(f"{column}2:{column}1048576")
        sheet.data_validations.append(rule)
