"""Calvings to expect by week, date windows, and what a moved date says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from scipy import stats

from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK
from herdscore.domain.calving_season import (
    FAT_PART,
    THIN_PART,
    date_windows,
    expected_by_week,
    season_name,
    season_year,
)
from herdscore.domain.date_density import DateDensity, run_calved_by
from herdscore.domain.date_moves import date_moves
from herdscore.domain.records import Record
from tests.domain.herds import RULES, TODAY, assessed, calving, cow, day, score, service


def test_that_the_weeks_hold_every_cow_due_and_begin_on_mondays() -> None:
    a = assessed([cow(f"{at}", due) for at, due in enumerate((0, 3, 40, 95, 140))])
    weeks = expected_by_week(a)
    assert weeks.total.sum() == pytest.approx(5, abs=0.01)
    assert all((TODAY + timedelta(days=int(first))).weekday() == 0 for first in weeks.first_day)
    assert weeks.first_day[0] <= 0 < weeks.first_day[0] + 7


def test_that_a_week_holds_the_chance_of_its_days() -> None:
    # One cow at 60 days, spread 8: the week of her date by scipy's normal, a day lasting half before to half after.
    a = assessed([cow("1", 60)])
    weeks = expected_by_week(a)
    her = int(np.searchsorted(weeks.first_day, 60, side="right")) - 1
    first = weeks.first_day[her]
    chance = stats.norm.cdf(first + 6.5, 60, 8) - stats.norm.cdf(first - 0.5, 60, 8)
    assert weeks.total[her] == pytest.approx(chance, abs=1e-6)


def test_that_a_cow_at_her_date_calves_today_or_later() -> None:
    weeks = expected_by_week(assessed([cow("1", -4)]))
    assert weeks.total.sum() == pytest.approx(1, abs=0.01)
    assert weeks.first_day[0] + 6 >= 0
    assert weeks.total[0] > 0.5


def test_that_gone_and_undated_cows_and_those_past_their_date_are_left_out_and_named() -> None:
    rows: list[Record] = [cow("1", 30), cow("2", 30, status="sold"), cow("3"), cow("4", -40)]
    weeks = expected_by_week(assessed(rows))
    assert weeks.total.sum() == pytest.approx(1, abs=0.01)
    assert (weeks.undated.tolist(), weeks.past_date.tolist()) == ([2], [3])


def test_that_thin_and_fat_parts_stand_apart_by_block() -> None:
    rows: list[Record] = []
    for tag, (block, due, felt) in enumerate((("spring", 90, 2.0), ("spring", 90, 3.5), ("autumn", 120, 3.0))):
        rows += [one := cow(f"{tag}", due, season=block), score(one, -30, felt), score(one, -2, felt)]
    weeks = expected_by_week(assessed(rows))
    assert weeks.expected[SPRING_BLOCK, THIN_PART].sum() == pytest.approx(1, abs=0.01)
    assert weeks.expected[SPRING_BLOCK, FAT_PART].sum() == pytest.approx(1, abs=0.01)
    assert weeks.expected[AUTUMN_BLOCK].sum() == pytest.approx(1, abs=0.01)
    assert weeks.from_run.sum() == 0


def test_that_a_bull_run_is_wider_than_a_service_and_says_so() -> None:
    rows: list[Record] = [one := cow("1"), service(one, "bull run", date(2026, 7, 1), until=date(2026, 9, 2))]
    rows += [two := cow("2"), service(two, "AI", date(2026, 7, 20))]
    a = assessed(rows)
    low, high = date_windows(a)
    assert (high - low)[0] > 2 * (high - low)[1]
    weeks = expected_by_week(a)
    assert weeks.from_run.sum() == pytest.approx(1, abs=0.01)


@pytest.mark.parametrize(
    ("days", "share", "peak"),
    # PN10: 0.0314 for 63 days at 65 %, gestation 5 (convolution, worked out); the others are its table's.
    [(63, 0.65, 0.0314), (84, 0.55, 0.0266), (105, 0.45, 0.0220)],
)
def test_that_the_busiest_day_of_a_bull_run_is_that_of_the_convolution(days: int, share: float, peak: float) -> None:
    rules = replace(RULES.dates, conception_share=share)
    at = np.arange(-40.0, days + 40.0, 0.1)
    born = run_calved_by(at + 0.5, days, rules, 5) - run_calved_by(at - 0.5, days, rules, 5)
    assert born.max() == pytest.approx(peak, abs=0.0003)


def test_that_the_run_is_the_one_simulated() -> None:
    rng = np.random.default_rng(3)
    on = (rng.geometric(0.65, 400_000) - 1 + rng.random(400_000)) * 21
    born = on[on < 63] + rng.normal(0, 5, (on < 63).sum())
    at = np.arange(-10.0, 75.0, 5.0)
    assert run_calved_by(at, 63, RULES.dates, 5) == pytest.approx((born[:, None] <= at).mean(axis=0), abs=0.004)


def test_that_a_window_holds_its_share_of_her_own_chances() -> None:
    rows: list[Record] = [one := cow("1"), service(one, "bull run", date(2026, 7, 1), until=date(2026, 9, 2))]
    rows += [cow("2", 60)]
    a = assessed(rows)
    density = DateDensity(a.dates, RULES.dates)
    low, high = date_windows(a)
    for at in (0, 1):
        edges = np.array([low[at] - 0.5, high[at] + 0.5])
        by = density.calved_by(np.array([at]), edges)[0]
        assert by[1] - by[0] == pytest.approx(0.955, abs=0.015)


def test_that_a_season_that_begins_in_december_bears_the_next_year() -> None:
    assert season_name(SPRING_BLOCK, season_year(SPRING_BLOCK, date(2026, 12, 20))) == "spring 2027"
    assert season_name(SPRING_BLOCK, season_year(SPRING_BLOCK, date(2027, 3, 1))) == "spring 2027"
    assert season_name(AUTUMN_BLOCK, season_year(AUTUMN_BLOCK, date(2027, 9, 1))) == "autumn 2027"


def test_that_a_scan_that_moves_a_date_says_what_it_moves() -> None:
    one = cow("0512", season="spring")
    rows: list[Record] = [one, service(one, "bull run", date(2026, 6, 15), until=date(2026, 8, 17))]
    rows += [score(one, -40, 2.0), score(one, -2, 2.0)]
    before = assessed(rows)
    after = assessed([*rows, service(one, "scan", day(-10), foetal_age=160)])
    (move,) = date_moves(before, after)
    assert move.tag == "0512"
    assert move.say.startswith("0512 calves ")
    assert "later than" in move.say
    assert "Begin by" in move.say
    assert date_moves(before, before) == ()


def test_that_an_empty_check_and_a_first_date_are_said_and_a_calving_is_not() -> None:
    one = cow("7", season="spring")
    served: list[Record] = [one, service(one, "AI", date(2026, 7, 1))]
    undated, dated = assessed([one]), assessed(served)
    assert "she had no date" in date_moves(undated, dated)[0].say
    empty = assessed([*served, service(one, "scan", day(-5), result="empty")])
    assert "has no calving date any more" in date_moves(dated, empty)[0].say
    calved = assessed([*served, calving(one, day(79))], today=day(80))
    assert np.isnan(calved.dates.day[0])
    assert date_moves(assessed(served, today=day(80)), calved) == ()


def test_that_an_empty_herd_has_no_calvings() -> None:
    assert expected_by_week(assessed([])).total.sum() == 0
