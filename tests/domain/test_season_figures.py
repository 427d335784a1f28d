"""Seasons of a block: shares in band, very thin and fat, calvings; against pandas on the sample herds and by hand."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from herdscore import headless, shipped
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK, HerdCalendar
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    BY_HAND,
    EMPTY,
    HOUSING,
    SCAN,
    SERVICE,
    SPRING,
    CalendarDay,
    Calving,
    Cow,
    Record,
    Score,
    Service,
)
from herdscore.domain.season_figures import (
    AT_CALVING,
    AT_HOUSING,
    AT_LEAD,
    AT_MATING,
    Season,
    band_at,
    block_now,
    of_block,
    seasons_of,
)
from herdscore.domain.season_outcomes import Outcomes, outcomes_of
from tests.domain.recorded_herds import RULES, TODAY, ahead, assessed, scored
from tests.domain.season_herds import SEASONS_TODAY, three_seasons

SAMPLES = ("autumn", "spring/skerrowby.xlsx", "two_blocks/marrowick.xlsx")


def sample(name: str) -> Assessment:
    herd = headless.read(shipped.sample_herds() / Path(name), None, TODAY)
    return assess(herd.snapshot, herd.rulebook, herd.today)


def outcomes(a: Assessment) -> Outcomes:
    return outcomes_of(a.snapshot, a.rulebook, a.today)


def seasons(a: Assessment, block: int) -> list[Season]:
    return seasons_of(a, outcomes(a), block)


def score_frame(snapshot: Snapshot) -> pd.DataFrame:
    """Scores with the mean of their sites, as a workbook would work it out."""
    t = snapshot.scores
    frame = pd.DataFrame({"cow": t.cow, "day": t.day, "loin": t.loin, "ribs": t.ribs, "tail": t.tailhead})
    felt = frame[["loin", "ribs", "tail"]].mean(axis=1).fillna(pd.Series(t.score)) / 4
    return frame.assign(felt=felt).dropna(subset=["felt"])


def nearest(frame: pd.DataFrame, cow: int, day: pd.Timestamp, before: int, after: int) -> float:
    """The score nearest a day, of two as near the later."""
    mine = frame[frame.cow == cow]
    gap = (mine.day - day).dt.days
    mine = mine.assign(far=gap.abs(), gap=gap)[(gap >= -before) & (gap <= after)]
    if mine.empty:
        return float("nan")
    return float(mine.sort_values(["far", "gap"], ascending=[True, False]).felt.iloc[0])


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("block", [AUTUMN_BLOCK, SPRING_BLOCK])
def test_that_shares_in_band_agree_with_pandas_on_the_sample_herds(name: str, block: int) -> None:
    a = sample(name)
    frame, housing = score_frame(a.snapshot), HerdCalendar(a.snapshot, a.today).days(block, HOUSING)
    for season in seasons(a, block):
        rows = []
        for i, cow in enumerate(season.cow.tolist()):
            day = pd.Timestamp(a.today) + pd.Timedelta(days=int(season.day[i]))
            near = [d for d in housing if abs(d - season.day[i]) <= 182]
            housed = min(near, key=lambda d, i=i: abs(d - season.day[i]), default=None)
            rows.append(
                {
                    "first": season.first_calf[i],
                    AT_CALVING: nearest(frame, cow, day, 45, 10) if season.calved[i] else np.nan,
                    AT_LEAD: nearest(frame, cow, day - pd.Timedelta(days=56), 14, 14),
                    AT_HOUSING: np.nan
                    if housed is None
                    else nearest(frame, cow, pd.Timestamp(a.today) + pd.Timedelta(days=int(housed)), 30, 30),
                }
            )
        table = pd.DataFrame(rows)
        for moment in (AT_HOUSING, AT_LEAD, AT_CALVING):
            for place, first in enumerate((False, True)):
                values = table[table["first"] == first][moment].dropna()
                low, high = (float(edge[0]) for edge in band_at(a.rulebook, moment, block, np.array([first])))
                said = np.floor(values * 4 + 0.5) / 4
                found = season.moments[moment][place]
                assert found.in_band.of == len(values)
                assert found.in_band.count == int(said.between(low, high).sum())
                assert found.very_thin == int((said <= 1.5).sum())
                assert found.very_fat == int((said >= 4.0).sum())
                if len(values):
                    assert found.scores.mean == pytest.approx(values.mean())


@pytest.mark.parametrize("name", SAMPLES)
def test_that_calvings_and_their_spread_agree_with_pandas_on_the_sample_herds(name: str) -> None:
    a = sample(name)
    table = pd.DataFrame({"cow": a.snapshot.calvings.cow, "day": a.snapshot.calvings.day})
    calvings = table[table.day <= pd.Timestamp(a.today)].groupby(["cow", "day"]).size().reset_index(name="calves")
    for block in (AUTUMN_BLOCK, SPRING_BLOCK):
        for season in seasons(a, block):
            months = (7, 8, 9, 10, 11) if block == AUTUMN_BLOCK else (1, 2, 3, 4, 5, 6)
            mine = calvings[(calvings.day.dt.year == season.year) & calvings.day.dt.month.isin(months)]
            assert int(season.calved.sum()) == len(mine)
            if len(mine):
                days = (mine.day - pd.Timestamp(a.today)).dt.days
                assert (season.spread.first, season.spread.last) == (days.min(), days.max())
                assert season.spread.middle == days.median()
                for many, share in season.spread.weeks:
                    assert share.count == int((days < days.min() + 7 * many).sum())
                assert season.twins == int((mine.calves == 2).sum())


# By hand


def calved(cow: str, day: date, calves: int = 1, **more: object) -> list[Calving]:
    return [Calving(f"{cow} {day} {n}", cow, day, **more) for n in range(calves)]  # type: ignore[arg-type]


def small() -> list[Record]:
    """Two cows and a heifer that calved in March 2026, 2026 housing on 10 November 2025."""
    cows = [Cow(f"c{n}", f"000{n}", season=SPRING, calvings=n) for n in (1, 2, 4)]
    first, second, old = cows
    day = date(2026, 3, 10)
    return [
        *cows,
        *calved(first.id, day),
        *calved(second.id, day + timedelta(days=30), calves=2),
        *calved(old.id, day + timedelta(days=4)),
        CalendarDay("h", SPRING, HOUSING, date(2025, 11, 10)),
        scored(first, date(2025, 11, 12), 13, 13, 13),  # 3.25, in the band 3.0-3.5
        scored(second, date(2025, 11, 12), 11, 11, 11),  # 2.75, below it
        scored(old, date(2025, 11, 12), 16, 16, 16),  # 4.0, very fat
        scored(first, date(2026, 1, 14), 10, 10, 10),  # 55 days before: 2.5, in the band 2.375-2.875
        scored(second, date(2026, 1, 14), 6, 6, 6),  # 85 days before: not of that time
        scored(second, date(2026, 4, 1), 6, 6, 6),  # 1.5 eight days before calving: very thin
        scored(old, date(2026, 3, 20), 9, 9, 9),  # 2.25 six days after: the edge of the band 2.25-2.75
    ]


def test_that_a_small_season_comes_out_as_worked_out_by_hand() -> None:
    (season,) = seasons(assessed(*small(), today=date(2026, 6, 30)), SPRING_BLOCK)
    older, heifer = ({m: season.moments[m][lot] for m in season.moments} for lot in (0, 1))
    assert season.name == "spring 2026"
    assert (heifer[AT_HOUSING].in_band.count, heifer[AT_HOUSING].in_band.of) == (1, 1)
    assert (older[AT_HOUSING].in_band.count, older[AT_HOUSING].in_band.of) == (0, 2)
    assert older[AT_HOUSING].very_fat == 1
    assert (heifer[AT_LEAD].in_band.count, older[AT_LEAD].in_band.of) == (1, 0)
    assert (older[AT_CALVING].in_band.count, older[AT_CALVING].in_band.of) == (1, 2)
    assert older[AT_CALVING].very_thin == 1
    assert season.twins == 1
    assert [share.count for _, share in season.spread.weeks] == [2, 3, 3]
    assert season.spread.last - season.spread.first == 30


def test_that_a_calf_born_before_its_time_does_not_begin_the_weeks() -> None:
    early = Cow("e", "0009", season=SPRING, calvings=3)
    a = assessed(*small(), early, *calved("e", date(2026, 2, 8), premature=True), today=date(2026, 6, 30))
    (season,) = seasons(a, SPRING_BLOCK)
    # In the first three weeks from 10 March: 10 and 14 March and the early one; 9 April is in the fifth week.
    assert [share.count for _, share in season.spread.weeks] == [3, 4, 4]


def test_that_a_season_ahead_is_shown_once_somebody_was_scored_for_it_and_at_most_three_are() -> None:
    a = assessed(*three_seasons(years=4), today=SEASONS_TODAY)
    assert [season.name for season in seasons(a, SPRING_BLOCK)] == ["spring 2027", "spring 2026", "spring 2025"]
    assert not seasons(a, SPRING_BLOCK)[0].calved.any()
    assert seasons(a, AUTUMN_BLOCK) == []
    unscored = assessed(Cow("a", "1", season=SPRING, calvings=2, calving_date=ahead(60), date_from=BY_HAND))
    assert seasons(unscored, SPRING_BLOCK) == []


def test_that_who_stands_out_today_goes_by_the_score_now_or_the_last_one() -> None:
    thin, fat, empty, gone, fine = (
        Cow(f"n{n}", f"{n}", season=SPRING, calvings=3, calving_date=day, date_from=BY_HAND, status=status)
        for n, (day, status) in enumerate(
            [(ahead(90), "in herd"), (ahead(90), "in herd"), (None, "in herd"), (None, "sold"), (ahead(90), "in herd")]
        )
    )
    a = assessed(
        *(thin, fat, empty, gone, fine),
        *[scored(cow, ahead(-3), q, q, q) for cow, q in ((thin, 6), (fat, 16), (gone, 4), (fine, 11))],
        Service("s", empty.id, SERVICE, ahead(-200)),
        Service("t", empty.id, SCAN, ahead(-100), result=EMPTY),
    )
    now = block_now(a, SPRING_BLOCK)
    assert now.cows == 4
    assert a.snapshot.cows.tag[now.very_thin].tolist() == ["0"]
    assert a.snapshot.cows.tag[now.very_fat].tolist() == ["1"]
    assert a.snapshot.cows.tag[now.not_in_calf].tolist() == ["2"]


def test_that_a_herd_without_cows_scores_or_calvings_has_no_season() -> None:
    for a in (assessed(), assessed(Cow("a", "1", season=SPRING))):
        assert seasons(a, SPRING_BLOCK) == []
        assert len(block_now(a, SPRING_BLOCK).very_thin) == 0


def test_that_the_calvings_of_one_block_and_season_are_picked_out() -> None:
    a = assessed(*three_seasons(), today=SEASONS_TODAY)
    every = outcomes(a)
    two = of_block(every, SPRING_BLOCK, [2025, 2026])
    assert len(two) == int(np.isin(every.year, [2025, 2026]).sum()) > 0
    assert len(of_block(every, AUTUMN_BLOCK, [2025, 2026])) == 0


def test_that_a_first_calver_has_her_own_upper_edge_at_calving_only() -> None:
    both = np.array([False, True])
    _, at_calving = band_at(RULES, AT_CALVING, SPRING_BLOCK, both)
    _, at_mating = band_at(RULES, AT_MATING, SPRING_BLOCK, both)
    assert at_calving.tolist() == [2.75, 3.25]
    assert at_mating.tolist() == [2.5, 2.5]


def test_that_scores_after_today_are_not_counted() -> None:
    later = Score("x", "c2", date(2026, 4, 8), 10, 10, 10)
    before = seasons(assessed(*small(), later, today=date(2026, 4, 7)), SPRING_BLOCK)[0]
    assert before.moments[AT_CALVING][0].very_thin == 0  # the second cow has not calved yet
    assert before.moments[AT_CALVING][0].in_band.of == 1
