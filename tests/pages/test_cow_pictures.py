"""The picture of one cow says what the assessment says."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from herdscore import shipped
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import GRASS, SPRING, TURNOUT, UP, CalendarDay, Cow, Diet, Move, Record, Score
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.verdict import EASING, Verdict
from herdscore.pages.cow_pictures import picture_of
from herdscore.pages.cow_words import calves_on, change_since, claim_of, days_and_rates, who_is
from herdscore.parts.cow_picture import CowPicture
from tests.domain.recorded_herds import TODAY, ahead
from tests.pages.open_herds import (
    COURSE,
    FAT,
    MILKING,
    NEED,
    SOLD_COW,
    THIN,
    UNDATED,
    UNSCORED,
    VET,
    small_herd,
)

RULES = Rulebook.from_tables(shipped.rule_tables())


def seen(*more: Record) -> Assessment:
    records = [record for record in small_herd() if type(record).__name__ != "Setting"]
    return assess(Snapshot.from_records([*records, *more]), RULES, TODAY)


SEEN = seen()


def place(cow_id: str, of: Assessment = SEEN) -> int:
    return of.snapshot.cow_place[cow_id]


def picture(cow_id: str, of: Assessment = SEEN) -> CowPicture:
    return picture_of(of, place(cow_id, of))


@pytest.mark.parametrize("cow", [THIN, FAT, COURSE, VET, NEED])
def test_that_the_way_ahead_ends_at_calving_in_the_interval_of_the_list(cow: Cow) -> None:
    drawn, i = picture(cow.id), place(cow.id)
    assert drawn.ahead_days[0] == TODAY
    assert drawn.ahead_days[-1] == drawn.calving
    assert drawn.ahead[-1] == pytest.approx(SEEN.course.mean[i])
    assert drawn.ahead_low[-1] == pytest.approx(SEEN.course.lo[i])
    assert drawn.ahead_high[-1] == pytest.approx(SEEN.course.hi[i])
    assert drawn.past_days[-1] == TODAY
    assert drawn.past[-1] == pytest.approx(drawn.ahead[0])
    assert drawn.now == pytest.approx(drawn.ahead[0])


def test_that_band_mark_and_last_days_are_those_of_her_verdict() -> None:
    drawn, i = picture(THIN.id), place(THIN.id)
    assert Verdict(SEEN.verdict[i]) in EASING
    assert (drawn.band_low, drawn.target, drawn.band_high) == (2.25, 2.5, 2.75)
    assert drawn.mark in ("now_up", "hand_up", "part_up")
    assert drawn.act_by == SEEN.day(SEEN.reach.act_by[i])
    assert drawn.calving is not None
    assert drawn.begin_until == drawn.calving - timedelta(days=56)
    assert drawn.need_only_from == drawn.calving - timedelta(days=21)


def test_that_a_cow_on_course_has_no_day_to_act_by() -> None:
    assert picture(COURSE.id).act_by is None


def test_that_scores_are_shown_by_day_to_the_quarter_with_their_sites() -> None:
    scores = picture(THIN.id).scores
    assert [score.day for score in scores] == [ahead(-80), ahead(-40), TODAY]
    assert [score.words for score in scores] == ["2.25", "2.0", "2.0"]
    assert "loin 2" in scores[-1].tip


def test_that_a_cow_without_a_date_has_her_past_and_no_way_ahead() -> None:
    undated = picture("undated", seen(replace(UNDATED, id="undated", tag="0707"), Score("u", "undated", TODAY, 10)))
    assert undated.calving is None
    assert undated.ahead == ()
    assert undated.projected is None
    assert undated.note == "no calving date"


def test_that_one_score_gives_no_line_and_none_is_said_to_be_missing() -> None:
    herd = seen(replace(COURSE, id="once", tag="0555"), Score("once-1", "once", TODAY, 10, 10, 10))
    once = picture("once", herd)
    assert once.past == ()
    assert once.note == "one more score gives a direction"
    assert picture(UNSCORED.id).note == "not scored in the last year"
    assert picture(UNSCORED.id).fan is None


def test_that_a_cow_in_milk_is_held_against_mating_and_not_projected() -> None:
    drawn = picture(MILKING.id)
    assert drawn.calving is None
    assert drawn.ahead == ()
    assert drawn.target_words.endswith("at mating")


def test_that_a_gone_cow_has_an_empty_picture() -> None:
    drawn = picture(SOLD_COW.id)
    assert (drawn.mark, drawn.ahead, drawn.note) == ("none", (), "")


def test_that_bends_say_what_feed_began_and_which_is_only_assumed() -> None:
    herd = seen(
        CalendarDay("turnout", SPRING, TURNOUT, ahead(60)),
        Diet("up", "Beck side", ahead(-20), GRASS, aim=UP),
        Move("move", COURSE.id, ahead(-30), "Beck side"),
    )
    bends = {(bend.words, bend.day, bend.assumed) for bend in picture(THIN.id, herd).bends}
    assert ("winter feed", ahead(-65), False) in bends
    assert ("eased up", ahead(-20), False) in bends
    assert ("turnout", ahead(60), True) in bends
    assert ("to Beck side", ahead(-30), False) in {
        (bend.words, bend.day, bend.assumed) for bend in picture(COURSE.id, herd).bends
    }


def test_that_thin_and_fat_are_said_only_of_a_cow_out_of_her_band_now() -> None:
    for cow in (THIN, FAT):
        i = place(cow.id)
        claim = claim_of(SEEN, i)
        now = SEEN.facts.score_now[i]
        out = now < SEEN.targets.lower[i] or now > SEEN.targets.upper[i]
        assert claim.startswith("Heading") == (not out)
        assert " for 2.5: " in claim
    assert claim_of(SEEN, place(COURSE.id)) == "On course for 2.5"
    assert claim_of(SEEN, place(VET.id)) == "Vet first"


def test_that_a_cow_is_said_in_a_line() -> None:
    assert who_is(SEEN, place(FAT.id)) == "Bramble, 3 calvings, Top yard"
    assert who_is(SEEN, place(UNSCORED.id)) == "heifer, Beck side"
    assert calves_on(SEEN, place(COURSE.id)) == "calves 22\u00a0Apr ± 3 days"
    assert calves_on(SEEN, place(MILKING.id)) == "calved 4\u00a0Oct"
    assert calves_on(SEEN, place(SOLD_COW.id)) == "gone"
    assert days_and_rates(SEEN, place(COURSE.id)) == "100 days to calving."
    assert "a week wanted" in days_and_rates(SEEN, place(THIN.id))


@pytest.mark.parametrize(
    ("now", "before", "days", "said"),
    [
        (8, 9, 42, "down 0.25 in 42 days"),
        (12, 8, 1, "up 1.0 in 1 day"),
        (8, 8, 30, "level for 30 days"),
        (None, 8, 30, ""),
        (8, None, 0, ""),
    ],
)
def test_that_a_change_is_said_with_its_days(now: int | None, before: int | None, days: int, said: str) -> None:
    assert change_since(now, before, days) == said
