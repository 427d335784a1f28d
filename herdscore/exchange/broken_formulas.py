"""Finds the cells of an .xlsx whose formula is broken or was never worked out.

The fast reader gives such cells as empty; here they are named, so that none is dropped in silence.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_CELL = re.compile(rb"<(?:\w+:)?c\b([^>]*[^/>])>(.*?)</(?:\w+:)?c>", re.DOTALL)
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_PLACE = re.compile(rb'\br="([A-Z]+)(\d+)"')
_KIND = re.compile(rb'\bt="(\w+)"')
_VALUE = re.compile(rb"<(?:\w+:)?v\b[^>]*>([^<]+)</")
NO_RESULT = "a formula without a saved result"


def broken_formulas(path: Path) -> dict[str, dict[tuple[int, int], str]]:
    """By sheet name: (row, column), both from 0, and what the cell shows."""
    found: dict[str, dict[tuple[int, int], str]] = {}
    try:
        with zipfile.ZipFile(path) as package:
            for name, part in _parts(package).items():
                data = package.read(part)
                if b't="e"' in data or _FORMULA.search(data):
                    found[name] = dict(_broken(data))
    except (OSError, KeyError, zipfile.BadZipFile, ElementTree.ParseError):
        return {}
    return found


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
