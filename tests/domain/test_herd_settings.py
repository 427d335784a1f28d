"""Settings of a herd's own: what is offered, what is refused, and in which words."""

from __future__ import annotations

import pytest

from herdscore.domain.herd_settings import SettingLine, read_name, read_number, scorers_of, setting_lines
from herdscore.domain.records import Record, Setting
from tests.domain.herds import cow, score, service
from tests.domain.recorded_herds import RULES, assessed

COW = cow("0001", due=100, breed="Limousin")


def lines(*rows: Record) -> dict[str, SettingLine]:
    return {line.name: line for line in setting_lines(assessed(COW, *rows))}


def test_that_every_setting_the_rules_declare_is_offered_with_range_unit_and_source() -> None:
    found = lines()
    assert set(found) == set(RULES.settings)
    lead = found["Lead (days)"]
    assert (lead.section, lead.value, lead.default, lead.span) == ("Limits of a change", "56", "56", "56 to 84")
    assert lead.unit == "days before calving"
    assert lead.source.startswith("common practice")
    assert all(line.unit and line.source and line.section != "Other" for line in found.values())


def test_that_a_value_of_the_herds_own_is_shown_as_its_own() -> None:
    line = lines(Setting("Target, spring", "2.75"))["Target, spring"]
    assert (line.value, line.default, line.is_own) == ("2.75", "2.5", True)
    assert not lines()["Target, spring"].is_own


def test_that_the_breeds_of_the_herd_come_forward() -> None:
    other = service(COW, "AI", COW.calving_date.replace(year=2026), sire_breed="Charolais")  # type: ignore[union-attr]
    breeds = [line.name for line in lines(other).values() if line.of_herd and line.name.startswith("Gestation")]
    assert sorted(breeds) == ["Gestation, Charolais", "Gestation, Limousin"]


@pytest.mark.parametrize(
    ("name", "typed", "text", "wrong"),
    [
        ("Target, spring", " 2,75 ", "2.75", ""),
        ("Target, spring", "", None, ""),
        ("Target, spring", "2.5", None, ""),
        ("Target, spring", "4", None, "4 is too high: 3.25 is the most."),
        ("Lead (days)", "42", None, "42 is too low: 56 is the least."),
        ("Lead (days)", "eight weeks", None, "“eight weeks” is not a number. It needs 56 to 84."),
        ("Lead (days)", "60.5", None, "It needs a whole number, 56 to 84."),
        ("Lead (days)", "70", "70", ""),
        ("Gestation, Limousin", "291", "291", ""),
    ],
)
def test_that_a_typed_value_is_kept_or_refused_in_a_sentence(
    name: str, typed: str, text: str | None, wrong: str
) -> None:
    read = read_number(lines()[name], typed, RULES, {})
    assert (read.text, read.wrong) == (text, wrong)


def test_that_a_name_is_kept_without_doubled_blanks_and_refused_when_too_long() -> None:
    assert read_name("  Beck   farm ").text == "Beck farm"
    assert read_name(" ").text is None
    assert read_name("x" * 70).wrong == "A name of 60 letters at most; this one has 70."


def test_that_scorers_are_offered_those_with_most_scores_first() -> None:
    rows = [score(COW, -day, 2.5, scorer=who) for day, who in enumerate(("B", "A", "A", None, " "))]
    assert scorers_of(assessed(COW, *rows).snapshot) == ["A", "B"]
