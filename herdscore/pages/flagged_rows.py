"""The flag list as rows of a list on screen: its columns, words, sort values, marks, sparks and ticks."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.listing import FLAG_LIST, flag_rows, flag_values
from herdscore.domain.reasons import say_chance, say_day, say_number, say_spread
from herdscore.domain.scale import show
from herdscore.domain.shared_line import days_in_segments
from herdscore.domain.ticks import done_day, ticked
from herdscore.domain.verdict import SCORE_BY
from herdscore.pages.cow_pictures import IN_MILK
from herdscore.parts.delegates import Spark
from herdscore.parts.list_model import Column, ListRow

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

COLUMNS = (
    Column("tag", "Tag", kind="number", width=72, weight=700),
    Column("group", "Group", width=122),
    Column("calving_date", "Calves", kind="date", width=112),
    Column("days_to_calving", "Days", kind="number", right=True, width=54),
    Column("scores", "Scores", kind="number", width=120, shown="spark", sortable=False),
    Column("score_now", "Score\nnow", kind="number", right=True, width=58),
    Column("projected", "At calving,\n9 in 10", kind="number", right=True, width=122),
    Column("verdict", "Verdict", width=190, shown="verdict"),
    Column("rate_expected", "A week\nexpected", kind="number", right=True, width=86),
    Column("rate_wanted", "A week\nwanted", kind="number", right=True, width=76),
    Column("act_by", "Act by", kind="date", width=98, weight=700),
    Column("done", "Done", kind="number", width=58, shown="tick"),
    Column("management_no", "Number", width=90),
    Column("season", "Season", width=84),
    Column("last_scored", "Last\nscored", kind="date", width=92),
    Column("last_score", "Last\nscore", kind="number", right=True, width=62),
    Column("target", "Target", kind="number", right=True, width=70),
    Column("chance_thin", "Chance\nthin", kind="number", right=True, width=84),
    Column("chance_on_target", "Chance\non target", kind="number", right=True, width=92),
    Column("chance_fat", "Chance\nfat", kind="number", right=True, width=84),
    Column("advice", "Advice", width=300),
    Column("why", "Why", width=420),
)
KEYS = tuple(column.key for column in COLUMNS)
FIRST_SHOWN = KEYS[:12]
"""Columns shown until somebody chooses others."""
_AT = {column.key: place for place, column in enumerate(FLAG_LIST)}


class FlaggedRows:
    """Rows of the flag list, made when looked at: one a cow of `cows` (places in the herd), with her mark.

    `tags` by place in the herd; the key of a row is the cow's identity.
    """

    def __init__(self, assessment: Assessment, cows: Places, marks: Sequence[str], tags: Sequence[str]) -> None:
        self._a, self._cows, self._marks, self._tags = assessment, cows, marks, tags
        self._held = ticked(assessment)[cows]
        self._made: dict[int, ListRow] = {}

    def __len__(self) -> int:
        return len(self._cows)

    def key(self, place: int) -> str:
        """Identity of the cow at a place."""
        return str(self._a.snapshot.cows.id[self._cows[place]])

    def row(self, place: int) -> ListRow:
        """The row at a place."""
        if place not in self._made:
            self.prepare([place])
        return self._made[place]

    def prepare(self, places: Sequence[int] | Places) -> None:
        """Make several rows at once, which is quicker than one by one."""
        wanted = [int(place) for place in places if int(place) not in self._made]
        if wanted:
            self._made.update(zip(wanted, self._rows(np.array(wanted, dtype=np.intp)), strict=True))

    def make(self, places: Sequence[int]) -> list[ListRow]:
        """Rows at several places, apart from those looked at, so that a job may ask for them."""
        return self._rows(np.array(places, dtype=np.intp)) if places else []

    def values(self, column: int) -> Sequence[Any]:
        """Values of a column to sort by."""
        key = KEYS[column]
        if key == "tag":
            return self._cows.tolist()  # type: ignore[no-any-return]
        if key == "done":
            done = self._a.snapshot.ticks.done
            return [None if tick < 0 else done[tick].item().toordinal() for tick in self._held.tolist()]
        return [None] * len(self) if key == "scores" else flag_values(self._a, self._cows, key)

    def _rows(self, places: Places) -> list[ListRow]:
        a, cows = self._a, self._cows[places]
        ids, rows = a.snapshot.cows.id, flag_rows(a, cows)
        sparks = _sparks(a, cows, [row[_AT["projected"]] is not None for row in rows])
        score_by = np.isin(a.verdict[cows], SCORE_BY).tolist()
        made = []
        for at, (place, cow, row) in enumerate(zip(places.tolist(), cows.tolist(), rows, strict=True)):
            tick = int(self._held[place])
            done = done_day(a.snapshot, tick) if tick >= 0 else None
            texts = _texts(self._tags[cow], row, sparks[at], a.today, score_by=score_by[at], done=done)
            extras = {"scores": sparks[at], "verdict": self._marks[place], "done": done is not None}
            shown = tuple(texts[key] for key in KEYS)
            made.append(ListRow(ids[cow], shown, (), tuple(map(extras.get, KEYS)), done is not None))
        return made


def _texts(
    tag: str, row: tuple[object, ...], spark: Spark, today: date, *, score_by: bool, done: date | None
) -> dict[str, str]:
    value = {key: row[place] for key, place in _AT.items()}
    calves, act_by, projected = value["calving_date"], value["act_by"], value["projected"]
    by = "" if not isinstance(act_by, date) else "today" if act_by == today else say_day(act_by)
    spread = value["date_spread"]
    return {
        "tag": tag,
        "group": str(value["group"] or ""),
        "calving_date": (say_day(calves) if isinstance(calves, date) else "")
        + (f" ± {say_spread(spread)}" if isinstance(calves, date) and isinstance(spread, float) else ""),
        "days_to_calving": ""
        if value["days_to_calving"] is None
        else str(value["days_to_calving"]).replace("-", "\u2212"),
        "scores": spark.words,
        "score_now": _number(value["score_now"], 2),
        "projected": ""
        if projected is None
        else f"{_number(projected, 1)}  ({_number(value['low'], 1)}–{_number(value['high'], 1)})",
        "verdict": str(value["verdict"]),
        "rate_expected": _number(value["rate_expected"], 2, sign=True),
        "rate_wanted": _number(value["rate_wanted"], 2, sign=True),
        "act_by": f"score {by}" if score_by and by else by,
        "done": "" if done is None else f"done {say_day(done, today)}",
        "management_no": str(value["management_no"] or ""),
        "season": str(value["season"] or ""),
        "last_scored": _day(value["last_scored"], today),
        "last_score": _score(value["last_score"]),
        "target": _score(value["target"]),
        **{key: _chance(value[key]) for key in ("chance_thin", "chance_on_target", "chance_fat")},
        "advice": str(value["advice"]),
        "why": str(value["why"]),
    }


def _day(value: object, today: date) -> str:
    return say_day(value, today) if isinstance(value, date) else ""


def _number(value: object, decimals: int, *, sign: bool = False) -> str:
    return say_number(value, decimals, sign=sign) if isinstance(value, float) else ""


def _score(value: object) -> str:
    return show(value * 4) if isinstance(value, float) else ""


def _chance(value: object) -> str:
    return say_chance(value) if isinstance(value, float) else ""


def _sparks(a: Assessment, cows: Places, projected: list[bool]) -> list[Spark]:
    """Scores of the last year and, where it is said, the way ahead; one spark a cow of `cows`."""
    first = np.searchsorted(a.sessions.cow, cows).tolist()
    last = np.searchsorted(a.sessions.cow, cows, side="right").tolist()
    ahead_days, ahead = _ways(a, cows)
    low, high = _bands(a, cows)
    made = []
    for at, (begin, end, shown) in enumerate(zip(first, last, projected, strict=True)):
        scored = end - begin
        words = "not scored" if not scored else f"{scored} score{'' if scored == 1 else 's'}"
        way = (ahead_days[at], ahead[at]) if shown else ((), ())
        day, value = a.sessions.day[begin:end].tolist(), a.sessions.value[begin:end].tolist()
        made.append(Spark(tuple(day), tuple(value), *way, low[at], high[at], words))
    return made


def _bands(a: Assessment, cows: Places) -> tuple[list[float], list[float]]:
    """Edges of each cow's band, at mating for a cow in milk; spring's where nothing tells her block."""
    rules, floor = a.rulebook.targets, a.targets.mating_floor[cows]
    in_milk = np.isin(a.verdict[cows], IN_MILK)
    low = np.where(in_milk, floor, a.targets.lower[cows])
    high = np.where(in_milk, 2 * a.targets.mating_target[cows] - floor, a.targets.upper[cows])
    unknown = ~np.isfinite(low)
    low = np.where(unknown, rules.spring_calving - rules.band, low)
    return low.tolist(), np.where(unknown, rules.spring_calving + rules.band, high).tolist()


def _ways(a: Assessment, cows: Places) -> tuple[list[tuple[float, ...]], list[tuple[float, ...]]]:
    """The way from today to calving by the model's curve, with a corner where an assumed diet begins."""
    course, low, high = a.course, a.segments.low[cows], a.segments.high[cows]
    d = np.where(np.isfinite(course.mean) & (a.dates.day > 0), a.dates.day, np.nan)[cows]
    corner = np.where(a.segments.assumed[cows] & (low > 0) & (low < d[:, None]), low, np.nan)
    stops = np.column_stack([np.where(np.isfinite(d), 0.0, np.nan), np.sort(corner, axis=1), d])
    score = np.full(stops.shape, np.nan)
    fading = np.exp(np.nan_to_num(stops) / -a.rulebook.model.wander_memory_days)
    level, wander, rate = course.curve_level[cows], course.curve_wander[cows], course.curve_rate[cows]
    for k in range(stops.shape[1]):
        at = stops[:, k]
        if np.isfinite(at).any():
            spent = days_in_segments(at[:, None], low, high)
            score[:, k] = level + wander * fading[:, k] + (spent * rate).sum(1)
    known = np.isfinite(score)
    # Corners are few: most cows have the two ends alone.
    days = [tuple(s[k].tolist()) for s, k in zip(stops, known, strict=True)]
    return days, [tuple(s[k].tolist()) for s, k in zip(score, known, strict=True)]
