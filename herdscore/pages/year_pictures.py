"""A block's year as its chart is given it, and the table of its months."""

from __future__ import annotations

import math
from datetime import date, timedelta

from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.day_names import MONTHS
from herdscore.domain.reasons import say_number
from herdscore.domain.through_the_year import ThroughYear, YearLine, add_months, finding
from herdscore.parts.year_chart import YearPicture, YearPoint


def year_picture(year: ThroughYear, today: date) -> YearPicture:
    """The chart of a block's year."""
    said = finding(year)
    return YearPicture(
        begins=year.begins,
        years=tuple((line.name, _points(line)) for line in year.lines),
        targets=tuple((one.name, float((one.day - year.begins).days), one.target) for one in year.targets),
        ribbon=_ribbon(year),
        band=year.band,
        today=float((today - year.begins).days),
        name=f"The {BLOCK_NAMES[year.block]} block through the year",
        description=f"{said}. {' '.join(_spoken(line) for line in year.lines if line.months)}".strip(),
    )


def month_rows(year: ThroughYear) -> list[tuple[str, ...]]:
    """A row a month with a score in any year: month, target, then cows, mean and spread of every year, newest first.

    The target is that of the newest year's day, else of the middle of the month.
    """
    rows = []
    for number in range(12):
        months = [year.month_of(line, number) for line in year.lines]
        if not any(months):
            continue
        first = add_months(year.begins, number)
        newest = months[0]
        target = year.target_on(newest.day if newest is not None else first.replace(day=15))
        cells = [MONTHS[first.month - 1], say_number(target, 2) if math.isfinite(target) else ""]
        for one in months:
            known = one is not None and math.isfinite(one.spread)
            cells += [
                "" if one is None else str(one.cows),
                "" if one is None else say_number(one.mean, 2),
                say_number(one.spread, 2) if one is not None and known else "",
            ]
        rows.append(tuple(cells))
    return rows


def _ribbon(year: ThroughYear) -> tuple[tuple[float, float], ...]:
    """Days since the year began and targets at every turn of the band, from end to end of the year where known."""
    turns = [(float((one.day - year.begins).days), one.target) for one in year.targets]
    last = add_months(year.begins, 12) - timedelta(days=1)
    ends = [(float((day - year.begins).days), year.target_on(day)) for day in (year.begins, last)]
    return tuple(sorted(turn for turn in {*turns, *ends} if math.isfinite(turn[1])))


def _points(line: YearLine) -> tuple[YearPoint, ...]:
    return tuple(
        YearPoint(
            float((one.day - line.begins).days),
            one.mean,
            one.spread if math.isfinite(one.spread) else None,
            one.cows,
        )
        for one in line.months
    )


def _spoken(line: YearLine) -> str:
    months = ", ".join(f"{MONTHS[one.month.month - 1]} {say_number(one.mean, 2)}" for one in line.months)
    return f"{line.name}: {months}."
