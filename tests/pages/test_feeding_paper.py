"""The feeding sheet and the order list on paper: nothing leaves the page, and odd herds are told in whole sentences."""

from __future__ import annotations

import pytest

from herdscore.domain.assess import Assessment
from herdscore.domain.fed_groups import fed_groups
from herdscore.domain.feed_order import feed_order
from herdscore.domain.feeding_sheet import feeding_sheet
from herdscore.domain.feeds import feeds_of
from herdscore.domain.records import Cow, Feed, Ration, Record
from herdscore.pages.feeding_paper import caution_words, feeding_report, order_report, order_words
from herdscore.parts.report_pages import Report
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import ahead, assessed
from tests.parts.paper import ink_outside, outside, overlapping, pages_of, written_on

LONG = "Ground mixture of the far merchant, second delivery, lot "


def papers(a: Assessment, weeks: int | None) -> tuple[Report, Report]:
    groups, feeds = fed_groups(a), feeds_of(a.snapshot.feeds)
    order = feed_order(a, groups, feeds, weeks)
    sheet = feeding_report(feeding_sheet(a, groups, weeks), "Farm", caution_words(groups, feeds, a.rulebook))
    return sheet, order_report(order, "Farm", "to calving", order_words(order, a.rulebook.minerals), [])


def text_of(report: Report) -> str:
    return " ".join(one.text for page in pages_of(report) for one in written_on(page)).replace("\u00a0", " ")


def yard(cows: int) -> list[Record]:
    return [Cow(f"c{n}", f"{n:04d}", group="Yard", calving_date=ahead(30 + n)) for n in range(cows)]


def fed(feeds: int, name: str = LONG) -> list[Record]:
    made: list[Record] = [Feed(f"f{n}", f"{name}{n}", 86.0, 10.0, "concentrate", 10.0) for n in range(feeds)]
    for day, kg in ((-2, 0.5), (9, 0.75)):
        made += [Ration(f"r{n} {day}", "Yard", ahead(day), f"{name}{n}", kg + 0.05 * n) for n in range(feeds)]
    return made


STATES: dict[str, list[Record]] = {
    "no cow": [],
    "no feed": yard(2),
    "no group": [Cow("x", "X1", calving_date=ahead(20))],
    "one feed": [*yard(1), *fed(1)],
    "twelve feeds with long names": [*yard(60), *fed(12)],
    "forty groups": [
        *(Cow(f"g{n}", f"G{n:02d}", group=f"Pen {n} beyond the burn", calving_date=ahead(60)) for n in range(40)),
        Feed("s", "Silage", 25.0, 10.0, "forage", 12.0),
        *(Ration(f"s{n}", f"Pen {n} beyond the burn", ahead(-3), "Silage", 20.0) for n in range(40)),
    ],
}


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("weeks", [4, None])
def test_that_nothing_leaves_the_paper_or_lies_on_other_words(look: Look, state: str, weeks: int | None) -> None:
    for report in papers(assessed(*STATES[state]), weeks):
        for page in pages_of(report):
            assert outside(page) == []
            assert ink_outside(page) == 0
            assert overlapping(page) == []
        assert "nan" not in text_of(report).lower()


def test_that_groups_without_a_ration_and_cows_without_a_group_are_told(look: Look) -> None:
    sheet, order = papers(assessed(*yard(2), Cow("x", "X1", calving_date=ahead(20))), 4)
    for paper in (sheet, order):
        assert "No ration written down for Yard: say on Feeding, Ration by hand" in text_of(paper)
        assert "Cows without a group have no ration: give them a group first." in text_of(paper)
    assert "Dry-cow mineral" in text_of(order)
    assert "Your label decides." in text_of(order)


def test_that_a_step_says_how_much_more_a_head_and_the_next_is_named_above(look: Look) -> None:
    sheet, _ = papers(assessed(*yard(10), *fed(1, "Barley ")), 4)
    text = text_of(sheet)
    assert "Steps ahead: Thu 21 Jan Yard." in text
    assert "Next step Thu 21 Jan: Barley 0 +0.25 kg a head." in text
    assert "(+0.25)" in text
    assert "7.5 0.75 a head" in text
