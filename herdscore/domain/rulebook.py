"""The checked form of the rule tables: every threshold the program uses, with its source.

A table is a mapping as parsed from `resources/rules/*.toml`; this module reads no file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from herdscore.errors import Problem

Table = Mapping[str, Any]
T = TypeVar("T")


@dataclass(frozen=True)
class Limits:
    """Limits on feeding changes; days, scores; rates are for half a score."""

    lead_days: int
    freeze_days: int
    ramp_days: int
    furthest_days: int
    planning_gain_days: float
    planning_loss_days: float
    refused_gain_days: float
    refused_loss_days: float
    never_slimmed_at: float
    vet_plan_at: float

    @property
    def planning_gain(self) -> float:
        """Gentlest useful gain, score a day."""
        return 0.5 / self.planning_gain_days

    @property
    def planning_loss(self) -> float:
        """Gentle loss, score a day, as a positive number."""
        return 0.5 / self.planning_loss_days

    @property
    def refused_gain(self) -> float:
        """Gain above which a plan is refused, score a day."""
        return 0.5 / self.refused_gain_days

    @property
    def refused_loss(self) -> float:
        """Loss above which a plan is refused, score a day, as a positive number."""
        return 0.5 / self.refused_loss_days

    @property
    def lost_days(self) -> int:
        """Days before calving that no change for condition can use: freeze and ramps."""
        return self.freeze_days + self.ramp_days


@dataclass(frozen=True)
class Targets:
    """Scores aimed at by block, and the band about them."""

    autumn_calving: float
    spring_calving: float
    band: float
    first_calver_offset: float
    first_calver_fat: float
    mating_floor_autumn: float
    mating_floor_spring: float
    mating_target_autumn: float
    mating_target_spring: float
    fall_since_calving: float


@dataclass(frozen=True)
class ModelParameters:
    """Parameters of the trajectory model; score units and days."""

    score_sd: float
    default_grain: float
    day_bias_sd: float
    scorer_bias_sd: float
    cow_level_sd: float
    wander_sd: float
    wander_memory_days: float
    cow_rate_sd: float
    group_level_sd: float
    herd_level: float
    herd_level_sd: float
    group_rate_sd: float
    max_age_days: int
    undated_age_days: int
    level: float
    after_calving_days: int
    rate_unknown: float
    rate_unknown_sd: float
    rate_winter: float
    rate_winter_sd: float
    rate_grass: float
    rate_grass_sd: float
    rate_after_calving: float
    rate_after_calving_sd: float
    rate_hold: float
    rate_hold_sd: float
    rate_stated_sd: float
    by_eye_sd: float
    one_site_sd: float

    @property
    def class_means(self) -> tuple[float, ...]:
        """Expected rate of diet class 0 unknown, 1 winter, 2 grass, 3 after calving, 4 hold."""
        return (self.rate_unknown, self.rate_winter, self.rate_grass, self.rate_after_calving, self.rate_hold)

    @property
    def class_sds(self) -> tuple[float, ...]:
        """Spread of the rates of `class_means`."""
        return (
            self.rate_unknown_sd,
            self.rate_winter_sd,
            self.rate_grass_sd,
            self.rate_after_calving_sd,
            self.rate_hold_sd,
        )


def read_numbers(form: type[T], table: Table, file: str) -> T:
    """Check one table of numbers against its dataclass; a Problem names file and key."""
    wanted = {f.name: f.type for f in fields(form)}  # type: ignore[arg-type]
    for key in table:
        if key not in wanted:
            raise Problem(f"{file}: [{key}] is not a number this program knows.", what_to_do="Take it out.")
    values: dict[str, float | int] = {}
    for key, kind in wanted.items():
        entry = table.get(key)
        if not isinstance(entry, Mapping):
            raise Problem(f"{file}: [{key}] is missing.", what_to_do="Put it back with value, unit and source.")
        if not str(entry.get("source", "")).strip():
            raise Problem(f"{file}: [{key}] has no source.", what_to_do="Say where the number comes from.")
        values[key] = _checked(entry.get("value"), entry, whole=kind == "int", where=f"{file}: [{key}]")
    return form(**values)


def _checked(value: object, entry: Table, *, whole: bool, where: str) -> float | int:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Problem(f"{where} value is {value!r}, not a number.", what_to_do="Write a number.")
    if whole and value != int(value):
        raise Problem(f"{where} value is {value}, not a whole number.", what_to_do="Write whole days.")
    low, high = entry.get("lowest"), entry.get("highest")
    if (low is not None and value < low) or (high is not None and value > high):
        raise Problem(f"{where} value {value} is outside {low} to {high}.", what_to_do="Choose a value in between.")
    return int(value) if whole else float(value)
