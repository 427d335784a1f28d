"""What a round came to: how many, each group against last time, who to act on, and days that look low or high."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import days_from
from herdscore.domain.herd import Snapshot
from herdscore.domain.listing import ACT
from herdscore.domain.records import Round
from herdscore.domain.rounds import Progress, progress
from herdscore.domain.scale import mean_of_sites
from herdscore.domain.verdict import Verdict

Flags = npt.NDArray[np.bool_]
Numbers = npt.NDArray[np.float64]
_LONG_AGO, _FAR = -1e6, 1e6


@dataclass(frozen=True, slots=True)
class GroupSummary:
    """One group: mean and spread now; of the cows scored before the round too, their means then and the change.

    Scores in units; NaN where there are too few.
    """

    group: str | None
    cows: int
    mean: float
    spread: float
    again: int
    mean_before: float
    spread_before: float
    change: float


@dataclass(frozen=True, slots=True)
class DayOff:
    """A day on which everybody looks lower or higher than the model expects of these cows, score units."""

    day: date
    scorer: str | None
    cows: int
    bias: float
    usual: float

    @property
    def is_low(self) -> bool:
        """Whether the day looks low, not high."""
        return self.bias < 0


@dataclass(frozen=True, slots=True)
class RoundSummary:
    """The whole of it; `herd` is all groups together, `to_act` places of cows in the herd."""

    round: Round
    progress: Progress
    days: tuple[date, ...]
    herd: GroupSummary
    groups: tuple[GroupSummary, ...]
    to_act: tuple[int, ...]
    days_off: tuple[DayOff, ...]


def summary(assessment: Assessment, round_: Round) -> RoundSummary:
    """A round as the herd stands in this assessment."""
    a = assessment
    done = progress(a.snapshot, round_)
    first, last = _span(a, round_)
    now, days = _last_scores(a.snapshot, a.today, first, last)
    before, _ = _last_scores(a.snapshot, a.today, _LONG_AGO, first - 1)
    seen = np.isfinite(now)
    codes = a.groups.now
    groups = sorted({int(code) for code in codes[seen]})  # names are in alphabetical order, none last
    acts = np.array([a.rulebook.words[verdict.key].list == ACT for verdict in Verdict])
    return RoundSummary(
        round=round_,
        progress=done,
        days=tuple(a.today + timedelta(days=int(day)) for day in days),
        herd=_group(None, now[seen], before[seen]),
        groups=tuple(
            _group(a.groups.names[code], now[seen & (codes == code)], before[seen & (codes == code)]) for code in groups
        ),
        to_act=tuple(np.flatnonzero(seen & acts[a.verdict]).tolist()),
        days_off=_days_off(a, first, last),
    )


def _span(a: Assessment, round_: Round) -> tuple[float, float]:
    """First and last day of a round as days from today; an open one has no last day."""
    first = float((round_.opened - a.today).days)
    return first, _FAR if round_.closed is None else float((round_.closed - a.today).days)


def _last_scores(snapshot: Snapshot, today: date, first: float, last: float) -> tuple[Numbers, Numbers]:
    """Each cow's score on her last day scored within a span (mean of the scorers, NaN without), and the days scored."""
    scores, n = snapshot.scores, len(snapshot.cows)
    day = days_from(today, scores.day)
    value, _ = mean_of_sites(scores.loin, scores.ribs, scores.tailhead, scores.score)
    row = np.flatnonzero((day >= first) & (day <= last) & np.isfinite(value))
    cow, day, value = scores.cow[row], day[row], value[row]
    last_day = np.full(n, -np.inf)
    np.maximum.at(last_day, cow, day)
    of_last = day == last_day[cow]
    total = np.bincount(cow[of_last], weights=value[of_last], minlength=n)
    count = np.bincount(cow[of_last], minlength=n)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan), np.unique(day)


def _group(name: str | None, now: Numbers, before: Numbers) -> GroupSummary:
    again = np.isfinite(before)
    return GroupSummary(
        group=name,
        cows=len(now),
        mean=_mean(now),
        spread=_spread(now),
        again=int(again.sum()),
        mean_before=_mean(before[again]),
        spread_before=_spread(before[again]),
        change=_mean(now[again] - before[again]),
    )


def _mean(values: Numbers) -> float:
    return float(values.mean()) if len(values) else float("nan")


def _spread(values: Numbers) -> float:
    return float(values.std(ddof=1)) if len(values) > 1 else float("nan")


def _days_off(a: Assessment, first: float, last: float) -> tuple[DayOff, ...]:
    """Sessions of the round whose bias is beyond twice its usual spread; that of a second scorer is wider."""
    sessions, model = a.sessions, a.rulebook.model
    day, scorer, bias = sessions.session_day, sessions.session_scorer, a.course.session_bias
    usual = np.where(scorer > 0, np.hypot(model.day_bias_sd, model.scorer_bias_sd), model.day_bias_sd)
    off = (day >= first) & (day <= last) & (np.abs(bias) > a.rulebook.crush.low_day_spreads * usual)
    cows = np.bincount(sessions.session, minlength=len(day))
    return tuple(
        DayOff(
            day=a.today + timedelta(days=int(day[at])),
            scorer=sessions.scorers[int(scorer[at])],
            cows=int(cows[at]),
            bias=float(bias[at]),
            usual=float(usual[at]),
        )
        for at in np.flatnonzero(off).tolist()
    )
