"""The diary of one cow: everything recorded of her, newest first."""

from __future__ import annotations

from datetime import date

from herdscore.domain.cow_history import CALVING, DIET, MOVE, NOTE, SCORE, SERVICE, WEIGHT, history, matings
from herdscore.domain.records import (
    AI,
    BULL_RUN,
    EMPTY,
    GRASS,
    HAND_CHECK,
    SCAN,
    UNSAFE,
    UP,
    WINTER_FEED,
    Calving,
    Cow,
    Diet,
    Move,
    Record,
    Score,
    Service,
    Weight,
)
from tests.domain.recorded_herds import ahead, assessed, scored

COW = Cow("c", "0512", calvings=3, group="Beck side")
OTHER = Cow("d", "0613", group="Top yard")
RECORDS: tuple[Record, ...] = (
    scored(COW, ahead(0), 8, 8, 9, note="feet"),
    scored(OTHER, ahead(0), 12, 12, 12),
    Score("o", "c", ahead(-40), score=10, by_eye=True, scorer="M. O."),
    Score("u", "c", ahead(-20), note=UNSAFE),
    Score("h", "c", ahead(-30), loin=10, tailhead=9),
    Service("s1", "c", AI, ahead(-200), sire="K4", sire_breed="AA"),
    Service("s2", "c", BULL_RUN, ahead(-190), until=ahead(-130), sire_breed="LM"),
    Service("s3", "c", SCAN, ahead(-100), foetal_age=75, result="in calf"),
    Service("s4", "c", HAND_CHECK, ahead(-300), result=EMPTY),
    Calving("k1", "c", ahead(-320), ease=1, calf_sex="bull", calf_tag="77", calf_weight=41.5, note="wet night"),
    Calving("k2", "c", ahead(-320), calf_sex="heifer", calf_alive=False),
    Calving("k3", "c", date(2025, 3, 1)),
    Weight("w", "c", ahead(-60), 640),
    Move("m1", "c", ahead(-250), "Top yard"),
    Move("m2", "c", ahead(-50), "Beck side"),
    Diet("t1", "Top yard", ahead(-400), GRASS),
    Diet("t2", "top  yard", ahead(-65), WINTER_FEED),
    Diet("t3", "Top yard", ahead(-10), WINTER_FEED, aim=UP),
    Diet("b1", "Beck side", ahead(-50), WINTER_FEED),
    Diet("b2", "Beck side", ahead(-5), WINTER_FEED, aim=UP, expected_change=0.06),
)


def diary(*records: Record) -> list[str]:
    herd = assessed(COW, OTHER, *records)
    return [line.words for line in history(herd, herd.snapshot.cow_place["c"])]


def test_that_everything_recorded_of_her_is_told_newest_first() -> None:
    herd = assessed(COW, OTHER, *RECORDS)
    lines = history(herd, 0)
    assert [line.words for line in lines] == [
        "2, 2, 2.25",
        "note: feet",
        "Beck side: winter feed, easing up, +0.06 a week stated",
        f"not scored: {UNSAFE}",
        "2.5, –, 2.25",
        "2.5 overall, by eye",
        "to Beck side, on winter feed",
        "640 kg",
        "top  yard: winter feed",
        "scan: in calf, 75 days",
        "bull run to 4\u00a0Sep, a Limousin",
        "AI with K4, an Aberdeen Angus",
        "to Top yard, on grass",
        "hand check: empty",
        "note: wet night",
        "calved alone, twins, bull calf, 77, 41.5 kg, heifer calf, dead",
        "calved, not seen",
    ]
    assert [line.day for line in lines] == sorted((line.day for line in lines), reverse=True)
    assert lines[0].who == "R. T."
    assert lines[5].who == "M. O."


def test_that_each_kind_of_record_of_hers_is_there_once() -> None:
    lines = history(assessed(COW, OTHER, *RECORDS), 0)
    count = {kind: sum(line.kind == kind for line in lines) for kind in (SCORE, NOTE, SERVICE, CALVING, WEIGHT, MOVE)}
    assert count == {SCORE: 4, NOTE: 2, SERVICE: 4, CALVING: 2, WEIGHT: 1, MOVE: 2}


def test_that_diets_of_a_group_she_has_left_or_not_joined_yet_are_not_hers() -> None:
    lines = history(assessed(COW, OTHER, *RECORDS), 0)
    assert [line.words for line in lines if line.kind == DIET] == [
        "Beck side: winter feed, easing up, +0.06 a week stated",
        "top  yard: winter feed",
    ]


def test_that_a_cow_never_moved_had_every_diet_of_her_group() -> None:
    assert diary(Diet("b1", "beck side", ahead(-90), GRASS)) == ["beck side: grass"]


def test_that_scores_over_a_year_old_are_still_in_the_diary() -> None:
    assert diary(scored(COW, ahead(-800), 10, 10, 10)) == ["2.5, 2.5, 2.5"]


def test_that_services_and_calvings_can_be_told_alone() -> None:
    herd = assessed(COW, OTHER, *RECORDS)
    assert {line.kind for line in matings(herd, 0)} == {SERVICE, CALVING}
    assert len(matings(herd, 0)) == 6
    assert matings(herd, 1) == ()
