"""A calving typed by keys becomes records: the calves, the score felt, the cow brought up to it, and the way back."""

from __future__ import annotations

from datetime import date

from herdscore.domain.assess import assess
from herdscore.domain.calving_checks import facts_of
from herdscore.domain.calving_entry import Outcome, open_entry, press, with_field
from herdscore.domain.calving_record import calving_change
from herdscore.domain.changes import Change, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Calving, Cow, Record, Score
from tests.domain.herds import RULES, TODAY, assessed, calving, cow, day, score

CALVING = RULES.calving


def entered(
    rows: list[Record], of: Cow, keys: str, on: date = TODAY, **fields: str
) -> tuple[Snapshot, Change, Snapshot]:
    """The herd before, the change, and the herd after a calving typed by keys."""
    a = assessed(rows)
    known = facts_of(a, a.snapshot.cow_place[of.id])
    entry = open_entry(of.id, on)
    for key in keys:
        entry, _ = press(entry, key, known, CALVING)
    for field, text in fields.items():
        entry = with_field(entry, field, text)
    while True:
        entry, outcome = press(entry, "enter", known, CALVING)
        if outcome is Outcome.SAVE:
            break
        assert entry.asks, entry.notice
    change = calving_change(a.snapshot, entry, TODAY, RULES.verdicts.in_milk_days, "AB")
    return a.snapshot, change, applied(a.snapshot, change)


def test_that_a_saved_calving_is_in_the_herd_and_uses_up_her_date() -> None:
    one = cow("0512", 2, twins=True)
    before, change, after = entered([one], one, "2BATHD", note="slow start", score="2.75", weight="38,5")
    calves = after.records("calvings")
    assert [(calf.ease, calf.calf_sex, calf.calf_alive) for calf in calves if isinstance(calf, Calving)] == [
        (2, "bull", True),
        (2, "heifer", False),
    ]
    assert {calf.calf_weight for calf in calves if isinstance(calf, Calving)} == {None, 38.5}
    (felt,) = after.records("scores")
    assert isinstance(felt, Score)
    assert (felt.score, felt.day, felt.scorer) == (11, TODAY, "AB")
    (mother,) = after.records("cows")
    assert isinstance(mother, Cow)
    assert (mother.calvings, mother.twins, mother.calving_date, mother.date_from) == (4, None, None, None)
    a = assess(after, RULES, TODAY)
    assert a.dates.last_calving[0] == 0
    assert a.dates.calvings[0] == 4
    back = applied(after, change.inverse())
    assert back.all_records() == before.all_records()


def test_that_a_heifer_has_calved_once_and_an_unknown_count_stays_unknown() -> None:
    for calvings, then in ((0, 1), (None, None)):
        one = cow("1", 0, calvings=calvings)
        _, _, after = entered([one], one, "1HA")
        assert after.records("cows")[0].calvings == then  # type: ignore[union-attr]


def test_that_a_cow_marked_not_in_calf_is_in_the_herd_again() -> None:
    one = cow("1", status="not in calf")
    _, _, after = entered([one], one, "1HA")
    assert after.records("cows")[0].status == "in herd"  # type: ignore[union-attr]


def test_that_an_old_calving_written_down_later_changes_no_count() -> None:
    one = cow("1", 60)
    _, change, after = entered([one], one, "1HA", on=day(-400))
    assert after.records("cows") == [one]
    assert len(change.rows) == 1


def test_that_a_score_of_that_day_by_the_same_scorer_is_replaced() -> None:
    one = cow("1", 0)
    _, _, after = entered([one, score(one, 0, 3.0, scorer="AB")], one, "1HA", score="2.5")
    assert [row.score for row in after.records("scores")] == [10]  # type: ignore[union-attr]


def test_that_a_recorded_calving_is_mended_and_its_twin_added() -> None:
    one = cow("1")
    first = calving(one, day(-1), ease=1, calf_sex="male", calf_alive=True, calf_tag="27001", note="ok")
    herd = assessed([one, first])
    known = facts_of(herd, 0, (first,))
    entry = open_entry(one.id, day(-1), [first])
    assert press(entry, "enter", known, CALVING)[1] is Outcome.LEAVE
    for key in ("3", "T", "H", "D"):
        entry, _ = press(entry, key, known, CALVING)
    entry, outcome = press(entry, "enter", known, CALVING)
    assert outcome is Outcome.SAVE, entry.notice
    change = calving_change(herd.snapshot, entry, TODAY, 200)
    after = applied(herd.snapshot, change)
    assert sorted((row.ease, row.calf_alive, row.calf_tag) for row in after.records("calvings")) == [  # type: ignore[union-attr]
        (3, False, None),
        (3, True, "27001"),
    ]
    assert first.id in after.calvings.id
    assert after.records("cows") == [one]


def test_that_thirty_calvings_are_recorded_by_keys_alone() -> None:
    cows = [cow(f"{at:04d}", at % 7 - 3) for at in range(30)]
    rows: list[Record] = list(cows)
    a = assessed(rows)
    snapshot = a.snapshot
    presses = 0
    for at, one in enumerate(cows):
        known = facts_of(a, a.snapshot.cow_place[one.id])
        entry = open_entry(one.id, TODAY)
        for key in (str(at % 6), "BH"[at % 2], "AAAAD"[at % 5], "enter"):
            entry, outcome = press(entry, key, known, CALVING)
            presses += 1
        assert outcome is Outcome.SAVE, (entry.notice, entry.asks)
        snapshot = applied(snapshot, calving_change(snapshot, entry, TODAY, 200))
    assert presses == 120
    assert len(snapshot.calvings) == 30
    after = assess(snapshot, RULES, TODAY)
    assert (after.dates.last_calving == 0).all()
