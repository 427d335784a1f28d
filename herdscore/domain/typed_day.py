"""A day typed by hand: read where it can only mean one day, else a sentence that says how to write it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from herdscore.domain.reasons import say_day

EARLIEST = date(1990, 1, 1)
FURTHEST_AHEAD = timedelta(days=731)
_MONTHS = "january february march april may june july august september october november december".split()
_YEAR_FIRST = re.compile(r"(\d{4})[-/. ](\d{1,2})[-/. ](\d{1,2})")
_NUMBERS = re.compile(r"(\d{1,2})\s*[-/. ]\s*(\d{1,2})\s*[-/. ]\s*(\d{4}|\d{2})")
_DAY_MONTH = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[-/. ]*([a-z]{3,9})\.?(?:[-/., ]*(\d{4}|\d{2}))?")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.?[-/ ]*(\d{1,2})(?:st|nd|rd|th)?(?:,?[-/ ]+(\d{4}|\d{2}))?")
_WEEKDAY = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*,? ")


@dataclass(frozen=True, slots=True)
class NotADay:
    """Why what was typed is not a day, as a sentence."""

    sentence: str


def say_whole_day(day: date | None) -> str:
    """A day with its year, as a field shows it: 18 Apr 2027; "" for none."""
    return "" if day is None else f"{say_day(day)} {day.year}".replace("\u00a0", " ")


def read_day(text: str, today: date, *, past_only: bool = False) -> date | NotADay:
    """The day a text means; without a year the one nearest to today.

    >>> read_day("18 Apr", date(2027, 1, 12)), read_day("2027-04-18", date(2027, 1, 12))
    (datetime.date(2027, 4, 18), datetime.date(2027, 4, 18))
    """
    plain = _WEEKDAY.sub("", " ".join(text.replace("\u00a0", " ").split()).casefold())
    day = _parsed(plain, today, past_only=past_only)
    if isinstance(day, NotADay):
        return day
    if day < EARLIEST:
        return NotADay(f"{say_whole_day(day)} is before {EARLIEST.year}. Check the year.")
    if past_only and day > today:
        return NotADay(f"{say_whole_day(day)} is still ahead. Check the date.")
    if day > today + FURTHEST_AHEAD:
        return NotADay(f"{say_whole_day(day)} is more than two years ahead. Check the year.")
    return day


def _parsed(plain: str, today: date, *, past_only: bool) -> date | NotADay:
    found = _YEAR_FIRST.fullmatch(plain)
    if found:
        return _day(int(found[1]), int(found[2]), int(found[3]), plain)
    found = _NUMBERS.fullmatch(plain)
    if found:
        return _from_numbers(int(found[1]), int(found[2]), _year(found[3], today), plain)
    found = _DAY_MONTH.fullmatch(plain)
    if found:
        number, name, year = found.groups()
    else:
        found = _MONTH_DAY.fullmatch(plain)
        if not found:
            return NotADay(f"“{plain}” is not a date. Write it as 18 Apr 2027.")
        name, number, year = found.groups()
    month = _month(name)
    if month is None:
        return NotADay(f"“{name}” is not a month. Write the date as 18 Apr 2027.")
    if year is not None:
        return _day(_year(year, today), month, int(number), plain)
    return _nearest(month, int(number), today, plain, past_only=past_only)


def _from_numbers(first: int, second: int, year: int, plain: str) -> date | NotADay:
    """Day and month as figures alone: read where only one order gives a day."""
    day_first, month_first = _day(year, second, first, plain), _day(year, first, second, plain)
    if isinstance(day_first, NotADay) or day_first == month_first:
        return month_first
    if isinstance(month_first, NotADay):
        return day_first
    ways = f"{say_whole_day(day_first)} or {say_whole_day(month_first)}"
    return NotADay(f"“{plain}” may be {ways}. Write the month as a word.")


def _month(name: str) -> int | None:
    if name == "sept":
        return 9
    return next((at for at, month in enumerate(_MONTHS, 1) if month.startswith(name)), None)


def _year(text: str, today: date) -> int:
    """Four figures as they stand; two within the century that ends ten years ahead."""
    year = int(text)
    if len(text) == 4:
        return year
    return year + (2000 if year <= today.year % 100 + 10 else 1900)


def _nearest(month: int, number: int, today: date, plain: str, *, past_only: bool) -> date | NotADay:
    days = [_day(year, month, number, plain) for year in (today.year - 1, today.year, today.year + 1)]
    real = [day for day in days if isinstance(day, date) and not (past_only and day > today)]
    nearest = min(real, key=lambda day: abs((day - today).days), default=days[1])
    # 29 February of a year far off was hardly meant.
    far = isinstance(nearest, date) and abs((nearest - today).days) > 366
    return NotADay(f"There is no day “{plain}” within a year.") if far else nearest


def _day(year: int, month: int, day: int, plain: str) -> date | NotADay:
    try:
        return date(year, month, day)
    except ValueError:
        return NotADay(f"There is no day “{plain}”.")
