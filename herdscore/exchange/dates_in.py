"""A column of dates: real dates, text with the year first, and text whose order the column must decide."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from herdscore.domain.rule_forms import SheetLimits
from herdscore.exchange.cells import Bad, read_all
from herdscore.exchange.drafts import DAY_FIRST, MONTH_FIRST

_CLOCK = r"(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?Z?)?"
_YEAR_FIRST = re.compile(rf"(\d{{4}})[-/. ](\d{{1,2}})[-/. ](\d{{1,2}}){_CLOCK}")
_YEAR_FIRST_BARE = re.compile(r"((?:19|20)\d\d)(\d\d)(\d\d)")
_EITHER = re.compile(rf"(\d{{1,2}})\s*[-/. ]\s*(\d{{1,2}})\s*[-/. ]\s*(\d{{4}}|\d{{2}}){_CLOCK}")
_DAY_MONTH = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[-/. ]*([a-z]{3,9})\.?[-/., ]*(\d{4}|\d{2})")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.?[-/ ]*(\d{1,2})(?:st|nd|rd|th)?,?[-/ ]+(\d{4}|\d{2})")
_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_YEARS = {1: "a year", 2: "two years", 3: "three years"}
NO_SUCH_DAY = Bad("no such day", "Write the date as YYYY-MM-DD.")
NOT_A_DATE = Bad("not a date", "Write the date as YYYY-MM-DD.")
EITHER_WAY = Bad("day and month read either way", "Answer the question for this column, or write YYYY-MM-DD.")


@dataclass(frozen=True, slots=True)
class EitherWay:
    """A text date before the order of its column is known: two numbers and the year."""

    first: int
    second: int
    year: int


@dataclass(frozen=True, slots=True)
class DateLimits:
    """What days a column may hold: `today` in words where nothing may lie ahead of it."""

    today: date
    limits: SheetLimits
    past_only: bool

    def check(self, day: date) -> date | Bad:
        """The day, or why it cannot be."""
        if day.year < self.limits.earliest_year:
            return Bad(f"before {self.limits.earliest_year}", "Check the year.")
        if self.past_only and day > self.today:
            return Bad(f"after today, {self.today.isoformat()}", "Check the date.")
        years = self.limits.years_ahead
        if day > self.today + timedelta(days=math.ceil(365.25 * years)):
            return Bad(f"more than {_YEARS.get(years, f'{years} years')} ahead", "Check the year.")
        return day


@dataclass(frozen=True, slots=True)
class DateColumn:
    """The dates read; where a question is open, the place of its first example and how many it is about."""

    values: list[object]
    example: int | None = None
    count: int = 0
    mixed: bool = False


def read_dates(cells: Sequence[object], limits: DateLimits, order: str | None) -> DateColumn:
    """Read a column; `order` is the answer given for it, if any, and wins over what the column shows."""
    parsed = read_all(cells, lambda cell: _parsed(cell, limits.today))
    open_dates = [value for value in parsed if isinstance(value, EitherWay)]
    shown_order = _shown_order(open_dates)
    values: list[object] = []
    settled: dict[EitherWay, object] = {}
    for value in parsed:
        if isinstance(value, EitherWay):
            if value not in settled:
                settled[value] = _settled(value, order or shown_order)
            value = settled[value]
        values.append(limits.check(value) if isinstance(value, date) else value)
    doubtful = [place for place, value in enumerate(values) if value is EITHER_WAY]
    real_days = {cell.day for cell in cells if isinstance(cell, date)}
    text_days = [value for value in open_dates if value.first > 12]
    mixed = bool(real_days) and max(real_days) <= 12 and len(text_days) >= 3 and len(text_days) == len(open_dates)
    return DateColumn(values, doubtful[0] if doubtful else None, len(doubtful), mixed)


def either_way(cell: object, today: date) -> tuple[date, date] | None:
    """The two days a text date may be, day first and month first."""
    value = _parsed(cell, today)
    if not isinstance(value, EitherWay) or value.first > 12 or value.second > 12:
        return None
    return date(value.year, value.second, value.first), date(value.year, value.first, value.second)


def _shown_order(dates: Sequence[EitherWay]) -> str | None:
    """The order a column shows by its numbers above 12; ten to one settles a slip, less is asked about."""
    day_first = sum(value.first > 12 >= value.second for value in dates)
    month_first = sum(value.second > 12 >= value.first for value in dates)
    if day_first > 10 * month_first:
        return DAY_FIRST
    return MONTH_FIRST if month_first > 10 * day_first else None


def _settled(value: EitherWay, order: str | None) -> object:
    if order is None and value.first == value.second:
        order = DAY_FIRST
    if order is None:
        if value.first <= 12 and value.second <= 12:
            return EITHER_WAY
        order = DAY_FIRST if value.first > 12 else MONTH_FIRST
    day, month = (value.first, value.second) if order == DAY_FIRST else (value.second, value.first)
    return _day(value.year, month, day)


def _parsed(cell: object, today: date) -> object:
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    if isinstance(cell, float):
        cell = str(int(cell)) if cell == int(cell) else ""
        return _bare(cell) or Bad("a number, not a date", "Write the date as YYYY-MM-DD, or format the cell as a date.")
    if not isinstance(cell, str):
        return NOT_A_DATE
    plain = " ".join(cell.split())
    found = _YEAR_FIRST.fullmatch(plain)
    if found:
        return _day(int(found.group(1)), int(found.group(2)), int(found.group(3)))
    found = _EITHER.fullmatch(plain)
    if found:
        first, second, year = int(found.group(1)), int(found.group(2)), _year(found.group(3), today)
        return EitherWay(first, second, year) if first <= 31 and second <= 31 else NO_SUCH_DAY
    return _bare(plain) or _with_month_name(plain.casefold(), today)


def _bare(text: str) -> object | None:
    found = _YEAR_FIRST_BARE.fullmatch(text)
    return _day(*(int(part) for part in found.groups())) if found else None


def _with_month_name(text: str, today: date) -> object:
    text = re.sub(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*,? ", "", text)
    found = _DAY_MONTH.fullmatch(text)
    if found:
        day, name, year = found.groups()
    else:
        found = _MONTH_DAY.fullmatch(text)
        if not found:
            return NOT_A_DATE
        name, day, year = found.groups()
    months = [
        number for number, month in enumerate(_MONTHS, 1) if month.startswith(name) or (name == "sept" and number == 9)
    ]
    return _day(_year(year, today), months[0], int(day)) if months else NOT_A_DATE


def _year(text: str, today: date) -> int:
    """Four figures as they stand; two figures within the century that ends ten years ahead."""
    year = int(text)
    if len(text) == 4:
        return year
    return year + (2000 if year <= today.year % 100 + 10 else 1900)


def _day(year: int, month: int, day: int) -> object:
    try:
        return date(year, month, day)
    except ValueError:
        return NO_SUCH_DAY
