"""Services and scans entered by keys over a real herd file: one cow after the other, and many at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.records import AUTUMN, SPRING, Calving, Cow, Record, Service
from herdscore.pages.herd import SERVICES, HerdPage
from herdscore.pages.herd_services import ServicesTab
from herdscore.pages.service_fields import ServiceFields
from herdscore.parts.theme import Look
from herdscore.store.herd_file import HerdFile
from tests.domain.recorded_herds import ahead
from tests.pages.open_herds import COWS, SOLD_COW, THIN, UNDATED, cow, opened, small_herd

ENTER = Qt.Key.Key_Return


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", small_herd()) as made:
        yield made


@pytest.fixture
def page(herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot) -> HerdPage:
    return shown(herd, look, tmp_path, qtbot)


@pytest.fixture
def tab(page: HerdPage) -> ServicesTab:
    made = page.part(SERVICES)
    assert isinstance(made, ServicesTab)
    return made


def shown(herd: OpenHerd, look: Look, folder: Path, qtbot: QtBot) -> HerdPage:
    made = HerdPage(look, herd, Settings(folder))
    qtbot.addWidget(made)
    made.resize(1226, 620)
    with qtbot.waitExposed(made):
        made.show()
    made.show_tab(SERVICES)
    made.focus_first()
    return made


def stored(herd: OpenHerd, kind: type[Record] = Service) -> list[Record]:
    """Records of a kind as another window reads them from the file."""
    table = {Service: "services", Cow: "cows"}[kind]
    with HerdFile.open(herd.path, read_only=True) as file:
        return file.read().records(table)


def services_of(herd: OpenHerd, of: Cow) -> list[Service]:
    return [row for row in stored(herd) if isinstance(row, Service) and row.cow_id == of.id]


def line_of(fields: ServiceFields, name: str) -> QLineEdit:
    holds = fields.fields[name].holds
    line = holds.lineEdit() if isinstance(holds, QComboBox) else holds
    assert isinstance(line, QLineEdit)
    return line


def retype(fields: ServiceFields, name: str, text: str, qtbot: QtBot) -> QLineEdit:
    line = line_of(fields, name)
    line.setFocus()
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    qtbot.keyClicks(line, text)
    return line


def choose(fields: ServiceFields, kind: str, qtbot: QtBot) -> None:
    button = fields.kinds.button(kind)
    button.setFocus()
    qtbot.keyClick(button, Qt.Key.Key_Space)
    assert fields.kind == kind


def take(tab: ServicesTab, digits: str, qtbot: QtBot) -> None:
    """Find a cow by her last digits, as typed."""
    tab.find_cow()
    qtbot.keyClicks(tab.search, digits)
    qtbot.keyClick(tab.search, ENTER)


# One cow


def test_that_digits_enter_age_enter_writes_a_scan_and_the_next_cow_follows(
    tab: ServicesTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    assert tab.search.hasFocus()
    take(tab, "706", qtbot)
    age = line_of(tab.one.fields, "foetal_age")
    assert age.hasFocus()
    qtbot.keyClicks(age, "52")
    # 284 days from a conception 52 days before 12 January 2027.
    qtbot.waitUntil(lambda: tab.one.said[0] == "Calves 1\u00a0Sep\u00a02027 ± 6 days")
    assert tab.one.said[1].startswith("Scan 12\u00a0Jan, 52 days.")
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(age, ENTER)
    row = services_of(herd, UNDATED)[-1]
    assert (row.kind, row.day, row.foetal_age, row.result) == ("scan", ahead(0), 52, "in calf")
    assert herd.undo_stack.undoText() == "scan of 0706"
    assert tab.search.hasFocus()
    assert tab.search.selectedText() == "706"
    assert line_of(tab.one.fields, "foetal_age").text() == ""
    assert tab.foot.text() == "0706: scan 12\u00a0Jan is written. Calves 1\u00a0Sep\u00a02027 ± 6 days."
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert len(services_of(herd, UNDATED)) == 3


def test_that_the_account_of_the_date_says_what_stood_before(tab: ServicesTab, qtbot: QtBot) -> None:
    take(tab, "0201", qtbot)
    assert tab.one.said[0] == "Calves 2\u00a0Apr ± 3 days now"
    choose(tab.one.fields, "service", qtbot)
    retype(tab.one.fields, "day", "1 Aug", qtbot)
    tab.one.look_ahead()
    assert tab.one.said[0] == "Calves 2\u00a0Apr ± 3 days, as before"
    assert "Set by hand in the register" in tab.one.said[1]


def test_that_digits_of_several_cows_or_of_none_are_said(tab: ServicesTab, qtbot: QtBot) -> None:
    take(tab, "260", qtbot)
    assert tab.search.hasFocus()
    assert tab.foot.text() == "9 cows fit 260: type more, or ↓ and Enter."
    tab.search.clear()
    take(tab, "55", qtbot)
    assert tab.foot.text() == "No cow here ends in 55."


def test_that_wrong_input_is_said_at_its_field_and_nothing_is_lost(
    tab: ServicesTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    take(tab, "0706", qtbot)
    choose(tab.one.fields, "bull run", qtbot)
    retype(tab.one.fields, "sire", "K4", qtbot)
    retype(tab.one.fields, "day", "1 Dec", qtbot)
    line = retype(tab.one.fields, "until", "1 Nov", qtbot)
    qtbot.keyClick(line, ENTER)
    assert tab.one.fields.fields["until"].said == "The bull cannot leave on 1 Nov 2026, before he came."
    assert line_of(tab.one.fields, "until").hasFocus()
    assert herd.undo_stack.count() == 0
    assert tab.one.fields.typed()["sire"] == "K4"
    line = retype(tab.one.fields, "until", "10 Jan", qtbot)
    assert tab.one.fields.fields["until"].said == "10 Jan 2027"
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert services_of(herd, UNDATED)[-1].sire == "K4"


def test_that_what_cannot_be_hers_is_refused_with_its_reason(tab: ServicesTab, herd: OpenHerd, qtbot: QtBot) -> None:
    take(tab, "0908", qtbot)
    line = retype(tab.one.fields, "foetal_age", "120", qtbot)
    qtbot.keyClick(line, ENTER)
    assert tab.one.said[0] == "Not of 0908"
    assert tab.one.said[1] == "She calved on 4\u00a0Oct; a foetus of 120 days would be older than that."
    assert herd.undo_stack.count() == 0


def test_that_a_recorded_service_is_changed_and_struck_out_by_keys(
    tab: ServicesTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    take(tab, "0706", qtbot)
    tab.one.list.setFocus()
    tab.one.list.setCurrentIndex(tab.one.list.rows.index(0, 0))
    qtbot.keyClick(tab.one.list, ENTER)
    assert tab.one.is_editing
    assert tab.one.save_button.text() == "Save change"
    line = retype(tab.one.fields, "foetal_age", "90", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    row = next(row for row in services_of(herd, UNDATED) if row.id == "service-5")
    assert (row.foetal_age, row.result) == (90, "in calf")
    assert not tab.one.is_editing
    tab.one.list.setFocus()
    tab.one.list.choose("service-4")
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(tab.one.list, Qt.Key.Key_Delete)
    assert [row.id for row in services_of(herd, UNDATED)] == ["service-3", "service-5"]
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert len(services_of(herd, UNDATED)) == 3


def test_that_escape_leaves_the_change_of_a_service_then_the_form(
    tab: ServicesTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    take(tab, "0706", qtbot)
    tab.one.begin_editing("service-3")
    line = retype(tab.one.fields, "sire", "K9", qtbot)
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert not tab.one.is_editing
    assert tab.one.list.hasFocus()
    line = line_of(tab.one.fields, "day")
    line.setFocus()
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert tab.search.hasFocus()
    assert herd.undo_stack.count() == 0


# Many cows


def test_that_a_bull_run_is_entered_for_a_whole_block_as_one_step(
    tab: ServicesTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab.begin_many()
    many = tab.many
    assert many.block.holds.hasFocus()
    choose(many.fields, "bull run", qtbot)
    retype(many.fields, "day", "1 Nov 2026", qtbot)
    retype(many.fields, "until", "3 Jan 2027", qtbot)
    line = retype(many.fields, "sire_breed", "Limousin", qtbot)
    spring = [one for one in COWS if one.season == SPRING and one is not SOLD_COW]
    qtbot.waitUntil(lambda: many.save_button.text() == f"Save for {len(spring)} cows")
    assert many.said[0] == f"Bull run 1\u00a0Nov for {len(spring)} cows"
    assert tab.many_list.rows.rowCount() == len(spring)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    rows = [row for row in stored(herd) if isinstance(row, Service) and row.day == date(2026, 11, 1)]
    assert {row.cow_id for row in rows} == {one.id for one in spring}
    assert {(row.kind, row.until, row.sire_breed) for row in rows} == {("bull run", date(2027, 1, 3), "Limousin")}
    assert herd.undo_stack.count() == 1
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert len(stored(herd)) == 5


def test_that_a_cow_is_taken_out_of_the_many_with_space_and_in_again(
    tab: ServicesTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab.begin_many()
    choose(tab.many.fields, "bull run", qtbot)
    retype(tab.many.fields, "day", "1 Nov 2026", qtbot)
    tab.many.look_ahead()
    going = len(tab.many.plan)
    tab.many_list.setFocus()
    tab.many_list.choose(THIN.id)
    qtbot.keyClick(tab.many_list, Qt.Key.Key_Space)
    assert tab.many.save_button.text() == f"Save for {going - 1} cows"
    assert tab.many.said[1].endswith("1 cow left out.")
    qtbot.keyClick(tab.many_list, Qt.Key.Key_Space)
    assert tab.many.save_button.text() == f"Save for {going} cows"
    qtbot.keyClick(tab.many_list, Qt.Key.Key_Delete)
    with qtbot.waitSignal(herd.assessed):
        tab.many.save()
    assert [row.kind for row in services_of(herd, THIN)] == ["service", "scan"]
    assert len(stored(herd)) == 5 + going - 1


@pytest.fixture
def thirty(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    cows = [cow(f"{1400 + at}", None, "Beck side", AUTUMN) for at in range(32)]
    calved = [Calving(f"k-{one.tag}", one.id, ahead(-150), ease=1) for one in cows]
    with opened(tmp_path / "test.herd", [*cows, *calved]) as made:
        yield made


def test_that_a_scan_day_of_thirty_cows_is_typed_with_age_and_result_of_each(
    thirty: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot
) -> None:
    page = shown(thirty, look, tmp_path, qtbot)
    tab = page.part(SERVICES)
    assert isinstance(tab, ServicesTab)
    qtbot.mouseClick(tab.one.many_button, Qt.MouseButton.LeftButton)
    tags = tab.many.who.button("tags")
    tags.setFocus()
    qtbot.keyClick(tags, Qt.Key.Key_Space)
    called = [f"{400 + at} {40 + at}" for at in range(27)] + ["427 empty", "428 55 twins", "429 calf"]
    tab.many.tags.setFocus()
    for line in called:
        qtbot.keyClicks(tab.many.tags, line)
        qtbot.keyClick(tab.many.tags, ENTER)
    qtbot.waitUntil(lambda: tab.many.save_button.text() == "Save for 30 cows")
    assert tab.many_list.rows.rowCount() == 30
    texts = tab.many_list.rows.row_at(0).texts
    # 284 days from a conception 40 days before 12 January 2027.
    assert (texts[1], texts[2], texts[4]) == ("1400", "scan: in calf, 40 days", "13\u00a0Sep ± 6")
    assert tab.many_list.rows.row_at(27).texts[4].startswith("Checked empty")
    with qtbot.waitSignal(thirty.assessed):
        qtbot.keyClick(tab.many.tags, ENTER, Qt.KeyboardModifier.ControlModifier)
    rows = [row for row in stored(thirty) if isinstance(row, Service)]
    assert len(rows) == 30
    assert {row.foetal_age for row in rows} == {None, 55, *range(40, 67)}
    assert sorted({str(row.result) for row in rows}) == ["empty", "in calf", "twins"]
    assert thirty.undo_stack.count() == 1
    assert tab.many.tags.toPlainText() == ""


def test_that_a_tag_that_names_no_cow_stops_the_save_and_keeps_the_list(
    tab: ServicesTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab.begin_many()
    tab.many.choose_who("tags")
    qtbot.keyClicks(tab.many.tags, "0706 52, 999 40")
    tab.many.look_ahead()
    assert tab.many.how.text() == "No cow ends in 999."
    tab.many.save()
    assert herd.undo_stack.count() == 0
    assert tab.many.tags.toPlainText() == "0706 52, 999 40"
    assert tab.many.tags.hasFocus()


def test_that_cows_chosen_in_the_register_come_along(page: HerdPage, qtbot: QtBot) -> None:
    page.show_tab("register")
    register = page.register
    register.cows.list.choose(THIN.id)
    register.cows.list.setFocus()
    qtbot.keyClick(register.cows.list, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert register.several.title.text() == "2 cows chosen"
    qtbot.mouseClick(register.several.service_button, Qt.MouseButton.LeftButton)
    assert page.tab == SERVICES
    tab = page.part(SERVICES)
    assert isinstance(tab, ServicesTab)
    assert tab.is_many
    assert tab.many.tags.toPlainText() == "0201, 0302"
    qtbot.keyClick(tab.many.tags, Qt.Key.Key_Escape)
    assert not tab.is_many


def test_that_nothing_is_entered_while_looking_at_another_day(tab: ServicesTab, herd: OpenHerd, qtbot: QtBot) -> None:
    take(tab, "0706", qtbot)
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(20))
    assert not tab.one.save_button.isEnabled()
    assert tab.one._why_not.text() == herd.why_not
    tab.one.list.choose("service-4")
    qtbot.keyClick(tab.one.list, Qt.Key.Key_Delete)
    assert tab.foot.text() == herd.why_not
    assert len(services_of(herd, UNDATED)) == 3


@pytest.mark.parametrize("theme", ["light", "daylight"])
@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_that_the_tab_fits_the_smallest_window(
    tab: ServicesTab, page: HerdPage, look: Look, theme: str, scale: float, qtbot: QtBot
) -> None:
    look.choose(theme)
    look.choose_text_scale(scale)
    page.resize(1280 - 92, 582)
    for show in (lambda: take(tab, "0706", qtbot), tab.begin_many):
        show()
        assert page.minimumSizeHint().width() <= 1280 - 92
        assert page.minimumSizeHint().height() <= 680 - 66 - 32
        buttons: list[QWidget] = [one for one in page.findChildren(QAbstractButton) if one.isVisible()]
        assert all(one.height() >= 44 for one in buttons)
