"""The one call others make: what the herd is heading for on a day, and every cow's verdict."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from herdscore.domain import diets, targets
from herdscore.domain.agreement import with_own_spreads
from herdscore.domain.calendar import (
    AUTUMN_BLOCK,
    NO_BLOCK,
    SPRING_BLOCK,
    Blocks,
    HerdCalendar,
    block_codes,
    block_of_days,
)
from herdscore.domain.calving_dates import CalvingDates, calving_dates
from herdscore.domain.diets import Groups, RunningChanges, Segments
from herdscore.domain.herd import Snapshot
from herdscore.domain.herd_scores import HerdScores
from herdscore.domain.reach import CowFacts, Reach, reach
from herdscore.domain.records import BULL_IN, BULL_OUT, GONE, NOT_IN_CALF
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.sessions import Sessions, sessions_of, unconfirmed
from herdscore.domain.targets import CowTargets
from herdscore.domain.trajectory import Trajectories, path, project
from herdscore.domain.verdict import Codes, VerdictFacts, score_by_days, verdicts

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Assessment:
    """Everything known of a herd on one day; arrays hold one value a cow, days count from `today`.

    `score_by` is the day by which a cow gaining well, or close to a side, is scored again.
    """

    snapshot: Snapshot
    rulebook: Rulebook
    today: date
    sessions: Sessions
    dates: CalvingDates
    block: Blocks
    block_near: Flags
    groups: Groups
    segments: Segments
    running: RunningChanges
    targets: CowTargets
    scores: HerdScores
    course: Trajectories
    reach: Reach
    facts: VerdictFacts
    verdict: Codes
    score_by: Numbers

    def __len__(self) -> int:
        return len(self.snapshot.cows)

    def day(self, ahead: float) -> date | None:
        """The date so many days from today, None for NaN."""
        return self.today + timedelta(days=int(ahead)) if ahead == ahead else None


def assess(snapshot: Snapshot, rulebook: Rulebook, today: date) -> Assessment:
    """Assess a herd: dates, diets, course, reach and one verdict a cow. The rules are those of its own settings."""
    model = rulebook.model
    cows = snapshot.cows
    gone = np.isin(cows.status, GONE)
    sessions = sessions_of(snapshot, model, today, rulebook.reference_scorer)
    if rulebook.crush.uses_own_spread:
        sessions = with_own_spreads(sessions, snapshot, model, rulebook.crush)
    dates = calving_dates(snapshot, rulebook, today, sessions)
    own = block_codes(cows.season)
    by_date = block_of_days(today, dates.day, rulebook.dates)
    by_calving = block_of_days(today, dates.last_calving, rulebook.dates)
    block = np.where(own, own, np.where(by_date, by_date, by_calving)).astype(np.int8)
    early, late = (block_of_days(today, dates.day + side * dates.spread, rulebook.dates) for side in (-1, 1))

    groups = diets.groups_of(snapshot, today)
    calved = _calved_day(dates)
    segments = diets.segments_of(snapshot, groups, block, calved, model, today)
    running = diets.running_changes(snapshot, groups, today)
    aims = targets.targets_of(block, dates.first_calver, rulebook.targets)
    scores = _model_input(snapshot, rulebook, sessions, dates, groups, segments, aims, gone)
    course = project(scores, model)
    cow_facts = CowFacts(
        last_score=sessions.last,
        first_calver=dates.first_calver,
        twins=dates.twins,
        vet_plan=cows.vet_plan == 1,
        acted=running.side.astype(np.int64),
    )
    rules = rulebook.verdicts
    reached = reach(
        course,
        scores,
        cow_facts,
        model,
        rulebook.limits,
        flag_above=rules.flag_chance,
        keep_above=rules.keep_chance,
    )
    facts = _facts(snapshot, rulebook, today, sessions, dates, block, running, aims, scores, course, reached, gone)
    codes = verdicts(facts, rulebook.limits, rules, rulebook.targets.fall_since_calving)
    return Assessment(
        snapshot=snapshot,
        rulebook=rulebook,
        today=today,
        sessions=sessions,
        dates=dates,
        block=block,
        block_near=(own == NO_BLOCK) & (early != late),
        groups=groups,
        segments=segments,
        running=running,
        targets=aims,
        scores=scores,
        course=course,
        reach=reached,
        facts=facts,
        verdict=codes,
        score_by=score_by_days(codes, facts, rules),
    )


def _calved_day(dates: CalvingDates) -> Numbers:
    """Last calving, recorded or a year before the projected one; NaN for a heifer and where nothing tells."""
    reckoned = np.where(dates.first_calver, np.nan, dates.day - 365)
    calved = np.where(np.isfinite(dates.last_calving), dates.last_calving, reckoned)
    return np.where(calved <= 0, calved, np.nan)


def _model_input(
    snapshot: Snapshot,
    rulebook: Rulebook,
    sessions: Sessions,
    dates: CalvingDates,
    groups: Groups,
    segments: Segments,
    aims: CowTargets,
    gone: Flags,
) -> HerdScores:
    """The herd as the model wants it; gone cows' scores are left out."""
    undated = np.isnan(dates.day) & np.isnan(dates.last_calving) & ~dates.first_calver
    oldest = np.where(undated, -rulebook.model.undated_age_days, -rulebook.model.max_age_days)
    used = ~gone[sessions.cow] & (sessions.day >= oldest[sessions.cow])
    rule = rulebook.notes["big_jump"]
    notes = snapshot.scores.note[sessions.row]
    # One wrong tag must not move the herd: a sudden jump is not fitted until it is borne out.
    used &= ~unconfirmed(sessions, notes, jump=rule.value, within_days=rule.within_days)
    return HerdScores(
        group=groups.now,
        score_cow=sessions.cow[used],
        score_day=sessions.day[used],
        score=sessions.value[used],
        score_session=sessions.session[used],
        seg_lo=segments.low,
        seg_hi=segments.high,
        seg_rate=segments.rate,
        rate_class=segments.rate_class,
        rate_mean=segments.rate_mean,
        calving_day=dates.day,
        calving_sd=dates.spread,
        target=aims.target,
        calved=np.zeros(len(snapshot.cows), dtype=bool),
        band=rulebook.targets.band,
        upper=aims.upper,
        class_mean=segments.class_mean,
        class_sd=segments.class_sd,
        session_scorer=sessions.session_scorer,
        score_grain=sessions.grain[used],
        score_noise_sd=sessions.noise_sd[used],
        groups=len(groups.names),
    )


def _facts(
    snapshot: Snapshot,
    rulebook: Rulebook,
    today: date,
    sessions: Sessions,
    dates: CalvingDates,
    block: Blocks,
    running: RunningChanges,
    aims: CowTargets,
    scores: HerdScores,
    course: Trajectories,
    reached: Reach,
    gone: Flags,
) -> VerdictFacts:
    scored = course.n_scores > 0
    now = np.where(scored, course.today_mean, np.nan)
    in_milk = -dates.last_calving <= rulebook.verdicts.in_milk_days
    bull_in, bull_out = _bull_days(snapshot, rulebook, today, dates, block, in_milk)
    return VerdictFacts(
        gone=gone,
        not_in_calf=np.isfinite(dates.not_in_calf_since) | (snapshot.cows.status == NOT_IN_CALF),
        score_now=now,
        last=sessions.last,
        last_day=sessions.last_day,
        calved_day=dates.last_calving,
        fall=_fall(rulebook, dates, scores, course, in_milk & scored),
        mating_floor=aims.mating_floor,
        bull_in=bull_in,
        bull_out=bull_out,
        calving_day=dates.day,
        spread=dates.spread,
        target=aims.target,
        side=np.where(gone, np.nan, reached.side),
        chance_thin=course.p_below,
        chance_fat=course.p_above,
        acted=running.side,
        begun=running.begun,
        latest=reached.latest,
        act_by=reached.act_by,
    )


def _fall(rulebook: Rulebook, dates: CalvingDates, scores: HerdScores, course: Trajectories, wanted: Flags) -> Numbers:
    """Condition lost since calving by the model's curve, NaN for cows not in milk."""
    fall = np.full(len(wanted), np.nan)
    cows = np.flatnonzero(wanted)
    if len(cows):
        days, at = np.unique(dates.last_calving[cows], return_inverse=True)
        mean, _ = path(scores, rulebook.model, course, cows, days)
        fall[cows] = mean[np.arange(len(cows)), at] - (course.curve_level + course.curve_wander)[cows]
    return fall


def _bull_days(
    snapshot: Snapshot, rulebook: Rulebook, today: date, dates: CalvingDates, block: Blocks, in_milk: Flags
) -> tuple[Numbers, Numbers]:
    """Days the bull goes in and comes out for cows in milk: the block's calendar, else her bull run, else reckoned."""
    n = len(block)
    bull_in, bull_out = np.full(n, np.nan), np.full(n, np.nan)
    if not in_milk.any():
        return bull_in, bull_out
    rules = rulebook.verdicts
    calendar = HerdCalendar(snapshot, today)
    for code in (AUTUMN_BLOCK, SPRING_BLOCK):
        goes_in, comes_out = calendar.days(code, BULL_IN), calendar.days(code, BULL_OUT)
        if len(goes_in):
            mine = np.flatnonzero(in_milk & (block == code))
            bull_in[mine] = _first_after(goes_in, dates.last_calving[mine])
            bull_out[mine] = _first_after(comes_out, bull_in[mine])
    run = np.isnan(bull_in) & in_milk & np.isfinite(dates.bull_row)
    rows = dates.bull_row[run].astype(np.intp)
    start = np.datetime64(today, "D")
    bull_in[run] = (snapshot.services.day[rows] - start).astype(np.float64)
    until = snapshot.services.until[rows]
    bull_out[run] = np.where(np.isnat(until), np.nan, (until - start).astype(np.float64))
    reckoned = np.isnan(bull_in) & in_milk
    bull_out = np.where(np.isnan(bull_out), bull_in + rulebook.dates.bull_run_days, bull_out)
    bull_in[reckoned] = dates.last_calving[reckoned] + rules.default_bull_in_days
    # Nothing says when the bull is: she counts from calving on, until a service is recorded.
    bull_out[reckoned] = np.where(np.isfinite(dates.last_service[reckoned]), -np.inf, np.inf)
    return bull_in, bull_out


def _first_after(days: Numbers, after: Numbers) -> Numbers:
    """First of the sorted days later than each of `after`, NaN without one."""
    place = np.searchsorted(days, np.where(np.isnan(after), np.inf, after), side="right")
    return np.append(days, np.nan)[place]
