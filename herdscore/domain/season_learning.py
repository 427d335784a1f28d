"""What condition did: helped calvings, losses, in calf again and when, by condition; and season against season."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from herdscore.domain.calendar import AUTUMN_BLOCK
from herdscore.domain.calving_forms import LearningRules
from herdscore.domain.calving_season import season_name
from herdscore.domain.rates import Rate, difference, pooled_odds, rate
from herdscore.domain.rule_forms import Targets
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.season_outcomes import SEX_NAMES, Outcomes

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

HELPED, HARD, LOST, IN_CALF_AGAIN, EARLY = "helped", "hard", "lost", "in_calf", "early"
MEASURES = {
    HELPED: "calvings helped",
    HARD: "hard calvings",
    LOST: "calvings with a calf lost",
    IN_CALF_AGAIN: "in calf again",
    EARLY: "calving next year in the first weeks",
}
AT_CALVING, AT_MATING = "at calving", "at mating"
LEAN, FIT, FAT = "lean", "fit", "fat"
_STEP = 0.5


@dataclass(frozen=True, slots=True)
class ClassRow:
    """Animals of one class of condition, half a score wide: cows and first-calvers apart."""

    label: str
    score: float
    cows: Rate
    first_calvers: Rate


@dataclass(frozen=True, slots=True)
class StratumRow:
    """Lean, fit and fat within one kind of calving: first calf or not, by sex of the calf or twins."""

    label: str
    rates: tuple[Rate, Rate, Rate]


@dataclass(frozen=True, slots=True)
class Claim:
    """Lean or fat beside fit: both rates, the odds ratio like with like with its interval, and a sentence.

    `sure` is whether the interval leaves out "no difference".
    """

    side: str
    these: Rate
    fit: Rate
    odds: float
    low: float
    high: float
    sure: bool
    say: str


@dataclass(frozen=True, slots=True)
class SeasonRow:
    """One season of one block: calvings, condition and what came of it, cows and first-calvers apart."""

    name: str
    block: int
    year: int
    calvings: int
    twins: int
    mean_at_calving: float
    scored: int
    mean_weight: float
    first_weeks: Rate
    rates: dict[str, tuple[Rate, Rate]]


def by_condition(outcomes: Outcomes, measure: str, rulebook: Rulebook, at: str = AT_CALVING) -> tuple[ClassRow, ...]:
    """A measure by classes of condition at calving or at mating, from the leanest to the fattest."""
    rules = rulebook.learning
    score, values = _score(outcomes, at), _values(outcomes, measure)
    middle = np.clip(np.floor(score / _STEP + 0.5) * _STEP, rules.leanest, rules.fattest)
    rows = []
    for value in np.arange(rules.leanest, rules.fattest + _STEP / 2, _STEP).tolist():
        label = f"{value:.1f}"
        label += " or less" if value == rules.leanest else " or more" if value == rules.fattest else ""
        mine = middle == value
        rows.append(
            ClassRow(
                label,
                value,
                rate(values[mine & ~outcomes.first_calf], rules.level),
                rate(values[mine & outcomes.first_calf], rules.level),
            )
        )
    return tuple(rows)


def week_by_condition(
    outcomes: Outcomes, rulebook: Rulebook, at: str = AT_MATING
) -> tuple[tuple[str, float, int], ...]:
    """Middle calving week of the next season by lean, fit and fat: name, week (NaN of none), and calvings counted."""
    parts = condition_parts(outcomes, rulebook, at)
    found = []
    for name, mine in zip((LEAN, FIT, FAT), parts, strict=True):
        weeks = outcomes.next_week[mine & np.isfinite(outcomes.next_week)]
        found.append((name, float(np.median(weeks)) if len(weeks) else math.nan, len(weeks)))
    return tuple(found)


def condition_parts(outcomes: Outcomes, rulebook: Rulebook, at: str = AT_CALVING) -> tuple[Flags, Flags, Flags]:
    """Which calvings were of lean, fit and fat cows; at mating, lean is below the block's floor."""
    score, rules = _score(outcomes, at), rulebook.learning
    lean_below = _floor(outcomes, rulebook.targets) if at == AT_MATING else np.full(len(score), rules.lean_below)
    lean, fat = score < lean_below, score >= rules.fat_from
    return lean, np.isfinite(score) & ~lean & ~fat, fat


def by_stratum(outcomes: Outcomes, measure: str, rulebook: Rulebook, at: str = AT_CALVING) -> tuple[StratumRow, ...]:
    """A measure for lean, fit and fat within each kind of calving that has enough of them."""
    rules, values = rulebook.learning, _values(outcomes, measure)
    parts = condition_parts(outcomes, rulebook, at)
    rows = []
    for first in (False, True):
        for sex, word in enumerate(SEX_NAMES):
            mine = (outcomes.first_calf == first) & (outcomes.sex == sex)
            lean, fit, fat = (rate(values[mine & part], rules.level) for part in parts)
            if lean.of + fit.of + fat.of >= rules.enough:
                rows.append(StratumRow(f"{'first-calvers' if first else 'cows'}, {word}", (lean, fit, fat)))
    return tuple(rows)


def claims(outcomes: Outcomes, measure: str, rulebook: Rulebook, at: str = AT_CALVING) -> tuple[Claim, Claim]:
    """Lean beside fit and fat beside fit, first-calvers, sex and twins compared like with like."""
    lean, fit, fat = condition_parts(outcomes, rulebook, at)
    values = _values(outcomes, measure)
    return tuple(  # type: ignore[return-value]
        _claim(side, these, fit, values, outcomes, measure, rulebook.learning, at)
        for side, these in ((LEAN, lean), (FAT, fat))
    )


def _claim(
    side: str,
    these: Flags,
    fit: Flags,
    values: Numbers,
    outcomes: Outcomes,
    measure: str,
    rules: LearningRules,
    at: str,
) -> Claim:
    own, others = rate(values[these], rules.level), rate(values[fit], rules.level)
    compared = these | fit
    odds, low, high = pooled_odds(
        these[compared].astype(np.float64), values[compared], outcomes.strata[compared], rules.level
    )
    enough = min(own.of, others.of) >= rules.enough
    gap = difference(own, others) if enough else (math.nan, math.nan)
    if math.isfinite(odds):
        sure = enough and not low <= 1 <= high
    else:
        # No stratum holds both outcomes on both sides: the plain difference is all there is.
        sure = enough and not gap[0] <= 0 <= gap[1]
    numbers = f"{MEASURES[measure]}: {side} {at} {own.said}; fit {others.said}."
    say = f"{numbers[0].upper()}{numbers[1:]} {_words(sure, enough, own, others, odds, low, high, rules)}"
    return Claim(side, own, others, odds, low, high, sure, say)


def _words(
    sure: bool, enough: bool, own: Rate, others: Rate, odds: float, low: float, high: float, rules: LearningRules
) -> str:
    if not enough:
        return f"Under {rules.enough} on one side: no claim."
    if not sure:
        return "The difference may be chance: no claim."
    if not math.isfinite(odds):
        return f"{'More' if own.share > others.share else 'Less'} often than chance would have it."
    more = "More" if odds > 1 else "Less"
    return f"{more} often, like compared with like: the odds are {odds:.1f} times ({low:.1f} to {high:.1f})."


def seasons(outcomes: Outcomes, rulebook: Rulebook) -> tuple[SeasonRow, ...]:
    """One row a block and season, in order of their calvings."""
    key = outcomes.year * 3 + outcomes.block
    found = []
    for value in np.unique(key).tolist():
        mine = key == value
        found.append((float(np.median(outcomes.day[mine])), _season(outcomes, mine, rulebook.learning)))
    return tuple(row for _, row in sorted(found, key=lambda pair: pair[0]))


def _season(outcomes: Outcomes, mine: Flags, rules: LearningRules) -> SeasonRow:
    block, year = int(outcomes.block[mine][0]), int(outcomes.year[mine][0])
    scores, weights = outcomes.at_calving[mine], outcomes.weight[mine]
    scored, weighed = np.isfinite(scores), np.isfinite(weights)
    older, first = mine & ~outcomes.first_calf, mine & outcomes.first_calf
    return SeasonRow(
        name=season_name(block, year),
        block=block,
        year=year,
        calvings=int(mine.sum()),
        twins=int((outcomes.sex[mine] == SEX_NAMES.index("twins")).sum()),
        mean_at_calving=float(scores[scored].mean()) if scored.any() else math.nan,
        scored=int(scored.sum()),
        mean_weight=float(weights[weighed].mean()) if weighed.any() else math.nan,
        first_weeks=rate(outcomes.first_weeks[mine], rules.level),
        rates={
            measure: (
                rate(_values(outcomes, measure)[older], rules.level),
                rate(_values(outcomes, measure)[first], rules.level),
            )
            for measure in MEASURES
        },
    )


def season_change(earlier: SeasonRow, later: SeasonRow, measure: str, rules: LearningRules) -> str:
    """One season beside another in words, cows without first-calvers; no claim when the difference may be chance."""
    before, after = earlier.rates[measure][0], later.rates[measure][0]
    numbers = f"{MEASURES[measure].capitalize()}: {earlier.name} {before.said}; {later.name} {after.said}."
    if min(before.of, after.of) < rules.enough:
        return f"{numbers} Under {rules.enough} in one season: no claim."
    low, high = difference(after, before)
    if low <= 0 <= high:
        return f"{numbers} The difference may be chance: no claim."
    return f"{numbers} {'More' if after.share > before.share else 'Fewer'} than chance would have it."


def published_findings(rulebook: Rulebook) -> tuple[tuple[str, str, str], ...]:
    """What others found, to stand beside the herd's own: a word, a sentence with its numbers, and the source."""
    numbers = {f.name: f"{getattr(rulebook.published, f.name):g}" for f in fields(rulebook.published)}
    return tuple(
        (said.word, said.say.format_map(numbers), said.source) for said in rulebook.calving_words.published.values()
    )


def _score(outcomes: Outcomes, at: str) -> Numbers:
    return outcomes.at_mating if at == AT_MATING else outcomes.at_calving


def _values(outcomes: Outcomes, measure: str) -> Numbers:
    values: Numbers = getattr(outcomes, measure)
    return values


def _floor(outcomes: Outcomes, targets: Targets) -> Numbers:
    autumn = outcomes.block == AUTUMN_BLOCK
    return np.where(autumn, targets.mating_floor_autumn, targets.mating_floor_spring)
