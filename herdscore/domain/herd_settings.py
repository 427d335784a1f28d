"""The settings a herd may have of its own: what each is now, its range, unit and source, and reading a typed value."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from herdscore.domain.assess import Assessment
from herdscore.domain.herd import Snapshot
from herdscore.domain.rulebook import BREEDS, HERD_NAME, OWN_DAY, REFERENCE_SCORER, Rulebook

SECTIONS = {
    "targets": "Targets",
    "limits": "Limits of a change",
    "verdicts": "Verdicts",
    "groups": "Groups",
    "crush": "Scoring",
    "calving": "Before calving",
    "pens": "Calving pens",
    "calf_care": "The new calf",
    "minerals": "Minerals",
    "energy": "Energy and weight",
    "feeding": "Feeding",
    "after_calving": "After calving",
    "learning": "Learning from calvings",
    BREEDS: "Gestation of a breed",
}
"""Rule tables in the order their settings are shown, and what they are called."""
_OTHER = "Other"
_NUMBER = re.compile(r"[+\-−]?\d*[.,]?\d+")
_LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class SettingLine:
    """One setting of a number: as it is now and by default, as text; its range, unit, and where the default is from."""

    name: str
    section: str
    value: str
    default: str
    lowest: float
    highest: float
    unit: str
    source: str
    of_herd: bool
    """Of a breed: whether the herd has it. Always true of the others."""

    @property
    def is_own(self) -> bool:
        """Whether the herd has a value of its own."""
        return self.value != self.default

    @property
    def span(self) -> str:
        """Its range in words."""
        return f"{_said(self.lowest, self.unit)} to {_said(self.highest, self.unit)}"


@dataclass(frozen=True, slots=True)
class ReadSetting:
    """What was typed: the text to keep (None takes the default), or a sentence that says what is wrong."""

    text: str | None = None
    wrong: str = ""


def setting_lines(assessment: Assessment) -> list[SettingLine]:
    """Every number a herd may set, section by section."""
    rules, kept = assessment.rulebook, assessment.snapshot.setting
    breeds = _breeds_of_herd(assessment)
    lines = []
    for name, rule in rules.settings.items():
        entry = rules.tables[rule.table][rule.key]
        unit = "days" if rule.table == BREEDS else str(entry.get("unit", ""))
        default = _said(float(entry[rule.field]), unit)
        value = _shown(kept.get(name), default, rule.lowest, rule.highest, unit)
        section = SECTIONS.get(rule.table, _OTHER)
        of_herd = rule.table != BREEDS or rule.key in breeds or name in kept
        line = SettingLine(
            name, section, value, default, rule.lowest, rule.highest, unit, str(entry["source"]), of_herd
        )
        lines.append(line)
    order = [*SECTIONS.values(), _OTHER]
    return sorted(lines, key=lambda line: order.index(line.section))


def _said(number: float, unit: str) -> str:
    """A number as it is written; a whole score keeps its decimal."""
    said = f"{number:g}"
    return f"{said}.0" if unit.split(" ")[0] == "score" and "." not in said else said


def _shown(text: str | None, default: str, lowest: float, highest: float, unit: str) -> str:
    """A kept value as it counts: one that cannot be used leaves the default."""
    if text is None:
        return default
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return default
    return _said(number, unit) if lowest <= number <= highest else default


def _breeds_of_herd(assessment: Assessment) -> set[str]:
    snapshot, rules = assessment.snapshot, assessment.rulebook
    named = {*snapshot.cows.breed.tolist(), *snapshot.services.sire_breed.tolist()}
    found = (rules.breed(name) for name in named)
    return {breed.name for breed in found if breed is not None}


def read_number(line: SettingLine, typed: str, rules: Rulebook, kept: Mapping[str, str]) -> ReadSetting:
    """Read a typed value of a setting; empty takes the default back."""
    text = "".join(typed.split())
    if not text:
        return ReadSetting()
    if not _NUMBER.fullmatch(text):
        return ReadSetting(wrong=f"“{typed.strip()}” is not a number. It needs {line.span}.")
    number = float(text.replace("−", "-").replace(",", "."))
    if number < line.lowest:
        return ReadSetting(wrong=f"{number:g} is too low: {_said(line.lowest, line.unit)} is the least.")
    if number > line.highest:
        return ReadSetting(wrong=f"{number:g} is too high: {_said(line.highest, line.unit)} is the most.")
    said = f"{number:g}"
    if number == float(line.default):
        return ReadSetting()
    others = {name: value for name, value in kept.items() if name != line.name}
    _, problems = rules.with_settings({**others, line.name: said})
    if any(f"“{line.name}”" in problem.what for problem in problems):
        return ReadSetting(wrong=f"It needs a whole number, {line.span}.")
    return ReadSetting(said)


def read_name(typed: str) -> ReadSetting:
    """Read the herd's name; empty takes the name of the file."""
    text = " ".join(typed.split())
    if len(text) > _LONGEST_NAME:
        return ReadSetting(wrong=f"A name of {_LONGEST_NAME} letters at most; this one has {len(text)}.")
    return ReadSetting(text or None)


def scorers_of(snapshot: Snapshot) -> list[str]:
    """Everybody who scored this herd, most scores first."""
    names = [" ".join(name.split()) for name in snapshot.scores.scorer.tolist() if name and name.strip()]
    return [name for name, _ in Counter(names).most_common()]


PLAIN = (HERD_NAME, REFERENCE_SCORER, OWN_DAY)
"""Settings that are no numbers."""
