"""Page Groups, driven by keys over real herd files: compared, set side by side, chosen, split and moved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QAbstractButton, QLineEdit
from pytestqt.qtbot import QtBot

from herdscore.desk.edits import set_setting
from herdscore.desk.messages import Message
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.grouping import BREED, FORTNIGHT, GROUP, OWN, WAYS
from herdscore.domain.listing import ACT, flag_lists
from herdscore.domain.records import AUTUMN, Calving, Cow, Diet, Move, Record
from herdscore.pages.groups import GroupsPage
from herdscore.pages.wishes import FileWish, SaveWish
from herdscore.parts.theme import Look
from herdscore.store.herd_file import HerdFile
from tests.domain.recorded_herds import TODAY, ahead
from tests.pages.open_herds import COURSE, FAT, MILKING, THIN, UNDATED, UNSCORED, cow, opened, small_herd, thrice
from tests.window_rig import Rig


def larger_herd() -> list[Record]:
    """The small herd, with cows enough that its groups can be split."""
    rows = small_herd()
    for n in range(4):
        thin = cow(f"11{n:02d}", 85 + n)
        course = cow(f"12{n:02d}", 95 + n)
        rows += [thin, *thrice(thin, 8, 8, 8), course, *thrice(course, 12, 12, 12)]
    return rows


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", larger_herd()) as made:
        yield made


@pytest.fixture
def page(herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot) -> GroupsPage:
    return shown(herd, look, tmp_path, qtbot)


def shown(herd: OpenHerd, look: Look, folder: Path, qtbot: QtBot) -> GroupsPage:
    made = GroupsPage(look, herd, Settings(folder))
    qtbot.addWidget(made)
    made.resize(1226, 620)
    with qtbot.waitExposed(made):
        made.show()
    made.focus_first()
    return made


def key_on(page: GroupsPage, key: Qt.Key, qtbot: QtBot) -> None:
    focused = page.window().focusWidget()
    assert focused is not None
    qtbot.keyClick(focused, key)


def cells(page: GroupsPage, column: str) -> dict[str, str]:
    """A column of the table by group."""
    rows = page.side.table.rows
    place = rows.column_place(column)
    return {rows.row_at(at).texts[0]: rows.row_at(at).texts[place] for at in range(rows.rowCount())}


def groups_in_file(herd: OpenHerd) -> tuple[dict[str, str | None], int]:
    """Group of every cow by tag, and how many moves there are, as another window reads them."""
    with HerdFile.open(herd.path, read_only=True) as file:
        snapshot = file.read()
    cows = [one for one in snapshot.records("cows") if isinstance(one, Cow)]
    moves = [one for one in snapshot.records("moves") if isinstance(one, Move) and one.day == TODAY]
    return {one.tag: one.group for one in cows}, len(moves)


# Comparing


def test_that_every_living_cow_of_the_block_stands_on_a_strip(page: GroupsPage, herd: OpenHerd) -> None:
    a = herd.assessment
    keys = [key for strip in page.strips.strips.picture.strips for key in strip.keys]
    assert sorted(keys) == sorted(a.snapshot.cows.id[~a.facts.gone])
    herd.choose_block(AUTUMN)
    assert [strip.keys for strip in page.strips.strips.picture.strips] == [(MILKING.id,)]
    assert page.strips.title.text() == "1 of 1 cow in the band for mating"


def test_that_marks_and_figures_are_those_of_the_flag_list(page: GroupsPage, herd: OpenHerd) -> None:
    flags = flag_lists(herd.assessment)
    ids = herd.assessment.snapshot.cows.id
    marks = {ids[cow_]: mark for cow_, mark in zip(flags.cow, flags.mark, strict=True)}
    for strip in page.strips.strips.picture.strips:
        for key, mark in zip(strip.keys, strip.marks, strict=True):
            assert mark == ("dot" if marks[key] == "none" else marks[key])
    assert sum(int(said) for said in cells(page, "act").values()) == flags.of_list.count(ACT)
    act = next(figure for figure in herd.figures() if figure.key == ACT)
    assert int(act.number) == flags.of_list.count(ACT)


def test_that_numbers_stand_beside_percentages_and_small_groups_have_none(page: GroupsPage) -> None:
    share = cells(page, "in_band")
    assert share["Beck side"].endswith("\u00a0%")
    assert " of " in share["Beck side"]
    assert share["Top yard"] == "0 of 2", "two cows are no percentage"
    assert cells(page, "interval")["Beck side"].count("\u2013") == 1
    assert cells(page, "cows")["Beck side"] == "13 of 14", "one was never scored"
    assert cells(page, "first")["Quarry"] == "in milk"
    strips = {strip.name: strip for strip in page.strips.strips.picture.strips}
    assert strips["Top yard"].is_small
    assert not strips["Beck side"].is_small


def test_that_a_cow_without_score_or_date_has_no_mark(page: GroupsPage) -> None:
    strip = page.strips.strips.picture.strips[0]
    values = dict(zip(strip.keys, strip.values.tolist(), strict=True))
    assert np.isnan(values[UNSCORED.id])
    assert np.isnan(values[UNDATED.id])
    assert values[THIN.id] < -0.25


def test_that_the_way_is_chosen_by_keys_and_remembered(
    page: GroupsPage, herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot
) -> None:
    page.top.pills.button(FORTNIGHT).setFocus()
    qtbot.keyClick(page.top.pills.button(FORTNIGHT), Qt.Key.Key_Space)
    names = [strip.name for strip in page.strips.strips.picture.strips]
    assert names[0] == "from 18\u00a0Jan"
    assert "no date" in names
    assert "calved from 28\u00a0Sep" in names
    assert page.side.split.group_box.currentText() == "from 12\u00a0Apr", "the group whose notes ask for a split"
    again = shown(herd, look, tmp_path, qtbot)
    assert again.top.pills.current == FORTNIGHT
    assert [strip.name for strip in again.strips.strips.picture.strips] == names


@pytest.mark.parametrize("way", [way for way, _ in WAYS])
def test_that_every_way_can_be_shown_and_is_described(page: GroupsPage, way: str, qtbot: QtBot) -> None:
    page.top.box.setCurrentIndex([key for key, _ in WAYS].index(way))
    page.top.box.activated.emit(page.top.box.currentIndex())
    page.show_strips()
    for strip in page.strips.strips.picture.strips:
        assert strip.name in page.strips.strips.accessibleDescription()
    assert page.strips.title.text() in page.strips.strips.accessibleDescription()
    assert all(line.name in page.side.paths.accessibleDescription() for line in page.side.paths.picture.lines)


def test_that_table_strips_and_split_speak_of_one_group(page: GroupsPage, qtbot: QtBot) -> None:
    assert page.side.split.group_box.currentText() == "Beck side", "the group whose notes ask for a split"
    assert "Mixed condition." in page.side.split._notes.text()
    page.strips.strips.setFocus()
    key_on(page, Qt.Key.Key_Down, qtbot)
    assert page.side.table.current_key() == 1
    assert page.side.split.group_box.currentText() == "Top yard"
    page.side.table.setFocus()
    key_on(page, Qt.Key.Key_Up, qtbot)
    assert page.strips.strips.current == 0
    assert page.side.split.group_box.currentText() == "Beck side"


def test_that_enter_on_a_mark_opens_the_cow(page: GroupsPage, qtbot: QtBot) -> None:
    page.strips.strips.setFocus()
    key_on(page, Qt.Key.Key_Right, qtbot)
    with qtbot.waitSignal(page.open_cow) as told:
        key_on(page, Qt.Key.Key_Return, qtbot)
    assert told.args == [page.strips.strips.current_cow]


# Two side by side


def test_that_two_groups_stand_side_by_side_and_escape_goes_back(page: GroupsPage, qtbot: QtBot) -> None:
    page.side.table.setFocus()
    key_on(page, Qt.Key.Key_Return, qtbot)
    assert page.left.currentWidget() is page.pair
    assert page.pair.places == (0, 1)
    assert page.pair.claim.text().startswith("Top yard stands ")
    names = [strip.name for strip in page.pair.strips.picture.strips]
    assert names == ["Beck side", "Top yard"]
    rows = page.pair.lines.rows
    assert rows.row_at(0).texts == ("", "Beck side", "Top yard")
    assert rows.row_at(1).texts == ("Cows", "14", "2")
    page.pair.boxes[1].setFocus()
    qtbot.keyClick(page.pair.boxes[1], Qt.Key.Key_Down)
    page.pair.boxes[1].activated.emit(2)
    assert "measured now" in page.pair.claim.text()
    qtbot.keyClick(page.pair, Qt.Key.Key_Escape)
    assert page.left.currentWidget() is page.strips


# A choice of one's own


def test_that_cows_are_chosen_by_keys_and_set_against_the_others(page: GroupsPage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.top.pills.button(OWN), Qt.MouseButton.LeftButton)
    assert page.left.currentWidget() is page.choice
    qtbot.keyClicks(page.choice.search, THIN.tag)
    key_on(page, Qt.Key.Key_Return, qtbot)
    page.choice.search.clear()
    qtbot.keyClicks(page.choice.search, "top yard")
    key_on(page, Qt.Key.Key_Down, qtbot)
    page.choice.list.setCurrentIndex(page.choice.list.rows.index(0, 0))
    key_on(page, Qt.Key.Key_Space, qtbot)
    qtbot.mouseClick(page.choice.done_button, Qt.MouseButton.LeftButton)
    assert page.left.currentWidget() is page.strips
    assert cells(page, "cows")["chosen cows"] == "2"
    qtbot.mouseClick(page.top.choose_button, Qt.MouseButton.LeftButton)
    page.choice.search.clear()
    page.choice.all_button.click()
    page.choice.none_button.click()
    page.choice.done_button.click()
    assert list(cells(page, "cows")) == ["all others", "all others, in milk"]


# Splitting


def test_that_the_split_names_every_cow_before_anybody_moves(page: GroupsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    page.side.split.pens.button("2").click()
    assert page.side.split._title.text() == "Split like this: one need to a pen"
    assert "under 56 days to calving 1 (0605)" in page.side.split._stay.text()
    assert "vet first 1 (0100)" in page.side.split._stay.text()
    qtbot.mouseClick(page.side.split.detail_button, Qt.MouseButton.LeftButton)
    rows = page.moves.list.rows
    tags = [rows.row_at(at).texts[0] for at in range(rows.rowCount())]
    beck = [tag for tag, group in groups_in_file(herd)[0].items() if group == "Beck side" and tag != "1009"]
    assert sorted(tags) == sorted(beck), "everybody of the group, once"
    assert groups_in_file(herd)[1] == 0
    stays = [rows.row_at(at).texts[0] for at in range(rows.rowCount()) if rows.row_at(at).done]
    assert "0605" in stays, "under 56 days nobody is moved for condition"
    key_on(page, Qt.Key.Key_Escape, qtbot)
    assert page.left.currentWidget() is page.strips
    assert herd.undo_stack.count() == 0


def test_that_move_them_is_one_step_that_can_be_taken_back(page: GroupsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    before, _ = groups_in_file(herd)
    page.side.split.pens.button("2").click()
    page.show_moves()
    new = next(at for at, line in enumerate(page.moves.fields) if line.text() != "Beck side")
    line = page.moves.fields[new]
    line.selectAll()
    qtbot.keyClicks(line, "Far close")
    goes = [row.texts[0] for row in rows_of(page) if not row.done]
    assert page.moves.move_button.text() == f"Move {len(goes)} cows"
    told: list[Message] = []
    page.message.connect(told.append)
    with qtbot.waitSignal(herd.assessed):
        qtbot.mouseClick(page.moves.move_button, Qt.MouseButton.LeftButton)
    after, moves = groups_in_file(herd)
    assert moves == len(goes)
    assert {tag for tag in after if after[tag] != before[tag]} == set(goes)
    assert {after[tag] for tag in goes} == {"Far close"}
    assert told[0].claim == f"{len(goes)} cows moved."
    assert told[0].rest.startswith("Say what Far close is on")
    assert cells(page, "cows")["Far close"] == str(len(goes))
    assert herd.undo_stack.count() == 1
    assert herd.undo_stack.undoText() == f"move of {len(goes)} cows"
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert groups_in_file(herd) == (before, 0)
    assert "Far close" not in cells(page, "cows")


def rows_of(page: GroupsPage) -> list:
    rows = page.moves.list.rows
    return [rows.row_at(at) for at in range(rows.rowCount())]


def test_that_pens_without_a_name_or_of_one_name_are_not_moved(page: GroupsPage, qtbot: QtBot) -> None:
    page.show_moves()
    line = page.moves.fields[0]
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    assert page.moves._said.text() == "Every pen needs a name."
    assert not page.moves.move_button.isEnabled()
    qtbot.keyClicks(line, page.moves.fields[1].text().upper())
    assert page.moves._said.text() == "Two pens bear one name."
    assert line.property("wrong") == "true"
    assert page.moves.named() is None


def test_that_no_more_pens_are_offered_than_the_farm_has(page: GroupsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    assert page.side.split.pens.button("4").isEnabled()
    change = set_setting(herd.snapshot, "Pens", "2")
    assert change is not None
    with qtbot.waitSignal(herd.assessed):
        herd.push(change, "pens")
    assert not page.side.split.pens.button("3").isEnabled()
    assert page.side.split.count == 2


def test_that_a_split_by_date_says_when_each_pen_calves(page: GroupsPage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.side.split.by.button("date"), Qt.MouseButton.LeftButton)
    assert page.side.split._title.text() == "Split like this: by when they calve"
    page.show_moves()
    assert any("calve" in word.text() for word in page.moves.findChildren(type(page.moves._said)))


def test_that_all_groups_are_split_together(page: GroupsPage, qtbot: QtBot) -> None:
    box = page.side.split.group_box
    box.setCurrentIndex(box.count() - 1)
    box.activated.emit(box.count() - 1)
    page.show_moves()
    assert page.moves._title.text() == "Who goes where: All together into 3 pens"
    assert {row.texts[0] for row in rows_of(page)} >= {THIN.tag, FAT.tag, COURSE.tag}


def test_that_nothing_is_moved_while_another_day_is_looked_at(page: GroupsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(5))
    page.show_moves()
    assert not page.moves.move_button.isEnabled()
    assert page.moves._said.text() == herd.why_not


# Writing out


def test_that_table_and_chart_are_offered_and_written(page: GroupsPage, tmp_path: Path, qtbot: QtBot) -> None:
    wishes: list[SaveWish | FileWish] = []
    page.save_wished.connect(wishes.append)
    qtbot.mouseClick(page.top.table_button, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(page.top.chart_button, Qt.MouseButton.LeftButton)
    table, chart = wishes
    assert isinstance(table, FileWish)
    assert table.name == "test groups 2027-01-12.xlsx"
    table.write(tmp_path / "groups.xlsx", lambda done, total, text: None)
    rows = list(openpyxl.load_workbook(tmp_path / "groups.xlsx")["Groups"].iter_rows(values_only=True))
    assert [row[0] for row in rows[1:]] == list(cells(page, "cows"))
    assert isinstance(chart, SaveWish)
    chart.write(tmp_path / "chart.png")
    assert QImage(str(tmp_path / "chart.png")).width() == 2000
    chart.write(tmp_path / "chart.svg")
    assert b"Beck side" in (tmp_path / "chart.svg").read_bytes()
    qtbot.mouseClick(page.side.picture_button, Qt.MouseButton.LeftButton)
    ways = wishes[-1]
    assert isinstance(ways, SaveWish)
    assert ways.what == "The chart of the way to calving"
    assert not QImage(str(ways.write(tmp_path / "ways.png"))).isNull()
    assert b"on the way to calving" in ways.write(tmp_path / "ways.svg").read_bytes()


def test_that_ctrl_e_on_this_page_saves_the_table_in_a_job(rig: Rig, tmp_path: Path) -> None:
    with opened(tmp_path / "test.herd", larger_herd()):
        pass
    rig.open(tmp_path / "test.herd")
    rig.window.show_page("groups")
    rig.asking.path = tmp_path / "out.xlsx"
    rig.qtbot.waitUntil(lambda: rig.window.isActiveWindow() and rig.window.focusWidget() is not None)
    rig.qtbot.keyClick(rig.window.focusWidget(), Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    rig.settle()
    assert rig.asking.asked[-1] == "Save the table of groups"
    assert openpyxl.load_workbook(tmp_path / "out.xlsx").sheetnames == ["Groups", "Cows", "About"]
    assert rig.window.frame.messages.message is not None
    rig.qtbot.keyClick(rig.window.focusWidget(), Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert rig.window.view is not None
    assert rig.window.view.shown == "cows", "a tag is found there"


# Odd herds


def calved(rows: list[Record]) -> list[Record]:
    cows = [one for one in rows if isinstance(one, Cow)]
    late = [replace(one, calving_date=None, date_from=None) for one in cows]
    calvings = [Calving(f"c-{one.id}", one.id, ahead(-20)) for one in cows if one.status == "in herd"]
    return [*late, *(row for row in rows if not isinstance(row, Cow | Calving)), *calvings]


def many_groups() -> list[Record]:
    rows: list[Record] = []
    for n in range(40):
        one = cow(f"3{n:03d}", 60 + n, group=f"Field {n}")
        rows += [one, *thrice(one, 10, 10, 9 + n % 4)]
    return rows


LONG = "The long low field behind the old mill by the river, upper half, with the leaning gate"
ODD: dict[str, list[Record]] = {
    "no cow": [],
    "no scores": [row for row in small_herd() if not type(row).__name__ == "Score"],
    "one cow": [THIN, *thrice(THIN, 9, 8, 8)],
    "one group": [row for n in range(6) for one in [cow(f"2{n:03d}", 90)] for row in (one, *thrice(one, 10, 10, 10))],
    "all calved": calved(small_herd()),
    "forty groups": many_groups(),
    "long names": [replace(row, group=LONG) if isinstance(row, Cow | Diet) else row for row in larger_herd()],
    "no dates": [
        replace(row, calving_date=None, date_from=None) if isinstance(row, Cow) else row
        for row in larger_herd()
        if type(row).__name__ != "Service"
    ],
    "no groups": [replace(row, group=None) if isinstance(row, Cow) else row for row in larger_herd()],
}


@pytest.mark.parametrize("name", ODD)
def test_that_odd_herds_can_be_looked_at_and_split(name: str, look: Look, tmp_path: Path, qtbot: QtBot) -> None:
    with opened(tmp_path / "odd.herd", ODD[name]) as herd:
        page = shown(herd, look, tmp_path, qtbot)
        page.resize(1140, 500)
        assert page.strips.title.text()
        assert page.minimumSizeHint().width() <= 1279 - 92
        for way in (GROUP, FORTNIGHT, BREED):
            page.top._on_chosen(way)
            living = int((~herd.assessment.facts.gone).sum())
            assert sum(len(strip.keys) for strip in page.strips.strips.picture.strips) == living
        page.show_moves()
        page.show_pair(0)
        page.show_choice()
        page.export()
        page.save_chart()
        assert not page.grab().isNull()
        assert not any("nan" in word.text() for word in page.findChildren(QLineEdit))
        page.close()


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_the_page_fits_the_smallest_window(page: GroupsPage, look: Look, theme: str, qtbot: QtBot) -> None:
    look.choose(theme)
    page.resize(1280 - 92, 582)
    for show in (page.show_strips, lambda: page.show_pair(0), page.show_moves, page.show_choice):
        show()
        assert page.minimumSizeHint().width() <= 1279 - 92
        assert page.minimumSizeHint().height() <= 680 - 66 - 32 - 68, "the as-of band has room too"
        shown_ = [one for one in page.findChildren(QAbstractButton) if one.isVisible() and one.text()]
        assert shown_
        assert all(one.height() >= 44 for one in shown_)


def test_that_large_text_fits_a_common_screen(page: GroupsPage, look: Look, qtbot: QtBot) -> None:
    look.choose_text_scale(1.5)
    for show in (page.show_strips, lambda: page.show_pair(0), page.show_moves, page.show_choice):
        show()
        assert page.minimumSizeHint().width() <= 1366 - 92


def test_that_everything_is_reached_by_tab(page: GroupsPage, qtbot: QtBot) -> None:
    wanted = {
        page.strips.strips,
        page.strips.pair_button,
        page.side.table,
        page.side.split.group_box,
        page.side.split.detail_button,
        page.top.table_button,
        page.top.chart_button,
        page.top.pills.button(GROUP),
    }
    met = set()
    page.focus_first()
    for _ in range(60):
        met.add(page.window().focusWidget())
        key_on(page, Qt.Key.Key_Tab, qtbot)
    for joined, keys in ((page.side.split.pens, "234"), (page.side.split.by, ("need", "date"))):
        assert met & {joined.button(key) for key in keys}, "from one the arrows go on to the others"
    assert wanted <= met, [one.text() for one in wanted - met if isinstance(one, QAbstractButton)]
