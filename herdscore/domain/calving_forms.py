"""What the rule tables of calving hold once they are checked: numbers, kit, and words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from herdscore.errors import Problem

Table = Mapping[str, Any]


@dataclass(frozen=True)
class CalvingRules:
    """The season's windows and things to do, and what a recorded calving is checked against; days, weeks, kg."""

    window_share: float
    ahead_weeks: int
    kept_days: int
    kit_check_days: int
    premature_days: int
    calf_earliest_days: int
    calf_latest_days: int
    between_calvings_days: int
    youngest_mother_days: int
    far_spreads: float
    lightest_calf: float
    heaviest_calf: float


@dataclass(frozen=True)
class CalfCareRules:
    """When each thing is done for a calf and her dam, and how much colostrum; hours, litres, shares of weight."""

    navel_first_minutes: int
    navel_again_hours: int
    navel_iodine_percent: float
    sucked_hours: int
    red_hours: int
    colostrum_first: float
    colostrum_hours: int
    colostrum_share: float
    first_feed_share: float
    split_feed_most: float
    calf_weight: float
    tube_share: float
    tag_days: int
    up_hours: int
    eating_hours: int
    cleansed_hours: int
    shown_days: int


@dataclass(frozen=True)
class PenRules:
    """Cows a pen, stay in days, and the measures of a pen; square metres, m, cm."""

    cows_a_pen: float
    cows_a_pen_compact: float
    stay_days: float
    stay_long_days: float
    enough_chance: float
    hospital_pens: int
    least_area: float
    short_side: float
    long_side: float
    longest_side: float
    water_height: float


@dataclass(frozen=True)
class MineralRules:
    """Doses (g a head a day), days, and ceilings in mg/kg of complete feed and of dry matter."""

    dry_mineral_grams: float
    dry_mineral_days: int
    latest_mineral_days: int
    label_low: float
    label_high: float
    bag_kg: float
    magnesium_milk: float
    magnesium_dry: float
    magnesium_milk_potassium: float
    magnesium_dry_potassium: float
    potassium_high: float
    magnesite_grams: float
    magnesite_share: float
    rich_ration_low: float
    rich_ration_high: float
    magnesium_ahead_days: int
    magnesium_latest_days: int
    magnesium_after_days: int
    young_calf_days: int
    magnesium_cover_most: float
    copper_feed: float
    copper_tolerable: float
    selenium_feed: float
    selenium_tolerable: float
    iodine_feed: float
    iodine_tolerable: float
    magnesium_tolerable: float
    complete_feed_dry: float
    warned_share: float
    eaten_dry_matter: float


@dataclass(frozen=True)
class AfterCalvingRules:
    """First heat after calving by condition, in days; the two-year-olds' fit is on the American scale."""

    score_turnout_days: int
    first_heat_spread: float
    two_year_olds_at_zero: float
    two_year_olds_per_score: float
    two_year_olds_per_change: float
    two_year_olds_change_squared: float
    two_year_olds_spread: float
    two_year_olds_leanest: float
    two_year_olds_fattest: float
    year_interval_days: int


@dataclass(frozen=True)
class LearningRules:
    """Which scores count as at calving and at mating, and how calvings are grouped; days, scores."""

    level: float
    before_calving_days: int
    after_calving_days: int
    about_mating_days: int
    leanest: float
    fattest: float
    lean_below: float
    fat_from: float
    first_weeks: int
    next_within_days: int
    enough: int
    mate_within_days: int


@dataclass(frozen=True)
class Published:
    """What others found: odds ratios of help, and percentages."""

    odds_thin: float
    odds_first_calver: float
    odds_twins: float
    odds_large_breed: float
    odds_bull_calf: float
    helped_first: float
    helped_second: float
    helped_older: float
    helped_twins: float
    difficulty_per_kg: float
    rebred_lean: float
    rebred_middle: float
    rebred_good: float
    transfer_failed: float
    transfer_short: float
    weak_labour_loss: float


@dataclass(frozen=True)
class KitRules:
    """Share of calvings helped where the herd's own record is short."""

    helped_cows: float
    helped_first_calvers: float
    own_record: int


@dataclass(frozen=True)
class KitItem:
    """One line of the kit list: plus + per_cow * cows + per_helped * helped, at least `least`."""

    key: str
    item: str
    source: str
    unit: str = ""
    plus: float = 0.0
    per_cow: float = 0.0
    per_helped: float = 0.0
    least: float = 0.0
    large_from: float = float("inf")
    large: float = float("nan")
    advice: str = ""


@dataclass(frozen=True)
class Said:
    """A word and a sentence, with braces to fill, and where it comes from."""

    word: str
    say: str
    source: str


@dataclass(frozen=True)
class CalvingWords:
    """Ease codes (0 not seen), pen standards, things to do, cautions and what others found, each by its key."""

    ease: Mapping[int, Said]
    standards: Mapping[str, Said]
    todo: Mapping[str, Said]
    caution: Mapping[str, Said]
    published: Mapping[str, Said]


NUMBERS: dict[str, tuple[str, type[Any]]] = {
    "calving": ("calving", CalvingRules),
    "calf_care": ("calf_care", CalfCareRules),
    "pens": ("pens", PenRules),
    "minerals": ("minerals", MineralRules),
    "after_calving": ("after_calving", AfterCalvingRules),
    "learning": ("learning", LearningRules),
    "published": ("published", Published),
}
"""Rule tables of plain numbers by file: the rulebook's attribute, and the form that checks them."""


def read_kit_items(table: Table) -> tuple[KitItem, ...]:
    """The kit list from `kit.toml`, in its order."""
    items = table.get("items")
    if not isinstance(items, Mapping) or not items:
        raise Problem("kit.toml: [items] is missing.", what_to_do="Put it back.")
    numbers = {f.name for f in fields(KitItem) if f.type == "float"}
    texts = {"item", "source", "unit", "advice"}
    found = []
    for key, entry in items.items():
        where = f"kit.toml: [items.{key}]"
        for name, value in entry.items():
            fits = isinstance(value, str) if name in texts else isinstance(value, int | float) and name in numbers
            if not fits or isinstance(value, bool):
                raise Problem(f"{where} {name} is {value!r}, which is not understood.", what_to_do="Mend it.")
        for name in ("item", "source"):
            if not str(entry.get(name, "")).strip():
                raise Problem(f"{where} has no {name}.", what_to_do="Put the words back.")
        found.append(KitItem(key, **entry))
    return tuple(found)


def read_calving_words(table: Table) -> CalvingWords:
    """The words from `calving_words.toml`."""
    read: dict[str, dict[str, Said]] = {}
    for section in ("ease", "standards", "todo", "caution", "published"):
        entries = table.get(section)
        if not isinstance(entries, Mapping) or not entries:
            raise Problem(f"calving_words.toml: [{section}] is missing.", what_to_do="Put it back.")
        read[section] = {key: _said(entry, f"calving_words.toml: [{section}.{key}]") for key, entry in entries.items()}
    ease = {int(code): said for code, said in read.pop("ease").items()}
    if sorted(ease) != [0, 1, 2, 3, 4, 5]:
        raise Problem("calving_words.toml: [ease] needs 0 to 5.", what_to_do="Put the words back.")
    return CalvingWords(ease, **read)


def read_cautions(table: Table) -> Mapping[str, Said]:
    """The cautions of `feeding_words.toml`, by key."""
    entries = table.get("caution")
    if not isinstance(entries, Mapping) or not entries:
        raise Problem("feeding_words.toml: [caution] is missing.", what_to_do="Put it back.")
    return {key: _said(entry, f"feeding_words.toml: [caution.{key}]") for key, entry in entries.items()}


def _said(entry: Any, where: str) -> Said:
    texts = {}
    for f in fields(Said):
        value = entry.get(f.name) if isinstance(entry, Mapping) else None
        if not isinstance(value, str) or not value.strip():
            raise Problem(f"{where} has no {f.name}.", what_to_do="Put the words back.")
        texts[f.name] = value
    return Said(**texts)
