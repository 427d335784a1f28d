"""What the fast reader does not tell of an .xlsx: how far a sheet reaches, and which formulas are broken.

It gives broken cells as empty, and asks for all memory when one cell was typed in a far corner.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
import zlib
from pathlib import Path
from xml.etree import ElementTree

_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_CELL = re.compile(rb"<(?:\w+:)?c\b([^>]*[^/>])>(.*?)</(?:\w+:)?c>", re.DOTALL)
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_PLACE = re.compile(rb'\br="([A-Z]+)(\d+)"')
_KIND = re.compile(rb'\bt="(\w+)"')
_VALUE = re.compile(rb"<(?:\w+:)?v\b[^>]*>([^<]+)</")
MOST_CELLS = 5_000_000
_DAMAGED = (
    *(OSError, KeyError, EOFError, NotImplementedError, RuntimeError, ValueError),
    *(zipfile.BadZipFile, zlib.error, ElementTree.ParseError),
)
NO_RESULT = "a formula without a saved result"


def sheet_parts(path: Path) -> dict[str, bytes]:
    """The text of each sheet by name; empty where the package is not as it should be."""
    try:
        with zipfile.ZipFile(path) as package:
            return {name: package.read(part) for name, part in _parts(package).items()}
    except _DAMAGED:
        return {}


def extent(data: bytes) -> tuple[int, int]:
    """Rows and columns of a sheet down to its last filled cell; columns rounded up where that does no harm."""
    last = max(data.rfind(b"<v"), data.rfind(b"<is"))
    place = _PLACE.search(data, max(data.rfind(b"<c ", 0, last), 0))
    if last < 0 or place is None:
        return (0, 0)
    rows = int(place.group(2))
    columns = next(wide for letters, wide in ((3, 16_384), (2, 702), (1, 26)) if _letters(data, letters))
    if rows * columns > MOST_CELLS:
        filled = (cell for cell in _CELL.finditer(data) if b"<v" in cell.group(2) or b"<is" in cell.group(2))
        places = (_PLACE.search(cell.group(1)) for cell in filled)
        columns = max(_column_number(found.group(1).decode()) + 1 for found in places if found)
    return (rows, columns)


def _letters(data: bytes, count: int) -> bool:
    return re.search(rb'<c r="[A-Z]{%d}\d' % count, data) is not None


def broken_cells(data: bytes) -> dict[tuple[int, int], str]:
    """(row, column), both from 0, of every cell whose formula gives no value, and what it shows."""
    return dict(_broken(data)) if b't="e"' in data or _FORMULA.search(data) else {}


def _parts(package: zipfile.ZipFile) -> dict[str, str]:
    """Part of the package by sheet name."""
    links = ElementTree.fromstring(package.read("xl/_rels/workbook.xml.rels"))
    target = {link.get("Id"): link.get("Target", "") for link in links}
    parts = {}
    for element in ElementTree.fromstring(package.read("xl/workbook.xml")).iter():
        if element.tag.endswith("}sheet"):
            where = target.get(element.get(_RELATION), "")
            part = where.lstrip("/") if where.startswith("/") else posixpath.normpath(f"xl/{where}")
            if part in package.namelist():
                parts[element.get("name", "")] = part
    return parts


def _broken(data: bytes) -> list[tuple[tuple[int, int], str]]:
    found = []
    for cell in _CELL.finditer(data):
        head, inside = cell.groups()
        kind = _KIND.search(head)
        error = kind is not None and kind.group(1) == b"e"
        if not error and not _FORMULA.match(inside.lstrip()):
            continue
        value = _VALUE.search(inside)
        place = _PLACE.search(head)
        if place is None or (not error and (value is not None or (kind is not None and kind.group(1) == b"str"))):
            continue
        says = value.group(1).decode() if error and value is not None else NO_RESULT
        found.append(((int(place.group(2)) - 1, _column_number(place.group(1).decode())), says))
    return found


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1
