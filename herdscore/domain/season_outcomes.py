"""Every calving of the past with what came of it: condition at calving and mating, help, loss, in calf again, when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.calendar import (
    AUTUMN_BLOCK,
    BLOCK_NAMES,
    SPRING_BLOCK,
    Blocks,
    HerdCalendar,
    block_of_days,
    days_from,
)
from herdscore.domain.calf_words import BULL_CALF, HEIFER_CALF, calf_sex, lay_wrong
from herdscore.domain.calving_forms import LearningRules
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    AI,
    BULL_IN,
    BULL_RUN,
    EMPTY,
    HAND_CHECK,
    IN_CALF,
    NOT_IN_CALF,
    SCAN,
    SERVICE,
    TWINS,
)
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.scale import mean_of_sites

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

SEX_UNKNOWN, SEX_BULL, SEX_HEIFER, SEX_TWINS = range(4)
SEX_NAMES = ("sex not entered", "bull calves", "heifer calves", "twins")
_YOUNG_DAYS = 1000
_WEEK = 7
_FOREVER = 1e6
"""More days than a herd is recorded over: keeps the days of one cow apart from those of the next."""


@dataclass(frozen=True, eq=False)
class Outcomes:
    """One value a calving (a cow on a day), by cow and day; days from today. Zeros and ones, NaN not known.

    `parity` counts her calvings with this one; `early`: her next calving fell in the first weeks of its season, in
    week `next_week` of it, from 1; `first_weeks`: so did this one.
    """

    cow: Places
    day: Numbers
    block: Blocks
    year: Places
    parity: Numbers
    sex: Places
    at_calving: Numbers
    at_mating: Numbers
    helped: Numbers
    hard: Numbers
    lost: Numbers
    in_calf: Numbers
    early: Numbers
    next_week: Numbers
    first_weeks: Numbers
    weight: Numbers

    def __len__(self) -> int:
        return len(self.cow)

    @property
    def first_calf(self) -> Flags:
        """Whether it was her first calf."""
        return np.asarray(self.parity == 1, dtype=bool)

    @property
    def strata(self) -> Places:
        """Number of the stratum: first calf or not, by sex of the calf or twins."""
        return (self.first_calf * len(SEX_NAMES) + self.sex).astype(np.intp)


def outcomes_of(snapshot: Snapshot, rulebook: Rulebook, today: date) -> Outcomes:
    """Every recorded calving up to today with what came of it up to today."""
    rules, table = rulebook.learning, snapshot.calvings
    calf_day = days_from(today, table.day)
    rows = np.flatnonzero(calf_day <= 0)
    fresh = np.ones(len(rows), dtype=bool)
    fresh[1:] = (table.cow[rows][1:] != table.cow[rows][:-1]) | (calf_day[rows][1:] != calf_day[rows][:-1])
    of_calving = np.cumsum(fresh) - 1
    cow, day = table.cow[rows][fresh], calf_day[rows][fresh]
    n = len(cow)
    block = block_of_days(today, day, rulebook.dates)
    year = _season_years(block, day, today)
    following = _following(cow, day, rules.next_within_days)
    mated = _mating_days(snapshot, today, rules, cow, day, block)
    premature = _any(table.premature[rows] == 1, of_calving, n)
    week = _week_of_season(block, year, day, premature)
    calved_again = np.isfinite(following)
    next_week = np.where(calved_again, week[np.nan_to_num(following).astype(np.intp)], np.nan)
    helped, hard = _helped(snapshot, rows, of_calving, n)
    lost = np.where(_any(table.calf_alive[rows] == 0, of_calving, n), 1.0, 0.0)
    told = ~_any(~np.isfinite(table.calf_alive[rows]), of_calving, n)
    return Outcomes(
        cow=cow,
        day=day,
        block=block,
        year=year,
        parity=_parity(snapshot, today, cow, day),
        sex=_sexes(snapshot, rows, of_calving, n),
        at_calving=nearest_score(
            snapshot, today, cow, day, np.zeros(n), rules.before_calving_days, rules.after_calving_days
        ),
        at_mating=nearest_score(
            snapshot, today, cow, day, mated - day, rules.about_mating_days, rules.about_mating_days
        ),
        helped=helped,
        hard=hard,
        lost=np.where(told | (lost == 1), lost, np.nan),
        in_calf=_in_calf(snapshot, today, cow, day, mated, calved_again),
        early=np.where(calved_again, next_week <= rules.first_weeks, np.nan),
        next_week=next_week,
        first_weeks=(week <= rules.first_weeks).astype(np.float64),
        weight=_mean_weight(table.calf_weight[rows], of_calving, n),
    )


def _any(flags: Flags, of_calving: Places, n: int) -> Flags:
    """Whether any calf of each calving is flagged."""
    return np.asarray(np.bincount(of_calving[flags], minlength=n) > 0, dtype=bool)


def _season_years(block: Blocks, day: Numbers, today: date) -> Places:
    when = np.datetime64(today, "D") + day.astype("timedelta64[D]")
    months = when.astype("datetime64[M]").astype(np.int64)
    year, month = 1970 + months // 12, months % 12 + 1
    return np.asarray(year + ((block == SPRING_BLOCK) & (month == 12)), dtype=np.intp)


def _following(cow: Places, day: Numbers, within: float) -> Numbers:
    """Place of each cow's next calving if it came within so many days, NaN without one."""
    following = np.full(len(cow), np.nan)
    same = np.flatnonzero((cow[1:] == cow[:-1]) & (day[1:] - day[:-1] <= within))
    following[same] = same + 1
    return following


def _week_of_season(block: Blocks, year: Places, day: Numbers, premature: Flags) -> Numbers:
    """Week of each calving from the first one of its season born in time, from 1."""
    season = year * len(BLOCK_NAMES) + block
    _, at = np.unique(season, return_inverse=True)
    start = np.full(int(at.max(initial=-1)) + 1, np.inf)
    np.minimum.at(start, at[~premature], day[~premature])
    begun = np.where(np.isfinite(start[at]), start[at], day)
    return np.maximum(np.floor((day - begun) / _WEEK), 0.0) + 1


def _parity(snapshot: Snapshot, today: date, cow: Places, day: Numbers) -> Numbers:
    """Number of each calving among hers: from the count in the register, else 1 for a young mother, else NaN."""
    n = len(snapshot.cows)
    recorded = np.bincount(cow, minlength=n)
    place = np.arange(len(cow)) - np.searchsorted(cow, cow)
    count = np.fmax(snapshot.cows.calvings, np.where(np.isfinite(snapshot.cows.calvings), recorded, np.nan))
    known = count[cow] - recorded[cow] + place + 1
    age = day - days_from(today, snapshot.cows.born)[cow]
    by_age = np.where(age <= _YOUNG_DAYS, 1.0, np.where(np.isfinite(age), 2.0 + place, np.nan))
    return np.where(np.isfinite(known), known, by_age)


def _sexes(snapshot: Snapshot, rows: Places, of_calving: Places, n: int) -> Places:
    words = {text: calf_sex(text) for text in set(snapshot.calvings.calf_sex)}
    code = {BULL_CALF: SEX_BULL, HEIFER_CALF: SEX_HEIFER}
    sex = np.zeros(n, dtype=np.intp)
    sex[of_calving] = [code.get(words[text] or "", SEX_UNKNOWN) for text in snapshot.calvings.calf_sex[rows]]
    sex[np.bincount(of_calving, minlength=n) > 1] = SEX_TWINS
    return sex


def _helped(snapshot: Snapshot, rows: Places, of_calving: Places, n: int) -> tuple[Numbers, Numbers]:
    """Helped at all, and hard, by the worst ease of the calving; unseen and malpresented ones are not known."""
    table = snapshot.calvings
    worst = np.full(n, np.nan)
    ease = table.ease[rows]
    seen = np.isfinite(ease)
    worst[of_calving[seen]] = -np.inf
    np.maximum.at(worst, of_calving[seen], ease[seen])
    wrong = {text: lay_wrong(text) for text in set(table.presentation)}
    turned = np.array([wrong[text] for text in table.presentation[rows]], dtype=bool)
    counts = np.isfinite(worst) & ~_any(turned, of_calving, n)
    return np.where(counts, worst >= 2, np.nan), np.where(counts, worst >= 3, np.nan)


def _mean_weight(weights: Numbers, of_calving: Places, n: int) -> Numbers:
    known = np.isfinite(weights)
    total = np.bincount(of_calving[known], weights=weights[known], minlength=n)
    count = np.bincount(of_calving[known], minlength=n)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def nearest_score(
    snapshot: Snapshot, today: date, cow: Places, day: Numbers, shift: Numbers, before: float, after: float
) -> Numbers:
    """Score felt nearest to a day `shift` after each calving, within so many days before and after it; NaN none."""
    scores = snapshot.scores
    felt, _ = mean_of_sites(scores.loin, scores.ribs, scores.tailhead, scores.score)
    row = nearest_row(snapshot, today, cow, day + shift, before, after)
    known = np.isfinite(row)
    found = np.full(len(cow), np.nan)
    found[known] = felt[row[known].astype(np.intp)]
    return found


def nearest_row(snapshot: Snapshot, today: date, cow: Places, day: Numbers, before: float, after: float) -> Numbers:
    """Row of the score felt nearest to a day, within so many days before and after it, NaN without one; one a cow."""
    scores = snapshot.scores
    felt, _ = mean_of_sites(scores.loin, scores.ribs, scores.tailhead, scores.score)
    when = days_from(today, scores.day)
    low = np.searchsorted(scores.cow, cow, side="left")
    count = np.searchsorted(scores.cow, cow, side="right") - low
    at = np.repeat(np.arange(len(cow)), count)
    row = np.repeat(low, count) + np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    gap = when[row] - day[at]
    usable = np.flatnonzero((gap >= -before) & (gap <= after) & np.isfinite(felt[row]) & (when[row] <= 0))
    usable = usable[np.argsort(-np.abs(gap[usable]), kind="stable")]
    found = np.full(len(cow), np.nan)
    found[at[usable]] = row[usable]
    return found


def _calving_before(cow: Places, day: Numbers, of_cow: Places, when: Numbers) -> Places:
    """Place of the last calving of each cow in `of_cow` before a day, -1 without one; calvings by cow and day."""
    at = np.searchsorted(cow * _FOREVER + day, of_cow * _FOREVER + when, side="left") - 1
    return np.where((at >= 0) & (cow[at] == of_cow), at, -1) if len(cow) else np.full(len(of_cow), -1)


def _mating_days(
    snapshot: Snapshot, today: date, rules: LearningRules, cow: Places, day: Numbers, block: Blocks
) -> Numbers:
    """First day of mating after each calving: her first service or bull run, else her block's bull in; NaN unknown."""
    table = snapshot.services
    when = days_from(today, table.day)
    mating = (table.kind == AI) | (table.kind == SERVICE) | (table.kind == BULL_RUN)
    rows = np.flatnonzero(mating & (when <= 0))
    at = _calving_before(cow, day, table.cow[rows], when[rows])
    soon = (at >= 0) & (when[rows] - day[at] <= rules.mate_within_days)
    mated = np.full(len(cow), np.inf)
    np.minimum.at(mated, at[soon], when[rows][soon])
    mated = np.where(np.isfinite(mated), mated, np.nan)
    calendar = HerdCalendar(snapshot, today)
    for code in (AUTUMN_BLOCK, SPRING_BLOCK):
        bull = calendar.days(code, BULL_IN)
        bull = bull[bull <= 0]
        place = np.searchsorted(bull, day, side="right")
        goes_in = np.append(bull, np.nan)[place]
        mine = np.isnan(mated) & (block == code) & (goes_in - day <= rules.mate_within_days)
        mated[mine] = goes_in[mine]
    return mated


def _in_calf(
    snapshot: Snapshot, today: date, cow: Places, day: Numbers, mated: Numbers, calved_again: Flags
) -> Numbers:
    """Whether each cow was in calf again after her mating: she calved, or her last check says so; NaN not known."""
    table = snapshot.services
    when = days_from(today, table.day)
    check = (table.kind == SCAN) | (table.kind == HAND_CHECK)
    says = np.select([(table.result == IN_CALF) | (table.result == TWINS), table.result == EMPTY], [1.0, 0.0], np.nan)
    rows = np.flatnonzero(check & np.isfinite(says) & (when <= 0))
    at = _calving_before(cow, day, table.cow[rows], when[rows])
    after = (at >= 0) & (when[rows] > mated[at])
    found = np.full(len(cow), np.nan)
    # Rows stand in order of day: the last check stays.
    found[at[after]] = says[rows][after]
    marked = snapshot.cows.status[cow] == NOT_IN_CALF
    is_last = np.ones(len(cow), dtype=bool)
    is_last[:-1] = cow[1:] != cow[:-1]
    found = np.where(np.isnan(found) & marked & is_last, 0.0, found)
    return np.where(np.isfinite(mated), np.where(calved_again, 1.0, found), np.nan)
