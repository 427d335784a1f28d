"""A list whose cells are changed in place, and the fields of a form with a sentence below."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from herdscore.parts.asked import Asked, asked_choice, asked_line, asked_name, offer_names
from herdscore.parts.buttons import JoinedButtons
from herdscore.parts.edit_list import EditList
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.theme import Look

COLUMNS = (Column("tag", "Tag"), Column("group", "Group"), Column("calvings", "Calvings", kind="number"))


def rows(*tags: str) -> list[ListRow]:
    return [ListRow(tag, (tag, "Beck side", "3"), (tag, "Beck side", 3)) for tag in tags]


@pytest.fixture
def cells(look: Look, qtbot: QtBot) -> EditList:
    made = EditList(look, COLUMNS, "Cows", editable=("group", "calvings"), several=True)
    qtbot.addWidget(made)
    made.resize(500, 300)
    made.show_rows(rows("1", "2", "3", "4"))
    with qtbot.waitExposed(made):
        made.show()
    made.choose("1")
    made.setFocus()
    return made


def test_that_enter_opens_a_row_or_asks_for_a_cell_by_where_it_stands(cells: EditList, qtbot: QtBot) -> None:
    opened: list[object] = []
    wished: list[tuple[object, str]] = []
    cells.opened.connect(opened.append)
    cells.edit_wished.connect(lambda key, column: wished.append((key, column)))
    qtbot.keyClick(cells, Qt.Key.Key_Return)
    qtbot.keyClick(cells, Qt.Key.Key_Right)
    qtbot.keyClick(cells, Qt.Key.Key_F2)
    qtbot.keyClick(cells, Qt.Key.Key_Down)
    qtbot.keyClick(cells, Qt.Key.Key_Return)
    assert opened == ["1"]
    assert wished == [("1", "group"), ("2", "group")]


def test_that_what_is_typed_is_told_once_and_the_cell_stays_until_it_is_ended(cells: EditList, qtbot: QtBot) -> None:
    told: list[tuple[object, str, str]] = []
    cells.typed.connect(lambda *what: told.append(what))
    qtbot.keyClick(cells, Qt.Key.Key_Right)
    cells.begin_edit("Beck side", names=["Beck side", "Quarry"], name="group of 1")
    box = cells.editor
    assert isinstance(box, QComboBox)
    assert box.accessibleName() == "group of 1"
    assert cells.visualRect(cells.currentIndex()).center().y() == pytest.approx(box.geometry().center().y(), abs=2)
    qtbot.keyClick(box, Qt.Key.Key_Down)
    assert box.currentText() == "Quarry"
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert told == [("1", "group", "Quarry")]
    assert cells.is_editing
    cells.end_edit()
    assert not cells.is_editing
    assert cells.hasFocus()


def test_that_an_open_cell_follows_its_row_and_closes_when_the_row_goes(cells: EditList) -> None:
    cells.choose("2")
    cells.begin_edit("3")
    line = cells.editor
    assert isinstance(line, QLineEdit)
    before = line.geometry().top()
    line.setText("half typed")
    cells.show_rows(rows("0", "1", "2", "3"))
    assert cells.editor is line
    assert line.text() == "half typed"
    assert line.geometry().top() > before
    cells.show_rows(rows("0", "1"))
    assert not cells.is_editing


def test_that_rows_chosen_and_the_column_stay_when_other_rows_come(cells: EditList, qtbot: QtBot) -> None:
    qtbot.keyClick(cells, Qt.Key.Key_Right)
    qtbot.keyClick(cells, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert cells.selected_keys() == ["1", "2"]
    cells.show_rows(rows("0", "1", "2", "5"))
    assert cells.selected_keys() == ["1", "2"]
    assert (cells.current_key(), cells.currentIndex().column()) == ("2", 1)
    struck: list[object] = []
    cells.struck.connect(struck.append)
    qtbot.keyClick(cells, Qt.Key.Key_Delete)
    assert struck == [["1", "2"]]


def test_that_the_cell_to_be_changed_has_a_ring_only_with_the_keyboard(
    cells: EditList, look: Look, qtbot: QtBot
) -> None:
    def ring() -> bool:
        image = cells.viewport().grab().toImage()
        box = cells.visualRect(cells.currentIndex())
        return image.pixelColor(box.center().x(), box.top() + 3).name() == look.theme["focus"].name()

    assert not ring()
    qtbot.keyClick(cells, Qt.Key.Key_Right)
    assert ring()
    cells.clearFocus()
    assert not ring()


# Fields of a form


def asked(kind: str) -> Asked:
    if kind == "line":
        return asked_line("Day", "18 Apr")
    if kind == "choice":
        return asked_choice("Aim", (("", "as it is"), ("up", "ease up")))
    if kind == "name":
        return asked_name("Group", ("Beck side", "Quarry"))
    return Asked("Kind", JoinedButtons((("", "none"), ("up", "Up")), "Kind"))


@pytest.mark.parametrize("kind", ["line", "choice", "name", "joined"])
def test_that_a_field_gives_back_what_is_put_into_it_and_says_what_is_wrong(
    kind: str, look: Look, qtbot: QtBot
) -> None:
    made = asked(kind)
    qtbot.addWidget(made)
    made.put("up")
    assert made.text == "up"
    made.say("Too fast.", wrong=True)
    assert made.said == "Too fast."
    made.say("")
    assert made.said == ""
    with qtbot.waitExposed(made):
        made.show()
    made.take_keyboard()
    assert made.holds.hasFocus() or made.holds.isAncestorOf(made.focusWidget())


def test_that_other_names_offered_leave_what_is_typed(look: Look, qtbot: QtBot) -> None:
    made = asked_name("Group", ("Beck side",))
    qtbot.addWidget(made)
    made.put("Quar")
    offer_names(made, ["Quarry", "Top yard"])
    assert made.text == "Quar"
    assert isinstance(made.holds, QComboBox)
    assert made.holds.count() == 2
