"""What each cow needs on any day, what she can eat, and what a ration does to her score.

Arrays of cows by days; days count from today. MJ ME, kg dry matter, kg.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from herdscore.domain import energy, energy_second
from herdscore.domain.energy import Flags, Numbers, Some
from herdscore.domain.feeding_forms import EnergyRules

Places = npt.NDArray[np.intp]
Text = npt.NDArray[np.object_]


@dataclass(frozen=True, eq=False)
class CowsFed:
    """What the energy sums know of N cows, one value a cow [N]; days from today."""

    row: Places  # her place in the herd
    tag: Text
    score: Numbers
    frame: Numbers  # shrunk weight at the middle of the scale, kg
    weight_assumed: Flags  # not weighed: from her breed or the herd's figure
    first_calver: Flags
    twins: Flags
    never_slimmed: Flags
    breed: Numbers  # times the book's maintenance
    calf: Numbers  # kg at birth
    calving_day: Numbers
    spread: Numbers  # of the calving date, one SD
    milk: Numbers  # kg a day until dry
    dry_day: Numbers  # day her calf is weaned; in the past for a dry cow
    target: Numbers
    lower: Numbers
    upper: Numbers

    def __len__(self) -> int:
        return len(self.row)

    def only(self, chosen: Flags | Places) -> CowsFed:
        """Some of the cows."""
        return CowsFed(**{f.name: getattr(self, f.name)[chosen] for f in fields(self)})


@dataclass(frozen=True, eq=False)
class Need:
    """MJ ME a day to keep condition level, [N, D]; NaN without a calving date."""

    maintenance: Numbers
    pregnancy: Numbers
    milk: Numbers

    @property
    def total(self) -> Numbers:
        """All of it, [N, D]."""
        return self.maintenance + self.pregnancy + self.milk


def need(cows: CowsFed, me: Some, days: Numbers, rules: EnergyRules, score: Numbers | None = None) -> Need:
    """Need of every cow on every day, on a ration of `me` MJ/kg DM (one, [D] or [N, D]); `score` [N] or [N, D]."""
    shrunk = energy.shrunk_weight(cows.frame[:, None], _by_day(cows, score), rules)
    suckling = days < cows.dry_day[:, None]
    times = _with_twins(cows, rules)
    return Need(
        times * energy.maintenance(shrunk, me, rules, breed=cows.breed[:, None], suckling=suckling),
        times * energy.pregnancy(_gestation_day(cows, days, rules), cows.calf[:, None], rules),
        times * energy.milk(np.where(suckling, cows.milk[:, None], 0.0), me, rules),
    )


def need_second(cows: CowsFed, me: Some, days: Numbers, rules: EnergyRules, score: Numbers | None = None) -> Need:
    """The same by the second system, without its safety margin."""
    weight = energy.live_weight(cows.frame[:, None], _by_day(cows, score), rules)
    suckling = days < cows.dry_day[:, None]
    times = _with_twins(cows, rules)
    return Need(
        times * energy_second.maintenance(weight, me, rules, walking=suckling),
        times * energy_second.pregnancy(_gestation_day(cows, days, rules), cows.calf[:, None], rules),
        times * energy_second.milk(np.where(suckling, cows.milk[:, None], 0.0), me, rules),
    )


def _by_day(cows: CowsFed, score: Numbers | None) -> Numbers:
    at = cows.score if score is None else score
    return at[:, None] if at.ndim == 1 else at


def _with_twins(cows: CowsFed, rules: EnergyRules) -> Numbers:
    return np.where(cows.twins, rules.twins, 1.0)[:, None]


def _gestation_day(cows: CowsFed, days: Numbers, rules: EnergyRules) -> Numbers:
    day: Numbers = rules.gestation - (cows.calving_day[:, None] - days)
    return day


def score_rate(cows: CowsFed, balance: Numbers, me: Some, score: Numbers, rules: EnergyRules) -> Numbers:
    """Score a day that so many MJ ME above (or below) need move each cow at a score; all [N, D]."""
    body = balance * energy.body_per_me(balance, me, rules)
    first = cows.first_calver[:, None]
    per_score = energy.energy_per_score(cows.frame[:, None], score, rules)
    rate: Numbers = body / (per_score * energy.own_factor(balance, first, rules))
    return rate


def balance_of_rate(cows: CowsFed, rate: Some, me: Some, score: Numbers, rules: EnergyRules) -> Numbers:
    """MJ ME a day above need that move each cow by so much score a day; the way back from `score_rate`."""
    first = cows.first_calver[:, None]
    per_score = energy.energy_per_score(cows.frame[:, None], score, rules)
    body = rate * per_score * energy.own_factor(rate, first, rules)
    return energy.me_of_change(body, me, rules)


@dataclass(frozen=True, eq=False)
class Fed:
    """What rations do over P periods: score at their ends [N, P + 1], from the first one's start; need [N, P]."""

    score: Numbers
    need: Numbers
    at_calving: Numbers  # [N], score on her calving day, or at the end of what was fed
    fastest_gain: Numbers  # [N], score a day
    fastest_loss: Numbers  # [N], score a day, positive
    lowest_share: Numbers  # [N], offered / need in her leanest period


def project_fed(
    cows: CowsFed, starts: Numbers, lengths: Numbers, offered: Numbers, me: Numbers, rules: EnergyRules
) -> Fed:
    """Feed every cow `offered` MJ a day of rations of `me` MJ/kg DM, each [P], until she calves.

    Need is taken in the middle of each period; periods of one day give the exact course.
    """
    n, periods = len(cows), len(starts)
    middle = starts + (lengths - 1) / 2
    fixed = need(cows, me, middle, rules)
    at_one = fixed.maintenance / energy.shrunk_weight(cows.frame, cows.score, rules)[:, None] ** rules.maintenance_power
    beside = fixed.pregnancy + fixed.milk
    spent = np.clip(cows.calving_day[:, None] - starts, 0.0, lengths)
    score, needed = np.empty((n, periods + 1)), np.empty((n, periods))
    now = score[:, 0] = cows.score
    gain, loss = np.zeros(n), np.zeros(n)
    k = energy.net_share(me, rules)
    for place in range(periods):
        shrunk = energy.shrunk_weight(cows.frame, now, rules)
        needed[:, place] = at_one[:, place] * shrunk**rules.maintenance_power + beside[:, place]
        balance = offered[place] - needed[:, place]
        body = balance * k[place] / np.where(balance > 0, rules.gain_multiplier, rules.loss_saves)
        after = energy.score_after(cows.frame, now, body * spent[:, place], cows.first_calver, rules)
        with np.errstate(invalid="ignore", divide="ignore"):
            rate = np.where(spent[:, place] > 0, (after - now) / spent[:, place], 0.0)
        gain, loss = np.maximum(gain, rate), np.maximum(loss, -rate)
        now = score[:, place + 1] = after
    share = np.where(spent > 0, offered / needed, np.inf)
    return Fed(score, needed, score[:, -1], gain, loss, share.min(axis=1, initial=np.inf))
