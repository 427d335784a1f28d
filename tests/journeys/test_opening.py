"""From a path to an open herd: a sheet with mistakes, a sound one, a herd file, a sample, a dropped file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QThreadPool, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton, QWidget

from herdscore.desk.edits import save_score
from herdscore.desk.settings import RECENT
from herdscore.desk.sources import sample_herds
from herdscore.domain.records import Score, new_id
from herdscore.errors import Problem
from herdscore.pages.first_run import FirstRunPage
from herdscore.pages.page_table import PAGES
from herdscore.pages.problems import ProblemsPage
from herdscore.pages.scoring_strip import ROUND
from herdscore.pages.which_herd import WhichHerdPage
from tests.journeys.books import faulty_book, sound_book
from tests.window_rig import NOW, Rig


def press(page: QWidget, words: str) -> None:
    """Press a button by its words, with the keyboard."""
    one = next(one for one in page.findChildren(QPushButton) if one.text() == words and one.isVisible())
    one.setFocus()
    QTest.keyClick(one, Qt.Key.Key_Space)


def herd_files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob("*.herd*"))


def scored(rig: Rig) -> None:
    """One score more, so that the file differs from its sheet."""
    cow = str(rig.herd.snapshot.cows.id[0])
    score = Score(new_id(), cow, NOW.date(), loin=8, ribs=8, tailhead=8, scorer="Ann")
    with rig.qtbot.waitSignal(rig.herd.assessed):
        assert rig.herd.push(save_score(rig.herd.snapshot, score), "score")


def test_that_a_sound_sheet_opens_at_once_as_a_herd_file_beside_it(rig: Rig, tmp_path: Path) -> None:
    rig.open(sound_book(tmp_path / "oakbank.xlsx"))
    assert rig.herd.path == tmp_path / "oakbank.herd"
    assert len(rig.herd.snapshot.cows) == 3
    assert list(rig.herd.snapshot.cows.season) == ["spring"] * 3
    assert rig.settings.get(RECENT) == (str(tmp_path / "oakbank.herd"),)
    assert rig.window.view is not None
    assert rig.page is rig.window.view.pages["scoring"]


def test_that_mistakes_are_shown_and_the_good_rows_become_the_herd(rig: Rig, tmp_path: Path) -> None:
    rig.open(faulty_book(tmp_path / "oakbank.xlsx"))
    page = rig.page
    assert isinstance(page, ProblemsPage)
    assert herd_files(tmp_path) == []
    press(page, "5 March")
    rig.settle()
    press(page, "Add her")
    rig.settle()
    assert herd_files(tmp_path) == []
    press(page, "Use the good rows")
    rig.settle()
    snapshot = rig.herd.snapshot
    assert sorted(snapshot.cows.tag) == ["0347", "0512", "0771", "0866"]
    assert [str(day) for day in snapshot.weights.day] == ["2026-04-06", "2026-03-05"]
    assert len(snapshot.scores) == 5
    assert herd_files(tmp_path) == ["oakbank.herd", "oakbank.herd-lock"]


def test_that_cancelling_a_sheet_with_mistakes_leaves_nothing(rig: Rig, tmp_path: Path) -> None:
    rig.open(faulty_book(tmp_path / "oakbank.xlsx"))
    press(rig.page, "Cancel")
    assert isinstance(rig.page, FirstRunPage)
    assert herd_files(tmp_path) == []


def test_that_a_mended_sheet_is_read_again_and_answers_stay(rig: Rig, tmp_path: Path) -> None:
    path = faulty_book(tmp_path / "oakbank.xlsx")
    rig.open(path)
    page = rig.page
    assert isinstance(page, ProblemsPage)
    press(page, "Leave her out")
    rig.settle()
    sound_book(path)
    press(page, "Mend the sheet, read again")
    rig.settle()
    assert rig.page is page
    assert page.answers.add_unknown_cows is False
    press(page, "Open this herd")
    rig.settle()
    assert len(rig.herd.snapshot.scores) == 3


def test_that_the_list_of_mistakes_is_saved_with_its_places(rig: Rig, tmp_path: Path) -> None:
    rig.open(faulty_book(tmp_path / "oakbank.xlsx"))
    rig.asking.path = tmp_path / "mistakes.xlsx"
    press(rig.page, "Save this list")
    rig.settle()
    rows = list(openpyxl.load_workbook(tmp_path / "mistakes.xlsx")["Problems"].iter_rows(values_only=True))
    assert rows[1][:4] == ("Scores", 5, "Date", "31/02/2026")


def test_that_a_sheet_read_before_offers_its_herd_file_which_keeps_what_was_scored(rig: Rig, tmp_path: Path) -> None:
    path = sound_book(tmp_path / "oakbank.xlsx")
    rig.open(path)
    scored(rig)
    rig.open(sound_book(tmp_path / "other.xlsx"))
    rig.open(path)
    assert isinstance(rig.page, WhichHerdPage)
    press(rig.page, "Open the herd file")
    rig.settle()
    assert rig.herd.path.name == "oakbank.herd"
    assert len(rig.herd.snapshot.scores) == 4


def test_that_a_sheet_read_again_becomes_a_second_herd(rig: Rig, tmp_path: Path) -> None:
    path = sound_book(tmp_path / "oakbank.xlsx")
    rig.open(path)
    scored(rig)
    rig.open(path)
    press(rig.page, "Read the sheet again as a new herd")
    rig.settle()
    assert rig.herd.path.name == "oakbank 2.herd"
    assert len(rig.herd.snapshot.scores) == 3


def test_that_a_herd_open_in_this_window_is_not_opened_a_second_time(rig: Rig, tmp_path: Path) -> None:
    rig.open(sound_book(tmp_path / "oakbank.xlsx"))
    before = rig.herd
    rig.open(tmp_path / "oakbank.herd")
    assert rig.herd is before
    assert rig.herd.can_write


def test_that_a_second_window_on_a_herd_only_looks_and_says_so(new_rig: Callable[..., Rig], tmp_path: Path) -> None:
    first, second = new_rig(), new_rig()
    first.open(sound_book(tmp_path / "oakbank.xlsx"))
    second.open(tmp_path / "oakbank.herd")
    assert not second.herd.can_write
    message = second.window.frame.messages.message
    assert message is not None
    assert "Another window is writing this herd" in message.rest
    assert second.window.frame.status.state == "Looking only, nothing is written"
    with second.qtbot.waitSignal(second.herd.failed):
        assert not second.herd.push(save_score(second.herd.snapshot, _a_score(second)), "score")
    assert len(first.herd.file.read().scores) == 3


def _a_score(rig: Rig) -> Score:
    return Score(new_id(), str(rig.herd.snapshot.cows.id[0]), NOW.date(), loin=8)


@pytest.mark.parametrize("place", range(3))
def test_that_a_sample_herd_opens_as_a_copy_on_its_own_day(rig: Rig, tmp_path: Path, place: int) -> None:
    sample = sample_herds()[place]
    rig.open(sample.folder)
    assert rig.herd.path.is_relative_to(tmp_path)
    assert rig.herd.is_sample
    assert rig.herd.can_write
    assert rig.herd.today == rig.herd.rulebook.own_day
    assert rig.window.frame.as_of.isVisible()
    assert not list(sample.folder.glob("*.herd*"))


def test_that_a_sample_is_reused_as_it_was_left_and_can_be_started_afresh(rig: Rig, tmp_path: Path) -> None:
    sample = sample_herds()[1].folder
    rig.open(sample)
    before = len(rig.herd.snapshot.scores)
    scored(rig)
    rig.open(sound_book(tmp_path / "oakbank.xlsx"))
    rig.open(sample)
    assert len(rig.herd.snapshot.scores) == before + 1
    press(rig.window.frame.messages, "Start afresh")
    rig.settle()
    assert len(rig.herd.snapshot.scores) == before
    assert rig.herd.can_write


def test_that_a_sample_is_chosen_with_the_keyboard_alone(rig: Rig) -> None:
    press(rig.page, "Try a sample herd")
    focused = QApplication.focusWidget()
    assert isinstance(focused, QPushButton)
    QTest.keyClick(focused, Qt.Key.Key_Space)
    rig.settle()
    assert rig.herd.is_sample


def test_that_a_file_dropped_on_the_window_opens(rig: Rig, tmp_path: Path) -> None:
    path = sound_book(tmp_path / "oakbank.xlsx")
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    how = (Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    enter = QDragEnterEvent(QPoint(400, 400), *how)
    QApplication.sendEvent(rig.window, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(rig.window, QDropEvent(QPointF(400, 400), *how))
    rig.settle()
    assert rig.herd.path.name == "oakbank.herd"


def test_that_no_field_takes_a_dropped_file_for_itself_also_where_it_is_built_late(rig: Rig, tmp_path: Path) -> None:
    rig.open(sound_book(tmp_path / "oakbank.xlsx"))
    view = rig.window.view
    assert view is not None
    for key in PAGES:
        rig.window.show_page(key)
    view.scoring.show_panel(ROUND)
    taking = [one for page in view.pages.values() for one in page.findChildren(QLineEdit) if one.acceptDrops()]
    assert taking == []
    assert len(view.scoring.panels.findChildren(QLineEdit)) > 2


def test_that_a_folder_of_csv_opens(rig: Rig, tmp_path: Path) -> None:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "Cows.csv").write_text("Tag,Calving date\n0512,2027-04-18\n0347,\n")
    rig.asking.path = folder
    press(rig.page, "A folder of .csv files")
    rig.settle()
    assert len(rig.herd.snapshot.cows) == 2


def test_that_a_sheet_in_a_place_that_cannot_be_written_becomes_a_herd_in_the_data_folder(
    rig: Rig, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "stick").mkdir()
    path = sound_book(tmp_path / "stick" / "oakbank.xlsx")
    # A person with all rights, as in a container, may write everywhere: what the system answers is put in its place.
    monkeypatch.setattr("os.access", lambda place, mode: Path(place) != tmp_path / "stick")
    rig.open(path)
    assert rig.herd.path == tmp_path / "data" / "herds" / "oakbank.herd"


def test_that_a_file_that_is_no_sheet_is_refused_in_words(rig: Rig, tmp_path: Path) -> None:
    path = tmp_path / "photo.xlsx"
    path.write_bytes(b"\x00\x01 not a sheet")
    rig.open(path)
    message = rig.window.frame.messages.message
    assert message is not None
    assert message.problem
    assert "photo.xlsx" in message.claim
    assert rig.window.view is None


def test_that_a_file_that_is_gone_is_said_to_be_gone(rig: Rig, tmp_path: Path) -> None:
    with rig.qtbot.waitSignal(rig.opening.failed) as caught:
        rig.window.open_path(tmp_path / "gone.herd")
    assert isinstance(caught.args[0], Problem)
    assert "not there" in caught.args[0].what


def test_that_cancel_while_reading_leaves_no_file_and_no_herd(rig: Rig, tmp_path: Path) -> None:
    path = sound_book(tmp_path / "oakbank.xlsx")
    with rig.qtbot.waitSignal(rig.opening.cancelled):
        rig.window.open_path(path)
        rig.window.frame.progress.cancelled.emit()
    rig.settle()
    assert herd_files(tmp_path) == []
    assert isinstance(rig.page, FirstRunPage)


def test_that_what_is_only_noted_does_not_stand_in_the_way(rig: Rig, tmp_path: Path) -> None:
    path = sound_book(tmp_path / "oakbank.xlsx")
    book = openpyxl.load_workbook(path)
    book["Cows"]["F1"] = "Girth"
    book["Cows"]["F2"] = 200
    book.save(path)
    rig.open(path)
    assert len(rig.herd.snapshot.cows) == 3
    message = rig.window.frame.messages.message
    assert message is not None
    assert message.claim == "1 note on oakbank.xlsx."
    assert "Girth" in message.rest


@pytest.mark.parametrize("lane", [0, 1])
def test_that_cancel_counts_even_when_the_work_was_just_done(rig: Rig, tmp_path: Path, lane: int) -> None:
    path = sound_book(tmp_path / "oakbank.xlsx")
    begun: list[str] = []
    rig.opening.begun.connect(begun.append)
    rig.window.open_path(path)
    rig.qtbot.waitUntil(lambda: len(begun) > lane)  # reading, then making
    for threads in rig.jobs.findChildren(QThreadPool):
        threads.waitForDone()
    rig.opening.cancel()
    rig.settle()
    assert rig.window.view is None
    assert herd_files(tmp_path) == []
