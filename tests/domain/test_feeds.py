"""Feeds: what they bring, what is wrong with an entry, and minerals over all sources."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from herdscore.domain.feeds import (
    book_feeds,
    eaten_of,
    energy_in,
    feed_problems,
    feeds_of,
    joined,
    list_problems,
    me_per_kg,
    mineral_sums,
    share_eaten,
)
from herdscore.domain.herd import Snapshot
from herdscore.domain.ration_checks import Limit, State, mineral_checks
from herdscore.domain.records import Feed, new_id
from herdscore.errors import Problem
from tests.domain.fed_cows import TODAYS_RATION, usual_feeds
from tests.domain.herds import RULES


def farm_feeds() -> list[Feed]:
    return [
        Feed(new_id(), "Silage, clamp 2", 28, 10.1, "forage", 12, 35, 400),
        Feed(new_id(), "Pre-calving mineral", 98, 0, "mineral", None, 720, 1, 1500, 60, 250, 100, 100),
        Feed(new_id(), "Straw", 86, 6.5, "straw", 3.8, 95, None),
    ]


def test_that_the_farms_feeds_are_read_in_kilos_of_dry_matter() -> None:
    feeds = feeds_of(Snapshot.from_records(farm_feeds()).feeds)
    silage = feeds.place("silage, CLAMP 2")
    assert feeds.dm[silage] == pytest.approx(0.28)
    assert feeds.price[silage] == pytest.approx(0.035 / 0.28)
    assert feeds.stock[silage] == pytest.approx(400_000 * 0.28)
    assert feeds.dose[feeds.place("Pre-calving mineral")] == pytest.approx(0.098)
    assert feeds.is_dosed.sum() == 1
    ration = feeds.ration({"Silage, clamp 2": 20, "Straw": 2})
    assert ration[silage] == pytest.approx(5.6)
    with pytest.raises(Problem, match="“Hay” is not among the feeds"):
        feeds.ration({"Hay": 1})


def test_that_a_ration_adds_up() -> None:
    feeds = usual_feeds()
    assert float(energy_in(feeds, TODAYS_RATION)) == pytest.approx(6.5 * 9.6 + 2 * 6.5)
    assert float(me_per_kg(feeds, TODAYS_RATION)) == pytest.approx((6.5 * 9.6 + 2 * 6.5) / 8.5)
    assert np.isnan(me_per_kg(feeds, np.zeros(4)))


def test_that_better_forage_is_eaten_in_larger_amounts() -> None:
    """Common practice, % of live weight: straw 1.3, up to 62 DMD 1.5, 65-68 DMD 1.7, 70 DMD and more 1.9."""
    names = (
        "Barley straw",
        "Grass silage, 65 DMD",
        "Grass silage, 68 DMD",
        "Grass silage, 70 DMD",
        "Grass silage, 75 DMD",
    )
    eaten = eaten_of(book_feeds(RULES.book_feeds[name] for name in names), RULES.feeding)
    assert eaten == pytest.approx([1.3, 1.7, 1.7, 1.9, 1.9], abs=0.02)
    feeds = usual_feeds()
    full = np.array([6.5 * 1.7, 0, 0, 0])
    assert float(share_eaten(feeds, full, 650.0, RULES.feeding)) == pytest.approx(1.0)
    assert float(share_eaten(feeds, full, 650.0, RULES.feeding, late=True)) == pytest.approx(1 / 0.9)
    swapped = full + np.array([-0.5, 0, 1.0, 0])  # a kilo of barley displaces half a kilo of forage
    assert float(share_eaten(feeds, swapped, 650.0, RULES.feeding)) == pytest.approx(1.0)


def test_that_farm_feeds_come_before_those_of_the_book() -> None:
    farm = feeds_of(Snapshot.from_records([Feed(new_id(), "barley STRAW", 85, 6.0, "straw")]).feeds)
    both = joined(farm, usual_feeds())
    assert list(both.book) == [False, True, True, True]
    assert both.me[both.place("Barley straw")] == 6.0


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"me": 130.0}, "has 130 MJ ME/kg dry matter. This kind of feed has 3 to 16. Perhaps 13?"),
        ({"dm": 8.6}, "has 8.6 % dry matter. This kind of feed has 14 to 100 %"),
        ({"cp": 110.0}, "has 110 % protein"),
        ({"price": -4.0}, "has a price of -4"),
        ({"kind": "straw"}, "has 13.2 MJ ME/kg dry matter. This kind of feed has 3 to 8.5"),
        ({"kind": "mineral"}, "has no dose"),
    ],
)
def test_that_a_wrong_entry_gets_a_plain_sentence(changed: dict[str, float], says: str) -> None:
    barley = Feed(new_id(), "Barley, rolled", 87, 13.2, "concentrate", 11)
    assert not feed_problems(barley, RULES.feeding)
    found = feed_problems(replace(barley, **changed), RULES.feeding)
    assert says in " ".join(str(problem) for problem in found)


def test_that_every_feed_of_the_book_and_of_the_farm_is_believed() -> None:
    for feed in RULES.book_feeds.values():
        assert not feed_problems(Feed(new_id(), feed.name, feed.dm, feed.me, feed.kind, feed.cp), RULES.feeding)
    assert not [problem for feed in farm_feeds() for problem in feed_problems(feed, RULES.feeding)]


def test_that_a_list_without_forage_or_prices_says_so() -> None:
    barley = usual_feeds().only(np.array([False, False, True, False]))
    assert "no forage" in str(list_problems(barley)[0])
    unpriced = replace(usual_feeds(), price=np.array([0.15, np.nan, 0.25, 0.5]), cp=np.array([0.11, 0.04, np.nan, 0.5]))
    said = [str(problem) for problem in list_problems(unpriced)]
    assert said[0].startswith("No price for Barley straw.")
    assert said[1].startswith("No protein for Barley, rolled.")
    assert not list_problems(usual_feeds())


def test_that_minerals_are_summed_over_everything_she_gets() -> None:
    """Ceilings a day at 11 kg of dry matter: selenium 6.25, copper 375, iodine 125 mg (EU law, 12 % moisture)."""
    feeds = feeds_of(Snapshot.from_records(farm_feeds()).feeds)
    ration = np.zeros(3)
    ration[feeds.place("Pre-calving mineral")] = 0.1
    ration[feeds.place("Silage, clamp 2")] = 10.9
    found = {one.element: one for one in mineral_sums(feeds, ration, RULES.minerals)}
    assert (found["se"].amount, found["se"].ceiling) == (pytest.approx(6.0), pytest.approx(6.25))
    assert (found["cu"].ceiling, found["i"].ceiling) == (pytest.approx(375), pytest.approx(125))
    assert found["se"].not_counted == ("Silage, clamp 2",)
    checks = {check.limit: check for check in mineral_checks(feeds, ration, RULES.minerals)}
    assert checks[Limit.SELENIUM].state is State.CAUTION
    assert checks[Limit.COPPER].state is State.FINE
    ration[feeds.place("Pre-calving mineral")] = 0.11
    assert {c.limit: c.state for c in mineral_checks(feeds, ration, RULES.minerals)}[Limit.SELENIUM] is State.REFUSED


def test_that_magnesium_cover_at_grass_is_warned_of_and_not_refused() -> None:
    feeds = usual_feeds(mg=[2.0, 1.0, 1.2, 3.0])
    grass = np.array([11.0, 0.0, 0.0, 0.0])
    states = [
        {check.limit: check.state for check in mineral_checks(feeds, grass, RULES.minerals, cover_at_grass=cover)}
        for cover in (0.0, 30.0, 31.0)
    ]
    assert [state[Limit.MAGNESIUM] for state in states] == [State.FINE, State.CAUTION, State.REFUSED]
