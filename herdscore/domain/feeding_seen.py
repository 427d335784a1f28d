"""What a plan expected against what the next round felt, and one adjustment of the herd's maintenance it suggests.

A round's own bias, shared by all cows felt that day, explains most gaps; only the rest is laid on maintenance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from herdscore.domain import energy
from herdscore.domain.energy import Numbers
from herdscore.domain.feeding_forms import EnergyRules
from herdscore.domain.need import CowsFed, balance_of_rate
from herdscore.domain.rulebook import Rulebook


@dataclass(frozen=True, slots=True)
class Seen:
    """Mean change of score expected and seen over the cows with two scores; an adjustment is offered or None."""

    cows: int
    expected: float
    seen: float
    standard_error: float  # of the gap between them
    trust: float  # share of the gap laid on maintenance
    maintenance_now: float  # times the book's
    maintenance_offered: float | None
    why_not: str  # why none is offered, "" when one is

    @property
    def gap(self) -> float:
        """Seen less expected, score."""
        return self.seen - self.expected


def compare_seen(cows: CowsFed, expected: Numbers, seen: Numbers, days: Numbers, me: float, rules: Rulebook) -> Seen:
    """Compare changes of score over `days`, [N] each, NaN where a cow lacks one; on a ration of `me` MJ/kg DM.

    Cows that did worse than expected need more than the book says: maintenance goes up, within its bounds.
    """
    energy_rules, bias = rules.energy, rules.model.day_bias_sd
    both = np.isfinite(expected) & np.isfinite(seen) & (days > 0)
    count = int(both.sum())
    now = energy_rules.maintenance_multiplier
    if not count:
        return Seen(0, np.nan, np.nan, np.nan, np.nan, now, None, "no cow has two scores")
    gap = seen[both] - expected[both]
    error = float(gap.std(ddof=1) / np.sqrt(count)) if count > 1 else float("nan")
    means = float(expected[both].mean()), float(seen[both].mean())
    per_gap = _maintenance_per_gap(cows.only(both), expected[both], days[both], me, energy_rules)
    # A gap that maintenance alone would bring, against one that two rounds' biases and single scores bring.
    from_maintenance = (energy_rules.tune_spread / per_gap) ** 2
    trust = from_maintenance / (from_maintenance + 2 * bias**2 + np.nan_to_num(error) ** 2)
    offered = round(float(now - trust * per_gap * gap.mean()), 2)
    offered = min(max(offered, energy_rules.tune_lowest), energy_rules.tune_highest)
    why_not = ""
    if count < energy_rules.tune_cows:
        why_not = f"{count} cows have two scores, {energy_rules.tune_cows:g} are needed"
    elif abs(gap.mean()) <= energy_rules.tune_gap:
        why_not = f"the gap is within {energy_rules.tune_gap:g}"
    elif offered == now:
        why_not = "the scorers' days explain it, or maintenance is at its bound"
    return Seen(count, *means, error, float(trust), now, None if why_not else offered, why_not)


def _maintenance_per_gap(cows: CowsFed, expected: Numbers, days: Numbers, me: float, rules: EnergyRules) -> float:
    """Multiplier of maintenance for each score of gap, on average about the expected change."""
    score, small = cows.score[:, None], 0.01
    rate = (expected / days)[:, None]
    higher = balance_of_rate(cows, rate + small / days[:, None], me, score, rules)
    lower = balance_of_rate(cows, rate - small / days[:, None], me, score, rules)
    shrunk = energy.shrunk_weight(cows.frame, cows.score, rules)
    keep = energy.maintenance(shrunk, me, rules, breed=cows.breed) / rules.maintenance_multiplier
    return float((higher - lower).mean() / (2 * small) / keep.mean())
