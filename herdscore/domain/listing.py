"""The columns of every list: key, heading, kind, unit. One list serves screen and sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.reasons import advice, why
from herdscore.domain.verdict import EASING, Verdict

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Column:
    """One column: kind is text, date, whole, days, quarter, score, chance or rate; width in characters."""

    key: str
    heading: str
    kind: str
    width: int
    unit: str = ""


FLAG_LIST = (
    Column("tag", "Tag", "text", 16),
    Column("management_no", "Management no", "text", 14),
    Column("group", "Group", "text", 16),
    Column("season", "Season", "text", 9),
    Column("calving_date", "Calving date", "date", 12),
    Column("date_spread", "Date ±", "days", 9, "days"),
    Column("days_to_calving", "Days to calving", "whole", 10),
    Column("last_scored", "Last scored", "date", 12),
    Column("last_score", "Last score", "quarter", 9),
    Column("score_now", "Score now", "score", 9),
    Column("projected", "Projected", "score", 10),
    Column("low", "Low", "score", 8),
    Column("high", "High", "score", 8),
    Column("target", "Target", "score", 8),
    Column("chance_thin", "Chance thin", "chance", 9),
    Column("chance_on_target", "Chance on target", "chance", 10),
    Column("chance_fat", "Chance fat", "chance", 9),
    Column("verdict", "Verdict", "text", 26),
    Column("rate_expected", "Rate expected", "rate", 12, "score/week"),
    Column("rate_wanted", "Rate wanted", "rate", 12, "score/week"),
    Column("act_by", "Act by", "date", 12),
    Column("advice", "Advice", "text", 46),
    Column("why", "Why", "text", 70),
)

ACT, HAND, NOTHING, MISSING = "act", "hand", "nothing", "missing"
FLAGGED_LISTS = (ACT, HAND, NOTHING)
"""Lists whose cows stand on the sheet Flagged."""
PROJECTED = (
    Verdict.VET_FIRST_THIN,
    Verdict.VET_FIRST_FAT,
    Verdict.TOO_EARLY,
    Verdict.FEED_TO_NEED,
    Verdict.END_EARLY,
    Verdict.SEE_THROUGH,
    Verdict.TO_SCORE,
    Verdict.TOO_LATE,
    Verdict.SCORE_AGAIN,
    Verdict.ON_COURSE,
    Verdict.GAINING_WELL,
    *EASING,
)
"""Verdicts of cows whose projection is shown."""


@dataclass(frozen=True, slots=True)
class FlagLists:
    """Rows of the flag list, one a living cow in the order of urgency, and where each belongs.

    A row holds the values of `FLAG_LIST`, None where unknown. `cow` is its place in the herd.
    """

    cow: tuple[int, ...]
    rows: tuple[tuple[object, ...], ...]
    of_list: tuple[str, ...]
    mark: tuple[str, ...]

    def on(self, *lists: str) -> list[int]:
        """Places of the rows on any of these lists."""
        return [i for i, name in enumerate(self.of_list) if name in lists]


@dataclass(frozen=True, eq=False)
class FlagOrder:
    """Every living cow in the order of urgency: her place in the herd, the list and the mark of her verdict, [L]."""

    cow: npt.NDArray[np.intp]
    of_list: npt.NDArray[np.object_]
    mark: npt.NDArray[np.object_]


def flag_order(assessment: Assessment) -> FlagOrder:
    """Who is listed where: vet first, then soonest act-by, then nearest to calving, then tag."""
    words = [assessment.rulebook.words[verdict.key] for verdict in Verdict]
    verdict = assessment.verdict
    living = np.flatnonzero(verdict != Verdict.GONE)
    act_by = _act_by(assessment)
    vet = np.isin(verdict, (Verdict.VET_FIRST_THIN, Verdict.VET_FIRST_FAT))
    rank = {ACT: 0, HAND: 1, NOTHING: 2, MISSING: 3}
    ranks = np.array([rank.get(word.list, 4) for word in words])[verdict]
    keys = (
        np.where(np.isnan(assessment.dates.day), np.inf, assessment.dates.day),
        np.where(np.isnan(act_by), np.inf, act_by),
        ~vet,
        ranks,
    )
    order = living[np.lexsort([key[living] for key in keys])]
    return FlagOrder(
        cow=order,
        of_list=np.array([word.list for word in words], dtype=object)[verdict[order]],
        mark=np.array([word.mark for word in words], dtype=object)[verdict[order]],
    )


def flag_lists(assessment: Assessment) -> FlagLists:
    """The list of every living cow, with her row."""
    order = flag_order(assessment)
    return FlagLists(
        cow=tuple(order.cow.tolist()),
        rows=flag_rows(assessment, order.cow),
        of_list=tuple(order.of_list.tolist()),
        mark=tuple(order.mark.tolist()),
    )


def flag_rows(assessment: Assessment, cow: npt.NDArray[np.intp]) -> tuple[tuple[object, ...], ...]:
    """Rows of the flag list for some cows (places in the herd), each the values of `FLAG_LIST`."""
    return tuple(zip(*(flag_values(assessment, cow, column.key) for column in FLAG_LIST), strict=True))


def flag_values(assessment: Assessment, cow: npt.NDArray[np.intp], key: str) -> list[Any]:
    """Values of one column for some cows (places in the herd), None where unknown."""
    made = _MAKERS[key](_Cut(assessment, cow))
    return list(made)


class _Cut:
    """Some cows of an assessment, as the columns look at them."""

    def __init__(self, assessment: Assessment, cow: npt.NDArray[np.intp]) -> None:
        self.a, self.i, self.cows = assessment, cow, assessment.snapshot.cows
        self.shown = np.isfinite(assessment.facts.score_now[cow]) & np.isin(assessment.verdict[cow], PROJECTED)
        self.easing = np.isin(assessment.verdict[cow], EASING)

    def days(self, ahead: Numbers) -> list[date | None]:
        return [self.a.day(day) for day in ahead[self.i].tolist()]

    def numbers(self, values: Numbers) -> list[Any]:
        return _numbers(values[self.i])

    def projected(self, values: Numbers) -> list[Any]:
        return _numbers(np.where(self.shown, values[self.i], np.nan), decimals=2)

    def rate(self, a_day: Numbers) -> list[Any]:
        return _numbers(np.where(self.easing, a_day[self.i] * 7, np.nan), decimals=2)

    def target(self) -> list[Any]:
        dated = np.isfinite(self.a.dates.day[self.i])
        return _numbers(np.where(dated, self.a.targets.target[self.i], np.nan))

    def chance(self, which: str) -> list[Any]:
        """To four decimals, the middle one making up the whole."""
        course, told = self.a.course, self.shown
        thin, fat = (
            np.round(np.where(told, one[self.i], np.nan), 4).astype(np.float64)
            for one in (course.p_below, course.p_above)
        )
        made = {"thin": thin, "fat": fat, "on_target": np.round(1 - thin - fat, 4).astype(np.float64)}
        return _numbers(made[which])

    def words(self) -> list[Any]:
        words = [self.a.rulebook.words[verdict.key].word for verdict in Verdict]
        return [words[code] for code in self.a.verdict[self.i].tolist()]


_MAKERS: dict[str, Callable[[_Cut], list[Any]]] = {
    "tag": lambda c: c.cows.tag[c.i].tolist(),
    "management_no": lambda c: c.cows.management_no[c.i].tolist(),
    "group": lambda c: [c.a.groups.names[g] for g in c.a.groups.now[c.i].tolist()],
    "season": lambda c: [BLOCK_NAMES[code] for code in c.a.block[c.i].tolist()],
    "calving_date": lambda c: c.days(c.a.dates.day),
    "date_spread": lambda c: c.numbers(c.a.dates.spread),
    "days_to_calving": lambda c: _numbers(c.a.dates.day[c.i], whole=True),
    "last_scored": lambda c: c.days(c.a.sessions.last_day),
    "last_score": lambda c: c.numbers(c.a.sessions.last),
    "score_now": lambda c: _numbers(c.a.facts.score_now[c.i], decimals=2),
    "projected": lambda c: c.projected(c.a.course.mean),
    "low": lambda c: c.projected(c.a.course.lo),
    "high": lambda c: c.projected(c.a.course.hi),
    "target": lambda c: c.target(),
    "chance_thin": lambda c: c.chance("thin"),
    "chance_on_target": lambda c: c.chance("on_target"),
    "chance_fat": lambda c: c.chance("fat"),
    "verdict": lambda c: c.words(),
    "rate_expected": lambda c: c.rate(c.a.reach.expected_rate),
    "rate_wanted": lambda c: c.rate(c.a.reach.wanted_rate),
    "act_by": lambda c: c.days(_act_by(c.a)),
    "advice": lambda c: [advice(c.a, cow) for cow in c.i.tolist()],
    "why": lambda c: [why(c.a, cow) for cow in c.i.tolist()],
}


def _act_by(assessment: Assessment) -> Numbers:
    """Days to the act-by or score-by date, where the verdict has one."""
    easing = np.isin(assessment.verdict, EASING)
    return np.where(easing, assessment.reach.act_by, assessment.score_by)


def _numbers(values: Numbers, *, decimals: int | None = None, whole: bool = False) -> list[float | int | None]:
    if decimals is not None:
        values = np.round(values, decimals) + 0.0
    return [None if value != value else int(value) if whole else value for value in values.tolist()]
