"""Each cow's projected calving date and its spread from what is known: told, service, bull run, scan.

Days count from today; an unknown date is NaN.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain import gestation
from herdscore.domain.calendar import days_from
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import AI, BULL_RUN, BY_HAND, EMPTY, HAND_CHECK, SCAN, SERVICE, TOLD, TWINS
from herdscore.domain.rule_forms import DateRules
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.sessions import Sessions

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

SOURCES = ("", SERVICE, SCAN, "service and scan", BULL_RUN, TOLD, BY_HAND, HAND_CHECK)
NONE, FROM_SERVICE, FROM_SCAN, FROM_BOTH, FROM_BULL_RUN, FROM_TOLD, FROM_HAND, FROM_HAND_CHECK = range(8)


@dataclass(frozen=True)
class CalvingDates:
    """One value a cow. Rows are positions in the services table, NaN without one.

    `run_days`: days of the bull run in which she can have conceived, NaN unless the date rests on the run alone.
    `window_spread`: what windows and sums go by. A scan that confirms a service does not change how long one cow may
    carry, so it stays the service's own, where `spread` is that of two independent sources; a scan alone counts the
    age, the gestation and the breed's mean.
    """

    day: Numbers
    spread: Numbers
    window_spread: Numbers
    run_days: Numbers
    source: npt.NDArray[np.int8]
    typed: Flags
    last_calving: Numbers
    calvings: Numbers
    first_calver: Flags
    twins: Flags
    not_in_calf_since: Numbers
    service_row: Numbers
    scan_row: Numbers
    bull_row: Numbers
    last_service: Numbers
    served_day: Numbers
    differs_days: Numbers
    bull_after_days: Numbers
    scan_outside_days: Numbers
    repeat: Flags


def calving_dates(snapshot: Snapshot, rulebook: Rulebook, today: date, sessions: Sessions) -> CalvingDates:
    """Projected date of every cow (arrays of one value a cow); facts recorded after today are left out."""
    rules = rulebook.dates
    n = len(snapshot.cows)
    last_calving, calvings = _calvings(snapshot, today)
    first_calver = calvings == 0
    known = _services(snapshot, rulebook, today, last_calving)
    twins = (snapshot.cows.twins == 1) | known.twins
    shift = np.where(first_calver, rules.first_calver_shift, 0.0) + np.where(twins, rules.twins_shift, 0.0)

    served = known.day_of(known.service) + known.gestation_of(known.service)
    spread_served = known.spread_of(known.service)
    run_day, run_spread, run_days = _bull_run(rulebook, known, last_calving, sessions)
    run_day = run_day + known.gestation_of(known.run)

    conceived = known.day_of(known.scan) - known.age_of(known.scan)
    nearest, apart = known.nearest_service(conceived)
    chosen = apart <= rules.agree_days
    scan_length = np.where(chosen, known.gestation_of(nearest), known.gestation_of(known.run))
    scan_length = np.where(np.isfinite(scan_length), scan_length, known.dam_or_general)
    scanned, spread_scanned = conceived + scan_length, _scan_spread(known, rules)
    spread_chosen = known.spread_of(nearest)
    both, spread_both = _combined(known.day_of(nearest) + scan_length, spread_chosen, scanned, spread_scanned)

    has_scan, has_service, has_run = np.isfinite(scanned), np.isfinite(served), np.isfinite(run_day)
    cases = [has_scan & chosen, has_scan, has_service, has_run]
    from_services = np.select(cases, [both, scanned, served, run_day], np.nan) + shift
    spread = np.select(cases, [spread_both, spread_scanned, spread_served, run_spread], np.nan)
    scan_code = np.where(known.by_hand(known.scan), FROM_HAND_CHECK, FROM_SCAN)
    source = np.select(
        cases, [np.full(n, FROM_BOTH), scan_code, np.full(n, FROM_SERVICE), np.full(n, FROM_BULL_RUN)], 0
    )

    typed_day, typed_spread, typed_source = _typed(snapshot, rules, today, last_calving)
    by_hand = typed_source == FROM_HAND
    use_typed = np.isfinite(typed_day) & (by_hand | ~np.isfinite(from_services))
    # A half day rounds up, so that no date is taken later in the day than it may be.
    day = np.floor(np.where(use_typed, typed_day, from_services) + 0.5)
    open_cow = np.isnan(known.empty_since) & (snapshot.cows.status != "not in calf")
    day = np.where(open_cow, day, np.nan)
    dated = np.isfinite(day)
    differs = np.abs(typed_day - from_services)
    run_start = known.day_of(known.run)
    outside = np.maximum(run_start - conceived, conceived - known.run_end)
    spread = np.where(dated, np.where(use_typed, typed_spread, spread), np.nan)
    from_scan = dated & ~use_typed & has_scan
    carried = np.sqrt(rules.spread_gestation_bull_run**2 + rules.spread_breed_mean**2 + rules.spread_foetal_age**2)
    window_spread = np.where(from_scan, np.maximum(spread, np.where(chosen, spread_chosen, carried)), spread)
    return CalvingDates(
        day=day,
        spread=spread,
        window_spread=window_spread,
        run_days=np.where(dated & ~use_typed & (source == FROM_BULL_RUN), run_days, np.nan),
        source=np.where(dated, np.where(use_typed, typed_source, source), NONE).astype(np.int8),
        typed=use_typed & dated,
        last_calving=last_calving,
        calvings=calvings,
        first_calver=first_calver,
        twins=twins,
        not_in_calf_since=known.empty_since,
        service_row=np.where(has_scan & chosen, nearest, np.where(has_scan, np.nan, known.service)),
        scan_row=known.scan,
        bull_row=known.run,
        last_service=known.last_service,
        served_day=np.floor(from_services + 0.5),
        differs_days=np.where(~by_hand & (differs > rules.noted_days), differs, np.nan),
        bull_after_days=np.where(
            has_service & ~has_scan & (run_start > known.day_of(known.service)), run_day - served, np.nan
        ),
        scan_outside_days=np.where(has_scan & ~has_service & (outside > rules.noted_days), outside, np.nan),
        repeat=has_scan & has_service & ~chosen,
    )


def _calvings(snapshot: Snapshot, today: date) -> tuple[Numbers, Numbers]:
    """Days to the last recorded calving (NaN none) and calvings so far (NaN when blank and none recorded)."""
    n = len(snapshot.cows)
    days = days_from(today, snapshot.calvings.day)
    past = days <= 0
    last = np.full(n, np.nan)
    last[snapshot.calvings.cow[past]] = days[past]
    cow, day = snapshot.calvings.cow[past], days[past]
    fresh = np.ones(len(cow), dtype=bool)
    fresh[1:] = (cow[1:] != cow[:-1]) | (day[1:] != day[:-1])
    recorded = np.bincount(cow[fresh], minlength=n).astype(np.float64)
    return last, np.fmax(snapshot.cows.calvings, np.where(recorded > 0, recorded, np.nan))


class _Services:
    """The services and checks that still count, seen cow by cow."""

    def __init__(self, day: Numbers, age: Numbers, length: Numbers, spread: Numbers, hand: Flags) -> None:
        self._day, self._age, self._length, self._spread, self._hand = day, age, length, spread, hand
        self.service: Numbers
        self.scan: Numbers
        self.run: Numbers
        self.run_end: Numbers
        self.empty_since: Numbers
        self.last_service: Numbers
        self.twins: Flags
        self.dam_or_general: Numbers
        self.matings: tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]

    def _at(self, values: Numbers, rows: Numbers) -> Numbers:
        known = np.isfinite(rows)
        at = np.full(len(rows), np.nan)
        at[known] = values[rows[known].astype(np.intp)]
        return at

    def day_of(self, rows: Numbers) -> Numbers:
        return self._at(self._day, rows)

    def age_of(self, rows: Numbers) -> Numbers:
        return self._at(self._age, rows)

    def gestation_of(self, rows: Numbers) -> Numbers:
        return self._at(self._length, rows)

    def spread_of(self, rows: Numbers) -> Numbers:
        return self._at(self._spread, rows)

    def by_hand(self, rows: Numbers) -> Flags:
        return np.equal(self._at(self._hand.astype(np.float64), rows), 1)

    def nearest_service(self, conceived: Numbers) -> tuple[Numbers, Numbers]:
        """Row of the mating nearest a day of conception and the days between them (inf without one)."""
        rows, cows = self.matings
        apart = np.abs(self._day[rows] - conceived[cows])
        best, nearest = np.full(len(conceived), np.inf), np.full(len(conceived), np.nan)
        usable = np.isfinite(apart)
        np.minimum.at(best, cows[usable], apart[usable])
        winner = usable & (apart == best[cows])
        nearest[cows[winner]] = rows[winner]
        return nearest, best


def _services(snapshot: Snapshot, rulebook: Rulebook, today: date, last_calving: Numbers) -> _Services:
    rules, table, n = rulebook.dates, snapshot.services, len(snapshot.cows)
    day = days_from(today, table.day)
    dam = gestation.by_breed(snapshot.cows.breed, rulebook)
    sire = gestation.by_breed(table.sire_breed, rulebook)
    length = gestation.of_mating(sire, dam[table.cow], rules)
    spread = np.where(np.isfinite(sire), rules.spread_service, rules.spread_service_breed_unknown)
    own = gestation.bull_calvings(snapshot, day, days_from(today, snapshot.calvings.day), length, rules)
    if own:
        count = np.array([own.get(name, (0, 0.0))[0] for name in table.sire], dtype=np.float64)
        over = np.array([own.get(name, (0, 0.0))[1] for name in table.sire])
        length = length + gestation.own_weight(count, rules) * over
        spread = np.where(count >= rules.learned_calvings, rules.spread_bull_learned, spread)

    mating = (table.kind == AI) | (table.kind == SERVICE)
    run = table.kind == BULL_RUN
    check = (table.kind == SCAN) | (table.kind == HAND_CHECK)
    calved = np.where(np.isfinite(last_calving), last_calving, -np.inf)[table.cow]
    past = day <= 0
    # A calving uses up a mating whose date it comes near, and every check before it.
    used = np.where(check, day <= calved, day + length - rules.uses_up_days <= calved)
    counts = past & ~used
    empty_row = _last(counts & check & (table.result == EMPTY), table.cow, n)
    made = _Services(day, table.foetal_age, length, spread, table.kind == HAND_CHECK)
    empty = made.day_of(empty_row)
    counts &= ~(day <= np.where(np.isfinite(empty), empty, -np.inf)[table.cow])
    made.service = _last(counts & mating, table.cow, n)
    made.run = _last(counts & run, table.cow, n)
    started = np.fmax(made.day_of(made.service), made.day_of(made.run))
    made.last_service = started
    later_check = made.day_of(_last(counts & check, table.cow, n))
    made.empty_since = np.where(np.isfinite(started) | np.isfinite(later_check), np.nan, empty)
    end = days_from(today, table.until)
    end = np.where(np.isfinite(end), end, day + rules.bull_run_days)
    made.run_end = made._at(end, made.run)
    made.matings = (np.flatnonzero(counts & mating), table.cow[counts & mating])
    # A mating after a scan says that she came back: the scan is then about a calf she has lost.
    service_day = made.day_of(made.service)
    superseded = day < np.where(np.isfinite(service_day), service_day, -np.inf)[table.cow]
    aged = counts & check & np.isfinite(table.foetal_age) & ~superseded
    made.scan = _surest(aged, table.cow, n, table.foetal_age, table.kind == HAND_CHECK, rules)
    made.twins = np.isfinite(_last(counts & check & (table.result == TWINS), table.cow, n))
    made.dam_or_general = np.where(np.isfinite(dam), dam, rules.gestation)
    return made


def _last(rows: Flags, cow: npt.NDArray[np.intp], n: int) -> Numbers:
    """Last of the rows of each cow (rows stand in order of day), NaN without one."""
    last = np.full(n, np.nan)
    places = np.flatnonzero(rows)
    last[cow[places]] = places
    return last


def _age_spread(age: Numbers, hand: Flags, rules: DateRules) -> Numbers:
    early = (age >= rules.scan_from_days) & (age <= rules.scan_to_days) & ~hand
    mid = (age > rules.scan_to_days) & (age <= rules.scan_mid_to_days) & ~hand
    return np.select([early, mid], [rules.spread_scan, rules.spread_scan_mid], rules.spread_scan_late)


def _surest(rows: Flags, cow: npt.NDArray[np.intp], n: int, age: Numbers, hand: Flags, rules: DateRules) -> Numbers:
    """Of each cow's checks with an age the one with the least spread, the later of two alike."""
    places = np.flatnonzero(rows)
    places = places[np.argsort(-_age_spread(age, hand, rules)[places], kind="stable")]
    surest = np.full(n, np.nan)
    surest[cow[places]] = places
    return surest


def _scan_spread(known: _Services, rules: DateRules) -> Numbers:
    return _age_spread(known.age_of(known.scan), known.by_hand(known.scan), rules)


def _combined(
    first: Numbers, first_spread: Numbers, second: Numbers, second_spread: Numbers
) -> tuple[Numbers, Numbers]:
    """Two independent sources weighted by the inverse square of their spreads."""
    a, b = first_spread**-2, second_spread**-2
    return (a * first + b * second) / (a + b), (a + b) ** -0.5


def _bull_run(
    rulebook: Rulebook, known: _Services, last_calving: Numbers, sessions: Sessions
) -> tuple[Numbers, Numbers, Numbers]:
    """Mean day of conception in each cow's run, the spread of the date that follows, and days of the run left her."""
    rules = rulebook.dates
    start = known.day_of(known.run)
    at_calving = _score_at_calving(sessions, last_calving, rules)
    # Nobody felt her about calving: reckon with the lower of the targets, which puts her heat no earlier.
    lower = min(rulebook.targets.spring_calving, rulebook.targets.autumn_calving)
    at_calving = np.where(np.isfinite(at_calving), at_calving, lower)
    first_heat = last_calving + rules.first_heat_at_zero - rules.first_heat_per_score * at_calving
    earliest = np.fmax(start, np.floor(first_heat))
    # She is in the run all the same: at least one day of it is hers.
    earliest = np.minimum(earliest, np.maximum(known.run_end - 1, start))
    length = np.clip(known.run_end - earliest, 1, 365)
    _, mean, sd = gestation.bull_run(rules)
    rows = np.nan_to_num(length, nan=1.0).astype(np.intp)
    spread = np.round(2 * np.sqrt(sd[rows] ** 2 + rules.spread_gestation_bull_run**2)) / 2
    return earliest + mean[rows], np.where(np.isfinite(start), spread, np.nan), length


def _score_at_calving(sessions: Sessions, last_calving: Numbers, rules: DateRules) -> Numbers:
    """The score felt nearest to each cow's last calving, NaN when none is within the days that use a date up."""
    apart = np.abs(sessions.day - last_calving[sessions.cow])
    near = np.flatnonzero(apart <= rules.uses_up_days)
    near = near[np.argsort(-apart[near], kind="stable")]
    score = np.full(len(last_calving), np.nan)
    score[sessions.cow[near]] = sessions.value[near]
    return score


def _typed(
    snapshot: Snapshot, rules: DateRules, today: date, last_calving: Numbers
) -> tuple[Numbers, Numbers, npt.NDArray[np.int8]]:
    day = days_from(today, snapshot.cows.calving_date)
    calved = np.where(np.isfinite(last_calving), last_calving, -np.inf)
    day = np.where(day - rules.uses_up_days <= calved, np.nan, day)
    kinds = {
        SERVICE: (rules.typed_service, FROM_SERVICE),
        SCAN: (rules.typed_scan, FROM_SCAN),
        BULL_RUN: (rules.typed_bull_run, FROM_BULL_RUN),
        BY_HAND: (rules.typed_by_hand, FROM_HAND),
    }
    told = (rules.typed_told, FROM_TOLD)
    named = [kinds.get(source, told) for source in snapshot.cows.date_from]
    spread = np.array([spread for spread, _ in named], dtype=np.float64)
    return day, spread, np.array([code for _, code in named], dtype=np.int8)
