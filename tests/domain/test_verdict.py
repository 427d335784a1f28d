"""The verdict table: every row, every boundary, and its properties over the whole input space."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore import shipped
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.verdict import EASING, Verdict, VerdictFacts, score_by_days, verdicts

RULES = Rulebook.from_tables(shipped.rule_tables())
CASES = tomllib.loads((Path(__file__).parents[1] / "cases" / "verdicts.toml").read_text("utf-8"))["case"]
ON_COURSE: dict[str, Any] = {
    "gone": False,
    "not_in_calf": False,
    "score_now": 2.5,
    "last": 2.5,
    "last_day": -10.0,
    "calved_day": np.nan,
    "fall": np.nan,
    "mating_floor": 2.0,
    "bull_in": np.nan,
    "bull_out": np.nan,
    "calving_day": 90.0,
    "spread": 6.0,
    "target": 2.5,
    "side": 0.0,
    "chance_thin": 0.2,
    "chance_fat": 0.2,
    "acted": 0,
    "begun": np.nan,
    "latest": np.nan,
    "act_by": np.nan,
}


def facts_of(*cows: dict[str, Any]) -> VerdictFacts:
    rows = [{**ON_COURSE, **cow} for cow in cows]
    kinds = {"gone": bool, "not_in_calf": bool, "acted": np.int8}
    return VerdictFacts(
        **{f.name: np.array([r[f.name] for r in rows], kinds.get(f.name, float)) for f in fields(VerdictFacts)}
    )


def verdict_of(**facts: Any) -> Verdict:
    return Verdict(verdicts(facts_of(facts), RULES.limits, RULES.verdicts, RULES.targets.fall_since_calving)[0])


@pytest.mark.parametrize("case", CASES, ids=[case["says"] for case in CASES])
def test_that_a_cow_gets_the_first_row_that_fits(case: dict[str, Any]) -> None:
    assert verdict_of(**case["facts"]).key == case["verdict"]


def test_that_the_cases_reach_every_verdict() -> None:
    assert {case["verdict"] for case in CASES} == {verdict.key for verdict in Verdict}


def test_that_every_verdict_has_words_a_mark_and_a_list() -> None:
    assert set(RULES.words) == {verdict.key for verdict in Verdict}


def test_that_the_herd_of_all_cases_says_the_same_as_each_cow_alone() -> None:
    herd = verdicts(
        facts_of(*[case["facts"] for case in CASES]), RULES.limits, RULES.verdicts, RULES.targets.fall_since_calving
    )
    assert [Verdict(code).key for code in herd] == [case["verdict"] for case in CASES]


@pytest.mark.parametrize(("days", "by"), [(90, 21), (80, 15), (66, 1), (65, 0), (57, 0)])
def test_that_the_next_score_is_wanted_by_day_65_or_in_three_weeks(days: int, by: int) -> None:
    facts = facts_of({"calving_day": float(days), "side": 1, "chance_fat": 0.7, "score_now": 2.4})
    codes = verdicts(facts, RULES.limits, RULES.verdicts, RULES.targets.fall_since_calving)
    assert Verdict(codes[0]) is Verdict.GAINING_WELL
    assert score_by_days(codes, facts, RULES.verdicts)[0] == by


ANY = st.one_of(st.just(np.nan), st.floats(-1e6, 1e6))
SCORE = st.one_of(st.just(np.nan), st.floats(0, 6))
CHANCE = st.one_of(st.just(np.nan), st.floats(0, 1))
COWS = st.fixed_dictionaries(
    {
        "gone": st.booleans(),
        "not_in_calf": st.booleans(),
        "score_now": SCORE,
        "last": SCORE,
        "last_day": st.one_of(st.just(np.nan), st.floats(-365, 0)),
        "calved_day": st.one_of(st.just(np.nan), st.floats(-1e5, 0)),
        "fall": ANY,
        "mating_floor": SCORE,
        "bull_in": ANY,
        "bull_out": ANY,
        "calving_day": st.one_of(ANY, st.integers(-40, 170).map(float)),
        "spread": st.floats(0, 60),
        "target": SCORE,
        "side": st.sampled_from([-1.0, 0.0, 1.0, np.nan]),
        "chance_thin": CHANCE,
        "chance_fat": CHANCE,
        "acted": st.sampled_from([-1, 0, 1]),
        "begun": st.one_of(st.just(np.nan), st.floats(-1e5, 0)),
        "latest": st.one_of(st.just(np.nan), st.floats(0, 94)),
        "act_by": st.one_of(st.just(np.nan), st.floats(0, 94)),
    }
)


@given(COWS)
@settings(max_examples=1500, deadline=None)
def test_that_no_flagged_cow_is_on_course_and_no_late_cow_begins_a_change(cow: dict[str, Any]) -> None:
    verdict = verdict_of(**cow)
    flagged = cow["side"] in (-1.0, 1.0)
    if flagged:
        assert verdict not in (Verdict.ON_COURSE, Verdict.SCORE_AGAIN)
    if verdict in EASING:
        assert flagged
        assert cow["calving_day"] >= RULES.limits.lead_days
        assert cow["calving_day"] - cow["spread"] > RULES.limits.freeze_days
        assert np.fmin(cow["score_now"], cow["last"]) > RULES.verdicts.vet_thin or np.isnan(
            np.fmin(cow["score_now"], cow["last"])
        )
