"""One cell to one value, by kind: score in quarters, number, tag, EID, yes or no, a word from a list.

A reader returns the value, None for an empty cell, or a Bad that says what is wrong.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from herdscore.domain.rule_forms import SheetLimits
from herdscore.exchange.sheet import BrokenCell
from herdscore.exchange.workbook_form import CHOICE, EID, NUMBER, QUARTERS, TAG, TEXT, WHOLE, YES, Heading, plain_word

MOST_DIGITS = 15
HIGHEST_EID_NUMBER = 2**38 - 1
_YES = {"y", "yes", "true", "1", "x", "✓", "✔", "ja", "t"}
_NO = {"n", "no", "false", "0", "-", "–", "−", "f"}
_PARTS = {"½": 0.5, "1/2": 0.5, "¼": 0.25, "1/4": 0.25, "¾": 0.75, "3/4": 0.75}
_FRACTION = re.compile(r"(\d)\s*(½|¼|¾|(?<=\s)[13]/[24])")
_THOUSANDS = re.compile(r"[+\-−]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Bad:
    """A cell that cannot be read: why, and what to do; `comes_in_as` where it is not the column's own words."""

    wrong: str
    what_to_do: str = ""
    comes_in_as: str = ""


class DigitsOnly(str):
    """A tag that was a number in the sheet, so that leading zeros may have been lost."""

    __slots__ = ()


Reader = Callable[[object], object]


def shown(cell: object) -> str:
    """What a cell says, for the list of problems."""
    if isinstance(cell, BrokenCell):
        return cell.says
    if isinstance(cell, float):
        return _number_text(cell)
    if isinstance(cell, datetime) and cell.time() == time():
        return cell.date().isoformat()
    text = " ".join(str(cell).split())
    return text if len(text) <= 60 else text[:59] + "…"


def read_all(cells: Iterable[object], reader: Reader) -> list[object]:
    """Read a column; equal cells are read once."""
    met: dict[tuple[type, object], object] = {}
    values = []
    for cell in cells:
        key = (cell.__class__, cell)
        if key not in met:
            met[key] = _read(cell, reader)
        values.append(met[key])
    return values


def _read(cell: object, reader: Reader) -> object:
    if cell is None or cell == "" or (isinstance(cell, str) and not cell.strip()):
        return None
    if isinstance(cell, BrokenCell):
        if cell.says.startswith("a formula"):
            return Bad(cell.says, "Open the file in the spreadsheet, save it, and read it again.")
        return Bad("a broken formula", "Type the value in place of the formula.")
    return reader(cell)


def reader_of(heading: Heading, limits: SheetLimits, *, all_text: bool) -> Reader:
    """The reader for the cells under a heading; dates are read in dates_in."""
    if heading.kind == TAG:
        return lambda cell: tag(cell, all_text=all_text)
    if heading.kind in (NUMBER, WHOLE):
        return lambda cell: number(cell, heading, limits)
    if heading.kind == CHOICE:
        words = {plain_word(word): choice for choice, others in heading.words.items() for word in (choice, *others)}
        return lambda cell: choice_of(cell, words, tuple(heading.words))
    readers: dict[str, Reader] = {TEXT: text, QUARTERS: quarters, YES: yes_or_no, EID: eid}
    return readers[heading.kind]


def text(cell: object) -> object:
    """Free text, outer blanks off."""
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return _number_text(cell)
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ", "minutes")
    return str(cell)


def tag(cell: object, *, all_text: bool) -> object:
    """An ear tag as text; a number loses nothing up to 15 digits."""
    if isinstance(cell, str):
        plain = cell.strip()
        if re.fullmatch(r"\d(?:[.,]\d+)?E\+\d+", plain):
            return Bad("the digits are lost", "Type the whole tag, as text.")
        return DigitsOnly(plain) if all_text and plain.isdecimal() and plain[0] != "0" else plain
    if isinstance(cell, float):
        if abs(cell) >= 10**MOST_DIGITS:
            return Bad("a number of more than 15 digits, the last are lost", "Type the whole tag, as text.")
        if cell < 0:
            return Bad("a negative number, not a tag", "Type the tag.")
        return DigitsOnly(_number_text(cell))
    if isinstance(cell, date | time | timedelta):
        return Bad("the spreadsheet has made a date of it", "Type the tag again, as text.")
    return Bad("not a tag", "Type the tag.")


def eid(cell: object) -> object:
    """An electronic tag: 15 digits as text, the last 12 within 38 bits (ISO 11784)."""
    if isinstance(cell, float):
        if cell != int(cell) or cell < 0:
            return Bad("not 15 digits", "Type the 15 digits, as text.")
        if cell >= 10**MOST_DIGITS:
            return Bad("a number of more than 15 digits, the last are lost", "Type the 15 digits, as text.")
        digits = str(int(cell))
    elif isinstance(cell, str):
        if re.fullmatch(r"\d(?:[.,]\d+)?E\+\d+", cell.strip()):
            return Bad("the digits are lost", "Type the 15 digits, as text.")
        digits = re.sub(r"[\s\-.]", "", cell)
    else:
        return Bad("not 15 digits", "Type the 15 digits, as text.")
    if len(digits) != MOST_DIGITS or not (digits.isdecimal() and digits.isascii()):
        count = f"{len(digits)} digits, " if digits.isdecimal() else ""
        return Bad(f"{count}not 15 digits", "Type the 15 digits, as text.")
    if int(digits[3:]) > HIGHEST_EID_NUMBER:
        return Bad("no tag carries so high a number", "Read the tag again.")
    return digits


def quarters(cell: object) -> object:
    """A score of 1 to 5 as whole quarters: 2.75 is 11."""
    if isinstance(cell, date | time | timedelta):
        return Bad("the spreadsheet has made a date of it", "Type the score again, as a number.")
    found = _FRACTION.fullmatch(cell.strip()) if isinstance(cell, str) else None
    value = int(found.group(1)) + _PARTS[found.group(2)] if found else as_number(cell)
    if isinstance(value, Bad):
        return Bad("not a score", "Write a score of 1 to 5 in quarters or halves.")
    if not 1 <= value <= 5:
        return Bad("not between 1 and 5", "Write a score of 1 to 5.")
    if value * 4 != int(value * 4):
        return Bad("not in quarters", "Write a score in quarters or halves, such as 2.25 or 2.5.")
    return int(value * 4)


def number(cell: object, heading: Heading, limits: SheetLimits) -> object:
    """A number within the limits of its heading, whole where the heading says so."""
    value = as_number(cell)
    if isinstance(value, Bad):
        return value
    unit = f" {heading.unit}" if heading.unit else ""
    low, high = heading.span(limits) if heading.span is not None else (-math.inf, math.inf)
    if not low <= value <= high:
        said = f"between {low:g} and {high:g}{unit}" if high < math.inf else f"{low:g}{unit} or more"
        return Bad(f"not {said}".replace(" %", " %"), "Check the number and its unit.")
    if heading.kind != WHOLE:
        return value
    return int(value) if value == int(value) else Bad("not a whole number", "Write a whole number.")


def as_number(cell: object) -> float | Bad:
    """A number from a number or from text, comma or point; never from a date."""
    if isinstance(cell, bool) or not isinstance(cell, str | int | float):
        return Bad("not a number", "Write a number.")
    if not isinstance(cell, str):
        return float(cell)
    plain = re.sub(r"\s", "", cell)
    if _THOUSANDS.fullmatch(plain):
        return Bad("the comma may part thousands or decimals", "Write it without a comma.")
    try:
        value = float(plain.replace("−", "-").replace(",", "."))
    except ValueError:
        return Bad("not a number", "Write a number.")
    return value if math.isfinite(value) else Bad("not a number", "Write a number.")


def yes_or_no(cell: object) -> object:
    """True or False."""
    plain = text(cell)
    word = plain.casefold() if isinstance(plain, str) else ""
    if word in _YES or word in _NO:
        return word in _YES
    return Bad("not yes or no", "Write yes, no, or leave it empty.")


def choice_of(cell: object, words: dict[str, str], choices: tuple[str, ...]) -> object:
    """The word of a list that a cell means."""
    plain = text(cell)
    found = words.get(plain_word(plain)) if isinstance(plain, str) else None
    if found is not None:
        return found
    listed = f"{', '.join(choices[:-1])} or {choices[-1]}"
    return Bad(f"not {listed}", f"Write {listed}.")


def _number_text(value: float) -> str:
    return str(int(value)) if value == int(value) and abs(value) < 1e16 else repr(value)
