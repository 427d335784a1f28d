"""Splitting a group: exact against every possible split, gentle with cows near calving, and one change to undo."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from herdscore.domain.assess import assess
from herdscore.domain.changes import applied
from herdscore.domain.diets import groups_of
from herdscore.domain.feeding_groups import calving_windows
from herdscore.domain.group_split import BY_DATE, BY_NEED, moving, renamed, runs, split, wanted_change
from herdscore.domain.listing import FLAG_LIST, flag_lists
from herdscore.domain.records import Diet, Record, Round
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.verdict import Verdict
from tests.domain.group_herds import SAMPLES, fed, herds, sample
from tests.domain.herds import RULES, TODAY, assessed, cow, day, score


def cost(parts: list[np.ndarray]) -> float:
    return float(sum(((part - part.mean()) ** 2).sum() for part in parts))


def least(values: np.ndarray, most: int) -> float:
    """Least sum of squared deviations over every way to cut the sorted values into at most so many runs."""
    ordered = np.sort(values)
    return min(
        cost(np.split(ordered, cuts))
        for runs_ in range(1, min(most, len(ordered)) + 1)
        for cuts in combinations(range(1, len(ordered)), runs_ - 1)
    )


VALUES = st.lists(st.one_of(st.integers(-4, 4).map(float), st.floats(-0.06, 0.06)), min_size=1, max_size=11)


@settings(max_examples=300)
@given(VALUES, st.integers(1, 5))
@example([0.0, 0.0, 0.0], 4)
@example([1.0], 3)
def test_that_a_split_is_the_best_of_all(values: list[float], most: int) -> None:
    value = np.array(values)
    run = runs(value, most)
    used = np.unique(run)
    assert used.tolist() == list(range(len(used)))
    assert len(used) <= most
    assert cost([value[run == one] for one in used]) == pytest.approx(least(value, most), abs=1e-9)
    assert (np.diff(run[np.argsort(value, kind="stable")]) >= 0).all(), "runs are neighbours"
    assert all(len(np.unique(run[value == level])) == 1 for level in np.unique(value)), "equal needs stay together"


def test_that_a_large_group_is_split_as_well_as_a_small_one() -> None:
    value = np.random.default_rng(5).normal(size=700)
    run = runs(value, 3)
    best = cost([value[run == one] for one in range(3)])
    ordered = np.sort(value)
    sums, squares = np.concatenate([[0], np.cumsum(ordered)]), np.concatenate([[0], np.cumsum(ordered**2)])

    def of(low: np.ndarray, high: np.ndarray) -> np.ndarray:
        return squares[high] - squares[low] - (sums[high] - sums[low]) ** 2 / (high - low)

    first, second = np.triu_indices(701, 1)
    inside = (first > 0) & (second < 700)
    first, second = first[inside], second[inside]
    every = of(np.zeros_like(first), first) + of(first, second) + of(second, np.full_like(second, 700))
    assert best == pytest.approx(every.min(), rel=1e-9)


@settings(max_examples=30)
@given(st.lists(st.integers(56, 150).map(float), min_size=1, max_size=25), st.integers(1, 4))
def test_that_feeding_and_groups_part_calving_days_alike(days: list[float], most: int) -> None:
    day = np.array(days)
    window = calving_windows(day, most, most, RULES.feeding)
    mine = runs(day, most)
    parts = [[day[run == one] for one in np.unique(run)] for run in (window, mine)]
    assert cost(parts[0]) == pytest.approx(cost(parts[1]), abs=1e-6)


@pytest.mark.parametrize("name", SAMPLES)
def test_that_a_flagged_cow_wants_what_the_flag_list_says(name: str) -> None:
    a = sample(name)
    flags = flag_lists(a)
    column = [one.key for one in FLAG_LIST].index("rate_wanted")
    wanted = wanted_change(a)
    said = {cow_: row[column] for cow_, row in zip(flags.cow, flags.rows, strict=True) if row[column] is not None}
    assert said
    for cow_, rate in said.items():
        assert wanted[cow_] == pytest.approx(rate, abs=0.0051)


@settings(max_examples=60)
@given(herds(), st.integers(2, 4), st.sampled_from([BY_NEED, BY_DATE]))
def test_that_nobody_within_the_lead_or_out_of_reach_is_moved(rows: list[Record], pens: int, by: str) -> None:
    a = assessed(rows)
    cows = np.flatnonzero(~a.facts.gone)
    made = split(a, cows, pens, by)
    moved = [one[0] for one in made.of_cow]
    held = [cow_ for one in made.held for cow_ in one.cows]
    assert sorted([*moved, *held]) == cows.tolist(), "everybody is named once"
    assert len(made.pens) <= pens
    assert len({pen.name.casefold() for pen in made.pens}) == len(made.pens)
    limits = a.rulebook.limits
    for cow_ in moved:
        assert limits.lead_days <= a.dates.day[cow_] <= limits.furthest_days
        assert np.isfinite(a.facts.score_now[cow_])
        low, high = -limits.refused_loss * 7 - 1e-9, limits.refused_gain * 7 + 1e-9
        own = a.reach.expected_rate[cow_] * 7
        assert min(low, own) <= wanted_change(a)[cow_] <= max(high, own)
        assert a.verdict[cow_] not in (Verdict.SEE_THROUGH, Verdict.VET_FIRST_THIN, Verdict.NOT_IN_CALF)
    assert made.within <= made.before + 1e-12


def herd() -> list[Record]:
    """Two thin, two on course, one fat, one near calving and one never scored."""
    rows: list[Record] = [
        *fed("1", 90, 2.0, 2.0, 2.0),
        *fed("2", 95, 2.0, 2.0, 2.0),
        *fed("3", 90, 3.0, 3.0, 2.75),
        *fed("4", 92, 3.0, 3.0, 2.75),
        *fed("5", 91, 3.75, 3.75, 3.75),
        *fed("6", 30, 2.0, 2.0, 2.0),
        cow("7", 90, season="spring", group="Beck side"),
        Diet("d", "Beck side", day(-65), "winter feed"),
    ]
    return rows


def test_that_the_thinnest_come_first_and_who_stays_is_named() -> None:
    a = assessed(herd())
    made = split(a, np.arange(7), 3)
    assert [len(pen.cows) for pen in made.pens] == [2, 2, 1]
    assert [set(pen.cows) for pen in made.pens] == [{0, 1}, {2, 3}, {4}]
    assert made.pens[0].mean > made.pens[1].mean > made.pens[2].mean
    assert {one.why: one.cows for one in made.held} == {"under 56 days to calving": (5,), "to score": (6,)}
    assert "Beck side" in [pen.name for pen in made.pens], "the group goes on as one of the pens"
    assert len(made.moves) == 5 - max(len(pen.cows) for pen in made.pens)


@pytest.mark.parametrize(("due", "is_moved"), [(57, True), (56, True), (55, False), (45, False)])
def test_that_a_cow_on_course_is_moved_up_to_the_56_day_line_and_not_past_it(due: int, is_moved: bool) -> None:
    a = assessed([*fed("1", due, 2.75, 2.5, 2.75), *fed("2", 100, 2.0, 2.0, 2.0)])
    assert not a.reach.never_slimmed[0]
    assert a.verdict[0] == Verdict.ON_COURSE
    for by in (BY_NEED, BY_DATE):
        made = split(a, np.arange(2), 2, by)
        assert (0 in [cow_ for cow_, _, _ in made.of_cow]) == is_moved
        assert [one.why for one in made.held] == ([] if is_moved else ["under 56 days to calving"])


def test_that_pens_of_the_newest_round_are_used_by_name() -> None:
    rows: list[Record] = [*herd(), Round("r", "January", TODAY, lean_pen="Top yard", fat_pen="Far close")]
    made = split(assessed(rows), np.arange(7), 3)
    names = [pen.name for pen in made.pens]
    assert "Far close" in names
    thin = assessed(rows).reach.side[list(made.pens[0].cows)]
    assert (thin == -1).all()


def test_that_one_need_is_not_split() -> None:
    rows = [row for n in range(4) for row in fed(f"{n}", 90, 2.0)]
    made = split(assessed(rows), np.arange(4), 3)
    assert len(made.pens) == 1
    assert made.moves == ()
    assert moving(assessed(rows).snapshot, made, TODAY) is None


def test_that_a_split_by_date_keeps_the_order_of_calving() -> None:
    rows = [row for n, due in enumerate((60, 62, 140, 141, 20)) for row in fed(f"{n}", due, 2.5, 2.5, 2.5)]
    made = split(assessed(rows), np.arange(5), 2, BY_DATE)
    assert [pen.cows for pen in made.pens] == [(0, 1), (2, 3)]
    assert (made.pens[0].low, made.pens[0].high) == (60.0, 62.0)
    assert made.held[0].cows == (4,)


def test_that_moves_are_one_change_that_can_be_taken_back() -> None:
    a = assessed(herd())
    made = split(a, np.arange(7), 3)
    made = renamed(made, ["Top yard", "Beck side", "Far close"])
    change = moving(a.snapshot, made, TODAY)
    assert change is not None
    after = applied(a.snapshot, change)
    groups = groups_of(after, TODAY)
    now = [groups.names[g] for g in groups.now.tolist()]
    assert now == ["Top yard", "Top yard", "Beck side", "Beck side", "Far close", "Beck side", "Beck side"]
    assert len(made.moves) == 3
    assert assess(after, RULES, TODAY).course.n_scores.tolist() == a.course.n_scores.tolist()
    back = applied(after, change.inverse())
    assert groups_of(back, TODAY).now.tolist() == a.groups.now.tolist()
    assert len(back.moves) == 0


def test_that_all_groups_together_take_the_name_most_of_a_pens_cows_bear() -> None:
    a = sample("spring")
    made = split(a, np.flatnonzero(~a.facts.gone), 4)
    assert len(made.pens) == 4
    here = [a.groups.names[g] for g in a.groups.now.tolist()]
    for pen in made.pens:
        if pen.name in here:
            assert any(here[cow_] == pen.name for cow_ in pen.cows)
    moved = {cow_ for cow_, _, _ in made.moves}
    assert all(here[cow_] == pen.name for pen in made.pens for cow_ in pen.cows if cow_ not in moved)


def test_that_the_number_of_pens_is_a_setting_of_the_herd() -> None:
    assert RULES.groups.pens == 4  # Teagasc; Irish Farmers Journal: three or four groups at most
    own, problems = RULES.with_settings({"Pens": "2"})
    assert not problems
    assert own.groups.pens == 2
    kept, problems = RULES.with_settings({"Pens": "40"})
    assert kept.groups.pens == 4
    assert str(problems[0]).startswith("Setting “Pens” says “40”")
    assert isinstance(own, Rulebook)


def test_that_scores_of_an_unknown_day_do_not_matter() -> None:
    one = cow("1", 90, season="spring", group="Beck side")
    a = assessed([one, score(one, -5, 2.5), *fed("2", 100, 2.25, 2.25, 2.25)])
    made = split(a, np.arange(2), 2)
    assert {cow_ for cow_, _, _ in made.of_cow} == {0, 1}
