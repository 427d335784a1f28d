"""Where a calving date comes from, in words. Dates are worked out here from the shipped gestations and spreads."""

from __future__ import annotations

from datetime import date

from herdscore.domain.date_account import DateAccount, account, date_said, date_source
from herdscore.domain.records import (
    AI,
    BULL_RUN,
    BY_HAND,
    EMPTY,
    HAND_CHECK,
    IN_CALF,
    NOT_IN_CALF,
    SCAN,
    SERVICE,
    TOLD,
    Calving,
    Cow,
    Record,
    Service,
)
from tests.domain.recorded_herds import assessed, place

COW = Cow("c", "0512", calvings=3)


def told(*records: Record, cow: Cow = COW) -> DateAccount:
    herd = assessed(cow, *records)
    return account(herd, place(herd, cow))


def test_that_a_service_names_the_day_and_the_breed_of_the_bull() -> None:
    # 29 September + 289 days of a Limousin is 15 July.
    found = told(Service("s", "c", SERVICE, date(2026, 9, 29), sire_breed="LM"))
    assert found.sentence == "Served 29\u00a0Sep by a Limousin: 15\u00a0Jul\u00a02027 ± 6 days"
    assert found.notes == ()


def test_that_a_scan_and_a_service_that_agree_are_both_named() -> None:
    found = told(
        Service("s", "c", SERVICE, date(2026, 9, 29), sire_breed="Limousin"),
        Service("t", "c", SCAN, date(2026, 12, 12), foetal_age=75, result=IN_CALF),
    )
    assert found.rests_on == "Scan 12\u00a0Dec, 75 days; served 29\u00a0Sep by a Limousin"
    assert found.said.endswith("± 5 days")  # sqrt(1/(1/36 + 1/36)) is 4.2, and a spread is rounded up


def test_that_ai_stays_in_capitals_behind_a_scan() -> None:
    found = told(
        Service("s", "c", AI, date(2026, 9, 29), sire_breed="Aberdeen Angus", sire="K4"),
        Service("t", "c", SCAN, date(2026, 12, 12), foetal_age=74),
    )
    assert found.rests_on == "Scan 12\u00a0Dec, 74 days; AI 29\u00a0Sep with K4, an Aberdeen Angus"


def test_that_a_hand_check_with_an_age_is_called_one() -> None:
    herd = assessed(COW, Service("t", "c", HAND_CHECK, date(2026, 12, 12), foetal_age=90))
    assert account(herd, 0).rests_on == "Hand check 12\u00a0Dec, 90 days"
    assert date_source(herd, 0) == HAND_CHECK


def test_that_a_bull_run_names_its_first_and_last_day() -> None:
    run = Service("b", "c", BULL_RUN, date(2026, 7, 20), until=date(2026, 9, 20), sire="K4")
    found = told(run)
    assert found.rests_on == "Bull with her 20\u00a0Jul to 20\u00a0Sep (K4)"
    open_run = told(Service("b", "c", BULL_RUN, date(2026, 7, 20)))
    assert open_run.rests_on == "Bull with her 20\u00a0Jul on, no last day entered"


def test_that_a_typed_date_says_who_said_so() -> None:
    day = date(2027, 4, 18)
    by_hand = told(cow=Cow("c", "0512", calvings=3, calving_date=day, date_from=BY_HAND))
    assert by_hand.sentence == "Set by hand in the register: 18\u00a0Apr ± 3 days"
    as_told = told(cow=Cow("c", "0512", calvings=3, calving_date=day, date_from=TOLD))
    assert as_told.sentence == "As told, in the register: 18\u00a0Apr ± 10 days"
    from_scan = told(cow=Cow("c", "0512", calvings=3, calving_date=day, date_from=SCAN))
    assert from_scan.rests_on == "In the register, from a scan"


def test_that_a_typed_date_far_from_the_service_is_noted_and_does_not_win() -> None:
    cow = Cow("c", "0512", calvings=3, calving_date=date(2027, 8, 4))
    found = told(Service("s", "c", SERVICE, date(2026, 9, 29), sire_breed="LM"), cow=cow)
    assert found.said.startswith("15\u00a0Jul")
    assert "4\u00a0Aug\u00a02027, 20 days from 15\u00a0Jul\u00a02027" in found.notes[0]


def test_that_a_date_set_by_hand_says_what_the_service_would_give() -> None:
    cow = Cow("c", "0512", calvings=3, calving_date=date(2027, 8, 4), date_from=BY_HAND)
    found = told(Service("s", "c", SERVICE, date(2026, 9, 29), sire_breed="LM"), cow=cow)
    assert found.said.startswith("4\u00a0Aug")
    assert found.notes == ("Her services and scans alone would give 15\u00a0Jul\u00a02027.",)


def test_that_a_bull_after_ai_is_noted_with_the_days_it_may_add() -> None:
    found = told(
        Service("s", "c", AI, date(2026, 6, 20), sire_breed="LM"),
        Service("b", "c", BULL_RUN, date(2026, 7, 5), until=date(2026, 9, 5)),
    )
    assert found.rests_on.startswith("AI 20\u00a0Jun")
    assert "The bull was with her too from 5\u00a0Jul" in found.notes[0]


def test_that_a_service_the_scan_does_not_fit_is_noted() -> None:
    found = told(
        Service("s", "c", SERVICE, date(2026, 8, 29), sire_breed="LM"),
        Service("t", "c", SCAN, date(2026, 12, 12), foetal_age=75),
    )
    assert found.rests_on == "Scan 12\u00a0Dec, 75 days"
    assert found.notes == ("Another service is entered that the scan does not fit; the scan is kept.",)


def test_that_a_scan_outside_the_bull_run_is_noted() -> None:
    found = told(
        Service("b", "c", BULL_RUN, date(2026, 7, 5), until=date(2026, 8, 5)),
        Service("t", "c", SCAN, date(2026, 12, 12), foetal_age=75),
    )
    assert "outside the days he was with her" in found.notes[0]


def test_that_twins_and_a_first_calf_say_how_much_earlier_they_come() -> None:
    heifer = Cow("c", "0512", calvings=0, twins=True)
    found = told(Service("s", "c", SERVICE, date(2026, 9, 29), sire_breed="LM"), cow=heifer)
    assert found.notes[:2] == ("Twins: 6 days earlier.", "First calf: 1.5 days earlier.")


def test_that_a_cow_without_a_date_is_told_why() -> None:
    assert told().rests_on == "Nothing tells her date yet: a service, the bull's dates or a scan would"
    empty = told(
        Service("s", "c", SERVICE, date(2026, 8, 29)),
        Service("t", "c", SCAN, date(2026, 12, 12), result=EMPTY),
    )
    assert empty.rests_on == "Checked empty 12\u00a0Dec, and no service since"
    assert told(cow=Cow("c", "0512", calvings=3, status=NOT_IN_CALF)).rests_on == "Her status says not in calf"
    calved = told(Calving("k", "c", date(2026, 12, 1)))
    assert calved.rests_on == "Calved 1\u00a0Dec, and nothing since tells her next date"
    assert calved.said == ""
    assert calved.sentence == calved.rests_on


def test_that_a_date_near_the_turn_of_the_blocks_asks_for_her_block() -> None:
    cow = Cow("c", "0512", calvings=3, calving_date=date(2027, 7, 4), date_from=TOLD)
    herd = assessed(cow)
    assert date_said(herd, 0) == "4\u00a0Jul ± 10 days"
    assert account(herd, 0).notes == ("Her date is near the turn of the blocks: enter autumn or spring for her.",)
