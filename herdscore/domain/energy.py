"""Energy of a cow: her reserves by score, what she needs, and what a change of condition costs.

NRC 1996/2000 with the weight factor of NASEM 2016; elementwise over arrays of any one shape. MJ ME, kg, days.
`frame` is a cow's shrunk weight if she stood at the middle of the scale, kg; it stays while her condition moves.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from herdscore.domain.feeding_forms import EnergyRules

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Some = Numbers | float

LOWEST_NINE, HIGHEST_NINE = 1.0, 9.0


def nine_of(score: Some, rules: EnergyRules) -> Numbers:
    """Score on the American scale of 1 to 9."""
    nine = rules.middle_nine + rules.nine_per_score * (np.asarray(score, dtype=float) - rules.middle_score)
    return np.clip(nine, LOWEST_NINE, HIGHEST_NINE)


def score_of(nine: Some, rules: EnergyRules) -> Numbers:
    """Score on the farm's scale from one on the American scale."""
    score: Numbers = (np.asarray(nine, dtype=float) - rules.middle_nine) / rules.nine_per_score + rules.middle_score
    return score


def weight_factor(nine: Some, rules: EnergyRules) -> Numbers:
    """Weight as a share of that at the middle of the scale, NASEM 2016."""
    factor: Numbers = 1.0 + rules.weight_per_nine * (np.asarray(nine, dtype=float) - rules.middle_nine)
    return factor


def weight_factor_1996(nine: Some, rules: EnergyRules) -> Numbers:
    """Weight as a share of that at the middle of the scale, NRC 1996: constant energy a kg of shrunk weight."""
    of_change = rules.energy_of_gain_1996 / rules.empty
    factor: Numbers = (of_change - energy_of_kg(rules.middle_nine, rules)) / (of_change - energy_of_kg(nine, rules))
    return factor


def fat_share(nine: Some, rules: EnergyRules) -> Numbers:
    """Fat as a share of the empty body."""
    share: Numbers = rules.fat_per_nine * np.asarray(nine, dtype=float)
    return share


def energy_of_kg(nine: Some, rules: EnergyRules) -> Numbers:
    """Mcal in a kg of empty body."""
    protein = rules.protein_at_zero + rules.protein_per_nine * np.asarray(nine, dtype=float)
    energy: Numbers = rules.fat_energy * fat_share(nine, rules) + rules.protein_energy * protein
    return energy


def frame_of(weight: Some, score: Some, rules: EnergyRules) -> Numbers:
    """Shrunk weight at the middle of the scale from live weight (without calf and womb) and score."""
    frame: Numbers = rules.shrunk * np.asarray(weight, dtype=float) / weight_factor(nine_of(score, rules), rules)
    return frame


def shrunk_weight(frame: Some, score: Some, rules: EnergyRules) -> Numbers:
    """Shrunk weight at a score."""
    return frame * weight_factor(nine_of(score, rules), rules)


def live_weight(frame: Some, score: Some, rules: EnergyRules) -> Numbers:
    """Live weight at a score, without calf and womb."""
    return shrunk_weight(frame, score, rules) / rules.shrunk


def reserves(frame: Some, nine: Some, rules: EnergyRules, *, as_1996: bool = False) -> Numbers:
    """MJ in the body at a score of nine."""
    factor = (weight_factor_1996 if as_1996 else weight_factor)(nine, rules)
    held: Numbers = rules.joules * rules.empty * frame * factor * energy_of_kg(nine, rules)
    return held


def body_change(frame: Some, now: Some, to: Some, first_calver: Flags | bool, rules: EnergyRules) -> Numbers:
    """MJ of body energy from one score to another, negative for a loss; a first-calver gains dearer, loses sooner."""
    change = reserves(frame, nine_of(to, rules), rules) - reserves(frame, nine_of(now, rules), rules)
    return change * own_factor(change, first_calver, rules)


def own_factor(change: Some, first_calver: Flags | bool, rules: EnergyRules) -> Numbers:
    """Reserves a score as a multiple of a grown cow's: 1, or a first-calver's for a gain and for a loss."""
    growing = np.where(np.asarray(change) > 0, rules.first_calver_gain, rules.first_calver_loss)
    return np.where(first_calver, growing, 1.0)


def energy_per_score(frame: Some, score: Some, rules: EnergyRules) -> Numbers:
    """MJ of body energy for one score at a score, grown cow."""
    n = nine_of(score, rules)
    of_energy = rules.fat_energy * rules.fat_per_nine + rules.protein_energy * rules.protein_per_nine
    slope = rules.weight_per_nine * energy_of_kg(n, rules) + of_energy * weight_factor(n, rules)
    per_score: Numbers = rules.joules * rules.empty * frame * slope * rules.nine_per_score
    return per_score


def score_after(frame: Some, score: Some, body: Some, first_calver: Flags | bool, rules: EnergyRules) -> Numbers:
    """Score after the body has taken up so many MJ; exact, within the scale."""
    own = np.asarray(body, dtype=float) / own_factor(body, first_calver, rules)
    held = reserves(frame, nine_of(score, rules), rules) + own
    y = held / (rules.joules * rules.empty * frame)
    of_energy = rules.fat_energy * rules.fat_per_nine + rules.protein_energy * rules.protein_per_nine
    at_zero, w = rules.protein_energy * rules.protein_at_zero, rules.weight_per_nine
    weight_zero = 1.0 - w * rules.middle_nine
    a, b, c = w * of_energy, weight_zero * of_energy + w * at_zero, weight_zero * at_zero - y
    n = (-b + np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))) / (2 * a)
    return score_of(np.clip(n, LOWEST_NINE, HIGHEST_NINE), rules)


def net_energy(me: Some, rules: EnergyRules) -> Numbers:
    """Net energy of a diet, Mcal/kg dry matter, from MJ ME/kg dry matter."""
    m = np.asarray(me, dtype=float) / rules.joules
    net: Numbers = rules.diet_1 * m + rules.diet_2 * m**2 + rules.diet_3 * m**3 + rules.diet_0
    return net


def net_share(me: Some, rules: EnergyRules) -> Numbers:
    """Net energy for maintenance per ME of the whole ration, k."""
    return net_energy(me, rules) * rules.joules / me


def maintenance(
    shrunk: Some, me: Some, rules: EnergyRules, *, breed: Some = 1.0, suckling: Flags | bool = False
) -> Numbers:
    """MJ ME a day to keep a cow of this shrunk weight on a ration of `me` MJ/kg dry matter."""
    times = np.where(suckling, rules.suckling_maintenance, 1.0) * breed
    net = rules.maintenance * np.asarray(shrunk, dtype=float) ** rules.maintenance_power * times
    me_day: Numbers = rules.maintenance_multiplier * rules.joules * net / net_share(me, rules)
    return me_day


def pregnancy(gestation_day: Some, calf: Some, rules: EnergyRules) -> Numbers:
    """MJ ME a day for a calf of `calf` kg at birth, on a day of gestation."""
    t = np.clip(gestation_day, 0.0, rules.latest_day)
    level = rules.pregnancy_level + rules.pregnancy_level_day * t
    growth = (rules.pregnancy_growth + rules.pregnancy_growth_day * t) * t
    me_day: Numbers = rules.joules / 1000.0 * calf * level * np.exp(growth)
    return me_day


def conceptus(gestation_day: Some, calf: Some, rules: EnergyRules) -> Numbers:
    """Kg of calf, womb and waters on a day of gestation; to be taken off a weight from the scales."""
    t = np.clip(gestation_day, 0.0, rules.latest_day)
    growth = (rules.conceptus_growth + rules.conceptus_growth_day * t) * t
    kg: Numbers = rules.conceptus_level * calf * np.exp(growth)
    return kg


def milk_net(rules: EnergyRules) -> float:
    """Mcal net energy in a kg of milk."""
    return rules.milk_per_fat * rules.milk_fat + rules.milk_per_solids * rules.milk_solids + rules.milk_constant


def milk(kg: Some, me: Some, rules: EnergyRules) -> Numbers:
    """MJ ME a day for so many kg of milk."""
    return np.asarray(kg, dtype=float) * milk_net(rules) * rules.joules / net_share(me, rules)


def body_per_me(balance: Some, me: Some, rules: EnergyRules, gain_multiplier: float | None = None) -> Numbers:
    """MJ of body energy for each MJ ME above need (gain), and for each below it (loss)."""
    g = rules.gain_multiplier if gain_multiplier is None else gain_multiplier
    return net_share(me, rules) / np.where(np.asarray(balance) > 0, g, rules.loss_saves)


def me_of_change(body: Some, me: Some, rules: EnergyRules, gain_multiplier: float | None = None) -> Numbers:
    """MJ ME that a change of the body by so many MJ takes (gain) or saves (loss, negative)."""
    return np.asarray(body, dtype=float) / body_per_me(body, me, rules, gain_multiplier)


def effective_days(days: Some, freeze_days: float, rules: EnergyRules) -> Numbers:
    """Days at the full height of a change that eases in, eases out and ends before the freeze."""
    full: Numbers = np.asarray(days, dtype=float) - freeze_days - rules.ramp_in_days / 2 - rules.ramp_out_days / 2
    return full


def extra_feed(me_day: Some, feed_me: Some, forage_me: Some = 0.0, displaced: float = 0.0) -> Numbers:
    """Kg dry matter of a feed that brings so many MJ a day, less the forage it displaces."""
    kg: Numbers = np.asarray(me_day, dtype=float) / (feed_me - displaced * np.asarray(forage_me, dtype=float))
    return kg
