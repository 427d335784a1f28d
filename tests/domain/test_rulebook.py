"""The rule tables: complete, sourced, checked when read, and changed only within their ranges by a herd."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest

from herdscore import shipped
from herdscore.domain.rulebook import Rulebook
from herdscore.errors import Problem

TABLES = shipped.rule_tables()
NUMBERS = (
    *(
        "limits",
        "targets",
        "trajectory",
        "verdicts",
        "calving_dates",
        "crush",
        "calving",
        "calf_care",
        "pens",
        "minerals",
    ),
    *("after_calving", "learning", "published", "energy", "feeding", "year_targets"),
)


def broken(file: str, key: str, **entry: Any) -> dict[str, Any]:
    tables = copy.deepcopy(TABLES)
    tables[file][key] = {**tables[file].get(key, {}), **entry}
    return tables


@pytest.mark.parametrize("file", NUMBERS)
def test_that_every_number_has_a_unit_and_a_source(file: str) -> None:
    for key, entry in TABLES[file].items():
        assert str(entry.get("unit", "")).strip(), key
        assert str(entry.get("source", "")).strip(), key


def test_that_no_source_is_a_web_address() -> None:
    assert not re.search(r"https?:|www\.|\.com|\.org|\.net", str(TABLES))


@pytest.mark.parametrize(
    ("file", "key", "entry", "says"),
    [
        ("limits", "lead_days", {"source": " "}, r"limits.toml: \[lead_days\] has no source"),
        ("limits", "lead_days", {"value": "56"}, r"limits.toml: \[lead_days\] value is '56', not a number"),
        ("limits", "lead_days", {"value": 56.5}, r"\[lead_days\] value is 56.5, not a whole number"),
        ("limits", "lead_days", {"value": 20}, r"\[lead_days\] value 20 is outside 56 to 84"),
        ("targets", "band", {"value": True}, r"targets.toml: \[band\] value is True"),
        ("verdicts", "new_thing", {"value": 1, "source": "x"}, r"verdicts.toml: \[new_thing\] is not a number"),
        ("breeds", "Limousin", {"gestation": 200}, r"breeds.toml: \[Limousin\] value 200"),
        ("words", "on_course", {"why": ""}, r"words.toml: \[on_course\] has no why"),
        ("notes", "twins", {"source": ""}, r"notes.toml: \[twins\] has no source"),
    ],
)
def test_that_a_fault_in_a_table_names_file_and_key(file: str, key: str, entry: dict[str, Any], says: str) -> None:
    with pytest.raises(Problem, match=says):
        Rulebook.from_tables(broken(file, key, **entry))


def test_that_a_missing_number_and_a_missing_file_are_named() -> None:
    tables = copy.deepcopy(TABLES)
    del tables["limits"]["freeze_days"]
    with pytest.raises(Problem, match=r"limits.toml: \[freeze_days\] is missing"):
        Rulebook.from_tables(tables)
    with pytest.raises(Problem, match=r"notes\.toml is missing"):
        Rulebook.from_tables({name: table for name, table in TABLES.items() if name != "notes"})


def test_that_a_herds_setting_moves_its_rule_and_leaves_the_shipped_one() -> None:
    rules = Rulebook.from_tables(TABLES)
    own, problems = rules.with_settings({"Target, spring": "2,75", "Herd name": "Skerrowby"})
    assert not problems
    assert (own.targets.spring_calving, own.herd_name) == (2.75, "Skerrowby")
    assert rules.targets.spring_calving == 2.5


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("Lead (days)", "30"),
        ("Freeze (days)", "7"),
        ("Target, spring", "lots"),
        ("Target, spring", "nan"),
        ("Gestation, Limousin", "250"),
        ("Gestation, Unicorn", "289"),
        ("Own day", "soon"),
        ("Colour", "red"),
    ],
)
def test_that_a_setting_that_cannot_be_used_is_said_and_changes_nothing(name: str, value: str) -> None:
    rules = Rulebook.from_tables(TABLES)
    own, problems = rules.with_settings({name: value})
    assert len(problems) == 1
    assert name in str(problems[0])
    assert (own.limits, own.targets, own.breeds, own.own_day) == (rules.limits, rules.targets, rules.breeds, None)


def test_that_a_herds_own_gestation_length_of_a_breed_replaces_the_shipped_one() -> None:
    rules = Rulebook.from_tables(TABLES)
    assert "Gestation, Limousin" in rules.known_settings
    own, problems = rules.with_settings({"Gestation, Limousin": "287"})
    assert not problems
    for text in ("Limousin", "LM", "Limousin x"):
        breed = own.breed(text)
        assert breed is not None
        assert breed.gestation == 287
    shipped_breed = rules.breed("Limousin")
    assert shipped_breed is not None
    assert shipped_breed.gestation == 289


@pytest.mark.parametrize(
    ("file", "section", "key", "entry", "says"),
    [
        ("kit", "items", "jack", {"source": ""}, r"kit.toml: \[items.jack\] has no source"),
        ("kit", "items", "jack", {"plus": "two"}, r"kit.toml: \[items.jack\] plus is 'two'"),
        ("kit", "items", "jack", {"colour": "red"}, r"kit.toml: \[items.jack\] colour"),
        ("calving_words", "ease", "4", {"word": " "}, r"calving_words.toml: \[ease.4\] has no word"),
        ("calving_words", "ease", "6", {"word": "x", "say": "x", "source": "x"}, r"\[ease\] needs 0 to 5"),
    ],
)
def test_that_a_fault_in_the_kit_or_the_words_of_calving_is_named(
    file: str, section: str, key: str, entry: dict[str, Any], says: str
) -> None:
    tables = copy.deepcopy(TABLES)
    tables[file][section][key] = {**tables[file][section].get(key, {}), **entry}
    with pytest.raises(Problem, match=says):
        Rulebook.from_tables(tables)


def test_that_the_limits_are_those_of_the_trade() -> None:
    # Eight weeks and three weeks: common practice. Half a score in 6-8 weeks: Irish Farmers Journal, read.
    limits = Rulebook.from_tables(TABLES).limits
    assert (limits.lead_days, limits.freeze_days) == (56, 21)
    assert limits.planning_gain < 0.5 / (7 * 8) < limits.refused_gain == 0.5 / (7 * 6)
    assert limits.planning_loss < limits.refused_loss == 0.5 / (7 * 8)
