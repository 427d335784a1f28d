"""With a herd open: score, flag, export, take back, look at another day, and what happens when saving fails."""

from __future__ import annotations

import resource
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path

import openpyxl
import pytest
from PySide6.QtCore import QDate, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDateEdit, QLineEdit

from herdscore.desk import messages
from herdscore.desk.edits import save_score, set_setting
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import SCORER, THEME
from herdscore.desk.sources import sample_herds
from herdscore.domain.records import Score, new_id
from herdscore.errors import Problem
from herdscore.pages.guide import GuidePage
from herdscore.parts.theme import Look
from herdscore.window import MainWindow
from tests.journeys.books import sound_book
from tests.window_rig import NOW, Rig

CTRL, NONE = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.NoModifier


@pytest.fixture
def scoring(rig: Rig, tmp_path: Path) -> Rig:
    """A window with three cows, in front of the scoring page."""
    rig.settings.set(SCORER, "Ann")
    rig.open(sound_book(tmp_path / "oakbank.xlsx"))
    return rig


def type_keys(rig: Rig, *keys: Qt.Key | str, modifier: Qt.KeyboardModifier = NONE) -> None:
    """Type on whatever has the keyboard."""
    for key in keys:
        target = QApplication.focusWidget() or rig.window
        if isinstance(key, str):
            QTest.keyClicks(target, key)
        else:
            QTest.keyClick(target, key, modifier)


def score_0512(rig: Rig) -> None:
    """Score cow 0512 thin at all three sites, by keys alone."""
    with rig.qtbot.waitSignal(rig.herd.assessed):
        type_keys(rig, "0512", Qt.Key.Key_Return)
        for _ in range(3):
            type_keys(rig, "1", "1", Qt.Key.Key_Return)


@contextmanager
def no_room(herd: OpenHerd) -> Iterator[None]:
    """No file may grow past the size this herd file has now, as on a full disk."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (512, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_that_a_score_typed_at_the_crush_is_flagged_and_stands_on_the_saved_sheet(scoring: Rig, tmp_path: Path) -> None:
    score_0512(scoring)
    scoring.settle()
    assert scoring.window.frame.status.state == "Saved 14:02"
    type_keys(scoring, Qt.Key.Key_2, modifier=CTRL)
    assert scoring.window.view is not None
    assert scoring.window.view.shown == "cows"
    scoring.asking.path = tmp_path / "flags.xlsx"
    type_keys(scoring, Qt.Key.Key_E, modifier=CTRL)
    scoring.settle()
    book = openpyxl.load_workbook(tmp_path / "flags.xlsx")
    assert book.sheetnames == ["Flagged", "Missing", "All cows", "About"]
    rows = list(book["Flagged"].iter_rows(values_only=True))
    headings = list(rows[0])
    row = next(row for row in rows if row[0] == "0512")
    assert row[headings.index("Verdict")] == "vet first"
    assert row[headings.index("Last score")] == 1.5
    assert row[headings.index("Last scored")].date() == NOW.date()
    message = scoring.window.frame.messages.message
    assert message is not None
    assert message.rest == str(tmp_path / "flags.xlsx")


def test_that_undo_and_redo_reach_the_herd_from_the_empty_tag_box(scoring: Rig) -> None:
    score_0512(scoring)
    assert len(scoring.herd.file.read().scores) == 4
    assert isinstance(QApplication.focusWidget(), QLineEdit)
    type_keys(scoring, Qt.Key.Key_Z, modifier=CTRL)
    assert len(scoring.herd.file.read().scores) == 3
    assert "Taken back" in scoring.window.frame.status.state
    type_keys(scoring, Qt.Key.Key_Y, modifier=CTRL)
    assert len(scoring.herd.file.read().scores) == 4
    scoring.settle()


def test_that_undo_takes_back_typing_first_where_something_was_typed(scoring: Rig) -> None:
    score_0512(scoring)
    type_keys(scoring, "03")
    type_keys(scoring, Qt.Key.Key_Z, modifier=CTRL)
    assert len(scoring.herd.file.read().scores) == 4
    scoring.settle()


def test_that_a_full_disk_turns_the_status_line_into_a_bar_and_saving_elsewhere_goes_on(
    scoring: Rig, tmp_path: Path
) -> None:
    herd, status = scoring.herd, scoring.window.frame.status
    cow = str(herd.snapshot.cows.id[0])
    change = save_score(herd.snapshot, Score(new_id(), cow, NOW.date(), loin=8, scorer="Ann"))
    with no_room(herd):
        assert not herd.push(change, "score")
    assert status.is_failed
    assert herd.undo_stack.count() == 0
    assert len(herd.snapshot.scores) == 3
    scoring.asking.path = tmp_path / "other disk" / "oakbank.herd"
    scoring.asking.path.parent.mkdir()
    status.save_elsewhere_pressed.emit()
    scoring.settle()
    scoring.settle()
    assert scoring.herd.path == scoring.asking.path
    assert not status.is_failed
    assert scoring.herd.push(save_score(scoring.herd.snapshot, Score(new_id(), cow, NOW.date(), loin=8)), "score")
    scoring.settle()


def test_that_the_bar_goes_when_the_next_change_is_saved(scoring: Rig) -> None:
    herd = scoring.herd
    change = save_score(herd.snapshot, Score(new_id(), str(herd.snapshot.cows.id[0]), NOW.date(), loin=8))
    with no_room(herd):
        assert not herd.push(change, "score")
    assert herd.push(change, "score")
    assert not scoring.window.frame.status.is_failed
    scoring.settle()


def test_that_a_herd_whose_file_was_taken_away_is_saved_elsewhere_with_all_its_scores(
    scoring: Rig, tmp_path: Path
) -> None:
    scoring.herd.path.unlink()
    scoring.asking.path = tmp_path / "rescued.herd"
    scoring.window.act("save_elsewhere")
    scoring.settle()
    scoring.settle()
    assert scoring.herd.path == tmp_path / "rescued.herd"
    assert len(scoring.herd.snapshot.scores) == 3
    assert scoring.herd.can_write


def test_that_another_day_is_looked_at_and_nothing_is_written_on_it(scoring: Rig) -> None:
    herd, frame = scoring.herd, scoring.window.frame
    type_keys(scoring, Qt.Key.Key_F7)
    assert frame.day_chooser.isVisible()
    box = frame.day_chooser.findChild(QDateEdit)
    assert box.hasFocus()
    box.setDate(QDate(2027, 1, 4))
    with scoring.qtbot.waitSignal(herd.assessed):
        type_keys(scoring, Qt.Key.Key_Return)
    assert not frame.day_chooser.isVisible()
    assert frame.as_of.isVisible()
    assert frame.status.state == "Looking at another day, nothing is written"
    assert herd.assessment.today == date(2027, 1, 4)
    cow = str(herd.snapshot.cows.id[0])
    assert not herd.push(save_score(herd.snapshot, Score(new_id(), cow, date(2027, 1, 4), loin=8)), "score")
    assert len(herd.file.read().scores) == 3
    with scoring.qtbot.waitSignal(herd.assessed):
        frame.as_of.today_pressed.emit()
    assert not frame.as_of.isVisible()
    assert herd.can_write
    assert frame.status.state == "Ready"


def test_that_undo_on_another_day_keeps_its_step(scoring: Rig) -> None:
    score_0512(scoring)
    herd = scoring.herd
    herd.choose_day(date(2027, 1, 4))
    type_keys(scoring, Qt.Key.Key_Z, modifier=CTRL)
    scoring.settle()
    assert herd.undo_stack.canUndo()
    herd.choose_day(None)
    assert herd.undo() != ""
    scoring.settle()
    assert len(herd.file.read().scores) == 3


def test_that_midnight_brings_the_next_day(new_rig: Callable[..., Rig], tmp_path: Path) -> None:
    now = [NOW]
    late = new_rig(clock=lambda: now[0])
    late.open(sound_book(tmp_path / "oakbank.xlsx"))
    now[0] = datetime(2026, 11, 26, 0, 1)
    with late.qtbot.waitSignal(late.herd.assessed):
        late.herd.look_at_clock()
    assert late.herd.today == NOW.date() + timedelta(days=1)
    assert late.herd.can_write


def test_that_the_figures_of_the_header_open_the_list_behind_them(scoring: Rig) -> None:
    assert scoring.window.view is not None
    for key in ("missing", "act", "next"):
        scoring.window.show_page("scoring")
        scoring.window.frame.header.figure_pressed.emit(key)
        assert scoring.window.view.shown == "cows"


def test_that_the_block_switch_filters_header_and_pages(scoring: Rig) -> None:
    type_keys(scoring, Qt.Key.Key_F6)
    assert scoring.herd.block == "autumn"
    assert not scoring.herd.in_block.any()
    assert [figure.number for figure in scoring.herd.figures()] == ["0", "0"]
    type_keys(scoring, Qt.Key.Key_F6)
    assert scoring.herd.in_block.all()


def test_that_the_guide_opens_over_any_page_and_goes_back_to_it(scoring: Rig) -> None:
    page = scoring.page
    type_keys(scoring, Qt.Key.Key_F1)
    assert isinstance(scoring.page, GuidePage)
    type_keys(scoring, Qt.Key.Key_Escape)
    assert scoring.page is page
    assert scoring.window.frame.header.isVisible()


def test_that_f9_steps_through_the_themes_and_is_remembered(scoring: Rig, look: Look) -> None:
    type_keys(scoring, Qt.Key.Key_F9)
    assert look.choice == "dark"
    assert scoring.settings.get(THEME) == "dark"


@pytest.mark.parametrize("key", [Qt.Key.Key_F, Qt.Key.Key_Slash])
@pytest.mark.parametrize("page", ["cows", "herd"])
def test_that_find_gives_a_box_the_keyboard_on_every_page(scoring: Rig, key: Qt.Key, page: str) -> None:
    scoring.window.show_page(page)
    type_keys(scoring, key, modifier=CTRL if key == Qt.Key.Key_F else NONE)
    box = QApplication.focusWidget()
    assert isinstance(box, QLineEdit)
    assert scoring.window.view is not None
    assert scoring.window.view.shown == page
    type_keys(scoring, "/", "05")
    assert box.text() == "05"


def test_that_the_workbook_written_reads_back_as_the_same_herd(scoring: Rig, tmp_path: Path) -> None:
    score_0512(scoring)
    scoring.asking.path = tmp_path / "out.xlsx"
    scoring.window.act("workbook")
    scoring.settle()
    before = scoring.herd.snapshot
    scoring.open(tmp_path / "out.xlsx")
    after = scoring.herd.snapshot
    assert list(after.cows.tag) == list(before.cows.tag)
    assert list(after.cows.season) == list(before.cows.season)
    assert list(after.scores.loin) == list(before.scores.loin)


def test_that_a_setting_changes_the_advice_and_can_be_taken_back(scoring: Rig) -> None:
    herd = scoring.herd
    change = set_setting(herd.snapshot, "Target, spring", "3")
    assert change is not None
    with scoring.qtbot.waitSignal(herd.assessed):
        assert herd.push(change, "target")
    assert set(herd.assessment.targets.target) == {3.0}
    with scoring.qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert set(herd.assessment.targets.target) == {2.5}


def test_that_place_and_size_of_the_window_are_remembered(rig: Rig) -> None:
    rig.window.resize(780, 600)  # within the screen of the offscreen platform
    rig.window.close()
    again = MainWindow(rig.look, rig.settings, rig.opening, rig.jobs, rig.asking)
    rig.qtbot.addWidget(again)
    assert (again.width(), again.height()) == (780, 600)


def test_that_the_export_key_reaches_the_window_from_a_field(scoring: Rig, tmp_path: Path) -> None:
    scoring.window.show_page("herd")
    type_keys(scoring, Qt.Key.Key_F, modifier=CTRL)
    assert isinstance(QApplication.focusWidget(), QLineEdit)
    scoring.asking.path = tmp_path / "flags.csv"
    type_keys(scoring, Qt.Key.Key_E, modifier=CTRL)
    scoring.settle()
    assert (tmp_path / "flags.csv").read_text("utf-8-sig").startswith("Tag,Management no,Group")


def test_that_keys_rest_while_a_sheet_is_read(scoring: Rig, tmp_path: Path) -> None:
    page = scoring.page
    scoring.window.open_path(sound_book(tmp_path / "other.xlsx"))
    type_keys(scoring, Qt.Key.Key_2, modifier=CTRL)
    assert scoring.page is page
    scoring.settle()
    assert scoring.herd.path.name == "other.herd"


def test_that_the_day_looked_ahead_to_is_today_once_it_comes(new_rig: Callable[..., Rig], tmp_path: Path) -> None:
    now = [NOW]
    rig = new_rig(clock=lambda: now[0])
    rig.open(sound_book(tmp_path / "oakbank.xlsx"))
    rig.herd.choose_day(NOW.date() + timedelta(days=1))
    assert not rig.herd.can_write
    now[0] = NOW + timedelta(days=1)
    rig.herd.look_at_clock()
    rig.settle()
    assert rig.herd.can_write


def test_that_bars_and_bands_fit_a_screen_of_768_lines(rig: Rig) -> None:
    rig.open(sample_herds()[2].folder)
    frame = rig.window.frame
    rig.window.say(messages.note("3 cows calve near the turn of a season.", "Say which.", "page:herd", "Open"))
    frame.status.show_failed(Problem("The change was not saved.", "The disk is full.", "Free some space."))
    assert frame.as_of.isVisible()
    for page in ("scoring", "cows", "herd"):
        rig.window.show_page(page)
        rig.qtbot.waitUntil(lambda page=page: rig.page is rig.window.view.pages[page])  # type: ignore[union-attr]
        assert rig.window.minimumSizeHint().height() <= 768
        assert rig.window.minimumSizeHint().width() <= 1279
    rig.window.view.ask_day()  # type: ignore[union-attr]
    assert rig.window.minimumSizeHint().height() <= 768
