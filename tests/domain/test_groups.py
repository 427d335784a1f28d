"""Figures of groups against pandas and SciPy on the sample herds, and against the lists and verdicts of each cow."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from herdscore.domain.assess import Assessment
from herdscore.domain.group_finding import describe_one, finding, leaning, say_interval, say_share
from herdscore.domain.group_pairs import compare
from herdscore.domain.group_paths import mean_paths
from herdscore.domain.grouping import FORTNIGHT, GROUP, WAYS, group_cows
from herdscore.domain.groups import (
    COW_LIST,
    GROUP_LIST,
    GroupFigures,
    cow_rows,
    figures,
    group_rows,
    standing,
)
from herdscore.domain.listing import ACT, FLAG_LIST, flag_lists
from herdscore.domain.records import Record
from herdscore.domain.trajectory import path
from tests.domain.group_herds import SAMPLES, fed, herds, sample
from tests.domain.herds import TODAY, assessed, calving, cow, day, score

KEYS = [key for key, _ in WAYS]


def everybody(a: Assessment) -> np.ndarray:
    return np.ones(len(a), dtype=bool)


def of_groups(a: Assessment, way: str = GROUP) -> list[GroupFigures]:
    return figures(a, standing(a), group_cows(a, way, everybody(a)))


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("way", KEYS)
def test_that_figures_are_those_of_pandas_scipy_and_statsmodels(name: str, way: str) -> None:
    a = sample(name)
    grouping = group_cows(a, way, everybody(a), set(a.snapshot.cows.id[:9]))
    found = figures(a, standing(a), grouping)
    # The table of every cow, as the flag list and the register say it.
    flags = flag_lists(a)
    table = pd.DataFrame(list(flags.rows), columns=[column.key for column in FLAG_LIST], index=list(flags.cow))
    table["of"] = grouping.of_cow[table.index]
    milk = np.array(grouping.in_milk)[table["of"]]
    target = np.where(milk, a.targets.mating_target[table.index], table["target"])
    value = np.where(milk, a.facts.score_now[table.index], a.course.mean[table.index])
    known = np.where(milk, table["score_now"].notna(), table["projected"].notna())
    table["against"] = np.where(known, value - target.astype(float), np.nan)
    table["now"] = np.where(table["score_now"].notna(), a.facts.score_now[table.index], np.nan)
    table["act"] = np.array(flags.of_list) == ACT
    for at, (group, part) in enumerate(table.groupby("of")):
        one = found[at]
        assert group == at
        assert one.cows == len(part)
        assert one.to_act == part["act"].sum()
        assert one.now.count == part["now"].count()
        described = part["against"].describe()
        assert one.against.count == described["count"]
        pairs = [
            (one.against.mean, described["mean"]),
            (one.against.spread, described["std"]),
            (one.against.median, described["50%"]),
            (one.against.lower, described["25%"]),
            (one.against.upper, described["75%"]),
            (one.now.mean, part["now"].mean()),
            (one.now.spread, part["now"].std()),
            (one.now.median, part["now"].median()),
        ]
        for mine, theirs in pairs:
            assert mine == pytest.approx(theirs, nan_ok=True, abs=1e-9)
        values = part["against"].dropna()
        if len(values) > 1:
            low, high = stats.t.interval(0.9, len(values) - 1, values.mean(), stats.sem(values))
            assert (one.mean.low, one.mean.high) == pytest.approx((low, high))
        if len(values):
            low, high = proportion_confint(one.in_band, len(values), alpha=0.1, method="wilson")
            assert (one.share.low, one.share.high) == pytest.approx((low, high), abs=1e-12)
            assert one.thin + one.in_band + one.fat == len(values)


@settings(max_examples=40)
@given(herds())
def test_that_groups_agree_cow_by_cow_with_the_flag_list(rows: list[Record]) -> None:
    a = assessed(rows)
    flags = flag_lists(a)
    for way in KEYS:
        grouping = group_cows(a, way, everybody(a))
        where = standing(a)
        found = figures(a, where, grouping)
        assert sum(one.cows for one in found) == len(flags.cow)
        assert sum(one.to_act for one in found) == flags.of_list.count(ACT)
        tags = [row[0] for row in cow_rows(a, where, grouping)]
        assert sorted(tags) == sorted(row[0] for row in flags.rows)
        for row in group_rows(a, found):
            assert len(row) == len(GROUP_LIST)
        for row in cow_rows(a, where, grouping):
            assert len(row) == len(COW_LIST)
    scored = {row[0] for row in flags.rows if row[[c.key for c in FLAG_LIST].index("score_now")] is not None}
    counted = {a.snapshot.cows.tag[i] for i in np.flatnonzero(np.isfinite(standing(a).against))}
    assert counted <= scored, "a cow without a score never counts"


def test_that_inside_the_band_is_not_flagged_and_outside_is() -> None:
    a = sample("spring")
    where = standing(a)
    dry = np.isfinite(where.against) & ~where.in_milk & (a.running.side == 0)
    assert (where.place[dry] == a.reach.side[dry]).all()
    assert {-1.0, 0.0, 1.0} == set(where.place[dry].tolist())


def test_that_a_first_calver_has_her_own_upper_end_of_the_band() -> None:
    rows = [*fed("1", 90, 3.25, 3.25, 3.25, calvings=0), *fed("2", 90, 3.25, 3.25, 3.25)]
    a = assessed(rows)
    where = standing(a)
    assert (where.against > 0.25).all()
    assert where.place.tolist() == [0.0, 1.0]


def test_that_cows_in_milk_are_measured_now_against_mating() -> None:
    one = cow("1", season="autumn", group="Quarry")
    a = assessed([one, calving(one, day(-90)), score(one, 0, 2.75)])
    where = standing(a)
    assert where.in_milk[0]
    assert where.against[0] == a.facts.score_now[0] - 2.5  # mating target of autumn calvers: Teagasc
    found = of_groups(a)[0]
    assert found.in_milk
    assert np.isnan(found.first), "she calves for nobody now"
    assert "now" in describe_one(found)


def test_that_cows_without_a_score_or_date_count_as_cows_only() -> None:
    rows = [*fed("1", 90, 2.5, 2.5, 2.5), cow("2", 90, season="spring", group="Beck side")]
    undated = cow("3", season="spring", group="Beck side")
    one = of_groups(assessed([*rows, undated, score(undated, 0, 4.0)]))[0]
    assert (one.cows, one.now.count, one.against.count) == (3, 2, 1)
    assert one.against.mean == one.against.median
    assert np.isnan(one.against.spread)
    assert one.first == 90


def test_that_a_group_without_a_score_says_so() -> None:
    a = assessed([cow("1", 90, season="spring", group="Beck side")])
    one = of_groups(a)[0]
    assert say_share(one) == ""
    assert say_interval(one) == ""
    assert not one.share.is_known
    assert describe_one(one) == "Beck side: 1 cow, none that can be compared"
    assert finding(a, group_cows(a, GROUP, everybody(a)), [one], everybody(a)) == (
        "No cow has a score and a date to be compared by"
    )
    row = dict(zip([column.key for column in GROUP_LIST], group_rows(a, [one])[0], strict=True))
    assert row["share"] is None
    assert row["in_band"] is None
    assert row["score_now"] is None


def test_that_a_herd_without_a_cow_says_so() -> None:
    a = assessed([])
    assert finding(a, group_cows(a, GROUP, everybody(a)), [], everybody(a)) == "There is no cow in the herd yet"


def test_that_a_small_group_gives_counts_and_is_never_said_to_lean() -> None:
    rows = [row for n in range(4) for row in fed(f"{n}", 90, 3.5, 3.5 + 0.25 * (n % 2), 3.5)]
    one = of_groups(assessed(rows))[0]
    assert one.is_small
    assert say_share(one) == "0 of 4"
    assert leaning(one) == 0
    more = of_groups(assessed([*rows, *fed("5", 90, 3.5, 3.5, 3.75)]))[0]
    assert not more.is_small
    assert say_share(more) == "0 of 5, 0\u00a0%"
    assert leaning(more) == 1


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("spring", "Heifer pen and Straw yard are heading thin, Cubicle shed fat"),
        ("two_blocks", "Slatted shed is heading thin, Dutch barn fat; 4 to feed for the bull"),
    ],
)
def test_that_the_finding_names_the_groups_that_lean(name: str, said: str) -> None:
    a = sample(name)
    grouping = group_cows(a, GROUP, everybody(a))
    found = figures(a, standing(a), grouping)
    assert finding(a, grouping, found, everybody(a)) == said
    thin = [one for one in found if leaning(one) == -1 and not one.in_milk]
    assert all(one.mean.high < 0 and one.thin > one.fat for one in thin)


# The way to calving


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("way", [GROUP, FORTNIGHT])
def test_that_a_way_begins_at_the_mean_today_and_ends_at_the_mean_at_calving(name: str, way: str) -> None:
    a = sample(name)
    where, grouping = standing(a), group_cows(a, way, everybody(a))
    ways = {one.name: one for one in mean_paths(a, where, grouping)}
    assert ways
    for at, group in enumerate(grouping.names):
        if group not in ways:
            continue
        one, cows = ways[group], grouping.cows(at)
        cows = cows[np.isfinite(where.against[cows]) & (a.dates.day[cows] >= 0)]
        assert one.cows == len(cows)
        assert one.end == pytest.approx(where.against[cows].mean())
        now = (a.facts.score_now - a.targets.target)[cows].mean()
        assert one.ahead[0] == pytest.approx(now)
        assert one.ahead_days[0] == pytest.approx(a.dates.day[cows].mean())
        # Half way, by the model's own way of every single cow.
        half = [
            path(a.scores, a.rulebook.model, a.course, cows[i : i + 1], a.dates.day[cows[i : i + 1]] / 2)[0][0, 0]
            for i in range(len(cows))
        ]
        assert one.ahead[12] == pytest.approx((np.clip(half, 1, 5) - a.targets.target[cows]).mean(), abs=1e-9)


def test_that_a_measured_point_is_the_mean_of_the_scores_of_a_round() -> None:
    rows = [*fed("1", 90, 3.0, 2.75, 2.5), *fed("2", 100, 3.5, 3.25), *fed("3", 110, 2.0)]
    a = assessed(rows)
    one = mean_paths(a, standing(a), group_cows(a, GROUP, everybody(a)))[0]
    # Worked out here: 80 days ago one of three was scored, too few; 40 days ago two; today all three.
    assert one.measured_cows.tolist() == [2, 3]
    assert one.measured_days.tolist() == [135.0, 100.0]
    assert one.measured == pytest.approx([(2.75 + 3.5) / 2 - 2.5, (2.5 + 3.25 + 2.0) / 3 - 2.5])


def test_that_scores_a_few_days_apart_are_one_round() -> None:
    first, second = fed("1", 90, 3.0)[0], fed("2", 90, 2.5)[0]
    rows = [first, second, score(first, -30, 3.0), score(second, -27, 2.5)]
    one = mean_paths(
        assessed(rows), standing(assessed(rows)), group_cows(assessed(rows), GROUP, np.ones(2, dtype=bool))
    )[0]
    assert one.measured_cows.tolist() == [2]
    assert one.measured[0] == pytest.approx(0.25)


# Two groups side by side


def test_that_two_groups_stand_apart_by_the_difference_of_their_means() -> None:
    a = sample("spring")
    found = of_groups(a)
    left, right = found[0], found[1]
    pair = compare(a, left, right)
    one, other = (standing(a).against[group_cows(a, GROUP, everybody(a)).cows(at)] for at in (0, 1))
    one, other = one[np.isfinite(one)], other[np.isfinite(other)]
    wanted = stats.ttest_ind(other, one, equal_var=False).confidence_interval(0.9)
    assert pair.apart is not None
    assert (pair.apart.low, pair.apart.high) == pytest.approx((wanted.low, wanted.high))
    assert pair.claim == "Heifer pen stands 0.65 below Cubicle shed at calving"
    assert "More than chance" in pair.rest
    said = {label: (of_one, of_other) for label, of_one, of_other in pair.lines}
    assert said["Cows"] == ("30", "22")
    assert said["In the band"] == (say_share(left), say_share(right))


def test_that_groups_measured_at_different_times_are_not_set_against_each_other() -> None:
    found = of_groups(sample("two_blocks"))
    milk = next(one for one in found if one.in_milk)
    pair = compare(sample("two_blocks"), found[0], milk)
    assert pair.apart is None
    assert "measured now" in pair.claim


def test_that_too_few_cows_are_not_said_to_differ() -> None:
    a = assessed([*fed("1", 90, 2.5), *fed("2", 90, 3.0, group="Quarry"), *fed("3", 90, 3.25, group="Quarry")])
    found = of_groups(a)
    assert "Too few cows" in compare(a, found[0], found[1]).rest
    assert TODAY == a.today
