"""For any herd: verdict, mark, place on the runway, header, lists, groups and the written sheet agree cow by cow."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from openpyxl import load_workbook

from herdscore.desk.head_figures import figures
from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, NO_BLOCK, SPRING_BLOCK
from herdscore.domain.grouping import GROUP, group_cows
from herdscore.domain.groups import figures as group_figures
from herdscore.domain.groups import standing
from herdscore.domain.listing import ACT, FLAG_LIST, HAND, MISSING, NOTHING, flag_lists
from herdscore.domain.records import Record
from herdscore.domain.rounds import still_to_score
from herdscore.domain.runway import MARGIN_DAYS, Runway, at_rim, runway_of
from herdscore.domain.runway_finding import BEGIN_NOW, IN_HAND, finding
from herdscore.domain.verdict import EASING, Verdict
from herdscore.exchange.flag_sheets import flag_list
from herdscore.exchange.lists_out import ALL_COWS, FLAGGED, write_list
from herdscore.exchange.lists_out import MISSING as MISSING_SHEET
from herdscore.pages.cow_lists import ALL, CowLists
from herdscore.pages.flagged_rows import KEYS, FlaggedRows
from herdscore.pages.runway_pictures import runway_picture
from herdscore.parts.marks import BACK_TO_FRONT
from tests.domain.herds import assessed
from tests.domain.test_safety import herds

AT = {column.key: place for place, column in enumerate(FLAG_LIST)}
BLOCKS = (AUTUMN_BLOCK, SPRING_BLOCK)
NOT_BEFORE_CALVING = (Verdict.IN_MILK, Verdict.FEED_FOR_BULL, Verdict.SCORE_FOR_BULL, Verdict.PAST_DATE)


def among(a: Assessment, block: int | None) -> np.ndarray:
    """Cows the header's switch lets through; None for both."""
    return np.ones(len(a), dtype=bool) if block is None else (a.block == block) | (a.block == NO_BLOCK)


@given(herds())
@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_that_list_header_runway_and_groups_say_one_thing_of_every_cow(rows: list[Record]) -> None:
    a = assessed(rows)
    lists = flag_lists(a)
    said = {cow: (row, name, mark) for cow, row, name, mark in zip(*vars_of(lists), strict=True)}
    assert set(said) == set(np.flatnonzero(a.verdict != Verdict.GONE).tolist())
    for cow, (row, name, mark) in said.items():
        words = a.rulebook.words[Verdict(a.verdict[cow]).key]
        assert (row[AT["verdict"]], name, mark) == (words.word, words.list, words.mark)
        assert (row[AT["rate_wanted"]] is None) == (a.verdict[cow] not in EASING)
    check_header_and_lists(a, {cow: name for cow, (_, name, _) in said.items()})
    for block in BLOCKS:
        check_runway(a, runway_of(a, block), {cow: (row, mark) for cow, (row, _, mark) in said.items()})
    on = [cow for block in BLOCKS for cow in runway_of(a, block).cow.tolist()]
    assert len(on) == len(set(on)), "no cow on two runways"
    check_groups(a, {cow: name for cow, (_, name, _) in said.items()})


def vars_of(lists: object) -> tuple[tuple[object, ...], ...]:
    return tuple(getattr(lists, name) for name in ("cow", "rows", "of_list", "mark"))


def check_header_and_lists(a: Assessment, of_list: dict[int, str]) -> None:
    """Header figures, counts of the pills and rows on screen are those of the lists, block by block."""
    for block in (None, *BLOCKS):
        inside = among(a, block)
        mine = {cow: name for cow, name in of_list.items() if inside[cow]}
        head = {one.key: one.number for one in figures(a, inside)}
        assert head[ACT] == str(sum(name == ACT for name in mine.values()))
        assert head[MISSING] == str(still_to_score(a, inside))
        pages = CowLists(a, inside)
        for key in (ACT, HAND, NOTHING, MISSING):
            expected = {cow for cow, name in mine.items() if name == key}
            places = pages.places(key)
            assert set(pages.cow[places].tolist()) == expected
            assert pages.count(key) == len(expected)
        assert set(pages.cow[pages.places(ALL)].tolist()) == set(mine)
    pages = CowLists(a, among(a, None))
    rows = FlaggedRows(a, pages.cow, pages.mark.tolist(), pages.tags)
    for place, cow in enumerate(pages.cow.tolist()):
        row = rows.row(place)
        assert row.texts[KEYS.index("verdict")] == a.rulebook.words[Verdict(a.verdict[cow]).key].word
        assert row.extras[KEYS.index("verdict")] == a.rulebook.words[Verdict(a.verdict[cow]).key].mark


def check_runway(a: Assessment, runway: Runway, said: dict[int, tuple[object, str]]) -> None:
    """Mark, place and title of a runway are those of the list; a cow stands where her row says."""
    every = np.ones(len(runway.cow), dtype=bool)
    picture = runway_picture(a, runway, every, "")
    furthest = a.rulebook.limits.furthest_days
    for place, cow in enumerate(runway.cow.tolist()):
        row, mark = said[cow]
        assert isinstance(row, tuple)
        assert a.verdict[cow] not in NOT_BEFORE_CALVING
        assert BACK_TO_FRONT[picture.mark[place]] == mark
        days, projected, target = (row[AT[key]] for key in ("days_to_calving", "projected", "target"))
        assert row[AT["season"]] == BLOCK_NAMES[runway.block]
        assert runway.days[place] == days
        if days > furthest:
            assert runway.early[place]
            assert -furthest - MARGIN_DAYS < picture.across[place] < -furthest
            assert a.verdict[cow] not in EASING
        else:
            assert picture.across[place] == -max(days, -2)
            assert abs(runway.gap[place] - (projected - target)) < 0.006
            assert picture.up[place] == at_rim(runway.gap[place])
    # Who is left out has no date or score, is gone or not in calf, or is no longer before calving.
    for cow in np.flatnonzero((a.block == runway.block) & ~np.isin(np.arange(len(a)), runway.cow)).tolist():
        off = (Verdict.GONE, Verdict.NOT_IN_CALF, Verdict.NEEDS_DATE, *NOT_BEFORE_CALVING)
        unscored = not np.isfinite(a.facts.score_now[cow])
        assert a.verdict[cow] in off or unscored or not np.isfinite(a.dates.day[cow])
        assert a.verdict[cow] not in EASING
    check_title(a, runway, every)


def check_title(a: Assessment, runway: Runway, every: np.ndarray) -> None:
    verdict = a.verdict[runway.cow]
    now, hand = (int(np.isin(verdict, which).sum()) for which in (BEGIN_NOW, IN_HAND))
    said = finding(a, [(runway, every)])
    if len(runway.cow):
        found = re.match(r"(\d+|No) cows? needs? a (?:gentle )?change begun now", said)
        assert found is not None, said
        assert found[1] == (str(now) if now else "No")
        waiting = re.search(r"(\d+) (?:has|have) time in hand", said)
        assert (waiting[1] if waiting else "0") == str(hand)
    else:
        assert now + hand == 0


def check_groups(a: Assessment, of_list: dict[int, str]) -> None:
    """Every living cow is in one group, and the groups' cows to act on are those of the list."""
    grouping = group_cows(a, GROUP, among(a, None))
    found = group_figures(a, standing(a), grouping)
    assert sum(one.cows for one in found) == len(of_list)
    assert sum(one.to_act for one in found) == sum(name == ACT for name in of_list.values())


@given(herds())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_that_the_written_sheet_says_what_the_list_says(rows: list[Record]) -> None:
    a = assessed(rows)
    lists = flag_lists(a)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "flags.xlsx"
        write_list(path, flag_list(a, "Any herd"))
        book = load_workbook(path, read_only=True)
        sheets = {
            name: [line for line in book[name].iter_rows(min_row=2, values_only=True) if line[0] not in (None, "none")]
            for name in (FLAGGED, MISSING_SHEET, ALL_COWS)
        }
        book.close()
    for name, keys in ((FLAGGED, (ACT, HAND, NOTHING)), (MISSING_SHEET, (MISSING,))):
        expected = [lists.rows[i] for i in lists.on(*keys)]
        assert [line[0] for line in sheets[name]] == [row[0] for row in expected]
    assert len(sheets[ALL_COWS]) == len(lists.rows)
    for line, row in zip(sheets[ALL_COWS], lists.rows, strict=True):
        assert line[AT["verdict"]] == row[AT["verdict"]]
        assert line[AT["days_to_calving"]] == row[AT["days_to_calving"]]
        for key in ("score_now", "projected", "rate_wanted"):
            assert (line[AT[key]] is None) == (row[AT[key]] is None)
        act_by = line[AT["act_by"]]
        assert (act_by.date() if act_by is not None else None) == row[AT["act_by"]]
