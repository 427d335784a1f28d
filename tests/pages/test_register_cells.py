"""Fields changed in the register's own list, several cows chosen, and cows that leave or come back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.records import Cow
from herdscore.pages.herd import TABS, HerdPage
from herdscore.pages.register import RegisterTab
from herdscore.parts.edit_list import EditList
from herdscore.parts.theme import Look
from herdscore.store.herd_file import HerdFile
from tests.domain.recorded_herds import ahead
from tests.pages.open_herds import FAT, HAND_COW, SOLD_COW, THIN, opened, small_herd

ENTER, RIGHT = Qt.Key.Key_Return, Qt.Key.Key_Right


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", small_herd()) as made:
        yield made


@pytest.fixture
def page(herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot) -> HerdPage:
    made = HerdPage(look, herd, Settings(tmp_path))
    qtbot.addWidget(made)
    made.resize(1226, 620)
    with qtbot.waitExposed(made):
        made.show()
    made.focus_first()
    return made


@pytest.fixture
def tab(page: HerdPage) -> RegisterTab:
    return page.register


def stored(herd: OpenHerd) -> dict[str, Cow]:
    with HerdFile.open(herd.path, read_only=True) as file:
        return {cow.tag: cow for cow in file.read().records("cows") if isinstance(cow, Cow)}


def go_to(tab: RegisterTab, cow: Cow, column: str, qtbot: QtBot) -> EditList:
    """Walk to a cell with the arrow keys."""
    cells = tab.cows.list
    cells.setFocus()
    cells.choose(cow.id)
    for _ in range(len(cells.rows.columns)):
        if cells.rows.columns[cells.currentIndex().column()].key == column:
            return cells
        qtbot.keyClick(cells, RIGHT)
    raise AssertionError(f"no way to {column}")


def editor(cells: EditList) -> QLineEdit | QComboBox:
    assert cells.editor is not None
    assert cells.editor.hasFocus()
    return cells.editor


def test_that_calvings_are_changed_in_place_with_f2_and_undone(tab: RegisterTab, herd: OpenHerd, qtbot: QtBot) -> None:
    cells = go_to(tab, THIN, "calvings", qtbot)
    qtbot.keyClick(cells, Qt.Key.Key_F2)
    line = editor(cells)
    assert isinstance(line, QLineEdit)
    assert line.selectedText() == "3"
    qtbot.keyClicks(line, "5")
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert stored(herd)[THIN.tag].calvings == 5
    assert herd.undo_stack.undoText() == "calvings of 0201"
    assert not cells.is_editing
    assert cells.hasFocus()
    assert (cells.current_key(), cells.rows.columns[cells.currentIndex().column()].key) == (THIN.id, "calvings")
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert stored(herd)[THIN.tag].calvings == 3


def test_that_a_group_is_typed_or_taken_in_place_and_she_moves_today(
    tab: RegisterTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    cells = go_to(tab, THIN, "group", qtbot)
    qtbot.keyClick(cells, ENTER)
    box = editor(cells)
    assert isinstance(box, QComboBox)
    assert [box.itemText(at) for at in range(box.count())] == ["Beck side", "Quarry", "Top yard"]
    qtbot.keyClicks(box, "top yard")
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(box, ENTER)
    assert stored(herd)[THIN.tag].group == "Top yard"
    assert tab.cows.foot.text() == "0201: group kept. She moves today; until now she was in Beck side."
    with HerdFile.open(herd.path, read_only=True) as file:
        assert len(file.read().moves) == 2


def test_that_a_season_is_chosen_by_its_letter(tab: RegisterTab, herd: OpenHerd, qtbot: QtBot) -> None:
    cells = go_to(tab, THIN, "season", qtbot)
    qtbot.keyClick(cells, Qt.Key.Key_F2)
    box = editor(cells)
    qtbot.keyClicks(box, "aut")
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(box, ENTER)
    assert stored(herd)[THIN.tag].season == "autumn"


def test_that_a_wrong_value_stays_open_with_its_sentence_and_escape_leaves_it(
    tab: RegisterTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    cells = go_to(tab, THIN, "calvings", qtbot)
    qtbot.keyClick(cells, ENTER)
    line = editor(cells)
    qtbot.keyClicks(line, "x")
    qtbot.keyClick(line, ENTER)
    assert tab.cows.foot.text() == "Calvings so far: a whole number from 0 to 25."
    assert cells.is_editing
    assert editor(cells).property("wrong") == "true"
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert not cells.is_editing
    assert cells.hasFocus()
    assert tab.cows.foot.text().startswith("Enter opens her.")
    assert herd.undo_stack.count() == 0


def test_that_a_value_is_kept_when_somebody_goes_elsewhere(tab: RegisterTab, herd: OpenHerd, qtbot: QtBot) -> None:
    cells = go_to(tab, THIN, "calvings", qtbot)
    qtbot.keyClick(cells, ENTER)
    line = editor(cells)
    qtbot.keyClicks(line, "4")
    with qtbot.waitSignal(herd.assessed):
        tab.cows.search.setFocus()
    assert stored(herd)[THIN.tag].calvings == 4


def test_that_another_field_that_is_wrong_does_not_stop_the_one_changed(
    tmp_path: Path, look: Look, qtbot: QtBot
) -> None:
    from dataclasses import replace

    short = replace(THIN, eid="12345", group=None)
    with opened(tmp_path / "short.herd", [short]) as herd:
        made = HerdPage(look, herd, Settings(tmp_path))
        qtbot.addWidget(made)
        made.resize(1226, 620)
        with qtbot.waitExposed(made):
            made.show()
        cells = go_to(made.register, short, "calvings", qtbot)
        qtbot.keyClick(cells, ENTER)
        line = editor(cells)
        qtbot.keyClicks(line, "4")
        with qtbot.waitSignal(herd.assessed):
            qtbot.keyClick(line, ENTER)
        assert stored(herd)[short.tag] == replace(short, calvings=4)


# Several cows, and cows that leave


def test_that_two_cows_chosen_with_shift_are_sold_as_one_step(
    page: HerdPage, tab: RegisterTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    said: list[str] = []
    page.message.connect(lambda message: said.append(message.claim))
    cells = tab.cows.list
    cells.choose(HAND_COW.id)
    cells.setFocus()
    qtbot.keyClick(cells, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert tab.several.title.text() == "2 cows chosen"
    assert tab.several.tags.text() == "0302, 0403"
    qtbot.keyClick(cells, Qt.Key.Key_Delete)
    assert tab.leaving.isVisible()
    assert tab.leaving.title.text() == "2 cows leave the herd"
    way = tab.leaving.ways.button("sold")
    assert way.hasFocus()
    qtbot.keyClick(way, Qt.Key.Key_C)
    culled = tab.leaving.ways.button("culled")
    assert culled.hasFocus()
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(culled, ENTER)
    assert {stored(herd)[tag].status for tag in ("0302", "0403")} == {"culled"}
    assert herd.undo_stack.count() == 1
    assert said == ["2 cows culled."]
    assert FAT.tag not in [cells.rows.row_at(at).texts[0] for at in range(cells.rows.rowCount())]
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert {stored(herd)[tag].status for tag in ("0302", "0403")} == {"in herd"}


def test_that_one_cow_leaves_and_escape_leaves_the_question(tab: RegisterTab, herd: OpenHerd, qtbot: QtBot) -> None:
    tab.cows.list.choose(THIN.id)
    qtbot.mouseClick(tab.card.leave_button, Qt.MouseButton.LeftButton)
    assert tab.leaving.title.text() == "0201 leaves the herd"
    qtbot.keyClick(tab.leaving.ways.button("sold"), Qt.Key.Key_Escape)
    assert tab.card.isVisible()
    assert tab.cows.list.hasFocus()
    assert herd.undo_stack.count() == 0


def test_that_a_cow_gone_comes_back(tab: RegisterTab, herd: OpenHerd, qtbot: QtBot) -> None:
    tab.cows.gone_box.setCurrentText("Gone")
    tab.cows.list.choose(SOLD_COW.id)
    assert tab.card.leave_button.text() == "Comes back …"
    tab.cows.list.setFocus()
    qtbot.keyClick(tab.cows.list, Qt.Key.Key_Delete)
    assert tab.leaving.title.text() == "1009 comes back to the herd"
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(tab.leaving.save_button, ENTER)
    assert stored(herd)[SOLD_COW.tag].status == "in herd"


def test_that_nothing_is_changed_or_asked_while_looking_at_another_day(
    tab: RegisterTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(20))
    cells = go_to(tab, THIN, "calvings", qtbot)
    qtbot.keyClick(cells, Qt.Key.Key_F2)
    assert not cells.is_editing
    assert tab.cows.foot.text() == herd.why_not
    qtbot.keyClick(cells, Qt.Key.Key_Delete)
    assert not tab.leaving.isVisible()
    assert not tab.card.leave_button.isEnabled()


def test_that_the_tabs_are_walked_with_control_and_page_keys(page: HerdPage, qtbot: QtBot) -> None:
    keys = [key for key, _ in TABS]
    seen = []
    for _ in keys:
        seen.append(page.tab)
        qtbot.keyClick(page.focusWidget(), Qt.Key.Key_PageDown, Qt.KeyboardModifier.ControlModifier)
    assert seen == keys
    assert page.tab == keys[0]
    qtbot.keyClick(page.focusWidget(), Qt.Key.Key_PageUp, Qt.KeyboardModifier.ControlModifier)
    assert page.tab == keys[-1]
