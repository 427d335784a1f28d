"""The flag list as rows of a list on screen: a choice of its columns, words, sort values, marks and sparks."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.listing import FLAG_LIST, FlagLists
from herdscore.domain.reasons import say_day, say_number, say_spread
from herdscore.domain.shared_line import days_in_segments
from herdscore.domain.verdict import SCORE_BY
from herdscore.pages.cow_pictures import IN_MILK
from herdscore.parts.delegates import Spark
from herdscore.parts.list_model import Column, ListRow

Numbers = npt.NDArray[np.float64]

COLUMNS = (
    Column("tag", "Tag", width=72, weight=700),
    Column("group", "Group", width=130),
    Column("calving_date", "Calves", kind="date", width=116),
    Column("days_to_calving", "Days", kind="number", right=True, width=56),
    Column("scores", "Scores", kind="number", width=126, shown="spark", sortable=False),
    Column("score_now", "Score\nnow", kind="number", right=True, width=62),
    Column("projected", "At calving,\n9 in 10", kind="number", right=True, width=126),
    Column("verdict", "Verdict", width=196, shown="verdict"),
    Column("rate_expected", "A week\nexpected", kind="number", right=True, width=84),
    Column("rate_wanted", "A week\nwanted", kind="number", right=True, width=78),
    Column("act_by", "Act by", kind="date", width=118, weight=700),
)
_AT = {column.key: place for place, column in enumerate(FLAG_LIST)}


def flagged_rows(assessment: Assessment, flags: FlagLists, tags: Sequence[str]) -> list[ListRow]:
    """One row a cow of the flag list, in its order, under her short tag; the key is the cow's identity."""
    ids = assessment.snapshot.cows.id
    projected = [row[_AT["projected"]] is not None for row in flags.rows]
    sparks = _sparks(assessment, flags.cow, projected)
    score_by = np.isin(assessment.verdict, SCORE_BY).tolist()
    picked = [_AT[key] for key in _PICKED]
    made = []
    for row, cow, mark, spark in zip(flags.rows, flags.cow, flags.mark, sparks, strict=True):
        values = [row[at] for at in picked]
        made.append(
            ListRow(
                key=ids[cow],
                texts=_texts(tags[cow], values, spark, assessment.today, score_by=score_by[cow]),
                # Cows stand by tag in the herd, 9 before 10.
                values=(f"{cow:07d}", *values[1:3], values[4], None, *values[5:7], *values[9:]),
                extras=(None, None, None, None, spark, None, None, mark, None, None, None),
            )
        )
    return made


_PICKED = (
    "tag group calving_date date_spread days_to_calving score_now projected low high verdict rate_expected rate_wanted "
    "act_by"
).split()


def _texts(tag: str, values: list[object], spark: Spark, today: date, *, score_by: bool) -> tuple[str, ...]:
    _, group, calves, spread, days, now, projected, low, high, verdict, expected, wanted, act_by = values
    by = "" if not isinstance(act_by, date) else "today" if act_by == today else say_day(act_by)
    return (
        tag,
        str(group or ""),
        f"{say_day(calves)} ± {say_spread(spread)}" if isinstance(calves, date) else "",  # type: ignore[arg-type]
        "" if days is None else str(days).replace("-", "\u2212"),
        spark.words,
        _number(now, 2),
        "" if projected is None else f"{_number(projected, 1)}  ({_number(low, 1)}–{_number(high, 1)})",
        str(verdict),
        _number(expected, 2, sign=True),
        _number(wanted, 2, sign=True),
        f"score {by}" if score_by and by else by,
    )


def _number(value: object, decimals: int, *, sign: bool = False) -> str:
    return say_number(value, decimals, sign=sign) if isinstance(value, float) else ""


def _sparks(a: Assessment, cows: tuple[int, ...], projected: list[bool]) -> list[Spark]:
    """Scores of the last year and, where it is said, the way ahead; one spark a cow of `cows`."""
    first = np.searchsorted(a.sessions.cow, np.arange(len(a) + 1)).tolist()
    day, value = a.sessions.day.tolist(), a.sessions.value.tolist()
    ahead_days, ahead = _ways(a)
    low, high = _bands(a)
    made = []
    for cow, shown in zip(cows, projected, strict=True):
        begin, end = first[cow], first[cow + 1]
        scored = end - begin
        words = "not scored" if not scored else f"{scored} score{'' if scored == 1 else 's'}"
        way = (ahead_days[cow], ahead[cow]) if shown else ((), ())
        made.append(Spark(tuple(day[begin:end]), tuple(value[begin:end]), *way, low[cow], high[cow], words))
    return made


def _bands(a: Assessment) -> tuple[list[float], list[float]]:
    """Edges of each cow's band, at mating for a cow in milk; spring's where nothing tells her block."""
    rules, floor = a.rulebook.targets, a.targets.mating_floor
    in_milk = np.isin(a.verdict, IN_MILK)
    low = np.where(in_milk, floor, a.targets.lower)
    high = np.where(in_milk, 2 * a.targets.mating_target - floor, a.targets.upper)
    unknown = ~np.isfinite(low)
    low = np.where(unknown, rules.spring_calving - rules.band, low)
    return low.tolist(), np.where(unknown, rules.spring_calving + rules.band, high).tolist()


def _ways(a: Assessment) -> tuple[list[tuple[float, ...]], list[tuple[float, ...]]]:
    """The way from today to calving by the model's curve, with a corner where an assumed diet begins."""
    course, low = a.course, a.segments.low
    d = np.where(np.isfinite(a.course.mean) & (a.dates.day > 0), a.dates.day, np.nan)
    corner = np.where(a.segments.assumed & (low > 0) & (low < d[:, None]), low, np.nan)
    stops = np.column_stack([np.where(np.isfinite(d), 0.0, np.nan), np.sort(corner, axis=1), d])
    score = np.full(stops.shape, np.nan)
    fading = np.exp(np.nan_to_num(stops) / -a.rulebook.model.wander_memory_days)
    for k in range(stops.shape[1]):
        at = stops[:, k]
        if np.isfinite(at).any():
            spent = days_in_segments(at[:, None], a.segments.low, a.segments.high)
            score[:, k] = course.curve_level + course.curve_wander * fading[:, k] + (spent * course.curve_rate).sum(1)
    known = np.isfinite(score)
    # Corners are few: most cows have the two ends alone.
    days = [tuple(s[k].tolist()) for s, k in zip(stops, known, strict=True)]
    return days, [tuple(s[k].tolist()) for s, k in zip(score, known, strict=True)]
