"""Groups part the herd: every living cow of the block stands in exactly one, whatever she lacks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.grouping import (
    BLOCK,
    BREED,
    CALVINGS,
    FORTNIGHT,
    GROUP,
    MONTH,
    OWN,
    WAYS,
    Grouping,
    group_cows,
    in_milk,
)
from herdscore.domain.records import Calving, Record
from herdscore.domain.verdict import Verdict
from tests.domain.group_herds import SAMPLES, herds, sample
from tests.domain.herds import assessed, calving, cow, day, score

KEYS = [key for key, _ in WAYS]


def by(rows: list[Record], way: str, chosen: tuple[str, ...] = ()) -> dict[str, list[str]]:
    """Tags by the name of their group."""
    a = assessed(rows)
    made = group_cows(a, way, np.ones(len(a), dtype=bool), chosen)
    return {name: a.snapshot.cows.tag[made.cows(at)].tolist() for at, name in enumerate(made.names)}


@settings(max_examples=60)
@given(herds(), st.sampled_from(KEYS), st.data())
def test_that_every_living_cow_stands_in_exactly_one_group(rows: list[Record], way: str, data: st.DataObject) -> None:
    a = assessed(rows)
    among = np.array(data.draw(st.lists(st.booleans(), min_size=len(a), max_size=len(a))), dtype=bool)
    made = group_cows(a, way, among, {"id-0", "id-3"})
    inside = among & ~a.facts.gone
    assert ((made.of_cow >= 0) == inside).all()
    met = [cow for at in range(len(made.names)) for cow in made.cows(at).tolist()]
    assert sorted(met) == np.flatnonzero(inside).tolist()
    assert all(len(made.cows(at)) for at in range(len(made.names))), "no empty group"
    assert len(set(made.names)) == len(made.names)
    milk = in_milk(a)
    assert all((milk[made.cows(at)] == made.in_milk[at]).all() for at in range(len(made.names)))
    assert list(made.in_milk) == sorted(made.in_milk), "those in milk stand last"


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("way", KEYS)
def test_that_the_groups_of_a_sample_herd_part_it(name: str, way: str) -> None:
    a = sample(name)
    made: Grouping = group_cows(a, way, np.ones(len(a), dtype=bool), set(a.snapshot.cows.id[:7]))
    assert sum(len(made.cows(at)) for at in range(len(made.names))) == int((~a.facts.gone).sum())


def test_that_spellings_of_a_group_and_of_a_breed_are_one() -> None:
    rows = [
        cow("1", 90, group="Top yard", breed="Salers"),
        cow("2", 90, group="top  YARD", breed="salers"),
        cow("3", 90, group="Quarry", breed="Angus"),
        cow("4", 90),
    ]
    assert by([*rows], GROUP) == {"Quarry": ["3"], "Top yard": ["1", "2"], "no group": ["4"]}
    assert by([*rows], BREED) == {"Angus": ["3"], "Salers": ["1", "2"], "not known": ["4"]}


def test_that_fortnights_begin_on_a_monday_and_do_not_move_with_today() -> None:
    # Worked out here: 1 March 2027 is a Monday; day 48 is that day, seen from 12 January 2027.
    rows = [cow("1", 48), cow("2", 61), cow("3", 62), cow("4", 47), cow("5")]
    parted = by([*rows], FORTNIGHT)
    assert parted == {
        "from 15\u00a0Feb": ["4"],
        "from 1\u00a0Mar": ["1", "2"],
        "from 15\u00a0Mar": ["3"],
        "no date": ["5"],
    }
    later = assessed([*rows], day(14))
    assert group_cows(later, FORTNIGHT, np.ones(5, dtype=bool)).names == tuple(parted)


def test_that_months_are_named_with_their_year_and_stand_in_order() -> None:
    rows = [cow("1", 20), cow("2", 18), cow("3", -5)]
    assert by([*rows], MONTH) == {"Jan\u00a02027": ["2", "3"], "Feb\u00a02027": ["1"]}


def test_that_cows_in_milk_go_by_the_day_they_calved_and_stand_apart() -> None:
    milking, dry = cow("1", group="Quarry"), cow("2", 90, group="Quarry")
    rows: list[Record] = [milking, dry, calving(milking, day(-100)), score(milking, -10, 2.5)]
    assert by(rows, GROUP) == {"Quarry": ["2"], "Quarry, in milk": ["1"]}
    assert by(rows, MONTH) == {"Apr\u00a02027": ["2"], "calved Oct\u00a02026": ["1"]}
    assert by(rows, CALVINGS) == {"fourth-calvers": ["2"], "third-calvers": ["1"]}


def test_that_a_cow_found_empty_is_not_counted_in_milk() -> None:
    one = cow("1", group="Quarry", status="not in calf")
    a = assessed([one, Calving("c", one.id, day(-60))])
    assert a.verdict[0] == Verdict.NOT_IN_CALF
    assert not in_milk(a)[0]


def test_that_age_goes_by_the_calving_ahead_and_old_cows_are_one_group() -> None:
    rows = [cow(f"{n}", 90, calvings=n) for n in (0, 1, 5, 9)]
    assert by([*rows, cow("u", 90, calvings=None)], CALVINGS) == {
        "first-calvers": ["0"],
        "second-calvers": ["1"],
        "older cows": ["5", "9"],
        "not known": ["u"],
    }


def test_that_a_choice_of_ones_own_is_set_against_all_others() -> None:
    one, two, three = cow("1", 90), cow("2", 90), cow("3", 90)
    assert by([one, two, three], OWN, (two.id,)) == {"chosen cows": ["2"], "all others": ["1", "3"]}
    assert by([one, two, three], OWN) == {"all others": ["1", "2", "3"]}


def test_that_blocks_are_named_spring_first() -> None:
    rows = [cow("1", 90, season="autumn"), cow("2", 90, season="spring"), cow("3")]
    assert list(by([*rows], BLOCK)) == ["spring", "autumn", "not known"]
