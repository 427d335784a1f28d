"""What is done from the flagged list: ticks, moves, columns, copies and paper, by keys over a real herd file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtPrintSupport import QPrinter
from pytestqt.qtbot import QtBot

from herdscore.desk.edits import save_score
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.assess import assess
from herdscore.domain.changes import adding, applied
from herdscore.domain.listing import ACT
from herdscore.domain.records import UP, WINTER_FEED, Diet, Tick
from herdscore.domain.ticks import asked_of, ticked
from herdscore.pages.cow_lists import ALL
from herdscore.pages.cows import CowsPage
from herdscore.pages.file_asking import a4_printer
from herdscore.pages.flagged_rows import FIRST_SHOWN, KEYS
from herdscore.pages.wishes import PrintWish
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import ahead, scored
from tests.pages.open_herds import FAT, THIN, TODAY, VET, opened, small_herd

SHIFT, ALT, CTRL = (
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.AltModifier,
    Qt.KeyboardModifier.ControlModifier,
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
    return made


def press(page: CowsPage, herd: OpenHerd, qtbot: QtBot, key: Qt.Key) -> None:
    """Press a key on the list and wait for the assessment after it."""
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(page.flagged.list, key)


def done(page: CowsPage) -> dict[str, str]:
    rows = page.flagged.list.rows
    return {rows.row_at(at).texts[0]: rows.row_at(at).texts[KEYS.index("done")] for at in range(rows.rowCount())}


def ticks(herd: OpenHerd) -> list[Tick]:
    return [row for row in herd.snapshot.records("ticks") if isinstance(row, Tick)]


# Ticked off


def test_that_space_ticks_off_what_is_asked_as_done_today_and_space_again_takes_it_back(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    page.flagged.list.choose(THIN.id)
    press(page, herd, qtbot, Qt.Key.Key_Space)
    (tick,) = ticks(herd)
    assert (tick.cow_id, tick.what, tick.day, tick.done) == (THIN.id, "ease up", TODAY, TODAY)
    assert done(page) == {VET.tag: "", FAT.tag: "", THIN.tag: "done 12\u00a0Jan"}
    assert page.flagged.foot._words.text().startswith("Done 12\u00a0Jan: ease up. ")
    press(page, herd, qtbot, Qt.Key.Key_Space)
    assert ticks(herd) == []
    kinds = [(entry.kind, entry.who) for entry in herd.file.entries(2)]
    assert kinds == [("take back tick", "R. T."), ("tick off", "R. T.")], "the journal keeps both"


def test_that_a_tick_is_there_when_the_herd_is_opened_again(
    page: CowsPage, herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot
) -> None:
    page.flagged.list.choose(VET.id)
    press(page, herd, qtbot, Qt.Key.Key_Space)
    again = shown(herd, look, tmp_path, qtbot)
    assert done(again)[VET.tag] == "done 12\u00a0Jan"
    assert len(herd.file.read().ticks) == 1


def test_that_several_cows_are_ticked_off_on_another_day_as_one_step(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    view, panel = page.flagged.list, page.flagged.done_panel
    view.choose(VET.id)
    qtbot.keyClick(view, Qt.Key.Key_Down, SHIFT)
    qtbot.keyClick(view, Qt.Key.Key_D)
    assert panel.isVisible()
    assert panel.title.text() == "2 cows done on"
    panel.day.setDate(panel.day.date().addDays(-2))
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(panel.day, Qt.Key.Key_Return)
    assert done(page) == {VET.tag: "done 10\u00a0Jan", FAT.tag: "done 10\u00a0Jan", THIN.tag: ""}
    with qtbot.waitSignal(herd.assessed):
        assert herd.undo() == "tick of 2 cows"
    assert ticks(herd) == []


def test_that_a_tick_holds_until_she_is_scored_again_or_something_else_is_asked(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    page.flagged.list.choose(THIN.id)
    press(page, herd, qtbot, Qt.Key.Key_Space)
    a = herd.assessment
    place = a.snapshot.cow_place[THIN.id]
    assert asked_of(a, place) == "ease up"
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(1))
    assert ticked(herd.assessment)[place] >= 0
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(None)
    scored_later = herd.preview(save_score(herd.snapshot, scored(THIN, ahead(0), 8, 8, 8)))
    assert ticked(scored_later)[place] >= 0, "scored on the day itself"
    later = applied(herd.snapshot, save_score(herd.snapshot, scored(THIN, ahead(2), 8, 8, 8)))
    assert ticked(assess(later, herd.rulebook, ahead(3)))[place] == -1
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(-1))
    assert ticked(herd.assessment)[place] == -1, "it was not ticked off yet"


def test_that_nothing_is_ticked_off_while_another_day_is_looked_at(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(3))
    assert not page.flagged.foot.done_button.isEnabled()
    page.flagged.list.choose(THIN.id)
    with qtbot.waitSignal(herd.failed):
        qtbot.keyClick(page.flagged.list, Qt.Key.Key_Space)
    assert ticks(herd) == []


# Moved


def test_that_cows_chosen_together_are_moved_to_a_group_by_keys(page: CowsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    view, panel = page.flagged.list, page.flagged.move_panel
    view.choose(VET.id)
    qtbot.keyClick(view, Qt.Key.Key_Down, SHIFT)
    qtbot.keyClick(view, Qt.Key.Key_Down, SHIFT)
    assert page.flagged.foot._name.text() == "3 cows chosen"
    qtbot.keyClick(view, Qt.Key.Key_M)
    edit = panel.group.lineEdit()
    assert edit is not None
    assert edit.hasFocus()
    qtbot.keyClicks(edit, "top yard")
    assert panel.words.text() == "2 cows go to Top yard today: 2 from Beck side. 1 cow is there already."
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(edit, Qt.Key.Key_Return)
    groups = herd.assessment.groups
    assert {groups.names[groups.now[herd.snapshot.cow_place[one.id]]] for one in (VET, FAT, THIN)} == {"Top yard"}
    assert view.hasFocus()
    assert not panel.isVisible()


def test_that_joining_a_group_on_a_change_is_cautioned(page: CowsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.push(adding("diet", [Diet("up", "Top yard", ahead(-5), WINTER_FEED, aim=UP)]), "diet")
    page.flagged.list.choose(THIN.id)
    qtbot.keyClick(page.flagged.list, Qt.Key.Key_M)
    page.flagged.move_panel.group.setEditText("Top yard")
    assert "Top yard is on a change up since 7\u00a0Jan" in page.flagged.move_panel.words.text()
    qtbot.keyClick(page.flagged.move_panel.group, Qt.Key.Key_Escape)
    assert page.flagged.list.hasFocus()


# Columns


def test_that_columns_are_chosen_ordered_and_remembered_by_keys(
    page: CowsPage, herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot
) -> None:
    view = page.flagged.list
    qtbot.keyClick(view, Qt.Key.Key_C)
    names = page.flagged.columns.names
    assert names.hasFocus()
    names.choose("group")
    qtbot.keyClick(names, Qt.Key.Key_Space)
    assert view.isColumnHidden(KEYS.index("group"))
    names.choose("act_by")
    for _ in range(30):
        qtbot.keyClick(names, Qt.Key.Key_Up, ALT)
    assert view.shown[:3] == ("tag", "act_by", "calving_date"), "the tag stays the first"
    names.choose("advice")
    qtbot.keyClick(names, Qt.Key.Key_Space)
    assert view.shown[-1] == "advice"
    names.choose("tag")
    qtbot.keyClick(names, Qt.Key.Key_Space)
    assert not view.isColumnHidden(0), "a list without tags would speak of nobody"
    qtbot.keyClick(names, Qt.Key.Key_Escape)
    assert view.hasFocus()
    again = shown(herd, look, tmp_path, qtbot).flagged.list
    assert again.shown == view.shown
    header = again.horizontalHeader()
    assert header.visualIndex(KEYS.index("act_by")) == 1
    again.show_columns(FIRST_SHOWN)
    assert [KEYS[header.logicalIndex(at)] for at in range(12)] == list(FIRST_SHOWN)


def test_that_a_column_is_sorted_by_from_the_keyboard_and_turned(page: CowsPage, qtbot: QtBot) -> None:
    page.show_list(ALL)
    qtbot.keyClick(page.flagged.list, Qt.Key.Key_C)
    names, rows = page.flagged.columns.names, page.flagged.list.rows
    names.choose("days_to_calving")
    qtbot.keyClick(names, Qt.Key.Key_S)
    assert rows.row_at(0).texts[0] == "0605"
    qtbot.keyClick(names, Qt.Key.Key_S)
    assert rows.row_at(0).texts[0] == "0302"


def test_that_every_column_sorts_and_shows_words(page: CowsPage) -> None:
    page.show_list(ALL)
    page.flagged.list.show_columns(KEYS)
    for key in KEYS:
        if key != "scores":
            page.flagged.list.sort_by(key)
    columns, rows = page.flagged.list.as_table()
    assert len(columns) == len(KEYS)
    assert all(len(row.texts) == len(KEYS) for row in rows)
    assert all("nan" not in text and "None" not in text for row in rows for text in row.texts)


# Taken away


def test_that_the_list_is_copied_as_it_stands_and_the_chosen_alone_when_several(page: CowsPage, qtbot: QtBot) -> None:
    view = page.flagged.list
    with qtbot.waitSignal(page.message) as said:
        qtbot.keyClick(view, Qt.Key.Key_C, CTRL)
    assert said.args is not None
    assert said.args[0].claim == "3 cows copied, to paste as a table."
    clipboard = QGuiApplication.clipboard()
    lines = [line.split("\t") for line in clipboard.text().split("\n")]
    assert lines[0][:4] == ["Tag", "Group", "Calves", "Days"]
    assert [line[0] for line in lines[1:]] == [VET.tag, FAT.tag, THIN.tag]
    assert {len(line) for line in lines} == {len(FIRST_SHOWN)}
    html = clipboard.mimeData().html()
    assert "<th>Tag</th>" in html
    assert f"<td>{VET.tag}</td>" in html
    view.choose(VET.id)
    qtbot.keyClick(view, Qt.Key.Key_Down, SHIFT)
    qtbot.mouseClick(page.flagged.copy_button, Qt.MouseButton.LeftButton)
    assert clipboard.text().count("\n") == 2


def test_that_the_list_is_printed_on_a4_with_headings_on_each_page(
    page: CowsPage, qtbot: QtBot, tmp_path: Path
) -> None:
    page.show_list(ALL)
    with qtbot.waitSignal(page.print_wished) as asked:
        page.print_page()
    assert asked.args is not None
    wish = asked.args[0]
    assert isinstance(wish, PrintWish)
    assert wish.landscape
    printer = a4_printer(wish.what, landscape=wish.landscape)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "list.pdf"))
    assert wish.draw(printer) == 1
    data = (tmp_path / "list.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    box = data[data.index(b"/MediaBox") :][:60]
    width, height = (float(part) for part in box.split(b"[")[1].split(b"]")[0].split()[2:])
    assert (round(width), round(height)) == (842, 595), "A4 on its long side, in points (ISO 216)"


def test_that_a_list_changed_before_it_is_drawn_is_printed_as_it_was_seen(page: CowsPage) -> None:
    page.show_list(ALL)
    view = page.flagged.list
    tags = [row.texts[0] for row in view.as_table()[1]]
    seen = view.rows.rows_seen()
    view.show_only([])
    assert view.as_table()[1] == []
    assert [row.texts[0] for row in seen()] == tags


@pytest.mark.parametrize(("scale", "height"), [(1.0, 500), (1.5, 500), (1.5, 620)])
def test_that_in_a_low_window_the_list_keeps_three_rows_and_the_words_below_one_line(
    page: CowsPage, look: Look, qtbot: QtBot, scale: float, height: int
) -> None:
    look.choose_text_scale(scale)
    page.resize(1226, height)
    page.show_list(ALL)
    tab = page.flagged
    qtbot.waitUntil(lambda: tab.list.viewport().height() >= 3 * tab.list.rowHeight(0))
    assert tab.foot.accessibleDescription()
    assert tab.foot._words.isVisible() is not tab.foot._line.isVisible()
    assert tab.foot._line.toolTip() == tab.foot._words.text()
