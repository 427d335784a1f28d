"""The page Feeding on sample herds: a plan begun and taken back, cows penned apart, a ration typed, feeds changed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, time, timedelta
from pathlib import Path

import openpyxl
import pytest
from PySide6.QtCore import Qt

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.changes import adding
from herdscore.domain.fed_groups import Stand
from herdscore.domain.feeding_plan import Status
from herdscore.domain.moves import plan_move
from herdscore.domain.rations import ration_on, rations_of
from herdscore.domain.records import UP, WINTER_FEED, Diet, Feed, Ration, new_id
from herdscore.pages.feeding import BY_HAND, FEEDS, PAPER, PENS, FeedingPage
from herdscore.pages.feeding_on_paper import ALL, ORDER
from herdscore.parts.print_band import THIS_PAGE
from tests.window_rig import Rig


@pytest.fixture
def rig(new_rig: Callable[..., Rig], tmp_path: Path) -> Rig:
    from herdscore import shipped
    from herdscore.pictures import open_copy

    made = new_rig()
    first, _ = open_copy(shipped.sample_herds() / "spring", tmp_path, None)
    made.opening.opened.emit(OpenHerd(first, made.jobs))
    made.window.show_page("feeding")
    made.settle()
    return made


def page_of(rig: Rig) -> FeedingPage:
    page = rig.page
    assert isinstance(page, FeedingPage)
    return page


def choose(rig: Rig, name: str) -> FeedingPage:
    page = page_of(rig)
    page.work.choose(name)
    rig.qtbot.waitUntil(lambda: page.plan.made is not None)
    rig.settle()
    return page


def test_that_a_start_is_refused_until_those_in_the_way_are_penned_apart_and_then_runs_and_is_taken_back(
    rig: Rig,
) -> None:
    page = choose(rig, "Straw yard")
    assert page.plan.made is not None
    assert page.plan.made.apart
    assert not page.plan.begin_button.isEnabled()
    assert "pen them apart" in page.plan.why_not.text()
    rig.qtbot.mouseClick(page.plan.left_out.button, Qt.MouseButton.LeftButton)
    rig.settle()
    rig.qtbot.waitUntil(lambda: page.plan.made is not None and not page.plan.made.apart)
    rig.settle()
    before = rations_of(rig.herd.snapshot, "Straw yard")
    rig.qtbot.keyClick(page.plan.begin_button, Qt.Key.Key_Space)
    rig.settle()
    diets = [row for row in rig.herd.snapshot.records("diets") if isinstance(row, Diet) and row.plan_note]
    assert [row.group for row in diets] == ["Straw yard"]
    assert len(rations_of(rig.herd.snapshot, "Straw yard")) > len(before)
    assert next(one for one in page.work.groups if one.name == "Straw yard").stand is Stand.RUNNING
    rig.herd.undo()
    rig.settle()
    assert rations_of(rig.herd.snapshot, "Straw yard") == before


def test_that_no_plan_shown_begins_a_change_in_a_cow_within_the_lead(rig: Rig) -> None:
    page = page_of(rig)
    lead = rig.herd.rulebook.limits.lead_days
    for group in list(page.work.groups):
        made = choose(rig, group.name).plan.made
        assert made is not None
        if made.plan.aim and made.plan.status is not Status.REFUSED:
            assert (made.plan.cows.calving_day >= lead).all()


def test_that_a_jump_typed_by_hand_is_refused_in_place_with_the_largest_step(rig: Rig) -> None:
    page = choose(rig, "Cubicle shed")
    page.show_tab(BY_HAND)
    hand = page.by_hand
    hand.rows.add_line()
    kg = hand.rows._lines[-1].kg
    rig.qtbot.keyClicks(kg, "2.5")
    rig.qtbot.waitUntil(lambda: hand.jump.isVisible())
    assert "at once is refused: a crash change" in hand._jump_claim.text()
    assert "0.6 kg fresh (0.5 kg DM) a step, 3 days apart" in hand._jump_say.text()
    kg.clear()
    rig.qtbot.keyClicks(kg, "much")
    rig.qtbot.waitUntil(lambda: not hand.read.is_good)
    assert "is not a number" in hand.read.problems[len(hand.rows.typed) - 1]
    assert hand.rows.typed[-1][1] == "much"
    assert not hand.begin_button.isEnabled()


def test_that_what_they_get_now_is_written_down_without_a_diet(rig: Rig) -> None:
    page = choose(rig, "Cubicle shed")
    page.show_tab(BY_HAND)
    diets = len(rig.herd.snapshot.diets)
    page.by_hand.rows._lines[0].kg.setText("2")
    page.by_hand.look_ahead()
    rig.qtbot.mouseClick(page.by_hand.now_button, Qt.MouseButton.LeftButton)
    rig.settle()
    assert rations_of(rig.herd.snapshot, "Cubicle shed")[-1][1]["Barley straw"] == 2.0
    assert len(rig.herd.snapshot.diets) == diets


def test_that_a_wrong_energy_stays_in_the_cell_with_a_sentence_and_a_right_one_is_kept(rig: Rig) -> None:
    page = page_of(rig)
    page.show_tab(FEEDS)
    tab = page.feeds
    silage = next(feed for feed in tab._rows.values() if feed.kind == "forage")
    tab._on_typed(silage.id, "me", "101")
    assert "Perhaps 10.1?" in tab.foot.text()
    tab._on_typed(silage.id, "me", "9.7")
    rig.settle()
    kept = [row for row in rig.herd.snapshot.records("feeds") if isinstance(row, Feed) and row.id == silage.id]
    assert [row.me for row in kept] == [9.7]


def test_that_proposed_groups_are_moved_as_one_step_that_can_be_taken_back(rig: Rig) -> None:
    page = page_of(rig)
    page.show_tab(PENS)
    rig.settle()
    before = rig.herd.snapshot.cows.group.tolist()
    assert page.pens.save_button.isEnabled()
    rig.qtbot.keyClick(page.pens.save_button, Qt.Key.Key_Space)
    rig.settle()
    assert rig.herd.snapshot.cows.group.tolist() != before
    rig.herd.undo()
    rig.settle()
    assert rig.herd.snapshot.cows.group.tolist() == before


def test_that_too_few_places_are_told(rig: Rig) -> None:
    page = page_of(rig)
    page.show_tab(PENS)
    rig.settle()
    page.pens.pens.put("One pen (3)")
    page.pens.propose()
    assert "name another pen" in page.pens.pens.said


def test_that_a_ration_begun_cannot_be_begun_once_more_before_the_next_step_is_due(rig: Rig) -> None:
    page = choose(rig, "Straw yard")
    rig.qtbot.mouseClick(page.plan.left_out.button, Qt.MouseButton.LeftButton)
    rig.settle()
    rig.qtbot.waitUntil(lambda: page.plan.made is not None and not page.plan.made.apart)
    rig.settle()
    page.plan.begin()
    rig.settle()
    page.plan.again_button.click()
    rig.qtbot.waitUntil(lambda: page.plan.made is not None)
    rig.settle()
    assert not page.plan.begin_button.isEnabled()
    assert "the next step may come on" in page.plan.why_not.text()
    written = rations_of(rig.herd.snapshot, "Straw yard")
    page.plan.begin()
    page.show_tab(BY_HAND)
    page.by_hand.rows._lines[0].kg.setText("2.6")
    page.by_hand.begin()
    rig.settle()
    assert rations_of(rig.herd.snapshot, "Straw yard") == written


def test_that_a_late_cow_no_plan_counts_still_stands_in_the_way_and_the_block_looked_at_hides_nobody(rig: Rig) -> None:
    page = choose(rig, "Cubicle shed")
    herd, lead = rig.herd, rig.herd.rulebook.limits.lead_days
    group = page.work.chosen
    assert group is not None
    made = page.plan.made
    assert made is not None
    assert made.plan.aim
    late = {one.row for one in group.left_out if one.days < lead}
    assert late
    assert late <= {one.row for one in made.apart}
    whole = group.rows.tolist()
    herd.choose_block("autumn")
    herd.choose_block("spring")
    rig.settle()
    again = next(one for one in page.work.groups if one.name == "Cubicle shed")
    assert again.rows.tolist() == whole


def test_that_cows_penned_apart_stand_in_the_register_there_on_the_old_ration_without_a_change_begun(rig: Rig) -> None:
    page = choose(rig, "Straw yard")
    assert page.plan.made is not None
    tags = [one.row for one in page.plan.made.apart]
    before = rations_of(rig.herd.snapshot, "Straw yard")[-1][1]
    page.plan.pen_apart()
    rig.settle()
    pen = "Straw yard as before"
    assert rig.herd.snapshot.cows.group[tags].tolist() == [pen] * len(tags)
    assert rations_of(rig.herd.snapshot, pen)[-1][1] == before
    diets = [row for row in rig.herd.snapshot.records("diets") if isinstance(row, Diet) and row.group == pen]
    assert [(row.aim, row.plan_note) for row in diets] == [(None, None)]
    page.show_tab(PENS)
    rig.settle()
    assert not isinstance(page.pens.read_pens(), str)


def test_that_steps_that_no_longer_fit_what_they_get_are_taken_out(rig: Rig) -> None:
    page = choose(rig, "Straw yard")
    page.plan.pen_apart()
    rig.settle()
    rig.qtbot.waitUntil(lambda: page.plan.made is not None and not page.plan.made.apart)
    rig.settle()
    page.plan.begin()
    rig.settle()
    page.show_tab(BY_HAND)
    rig.settle()
    today = rig.herd.today
    assert [day for day, _ in rations_of(rig.herd.snapshot, "Straw yard") if day > today]
    for line in page.by_hand.rows._lines:
        line.kg.setText("9")
    page.by_hand.record_now()
    rig.settle()
    assert not [day for day, _ in rations_of(rig.herd.snapshot, "Straw yard") if day > today]


def test_that_a_ration_begun_by_hand_is_written_with_its_way_back_and_taken_back_as_one_step(rig: Rig) -> None:
    page = choose(rig, "Straw yard")
    page.plan.pen_apart()
    rig.settle()
    rig.qtbot.waitUntil(lambda: page.plan.made is not None and not page.plan.made.apart)
    page.show_tab(BY_HAND)
    rig.settle()
    hand = page.by_hand
    silage = next(line for line in hand.rows._lines if "silage" in line.feed.currentText())
    silage.kg.setText("27")
    hand.look_ahead()
    assert hand.begin_button.isEnabled(), hand.why_not.text()
    before = rations_of(rig.herd.snapshot, "Straw yard")
    hand.begin()
    rig.settle()
    after = rations_of(rig.herd.snapshot, "Straw yard")
    assert len(after) > len(before) + 1
    rig.herd.undo()
    rig.settle()
    assert rations_of(rig.herd.snapshot, "Straw yard") == before


def test_that_the_tabs_are_stepped_through_by_keys(rig: Rig) -> None:
    page = page_of(rig)
    rig.window.activateWindow()
    page.plan.focus_first()
    seen = []
    for _ in range(5):
        rig.qtbot.keyClick(rig.window.focusWidget(), Qt.Key.Key_PageDown, Qt.KeyboardModifier.ControlModifier)
        rig.settle()
        seen.append(page.pills.current)
    assert seen == [BY_HAND, PENS, FEEDS, PAPER, "plan"]


def test_that_the_feeding_sheet_is_seen_printed_and_saved_as_it_is_written_down(rig: Rig, tmp_path: Path) -> None:
    page = page_of(rig)
    page.show_tab(PAPER)
    rig.settle()
    assert page.paper.sheet is not None
    names = {group.name for group in page.paper.sheet.groups}
    assert {"Straw yard", "Cubicle shed"} <= names
    assert len(page.paper.view.pages) >= 1
    assert "Straw yard: " in page.paper.view.accessibleDescription()
    rig.asking.path = tmp_path / "sheet.pdf"
    rig.qtbot.mouseClick(page.paper.pdf_button, Qt.MouseButton.LeftButton)
    rig.qtbot.waitUntil(lambda: (tmp_path / "sheet.pdf").exists())
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    rig.asking.path = tmp_path / "printed.pdf"
    rig.qtbot.keyClick(rig.window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    band = rig.window.frame.print_band
    assert band.what.button(THIS_PAGE).text() == "Feeding sheet"
    band.what.choose(THIS_PAGE)
    rig.qtbot.keyClick(band.print_button, Qt.Key.Key_Return)
    rig.qtbot.waitUntil(lambda: (tmp_path / "printed.pdf").exists())


def test_that_the_sheet_is_saved_and_not_printed_when_that_is_asked_before_it_is_laid_out(
    rig: Rig, tmp_path: Path
) -> None:
    page = page_of(rig)
    rig.asking.path = tmp_path / "sheet.pdf"
    page.show_tab(PAPER)
    assert rig.window.view is not None
    rig.window.view.print_report(THIS_PAGE, as_pdf=True)
    assert rig.asking.asked == []
    rig.settle()
    assert rig.asking.asked == ["Save the feeding sheet"]
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_that_sheet_and_order_go_into_one_workbook_by_key_from_any_tab(rig: Rig, tmp_path: Path) -> None:
    page = page_of(rig)
    page.show_tab(FEEDS)
    rig.asking.path = tmp_path / "feeding.xlsx"
    rig.qtbot.keyClick(rig.window, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    rig.settle()
    rig.qtbot.waitUntil(lambda: (tmp_path / "feeding.xlsx").exists())
    book = openpyxl.load_workbook(tmp_path / "feeding.xlsx")
    assert book.sheetnames == ["Feeding sheet", "Order list", "About"]
    rows = list(book["Feeding sheet"].iter_rows(values_only=True))
    heads = [str(head) for head in rows[0]]
    yard = [dict(zip(heads, row, strict=True)) for row in rows[1:] if row[0] == "Straw yard"]
    today = rig.herd.today
    first = [row for row in yard if row["From"] == datetime.combine(today, time())]
    fed = ration_on(rig.herd.snapshot, "Straw yard", today)
    assert {row["Feed"]: row["kg a head a day"] for row in first} == fed
    assert all(row["kg in all a day"] == pytest.approx(row["Cows"] * row["kg a head a day"]) for row in yard)
    order = list(book["Order list"].iter_rows(values_only=True))
    assert order[0][:2] == ("What", "Kind")
    assert {row[1] for row in order[1:]} >= {"forage", "straw"}


def test_that_the_order_list_follows_the_weeks_chosen_and_a_step_begun(rig: Rig) -> None:
    page = page_of(rig)
    page.show_tab(PAPER)
    rig.settle()
    assert page.paper.order is not None
    month = {line.feed: line.kg for line in page.paper.order.lines}
    rig.qtbot.mouseClick(page.paper.papers.button(ORDER), Qt.MouseButton.LeftButton)
    rig.qtbot.mouseClick(page.paper.spans.button(ALL), Qt.MouseButton.LeftButton)
    rig.settle()
    assert page.paper.words == "Order list"
    longer = {line.feed: line.kg for line in page.paper.order.lines}
    assert all(longer[feed] > kg for feed, kg in month.items())
    assert page.printed_words == "Order list"


def test_that_what_is_half_typed_for_one_group_is_there_again_after_another_was_looked_at(rig: Rig) -> None:
    page = choose(rig, "Cubicle shed")
    page.show_tab(BY_HAND)
    hand = page.by_hand
    kg = hand.rows._lines[-1].kg
    kg.clear()
    rig.qtbot.keyClicks(kg, "3.")
    rig.qtbot.waitUntil(lambda: not hand._soon.isActive())
    typed = hand.rows.typed
    page.work.choose("Straw yard")
    rig.settle()
    assert hand.rows.typed != typed
    page.work.choose("Cubicle shed")
    rig.settle()
    assert hand.rows.typed == typed


def test_that_a_cow_put_by_the_register_into_a_pen_on_its_steps_is_told_and_taking_it_back_is_not(rig: Rig) -> None:
    page = choose(rig, "Straw yard")
    a = rig.herd.assessment
    running = Diet(new_id(), "Straw yard", a.today - timedelta(days=10), WINTER_FEED, UP, 0.03)
    steps = [Ration(new_id(), "Straw yard", a.today - timedelta(days=4), "Barley, rolled", 1.5)]
    assert rig.herd.push(adding("start plan", [running, *steps]), "plan of Straw yard")
    rig.settle()
    bar = rig.window.frame.messages
    bar.clear()
    cow = next(int(row) for row in page.work.groups[0].rows if page.work.groups[0].name != "Straw yard")
    change = plan_move(rig.herd.snapshot, [cow], "Straw yard", a.today, a.today).change
    assert change is not None
    assert rig.herd.push(change, "move")
    rig.qtbot.waitUntil(lambda: bar.message is not None)
    assert bar.message is not None
    assert "1 cow put into Straw yard, which is on the steps of its plan" in bar.message.claim
    assert "next pen that fills" in bar.message.rest
    bar.clear()
    rig.herd.undo()
    rig.settle()
    assert bar.message is None
