"""Ctrl+P in a whole window: what is offered, by keyboard, as PDF and on a printer that prints to a file."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPagedPaintDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from herdscore.desk.first_look import make_file
from herdscore.desk.sources import Opener
from herdscore.pages.cows import FLAGGED, CowsPage
from herdscore.pages.herd import YEAR, HerdPage
from herdscore.pages.herd_day_report import herd_day_report
from herdscore.pages.wishes import FileWish, PrintWish
from herdscore.parts.print_band import ADVISER_SHEET, DAY_REPORT, THIS_PAGE, PrintBand
from herdscore.parts.report_pages import write_pdf
from tests.domain.recorded_herds import TODAY
from tests.pages.open_herds import small_herd
from tests.parts.test_report_pages import pages_in
from tests.window_rig import SLOW, Rig


@pytest.fixture
def open_rig(rig: Rig, tmp_path: Path) -> Rig:
    """A window on ten cows of both blocks."""
    opener = Opener("another", TODAY, "A. B.")
    make_file(tmp_path / "ten.herd", small_herd(), "a test", opener, lambda done, total, text: None).file.close()
    rig.open(tmp_path / "ten.herd")
    assert rig.window.view is not None
    rig.window.show_page("cows")
    rig.settle()
    rig.window.activateWindow()
    rig.qtbot.waitUntil(rig.window.isActiveWindow)
    return rig


def band_of(rig: Rig) -> PrintBand:
    return rig.window.frame.print_band


def press(rig: Rig, key: Qt.Key, with_key: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget() or rig.window, key, with_key)


def open_band(rig: Rig) -> PrintBand:
    press(rig, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    band = band_of(rig)
    assert band.isVisible()
    return band


def test_that_the_herd_day_report_is_saved_as_pdf_by_keyboard(open_rig: Rig, tmp_path: Path) -> None:
    band = open_band(open_rig)
    assert band.what.current == DAY_REPORT
    open_rig.asking.path = tmp_path / "day.pdf"
    press(open_rig, Qt.Key.Key_Tab)
    assert band.save_button.hasFocus()
    press(open_rig, Qt.Key.Key_Return)
    assert open_rig.window.frame.status.doing == "Drawing the herd day report\u2026"
    open_rig.settle()
    assert open_rig.window.frame.status.doing == ""
    assert 2 <= pages_in((tmp_path / "day.pdf").read_bytes()) <= 4
    assert not band.isVisible()
    assert open_rig.window.frame.messages.message is not None
    assert open_rig.window.frame.messages.message.claim == "The herd day report is saved."


def test_that_the_second_of_two_is_told_to_be_under_way_until_it_is_done_too(open_rig: Rig, tmp_path: Path) -> None:
    told: list[str] = []
    open_rig.window._saves.doing.connect(told.append)
    assert open_rig.window.view is not None
    for name, what in (("day.pdf", DAY_REPORT), ("adviser.pdf", ADVISER_SHEET)):
        open_rig.asking.path = tmp_path / name
        open_rig.window.view.print_report(what, as_pdf=True)
    open_rig.settle()
    day, adviser = "Drawing the herd day report", "Drawing the adviser's sheet"
    assert told == [day, day, adviser, ""]
    assert (tmp_path / "adviser.pdf").exists()


def test_that_the_adviser_sheet_is_printed_with_the_same_pages_as_its_pdf(open_rig: Rig, tmp_path: Path) -> None:
    counts = []
    for name, key in (("printed.pdf", Qt.Key.Key_Return), ("saved.pdf", None)):
        band = open_band(open_rig)
        band.what.choose(DAY_REPORT)
        press(open_rig, Qt.Key.Key_Right)
        assert band.what.current == ADVISER_SHEET
        open_rig.asking.path = tmp_path / name
        if key is None:
            band.save_button.click()
        else:
            press(open_rig, key)
        open_rig.settle()
        counts.append(pages_in((tmp_path / name).read_bytes()))
    assert counts == [2, 2]
    open_rig.herd.choose_block("spring")
    band = open_band(open_rig)
    band.what.choose(ADVISER_SHEET)
    band.save_button.click()
    open_rig.settle()
    assert pages_in((tmp_path / "saved.pdf").read_bytes()) == 1


def test_that_what_is_shown_is_offered_by_its_name(open_rig: Rig, tmp_path: Path) -> None:
    band = open_band(open_rig)
    assert band.what.button(THIS_PAGE).text() == "Runway shown"
    press(open_rig, Qt.Key.Key_Escape)
    assert not band.isVisible()
    open_rig.window.act("list:all")
    page = open_rig.page
    assert isinstance(page, CowsPage)
    assert page.tabs.current == FLAGGED
    band = open_band(open_rig)
    assert band.what.button(THIS_PAGE).text() == "List shown"
    band.what.button(THIS_PAGE).click()
    open_rig.asking.path = tmp_path / "list.pdf"
    band.save_button.click()
    open_rig.settle()
    assert pages_in((tmp_path / "list.pdf").read_bytes()) >= 1
    open_rig.asking.path = tmp_path / "list printed.pdf"
    band = open_band(open_rig)
    assert band.what.current == THIS_PAGE
    band.print_button.click()
    open_rig.settle()
    assert pages_in((tmp_path / "list printed.pdf").read_bytes()) == pages_in((tmp_path / "list.pdf").read_bytes())


def test_that_nothing_is_written_when_no_printer_or_file_is_chosen(open_rig: Rig, tmp_path: Path) -> None:
    before = sorted(tmp_path.rglob("*.pdf"))
    open_rig.asking.path = None
    for _ in range(2):
        band = open_band(open_rig)
        band.print_button.click()
        band = open_band(open_rig)
        band.save_button.click()
    assert sorted(tmp_path.rglob("*.pdf")) == before
    assert len(open_rig.asking.asked) == 4


def test_that_a_folder_that_is_gone_is_told_in_the_message_bar(open_rig: Rig, tmp_path: Path) -> None:
    open_rig.asking.path = tmp_path / "gone" / "day.pdf"
    open_band(open_rig).save_button.click()
    open_rig.settle()
    message = open_rig.window.frame.messages.message
    assert message is not None
    assert message.claim == "day.pdf could not be saved."
    assert message.rest == "The folder is not there any more. Choose another folder."


@pytest.mark.parametrize("kind", ["herd", "window"])
def test_that_closing_while_a_report_is_drawn_leaves_it_whole(open_rig: Rig, tmp_path: Path, kind: str) -> None:
    begun, go_on = threading.Event(), threading.Event()
    report = herd_day_report(open_rig.herd.assessment, "Ten")

    def write(path: Path, _told: object) -> Path:
        begun.set()
        assert go_on.wait(SLOW / 1000)
        return write_pdf(report, path)

    open_rig.asking.path = tmp_path / "day.pdf"
    assert open_rig.window.view is not None
    open_rig.window.view.save_wished.emit(FileWish("The herd day report", "day.pdf", "PDF file (*.pdf)", write))
    assert begun.wait(SLOW / 1000)
    if kind == "herd":
        open_rig.window._close_herd()
        go_on.set()
        open_rig.settle()
        assert open_rig.window.frame.messages.message is not None
        assert open_rig.window.frame.messages.message.claim == "The herd day report is saved."
    else:
        go_on.set()
        open_rig.window.close()
    assert 2 <= pages_in((tmp_path / "day.pdf").read_bytes()) <= 4


def test_that_the_band_takes_the_place_of_the_others_and_gives_it_back(open_rig: Rig) -> None:
    frame = open_rig.window.frame
    assert frame.as_of.isVisible()  # a sample herd has a day of its own
    height = frame.pages.height()
    open_band(open_rig)
    assert not frame.as_of.isVisible()
    assert abs(frame.pages.height() - height) <= 8
    press(open_rig, Qt.Key.Key_Escape)
    assert frame.as_of.isVisible()
    open_rig.window.show_guide()
    assert not frame.print_band.isVisible()


def test_that_the_sheet_is_asked_for_from_the_year_and_reports_from_the_runway(open_rig: Rig) -> None:
    page = open_rig.page
    assert isinstance(page, CowsPage)
    page.runway.report_button.click()
    assert band_of(open_rig).isVisible()
    press(open_rig, Qt.Key.Key_Escape)
    open_rig.window.show_page("herd")
    herd = open_rig.page
    assert isinstance(herd, HerdPage)
    herd.show_tab(YEAR)
    open_rig.settle()
    herd.part(YEAR).report_button.click()  # type: ignore[union-attr]
    assert band_of(open_rig).what.current == ADVISER_SHEET


def test_that_without_a_herd_there_is_nothing_to_print(rig: Rig) -> None:
    press(rig, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    assert not band_of(rig).isVisible()


def test_that_reports_are_drawn_off_the_windows_thread(open_rig: Rig, tmp_path: Path) -> None:
    drawn_in = []

    def draw(device: QPagedPaintDevice) -> None:
        drawn_in.append(threading.current_thread())

    for widgets in (False, True):
        open_rig.asking.path = tmp_path / "drawn.pdf"
        assert open_rig.window.view is not None
        open_rig.window.view.print_wished.emit(PrintWish("The page", False, draw, of_widgets=widgets))
        open_rig.settle()
        message = open_rig.window.frame.messages.message
        assert message is not None
        assert message.claim == "The page is printed to a file."
        assert message.rest == str(tmp_path / "drawn.pdf")
    assert [one is threading.main_thread() for one in drawn_in] == [False, True]
