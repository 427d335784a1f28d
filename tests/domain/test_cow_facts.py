"""Why a verdict is what it is, in words; numbers compared with those of the assessment."""

from __future__ import annotations

from datetime import date

from herdscore.domain.assess import Assessment
from herdscore.domain.cow_facts import Fact, facts, headline
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.records import (
    BY_HAND,
    GRASS,
    SOLD,
    SPRING,
    TURNOUT,
    UP,
    WINTER_FEED,
    CalendarDay,
    Calving,
    Cow,
    Diet,
    Record,
)
from herdscore.domain.verdict import Verdict
from tests.domain.recorded_herds import ahead, assessed, scored


def dated(days: int, **more: object) -> Cow:
    fields: dict[str, object] = {"calvings": 3, "season": SPRING, "group": "Beck side", **more}
    return Cow("c", "0512", calving_date=ahead(days), date_from=BY_HAND, **fields)  # type: ignore[arg-type]


def of(cow: Cow, *records: Record) -> tuple[Assessment, list[Fact]]:
    herd = assessed(cow, *records)
    return herd, list(facts(herd, 0))


def claims(found: list[Fact]) -> str:
    return " | ".join(fact.claim for fact in found)


THIN = dated(110)
LEAN_SCORES = (scored(THIN, ahead(-80), 9, 9, 9), scored(THIN, ahead(-40), 8, 9, 8), scored(THIN, ahead(0), 8, 8, 8))


def test_that_a_thin_cow_is_told_score_way_chances_reach_and_when_to_begin() -> None:
    herd, found = of(THIN, *LEAN_SCORES, Diet("d", "Beck side", ahead(-65), WINTER_FEED))
    assert Verdict(herd.verdict[0]) in (Verdict.EASE_UP_NOW, Verdict.EASE_UP_IN_HAND)
    score, way, chance, reach, begin, day = found
    assert score.claim == f"Score now {say_number(herd.facts.score_now[0], 2)}"
    assert "her 3 scores, the last 2.0 on 12\u00a0Jan" in score.rest
    assert way.claim.startswith(f"{say_number(herd.course.mean[0], 1)} at calving, 9 in 10: ")
    assert way.rest == f"{say_number(herd.course.curve_rate[0, -1] * 7, 2, sign=True)} a week on winter feed"
    assert chance.claim.startswith("Chance thin ")
    assert chance.rest.endswith("between 2.25 and 2.75")
    assert reach.claim == f"Gentle feeding reaches {say_number(herd.reach.fan_hi[0], 1)}"
    # 110 days less the last 21 and 10 for the ramps: common practice, as in the limits.
    assert reach.rest == "79 days at ½ in 60; the last 21 are need only, 10 go to easing in and out"
    assert begin.rest == f"last start {say_day(herd.day(herd.reach.latest[0]))}, less 3 days for her date"
    # 95 % of a normal spread of 3 days lie within 5.9 days either side (worked out).
    window = "19 in 20 calve between 26\u00a0Apr and 8\u00a0May"
    assert day == Fact("Calves 2\u00a0May ± 3 days", f"Set by hand in the register. {window}")


def test_that_thin_is_said_of_a_cow_below_her_band_and_heading_thin_of_one_still_in_it() -> None:
    herd, _ = of(THIN, *LEAN_SCORES)
    assert headline(herd, 0).startswith("Thin: ")
    falling = dated(110)
    scores = (
        scored(falling, ahead(-80), 13, 13, 13),
        scored(falling, ahead(-40), 11, 11, 12),
        scored(falling, ahead(0), 10, 10, 10),
    )
    herd, _ = of(falling, *scores, Diet("d", "Beck side", ahead(-100), WINTER_FEED))
    assert herd.facts.score_now[0] > herd.targets.lower[0]
    assert headline(herd, 0).startswith("Heading thin: ")
    assert "Last gentle start" in headline(herd, 0)


def test_that_the_way_to_calving_names_each_diet_and_what_is_assumed() -> None:
    turnout = CalendarDay("t", SPRING, TURNOUT, ahead(60))
    _, found = of(THIN, *LEAN_SCORES, Diet("d", "Beck side", ahead(-65), WINTER_FEED), turnout)
    assert "on winter feed, then " in found[1].rest
    assert found[1].rest.endswith(f"a week on {GRASS} from {say_day(ahead(60))}, assumed")


def test_that_a_cow_part_way_is_told_to_begin_today() -> None:
    late = dated(58)
    herd, found = of(late, scored(late, ahead(-60), 7, 7, 7), scored(late, ahead(0), 7, 7, 7))
    assert Verdict(herd.verdict[0]) == Verdict.PART_WAY_UP
    assert "Begin today" in claims(found)


def test_that_a_fat_cow_never_slimmed_is_told_why_not() -> None:
    heifer = dated(120, calvings=0)
    scores = tuple(scored(heifer, ahead(day), 15, 15, 15) for day in (-80, -40, 0))
    _, found = of(heifer, *scores)
    reach = next(fact for fact in found if fact.claim.startswith("Gentle feeding"))
    assert reach.claim == "Gentle feeding holds her where she is"
    assert reach.rest.endswith("a first-calver is not slimmed")


def test_that_what_is_missing_is_said_first_and_nothing_is_made_up() -> None:
    _, found = of(dated(110))
    assert found[0].claim == "No score to go by"
    assert "never scored" in found[0].rest
    assert "at calving" not in claims(found)
    _, old = of(THIN, scored(THIN, ahead(-500), 9, 9, 9))
    assert old[0].rest.startswith("her scores are over a year old")
    undated = Cow("c", "0512", calvings=3, season=SPRING)
    herd, found = of(undated, scored(undated, ahead(-3), 9, 9, 9))
    assert Verdict(herd.verdict[0]) == Verdict.NEEDS_DATE
    assert [fact.claim for fact in found][1:] == ["No calving date"]


def test_that_one_score_says_that_another_gives_a_direction() -> None:
    _, found = of(THIN, scored(THIN, ahead(0), 8, 8, 8))
    assert found[0].rest.endswith("one more gives a direction of her own")


def test_that_a_running_change_is_named_with_the_day_it_began() -> None:
    diet = Diet("d", "Beck side", ahead(-20), WINTER_FEED, aim=UP)
    _, found = of(THIN, *LEAN_SCORES, diet)
    assert Fact("On a change up since 23\u00a0Dec", "the diet of Beck side moves condition up") in found


def test_that_a_cow_in_milk_is_told_her_floor_and_no_projection() -> None:
    cow = Cow("c", "0512", calvings=3, season=SPRING)
    calved = Calving("k", "c", ahead(-40))
    herd, found = of(cow, calved, scored(cow, ahead(-35), 10, 10, 10), scored(cow, ahead(0), 10, 10, 10))
    assert Verdict(herd.verdict[0]) in (Verdict.IN_MILK, Verdict.FEED_FOR_BULL)
    floor = next(fact for fact in found if fact.claim == "Floor at mating 2.0")
    assert floor.rest.startswith("calved 40 days ago")
    assert "at calving" not in claims(found)
    assert "No calving date" not in claims(found)


def test_that_a_cow_gone_has_no_facts_but_a_headline() -> None:
    cow = Cow("c", "0512", status=SOLD)
    herd, found = of(cow, scored(cow, date(2026, 12, 1), 9, 9, 9))
    assert found == []
    assert headline(herd, 0) == "Gone. No longer in the herd. Marked as sold."
