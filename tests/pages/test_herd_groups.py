"""Groups, moves and names of groups, driven by keys over a real herd file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.records import Cow, Diet, Move
from herdscore.pages.herd import GROUPS, HerdPage
from herdscore.pages.herd_groups import GroupsTab
from herdscore.parts.asked import Asked
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look
from herdscore.store.herd_file import HerdFile
from tests.domain.recorded_herds import TODAY, ahead
from tests.pages.open_herds import FAT, THIN, VET, cow, opened, small_herd

ENTER = Qt.Key.Key_Return


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", small_herd()) as made:
        yield made


@pytest.fixture
def tab(herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot) -> GroupsTab:
    return shown(herd, look, tmp_path, qtbot)


def shown(herd: OpenHerd, look: Look, folder: Path, qtbot: QtBot) -> GroupsTab:
    page = HerdPage(look, herd, Settings(folder))
    qtbot.addWidget(page)
    page.resize(1226, 620)
    with qtbot.waitExposed(page):
        page.show()
    page.show_tab(GROUPS)
    page.focus_first()
    tab = page.part(GROUPS)
    assert isinstance(tab, GroupsTab)
    tab.page = page  # type: ignore[attr-defined]  # its window has to outlive it
    return tab


def rows(view: ListView, column: str) -> list[str]:
    return [view.rows.row_at(at).texts[view.rows.column_place(column)] for at in range(view.rows.rowCount())]


def typed_into(asked: Asked, text: str, qtbot: QtBot) -> QLineEdit:
    line = asked.holds.lineEdit() if isinstance(asked.holds, QComboBox) else asked.holds
    assert isinstance(line, QLineEdit)
    line.setFocus()
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    qtbot.keyClicks(line, text)
    return line


def stored_moves(herd: OpenHerd) -> list[tuple[str, int, str]]:
    """Moves in the file: tag, day from today, group."""
    with HerdFile.open(herd.path, read_only=True) as file:
        snapshot = file.read()
        return [
            (str(snapshot.cows.tag[snapshot.cow_place[row.cow_id]]), (row.day - TODAY).days, row.group)
            for row in snapshot.records("moves")
            if isinstance(row, Move)
        ]


def stored_groups(herd: OpenHerd) -> dict[str, str | None]:
    with HerdFile.open(herd.path, read_only=True) as file:
        return {row.tag: row.group for row in file.read().records("cows") if isinstance(row, Cow)}


def test_that_groups_are_counted_with_their_diet(tab: GroupsTab) -> None:
    assert rows(tab.groups, "name") == ["Beck side", "Quarry", "Top yard"]
    assert rows(tab.groups, "cows") == ["6", "1", "2"]
    assert rows(tab.groups, "block") == ["spring", "autumn", "spring"]
    assert rows(tab.groups, "diet") == ["winter feed since 8\u00a0Nov", "not said", "winter feed since 13\u00a0Nov"]
    assert tab.count.text() == "3 groups"
    assert rows(tab.cows, "tag") == ["0100", "0201", "0504", "0605", "0706", "0807"]


def test_that_cows_named_by_their_last_digits_move_as_one_step(tab: GroupsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    tab.find_cow()
    typed_into(tab.mover.who, "201, 403 100", qtbot)
    assert tab.mover.who.said == "3 cows: 0100, 0201, 0403"
    typed_into(tab.mover.to, "quarry", qtbot)
    line = typed_into(tab.mover.day, "10 Jan", qtbot)
    assert tab.mover.words.text() == "3 cows go to Quarry on 10\u00a0Jan: 2 from Beck side, 1 from Top yard."
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert stored_moves(herd) == [
        ("0100", -65, "Beck side"),
        ("0100", -2, "Quarry"),
        ("0201", -65, "Beck side"),
        ("0201", -2, "Quarry"),
        ("0403", -60, "Top yard"),
        ("0403", -2, "Quarry"),
    ]
    assert {tag: group for tag, group in stored_groups(herd).items() if group == "Quarry"}.keys() == {
        "0100",
        "0201",
        "0403",
        "0908",
    }
    assert rows(tab.groups, "cows") == ["4", "4", "1"]
    assert rows(tab.history, "words")[0] == "Beck side → Quarry"
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert stored_moves(herd) == []


def test_that_cows_chosen_in_the_list_move_without_typing_them(tab: GroupsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    qtbot.keyClick(tab.groups, ENTER)
    assert tab.cows.hasFocus()
    tab.cows.choose(THIN.id)
    qtbot.keyClick(tab.cows, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert tab.mover.words.text() == "2 cows chosen in the list."
    qtbot.keyClick(tab.cows, ENTER)
    line = tab.mover.to.holds.lineEdit()  # type: ignore[union-attr]
    assert line is not None
    qtbot.keyClicks(line, "Top yard")
    assert tab.mover.words.text() == "2 cows go to Top yard today: 2 from Beck side."
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert [move for move in stored_moves(herd) if move[1] == 0] == [("0201", 0, "Top yard"), ("0504", 0, "Top yard")]


def test_that_what_is_missing_or_wrong_is_said_and_nothing_is_lost(
    tab: GroupsTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    typed_into(tab.mover.who, "201, 77", qtbot)
    line = typed_into(tab.mover.day, "3/4/2026", qtbot)
    qtbot.keyClick(line, ENTER)
    assert tab.mover.who.said == "No cow ends in 77."
    assert tab.mover.to.said == "To which group?"
    assert tab.mover.day.said.startswith("“3/4/2026” may be 3 Apr 2026 or 4 Mar 2026.")
    assert tab.mover.who.text == "201, 77"
    assert tab.mover.who.holds.hasFocus()
    assert herd.undo_stack.count() == 0


def test_that_a_move_is_changed_and_struck_out(tab: GroupsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    typed_into(tab.mover.who, "201", qtbot)
    line = typed_into(tab.mover.to, "Quarry", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    tab.history.setFocus()
    tab.history.setCurrentIndex(tab.history.rows.index(0, 0))
    qtbot.keyClick(tab.history, ENTER)
    assert tab.mover.title.text() == "Change a move"
    assert not tab.mover.who.isEnabled()
    line = typed_into(tab.mover.day, "5 Jan", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert stored_moves(herd) == [("0201", -65, "Beck side"), ("0201", -7, "Quarry")]
    assert tab.mover.title.text() == "Move cows"
    tab.history.setFocus()
    tab.history.setCurrentIndex(tab.history.rows.index(0, 0))
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(tab.history, Qt.Key.Key_Delete)
    assert stored_moves(herd) == [("0201", -65, "Beck side")]
    assert stored_groups(herd)["0201"] == "Beck side"


def test_that_a_group_is_renamed_everywhere_and_back(tab: GroupsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    tab.groups.choose("Beck side")
    line = typed_into(tab.rename.name, "Beck Meadow", qtbot)
    assert tab.rename.words.text() == "Beck side is then called Beck Meadow, in everything written about it."
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert rows(tab.groups, "name") == ["Beck Meadow", "Quarry", "Top yard"]
    assert "Beck side" not in stored_groups(herd).values()
    with HerdFile.open(herd.path, read_only=True) as file:
        assert {row.group for row in file.read().records("diets") if isinstance(row, Diet)} == {
            "Beck Meadow",
            "Top yard",
        }
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert rows(tab.groups, "name") == ["Beck side", "Quarry", "Top yard"]


def test_that_two_groups_are_joined_after_it_was_said_what_that_does(
    tab: GroupsTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab.groups.choose("Quarry")
    line = typed_into(tab.rename.name, "top yard", qtbot)
    assert tab.rename.words.text() == "Quarry joins Top yard: 3 cows then."
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert rows(tab.groups, "name") == ["Beck side", "Top yard"]
    assert stored_groups(herd)["0908"] == "Top yard"


def test_that_cows_chosen_in_the_register_come_along(tab: GroupsTab, qtbot: QtBot) -> None:
    page = tab.page  # type: ignore[attr-defined]
    page.show_tab("register")
    page.register.cows.list.choose(FAT.id)
    page.register.cows.list.select([VET.id, FAT.id])
    qtbot.mouseClick(page.register.several.move_button, Qt.MouseButton.LeftButton)
    assert page.tab == GROUPS
    assert tab.mover.who.text == "0100, 0403"


def test_that_nothing_moves_while_looking_at_another_day(tab: GroupsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(20))
    assert not tab.mover.save_button.isEnabled()
    assert tab.foot.text() == herd.why_not
    typed_into(tab.mover.who, "201", qtbot)
    line = typed_into(tab.mover.to, "Quarry", qtbot)
    qtbot.keyClick(line, ENTER)
    assert stored_moves(herd) == []


# Odd herds


def test_that_a_herd_without_groups_can_be_given_its_first(look: Look, tmp_path: Path, qtbot: QtBot) -> None:
    cows = [cow(f"{at:04}", 100, group=None) for at in range(1, 4)]  # type: ignore[arg-type]
    with opened(tmp_path / "test.herd", cows) as herd:
        tab = shown(herd, look, tmp_path, qtbot)
        assert rows(tab.groups, "name") == ["No group"]
        assert tab.count.text() == "0 groups"
        assert not tab.rename.isEnabled()
        assert len(rows(tab.cows, "tag")) == 3
        typed_into(tab.mover.who, "1 2", qtbot)
        line = typed_into(tab.mover.to, "Home field", qtbot)
        with qtbot.waitSignal(herd.assessed):
            qtbot.keyClick(line, ENTER)
        assert rows(tab.groups, "name") == ["Home field", "No group"]


def test_that_forty_groups_with_long_names_scroll_and_stay_inside(look: Look, tmp_path: Path, qtbot: QtBot) -> None:
    cows = [
        cow(f"{at:04}", 100, f"The far side of the long meadow by the old railway bridge {at:02}") for at in range(40)
    ]
    with opened(tmp_path / "test.herd", cows) as herd:
        tab = shown(herd, look, tmp_path, qtbot)
        assert tab.groups.rows.rowCount() == 40
        assert tab.minimumSizeHint().width() <= 1280 - 92 - 48
        qtbot.keyClick(tab.groups, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
        assert tab.of_group.text().endswith("bridge 39: 1 cow")
