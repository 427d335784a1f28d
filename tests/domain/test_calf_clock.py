"""The clock of a calf and her dam: across midnight and the change of the clocks, overdue first."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from herdscore.domain.calf_clock import (
    BORN,
    CALF,
    CLEANSED,
    COLOSTRUM,
    COW,
    EATING,
    NAVEL,
    NAVEL_AGAIN,
    SUCKED,
    TAGGED,
    UP,
    Care,
    CareCard,
    NewCalf,
    Standing,
    Step,
    care_cards,
    colostrum_wanted,
    first_feed,
)
from tests.domain.herds import RULES

CARE = RULES.calf_care
HOME = ZoneInfo("Europe/London")


def local(*moment: int, fold: int = 0) -> datetime:
    return datetime(*moment, tzinfo=HOME, fold=fold)  # type: ignore[arg-type,misc]


def cards(now: datetime, *cares: Care, calves: tuple[NewCalf, ...] = (NewCalf("a"),)) -> tuple[CareCard, ...]:
    return care_cards(calves, cares, now, CARE)


def calf_card(now: datetime, *cares: Care, **facts: object) -> CareCard:
    (card,) = [card for card in cards(now, *cares, calves=(NewCalf("a", **facts),)) if card.of == CALF]  # type: ignore[arg-type]
    return card


def step(card: CareCard, what: str) -> Step:
    return next(step for step in card.steps if step.what == what)


def test_that_the_hours_are_those_of_the_trade() -> None:
    # CO01: AHDB, read: 3 litres within 2 hours. CO04: common practice: the navel again within 12 hours.
    # CO05: Irish Farmers Journal, read: iodine of 10 % or more. CO06: Teagasc, read: one calf in ten needs the tube.
    assert (CARE.colostrum_first, CARE.sucked_hours) == (3, 2)
    assert CARE.navel_again_hours == 12
    assert CARE.navel_iodine_percent == 10
    assert CARE.tube_share == pytest.approx(0.10, abs=0.02)


def test_that_colostrum_is_a_tenth_of_the_calfs_weight() -> None:
    # CO02: New Zealand vets' colostrum plan, read: 45 kg, 4.5 litres by 12 hours.
    assert colostrum_wanted(45, CARE) == pytest.approx(4.5)
    assert CARE.colostrum_hours == 12
    # CO03: veterinary practice note 2018, read: 5 % of 40 kg, 2 litres; never over 2 when split.
    assert first_feed(40, CARE, split=True) == pytest.approx(2.0)
    assert first_feed(60, CARE, split=True) == 2.0
    assert first_feed(None, CARE) == 3.0
    assert colostrum_wanted(None, CARE) == 4.0


def test_that_steps_fall_due_in_their_hours() -> None:
    born = local(2027, 2, 10, 8)
    card = calf_card(born, Care("a", BORN, born))
    due = {step.what: step.due - card.born_at for step in card.steps}
    assert due == {
        NAVEL: timedelta(minutes=30),
        SUCKED: timedelta(hours=2),
        COLOSTRUM: timedelta(hours=12),
        NAVEL_AGAIN: timedelta(hours=12),
        TAGGED: timedelta(days=20),
    }
    assert card.standing == Standing.OPEN


@pytest.mark.parametrize(
    ("born", "just_before", "just_after"),
    [
        # Across midnight.
        (local(2027, 2, 10, 23), local(2027, 2, 11, 1), local(2027, 2, 11, 1, 1)),
        # Clocks go forward at 1:00 on 28 March 2027 in London: two hours on reads three later.
        (local(2027, 3, 28, 0, 30), local(2027, 3, 28, 3, 30), local(2027, 3, 28, 3, 31)),
        # Clocks go back at 2:00 on 31 October 2027: two hours on reads one later.
        (local(2027, 10, 31, 0, 30), local(2027, 10, 31, 1, 30, fold=1), local(2027, 10, 31, 1, 31, fold=1)),
        # Midnight and the change at once.
        (local(2027, 3, 27, 23, 30), local(2027, 3, 28, 2, 30), local(2027, 3, 28, 2, 31)),
    ],
)
def test_that_two_hours_are_two_hours_on_any_clock(born: datetime, just_before: datetime, just_after: datetime) -> None:
    cares = (Care("a", BORN, born), Care("a", NAVEL, born))
    assert step(calf_card(just_before, *cares), SUCKED).standing == Standing.OPEN
    assert step(calf_card(just_after, *cares), SUCKED).standing == Standing.OVERDUE
    assert calf_card(just_after, *cares).late_by(just_after) == timedelta(minutes=1)


def test_that_the_second_dip_across_the_change_is_twelve_real_hours_later() -> None:
    born = local(2027, 3, 27, 20)
    card = calf_card(born, Care("a", BORN, born))
    assert step(card, NAVEL_AGAIN).due.astimezone(HOME) == local(2027, 3, 28, 9)


def test_that_zones_do_not_matter_and_a_time_without_one_is_refused() -> None:
    born = local(2027, 6, 1, 8)
    same = datetime(2027, 6, 1, 7, tzinfo=UTC)
    assert calf_card(same, Care("a", BORN, born)).born_at == same
    with pytest.raises(ValueError, match="zone"):
        cards(datetime(2027, 6, 1, 8), Care("a", BORN, born))


def test_that_a_calf_without_colostrum_is_overdue_at_two_hours_and_red_at_six() -> None:
    born = local(2027, 2, 10, 8)
    cares = (Care("a", BORN, born), Care("a", NAVEL, born))
    at = [calf_card(born + timedelta(hours=hours), *cares).standing for hours in (1, 3, 6, 9)]
    assert at == [Standing.OPEN, Standing.OVERDUE, Standing.RED, Standing.RED]


def test_that_the_bottle_counts_as_sucked_and_adds_up_to_what_is_wanted() -> None:
    born = local(2027, 2, 10, 8)
    cares = (Care("a", BORN, born), Care("a", COLOSTRUM, born + timedelta(hours=1), 2.0))
    card = calf_card(born + timedelta(hours=3), *cares, weight=40.0)
    assert (card.litres, card.wanted) == (2.0, 4.0)
    assert step(card, SUCKED).standing == Standing.DONE
    assert step(card, COLOSTRUM).standing == Standing.OPEN
    more = Care("a", COLOSTRUM, born + timedelta(hours=9), 2.0)
    full = calf_card(born + timedelta(hours=10), *cares, more, weight=40.0)
    assert step(full, COLOSTRUM).done_at == more.at.astimezone(UTC)
    missed = calf_card(born + timedelta(hours=13), *cares, weight=40.0)
    assert step(missed, COLOSTRUM).standing == Standing.OVERDUE


def test_that_a_calf_that_sucks_its_dam_is_not_measured() -> None:
    born = local(2027, 2, 10, 8)
    card = calf_card(born + timedelta(hours=2), Care("a", BORN, born), Care("a", SUCKED, born + timedelta(hours=1)))
    assert step(card, COLOSTRUM).standing == Standing.DONE


def test_that_a_care_still_ahead_is_not_done_yet() -> None:
    born = local(2027, 2, 10, 8)
    cares = (Care("a", BORN, born), Care("a", NAVEL, born + timedelta(hours=2)))
    assert step(calf_card(born + timedelta(hours=1), *cares), NAVEL).standing == Standing.OVERDUE


def test_that_the_worst_and_longest_overdue_stand_on_top() -> None:
    now = local(2027, 2, 10, 20)
    calves = tuple(NewCalf(name, first=False) for name in ("fresh", "red", "late", "later", "done"))
    ago = {"fresh": 0.2, "red": 7, "late": 3, "later": 4, "done": 1}
    cares = [Care(name, BORN, now - timedelta(hours=hours)) for name, hours in ago.items()]
    every = [Care("done", what, now) for what in (NAVEL, SUCKED, TAGGED)] + [Care("done", NAVEL, now)]
    order = [card.calving_id for card in care_cards(calves, [*cares, *every], now, CARE)]
    assert order == ["red", "later", "late", "fresh"]


def test_that_the_dam_has_a_card_of_her_own_and_a_dead_calf_none() -> None:
    born = local(2027, 2, 10, 8)
    calves = (NewCalf("a", alive=False), NewCalf("b", first=False))
    cares = [Care("a", BORN, born), Care("b", BORN, born), Care("a", UP, born + timedelta(hours=1))]
    found = care_cards(calves, cares, born + timedelta(hours=13), CARE)
    assert sorted((card.of, card.calving_id) for card in found) == [(CALF, "b"), (COW, "a")]
    dam = next(card for card in found if card.of == COW)
    assert [step(dam, what).standing for what in (UP, EATING, CLEANSED)] == [
        Standing.DONE,
        Standing.OVERDUE,
        Standing.OPEN,
    ]


def test_that_a_calf_with_only_its_tag_to_come_leaves_the_clock_until_that_nears() -> None:
    born = local(2027, 2, 10, 8)
    cares = [Care("a", BORN, born), Care("a", SUCKED, born), Care("a", NAVEL, born), Care("a", NAVEL, born)]
    alone = (NewCalf("a", first=False),)
    shown = [bool(care_cards(alone, cares, born + timedelta(days=days), CARE)) for days in (1, 4, 16, 18, 22)]
    assert shown == [True, False, False, True, True]


def test_that_a_calf_whose_birth_was_not_timed_has_no_clock() -> None:
    assert cards(local(2027, 2, 10, 8)) == ()
