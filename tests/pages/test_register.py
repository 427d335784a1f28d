"""The register, driven by keys over a real herd file: shown, searched, changed, added to, undone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from herdscore.desk.messages import Message
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.records import Cow, Move
from herdscore.pages.herd import HerdPage
from herdscore.pages.herds_page import OPEN_SHEET, WORKBOOK
from herdscore.pages.register import RegisterTab
from herdscore.parts.theme import Look
from herdscore.store.herd_file import HerdFile
from tests.domain.recorded_herds import TODAY, ahead
from tests.pages.open_herds import COWS, FAT, MILKING, SOLD_COW, THIN, UNDATED, VET, opened, small_herd


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


def shown(tab: RegisterTab, column: str = "tag") -> list[str]:
    rows = tab.cows.list.rows
    return [rows.row_at(at).texts[rows.column_place(column)] for at in range(rows.rowCount())]


def stored(herd: OpenHerd) -> dict[str, Cow]:
    """The cows as another window reads them from the file."""
    with HerdFile.open(herd.path, read_only=True) as file:
        return {cow.tag: cow for cow in file.read().records("cows") if isinstance(cow, Cow)}


def moves(herd: OpenHerd) -> list[tuple[str, str]]:
    with HerdFile.open(herd.path, read_only=True) as file:
        return [(row.day.isoformat(), row.group) for row in file.read().records("moves") if isinstance(row, Move)]


def retype(tab: RegisterTab, name: str, text: str, qtbot: QtBot) -> QWidget:
    """Type over a field of the form."""
    field = tab.form.fields[name]
    line = field.lineEdit() if isinstance(field, QComboBox) else field
    assert isinstance(line, QLineEdit)
    line.setFocus()
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    qtbot.keyClicks(line, text)
    return line


def pick(tab: RegisterTab, name: str, words: str, qtbot: QtBot) -> None:
    """Choose from a choice box by its first letters."""
    box = tab.form.fields[name]
    assert isinstance(box, QComboBox)
    box.setFocus()
    qtbot.keyClicks(box, words)
    assert box.currentText().startswith(words)


def change(tab: RegisterTab, cow: Cow) -> None:
    assert tab.cows.list.choose(cow.id)
    tab.begin_changing()


# The list


def test_that_every_living_cow_stands_in_the_register(page: HerdPage) -> None:
    tab = page.register
    assert shown(tab) == [cow.tag for cow in COWS if cow is not SOLD_COW]
    assert tab.cows.count.text() == "9 cows, 1 needs a date"
    assert shown(tab, "calvings")[7] == "first"
    assert shown(tab, "calving_date")[1] == "2\u00a0Apr ± 3"
    assert shown(tab, "source")[1] == "set by hand"
    assert shown(tab, "season")[8] == "autumn"


def test_that_a_cow_that_needs_a_date_says_so_with_a_cross(page: HerdPage) -> None:
    rows = page.register.cows.list.rows
    at = shown(page.register).index(UNDATED.tag)
    place = rows.column_place("calving_date")
    assert rows.row_at(at).texts[place] == "needs a date"
    assert rows.row_at(at).extras[place] == "cross"
    assert shown(page.register, "calving_date")[8] == "calved 4\u00a0Oct"


def test_that_search_group_and_block_narrow_the_register(page: HerdPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab = page.register
    page.find("")
    qtbot.keyClicks(tab.cows.search, "bramb")
    assert shown(tab) == [FAT.tag]
    assert tab.cows.count.text() == "1 cow"
    tab.cows.search.clear()
    tab.cows.search.setText("999000026040201")
    assert shown(tab) == [THIN.tag]
    tab.cows.search.clear()
    tab.cows.group_box.setCurrentText("Top yard")
    assert shown(tab) == ["0302", "0403"]
    herd.choose_block("autumn")
    assert shown(tab) == []
    tab.cows.group_box.setCurrentText("All groups")
    assert shown(tab) == [MILKING.tag]


def test_that_cows_gone_are_kept_apart(page: HerdPage) -> None:
    page.register.cows.gone_box.setCurrentText("Gone")
    assert shown(page.register) == [SOLD_COW.tag]
    assert shown(page.register, "calving_date") == ["sold"]


def test_that_the_card_tells_facts_date_and_services_of_the_chosen_cow(page: HerdPage) -> None:
    tab = page.register
    tab.cows.list.choose(THIN.id)
    said = dict(tab.card.said)
    assert said["EID"] == "999000026040201"
    assert said["Calvings"] == "3"
    assert said["Group"] == "Beck side"
    assert tab.card.date_words.startswith("Calves 2\u00a0Apr ± 3 days. Set by hand in the register.")
    assert tab.card.mating_words == [
        "scan: in calf, 74 days",
        "served by a Limousin",
        "calved with light help, bull calf",
    ]
    tab.cows.list.choose(UNDATED.id)
    assert tab.card.date_words.startswith("No calving date. ")


# Changing a cow


def test_that_a_cow_changed_is_stored_as_one_step_and_undone_as_one(
    page: HerdPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab = page.register
    change(tab, THIN)
    retype(tab, "tag", "0777", qtbot)
    retype(tab, "management_no", "77", qtbot)
    retype(tab, "eid", "999 000 026 040 777", qtbot)
    retype(tab, "name", "Iris", qtbot)
    retype(tab, "breed", "Salers", qtbot)
    retype(tab, "born", "9 Mar 2021", qtbot)
    retype(tab, "calvings", "4", qtbot)
    pick(tab, "season", "autumn", qtbot)
    retype(tab, "calving_date", "2027-04-10", qtbot)
    pick(tab, "date_from", "told", qtbot)
    pick(tab, "twins", "yes", qtbot)
    pick(tab, "vet_plan", "yes", qtbot)
    pick(tab, "status", "not", qtbot)
    line = retype(tab, "note", "lame in October", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, Qt.Key.Key_Return)
    wanted = replace(
        THIN,
        tag="0777",
        management_no="77",
        eid="999000026040777",
        name="Iris",
        breed="Salers",
        born=ahead(0).replace(2021, 3, 9),
        calvings=4,
        season="autumn",
        calving_date=ahead(0).replace(2027, 4, 10),
        date_from="told",
        twins=True,
        vet_plan=True,
        status="not in calf",
        note="lame in October",
    )
    assert stored(herd)["0777"] == wanted
    assert tab.cows.list.current_key() == THIN.id
    assert not tab.form.isVisible()
    assert herd.undo_stack.undoText() == "change of 0777"
    with qtbot.waitSignal(herd.assessed):
        herd.undo_stack.undo()
    assert stored(herd)[THIN.tag] == THIN
    assert "0777" not in shown(tab)
    with qtbot.waitSignal(herd.assessed):
        herd.undo_stack.redo()
    assert stored(herd)["0777"] == wanted


def test_that_another_group_writes_a_move_of_today_and_undo_takes_both_back(
    page: HerdPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab = page.register
    change(tab, THIN)
    retype(tab, "group", "top YARD", qtbot)
    assert tab.form.said("group") == "She moves today; until now she was in Beck side."
    with qtbot.waitSignal(herd.assessed):
        qtbot.mouseClick(tab.form.save_button, Qt.MouseButton.LeftButton)
    assert stored(herd)[THIN.tag].group == "Top yard"
    assert moves(herd) == [(ahead(-65).isoformat(), "Beck side"), (TODAY.isoformat(), "Top yard")]
    assert shown(tab, "group")[1] == "Top yard"
    assert dict(tab.card.said)["Group"] == "Top yard, since 12\u00a0Jan"
    with qtbot.waitSignal(herd.assessed):
        herd.undo_stack.undo()
    assert moves(herd) == []
    assert shown(tab, "group")[1] == "Beck side"


def test_that_wrong_input_is_refused_at_its_field_and_nothing_is_lost(
    page: HerdPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab = page.register
    change(tab, THIN)
    retype(tab, "name", "Hazel", qtbot)
    retype(tab, "tag", VET.tag, qtbot)
    line = retype(tab, "born", "3/4/2020", qtbot)
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert tab.form.isVisible()
    assert tab.form.said("tag") == "0100 is the tag of another cow already."
    assert tab.form.said("born") == "“3/4/2020” may be 3 Apr 2020 or 4 Mar 2020. Write the month as a word."
    assert tab.form.fields["tag"].hasFocus()
    assert tab.form.typed()["name"] == "Hazel"
    assert stored(herd)[THIN.tag] == THIN
    assert herd.undo_stack.count() == 0
    retype(tab, "tag", THIN.tag, qtbot)
    assert tab.form.said("tag") == ""
    line = retype(tab, "born", "3 Apr 2020", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, Qt.Key.Key_Return)
    assert stored(herd)[THIN.tag].name == "Hazel"


def test_that_escape_leaves_the_form_without_writing(page: HerdPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab = page.register
    qtbot.keyClick(tab.cows.list, Qt.Key.Key_Return)
    assert tab.form.isVisible()
    line = retype(tab, "name", "Hazel", qtbot)
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert not tab.form.isVisible()
    assert tab.cows.list.hasFocus()
    assert herd.undo_stack.count() == 0


def test_that_enter_on_cancel_cancels(page: HerdPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab = page.register
    change(tab, THIN)
    retype(tab, "name", "Hazel", qtbot)
    tab.form.cancel_button.setFocus()
    qtbot.keyClick(tab.form.cancel_button, Qt.Key.Key_Return)
    assert not tab.form.isVisible()
    assert herd.undo_stack.count() == 0


def test_that_a_form_stays_open_while_another_cow_is_chosen(page: HerdPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab = page.register
    change(tab, THIN)
    retype(tab, "name", "Hazel", qtbot)
    assert not tab._unsaved.isVisible()
    tab.cows.list.choose(VET.id)
    assert tab.form.isVisible()
    assert tab._unsaved.isVisible()
    assert tab.form.typed()["name"] == "Hazel"
    with qtbot.waitSignal(herd.assessed):
        qtbot.mouseClick(tab.form.save_button, Qt.MouseButton.LeftButton)
    assert stored(herd)[THIN.tag].name == "Hazel"
    assert stored(herd)[VET.tag] == VET


def test_that_what_changed_meanwhile_is_kept_where_the_form_did_not_touch_it(
    page: HerdPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    from herdscore.desk.edits import edit_cow

    tab = page.register
    change(tab, THIN)
    retype(tab, "name", "Hazel", qtbot)
    with qtbot.waitSignal(herd.assessed):
        herd.push(edit_cow(THIN, replace(THIN, note="seen by the vet")), "note")
    assert tab.form.isVisible()
    assert tab.form.typed()["name"] == "Hazel"
    with qtbot.waitSignal(herd.assessed):
        tab.save()
    assert stored(herd)[THIN.tag] == replace(THIN, name="Hazel", note="seen by the vet")


def test_that_a_form_saved_untouched_writes_nothing(page: HerdPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab = page.register
    change(tab, THIN)
    qtbot.mouseClick(tab.form.save_button, Qt.MouseButton.LeftButton)
    assert not tab.form.isVisible()
    assert herd.undo_stack.count() == 0


def test_that_a_typed_date_that_services_overrule_says_so(page: HerdPage, qtbot: QtBot) -> None:
    tab = page.register
    change(tab, THIN)
    assert tab.form.said("calving_date") == ""
    pick(tab, "date_from", "told", qtbot)
    assert tab.form.said("calving_date") == "Her services and scans give her date; set by hand overrules them."


# Adding a cow


def test_that_a_cow_added_is_stored_chosen_and_undone(page: HerdPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab = page.register
    said: list[Message] = []
    page.message.connect(said.append)
    qtbot.mouseClick(tab.add_button, Qt.MouseButton.LeftButton)
    assert tab.form.title.text() == "New cow"
    assert tab.form.fields["tag"].hasFocus()
    retype(tab, "tag", "0555", qtbot)
    line = retype(tab, "group", "Top yard", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, Qt.Key.Key_Return)
    made = stored(herd)["0555"]
    assert (made.group, made.calvings, made.status) == ("Top yard", None, "in herd")
    assert moves(herd) == []
    assert tab.cows.list.current_key() == made.id
    assert said[0].claim == "0555 is in the herd."
    with qtbot.waitSignal(herd.assessed):
        herd.undo_stack.undo()
    assert "0555" not in stored(herd)
    assert "0555" not in shown(tab)


def test_that_a_form_of_a_cow_taken_out_by_undo_closes(page: HerdPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab = page.register
    tab.begin_adding()
    line = retype(tab, "tag", "0555", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, Qt.Key.Key_Return)
    tab.begin_changing()
    assert tab.form.isVisible()
    with qtbot.waitSignal(herd.assessed):
        herd.undo_stack.undo()
    assert not tab.form.isVisible()


# Looking only


def test_that_nothing_can_be_changed_while_looking_at_another_day(page: HerdPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab = page.register
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(20))
    assert not tab.card.change_button.isEnabled()
    assert not tab.add_button.isEnabled()
    assert tab.card._why_not.text() == herd.why_not
    qtbot.keyClick(tab.cows.list, Qt.Key.Key_Return)
    assert not tab.form.isVisible()
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(None)
    assert tab.card.change_button.isEnabled()
    change(tab, THIN)
    retype(tab, "name", "Hazel", qtbot)
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(20))
    assert not tab.form.save_button.isEnabled()
    assert tab.form._foot.text() == herd.why_not
    assert tab.form.typed()["name"] == "Hazel"


def test_that_sheets_are_asked_for(page: HerdPage, qtbot: QtBot) -> None:
    for pressed, wish in ((page.open_button, OPEN_SHEET), (page.write_button, WORKBOOK)):
        with qtbot.waitSignal(page.wished) as asked:
            qtbot.mouseClick(pressed, Qt.MouseButton.LeftButton)
        assert asked.args == [wish]


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_the_page_fits_the_smallest_window(page: HerdPage, look: Look, theme: str, qtbot: QtBot) -> None:
    look.choose(theme)
    page.resize(1280 - 92, 582)
    for show in (lambda: page.register.cows.list.choose(THIN.id), page.register.begin_changing):
        show()
        assert page.minimumSizeHint().width() <= 1279 - 92
        assert page.minimumSizeHint().height() <= 680 - 66 - 32
        assert all(one.height() >= 44 for one in page.findChildren(QAbstractButton) if one.isVisible())
    qtbot.waitUntil(lambda: page.register.cows.list.horizontalScrollBar().maximum() == 0)
