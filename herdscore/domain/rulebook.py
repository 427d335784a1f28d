"""The checked form of the rule tables: every threshold the program uses, with its source.

A table is a mapping as parsed from `resources/rules/*.toml`; this module reads no file.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from typing import Any, TypeVar

from herdscore.domain import calving_forms, feeding_forms
from herdscore.domain.calving_forms import (
    AfterCalvingRules,
    CalfCareRules,
    CalvingRules,
    CalvingWords,
    KitItem,
    KitRules,
    LearningRules,
    MineralRules,
    PenRules,
    Published,
    Said,
)
from herdscore.domain.crush_forms import CrushRules
from herdscore.domain.feeding_forms import BookFeed, BreedEnergy, EnergyRules, FeedingLimits
from herdscore.domain.group_forms import GroupRules
from herdscore.domain.rule_forms import (
    Breed,
    DateRules,
    Limits,
    ModelParameters,
    NoteRule,
    SettingRule,
    SheetLimits,
    Targets,
    VerdictThresholds,
    VerdictWords,
)
from herdscore.domain.year_forms import YearTargets
from herdscore.errors import Problem

__all__ = ["Limits", "ModelParameters", "Rulebook", "read_numbers"]

Table = Mapping[str, Any]
T = TypeVar("T")


OWN_DAY, HERD_NAME, REFERENCE_SCORER = "Own day", "Herd name", "Reference scorer"
_OTHERS = ("breeds", "breed_energy", "feeds", "words", "notes", "kit", "calving_words", "feeding_words")
"""Rule tables that are not plain numbers."""
PLAIN_SETTINGS = (OWN_DAY, HERD_NAME, REFERENCE_SCORER)
BREEDS, GESTATION_OF = "breeds", "Gestation, {}"
"""A herd's own gestation length of a breed is the setting “Gestation, Limousin”, days."""
_SHORTEST, _LONGEST = 270, 300


@dataclass(frozen=True)
class Rulebook:
    """Every rule table, checked."""

    limits: Limits
    targets: Targets
    model: ModelParameters
    verdicts: VerdictThresholds
    dates: DateRules
    sheet: SheetLimits
    crush: CrushRules
    calving: CalvingRules
    calf_care: CalfCareRules
    pens: PenRules
    minerals: MineralRules
    after_calving: AfterCalvingRules
    learning: LearningRules
    published: Published
    energy: EnergyRules
    feeding: FeedingLimits
    groups: GroupRules
    year: YearTargets
    kit: KitRules
    kit_items: tuple[KitItem, ...]
    calving_words: CalvingWords
    feeding_cautions: Mapping[str, Said]
    breeds: Mapping[str, Breed]
    breed_energy: Mapping[str, BreedEnergy]
    book_feeds: Mapping[str, BookFeed]
    words: Mapping[str, VerdictWords]
    phrases: Mapping[str, str]
    notes: Mapping[str, NoteRule]
    settings: Mapping[str, SettingRule]
    own_day: date | None = None
    herd_name: str | None = None
    reference_scorer: str | None = None
    tables: Mapping[str, Table] = field(default_factory=dict, repr=False)

    @staticmethod
    def from_tables(tables: Mapping[str, Table]) -> Rulebook:
        """Check the tables by file name without ending; the first fault is a Problem naming file and key."""
        for name in (
            *_NUMBERS,
            "breeds",
            "breed_energy",
            "feeds",
            "words",
            "notes",
            "kit",
            "calving_words",
            "feeding_words",
        ):
            if name not in tables:
                raise Problem(f"{name}.toml is missing from the rules.", what_to_do="Install the program again.")
        numbers = {
            attribute: read_numbers(form, tables[name], f"{name}.toml") for name, (attribute, form) in _NUMBERS.items()
        }
        words, phrases = _words(tables["words"])
        return Rulebook(
            **numbers,
            kit=read_numbers(KitRules, {k: v for k, v in tables["kit"].items() if k != "items"}, "kit.toml"),
            kit_items=calving_forms.read_kit_items(tables["kit"]),
            calving_words=calving_forms.read_calving_words(tables["calving_words"]),
            feeding_cautions=calving_forms.read_cautions(tables["feeding_words"]),
            breeds=_breeds(tables["breeds"]),
            breed_energy=feeding_forms.read_breed_energy(tables["breed_energy"]),
            book_feeds=feeding_forms.read_book_feeds(tables["feeds"]),
            words=words,
            phrases=phrases,
            notes=_notes(tables["notes"]),
            settings=_setting_rules(tables),
            tables=tables,
        )

    @property
    def known_settings(self) -> tuple[str, ...]:
        """Names a herd's Settings may hold."""
        return (*PLAIN_SETTINGS, *self.settings)

    def with_settings(self, settings: Mapping[str, str]) -> tuple[Rulebook, list[Problem]]:
        """The rules under a herd's own settings, and the settings that could not be used."""
        if not settings:
            return self, []
        changed: dict[str, dict[str, Any]] = {name: dict(self.tables[name]) for name in (*_NUMBERS, BREEDS)}
        plain: dict[str, Any] = {}
        problems: list[Problem] = []
        for name, text in settings.items():
            try:
                if name in PLAIN_SETTINGS:
                    plain[name] = date.fromisoformat(text.strip()) if name == OWN_DAY else text.strip()
                elif name in self.settings:
                    rule = self.settings[name]
                    entry = {**changed[rule.table][rule.key], rule.field: float(text.replace(",", "."))}
                    changed[rule.table][rule.key] = entry
                    if rule.table == BREEDS:
                        _breeds({rule.key: entry})
                    else:
                        read_numbers(_NUMBERS[rule.table][1], changed[rule.table], "Settings")
                else:
                    problems.append(Problem(f"“{name}” is not a setting this program knows.", "", "It is not used."))
            except (ValueError, Problem):
                if name in self.settings:
                    rule = self.settings[name]
                    changed[rule.table][rule.key] = self.tables[rule.table][rule.key]
                    span = f"a number from {rule.lowest:g} to {rule.highest:g}"
                else:
                    span = "a date such as 2027-01-12"
                problems.append(Problem(f"Setting “{name}” says “{text}”.", f"It needs {span}.", "It is not used."))
        made = Rulebook.from_tables({**self.tables, **changed})
        made = replace(
            made,
            own_day=plain.get(OWN_DAY),
            herd_name=plain.get(HERD_NAME) or None,
            reference_scorer=plain.get(REFERENCE_SCORER) or None,
            tables=self.tables,
        )
        return made, problems

    def breed(self, text: str | None) -> Breed | None:
        """The breed a text names: its own line, a cross's line, else the first breed named; None when unknown."""
        if not text:
            return None
        key = _breed_key(text)
        if key in self.breeds:
            return self.breeds[key]
        for part in re.split(r" x |/", key):
            part = re.sub(r"\b(cross|x)\b", "", part).strip()
            if part in self.breeds:
                return self.breeds[part]
        return None


def _breed_key(text: str) -> str:
    spaced = re.sub(r"\s*[×*]\s*|\s+[xX]\s+|(?<=[A-Z])x(?=[A-Z])", " x ", text.strip())
    return re.sub(r"\s+", " ", spaced.replace("’", "'")).casefold()


def _breeds(table: Table) -> dict[str, Breed]:
    breeds: dict[str, Breed] = {}
    for name, entry in table.items():
        where = f"breeds.toml: [{name}]"
        if not str(entry.get("source", "")).strip():
            raise Problem(f"{where} has no source.", what_to_do="Say where the number comes from.")
        span = {"lowest": _SHORTEST, "highest": _LONGEST}
        gestation = _checked(entry.get("gestation"), span, whole=False, where=where)
        breed = Breed(name, gestation, entry.get("note"))
        for spelled in (name, *entry.get("also", ())):
            breeds[_breed_key(spelled)] = breed
    return breeds


def _words(table: Table) -> tuple[dict[str, VerdictWords], dict[str, str]]:
    words: dict[str, VerdictWords] = {}
    for name, entry in table.items():
        if name == "phrases":
            continue
        words[name] = VerdictWords(**_texts(VerdictWords, entry, f"words.toml: [{name}]"))
    if "phrases" not in table:
        raise Problem("words.toml: [phrases] is missing.", what_to_do="Put it back.")
    return words, dict(table["phrases"])


def _notes(table: Table) -> dict[str, NoteRule]:
    notes: dict[str, NoteRule] = {}
    for name, entry in table.items():
        texts = _texts(NoteRule, entry, f"notes.toml: [{name}]", wanted=("word", "say", "source"))
        extra: dict[str, Any] = {
            key: float(entry[key]) for key in ("value", "within_days", "limit_days", "share", "apart") if key in entry
        }
        notes[name] = replace(NoteRule(**texts), **extra)
    return notes


def _texts(form: type, entry: Any, where: str, wanted: tuple[str, ...] = ()) -> dict[str, Any]:
    texts = {}
    for key in wanted or tuple(f.name for f in fields(form)):
        value = entry.get(key) if isinstance(entry, Mapping) else None
        if not isinstance(value, str) or not value:
            raise Problem(f"{where} has no {key}.", what_to_do="Put the words back.")
        texts[key] = value
    return texts


def _setting_rules(tables: Mapping[str, Table]) -> dict[str, SettingRule]:
    numbers = {
        entry["setting"]: SettingRule(name, key, float(entry["lowest"]), float(entry["highest"]))
        for name in _NUMBERS
        for key, entry in tables[name].items()
        if "setting" in entry
    }
    lengths = {
        GESTATION_OF.format(breed): SettingRule(BREEDS, breed, _SHORTEST, _LONGEST, "gestation")
        for breed in tables[BREEDS]
    }
    return {**numbers, **lengths}


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
    # Written so that "nan" in a herd's Settings is outside every range.
    if (low is not None and not value >= low) or (high is not None and not value <= high):
        raise Problem(f"{where} value {value} is outside {low} to {high}.", what_to_do="Choose a value in between.")
    return int(value) if whole else float(value)


_NUMBERS: dict[str, tuple[str, type[Any]]] = {
    "limits": ("limits", Limits),
    "targets": ("targets", Targets),
    "trajectory": ("model", ModelParameters),
    "verdicts": ("verdicts", VerdictThresholds),
    "calving_dates": ("dates", DateRules),
    "sheet_limits": ("sheet", SheetLimits),
    "crush": ("crush", CrushRules),
    **calving_forms.NUMBERS,
    **feeding_forms.NUMBERS,
    "groups": ("groups", GroupRules),
    "year_targets": ("year", YearTargets),
}
