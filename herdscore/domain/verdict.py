"""The verdict table: every cow gets exactly one, by the first row that fits."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import numpy.typing as npt

from herdscore.domain.rule_forms import Limits, VerdictThresholds

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Codes = npt.NDArray[np.int8]

THIN, FAT = -1, 1


class Verdict(IntEnum):
    """Verdicts in the order in which they are tried; the name in small letters is their key in the words."""

    GONE = 0
    NOT_IN_CALF = 1
    VET_FIRST_THIN = 2
    FEED_FOR_BULL = 3
    SCORE_FOR_BULL = 4
    IN_MILK = 5
    NEEDS_DATE = 6
    PAST_DATE = 7
    VET_FIRST_FAT = 8
    TOO_EARLY = 9
    FEED_TO_NEED = 10
    END_EARLY = 11
    SEE_THROUGH = 12
    TO_SCORE = 13
    TOO_LATE = 14
    GAINING_WELL = 15
    EASE_UP_NOW = 16
    EASE_DOWN_NOW = 17
    EASE_UP_IN_HAND = 18
    EASE_DOWN_IN_HAND = 19
    PART_WAY_UP = 20
    PART_WAY_DOWN = 21
    SCORE_AGAIN = 22
    ON_COURSE = 23

    @property
    def key(self) -> str:
        """Key of its words."""
        return self.name.lower()


EASING = (
    Verdict.EASE_UP_NOW,
    Verdict.EASE_DOWN_NOW,
    Verdict.EASE_UP_IN_HAND,
    Verdict.EASE_DOWN_IN_HAND,
    Verdict.PART_WAY_UP,
    Verdict.PART_WAY_DOWN,
)
SCORE_BY = (Verdict.GAINING_WELL, Verdict.SCORE_AGAIN)


@dataclass(frozen=True)
class VerdictFacts:
    """What the table looks at, one value a cow; days from today, scores in units, NaN unknown.

    `side` is -1 thin, +1 fat, 0 neither; `acted` the same for a running change, begun `begun` (a day, past negative).
    """

    gone: Flags
    not_in_calf: Flags
    score_now: Numbers
    last: Numbers
    last_day: Numbers
    calved_day: Numbers
    fall: Numbers
    mating_floor: Numbers
    bull_in: Numbers
    bull_out: Numbers
    calving_day: Numbers
    spread: Numbers
    target: Numbers
    side: Numbers
    chance_thin: Numbers
    chance_fat: Numbers
    acted: npt.NDArray[np.int8]
    begun: Numbers
    latest: Numbers
    act_by: Numbers


def verdicts(facts: VerdictFacts, limits: Limits, rules: VerdictThresholds, fall_allowed: float) -> Codes:
    """Verdict code of every cow."""
    d, b, last = facts.calving_day, facts.score_now, facts.last
    thin, fat = facts.side == THIN, facts.side == FAT
    flagged = thin | fat
    age = -facts.last_day
    unscored = ~(facts.last_day >= np.where(np.isfinite(facts.calved_day), facts.calved_day, -np.inf))
    low, high = np.fmin(b, last), np.fmax(b, last)

    in_milk = in_milk_now(facts, limits, rules)
    lean = (b < facts.mating_floor) | (facts.fall > fall_allowed)
    bull_time = (facts.bull_in - rules.bull_ahead_days <= 0) & (facts.bull_out >= 0)
    bull_soon = (facts.bull_in <= rules.score_before_bull_days) & (facts.bull_out >= 0)

    running = facts.acted != 0
    other_side = running & (facts.side == -facts.acted)
    passed = np.where(facts.acted == THIN, b > facts.target, b < facts.target)
    own_chance = np.where(facts.acted == THIN, facts.chance_thin, facts.chance_fat)
    kept = running & (facts.side == facts.acted) & ~(own_chance > rules.flag_chance)
    fresh = -facts.begun <= rules.running_days
    late = d < limits.lead_days
    stale = age > np.where(d <= rules.near_days, rules.old_score_days_near, rules.old_score_days_far)
    close = np.fmax(facts.chance_thin, facts.chance_fat) >= rules.again_chance

    reachable = flagged & np.isfinite(facts.latest)
    now = facts.act_by <= rules.soon_days
    rows: list[tuple[Verdict, Flags]] = [
        (Verdict.GONE, facts.gone),
        (Verdict.NOT_IN_CALF, facts.not_in_calf),
        (Verdict.VET_FIRST_THIN, low <= rules.vet_thin),
        (Verdict.FEED_FOR_BULL, in_milk & lean & bull_time),
        (Verdict.SCORE_FOR_BULL, in_milk & unscored & bull_soon),
        (Verdict.IN_MILK, in_milk),
        (Verdict.NEEDS_DATE, np.isnan(d)),
        (Verdict.PAST_DATE, d < -2 * facts.spread),
        (Verdict.VET_FIRST_FAT, (high >= rules.vet_fat) & (d < rules.vet_fat_days)),
        (Verdict.TOO_EARLY, d > limits.furthest_days),
        (Verdict.FEED_TO_NEED, d - facts.spread <= limits.freeze_days),
        (Verdict.END_EARLY, other_side & passed),
        (Verdict.SEE_THROUGH, running & (fresh | late | kept)),
        (Verdict.TO_SCORE, unscored | stale),
        (Verdict.TOO_LATE, late & flagged),
        (Verdict.GAINING_WELL, fat & (b < facts.target)),
        (Verdict.EASE_UP_NOW, reachable & thin & now),
        (Verdict.EASE_DOWN_NOW, reachable & fat & now),
        (Verdict.EASE_UP_IN_HAND, reachable & thin),
        (Verdict.EASE_DOWN_IN_HAND, reachable & fat),
        (Verdict.PART_WAY_UP, thin),
        (Verdict.PART_WAY_DOWN, fat),
        (
            Verdict.SCORE_AGAIN,
            (age > rules.again_age_days) & (d > rules.again_from_days) & (d <= rules.again_to_days) & close,
        ),
    ]
    codes = np.full(len(d), Verdict.ON_COURSE, dtype=np.int8)
    for verdict, fits in reversed(rows):
        codes[fits] = verdict
    return codes


def in_milk_now(facts: VerdictFacts, limits: Limits, rules: VerdictThresholds) -> Flags:
    """Cows that calved not long ago and are not yet near their next calving."""
    calved_ago = -facts.calved_day
    return (calved_ago <= rules.in_milk_days) & ~(facts.calving_day <= limits.furthest_days)


def score_by_days(codes: Codes, facts: VerdictFacts, rules: VerdictThresholds) -> Numbers:
    """Days to the day by which a cow gaining well or close to a side is scored again; NaN for the others."""
    asked = np.isin(codes, SCORE_BY)
    by = np.maximum(np.minimum(rules.soon_days, facts.calving_day - rules.score_by_days), 0.0)
    return np.where(asked, by, np.nan)
