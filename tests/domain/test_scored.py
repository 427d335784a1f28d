"""Who was scored on a day, and what each cow had last time."""

from __future__ import annotations

from datetime import date

from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Cow, Score
from herdscore.domain.scored import last_time, others_on, quarters_of, score_on, scorers_of, work_of

DAY, BEFORE, LONG_AGO = date(2026, 1, 12), date(2025, 12, 1), date(2025, 10, 1)
SCORES = (
    Score("1", "a", LONG_AGO, 12, 12, 12, 12, scorer="R. T."),
    Score("2", "a", BEFORE, 8, 9, None, 9, scorer="R. T."),
    Score("3", "a", BEFORE, score=11, scorer="K."),
    Score("4", "a", DAY, 10, 10, 10, 10, scorer="r. t."),
    Score("5", "b", DAY, note="unsafe; feet", scorer="R. T."),
    Score("6", "c", DAY, note="lame"),
    Score("7", "d", DAY, note="unsafe", scorer="K."),
    Score("8", "d", DAY, score=9, scorer="R. T."),
)
HERD = Snapshot.from_records([Cow("a", "1"), Cow("b", "2"), Cow("c", "3"), Cow("d", "4"), *SCORES])


def test_that_scored_and_unsafe_cows_are_told_apart_and_a_score_wins() -> None:
    work = work_of(HERD, DAY)
    assert work.scored.tolist() == [True, False, False, True]
    assert work.unsafe.tolist() == [False, True, False, False]
    assert work.done.tolist() == [True, True, False, True]


def test_that_a_day_without_scores_has_nobody_done() -> None:
    assert not work_of(HERD, date(2026, 1, 13)).done.any()


def test_that_a_scorer_is_known_whatever_case_and_blanks() -> None:
    found = score_on(HERD, 0, DAY, "R.  T.")
    assert found is not None
    assert found.id == "4"
    assert score_on(HERD, 0, DAY, "K.") is None
    assert [row.id for row in others_on(HERD, 3, DAY, "K.")] == ["8"]


def test_that_a_blank_scorer_is_a_scorer_of_his_own() -> None:
    found = score_on(HERD, 2, DAY, None)
    assert found is not None
    assert found.id == "6"


def test_that_last_time_is_the_mean_of_two_scorers_to_the_nearest_quarter() -> None:
    last = last_time(HERD, 0, DAY)
    assert last is not None
    # 2.125 by one and 2.75 by the other: 2.4375, to the nearest quarter 2.5
    assert (last.day, last.score) == (BEFORE, 10)


def test_that_a_score_of_the_same_day_is_not_last_time() -> None:
    assert last_time(HERD, 3, DAY) is None
    first = last_time(HERD, 0, BEFORE)
    assert first is not None
    assert first.sites == (12, 12, 12)


def test_that_sites_win_over_an_overall_score_and_an_unsafe_cow_has_none() -> None:
    assert quarters_of(Score("x", "a", DAY, 8, 9, None, 20)) == 9
    assert quarters_of(SCORES[4]) is None


def test_that_scorers_are_listed_once_as_first_spelled() -> None:
    assert scorers_of(HERD) == ["K.", "R. T."]
