"""The care of calves as the herd file keeps it, and what is ticked off of a season."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest

from herdscore.domain.calf_care import birth_time, cards_of, caring, read_time, time_wrong, with_birth_time
from herdscore.domain.calf_clock import BORN, CALF, COW, NAVEL, NAVEL_AGAIN, Standing
from herdscore.domain.changes import adding, applied, editing
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Calving, Cow
from herdscore.domain.season_ticks import finished, finishing, taking_up_again
from tests.domain.recorded_herds import RULES

COWS = (Cow("a", "0101"), Cow("b", "0102"))
DAY = date(2027, 3, 28)
CALF_OF_A = Calving("calf-a", "a", DAY, ease=1, calf_sex="heifer", calf_alive=True)
DEAD = Calving("calf-b", "b", DAY, ease=4, calf_sex="bull", calf_alive=False)
CARE = RULES.calf_care


@pytest.fixture
def in_london(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A laptop in London: on 28 March 2027 the clock goes from 1:00 to 2:00 (last Sunday of March)."""
    monkeypatch.setenv("TZ", "Europe/London")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def born(at: datetime, *calves: Calving) -> Snapshot:
    herd = Snapshot.from_records(COWS)
    return applied(herd, with_birth_time(herd, adding("record calving", calves), at))


@pytest.mark.usefixtures("in_london")
def test_that_the_second_navel_dip_is_twelve_hours_after_birth_though_the_clock_changes_between() -> None:
    at = datetime(2027, 3, 28, 0, 30).astimezone()
    herd = born(at, CALF_OF_A)
    card = next(one.card for one in cards_of(herd, at + timedelta(hours=1), CARE) if one.card.of == CALF)
    again = next(step for step in card.steps if step.what == NAVEL_AGAIN)
    assert again.due - at == timedelta(hours=12)
    assert again.due.astimezone().strftime("%H:%M") == "13:30"


def test_that_a_calf_born_before_midnight_is_late_after_it() -> None:
    at = datetime(2027, 3, 27, 23, 0, tzinfo=UTC)
    herd = born(at, CALF_OF_A)
    cards = cards_of(herd, at + timedelta(hours=3), CARE)
    assert cards[0].card.late_by(at + timedelta(hours=3)) == timedelta(hours=2, minutes=30)
    assert (cards[0].tag, cards[0].sex) == ("0101", "heifer")


def test_that_a_dead_calf_has_no_card_and_its_dam_has_one() -> None:
    at = datetime(2027, 3, 28, 9, 0, tzinfo=UTC)
    cards = cards_of(born(at, DEAD), at + timedelta(minutes=5), CARE)
    assert [(one.tag, one.card.of) for one in cards] == [("0102", COW)]


def test_that_a_calf_without_a_time_of_birth_is_not_under_the_clock() -> None:
    herd = applied(Snapshot.from_records(COWS), adding("record calving", [CALF_OF_A]))
    assert not cards_of(herd, datetime(2027, 3, 28, 9, 0, tzinfo=UTC), CARE)


def test_that_care_is_kept_and_its_inverse_takes_it_away() -> None:
    at = datetime(2027, 3, 28, 9, 0, tzinfo=UTC)
    herd = born(at, CALF_OF_A)
    change = caring("calf-a", NAVEL, at + timedelta(minutes=4))
    after = applied(herd, change)
    step = next(one.card for one in cards_of(after, at + timedelta(minutes=5), CARE) if one.card.of == CALF).steps[0]
    assert (step.what, step.standing) == (NAVEL, Standing.DONE)
    assert applied(after, change.inverse()).all_records() == herd.all_records()


def test_that_mending_a_calving_moves_its_time_of_birth_and_keeps_one() -> None:
    at = datetime(2027, 3, 28, 9, 0, tzinfo=UTC)
    herd = born(at, CALF_OF_A)
    mended = Calving("calf-a", "a", DAY, ease=2, calf_sex="heifer", calf_alive=True)
    later = at + timedelta(minutes=40)
    after = applied(herd, with_birth_time(herd, editing("mend calving", [(CALF_OF_A, mended)]), later))
    assert birth_time(after, "calf-a") == later
    assert after.care.what.tolist() == [BORN]


@pytest.mark.parametrize(
    ("text", "hour", "minute"), [("4:05", 4, 5), ("16.40", 16, 40), ("0905", 9, 5), ("7h30", 7, 30)]
)
def test_that_a_time_of_day_is_read_as_people_type_it(text: str, hour: int, minute: int) -> None:
    read = read_time(text)
    assert read is not None
    assert (read.hour, read.minute) == (hour, minute)


@pytest.mark.parametrize("text", ["24:00", "9:61", "noon", "9", "12:3"])
def test_that_what_is_no_time_of_day_is_told(text: str) -> None:
    assert read_time(text) is None
    assert "not a time of day" in time_wrong(text, DAY, datetime(2027, 3, 29, tzinfo=UTC))


def test_that_things_are_ticked_once_and_taken_up_again() -> None:
    herd = Snapshot.from_records(COWS)
    change = finishing(herd, ["kit/spring 2027/ropes", "wean/a/first", "wean/a/first"], DAY)
    assert change is not None
    after = applied(herd, change)
    assert finished(after) == {"kit/spring 2027/ropes", "wean/a/first"}
    assert finishing(after, ["wean/a/first"], DAY) is None
    back = taking_up_again(after, ["wean/a/first", "never ticked"])
    assert back is not None
    assert finished(applied(after, back)) == {"kit/spring 2027/ropes"}
    assert taking_up_again(herd, ["wean/a/first"]) is None
