"""A cow put into a pen on its steps from a ration more than one gentle step away is told; other moves are not."""

from __future__ import annotations

from herdscore.domain.assess import Assessment, assess
from herdscore.domain.changes import applied
from herdscore.domain.feeding_moves import joined_on_its_steps
from herdscore.domain.moves import plan_move
from herdscore.domain.records import UP, WINTER_FEED, Cow, Diet, Feed, Ration
from tests.domain.recorded_herds import RULES, TODAY, ahead, assessed, scored

FEEDS = (
    Feed("f1", "Silage", 25.0, 10.5, "forage", 12.0),
    Feed("f2", "Barley", 86.0, 13.0, "concentrate", 11.0),
)
YARD = [Cow(f"y{n}", f"Y{n}", group="Yard", calving_date=ahead(100)) for n in range(3)]
FIELD = [Cow(f"f{n}", f"F{n}", group="Field", calving_date=ahead(100)) for n in range(3)]


def herd(kg_in_field: float, *, plan_runs: bool = True) -> Assessment:
    """Silage 28 kg in both, in the yard with 1 kg of barley and a plan that runs."""
    scores = [scored(cow, ahead(-10), 8, 8, 8) for cow in (*YARD, *FIELD)]
    diet = Diet("d", "Yard", ahead(-14), WINTER_FEED, UP if plan_runs else None, 0.04)
    rations = [Ration(f"{name} silage", name, ahead(-20), "Silage", 28.0) for name in ("Yard", "Field")]
    barley = [Ration("yb", "Yard", ahead(-20), "Barley", 1.0)]
    barley += [Ration("fb", "Field", ahead(-20), "Barley", kg_in_field)] if kg_in_field else []
    return assessed(*YARD, *FIELD, *scores, diet, *rations, *barley, *FEEDS)


def after_move(a: Assessment, cow: Cow, to: str) -> Assessment:
    change = plan_move(a.snapshot, [a.snapshot.cow_place[cow.id]], to, TODAY, TODAY).change
    assert change is not None
    return assess(applied(a.snapshot, change), RULES, TODAY)


def test_that_a_cow_more_than_one_step_away_is_told() -> None:
    before = herd(0.0)
    found = joined_on_its_steps(before, after_move(before, FIELD[1], "Yard"))
    assert [(before.snapshot.cows.tag[one.row], one.pen) for one in found] == [("F1", "Yard")]
    assert "more than one step" in found[0].why


def test_that_a_cow_within_one_step_or_put_where_no_plan_runs_is_not_told() -> None:
    near = herd(0.8)
    assert joined_on_its_steps(near, after_move(near, FIELD[1], "Yard")) == []
    still = herd(0.0, plan_runs=False)
    assert joined_on_its_steps(still, after_move(still, FIELD[1], "Yard")) == []
    away = herd(0.0)
    assert joined_on_its_steps(away, after_move(away, YARD[0], "Field")) == []
    assert joined_on_its_steps(away, away) == []
