"""How many calving pens: the rule of thumb beside what the herd's own dates and the chosen stay ask for."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calving_forms import PenRules
from herdscore.domain.calving_season import still_to_calve
from herdscore.domain.date_density import DateDensity
from herdscore.domain.rulebook import Rulebook

Numbers = npt.NDArray[np.float64]

_STEP = 0.5
_LAST_SHARE = 0.999


@dataclass(frozen=True, slots=True)
class PenPlan:
    """Pens for a season. `load` is the mean number of pens in use at the busiest time, `peak_day` from today.

    `peak_share` is the greatest share of the cows that calves in one day.
    """

    cows: int
    long_stays: int
    rule: int
    rule_compact: int
    queue: int
    load: float
    peak_day: float
    peak_share: float
    stay_days: float
    stay_long_days: float
    hospital: int

    @property
    def short_of_rule(self) -> int:
        """Pens the herd's own dates ask for beyond the rule, 0 when the rule is enough."""
        return max(0, self.queue - self.rule)


def pens_by_rule(cows: int, cows_a_pen: float) -> int:
    """One pen for so many cows due, rounded up."""
    return math.ceil(cows / cows_a_pen - 1e-9)


def pens_by_queue(load: float, enough_chance: float) -> int:
    """Fewest pens that are enough with this chance when `load` are in use on average (Poisson)."""
    if not load > 0:
        return 0
    chance, pens = 0.0, 0
    while True:
        # Logarithms, because exp(-load) alone is 0 for a very large herd.
        chance += math.exp(pens * math.log(load) - load - math.lgamma(pens + 1))
        if chance >= enough_chance:
            return pens
        pens += 1


def pens_needed(
    assessment: Assessment, block: int | None = None, stay: float | None = None, stay_long: float | None = None
) -> PenPlan:
    """Pens for the cows of a block still to calve, or of both; stays in days, else those of the rules.

    First-calvers and cows with twins stay the long time, or the stay if that is longer.
    """
    a, rules = assessment, assessment.rulebook.pens
    stay = rules.stay_days if stay is None else stay
    stay_long = max(stay, rules.stay_long_days if stay_long is None else stay_long)
    due = still_to_calve(a) if block is None else still_to_calve(a) & (a.block == block)
    cows = np.flatnonzero(due)
    long_stay = a.dates.first_calver[cows] | a.dates.twins[cows]
    load, peak_day, peak_share = _peak(a, cows, np.where(long_stay, stay_long, stay))
    return PenPlan(
        cows=len(cows),
        long_stays=int(long_stay.sum()),
        rule=pens_by_rule(len(cows), rules.cows_a_pen),
        rule_compact=pens_by_rule(len(cows), rules.cows_a_pen_compact),
        queue=pens_by_queue(load, rules.enough_chance),
        load=load,
        peak_day=peak_day,
        peak_share=peak_share,
        stay_days=stay,
        stay_long_days=stay_long,
        hospital=rules.hospital_pens,
    )


def _peak(a: Assessment, cows: npt.NDArray[np.intp], stay: Numbers) -> tuple[float, float, float]:
    """Mean pens in use at the busiest time, its day, and the greatest share of cows that calves in one day."""
    if not len(cows):
        return 0.0, float("nan"), 0.0
    density = DateDensity(a.dates, a.rulebook.dates)
    low, high = density.windows(_LAST_SHARE)
    days = np.arange(min(-0.5, low[cows].min()), high[cows].max() + stay.max() + 1, _STEP)
    calved = density.still_to_calve_by(cows, days)
    in_use = calved.sum(axis=0)
    for length in np.unique(stay).tolist():
        mine = cows[stay == length]
        in_use = in_use - density.still_to_calve_by(mine, days - length).sum(axis=0)
    busiest = int(np.argmax(in_use))
    whole = round(1 / _STEP)
    a_day = calved.sum(axis=0)
    born = a_day[whole:] - a_day[:-whole]
    return float(in_use[busiest]), float(days[busiest]), float(born.max() / len(cows))


def standards(rulebook: Rulebook) -> tuple[tuple[str, str], ...]:
    """What a good calving pen is like: a word and a sentence with the measures of the rules."""
    measures = _Measures(rulebook.pens)
    return tuple((said.word, said.say.format_map(measures)) for said in rulebook.calving_words.standards.values())


class _Measures(dict[str, str]):
    """The measures of a pen as they are written."""

    def __init__(self, rules: PenRules) -> None:
        super().__init__()
        self._rules = rules

    def __missing__(self, key: str) -> str:
        return f"{getattr(self._rules, key):g}"
