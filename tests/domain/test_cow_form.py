"""A cow typed in the register: fields to a cow or sentences, and the change that follows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from herdscore.domain.changes import applied
from herdscore.domain.cow_form import cow_change, empty_form, group_hint, read_form, typed_of
from herdscore.domain.diets import groups_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    BY_HAND,
    GRASS,
    SOLD,
    SPRING,
    WINTER_FEED,
    Calving,
    Cow,
    Diet,
    Move,
    Record,
    Score,
)
from tests.domain.recorded_herds import TODAY, ahead, assessed

COW = Cow(
    "c",
    "0512",
    management_no="12",
    eid="999000026040512",
    name="Bramble",
    breed="LM x AA",
    born=date(2022, 3, 9),
    calvings=3,
    season=SPRING,
    group="Top yard",
    calving_date=date(2027, 4, 18),
    date_from=BY_HAND,
    twins=False,
    vet_plan=True,
    note="quiet",
)
OTHER = Cow("d", "0613", eid="999000026040613", group="Beck side")


def herd(*more: Record) -> Snapshot:
    return Snapshot.from_records((COW, OTHER, *more))


def problems(snapshot: Snapshot | None = None, before: Cow | None = COW, **typed: str) -> dict[str, str]:
    fields = typed_of(before, before.group) if before is not None else empty_form()
    read = read_form({**fields, **typed}, snapshot or herd(), TODAY, before)
    assert (read.cow is None) == bool(read.problems)
    return dict(read.problems)


def test_that_a_cow_shown_in_a_form_and_read_back_is_the_same_cow() -> None:
    for cow in (COW, OTHER, Cow("e", "7")):
        snapshot = Snapshot.from_records((cow,))
        assert read_form(typed_of(cow, cow.group), snapshot, TODAY, cow).cow == cow


def test_that_a_new_cow_needs_a_tag_and_nothing_else() -> None:
    assert problems(before=None) == {"tag": "She needs a tag."}
    made = read_form({**empty_form(), "tag": "  0700 "}, herd(), TODAY).cow
    assert made is not None
    assert made == Cow(made.id, "0700")
    assert made.id not in ("c", "d")


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("tag", "06 13", "0613 is the tag of another cow already."),
        ("eid", "99900002604061", "An EID has 15 digits; this one has 14."),
        ("eid", "99900002604O613", "An EID is 15 digits and nothing else."),
        ("eid", "999 0000 2604 0613", "999000026040613 is the EID of cow 0613 already."),
        ("calvings", "two", "Calvings so far: a whole number from 0 to 25."),
        ("calvings", "26", "Calvings so far: a whole number from 0 to 25."),
        ("calvings", "2.5", "Calvings so far: a whole number from 0 to 25."),
        ("born", "3/4/2020", "“3/4/2020” may be 3 Apr 2020 or 4 Mar 2020. Write the month as a word."),
        ("born", "1 Feb 2027", "1 Feb 2027 is still ahead. Check the date."),
        ("calving_date", "31 Feb 2027", "There is no day “31 feb 2027”."),
        ("calving_date", "1 Mar 2021", "She would calve before she was born. Check both dates."),
        ("season", "summer", "Choose autumn or spring."),
    ],
)
def test_that_wrong_input_is_refused_in_a_plain_sentence(field: str, typed: str, sentence: str) -> None:
    assert problems(**{field: typed}) == {field: sentence}


def test_that_every_wrong_field_is_named_at_once() -> None:
    assert set(problems(tag="", eid="1", born="soon")) == {"tag", "eid", "born"}


def test_that_the_tag_of_a_cow_sold_is_taken_too() -> None:
    snapshot = Snapshot.from_records((COW, replace(OTHER, status=SOLD)))
    assert problems(snapshot, tag="0613")["tag"] == "0613 is the tag of another cow, marked sold already."


def test_that_calvings_cannot_be_fewer_than_those_recorded() -> None:
    twice = (Calving("k", "c", date(2025, 3, 1)), Calving("l", "c", date(2026, 3, 9)))
    twins = Calving("m", "c", date(2026, 3, 9))
    assert problems(herd(*twice, twins), calvings="1")["calvings"] == (
        "2 calvings are recorded for her; it cannot be fewer."
    )
    assert problems(herd(*twice, twins), calvings="2") == {}


def test_that_a_date_taken_out_takes_its_source_along() -> None:
    read = read_form({**typed_of(COW, COW.group), "calving_date": ""}, herd(), TODAY, COW)
    assert read.cow == replace(COW, calving_date=None, date_from=None)


def test_that_a_group_takes_the_spelling_the_herd_has() -> None:
    read = read_form({**typed_of(COW, COW.group), "group": " beck  SIDE"}, herd(), TODAY, COW)
    assert read.cow is not None
    assert read.cow.group == "Beck side"


def test_that_a_cow_once_moved_cannot_be_without_a_group() -> None:
    moved = herd(Move("m", "c", ahead(-30), "Top yard"))
    assert problems(moved, group="")["group"].startswith("She has been moved between groups.")
    assert problems(group="") == {}


def test_that_a_new_cow_or_a_group_filled_in_makes_no_move() -> None:
    new = Cow("e", "0700", group="Top yard")
    assert [row.after for row in cow_change(herd(), None, new, TODAY).rows] == [new]
    groupless = Cow("d", "0613")
    snapshot = Snapshot.from_records((COW, groupless))
    filled = replace(groupless, group="Top yard")
    assert [row.after for row in cow_change(snapshot, groupless, filled, TODAY).rows] == [filled]
    assert group_hint(snapshot, groupless, "Top yard", TODAY) == "Taken as her group all along."


def test_that_another_group_is_a_move_of_today_and_diets_follow() -> None:
    diets = (
        Diet("1", "Top yard", ahead(-250), GRASS),
        Diet("2", "Top yard", ahead(-65), WINTER_FEED),
        Diet("3", "Beck side", ahead(-60), GRASS),
    )
    scores = [Score(f"s{day}", "c", ahead(day), 10, 10, 10) for day in (-80, -40, -1)]
    snapshot = herd(*diets, *scores)
    after = replace(COW, group="Beck side")
    change = cow_change(snapshot, COW, after, TODAY)
    moved = applied(snapshot, change)
    groups = groups_of(moved, TODAY)
    assert groups.names[int(groups.now[0])] == "Beck side"
    assert [(row.day, row.group) for row in moved.records("moves")] == [  # type: ignore[union-attr]
        (ahead(-250), "Top yard"),
        (TODAY, "Beck side"),
    ]
    a = assessed(*moved.all_records())
    rows = [float(a.segments.rate_diet[rate]) for rate in a.segments.rate[0]]
    kinds = [a.snapshot.diets.kind[int(row)] for row in rows if row == row]
    assert WINTER_FEED in kinds, "what she ate in her old group stays hers"
    assert kinds[-1] == GRASS
    assert applied(moved, change.inverse()).all_records() == snapshot.all_records()


def test_that_a_second_move_on_one_day_replaces_the_first() -> None:
    snapshot = herd(Move("m", "c", ahead(-30), "Top yard"), Move("n", "c", TODAY, "Beck side"))
    cow = replace(COW, group="Beck side")
    change = cow_change(snapshot, COW, replace(cow, group="Quarry"), TODAY)
    moves = applied(snapshot, change).records("moves")
    assert [(row.day, row.group) for row in moves] == [(ahead(-30), "Top yard"), (TODAY, "Quarry")]  # type: ignore[union-attr]


def test_that_nothing_changed_is_no_change() -> None:
    assert cow_change(herd(), COW, COW, TODAY).rows == ()
    # The register's own group is older than her last move: her group now is what the form shows.
    moved = herd(Move("m", "c", ahead(-30), "Quarry"))
    read = read_form(typed_of(COW, "Quarry"), moved, TODAY, COW).cow
    assert read is not None
    assert cow_change(moved, COW, read, TODAY).rows == ()


def test_that_the_form_says_what_a_group_would_mean() -> None:
    assert group_hint(herd(), COW, "quarry", TODAY) == "She moves today; until now she was in Top yard."
    assert group_hint(herd(), COW, "top YARD", TODAY) == ""
    assert group_hint(herd(), None, "Quarry", TODAY) == ""
