"""Raw cells of any spreadsheet file: .xlsx, .xls, .ods, one .csv or a folder of them.

Cells are text, numbers, dates or a BrokenCell; an empty cell is "".
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from herdscore.errors import Problem
from herdscore.exchange.inside_xlsx import MOST_CELLS, broken_cells, extent, sheet_parts
from herdscore.exchange.workbook_form import SHEETS, plain_word

BOOKS = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
TEXTS = (".csv", ".tsv", ".txt")
HIDES_BROKEN_FORMULAS = (".xls", ".xlsb")
BROKEN_TEXT = re.compile(r"#(?:REF!|N/A|VALUE!|DIV/0!|NAME\?|NUM!|NULL!)|Err:\d+")
_GUARDED = re.compile(r"'+(?:[=+\-@\t\r\0]|#[A-Z]|Err:)")
_RISKY = re.compile(r"'*(?:[=+\-@\t\r\0]|#[A-Z]|Err:)")
_HEADINGS = {plain_word(word) for form in SHEETS for h in form.headings for word in (h.name, *h.also)}


@dataclass(frozen=True, slots=True)
class BrokenCell:
    """A cell whose formula shows an error, or has no saved result."""

    says: str


@dataclass(frozen=True, slots=True)
class RawSheet:
    """One sheet: its name, rows of cells from A1 on, and whether every cell was text to begin with (.csv)."""

    name: str
    rows: Sequence[Sequence[object]]
    all_text: bool = False

    @property
    def is_empty(self) -> bool:
        """True when no cell holds anything."""
        return all(cell == "" for row in self.rows for cell in row)


def read_sheets(path: Path) -> list[RawSheet]:
    """Every sheet of a workbook, every .csv of a folder, or one .csv; a Problem if nothing can be read."""
    if not path.exists():
        raise Problem(f"{path.name} is not there.", f"No file or folder {path}.", "Check the name and the folder.")
    if path.is_dir():
        files = sorted(file for file in path.iterdir() if file.suffix.lower() == ".csv" and file.name[:1] not in "._~")
        if not files:
            raise Problem(
                f"{path.name} holds no .csv file.", what_to_do="Choose a workbook, or a folder of .csv files."
            )
        return [_read_text_file(file) for file in files]
    suffix = path.suffix.lower()
    if suffix in TEXTS:
        return [_read_text_file(path)]
    if suffix in BOOKS:
        return _read_book(path)
    raise Problem(
        f"{path.name} is not a spreadsheet this program reads.",
        what_to_do="Save it as .xlsx, .xls, .ods or .csv and open that.",
    )


def _read_book(path: Path) -> list[RawSheet]:
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError, SheetTypeEnum

    parts = sheet_parts(path) if path.suffix.lower() in (".xlsx", ".xlsm") else {}
    for name, data in parts.items():
        _check_extent(name, *extent(data))
    try:
        with path.open("rb") as file:
            book = CalamineWorkbook.from_filelike(io.BytesIO(file.read()))
        lists = [one.name for one in book.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet]
        sheets = [_raw(book, name) for name in lists]
    except Problem:
        raise
    except PasswordError as error:
        raise Problem(f"{path.name} is locked with a password.", what_to_do="Save it without one.") from error
    except PermissionError as error:
        raise Problem(
            f"{path.name} may not be read.", "It is open elsewhere or protected.", "Close it there."
        ) from error
    except BaseException as error:
        # The reader's own panics stand outside Exception; anything else unknown is ours and goes on.
        if not isinstance(error, CalamineError | OSError | ValueError) and type(error).__name__ != "PanicException":
            raise
        why = "The file is damaged or of another kind."
        raise Problem(f"{path.name} cannot be read as a spreadsheet.", why, "Save it anew as .xlsx.") from error
    if path.suffix.lower() == ".ods":
        sheets = [
            RawSheet(sheet.name, [[_broken_text(cell) for cell in row] for row in sheet.rows]) for sheet in sheets
        ]
    return [_with_broken(sheet, broken_cells(parts.get(sheet.name, b""))) for sheet in sheets]


def _check_extent(name: str, rows: int, columns: int) -> None:
    if rows * columns > MOST_CELLS:
        raise Problem(
            f"Sheet {name} spans {rows} rows and {columns} columns.",
            "Something was typed far below or beside the list.",
            "Copy the list into a new sheet.",
        )


def _raw(book: object, name: str) -> RawSheet:
    sheet = book.get_sheet_by_name(name)  # type: ignore[attr-defined]
    _check_extent(name, sheet.height, sheet.width)
    rows: list[list[object]] = sheet.to_python(skip_empty_area=False)
    return RawSheet(name, rows)


def _with_broken(sheet: RawSheet, broken: dict[tuple[int, int], str]) -> RawSheet:
    if not broken:
        return sheet
    rows = [list(row) for row in sheet.rows]
    for (row, column), says in broken.items():
        rows.extend([] for _ in range(row + 1 - len(rows)))
        rows[row].extend([""] * (column + 1 - len(rows[row])))
        rows[row][column] = BrokenCell(says)
    return RawSheet(sheet.name, rows)


def _broken_text(cell: object) -> object:
    return BrokenCell(cell) if isinstance(cell, str) and BROKEN_TEXT.fullmatch(cell) else cell


def _read_text_file(path: Path) -> RawSheet:
    try:
        text = _decoded(path.read_bytes())
    except OSError as error:
        raise Problem(f"{path.name} may not be read.", str(error.strerror or ""), "Close it elsewhere.") from error
    try:
        # Not by pandas, which refuses a row longer than those above it: a title, or a stray cell, is no fault here.
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text)))
    except csv.Error as error:
        raise Problem(f"{path.name} cannot be read as .csv.", str(error), "Save it anew as .csv or .xlsx.") from error
    if rows and 1 <= len(rows[0]) <= 2 and rows[0][0].startswith("sep="):
        rows[0] = []
    return RawSheet(path.stem, [[_text_cell(cell) for cell in row] for row in rows], all_text=True)


def _decoded(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")


def _delimiter(text: str) -> str:
    """Comma, semicolon or tab: the one that gives most known headings in the first rows, then most columns."""

    def known(delimiter: str) -> tuple[int, int]:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        counts = [
            (sum(plain_word(cell) in _HEADINGS for cell in row), len(row))
            for row, _ in zip(rows, range(10), strict=False)
        ]
        return max(counts, default=(0, 0))

    return max(",;\t", key=known)


def _text_cell(cell: str) -> object:
    if _GUARDED.match(cell):
        return cell[1:]
    return _broken_text(cell)


def guarded(text: str) -> str:
    """Text for a .csv cell: what would run as a formula, or looks guarded, gets a quote in front."""
    return f"'{text}" if _RISKY.match(text) else text
