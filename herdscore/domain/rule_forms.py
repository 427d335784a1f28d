"""What each rule table holds once it is checked, as plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass


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
    halves_cows: int

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


@dataclass(frozen=True)
class VerdictThresholds:
    """Thresholds of the verdict table; chances, scores and days."""

    flag_chance: float
    keep_chance: float
    again_chance: float
    vet_thin: float
    vet_fat: float
    vet_fat_days: int
    in_milk_days: int
    bull_ahead_days: int
    score_before_bull_days: int
    default_bull_in_days: int
    soon_days: int
    running_days: int
    old_score_days_near: int
    near_days: int
    old_score_days_far: int
    again_age_days: int
    again_from_days: int
    again_to_days: int
    score_by_days: int
    feel_again_apart: float
    confirm_apart: float


@dataclass(frozen=True)
class DateRules:
    """How calving dates and their spreads follow from what is known; days."""

    gestation: float
    first_calver_shift: float
    twins_shift: float
    male_shift: float
    spread_service: float
    spread_service_breed_unknown: float
    spread_bull_learned: float
    learned_calvings: int
    spread_between_bulls: float
    spread_within_bull: float
    spread_scan: float
    spread_scan_mid: float
    spread_scan_late: float
    spread_breed_mean: float
    spread_foetal_age: float
    scan_from_days: int
    scan_to_days: int
    scan_mid_to_days: int
    typed_service: float
    typed_scan: float
    typed_bull_run: float
    typed_told: float
    typed_by_hand: float
    cycle_days: int
    conception_share: float
    spread_gestation_bull_run: float
    bull_run_days: int
    agree_days: int
    noted_days: int
    uses_up_days: int
    first_heat_at_zero: float
    first_heat_per_score: float
    spring_from_month: int
    autumn_from_month: int
    crown_rump_days: int


@dataclass(frozen=True)
class SheetLimits:
    """What a cell of a sheet read in may hold before it is taken for a slip; kg, days, MJ, shares of 100."""

    weight_lowest: float
    weight_highest: float
    calf_weight_lowest: float
    calf_weight_highest: float
    calvings_highest: int
    foetal_age_highest: int
    weekly_change_most: float
    dry_matter_lowest: float
    energy_highest: float
    protein_highest: float
    earliest_year: int
    years_ahead: int
    shortest_pregnancy_days: int
    youngest_mother_days: int
    ration_highest: float
    most_calves: int


@dataclass(frozen=True)
class Breed:
    """A breed of sire or dam: gestation in days, and what its scores need said of them."""

    name: str
    gestation: float
    note: str | None = None


@dataclass(frozen=True)
class VerdictWords:
    """What a verdict is called, its mark, the list it stands on, and sentences with braces to fill."""

    word: str
    mark: str
    list: str
    advice: str
    why: str


@dataclass(frozen=True)
class NoteRule:
    """One note: its word, its sentence with braces to fill, and its thresholds."""

    word: str
    say: str
    source: str
    value: float = float("nan")
    within_days: float = float("nan")
    limit_days: float = float("nan")
    share: float = float("nan")
    apart: float = float("nan")


@dataclass(frozen=True)
class SettingRule:
    """Where a herd's own setting goes, and the range it may have."""

    table: str
    key: str
    lowest: float
    highest: float
    field: str = "value"
