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


def flag_lists(assessment: Assessment) -> FlagLists:
    """The list of every living cow: vet first, then soonest act-by, then nearest to calving, then tag."""
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
    columns = _columns(assessment, act_by)
    picked = [
        [values[i] for i in order.tolist()] if values is not None else [text(assessment, i) for i in order.tolist()]
        for values, text in columns
    ]
    codes = verdict[order].tolist()
    return FlagLists(
        cow=tuple(order.tolist()),
        rows=tuple(zip(*picked, strict=True)),
        of_list=tuple(words[code].list for code in codes),
        mark=tuple(words[code].mark for code in codes),
    )


def _act_by(assessment: Assessment) -> Numbers:
    """Days to the act-by or score-by date, where the verdict has one."""
    easing = np.isin(assessment.verdict, EASING)
    return np.where(easing, assessment.reach.act_by, assessment.score_by)


def _columns(
    assessment: Assessment, act_by: Numbers
) -> list[tuple[list[Any] | None, Callable[[Assessment, int], str]]]:
    """Values of every column, or the sentence that fills it, in the order of `FLAG_LIST`."""
    a, cows = assessment, assessment.snapshot.cows
    words = [a.rulebook.words[verdict.key].word for verdict in Verdict]
    scored = np.isfinite(a.facts.score_now)
    shown = scored & np.isin(a.verdict, PROJECTED)
    easing = np.isin(a.verdict, EASING)
    spelled = {i: name for i, name in enumerate(a.groups.names)}
    values: list[list[Any] | None] = [
        cows.tag.tolist(),
        cows.management_no.tolist(),
        [spelled[g] for g in a.groups.now.tolist()],
        [BLOCK_NAMES[code] for code in a.block.tolist()],
        _dates(a, a.dates.day),
        _numbers(a.dates.spread),
        _numbers(a.dates.day, whole=True),
        _dates(a, a.sessions.last_day),
        _numbers(a.sessions.last),
        _numbers(a.facts.score_now, decimals=2),
        _numbers(np.where(shown, a.course.mean, np.nan), decimals=2),
        _numbers(np.where(shown, a.course.lo, np.nan), decimals=2),
        _numbers(np.where(shown, a.course.hi, np.nan), decimals=2),
        _numbers(np.where(np.isfinite(a.dates.day), a.targets.target, np.nan)),
        *_chances(a, shown),
        [words[code] for code in a.verdict.tolist()],
        _numbers(np.where(easing, a.reach.expected_rate * 7, np.nan), decimals=2),
        _numbers(np.where(easing, a.reach.wanted_rate * 7, np.nan), decimals=2),
        _dates(a, act_by),
        None,
        None,
    ]
    sentence = {len(values) - 2: advice, len(values) - 1: why}
    return [(column, sentence.get(i, why)) for i, column in enumerate(values)]


def _numbers(values: Numbers, *, decimals: int | None = None, whole: bool = False) -> list[float | int | None]:
    if decimals is not None:
        values = np.round(values, decimals) + 0.0
    return [None if value != value else int(value) if whole else value for value in values.tolist()]


def _dates(assessment: Assessment, ahead: Numbers) -> list[date | None]:
    return [assessment.day(day) for day in ahead.tolist()]


def _chances(assessment: Assessment, shown: npt.NDArray[np.bool_]) -> list[list[float | int | None]]:
    """Chances thin, on target and fat to four decimals, the middle one making up the whole."""
    thin = np.round(np.where(shown, assessment.course.p_below, np.nan), 4).astype(np.float64)
    fat = np.round(np.where(shown, assessment.course.p_above, np.nan), 4).astype(np.float64)
    return [_numbers(thin), _numbers(np.round(1 - thin - fat, 4).astype(np.float64)), _numbers(fat)]
