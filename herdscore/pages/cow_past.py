"""What lies behind a cow's line: her diets, weighings and calvings, and last season on the same days to calving."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.diets import AT_GRASS, HELD, SUCKLING, WINTER
from herdscore.domain.records import DOWN, GRASS, TO_HOLD, UNKNOWN_DIET, UP, WINTER_FEED, Weight
from herdscore.domain.scale import mean_of_sites, show, to_quarter
from herdscore.parts.cow_picture import DietStretch, PastEvent, ScorePoint

_ASSUMED = {WINTER: WINTER_FEED, AT_GRASS: GRASS, HELD: TO_HOLD}
_SEASON_DAYS = 330
"""Scores so long before her last calving belong to that season."""


def diets_of(a: Assessment, cow: int, last: date | None) -> tuple[DietStretch, ...]:
    """What she is fed, from a year ago to calving (or today), one stretch a diet."""
    end = max(last or a.today, a.today)
    begin = a.today - timedelta(days=a.rulebook.model.max_age_days)
    made: list[DietStretch] = []
    low, high = a.segments.low[cow], a.segments.high[cow]
    for k in np.flatnonzero(low < high).tolist():
        first = max(begin, _day(a, float(low[k]), begin))
        until = min(end, _day(a, float(high[k]), end))
        if first >= until:
            continue
        words, told, hue = _diet(a, int(a.segments.rate[cow, k]))
        one = DietStretch(first, until, words, bool(a.segments.assumed[cow, k]), told, hue)
        if made and (made[-1].words, made[-1].assumed, made[-1].last) == (words, one.assumed, first):
            one = DietStretch(made.pop().first, until, words, one.assumed, told, hue)
        made.append(one)
    return tuple(made)


def _day(a: Assessment, ahead: float, end: date) -> date:
    """A day of her time line; the ends of time are cut to `end`."""
    return end if abs(ahead) > 10_000 else a.today + timedelta(days=int(ahead))


def _diet(a: Assessment, rate: int) -> tuple[str, bool, str]:
    """A diet in words, whether anybody told it, and the hue of a change."""
    row, kind = float(a.segments.rate_diet[rate]), int(a.segments.rate_class[rate])
    if row == row:
        diets = a.snapshot.diets
        aim, name = diets.aim[int(row)], str(diets.kind[int(row)])
        said = "not known" if name == UNKNOWN_DIET else name
        change = {UP: "eased up", DOWN: "eased down"}.get(aim)
        return (f"{change}, {said}" if change else said), True, {UP: "thin", DOWN: "fat"}.get(aim, "")
    if kind == SUCKLING:
        return "suckling, after calving", True, ""
    return _ASSUMED.get(kind, "feed not told"), kind in _ASSUMED, ""


def events_of(a: Assessment, cow: int, named: set[date]) -> tuple[PastEvent, ...]:
    """Her weighings and calvings of the last year; `named` are days the line says something of already."""
    oldest = a.today - timedelta(days=a.rulebook.model.max_age_days)
    made = [
        PastEvent(row.day, f"{row.weight:g} kg")
        for row in a.snapshot.records("weights", a.snapshot.of_cow("weights", cow).tolist())
        if isinstance(row, Weight) and oldest <= row.day <= a.today
    ]
    calved = a.snapshot.calvings.day[a.snapshot.of_cow("calvings", cow)]
    for day in dict.fromkeys(calved.tolist()):
        if oldest <= day <= a.today and day not in named:
            made.append(PastEvent(day, "calved"))
    return tuple(sorted(made, key=lambda one: one.day))


def last_season_of(a: Assessment, cow: int) -> tuple[tuple[ScorePoint, ...], str]:
    """Her scores before her last calving, on the day as long before this one, and what to call them; empty without."""
    ahead, calved = float(a.dates.day[cow]), float(a.facts.calved_day[cow])
    if not (np.isfinite(ahead) and np.isfinite(calved)):
        return (), ""
    table, rows = a.snapshot.scores, a.snapshot.of_cow("scores", cow)
    value, _ = mean_of_sites(table.loin[rows], table.ribs[rows], table.tailhead[rows], table.score[rows])
    points = []
    for day, score in zip(table.day[rows].tolist(), value.tolist(), strict=True):
        before = calved - (day - a.today).days
        if score == score and 0 <= before <= _SEASON_DAYS:
            points.append(ScorePoint(a.today + timedelta(days=int(ahead - before)), score))
    if not points:
        return (), ""
    at_end = show(float(to_quarter(np.array([points[-1].value]))[0]) * 4)
    return tuple(points), f"last season, {at_end} when last scored before calving"
