"""How last season's projections held: every calving of it projected again from what had been scored eight weeks before.

A felt score is itself rough, so the band is widened by that before it is asked whether it held.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment, assess
from herdscore.domain.calendar import days_from
from herdscore.domain.calving_season import season_name, season_year, still_to_calve
from herdscore.domain.chance import half_width
from herdscore.domain.herd import Snapshot
from herdscore.domain.rates import Rate, rate
from herdscore.domain.records import BY_HAND, GONE, IN_HERD, NOT_IN_CALF
from herdscore.domain.rulebook import ModelParameters
from herdscore.domain.scale import mean_of_sites
from herdscore.domain.scored import scorer_key
from herdscore.domain.season_outcomes import Outcomes, nearest_row
from herdscore.domain.trajectory import path

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class LookedBack:
    """One row a calving that can be looked back on; days from today, scores in units.

    `as_of` is the day she was projected from, `felt` the score nearest her calving, on day `felt_day`; `mean` and `sd`
    are what the model said of that day, `rough` the spread of one felt score, `last` her last score on day `as_of`.
    """

    cow: Places
    calved: Numbers
    as_of: Numbers
    felt_day: Numbers
    felt: Numbers
    mean: Numbers
    sd: Numbers
    rough: Numbers
    last: Numbers


@dataclass(frozen=True, slots=True)
class Held:
    """How the projections of one season of a block held.

    `calvings` were recorded; `unscored_before` of them had no score on the day they are projected from, and
    `unscored_at` none felt about calving. `inside` and `inside_bare` count felt scores within the interval widened by
    the roughness of a score, and within the interval itself. Misses are of the felt score from the line: their mean
    size, their mean with its sign (above 0: cows calved fatter than projected), and the size for a last score
    carried on; NaN of none. `ahead` is the mean number of days projected.
    """

    block: int
    year: int
    calvings: int
    unscored_before: int
    unscored_at: int
    inside: Rate
    inside_bare: Rate
    miss: float
    lean: float
    miss_of_last: float
    ahead: float
    rows: LookedBack

    @property
    def name(self) -> str:
        """What the season is called: spring 2026."""
        return season_name(self.block, self.year)


def last_season(assessment: Assessment, outcomes: Outcomes, block: int) -> int | None:
    """The newest season of a block of which at least half the calvings are recorded; None without one."""
    a = assessment
    ahead = a.dates.day[still_to_calve(a) & (a.block == block)]
    due = [season_year(block, a.today + timedelta(days=int(day))) for day in ahead.tolist()]
    years = outcomes.year[outcomes.block == block].tolist()
    whole = [year for year in set(years) if years.count(year) >= due.count(year)]
    return max(whole, default=None)


def look_back(assessment: Assessment, outcomes: Outcomes, block: int) -> Held | None:
    """How the projections of a block's last season held, None when no season of it is recorded.

    Scores count up to the day she is projected from; feeding counts as it is recorded now, so that a change of feed
    made on purpose is not taken for a miss.
    """
    a = assessment
    year = last_season(a, outcomes, block)
    if year is None:
        return None
    mine = (outcomes.block == block) & (outcomes.year == year)
    cow, calved = outcomes.cow[mine], outcomes.day[mine]
    rules = a.rulebook.learning
    row = nearest_row(a.snapshot, a.today, cow, calved, rules.before_calving_days, rules.after_calving_days)
    felt_at = np.isfinite(row)
    rows = _projected(a, cow[felt_at], calved[felt_at], row[felt_at].astype(np.intp))
    scored = np.isfinite(rows.mean)
    kept = LookedBack(**{name: getattr(rows, name)[scored] for name in LookedBack.__dataclass_fields__})
    return _held(a, block, year, len(cow), int((~felt_at).sum()), int((~scored).sum()), kept)


def known_on(snapshot: Snapshot, day: np.datetime64) -> Snapshot:
    """The herd with its cows as they were on a day: those gone since still there, calvings since still ahead.

    What is dated after the day, scores, services and calvings, is left out when the herd is assessed as of it.
    """
    cows, table = snapshot.cows, snapshot.calvings
    later = np.flatnonzero(table.day > day)
    following = np.full(len(cows), np.datetime64("NaT", "D"))
    following[table.cow[later[::-1]]] = table.day[later[::-1]]
    has = ~np.isnat(following)
    fresh = np.ones(len(later), dtype=bool)
    fresh[1:] = (table.cow[later][1:] != table.cow[later][:-1]) | (table.day[later][1:] != table.day[later][:-1])
    since = np.bincount(table.cow[later[fresh]], minlength=len(cows))
    seen = np.zeros(len(cows), dtype=bool)
    seen[snapshot.scores.cow[snapshot.scores.day > day]] = True
    there = (has | seen) & np.isin(cows.status, (*GONE, NOT_IN_CALF))
    status, source = cows.status.copy(), cows.date_from.copy()
    status[there], source[has] = IN_HERD, BY_HAND
    as_then = replace(
        cows,
        status=status,
        date_from=source,
        calving_date=np.where(has, following, cows.calving_date),
        calvings=np.maximum(cows.calvings - since, 0.0),
        twins=np.full(len(cows), np.nan),
    )
    return replace(snapshot, cows=as_then)


def _projected(a: Assessment, cow: Places, calved: Numbers, row: Places) -> LookedBack:
    """What the model said of each score, as of a day some eight to eleven weeks before the calving."""
    scores, n = a.snapshot.scores, len(cow)
    felt, sites = mean_of_sites(scores.loin[row], scores.ribs[row], scores.tailhead[row], scores.score[row])
    felt_day = days_from(a.today, scores.day[row])
    as_of, mean, sd, last = (np.full(n, np.nan) for _ in range(4))
    for day, these in _looks(a, calved):
        as_of[these] = day
        when = a.today + timedelta(days=day)
        then = assess(known_on(a.snapshot, np.datetime64(when, "D")), a.rulebook, when)
        known = these[then.course.n_scores[cow[these]] > 0]
        if not len(known):
            continue
        days, at = np.unique(np.minimum(felt_day, calved)[known] - day, return_inverse=True)
        means, sds = path(then.scores, a.rulebook.model, then.course, cow[known], days)
        place = np.arange(len(known)), at
        mean[known], sd[known] = means[place], sds[place]
        last[known] = then.sessions.last[cow[known]]
    rough = _roughness(a, row, sites)
    return LookedBack(cow, calved, as_of, felt_day, felt, mean, sd, rough, last)


def _looks(a: Assessment, calved: Numbers) -> Iterator[tuple[int, Places]]:
    """As few days as will do on which to look, and the calvings each is good for: within the days of the rules."""
    rules = a.rulebook.year
    order = np.argsort(calved, kind="stable")
    days, at = calved[order], 0
    while at < len(order):
        as_of = days[at] - rules.last_look_days
        end = int(np.searchsorted(days, as_of + rules.first_look_days, side="right"))
        yield int(as_of), order[at:end]
        at = end


def _roughness(a: Assessment, row: Places, sites: Numbers) -> Numbers:
    """Spread of one felt score about the cow's condition: the score's own, its grain, its day's and its scorer's."""
    model: ModelParameters = a.rulebook.model
    scores = a.snapshot.scores
    own = np.where(sites == 1, model.one_site_sd, model.score_sd)
    own = np.where(scores.by_eye[row] == 1, model.by_eye_sd, own)
    grain = model.default_grain / np.sqrt(np.maximum(sites, 1))
    reference = scorer_key(a.sessions.scorers[0])
    other = np.array([scorer_key(name) not in ("", reference) for name in scores.scorer[row].tolist()], dtype=bool)
    variance = own**2 + grain**2 / 12 + model.day_bias_sd**2 + np.where(other, model.scorer_bias_sd**2, 0.0)
    return np.sqrt(variance)


def _held(
    a: Assessment, block: int, year: int, calvings: int, unscored_at: int, unscored_before: int, rows: LookedBack
) -> Held:
    model = a.rulebook.model
    off = rows.felt - rows.mean
    reach = half_width(model.level)
    inside = (np.abs(off) <= reach * np.hypot(rows.sd, rows.rough)).astype(np.float64)
    bare = (np.abs(off) <= reach * rows.sd).astype(np.float64)

    def mean(values: Numbers) -> float:
        return float(values.mean()) if len(values) else math.nan

    return Held(
        block=block,
        year=year,
        calvings=calvings,
        unscored_before=unscored_before,
        unscored_at=unscored_at,
        inside=rate(inside, a.rulebook.learning.level),
        inside_bare=rate(bare, a.rulebook.learning.level),
        miss=mean(np.abs(off)),
        lean=mean(off),
        miss_of_last=mean(np.abs(rows.felt - rows.last)),
        ahead=mean(rows.felt_day - rows.as_of),
        rows=rows,
    )
