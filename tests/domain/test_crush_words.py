"""What is said before the first cow: complete, sourced, and refused when a part is missing."""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest

from herdscore import shipped
from herdscore.domain.crush_words import read_crush_words
from herdscore.errors import Problem

TABLE = shipped.rule_tables()["crush_words"]


@pytest.mark.parametrize(
    ("kappa", "word"),
    # Altman 1991: poor to 0.20, fair to 0.40, moderate to 0.60, good to 0.80, very good above.
    [
        (-0.1, "poor"),
        (0.20, "poor"),
        (0.21, "fair"),
        (0.5, "moderate"),
        (0.8, "good"),
        (0.81, "very good"),
        (1, "very good"),
    ],
)
def test_that_a_kappa_is_put_into_the_word_of_its_range(kappa: float, word: str) -> None:
    assert read_crush_words(TABLE).of_kappa(kappa) == word


def test_that_a_kappa_nobody_knows_has_no_word() -> None:
    assert read_crush_words(TABLE).of_kappa(math.nan) == ""


def test_that_the_caution_holds_what_keeps_people_whole() -> None:
    said = " ".join(read_crush_words(TABLE).caution.say)
    for words in ("head", "outside the race", "between a loose cow and the crush", "unsafe", "Two people"):
        assert words in said


@pytest.mark.parametrize(
    ("section", "key", "value"),
    [
        ("caution", "say", []),
        ("caution", "source", " "),
        ("handling", "title", None),
        ("kappa", "say", ["good"]),
        ("kappa", "above", [0.2, 0.8, 0.6, 0.4]),
    ],
)
def test_that_a_missing_part_is_named(section: str, key: str, value: Any) -> None:
    table = copy.deepcopy(TABLE)
    table[section][key] = value
    with pytest.raises(Problem, match=rf"crush_words.toml: \[{section}\]"):
        read_crush_words(table)
