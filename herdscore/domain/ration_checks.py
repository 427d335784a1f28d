"""A ration against its limits, and a change of it against what one step may be.

Rations are kg dry matter a head a day in the order of the feeds, [F]; MJ ME; days from today.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from herdscore.domain import energy
from herdscore.domain.calving_forms import MineralRules
from herdscore.domain.energy import Numbers
from herdscore.domain.feeding_forms import FeedingLimits
from herdscore.domain.feeds import Feeds, energy_in, me_per_kg, mineral_sums, share_eaten
from herdscore.domain.need import CowsFed, need
from herdscore.domain.rulebook import Rulebook

MOST_STEPS = 60
SLACK = 1e-6  # of a limit; what comes from solving and adding up


class State(StrEnum):
    """How a check came out."""

    FINE = "fine"
    CAUTION = "caution"
    REFUSED = "refused"


class Limit(StrEnum):
    """A limit on feeding, in a stockman's words."""

    NEED = "what she needs"
    WANTED = "the change wanted by calving"
    FLOOR = "share of her need"
    GAIN = "speed of gain"
    LOSS = "speed of loss"
    LATE_LOSS = "loss in the last eight weeks"
    NEVER_SLIMMED = "a cow that is never slimmed"
    INTAKE = "what she can eat"
    DM_FLOOR = "dry matter for her rumen"
    FORAGE = "forage in the ration"
    PROTEIN = "protein"
    CONCENTRATE = "concentrate a day"
    CONCENTRATE_STEP = "concentrate in one step"
    CONCENTRATE_WEEK = "concentrate in one week"
    STEP_DOWN = "step down"
    STEP_UP = "step up"
    CHANGEOVER = "change of forage in one step"
    FREEZE = "no more than need before calving"
    LATE_RISE = "rise in the last three weeks"
    STOCK = "feed in stock"
    COPPER = "copper"
    SELENIUM = "selenium"
    IODINE = "iodine"
    MAGNESIUM = "magnesium"


OF_ELEMENT = {"cu": Limit.COPPER, "se": Limit.SELENIUM, "i": Limit.IODINE, "mg": Limit.MAGNESIUM}


@dataclass(frozen=True, slots=True)
class Check:
    """One limit looked at: how it came out, the value, its bound, their unit, and the cows or feeds it names."""

    limit: Limit
    state: State
    value: float
    bound: float
    unit: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Step:
    """One gentle change: the ration from a day on, [F]."""

    day: float
    ration: Numbers


def checks_of(feeds: Feeds, ration: Numbers, cows: CowsFed, rules: Rulebook, day: float = 0.0) -> list[Check]:
    """Every limit on a ration of one day for a group; cows calved by then do not count."""
    limits = rules.feeding
    waiting = cows.only(cows.calving_day > day)
    made = [_energy_check(feeds, ration, waiting, rules, day)] if len(waiting) else []
    first = bool(waiting.first_calver.any())
    fed = np.where(feeds.is_dosed, 0.0, ration)
    dm = float(fed.sum())
    if dm <= 0:
        return [*made, Check(Limit.DM_FLOOR, State.REFUSED, 0.0, limits.dm_floor, "%")]
    protein = 100.0 * float(fed @ np.nan_to_num(feeds.cp)) / dm
    wanted = limits.protein_first_calver if first else limits.protein
    unknown = tuple(feeds.name[(fed > 0) & np.isnan(feeds.cp)])
    state = State.FINE if protein >= wanted * (1 - SLACK) else State.CAUTION
    made.append(Check(Limit.PROTEIN, state, protein, wanted, "% of DM", unknown))
    forage = 100.0 * float(fed[feeds.is_forage].sum()) / dm
    low = _state_low(forage, limits.forage_refused, limits.forage_share)
    made.append(Check(Limit.FORAGE, low, forage, limits.forage_share, "% of DM"))
    made += _intake_checks(feeds, fed, waiting, rules, day)
    concentrate = float(fed[feeds.is_concentrate].sum())
    over = State.REFUSED if concentrate > limits.concentrate_day * (1 + SLACK) else State.FINE
    made.append(Check(Limit.CONCENTRATE, over, concentrate, limits.concentrate_day, "kg DM"))
    return made + mineral_checks(feeds, ration, rules.minerals)


def mineral_checks(feeds: Feeds, ration: Numbers, rules: MineralRules, *, cover_at_grass: float = 0.0) -> list[Check]:
    """Minerals over all sources against their ceilings; g of magnesium cover at grass are warned of only."""
    made = []
    for found in mineral_sums(feeds, ration, rules):
        amount = found.amount + (cover_at_grass if found.element == "mg" else 0.0)
        share = amount / found.ceiling if found.ceiling > 0 else np.inf if amount > 0 else 0.0
        state = State.REFUSED if share > 1 + SLACK else State.CAUTION if share >= rules.warned_share else State.FINE
        covered = found.element == "mg" and 0 < cover_at_grass <= rules.magnesium_cover_most
        if covered and state is State.REFUSED and found.share <= 1:
            state = State.CAUTION
        made.append(
            Check(OF_ELEMENT[found.element], state, 100.0 * share, 100.0, "% of its ceiling", found.not_counted)
        )
    return made


def step_checks(feeds: Feeds, present: Numbers, new: Numbers, limits: FeedingLimits) -> list[Check]:
    """A change in one go against what one step may be."""
    rise, fall = _rise(feeds, present, new), _fall(feeds, present, new)
    forage = 100.0 * rise.forage / max(float(present.sum()), 1e-9)
    pairs = [
        (Limit.CONCENTRATE_STEP, rise.concentrate, limits.concentrate_step, "kg DM"),
        (Limit.STEP_UP, rise.energy, limits.step_up_mj, "MJ"),
        (Limit.STEP_DOWN, 100.0 * fall, limits.step_down, "%"),
        (Limit.CHANGEOVER, forage, limits.changeover_share, "% of DM"),
    ]
    return [
        Check(limit, State.REFUSED if value > bound * (1 + SLACK) else State.FINE, value, bound, unit)
        for limit, value, bound, unit in pairs
    ]


def largest_step(feeds: Feeds, present: Numbers, new: Numbers, limits: FeedingLimits) -> tuple[float, Limit | None]:
    """Share of a change that one step may take (1 all of it), and the limit that holds it back."""
    share, why = 1.0, None
    for check in step_checks(feeds, present, new, limits):
        if check.value > check.bound and check.bound / check.value < share:
            share, why = check.bound / check.value, check.limit
    return share, why


def dated_steps(feeds: Feeds, present: Numbers, new: Numbers, limits: FeedingLimits, day: float = 0.0) -> list[Step]:
    """A jump turned into steps from `day` on, two a week; ends short if most steps do not bring it there."""
    steps: list[Step] = []
    gap = [limits.step_days + 1, limits.step_days]
    while len(steps) < MOST_STEPS:
        share, _ = largest_step(feeds, present, new, limits)
        present = new if share >= 1 else present + share * (new - present)
        steps.append(Step(day, present))
        if share >= 1:
            break
        day += gap[(len(steps) - 1) % 2]
    return steps


@dataclass(frozen=True, slots=True)
class _Rise:
    concentrate: float
    forage: float
    energy: float


def _rise(feeds: Feeds, present: Numbers, new: Numbers) -> _Rise:
    more = np.maximum(new - present, 0.0)
    return _Rise(
        float(more[feeds.is_concentrate].sum()),
        float(more[feeds.is_forage].sum()),
        float(energy_in(feeds, new) - energy_in(feeds, present)),
    )


def _fall(feeds: Feeds, present: Numbers, new: Numbers) -> float:
    """Share by which energy or dry matter falls, whichever more."""
    falls = [0.0]
    for before, after in (
        (float(energy_in(feeds, present)), float(energy_in(feeds, new))),
        (float(present[~feeds.is_dosed].sum()), float(new[~feeds.is_dosed].sum())),
    ):
        if before > 0:
            falls.append(1.0 - after / before)
    return max(falls)


def floor_shares(cows: CowsFed, days: Numbers, rules: Rulebook) -> Numbers:
    """Least share of her need that each cow gets on each day, [N, D]: more after the lead."""
    limits = rules.feeding
    late = cows.calving_day[:, None] - days < rules.limits.lead_days
    return np.where(late, limits.floor_after_lead, limits.floor_before_lead) / 100.0


def _energy_check(feeds: Feeds, ration: Numbers, cows: CowsFed, rules: Rulebook, day: float) -> Check:
    """Offered energy against need: refused below a cow's floor, said when below the mean need."""
    offered = float(energy_in(feeds, ration))
    me = float(me_per_kg(feeds, ration))
    if not me > 0:
        return Check(Limit.NEED, State.REFUSED, 0.0, float("nan"), "MJ")
    at = np.array([day])
    needed = need(cows, me, at, rules.energy).total[:, 0]
    short = offered < needed * floor_shares(cows, at, rules)[:, 0] * (1 - SLACK)
    unfit = cows.never_slimmed & (offered < needed * (1 - SLACK))
    if short.any():
        return Check(Limit.FLOOR, State.REFUSED, offered, float(needed.mean()), "MJ", tuple(cows.tag[short]))
    state = State.CAUTION if unfit.any() else State.FINE
    return Check(Limit.NEED, state, offered, float(np.nanmean(needed)), "MJ", tuple(cows.tag[unfit]))


def _intake_checks(feeds: Feeds, fed: Numbers, cows: CowsFed, rules: Rulebook, day: float) -> list[Check]:
    if not len(cows):
        return []
    limits = rules.feeding
    weight = float(energy.live_weight(cows.frame, cows.score, rules.energy).mean())
    late = bool((cows.calving_day - day).min() <= limits.late_intake_days)
    room = 100.0 * float(share_eaten(feeds, fed, weight, limits, late=late))
    floor = 100.0 * float(share_eaten(feeds, fed, weight, limits))
    most = State.CAUTION if room > 100 * (1 + SLACK) else State.FINE
    least = _state_low(floor, limits.dm_floor, limits.dm_caution)
    return [
        Check(Limit.INTAKE, most, room, 100.0, "% of what she can eat"),
        Check(Limit.DM_FLOOR, least, floor, limits.dm_floor, "% of what she can eat"),
    ]


def _state_low(value: float, refused: float, caution: float) -> State:
    if value < refused * (1 - SLACK):
        return State.REFUSED
    return State.CAUTION if value < caution * (1 - SLACK) else State.FINE
