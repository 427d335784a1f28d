"""The cows of a herd as the energy sums want them: weights, calves, breeds; who may be fed for condition, and why not.

Days count from today.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from herdscore.domain import energy
from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK, HerdCalendar, days_from
from herdscore.domain.energy import Flags, Numbers
from herdscore.domain.feeding_forms import BreedEnergy
from herdscore.domain.need import CowsFed, Places
from herdscore.domain.records import WEANING
from herdscore.domain.rule_forms import Limits
from herdscore.domain.trajectory import path
from herdscore.domain.verdict import Verdict

_DRY = -1.0


class Why(StrEnum):
    """Why a cow is not fed for condition, or not with these, in a stockman's words."""

    GONE = "no longer in the herd"
    NOT_IN_CALF = "not in calf"
    NO_DATE = "needs a calving date"
    NO_SCORE = "not scored"
    NO_TARGET = "her season is not known"
    PAST_DATE = "past her date"
    VET_FIRST = "vet first"
    TOO_EARLY = "too early to say"
    TOO_LATE = "too near calving to begin a change"
    NEVER_SLIMMED = "is never slimmed"
    NEEDS_MORE = "needs more than this group"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A cow kept out: her place in the herd, her tag, why, and days to calving (NaN unknown)."""

    row: int
    tag: str
    why: Why
    days: float


def cows_fed(assessment: Assessment, rows: Places | None = None) -> CowsFed:
    """Cows of an assessed herd, all or those in these rows; score and dates may be NaN."""
    a = assessment
    cows, dates, rules = a.snapshot.cows, a.dates, a.rulebook.energy
    score = np.where(a.course.n_scores > 0, a.course.curve_level + a.course.curve_wander, np.nan)
    breeds = _breed_energy(a, cows.breed)
    breed_weight = np.array([breed.weight for breed in breeds])
    frame = rules.shrunk * np.where(np.isnan(breed_weight), rules.weight_at_middle, breed_weight)
    weighed = _frame_weighed(a, score)
    measured = np.isfinite(weighed)
    made = CowsFed(
        row=np.arange(len(cows)),
        tag=cows.tag,
        score=score,
        frame=np.where(measured, weighed, frame),
        weight_assumed=~measured,
        first_calver=dates.first_calver,
        twins=dates.twins,
        never_slimmed=a.reach.never_slimmed,
        breed=np.array([breed.maintenance for breed in breeds]),
        calf=np.where(_continental_sire(a), rules.calf_weight_continental, rules.calf_weight),
        calving_day=dates.day,
        spread=dates.spread,
        milk=np.full(len(cows), rules.milk),
        dry_day=_dry_day(a),
        target=a.targets.target,
        lower=a.targets.lower,
        upper=a.targets.upper,
    )
    return made if rows is None else made.only(rows)


def members(assessment: Assessment, rows: Sequence[int] | Places) -> tuple[CowsFed, list[LeftOut]]:
    """Those of these cows whose need can be reckoned, and the others with the reason."""
    rows = np.asarray(rows, dtype=np.intp)
    cows = cows_fed(assessment, rows)
    codes = assessment.verdict[rows]
    vet = (codes == Verdict.VET_FIRST_THIN) | (codes == Verdict.VET_FIRST_FAT)
    reasons: list[tuple[Flags, Why]] = [
        (codes == Verdict.GONE, Why.GONE),
        (codes == Verdict.NOT_IN_CALF, Why.NOT_IN_CALF),
        (np.isnan(cows.calving_day), Why.NO_DATE),
        (cows.calving_day < 0, Why.PAST_DATE),
        (np.isnan(cows.score), Why.NO_SCORE),
        (np.isnan(cows.target), Why.NO_TARGET),
        (vet, Why.VET_FIRST),
        (cows.calving_day > assessment.rulebook.limits.furthest_days, Why.TOO_EARLY),
    ]
    return _sorted_out(cows, reasons)


def refusals_of_start(cows: CowsFed, *, slimming: bool, limits: Limits, running: bool = False) -> list[LeftOut]:
    """Cows that stand in the way of beginning a change in their group; each may stay on the old ration elsewhere.

    A change that runs is seen through by cows that have come within the lead since.
    """
    reasons: list[tuple[Flags, Why]] = []
    if not running:
        reasons.append((cows.calving_day < limits.lead_days, Why.TOO_LATE))
    if slimming:
        reasons.append((cows.never_slimmed, Why.NEVER_SLIMMED))
    return _sorted_out(cows, reasons)[1]


def days_of_change(cows: CowsFed, limits: Limits) -> Numbers:
    """Days a change begun today can work, [N]: to calving, less freeze and ramps."""
    return np.maximum(cows.calving_day - limits.lost_days, 0.0)


def wanted_change(cows: CowsFed, limits: Limits, *, running: bool = False) -> Numbers:
    """Score each cow should gain (or lose) by calving, [N], within the planning rates.

    Nothing inside the lead, but where a change runs and is seen through.
    """
    days = np.maximum(cows.calving_day - limits.freeze_days, 0.0) if running else days_of_change(cows, limits)
    down = np.where(cows.never_slimmed, 0.0, limits.planning_loss)
    wanted = np.clip(cows.target - cows.score, -down * days, limits.planning_gain * days)
    return wanted if running else np.where(cows.calving_day < limits.lead_days, 0.0, wanted)


def wanted_a_week(cows: CowsFed, limits: Limits) -> Numbers:
    """The same as score a week over the days it can work, [N]."""
    days = days_of_change(cows, limits)
    return 7.0 * wanted_change(cows, limits) / np.maximum(days, 1.0)


def _sorted_out(cows: CowsFed, reasons: list[tuple[Flags, Why]]) -> tuple[CowsFed, list[LeftOut]]:
    """The first reason that fits keeps a cow out."""
    which = np.full(len(cows), len(reasons))
    for place in range(len(reasons) - 1, -1, -1):
        which[reasons[place][0]] = place
    left = [
        LeftOut(int(cows.row[i]), cows.tag[i], reasons[which[i]][1], float(cows.calving_day[i]))
        for i in np.flatnonzero(which < len(reasons))
    ]
    return cows.only(which == len(reasons)), left


def _breed_energy(a: Assessment, texts: npt.NDArray[np.object_]) -> list[BreedEnergy]:
    known: dict[str | None, BreedEnergy] = {}
    plain = BreedEnergy()
    for text in set(texts.tolist()):
        breed = a.rulebook.breed(text)
        known[text] = a.rulebook.breed_energy.get(breed.name, plain) if breed is not None else plain
    return [known[text] for text in texts.tolist()]


def _continental_sire(a: Assessment) -> Flags:
    """Cows whose service or bull run names a sire of heavy calves, [N]."""
    service, run = a.dates.service_row, a.dates.bull_row
    row = np.where(np.isfinite(service), service, run)
    named = np.flatnonzero(np.isfinite(row))
    heavy = np.zeros(len(row), dtype=bool)
    sires = a.snapshot.services.sire_breed[row[named].astype(np.intp)]
    heavy[named] = [breed.continental for breed in _breed_energy(a, sires)]
    return heavy


def _frame_weighed(a: Assessment, score: Numbers) -> Numbers:
    """Frame of each cow from her last weighing, calf and womb taken off at her score of that day, [N]; NaN without."""
    weights, rules = a.snapshot.weights, a.rulebook.energy
    frame = np.full(len(score), np.nan)
    day = days_from(a.today, weights.day)
    oldest = np.where(a.dates.first_calver, rules.first_calver_weight_age_days, rules.weight_age_days)
    used = np.flatnonzero((day <= 0) & (day >= -oldest[weights.cow]) & np.isfinite(score[weights.cow]))
    if not len(used):
        return frame
    last = used[np.append(weights.cow[used][1:] != weights.cow[used][:-1], True)]
    cow, day = weights.cow[last], day[last]
    days, at = np.unique(day, return_inverse=True)
    mean, _ = path(a.scores, a.rulebook.model, a.course, cow, days)
    then = np.where(day < 0, mean[np.arange(len(cow)), at], score[cow])
    calved_after = a.dates.last_calving[cow] > day
    born = np.where(calved_after, a.dates.last_calving[cow], a.dates.day[cow])
    t = np.nan_to_num(rules.gestation - (born - day), nan=0.0)
    calf = np.where(_continental_sire(a)[cow], rules.calf_weight_continental, rules.calf_weight)
    womb = np.where(t > 0, energy.conceptus(t, calf, rules), 0.0)
    frame[cow] = energy.frame_of(weights.weight[last] - womb, then, rules)
    return frame


def _dry_day(a: Assessment) -> Numbers:
    """Day from today on which her calf is weaned, by her block's calendar, [N]; in the past without one ahead."""
    calendar = HerdCalendar(a.snapshot, a.today)
    dry = np.full(len(a), _DRY)
    suckling = -a.dates.last_calving <= a.rulebook.energy.suckled_days
    for block in (AUTUMN_BLOCK, SPRING_BLOCK):
        ahead = calendar.next(block, WEANING)
        past = calendar.days(block, WEANING)
        past = past[past <= 0]
        weaned = (past[-1] if len(past) else -np.inf) >= a.dates.last_calving
        if ahead == ahead:
            dry[suckling & ~weaned & (a.block == block)] = ahead
    return dry
