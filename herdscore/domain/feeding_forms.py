"""What the rule tables of feeding hold once checked: energy sums, limits on rations, book feeds, breeds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from herdscore.domain.records import FEED_KINDS
from herdscore.errors import Problem

Table = Mapping[str, Any]


@dataclass(frozen=True)
class EnergyRules:
    """Coefficients of the energy sums, in the units of energy.toml."""

    joules: float
    middle_score: float
    middle_nine: float
    nine_per_score: float
    shrunk: float
    empty: float
    fat_per_nine: float
    protein_at_zero: float
    protein_per_nine: float
    fat_energy: float
    protein_energy: float
    weight_per_nine: float
    energy_of_gain_1996: float
    first_calver_gain: float
    first_calver_loss: float
    gain_multiplier: float
    loss_saves: float
    maintenance: float
    maintenance_power: float
    maintenance_multiplier: float
    suckling_maintenance: float
    diet_1: float
    diet_2: float
    diet_3: float
    diet_0: float
    gestation: float
    latest_day: float
    calf_weight: float
    calf_weight_continental: float
    pregnancy_level: float
    pregnancy_level_day: float
    pregnancy_growth: float
    pregnancy_growth_day: float
    pregnancy_net: float
    conceptus_level: float
    conceptus_growth: float
    conceptus_growth_day: float
    milk: float
    suckled_days: float
    milk_fat: float
    milk_solids: float
    milk_per_fat: float
    milk_per_solids: float
    milk_constant: float
    twins: float
    weight_at_middle: float
    weight_age_days: float
    first_calver_weight_age_days: float
    ramp_in_days: float
    ramp_out_days: float
    tune_cows: int
    tune_gap: float
    tune_spread: float
    tune_lowest: float
    tune_highest: float
    gross_energy: float
    km_slope: float
    km_constant: float
    kl_slope: float
    kl_constant: float
    kf_slope: float
    kf_constant: float
    kc: float
    kt: float
    fasting: float
    fasting_weight: float
    fasting_power: float
    activity_housed: float
    activity_walking: float
    gestation_level: float
    gestation_fall: float
    gestation_rate: float
    gestation_calf: float
    gestation_slope: float
    calf_power: float
    calf_constant: float
    calf_divisor: float
    weight_change: float
    weight_loss_me: float
    safety_margin: float
    ufl: float


@dataclass(frozen=True)
class FeedingLimits:
    """Limits on a ration and its steps, in the units of feeding.toml."""

    dm_floor: float
    dm_caution: float
    floor_before_lead: float
    floor_after_lead: float
    loss_after_lead: float
    concentrate_step: float
    step_days: float
    concentrate_week: float
    concentrate_day: float
    one_feed: float
    step_down: float
    step_up_mj: float
    changeover_share: float
    changeover_days: float
    forage_share: float
    forage_refused: float
    protein: float
    protein_first_calver: float
    protein_caution: float
    back_days: int
    rise_in_freeze: float
    rise_days: float
    slack_never_slimmed: float
    hold_within: float
    hold_over_need: float
    concentrate_weight: float
    energy_weight: float
    change_slack: float
    even_slack: float
    capacity_straw: float
    capacity_poor: float
    capacity_average: float
    capacity_good: float
    me_straw: float
    me_poor: float
    me_average: float
    me_average_top: float
    me_good: float
    displaced: float
    late_intake: float
    late_intake_days: float
    dmd_to_me: float
    dmd_lowest: float
    dmd_highest: float
    dmd_to_domd: float
    copper_wanted: float
    selenium_wanted: float
    iodine_wanted: float
    magnesium_wanted: float
    magnesium_wanted_suckling: float
    window_days: float
    group_step: float
    forage_dm_lowest: float
    dry_dm_lowest: float
    me_lowest: float
    me_highest_forage: float
    me_highest_straw: float
    me_highest: float
    protein_highest: float


@dataclass(frozen=True)
class BookFeed:
    """A feed as the books have it: dry matter %, MJ ME/kg dry matter, crude protein % of dry matter."""

    name: str
    kind: str
    dm: float
    me: float
    cp: float
    source: str


@dataclass(frozen=True)
class BreedEnergy:
    """What a breed changes in the energy sums; weight in kg at score 3.0, NaN the herd's."""

    maintenance: float = 1.0
    weight: float = float("nan")
    continental: bool = False


NUMBERS: dict[str, tuple[str, type[Any]]] = {
    "energy": ("energy", EnergyRules),
    "feeding": ("feeding", FeedingLimits),
}
"""Rule tables of plain numbers by file: the rulebook's attribute, and the form that checks them."""


def read_book_feeds(table: Table) -> dict[str, BookFeed]:
    """The feeds of `feeds.toml` by name."""
    feeds = {}
    for name, entry in table.items():
        where = f"feeds.toml: [{name}]"
        _sourced(entry, where)
        kind = entry.get("kind")
        if kind not in FEED_KINDS:
            raise Problem(f"{where} kind is {kind!r}.", what_to_do=f"Write one of {', '.join(FEED_KINDS)}.")
        dm, me, cp = (_within(entry, key, top, where) for key, top in (("dm", 100.0), ("me", 16.0), ("cp", 60.0)))
        feeds[name] = BookFeed(name, kind, dm, me, cp, entry["source"])
    return feeds


def read_breed_energy(table: Table) -> dict[str, BreedEnergy]:
    """The breeds of `breed_energy.toml` by name."""
    breeds = {}
    for name, entry in table.items():
        where = f"breed_energy.toml: [{name}]"
        _sourced(entry, where)
        numbers = {
            key: _within(entry, key, top, where)
            for key, top in (("maintenance", 1.5), ("weight", 1200.0))
            if key in entry
        }
        breeds[name] = BreedEnergy(**numbers, continental=bool(entry.get("continental", False)))
    return breeds


def _sourced(entry: Any, where: str) -> None:
    if not isinstance(entry, Mapping) or not str(entry.get("source", "")).strip():
        raise Problem(f"{where} has no source.", what_to_do="Say where the numbers come from.")


def _within(entry: Table, key: str, top: float, where: str) -> float:
    value = entry.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= top:
        raise Problem(f"{where} {key} is {value!r}.", what_to_do=f"Write a number above 0, up to {top:g}.")
    return float(value)
