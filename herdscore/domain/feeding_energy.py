"""What offered energy may be in each period of a group's plan, and what each MJ does to its cows.

Straight lines about a course: k of each ration and each cow's score on the way are held. Cows by periods [N, P].
"""

from __future__ import annotations

import numpy as np

from herdscore.domain import energy
from herdscore.domain.energy import Flags, Numbers
from herdscore.domain.feeding_periods import Periods
from herdscore.domain.feeding_programme import EnergyRows, OneCow
from herdscore.domain.need import CowsFed, Places, balance_of_rate, need
from herdscore.domain.ration_checks import Limit, floor_shares
from herdscore.domain.rulebook import Rulebook

HEADROOM = 0.02  # of a refused rate; what straight lines may miss
FLOOR_ROOM = 0.005  # of need
OVER_NEED = 0.03  # of need; so that a ration fed to need need not change every week
SURE = 0.5  # of what a cow's course may give away


def energy_rows(
    cows: CowsFed,
    periods: Periods,
    me: Numbers,
    score: Numbers,
    offered: Numbers | None,
    present: float | None,
    aim: int,
    wanted: float,
    tolerance: float,
    rules: Rulebook,
    margin: float = 0.0,
) -> EnergyRows:
    """Energy limits of a plan about a course: `me` [P] of the rations, `score` [N, P] at each period's start.

    `margin` is a share of a refused rate, and score of a cow never slimmed, kept back beside the usual headroom.
    """
    needed = need(cows, me, periods.middle, rules.energy, score).total
    gains = np.full(needed.shape, aim > 0) if offered is None else offered > needed
    per_mj = _score_per_mj(cows, periods, me, score, gains, rules)
    floor, floor_cow, cap, cap_cow = _bounds(cows, periods, me, score, margin, rules)
    waiting = periods.spent
    mean_need = (needed * waiting).sum(axis=0) / np.maximum(waiting.sum(axis=0), 1e-9)
    wanted_line = np.maximum(mean_need, floor)
    line = need_line(periods, wanted_line, present, rules)
    single = _single(cows, periods, per_mj, needed, aim, margin, rules)
    protected = np.where((waiting > 0) & cows.never_slimmed[:, None], needed, 0.0).max(axis=0, initial=0.0)
    highest = need_line(periods, np.maximum(np.maximum((1 + OVER_NEED) * mean_need, protected), floor), present, rules)
    before = np.arange(len(periods)) < periods.back
    uplift = min(_uplift(before, mean_need, line, highest, single), rules.feeding.hold_over_need / 100.0)
    hold = np.maximum(mean_need * (1 + uplift), floor) if aim == 0 else mean_need
    up_to = {0: (1 + OVER_NEED) * hold, -1: np.maximum(mean_need, floor)}.get(aim, np.full(len(periods), np.nan))
    why_no_more = np.where(before, Limit.NEED, np.where(line < wanted_line, Limit.LATE_RISE, Limit.FREEZE))
    return EnergyRows(
        floor=floor,
        floor_cow=floor_cow,
        cap=np.maximum(cap, floor),
        cap_cow=cap_cow,
        least=np.where(before, hold if aim >= 0 else np.nan, line),
        most=np.where(before, up_to, np.maximum(highest, (1 + OVER_NEED) * line)),
        most_of=tuple(why_no_more),
        score_per_mj=per_mj.mean(axis=0),
        score_at_need=-float((per_mj * needed).mean(axis=0).sum()),
        wanted=wanted,
        tolerance=tolerance,
        cows=len(cows),
        single=single,
    )


def _uplift(before: Flags, mean_need: Numbers, line: Numbers, highest: Numbers, single: list[OneCow]) -> float:
    """Share of need that a group held level gets on top, so that no cow never slimmed ends lower."""
    share = 0.0
    for one in single:
        held = float((one.per_mj * np.where(before, mean_need, np.maximum(line, highest))).sum())
        reach = float((one.per_mj * np.where(before, mean_need, 0.0)).sum())
        if reach > 0:
            share = max(share, (one.least - held) / reach)
    return share


def need_line(periods: Periods, needed: Numbers, present: float | None, rules: Rulebook) -> Numbers:
    """Need of the group [P], in the last weeks rising no faster than allowed over the days before."""
    limits = rules.feeding
    line = needed.copy()
    most = 1.0 + limits.rise_in_freeze / 100.0
    for p in range(periods.back, len(periods)):
        then = periods.start[p] - limits.rise_days
        if p == 0 or (periods.back == 0 and then < 0):
            base = present
        else:
            base = float(line[max(int(np.searchsorted(periods.start, then, side="right")) - 1, periods.back)])
        if base is not None:
            line[p] = min(line[p], most * base)
    return line


def _score_per_mj(
    cows: CowsFed, periods: Periods, me: Numbers, score: Numbers, gains: Flags, rules: Rulebook
) -> Numbers:
    """Score that a MJ a day over each period moves each cow, [N, P]."""
    sign = np.where(gains, 1.0, -1.0)
    body = energy.body_per_me(sign, me, rules.energy)
    per_score = energy.energy_per_score(cows.frame[:, None], score, rules.energy)
    own = energy.own_factor(sign, cows.first_calver[:, None], rules.energy)
    moved: Numbers = periods.spent * body / (per_score * own)
    return moved


def _bounds(
    cows: CowsFed, periods: Periods, me: Numbers, score: Numbers, margin: float, rules: Rulebook
) -> tuple[Numbers, Places, Numbers, Places]:
    """Least and most MJ by period so that no cow waiting is below her floor or moves too fast, and who she is, [P]."""
    waiting = periods.spent > 0
    last = periods.start + periods.length - 1
    at_end = need(cows, me, last, rules.energy, score).total
    at_start = need(cows, me, periods.start, rules.energy, score).total
    share = floor_shares(cows, last, rules) * (1 + FLOOR_ROOM)
    losing = balance_of_rate(cows, -rules.limits.refused_loss * (1 - HEADROOM - margin), me, score, rules.energy)
    gaining = balance_of_rate(cows, rules.limits.refused_gain * (1 - HEADROOM - margin), me, score, rules.energy)
    floors = np.where(waiting, np.maximum(share * at_end, at_end + losing), -np.inf)
    caps = np.where(waiting, at_start + gaining, np.inf)
    return floors.max(axis=0), floors.argmax(axis=0), caps.min(axis=0), caps.argmin(axis=0)


def _single(
    cows: CowsFed, periods: Periods, per_mj: Numbers, needed: Numbers, aim: int, margin: float, rules: Rulebook
) -> list[OneCow]:
    """Rows of single cows: one never slimmed ends no lower, and none loses much after the lead."""
    rows = []
    at_need = (per_mj * needed).sum(axis=1)
    for cow in np.flatnonzero(cows.never_slimmed):
        least = float(at_need[cow]) - SURE * rules.feeding.slack_never_slimmed + margin
        rows.append(OneCow(Limit.NEVER_SLIMMED, int(cow), per_mj[cow], least))
    if aim < 0:
        late = _late_share(cows, periods, rules)
        for cow in np.flatnonzero(late.sum(axis=1) > 0):
            of_late = per_mj[cow] * late[cow]
            least = float((of_late * needed[cow]).sum()) - (1 - HEADROOM) * rules.feeding.loss_after_lead
            rows.append(OneCow(Limit.LATE_LOSS, int(cow), of_late, least))
    return rows


def _late_share(cows: CowsFed, periods: Periods, rules: Rulebook) -> Numbers:
    """Share of each period's waiting days that lie between her lead and her freeze, [N, P]."""
    calving = cows.calving_day[:, None]
    begins = np.maximum(periods.start, calving - rules.limits.lead_days)
    ends = np.minimum(periods.start + periods.length, calving - rules.limits.freeze_days)
    days = np.maximum(ends - begins, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(periods.spent > 0, days / periods.spent, 0.0)
