"""The second system, AFRC 1993, shown beside the first as a check; and French feed units, for show only.

Elementwise over arrays of any one shape; MJ ME, kg, days. `weight` is live weight without calf and womb.
"""

from __future__ import annotations

import numpy as np

from herdscore.domain.energy import Flags, Numbers, Some, milk_net
from herdscore.domain.feeding_forms import EnergyRules


def for_maintenance(me: Some, rules: EnergyRules) -> Numbers:
    """Efficiency of ME for maintenance on a ration of `me` MJ/kg dry matter."""
    share: Numbers = rules.km_slope * np.asarray(me, dtype=float) / rules.gross_energy + rules.km_constant
    return share


def for_milk(me: Some, rules: EnergyRules) -> Numbers:
    """Efficiency of ME for milk."""
    share: Numbers = rules.kl_slope * np.asarray(me, dtype=float) / rules.gross_energy + rules.kl_constant
    return share


def for_gain(me: Some, rules: EnergyRules) -> Numbers:
    """Efficiency of ME for gain."""
    share: Numbers = rules.kf_slope * np.asarray(me, dtype=float) / rules.gross_energy + rules.kf_constant
    return share


def maintenance(weight: Some, me: Some, rules: EnergyRules, *, walking: Flags | bool = False) -> Numbers:
    """MJ ME a day to keep a cow housed, or walking and suckling."""
    fasting = rules.fasting * (np.asarray(weight, dtype=float) / rules.fasting_weight) ** rules.fasting_power
    activity = np.where(walking, rules.activity_walking, rules.activity_housed) * weight
    return (fasting + activity) / for_maintenance(me, rules)


def pregnancy(gestation_day: Some, calf: Some, rules: EnergyRules) -> Numbers:
    """MJ ME a day for a calf of `calf` kg at birth, on a day of gestation."""
    t = np.clip(gestation_day, 0.0, rules.latest_day)
    fading = np.exp(-rules.gestation_rate * t)
    held = 10.0 ** (rules.gestation_level - rules.gestation_fall * fading)
    kept: Numbers = rules.gestation_calf * calf * held * rules.gestation_slope * fading
    return kept / rules.kc


def calf_of_dam(weight: Some, rules: EnergyRules) -> Numbers:
    """Kg of a calf at birth from its dam's weight, where nothing else is known."""
    calf: Numbers = (np.asarray(weight, dtype=float) ** rules.calf_power - rules.calf_constant) / rules.calf_divisor
    return calf


def milk(kg: Some, me: Some, rules: EnergyRules) -> Numbers:
    """MJ ME a day for so many kg of milk, of the same energy as in the first system."""
    return np.asarray(kg, dtype=float) * milk_net(rules) * rules.joules / for_milk(me, rules)


def me_of_weight_change(kg: Some, me: Some, rules: EnergyRules) -> Numbers:
    """MJ ME for so many kg gained, or saved by so many lost (negative)."""
    change = np.asarray(kg, dtype=float)
    gained = change * rules.weight_change / for_gain(me, rules)
    return np.where(change > 0, gained, change * rules.weight_loss_me)


def as_ufl(me_day: Some, rules: EnergyRules) -> Numbers:
    """French feed units in so many MJ ME, for show only."""
    return np.asarray(me_day, dtype=float) / rules.ufl
