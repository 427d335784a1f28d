"""Lists: rows looked up, sorted with missing values last, chosen, opened and ticked."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPoint, Qt
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from herdscore.parts.delegates import Spark
from herdscore.parts.list_model import EXTRA_ROLE, Column, ListModel, ListRow, sort_values, sorted_places
from herdscore.parts.list_view import ROW_PX, ListView
from herdscore.parts.theme import Look

COLUMNS = (
    Column("tag", "Tag", weight=700),
    Column("days", "Days", "number", right=True),
    Column("act_by", "Act by", "date"),
    Column("scores", "Scores", shown="spark", width=140, sortable=False),
    Column("verdict", "Verdict", shown="verdict", width=180),
    Column("done", "Done", shown="tick"),
)
SPARK = Spark((-84, -42, 0), (2.4, 2.2, 2.5), (0, 96), (2.5, 2.5), 2.25, 2.75)


def row(tag: str, days: float | None, act_by: date | None, mark: str = "now_up", *, done: bool = False) -> ListRow:
    words = ("" if days is None else f"{days:g}", "" if act_by is None else f"{act_by:%d %b}")
    return ListRow(
        tag,
        (tag, words[0], words[1], "", "ease up now", ""),
        (tag, days, act_by, None, mark, None),
        ("", "", "", SPARK, mark, done),
        done,
    )


ROWS = (
    row("0512", 96, date(2027, 1, 31)),
    row("0607", None, None, "vet"),
    row("0244", 82, date(2027, 1, 12), "part_up", done=True),
    row("0951", 63, date(2027, 1, 13), "now_down"),
    row("0118", 96, None, "dot"),
)


def shown(model: ListModel) -> list[str]:
    return [str(model.row_at(place).key) for place in range(model.rowCount())]


def test_that_the_model_keeps_the_rules_of_qt(qtmodeltester: ModelTester) -> None:
    model = ListModel(COLUMNS)
    model.show_rows(ROWS)
    qtmodeltester.check(model)
    model.sort(1, Qt.SortOrder.DescendingOrder)
    qtmodeltester.check(model)
    model.show_only([0, 3])
    qtmodeltester.check(model)


def test_that_missing_values_come_last_in_both_orders() -> None:
    model = ListModel(COLUMNS)
    model.show_rows(ROWS)
    model.sort(1, Qt.SortOrder.AscendingOrder)
    assert shown(model) == ["0951", "0244", "0512", "0118", "0607"]
    model.sort(1, Qt.SortOrder.DescendingOrder)
    assert shown(model) == ["0512", "0118", "0244", "0951", "0607"]
    model.sort(2, Qt.SortOrder.DescendingOrder)
    assert shown(model) == ["0512", "0951", "0244", "0607", "0118"]


@pytest.mark.parametrize(
    ("kind", "raw", "places"),
    [
        ("text", ["b", None, "A", ""], [2, 0, 1, 3]),
        ("number", [2.5, float("nan"), None, -1], [3, 0, 1, 2]),
        ("date", [np.datetime64("2027-03-01"), np.datetime64("NaT"), date(2027, 1, 1), None], [2, 0, 1, 3]),
    ],
)
def test_that_every_kind_knows_what_is_missing(kind: str, raw: list[object], places: list[int]) -> None:
    assert list(sorted_places(sort_values(raw, kind), descending=False)) == places


def test_that_dates_of_both_forms_sort_on_one_scale() -> None:
    raw = [np.datetime64("2027-03-01"), date(2027, 1, 1), np.datetime64("2026-12-31")]
    assert list(sorted_places(sort_values(raw, "date"), descending=False)) == [2, 1, 0]


def test_that_equal_values_keep_their_order_in_both_orders() -> None:
    values = np.array([1.0, 2.0, 1.0, 2.0])
    assert list(sorted_places(values, descending=False)) == [0, 2, 1, 3]
    assert list(sorted_places(values, descending=True)) == [1, 3, 0, 2]


def test_that_a_filter_and_an_order_hold_together() -> None:
    model = ListModel(COLUMNS)
    model.show_rows(ROWS)
    model.sort(0, Qt.SortOrder.AscendingOrder)
    model.show_only([0, 1, 3])
    assert shown(model) == ["0512", "0607", "0951"]
    model.show_only(None)
    assert shown(model) == ["0118", "0244", "0512", "0607", "0951"]


def test_that_an_index_a_view_holds_follows_its_row_through_a_sort() -> None:
    model = ListModel(COLUMNS)
    model.show_rows(ROWS)
    held = QPersistentModelIndex(model.index(0, 0))
    model.sort(0, Qt.SortOrder.AscendingOrder)
    assert held.data() == "0512"
    assert held.row() == 2


def test_that_the_model_gives_marks_and_sparks_as_it_got_them() -> None:
    model = ListModel(COLUMNS)
    model.show_rows(ROWS)
    assert model.index(1, 4).data(EXTRA_ROLE) == "vet"
    assert model.index(1, 3).data(EXTRA_ROLE) is SPARK
    assert model.index(2, 5).data(Qt.ItemDataRole.CheckStateRole) == Qt.CheckState.Checked
    assert model.rowCount(model.index(0, 0)) == 0
    assert model.data(QModelIndex()) is None


@pytest.fixture
def view(look: Look, qtbot: QtBot) -> ListView:
    made = ListView(look, COLUMNS, "Flagged cows")
    qtbot.addWidget(made)
    made.resize(800, 400)
    made.show_rows(ROWS)
    made.show()
    return made


def test_that_enter_opens_the_row_the_arrows_moved_to(view: ListView, qtbot: QtBot) -> None:
    view.choose("0512")
    with qtbot.waitSignal(view.chosen) as moved:
        qtbot.keyClick(view, Qt.Key.Key_Down)
    assert moved.args == ["0607"]
    with qtbot.waitSignal(view.opened) as opened:
        qtbot.keyClick(view, Qt.Key.Key_Return)
    assert opened.args == ["0607"]


def test_that_space_asks_for_the_other_state_of_the_tick_and_changes_nothing(view: ListView, qtbot: QtBot) -> None:
    view.choose("0244")
    with qtbot.waitSignal(view.tick_wished) as wished:
        qtbot.keyClick(view, Qt.Key.Key_Space)
    assert wished.args == ["0244", False]
    assert view.rows.row_at(2).done


def test_that_a_click_on_the_box_asks_for_a_tick(view: ListView, qtbot: QtBot) -> None:
    place = view.visualRect(view.rows.index(0, 5)).center()
    with qtbot.waitSignal(view.tick_wished) as wished:
        qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(place))
    assert wished.args == ["0512", True]


def test_that_the_cow_chosen_stays_chosen_when_rows_are_swapped_and_sorted(view: ListView) -> None:
    view.choose("0951")
    view.show_rows(tuple(reversed(ROWS)))
    assert view.current_key() == "0951"
    view.sort_by("days", descending=True)
    assert view.current_key() == "0951"
    assert view.choose("9999") is False


def test_that_rows_have_one_fixed_height(view: ListView) -> None:
    assert {view.rowHeight(place) for place in range(5)} == {ROW_PX}


def test_that_a_verdict_is_drawn_in_its_colour_and_in_ink_on_the_chosen_row(view: ListView, look: Look) -> None:
    view.clearSelection()
    picture = view.viewport().grab().toImage()
    cell = view.visualRect(view.rows.index(0, 4))
    assert picture.pixelColor(cell.left() + 18, cell.center().y() + 2) == look.theme["thin"]
    view.choose("0512")
    chosen = view.viewport().grab().toImage()
    assert chosen.pixelColor(cell.right() - 3, cell.center().y()) == look.theme["selected"]
    words = [
        chosen.pixelColor(x, y) for x in range(cell.left() + 38, cell.right()) for y in range(cell.top(), cell.bottom())
    ]
    assert look.theme["ink"] in words
    assert look.theme["thin"] not in words
    assert chosen.pixelColor(cell.left() + 18, cell.center().y() + 2) == look.theme["thin"]


def test_that_the_spark_lies_over_the_target_band(view: ListView, look: Look) -> None:
    cell = view.visualRect(view.rows.index(4, 3))
    picture = view.viewport().grab().toImage()
    inside = picture.pixelColor(cell.right() - 14, cell.center().y() + 1)
    outside = picture.pixelColor(cell.right() - 14, cell.top() + 8)
    assert outside == look.theme["surface"]
    assert inside.green() > inside.red()


def test_that_a_list_of_a_whole_large_herd_sorts_in_a_blink(look: Look, qtbot: QtBot) -> None:
    rows = [row(f"{tag:05}", float(tag * 7919 % 5000), None) for tag in range(5000)]
    view = ListView(look, COLUMNS)
    qtbot.addWidget(view)
    view.show_rows(rows)
    view.sort_by("days")
    assert view.rows.row_at(0).values[1] == 0
    assert view.rows.row_at(4999).values[1] == 4999
