"""A block through its year: months against pandas, targets by hand, years that begin where they should, odd states."""

from __future__ import annotations

import math
from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest

from herdscore import headless, shipped
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK
from herdscore.domain.records import (
    AUTUMN,
    BULL_IN,
    BY_HAND,
    HOUSING,
    SPRING,
    TURNOUT,
    WEANING,
    CalendarDay,
    Calving,
    Cow,
    Record,
    Score,
    Setting,
)
from herdscore.domain.season_outcomes import outcomes_of
from herdscore.domain.through_the_year import ThroughYear, add_months, finding, same_day, through_the_year
from tests.domain.recorded_herds import TODAY, assessed, scored
from tests.domain.season_herds import SEASONS_TODAY, three_seasons
from tests.domain.test_season_figures import SAMPLES, score_frame

_WORDS = (("above", "below"), ("more", "less"))


def year_of(a: Assessment, block: int) -> ThroughYear:
    return through_the_year(a, outcomes_of(a.snapshot, a.rulebook, a.today), block)


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("block", [AUTUMN_BLOCK, SPRING_BLOCK])
def test_that_means_and_spreads_by_month_agree_with_pandas_on_the_sample_herds(name: str, block: int) -> None:
    herd = headless.read(shipped.sample_herds() / Path(name), None, TODAY)
    a = assess(herd.snapshot, herd.rulebook, herd.today)
    frame = score_frame(a.snapshot)
    frame = frame[(a.block[frame.cow.to_numpy()] == block) & (frame.day <= pd.Timestamp(a.today))]
    frame = frame.assign(month=frame.day.dt.to_period("M").dt.to_timestamp())
    by_cow = frame.groupby(["month", "cow"]).felt.mean()
    wanted = by_cow.groupby("month").agg(["count", "mean", "std"])
    found = {one.month: one for line in year_of(a, block).lines for one in line.months}
    assert sorted(found) == [when.date() for when in wanted.index]
    for when, (count, mean, spread) in zip(wanted.index, wanted.itertuples(index=False), strict=True):
        one = found[when.date()]
        assert one.cows == count
        assert one.mean == pytest.approx(mean)
        assert one.spread == pytest.approx(spread)


def herd_with_a_calendar(*more: Record) -> list[Record]:
    cow = Cow("c", "0001", season=SPRING, calvings=3, calving_date=date(2027, 3, 20), date_from=BY_HAND)
    events = [
        CalendarDay("w", SPRING, WEANING, date(2026, 10, 20)),
        CalendarDay("h", SPRING, HOUSING, date(2026, 11, 10)),
        CalendarDay("t", SPRING, TURNOUT, date(2027, 4, 25)),
        CalendarDay("b", SPRING, BULL_IN, date(2027, 6, 5)),
    ]
    return [cow, Calving("k", "c", date(2026, 3, 20)), *events, *more]


def test_that_targets_stand_at_their_days_with_the_figures_of_the_rules() -> None:
    year = year_of(assessed(*herd_with_a_calendar()), SPRING_BLOCK)
    # Weaning 3.0, housing 3.0-3.5, calving 2.5, turnout 2.0+, mating 2.0-2.5: Teagasc, spring calvers; eight weeks
    # before calving worked out as a straight line.
    assert [(one.name, one.day, one.target) for one in year.targets] == [
        ("weaning", date(2026, 10, 20), 3.0),
        ("housing", date(2026, 11, 10), 3.25),
        ("−56 days", date(2027, 1, 23), 2.625),
        ("calving", date(2027, 3, 20), 2.5),
        ("turnout", date(2027, 4, 25), 2.25),
        ("bull in", date(2027, 6, 5), 2.25),
    ]
    assert year.band == 0.25


def test_that_between_two_moments_the_target_runs_straight_and_from_the_last_to_the_first_of_next_year() -> None:
    year = year_of(assessed(*herd_with_a_calendar()), SPRING_BLOCK)
    assert year.target_on(date(2026, 10, 20)) == 3.0
    middle = date(2027, 1, 23) + timedelta(days=28)
    assert year.target_on(middle) == pytest.approx(2.5625)
    # From 5 June at 2.25 to 20 October at 3.0 are 137 days; 13 August is the 69th of them.
    assert year.target_on(date(2026, 8, 13)) == pytest.approx(2.25 + 0.75 * 69 / 137, abs=0.002)
    assert year.target_on(date(2025, 1, 23)) == pytest.approx(2.625)  # of an earlier year the same day


def test_that_a_target_of_the_herds_own_moves_calving_and_the_weeks_before_it() -> None:
    year = year_of(assessed(*herd_with_a_calendar(), Setting("Target, spring", "2.75")), SPRING_BLOCK)
    aims = {one.name: one.target for one in year.targets}
    assert (aims["calving"], aims["−56 days"], aims["housing"]) == (2.75, 2.875, 3.25)


def test_that_without_a_calendar_only_calving_and_the_weeks_before_it_have_targets() -> None:
    cow = Cow("c", "1", season=AUTUMN, calvings=3, calving_date=date(2027, 9, 14), date_from=BY_HAND)
    year = year_of(assessed(cow), AUTUMN_BLOCK)
    assert [(one.name, one.target) for one in year.targets] == [("−56 days", 2.875), ("calving", 3.0)]
    assert math.isnan(year.target_on(date(2027, 2, 1)))
    assert math.isfinite(year.target_on(date(2027, 8, 1)))


@pytest.mark.parametrize(
    ("calves", "today", "begins"),
    [
        (date(2027, 3, 20), date(2027, 1, 12), date(2026, 8, 1)),
        (date(2027, 3, 20), date(2026, 8, 1), date(2026, 8, 1)),
        (date(2027, 3, 20), date(2026, 7, 31), date(2025, 8, 1)),
        (date(2027, 2, 5), date(2027, 1, 12), date(2026, 7, 1)),
        (date(2027, 5, 5), date(2027, 1, 12), date(2026, 10, 1)),
    ],
)
def test_that_a_year_begins_seven_months_before_the_month_of_calving(calves: date, today: date, begins: date) -> None:
    cow = Cow("c", "1", season=SPRING, calvings=3, calving_date=calves, date_from=BY_HAND)
    assert year_of(assessed(cow, today=today), SPRING_BLOCK).begins == begins


def test_that_a_cow_scored_twice_in_a_month_counts_once_and_scores_ahead_not_at_all() -> None:
    cows = [Cow(f"c{n}", f"{n}", season=SPRING, calvings=3, calving_date=date(2027, 3, 20)) for n in (1, 2)]
    scores = [
        scored(cows[0], date(2027, 1, 4), 8, 8, 8),
        scored(cows[0], date(2027, 1, 10), 10, 10, 10),
        scored(cows[1], date(2027, 1, 10), 12, 12, 12),
        scored(cows[1], date(2027, 1, 20), 20, 20, 20),
    ]
    (month,) = year_of(assessed(*cows, *scores, today=date(2027, 1, 12)), SPRING_BLOCK).lines[0].months
    assert (month.cows, month.mean) == (2, pytest.approx((2.25 + 3.0) / 2))
    assert month.spread == pytest.approx(0.75 / math.sqrt(2))
    assert month.day == date(2027, 1, 8)


def test_that_three_years_are_shown_newest_first_and_the_finding_names_target_and_year_before() -> None:
    a = assessed(*three_seasons(years=4), today=SEASONS_TODAY)
    year = year_of(a, SPRING_BLOCK)
    assert [line.name for line in year.lines] == ["spring 2027", "spring 2026", "spring 2025"]
    now, before = (line.months[2] if line.name != "spring 2027" else line.months[-1] for line in year.lines[:2])
    said = finding(year)
    assert said.startswith(f"Spring 2027: mean {now.mean:.2f} in January, ")
    assert (now.month.month, before.month.month) == (1, 1)
    gaps = (now.mean - year.target_on(now.day), now.mean - before.mean)
    words = [f"{abs(gap):.2f} {high if gap > 0 else low}" for gap, (high, low) in zip(gaps, _WORDS, strict=True)]
    assert said.endswith(f", {words[0]} target, {words[1]} than a year before")


def test_that_a_year_without_a_score_keeps_its_place_between_two_others() -> None:
    cow = Cow("c", "1", season=SPRING, calvings=4, calving_date=date(2027, 3, 20), date_from=BY_HAND)
    scores = [Score(f"s{day}", "c", day, 10, 10, 10) for day in (date(2024, 11, 1), date(2026, 11, 1))]
    lines = year_of(assessed(cow, *scores), SPRING_BLOCK).lines
    assert [(line.name, len(line.months)) for line in lines] == [
        ("spring 2027", 1),
        ("spring 2026", 0),
        ("spring 2025", 1),
    ]


def test_that_a_herd_without_cows_or_scores_says_so() -> None:
    for records in ([], [Cow("c", "1", season=SPRING)]):
        year = year_of(assessed(*records), SPRING_BLOCK)
        assert len(year.lines) == 1
        assert finding(year).endswith("no score yet")
        assert math.isnan(year.target_on(TODAY))


def test_that_one_cow_has_a_mean_and_no_spread() -> None:
    cow = Cow("c", "1", season=SPRING, calvings=3, calving_date=date(2027, 3, 20))
    (month,) = year_of(assessed(cow, scored(cow, TODAY, 10, 10, 10)), SPRING_BLOCK).lines[0].months
    assert (month.cows, month.mean) == (1, 2.5)
    assert math.isnan(month.spread)


def test_that_months_and_leap_days_are_counted_on() -> None:
    assert add_months(date(2026, 8, 1), 7) == date(2027, 3, 1)
    assert add_months(date(2027, 3, 15), -7) == date(2026, 8, 1)
    assert same_day(date(2028, 2, 29), 2027) == date(2027, 2, 28)
