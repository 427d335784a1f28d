"""Page Cows, driven by keys over a real herd file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.changes import adding
from herdscore.domain.cow_history import history
from herdscore.domain.listing import ACT, HAND, MISSING, NOTHING
from herdscore.domain.reasons import advice, say_day, why
from herdscore.domain.records import SERVICE, Service
from herdscore.domain.verdict import Verdict
from herdscore.pages.cow_lists import ALL
from herdscore.pages.cows import CowsPage
from herdscore.pages.herds_page import EXPORT
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import ahead, scored
from tests.pages.open_herds import (
    COURSE,
    FAT,
    HAND_COW,
    MILKING,
    SOLD_COW,
    THIN,
    TODAY,
    UNDATED,
    UNSCORED,
    VET,
    opened,
    small_herd,
)


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", small_herd()) as made:
        yield made


@pytest.fixture
def page(herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot) -> CowsPage:
    return shown(herd, look, tmp_path, qtbot)


def shown(herd: OpenHerd, look: Look, folder: Path, qtbot: QtBot) -> CowsPage:
    made = CowsPage(look, herd, Settings(folder))
    qtbot.addWidget(made)
    made.resize(1226, 620)
    with qtbot.waitExposed(made):
        made.show()
    made.show_list(ACT)
    made.focus_first()
    return made


def tags(page: CowsPage) -> list[str]:
    rows = page.flagged.list.rows
    return [rows.row_at(at).texts[0] for at in range(rows.rowCount())]


def cell(page: CowsPage, tag: str, key: str) -> str:
    rows = page.flagged.list.rows
    at = tags(page).index(tag)
    return rows.row_at(at).texts[rows.column_place(key)]


def key_on(page: CowsPage, key: Qt.Key, qtbot: QtBot) -> None:
    focused = page.window().focusWidget()
    assert focused is not None
    qtbot.keyClick(focused, key)


# The lists


def test_that_each_list_counts_the_cows_of_its_verdicts(page: CowsPage, herd: OpenHerd) -> None:
    a = herd.assessment
    lists = np.array([a.rulebook.words[one.key].list for one in Verdict])[a.verdict]
    for key in (ACT, HAND, NOTHING, MISSING):
        count = int((lists == key).sum())
        assert page.flagged.pills.button(key).text().endswith(f"  {count}")
        page.show_list(key)
        assert len(tags(page)) == count
    page.show_list(ALL)
    assert len(tags(page)) == len(a) - 1, "all but the one sold"


def test_that_the_vet_is_on_top_and_the_soonest_act_by_follows(page: CowsPage) -> None:
    assert tags(page) == [VET.tag, FAT.tag, THIN.tag]


def test_that_rates_and_act_by_stand_in_ease_rows_only_and_unknown_is_empty(page: CowsPage) -> None:
    assert cell(page, VET.tag, "rate_wanted") == ""
    assert cell(page, VET.tag, "act_by") == ""
    assert cell(page, THIN.tag, "rate_wanted").startswith("+")
    assert cell(page, FAT.tag, "act_by") == "today"
    page.show_list(MISSING)
    for key in ("score_now", "projected", "rate_expected", "rate_wanted", "act_by"):
        assert cell(page, UNSCORED.tag, key) == ""
    assert cell(page, UNDATED.tag, "calving_date") == ""
    assert cell(page, UNDATED.tag, "days_to_calving") == ""


def test_that_sparks_show_scores_and_a_way_ahead_only_where_one_is_said(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.push(adding("service", [Service("service-6", MILKING.id, SERVICE, ahead(-20))]), "service of 0908")
    page.show_list(ALL)
    assert cell(page, MILKING.tag, "verdict") == "in milk"
    assert int(cell(page, MILKING.tag, "days_to_calving")) > 150
    rows = page.flagged.list.rows
    place = rows.column_place("scores")
    sparks = {tag: rows.row_at(at).extras[place] for at, tag in enumerate(tags(page))}
    assert sparks[THIN.tag].days == (-80.0, -40.0, 0.0)
    assert sparks[THIN.tag].scores == (2.25, 2.0, 2.0)
    assert sparks[THIN.tag].ahead_days == (0.0, 80.0)
    assert [f"{score:.2f}" for score in sparks[THIN.tag].ahead] == [
        cell(page, THIN.tag, "score_now"),
        f"{herd.assessment.course.mean[herd.assessment.snapshot.cow_place[THIN.id]]:.2f}",
    ]
    assert sparks[MILKING.tag].ahead == ()
    assert (sparks[MILKING.tag].band_low, sparks[MILKING.tag].band_high) == (2.25, 2.75), "at mating"
    assert sparks[UNSCORED.tag].scores == ()
    assert sparks[UNSCORED.tag].words == "not scored"


def test_that_a_list_follows_the_block_of_the_header(page: CowsPage, herd: OpenHerd) -> None:
    page.show_list(ALL)
    herd.choose_block("autumn")
    assert tags(page) == [MILKING.tag]
    assert page.flagged.pills.button(ACT).text().endswith("  0")
    herd.choose_block("both")
    assert len(tags(page)) == 9


def test_that_any_column_sorts_with_the_unknown_last_and_the_order_is_kept(
    page: CowsPage, herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot
) -> None:
    page.show_list(ALL)
    page.flagged.list.sort_by("score_now", descending=True)
    assert tags(page)[0] == FAT.tag
    assert tags(page)[-1] == UNSCORED.tag
    page.flagged.list.sort_by("days_to_calving")
    assert tags(page)[0] == "0605"
    again = shown(herd, look, tmp_path, qtbot)
    again.show_list(ALL)
    assert tags(again)[0] == "0605"


def test_that_the_search_narrows_the_list_and_enter_opens_the_only_cow(page: CowsPage, qtbot: QtBot) -> None:
    page.find("")
    assert page.flagged.search.hasFocus()
    qtbot.keyClicks(page.flagged.search, "bram")
    assert tags(page) == [FAT.tag]
    qtbot.keyClick(page.flagged.search, Qt.Key.Key_Return)
    assert page.one_cow.cow_id == FAT.id
    assert page.one_cow.isVisible()


def test_that_escape_empties_the_search_and_then_goes_to_the_list(page: CowsPage, qtbot: QtBot) -> None:
    page.find("02")
    qtbot.keyClick(page.flagged.search, Qt.Key.Key_Escape)
    assert page.flagged.search.text() == ""
    assert len(tags(page)) == 3
    qtbot.keyClick(page.flagged.search, Qt.Key.Key_Escape)
    assert page.flagged.list.hasFocus()


def test_that_a_search_that_finds_nobody_here_says_where_she_is(page: CowsPage, qtbot: QtBot) -> None:
    qtbot.keyClicks(page.flagged.search, "0504")
    words = page.flagged._empty_words
    assert words.isVisible()
    assert words.text() == "No cow on this list holds “0504”. 1 cow fits on the other lists."
    qtbot.mouseClick(page.flagged._show_all, Qt.MouseButton.LeftButton)
    assert tags(page) == [COURSE.tag]


def test_that_the_foot_says_why_the_chosen_cow_is_listed(page: CowsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    key_on(page, Qt.Key.Key_Down, qtbot)
    key_on(page, Qt.Key.Key_Down, qtbot)
    foot = page.flagged.foot
    assert foot._name.text() == "Why 0201"
    a, place = herd.assessment, herd.assessment.snapshot.cow_place[THIN.id]
    assert foot._words.text() == f"{advice(a, place)} {why(a, place)}"
    qtbot.mouseClick(foot.open_button, Qt.MouseButton.LeftButton)
    assert page.one_cow.cow_id == THIN.id


def test_that_an_empty_list_names_the_next_act_by(look: Look, tmp_path: Path, qtbot: QtBot) -> None:
    records = [one for one in small_herd() if getattr(one, "cow_id", one.id) in (HAND_COW.id, "Own day", "diet-2")]
    with opened(tmp_path / "calm.herd", records) as herd:
        page = shown(herd, look, tmp_path, qtbot)
        assert herd.assessment.verdict.tolist() == [Verdict.EASE_UP_IN_HAND]
        words = page.flagged._empty_words
        assert words.isVisible()
        by = say_day(herd.assessment.day(herd.assessment.reach.act_by[0]))
        assert words.text() == f"Nothing to act on now. Next act-by {by}: 0302."
        assert not page.flagged.foot.isVisible()
        page.show_list(NOTHING)
        assert words.text() == "No cow is on a change, close to calving, or gaining well."
        page.show_list(HAND)
        assert tags(page) == [HAND_COW.tag]


def test_that_a_block_without_cows_shows_words_and_no_fault(look: Look, tmp_path: Path, qtbot: QtBot) -> None:
    records = [one for one in small_herd() if getattr(one, "cow_id", one.id) in (HAND_COW.id, "Own day")]
    with opened(tmp_path / "none.herd", records) as herd:
        page = shown(herd, look, tmp_path, qtbot)
        herd.choose_block("autumn")
        page.show_list(ALL)
        assert page.flagged._empty_words.text() == "No cow in this block."
        qtbot.mouseClick(page.tabs.button("one cow"), Qt.MouseButton.LeftButton)
        assert page.one_cow.cow_id == ""
        assert page.one_cow.nobody.isVisible()
        key_on(page, Qt.Key.Key_Escape, qtbot)
        assert page.flagged.isVisible()


def test_that_a_new_score_moves_a_cow_off_the_list_she_was_on(page: CowsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    page.show_list(MISSING)
    assert UNSCORED.tag in tags(page)
    with qtbot.waitSignal(herd.assessed):
        assert herd.push(adding("score", [scored(UNSCORED, TODAY, 11, 11, 11)]), "score of 0807")
    assert UNSCORED.tag not in tags(page)
    with qtbot.waitSignal(herd.assessed):
        herd.undo_stack.undo()
    assert UNSCORED.tag in tags(page)


def test_that_the_export_is_asked_for(page: CowsPage, qtbot: QtBot) -> None:
    with qtbot.waitSignal(page.wished) as asked:
        qtbot.mouseClick(page.flagged.export_button, Qt.MouseButton.LeftButton)
    assert asked.args == [EXPORT]


# One cow


def test_that_enter_opens_a_cow_arrows_step_and_escape_goes_back(page: CowsPage, qtbot: QtBot) -> None:
    key_on(page, Qt.Key.Key_Return, qtbot)
    assert page.one_cow.cow_id == VET.id
    key_on(page, Qt.Key.Key_Down, qtbot)
    assert page.one_cow.cow_id == FAT.id
    key_on(page, Qt.Key.Key_Down, qtbot)
    key_on(page, Qt.Key.Key_Down, qtbot)
    assert page.one_cow.cow_id == THIN.id, "she is the last of the list"
    key_on(page, Qt.Key.Key_Up, qtbot)
    assert page.one_cow.cow_id == FAT.id
    key_on(page, Qt.Key.Key_Escape, qtbot)
    assert page.flagged.isVisible()
    assert page.flagged.list.current_key() == FAT.id


def test_that_a_thin_cow_shows_sentence_figures_reasons_and_her_whole_history(page: CowsPage, herd: OpenHerd) -> None:
    page.show_cow(THIN.id)
    a, place = herd.assessment, herd.assessment.snapshot.cow_place[THIN.id]
    tab = page.one_cow
    assert tab.middle.name.text() == "Cow 0201"
    said = tab.middle.sentence.text()
    assert said.startswith(f"Thin: 1.8 at calving as she is fed, target 2.5. {advice(a, place)}")
    assert said.endswith("Last gentle start 27\u00a0Jan, less 3 days for her date.")
    assert tab.middle.figures.toolTip() == (
        "80 days to calving, 12 days to begin, −0.02 a week now, +0.06 a week wanted"
    )
    assert tab.side.why.said[0][0] == "Score now 2.01"
    lines = tab.side.history.lines
    assert lines == history(a, place)
    assert len(lines) == 8, "three scores, two services, a calving, a weight and a diet"


def test_that_cows_without_date_or_score_show_what_is_missing(page: CowsPage) -> None:
    page.show_cow(UNDATED.id)
    assert page.flagged.current_list == MISSING
    assert ("No calving date", "Nothing tells her date yet: a service, the bull's dates or a scan would") in (
        page.one_cow.side.why.said
    )
    assert page.one_cow.middle.figures.texts() == []
    assert any("empty" in line.words for line in page.one_cow.side.history.lines)
    page.show_cow(UNSCORED.id)
    assert page.one_cow.side.why.said[0][0] == "No score to go by"
    assert page.one_cow.middle.figures.texts() == ["100 days to calving"]


def test_that_a_cow_sold_can_still_be_looked_at(page: CowsPage) -> None:
    page.show_cow(SOLD_COW.id)
    assert page.one_cow.middle.name.text() == "Cow 1009"
    assert len(page.one_cow.side.history.lines) == 2, "a score, and a diet of her group"


def test_that_a_cow_off_the_list_is_shown_beside_the_list_she_is_on(page: CowsPage) -> None:
    page.show_list(ACT)
    page.show_cow(COURSE.id)
    assert page.flagged.current_list == ALL
    page.show_cow(HAND_COW.id)
    assert page.flagged.current_list == ALL, "she is on that one too"
    page.show_list(ACT)
    page.show_cow(HAND_COW.id)
    assert page.flagged.current_list == HAND


def test_that_a_tag_is_found_by_its_last_digits(page: CowsPage, qtbot: QtBot) -> None:
    page.show_cow(VET.id)
    page.find("")
    qtbot.keyClicks(page.find_box, "504")
    qtbot.keyClick(page.find_box, Qt.Key.Key_Return)
    assert page.one_cow.cow_id == COURSE.id
    assert page.find_box.text() == ""


def test_that_a_tag_that_fits_several_or_none_is_answered_beside_the_box(page: CowsPage, qtbot: QtBot) -> None:
    page.show_cow(VET.id)
    qtbot.keyClicks(page.find_box, "0")
    qtbot.keyClick(page.find_box, Qt.Key.Key_Return)
    assert page._found.text() == "1 cow ends in 0: 0100" or page.one_cow.cow_id == VET.id
    page.find_box.clear()
    qtbot.keyClicks(page.find_box, "77")
    qtbot.keyClick(page.find_box, Qt.Key.Key_Return)
    assert page._found.text() == "No cow ends in 77"
    assert page.one_cow.cow_id == VET.id


def test_that_the_reasons_fold_away(page: CowsPage, qtbot: QtBot) -> None:
    page.show_cow(THIN.id)
    why = page.one_cow.side.why
    qtbot.mouseClick(why._fold, Qt.MouseButton.LeftButton)
    assert why.is_folded
    page.show_cow(VET.id)
    assert why.is_folded, "it stays as it was put"
    qtbot.mouseClick(why._fold, Qt.MouseButton.LeftButton)
    assert not why.is_folded


def test_that_reasons_take_the_height_they_need_and_leave_the_rest_to_the_history(page: CowsPage, qtbot: QtBot) -> None:
    side = page.one_cow.side
    page.show_cow(THIN.id)
    qtbot.waitUntil(lambda: side.why.height() > 200)
    page.show_cow(MILKING.id)
    qtbot.waitUntil(lambda: side.why._body.verticalScrollBar().maximum() == 0)
    assert side.history.height() > 150
    side.why.fold(True)
    qtbot.waitUntil(lambda: side.why.height() < 70)


# The look of it


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_the_page_fits_the_smallest_window(page: CowsPage, look: Look, theme: str) -> None:
    look.choose(theme)
    for show in (lambda: page.show_list(ACT), lambda: page.show_cow(THIN.id)):
        show()
        # 1280 x 680 less the rail, the header and the status line.
        assert page.minimumSizeHint().width() <= 1279 - 92
        assert page.minimumSizeHint().height() <= 680 - 66 - 32
        assert all(one.height() >= 44 for one in page.findChildren(QAbstractButton) if one.isVisible())


def test_that_no_column_is_out_of_sight_at_the_smallest_width(page: CowsPage, qtbot: QtBot) -> None:
    page.resize(1280 - 92, 582)
    qtbot.waitUntil(lambda: page.flagged.list.horizontalScrollBar().maximum() == 0)


def test_that_the_tabs_are_stepped_through_by_keys(page: CowsPage, qtbot: QtBot) -> None:
    ctrl = Qt.KeyboardModifier.ControlModifier
    seen = []
    for key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageDown, Qt.Key.Key_PageUp, Qt.Key.Key_PageUp, Qt.Key.Key_PageUp):
        focused = page.window().focusWidget()
        assert focused is not None
        qtbot.keyClick(focused, key, ctrl)
        seen.append(page.tabs.current)
    assert seen == ["one cow", "runway", "one cow", "flagged", "runway"]
