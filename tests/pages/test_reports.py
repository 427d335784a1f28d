"""The herd day report and the adviser's sheet: what they say, of whom, and that it fits its pages in every state."""

from __future__ import annotations

from datetime import timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from herdscore import headless, shipped
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK
from herdscore.domain.grouping import GROUP, group_cows
from herdscore.domain.groups import figures, standing
from herdscore.domain.listing import ACT, FLAG_LIST, HAND, MISSING, NOTHING, FlagLists, flag_lists
from herdscore.domain.records import AUTUMN, BY_HAND, SPRING, Calving, Cow, Record, Score
from herdscore.pages.adviser_sheet import adviser_sheet
from herdscore.pages.herd_day_report import herd_day_report
from herdscore.pages.reports import write_reports
from herdscore.pages.short_tags import short_tags
from herdscore.parts.report_pages import Report
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import TODAY, ahead, assessed, scored
from tests.domain.season_herds import SEASONS_TODAY, three_seasons
from tests.pages.open_herds import small_herd
from tests.parts.paper import ink_outside, outside, overlapping, pages_of, written_on
from tests.parts.test_report_pages import pages_in


@cache
def sample(name: str) -> Assessment:
    herd = headless.read(shipped.sample_herds() / Path(name), None, TODAY)
    return assess(herd.snapshot, herd.rulebook, herd.today)


SAMPLES = ("autumn", "spring/skerrowby.xlsx", "two_blocks/marrowick.xlsx")
SMALLEST_PX = 10.0  # a line of the foot of a page, 8 points
AT = {column.key: place for place, column in enumerate(FLAG_LIST)}


def text_of(report: Report) -> str:
    """All that is written, words broken over lines put together again."""
    return " ".join(one.text for page in pages_of(report) for one in written_on(page)).replace("\u00a0", " ")


def check_pages(report: Report) -> int:
    pages = pages_of(report)
    for page in pages:
        assert outside(page) == []
        assert ink_outside(page) == 0
    return len(pages)


def smallest(report: Report) -> float:
    """Height in px of the smallest line of a report, which is that of its foot unless something was drawn smaller."""
    return min(one.box.height() for page in pages_of(report) for one in written_on(page) if one.box.width() > 0)


def tags_on(a: Assessment, lists: FlagLists, *names: str) -> list[str]:
    tags = short_tags(a.snapshot.cows.tag.tolist())
    return [tags[lists.cow[i]] for i in lists.on(*names)]


# The herd day report


@pytest.mark.parametrize("name", SAMPLES)
def test_that_the_herd_day_report_names_every_cow_of_the_lists_with_her_day_and_advice(look: Look, name: str) -> None:
    a = sample(name)
    report, lists = herd_day_report(a, "Sample"), flag_lists(a)
    assert 2 <= check_pages(report) <= 4
    text = text_of(report)
    for tag in tags_on(a, lists, ACT, HAND, MISSING, NOTHING):
        assert tag in text
    for key, words in ((ACT, "To act on now"), (HAND, "Time in hand"), (MISSING, "To find out")):
        assert f"{words}: {len(lists.on(key))}" in text
    for i in lists.on(ACT, HAND):
        assert str(lists.rows[i][AT["advice"]]).replace("\u00a0", " ") in text
        by = lists.rows[i][AT["act_by"]]
        if by is not None:
            assert ("today" if by == a.today else f"{by.day} {by:%b}") in text  # type: ignore[attr-defined]
    assert a.rulebook.phrases["caution"] in text


@pytest.mark.parametrize("name", SAMPLES)
def test_that_the_groups_of_the_report_are_those_of_the_groups_page(look: Look, name: str) -> None:
    a = sample(name)
    text = text_of(herd_day_report(a, "Sample"))
    for one in figures(a, standing(a), group_cows(a, GROUP, np.ones(len(a), dtype=bool))):
        assert f"{one.name} {one.cows} {one.now.mean:.2f}" in text
        assert f"{one.in_band} of {one.against.count}" in text


def test_that_a_report_of_one_block_leaves_the_other_out(look: Look) -> None:
    a = sample("two_blocks/marrowick.xlsx")
    lists = flag_lists(a)
    text = text_of(herd_day_report(a, "Sample", a.block == AUTUMN_BLOCK))
    for i in lists.on(ACT):
        tag = short_tags(a.snapshot.cows.tag.tolist())[lists.cow[i]]
        assert (tag in text) == (a.block[lists.cow[i]] == AUTUMN_BLOCK)


def test_that_cows_who_wait_for_a_day_have_it_after_their_tag(look: Look) -> None:
    a = sample("autumn")
    text = text_of(herd_day_report(a, "Sample"))
    assert "Bank field: 1903 by 22 Jun" in text
    assert "Score her again by the day named." in text


def crowd(cows: int, groups: int = 3, tag: str = "{n:04d}") -> Assessment:
    """Many thin and fat cows in many groups, scored today."""
    rng = np.random.default_rng(3)
    records: list[Record] = []
    for n in range(cows):
        cow = Cow(
            f"c{n}",
            tag.format(n=n),
            season=SPRING if n % 3 else AUTUMN,
            calvings=int(rng.integers(0, 6)),
            group=f"Group {n % groups}",
            calving_date=ahead(int(rng.integers(10, 150))),
            date_from=BY_HAND,
        )
        records += [cow, scored(cow, ahead(-1), *[int(rng.integers(5, 18))] * 3)]
    return assessed(*records)


@pytest.mark.parametrize("cows", [150, 700, 5000])
def test_that_a_large_herd_still_fits_four_pages_and_says_what_was_cut(look: Look, cows: int) -> None:
    a = crowd(cows)
    report = herd_day_report(a, "Crowd")
    assert 2 <= check_pages(report) <= 4
    text = text_of(report)
    assert f"To act on now: {len(flag_lists(a).on(ACT))}" in text
    assert smallest(report) >= SMALLEST_PX
    if cows >= 700:
        assert "more on the flag list" in text
        assert "The whole list is on the page Cows, under Flagged" in text


def test_that_forty_groups_and_very_long_names_stay_on_the_page(look: Look) -> None:
    a = crowd(80, groups=40, tag="UK 123456 7{n:05d} of the far herd beyond the burn")
    assert 2 <= check_pages(herd_day_report(a, "A herd with a very long name, " * 6)) <= 4
    assert check_pages(adviser_sheet(a, "A herd with a very long name, " * 6)) == 2


def states() -> dict[str, list[Record]]:
    cow = Cow("c", "0001", season=SPRING, calvings=3, calving_date=ahead(80), date_from=BY_HAND, group="Yard")
    milking = Cow("m", "0002", season=SPRING, calvings=3)
    return {
        "no cow": [],
        "one cow, no score": [cow],
        "one cow, one score": [cow, scored(cow, TODAY, 8, 8, 8)],
        "no date": [Cow("n", "0003", season=SPRING)],
        "no block": [Cow("u", "0004", calvings=2), Score("u", "u", ahead(-2), 10, 10, 10)],
        "all calved": [milking, Calving("k", "m", ahead(-30), ease=2), scored(milking, ahead(-20), 10, 10, 10)],
        "all gone": [Cow("g", "0005", season=SPRING, status="sold"), Score("g", "g", ahead(-2), 10, 10, 10)],
        "on course": [cow, *[scored(cow, ahead(-n), 10, 10, 10) for n in (60, 3)]],
        "the small herd": small_herd(),
    }


@pytest.mark.parametrize("state", states())
def test_that_both_reports_are_whole_in_odd_states(look: Look, state: str, tmp_path: Path) -> None:
    a = assessed(*states()[state])
    day, adviser = herd_day_report(a, "Odd"), adviser_sheet(a, "Odd")
    assert 2 <= check_pages(day) <= 4
    assert check_pages(adviser) >= 1
    for report in (day, adviser):
        for page in pages_of(report):
            assert overlapping(page) == []
            texts = [one.text for one in written_on(page)]
            assert "nan" not in " ".join(texts).lower().replace("nancy", "")
    files = write_reports(a, "Odd", tmp_path)
    assert [pages_in(file.read_bytes()) for file in files] == [len(pages_of(day)), len(pages_of(adviser))]


def some_herd(seed: int) -> list[Record]:
    """A herd of any size and state: scored, dated, calved or not, in few or many groups, some with long names."""
    rng = np.random.default_rng(seed)
    cows, groups = int(rng.choice([2, 7, 30, 90, 260])), int(rng.choice([1, 3, 40]))
    scores, dated, calved, gone = rng.uniform(0, 1, 4) ** 2
    long = " in the far pasture beyond the burn" if rng.random() < 0.3 else ""
    made: list[Record] = []
    for n in range(cows):
        cow = Cow(
            f"c{n}",
            f"{n:04d}{long}",
            season=(SPRING, AUTUMN, None)[int(rng.integers(0, 3))],
            calvings=int(rng.integers(0, 7)),
            group=f"Group {n % groups}{long}" if rng.random() < 0.8 else None,
            status="sold" if rng.random() < gone / 2 else "in herd",
            calving_date=ahead(int(rng.integers(-20, 260))) if rng.random() < 1 - dated else None,
            date_from=BY_HAND,
        )
        made.append(cow)
        if rng.random() < calved:
            made.append(Calving(f"k{n}", cow.id, ahead(-int(rng.integers(1, 400))), ease=1))
        for day in (-3, -40, -120, -340):
            if rng.random() < scores:
                made.append(scored(cow, ahead(day), *rng.integers(4, 20, 3).tolist()))
    return made


@pytest.mark.parametrize("seed", range(24))
def test_that_the_herd_day_of_any_herd_has_two_to_four_pages_with_nothing_cut_off(look: Look, seed: int) -> None:
    a = assessed(*some_herd(seed))
    report = herd_day_report(a, "Any herd")
    assert 2 <= check_pages(report) <= 4
    assert smallest(report) >= SMALLEST_PX
    assert all(page.placed for page in pages_of(report))
    text = text_of(report)
    for key, words in ((ACT, "to act on now"), (HAND, "have time in hand"), (MISSING, "to find out")):
        assert str(len(flag_lists(a).on(key))) in text.split(words)[0].split()


@pytest.mark.parametrize("name", SAMPLES)
def test_that_a_sample_herd_is_told_its_groups_dates_and_feed_and_what_there_is_no_room_for(
    look: Look, name: str
) -> None:
    text = text_of(herd_day_report(sample(name), "Sample"))
    for words in ("Groups, the first to calve on top", "Dates ahead, 8 weeks", "What is fed, and the calendar"):
        assert words in text
    assert ("The year so far, and how projections held" in text) != ("for want of room: the year so far" in text)


def test_that_a_small_herd_is_listed_cow_by_cow_with_what_is_missing(look: Look) -> None:
    a = assessed(*small_herd())
    text = text_of(herd_day_report(a, "Small"))
    every = text.split("Every cow")[1]
    for tag in tags_on(a, flag_lists(a), *set(flag_lists(a).of_list)):
        assert tag in every
    assert "What is missing" in text
    assert "with no calving date" in text


def test_that_a_herd_without_a_cow_gets_a_sheet_for_its_first_scoring(look: Look) -> None:
    text = text_of(herd_day_report(assessed(), "Empty"))
    assert "There is no cow yet." in text
    assert "For the first scoring, to fill in by hand" in text


def test_that_nothing_flagged_is_said_in_words(look: Look) -> None:
    text = text_of(herd_day_report(assessed(*states()["on course"]), "Calm"))
    for words in (
        "Nothing to act on now.",
        "No change waits for its day.",
        "Nothing to find out: every cow has a date",
    ):
        assert words in text


# The adviser's sheet


def test_that_each_block_has_one_page_however_much_there_is_to_say(look: Look) -> None:
    scorers: list[Record] = []
    records = three_seasons(cows=90)
    for n, record in enumerate(r for r in records if isinstance(r, Score)):
        if n % 7 == 0:
            scorers.append(
                Score(f"x{n}", record.cow_id, record.day + timedelta(days=1), 5, 5, 5, scorer=f"Scorer {n % 9}")
            )
    a = assessed(*records, *scorers, today=SEASONS_TODAY)
    assert check_pages(adviser_sheet(a, "Full")) == 1
    assert check_pages(adviser_sheet(sample("two_blocks/marrowick.xlsx"), "Two")) == 2
    assert check_pages(adviser_sheet(sample("two_blocks/marrowick.xlsx"), "One", [SPRING_BLOCK])) == 1


def test_that_the_sheet_says_the_figures_of_three_seasons(look: Look) -> None:
    a = assessed(*three_seasons(), today=SEASONS_TODAY)
    text = text_of(adviser_sheet(a, "Three"))
    for words in ("spring 2027", "spring 2026", "spring 2025", "first-calvers", "R. T., reference", "L. M."):
        assert words in text
    for words in ("in first 3 weeks", "in calf again", "Very fat, 4.0 or more", "bands held", "nine in ten"):
        assert words in text
    assert "The band is right on average over herds, not inside each herd" in text


def test_that_a_herd_without_an_earlier_season_is_told_what_is_missing(look: Look) -> None:
    text = text_of(adviser_sheet(assessed(*states()["one cow, one score"]), "New"))
    assert "No earlier season to look back on" in text
    assert "No calving recorded in these seasons." in text


def test_that_both_files_are_written_without_a_screen(look: Look, tmp_path: Path) -> None:
    a = sample("two_blocks/marrowick.xlsx")
    day, adviser = write_reports(a, "Marrowick", tmp_path)
    assert (day.name, adviser.name) == ("herd-day.pdf", "adviser-sheet.pdf")
    assert pages_in(adviser.read_bytes()) == 2
    assert 2 <= pages_in(day.read_bytes()) <= 4
