"""The dated things to do: which, when, with names that stay."""

from __future__ import annotations

from datetime import date, timedelta

from herdscore.domain.assess import Assessment
from herdscore.domain.records import CalendarDay, Record, new_id
from herdscore.domain.things_to_do import Thing, things_to_do
from tests.domain.herds import TODAY, assessed, calving, cow, day, score, service


def kinds(things: tuple[Thing, ...]) -> set[str]:
    return {thing.kind for thing in things}


def one_of(assessment: Assessment, kind: str, ticked: frozenset[str] = frozenset()) -> Thing:
    (thing,) = [thing for thing in things_to_do(assessment, ticked) if thing.kind == kind]
    return thing


def felt(tag: str, due: float, value: float = 2.5, **facts: object) -> list[Record]:
    one = cow(tag, due, season="spring", **facts)
    return [one, score(one, -40, value), score(one, -2, value)]


def test_that_mineral_goes_on_eight_weeks_before_her_date() -> None:
    # DT02: 17 March 2026 less 56 days is 20 January (calendar, worked out).
    one = cow("1", (date(2026, 3, 17) - TODAY).days, date_from="set by hand")
    a = assessed([one], today=date(2026, 1, 5))
    thing = one_of(a, "mineral_on")
    assert thing.day == date(2026, 1, 20)
    assert "100 g" in thing.say


def test_that_feed_to_need_comes_three_weeks_before_her_early_date() -> None:
    a = assessed(felt("1", 60, date_from="service"))
    assert one_of(a, "feed_to_need").day == day(60 - 6 - 21)


def test_that_the_kit_is_looked_over_two_weeks_before_the_first_can_calve() -> None:
    a = assessed([*felt("1", 60), *felt("2", 40)])
    thing = one_of(a, "kit_check")
    assert thing.day == day(40 - 8 - 14)
    assert thing.id == "kit_check/spring/2027"
    assert thing.ticks == (thing.id,)
    assert "kit_check" not in kinds(things_to_do(a, {thing.id}))


def test_that_a_change_is_begun_by_its_act_by_date_with_its_sides() -> None:
    a = assessed([*felt("1", 95, 2.0), *felt("2", 95, 3.5)])
    things = [thing for thing in things_to_do(a) if thing.kind == "act_by"]
    assert sum(len(thing.cows) for thing in things) == 2
    for thing in things:
        assert thing.day == min(TODAY + timedelta(days=int(a.facts.act_by[at])) for at in thing.cows)
    said = " ".join(thing.say for thing in things)
    assert "1 up" in said
    assert "1 down" in said


def test_that_cows_of_one_week_stand_together_and_ticked_ones_drop_out() -> None:
    monday = TODAY - timedelta(days=TODAY.weekday())
    first = (monday + timedelta(days=14) - TODAY).days
    a = assessed([*felt("1", first + 56), *felt("2", first + 58), *felt("3", first + 63)])
    together = [thing for thing in things_to_do(a) if thing.kind == "mineral_on"]
    assert [thing.tags for thing in together] == [("1", "2"), ("3",)]
    left = [thing for thing in things_to_do(a, {together[0].ticks[0]}) if thing.kind == "mineral_on"]
    assert [thing.tags for thing in left] == [("2",), ("3",)]
    assert left[0].id == together[0].id
    done = {tick for thing in together for tick in thing.ticks}
    assert "mineral_on" not in kinds(things_to_do(a, done))


def test_that_names_stay_from_day_to_day_and_change_after_a_calving() -> None:
    rows = felt("1", 70)
    today, tomorrow = one_of(assessed(rows), "mineral_on"), one_of(assessed(rows, today=day(1)), "mineral_on")
    assert (today.id, today.ticks) == (tomorrow.id, tomorrow.ticks)
    one = rows[0]
    assert one.id in today.ticks[0]  # type: ignore[union-attr]
    next_year = [*rows, calving(one, day(70)), service(one, "AI", day(150))]  # type: ignore[arg-type]
    again = one_of(assessed(next_year, today=day(150 + 284 - 60)), "mineral_on")
    assert again.ticks != today.ticks


def test_that_a_thing_not_done_stays_two_weeks_and_is_late() -> None:
    late = one_of(assessed(felt("1", 56 - 10)), "mineral_on")
    assert late.late
    assert late.day == day(-10)
    assert "mineral_on" not in kinds(things_to_do(assessed(felt("1", 56 - 15))))


def test_that_nothing_beyond_eight_weeks_is_listed() -> None:
    assert "mineral_on" in kinds(things_to_do(assessed(felt("1", 56 + 56))))
    assert "mineral_on" not in kinds(things_to_do(assessed(felt("1", 56 + 57))))


def test_that_autumn_calvers_that_suckle_are_weaned_and_spring_calvers_not_asked() -> None:
    one = cow("1", season="autumn")
    rows: list[Record] = [one, calving(one, day(-330)), service(one, "AI", day(-240))]
    assert one_of(assessed(rows), "wean").tags == ("1",)
    two = cow("2", season="spring")
    rows = [two, calving(two, day(-330)), service(two, "AI", day(-240))]
    assert "wean" not in kinds(things_to_do(assessed(rows)))


def test_that_turnout_and_bull_bring_magnesium_scoring_and_the_bull() -> None:
    one = cow("1", season="spring")
    rows: list[Record] = [one, calving(one, day(-20)), score(one, -30, 2.5)]
    rows += [
        CalendarDay(new_id(), "spring", "turnout", day(35)),
        CalendarDay(new_id(), "spring", "bull in", day(50)),
    ]
    a = assessed(rows)
    assert one_of(a, "magnesium_turnout").day == day(35 - 28)
    assert one_of(a, "score_turnout").day == day(35)
    assert one_of(a, "score_before_bull").day == day(20)
    assert one_of(a, "bull_in").day == day(50)
    assert "spring calvers" in one_of(a, "bull_in").say


def test_that_old_scores_and_close_calls_are_to_be_scored() -> None:
    unfelt = [one := cow("1", 80, season="spring"), score(one, -70, 2.5)]
    thing = one_of(assessed(unfelt), "score_now")
    assert (thing.day, thing.tags) == (TODAY, ("1",))


def test_that_gone_cows_and_empty_herds_have_nothing_to_do() -> None:
    assert things_to_do(assessed([])) == ()
    assert things_to_do(assessed(felt("1", 60, status="culled"))) == ()


def test_that_no_sentence_keeps_a_brace_and_things_come_by_day() -> None:
    rows: list[Record] = [CalendarDay(new_id(), "spring", event, day(30)) for event in ("turnout", "bull in")]
    rows += [*felt("1", 60), *felt("2", 95, 2.0), one := cow("3", season="spring"), calving(one, day(-10))]
    things = things_to_do(assessed(rows))
    assert len(things) > 5
    assert not any("{" in thing.say for thing in things)
    assert [thing.day for thing in things] == sorted(thing.day for thing in things)
    assert len({thing.id for thing in things}) == len(things)
