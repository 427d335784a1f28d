"""Moves between groups, one cow or many, and groups called otherwise or joined."""

from __future__ import annotations

from dataclasses import replace

from herdscore.domain.changes import applied
from herdscore.domain.diets import groups_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.leaving import status_change, status_words
from herdscore.domain.moves import (
    edit_move,
    group_on,
    plan_move,
    rename_group,
    rename_words,
    spelled,
    strike_move,
)
from herdscore.domain.records import (
    DEAD,
    GRASS,
    IN_HERD,
    SOLD,
    WINTER_FEED,
    Cow,
    Diet,
    Listed,
    Move,
    Record,
    Round,
)
from tests.domain.herds import cow, score
from tests.domain.recorded_herds import TODAY, ahead

ONE, TWO, THREE = cow("0001", group="Beck side"), cow("0002", group="Top yard"), cow("0003")
WINTER = Diet("w", "Beck side", ahead(-60), WINTER_FEED)


def herd(*more: Record) -> Snapshot:
    return Snapshot.from_records((ONE, TWO, THREE, WINTER, *more))


def now(snapshot: Snapshot, day: int = 0) -> list[str | None]:
    groups = groups_of(snapshot, ahead(day))
    return [groups.names[int(at)] for at in groups.now]


def moves(snapshot: Snapshot, of: Cow) -> list[tuple[int, str]]:
    rows = [row for row in snapshot.records("moves") if isinstance(row, Move) and row.cow_id == of.id]
    return [((row.day - TODAY).days, row.group) for row in rows]


def test_that_cows_of_several_groups_move_as_one_change_and_back() -> None:
    before = herd()
    plan = plan_move(before, [0, 1, 2], "Quarry", TODAY, TODAY)
    assert plan.words == "3 cows go to Quarry today: 1 from Beck side, 1 from Top yard, 1 whose group was not known."
    assert plan.change is not None
    after = applied(before, plan.change)
    assert now(after) == ["Quarry"] * 3
    assert moves(after, ONE) == [(-60, "Beck side"), (0, "Quarry")], "the winter feed she had stays hers"
    assert moves(after, TWO) == [(-1, "Top yard"), (0, "Quarry")], "without diet or score: from the day before"
    assert moves(after, THREE) == [(0, "Quarry")]
    assert applied(after, plan.change.inverse()).all_records() == before.all_records()


def test_that_a_cow_who_is_there_already_stays() -> None:
    plan = plan_move(herd(), [0, 1], "Top yard", ahead(-3), TODAY)
    assert plan.moved == 1
    assert plan.words == "1 cow goes to Top yard on 9\u00a0Jan: 1 from Beck side. 1 cow is there already."
    assert plan_move(herd(), [1], "top  YARD", TODAY, TODAY).change is None


def test_that_a_group_is_known_from_the_first_score_where_no_diet_tells_it() -> None:
    before = herd(score(TWO, -40, 2.5), score(TWO, -10, 2.5))
    plan = plan_move(before, [1], "Quarry", TODAY, TODAY)
    assert plan.change is not None
    assert moves(applied(before, plan.change), TWO) == [(-40, "Top yard"), (0, "Quarry")]


def test_that_a_move_entered_late_lies_before_a_later_one() -> None:
    before = herd(Move("m", ONE.id, ahead(-60), "Beck side"), Move("n", ONE.id, ahead(-5), "Quarry"))
    plan = plan_move(before, [0], "Top yard", ahead(-20), TODAY)
    assert plan.change is not None
    after = applied(before, plan.change)
    assert now(after)[0] == "Quarry"
    assert moves(after, ONE) == [(-60, "Beck side"), (-20, "Top yard"), (-5, "Quarry")]
    groups = groups_of(after, TODAY)
    assert [group_on(after, groups, 0, ahead(day), TODAY) for day in (-30, -20, -6, 0)] == [
        "Beck side",
        "Top yard",
        "Top yard",
        "Quarry",
    ]


def test_that_a_move_ahead_leaves_her_where_she_is_until_then() -> None:
    before = herd()
    plan = plan_move(before, [0], "Top yard", ahead(10), TODAY)
    assert plan.change is not None
    assert plan.words == "1 cow goes to Top yard on 22\u00a0Jan: 1 from Beck side."
    after = applied(before, plan.change)
    assert now(after)[0] == "Beck side"
    assert now(after, 11)[0] == "Top yard"
    groups = groups_of(after, TODAY)
    assert group_on(after, groups, 0, TODAY, TODAY) == "Beck side"


def test_that_a_move_struck_out_puts_her_back_in_the_register_too() -> None:
    before = herd()
    plan = plan_move(before, [0], "Quarry", TODAY, TODAY)
    assert plan.change is not None
    moved = applied(before, plan.change)
    last = [row for row in moved.records("moves") if isinstance(row, Move)][-1]
    after = applied(moved, strike_move(moved, last, TODAY))
    assert now(after)[0] == "Beck side"
    assert next(row.group for row in after.records("cows") if isinstance(row, Cow)) == "Beck side"


def test_that_a_move_written_anew_takes_the_register_along() -> None:
    before = herd(Move("m", ONE.id, ahead(-60), "Beck side"), Move("n", ONE.id, ahead(-5), "Beck side"))
    row = before.records("moves")[1]
    assert isinstance(row, Move)
    assert edit_move(before, row, row, TODAY) is None
    change = edit_move(before, row, replace(row, group="Quarry", day=ahead(-7)), TODAY)
    assert change is not None
    after = applied(before, change)
    assert (now(after)[0], moves(after, ONE)) == ("Quarry", [(-60, "Beck side"), (-7, "Quarry")])
    assert next(row.group for row in after.records("cows") if isinstance(row, Cow)) == "Quarry"


def test_that_a_group_called_otherwise_is_so_everywhere_and_back() -> None:
    rounds = Round("r", "January", TODAY, covers="group beck side", lean_pen="BECK side", fat_pen="Top yard")
    before = herd(
        Move("m", ONE.id, ahead(-5), "beck  Side"),
        rounds,
        Listed("l", ONE.id, "r", pen="Beck side"),
        Listed("k", TWO.id, "r"),
    )
    change = rename_group(before, "Beck side", " Beck  meadow ")
    assert change is not None
    after = applied(before, change)
    assert {name for name in now(after) if name} == {"Beck meadow", "Top yard"}
    assert after.diets.group.tolist() == ["Beck meadow"]
    assert (after.rounds.covers[0], after.rounds.lean_pen[0], after.rounds.fat_pen[0]) == (
        "group Beck meadow",
        "Beck meadow",
        "Top yard",
    )
    assert sorted(after.listed.pen.tolist(), key=str) == ["Beck meadow", None]
    assert applied(after, change.inverse()).all_records() == before.all_records()
    assert rename_group(after, "Beck meadow", "Beck meadow") is None


def test_that_only_the_spelling_of_a_group_can_change() -> None:
    before = herd(Move("m", TWO.id, ahead(-5), "BECK SIDE"))
    change = rename_group(before, "Beck side", "Beck Side")
    assert change is not None
    assert now(applied(before, change)) == ["Beck Side", "Beck Side", None]


def test_that_a_group_joined_to_another_keeps_one_of_two_like_diets() -> None:
    before = herd(Diet("x", "Top yard", ahead(-60), WINTER_FEED), Diet("y", "Top yard", ahead(-200), GRASS))
    groups = groups_of(before, TODAY)
    assert rename_words(before, groups, "Top yard", "beck side") == (
        "Top yard joins Beck side: 2 cows then. Both have diets: they stand in one list then, look them through."
    )
    change = rename_group(before, "Top yard", spelled(groups, "beck side"))
    assert change is not None
    after = applied(before, change)
    assert now(after)[:2] == ["Beck side", "Beck side"]
    assert [(row.group, row.kind) for row in after.records("diets") if isinstance(row, Diet)] == [
        ("Beck side", GRASS),
        ("Beck side", WINTER_FEED),
    ]


def test_that_the_words_of_a_new_name_say_what_it_does() -> None:
    groups = groups_of(herd(), TODAY)
    assert rename_words(herd(), groups, "Beck side", "Beck meadow") == (
        "Beck side is then called Beck meadow, in everything written about it."
    )
    assert rename_words(herd(), groups, "Beck side", "Beck side") == ""


# Cows that leave


def test_that_several_cows_leave_at_once_and_come_back() -> None:
    gone = replace(cow("0004"), status=SOLD)
    before = Snapshot.from_records((ONE, TWO, gone))
    change = status_change(before, [ONE.id, TWO.id, gone.id, "nobody"], SOLD)
    assert change is not None
    assert (len(change.rows), status_words(change)) == (2, "2 cows sold")
    after = applied(before, change)
    assert after.cows.status.tolist() == [SOLD] * 3
    back = status_change(after, [ONE.id], IN_HERD)
    assert back is not None
    assert status_words(back) == "0001 back in the herd"
    assert status_change(after, [ONE.id], SOLD) is None
    dead = status_change(before, [ONE.id], DEAD)
    assert dead is not None
    assert status_words(dead) == "0001 dead"
