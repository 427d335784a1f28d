"""What a plan expected against what the next round felt, and one adjustment of the herd's maintenance it suggests."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from herdscore.domain import energy
from herdscore.domain.energy import Numbers
from herdscore.domain.feeding_forms import EnergyRules
from herdscore.domain.need import CowsFed, balance_of_rate


@dataclass(frozen=True, slots=True)
class Seen:
    """Mean change of score expected and seen over the cows with two scores; an adjustment is offered or None."""

    cows: int
    expected: float
    seen: float
    standard_error: float  # of the gap between them
    maintenance_now: float  # times the book's
    maintenance_offered: float | None
    why_not: str  # why none is offered, "" when one is

    @property
    def gap(self) -> float:
        """Seen less expected, score."""
        return self.seen - self.expected


def compare_seen(cows: CowsFed, expected: Numbers, seen: Numbers, days: Numbers, me: float, rules: EnergyRules) -> Seen:
    """Compare changes of score over `days`, [N] each, NaN where a cow lacks one; on a ration of `me` MJ/kg DM.

    Cows that did worse than expected need more than the book says: maintenance goes up, within its bounds.
    """
    both = np.isfinite(expected) & np.isfinite(seen) & (days > 0)
    count = int(both.sum())
    now = rules.maintenance_multiplier
    if not count:
        return Seen(0, np.nan, np.nan, np.nan, now, None, "no cow has two scores")
    gap = seen[both] - expected[both]
    error = float(gap.std(ddof=1) / np.sqrt(count)) if count > 1 else float("nan")
    mean_expected, mean_seen = float(expected[both].mean()), float(seen[both].mean())
    offered, why_not = None, ""
    if count < rules.tune_cows:
        why_not = f"{count} cows have two scores, {rules.tune_cows:g} are needed"
    elif abs(gap.mean()) <= rules.tune_gap:
        why_not = f"the gap is within {rules.tune_gap:g}"
    else:
        offered = _maintenance(cows.only(both), expected[both], float(gap.mean()), days[both], me, rules)
        if offered == now:
            offered, why_not = None, "maintenance is at its bound already"
    return Seen(count, mean_expected, mean_seen, error, now, offered, why_not)


def _maintenance(cows: CowsFed, expected: Numbers, gap: float, days: Numbers, me: float, rules: EnergyRules) -> float:
    """Multiplier under which the same ration would have moved the cows as seen, on average; to a hundredth."""
    score, on = cows.score[:, None], (expected / days)[:, None]
    thought = balance_of_rate(cows, on, me, score, rules)
    true = balance_of_rate(cows, on + gap / days[:, None], me, score, rules)
    shrunk = energy.shrunk_weight(cows.frame, cows.score, rules)
    keep = energy.maintenance(shrunk, me, rules, breed=cows.breed)
    more = float((thought - true).mean() / (keep.mean() / rules.maintenance_multiplier))
    offered = rules.maintenance_multiplier + more
    return round(float(np.clip(offered, rules.tune_lowest, rules.tune_highest)), 2)
