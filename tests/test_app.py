"""Start-up and the command line, in processes of their own; the error hook."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from herdscore.pages.fault_dialog import FaultLog
from tests.journeys.books import faulty_book, sound_book

ROOT = Path(__file__).parents[1]
# Shows the first page, and says when it was painted and which of what it can do without was there by then.
FIRST_PAGE = """
import json, sys, time
from PySide6.QtCore import QEvent, QObject, QTimer
import herdscore.app as app

LATE = ("numpy", "pandas", "scipy", "openpyxl", "sqlalchemy", "pyqtgraph", "python_calamine", "statsmodels")
LATE += tuple(f"herdscore.pages.{page}" for page in ("herd_view", "crush_page", "cows", "groups", "feeding", "calving"))
LATE += ("herdscore.pages.herd", "herdscore.pages.guide", "herdscore.pages.problems", "herdscore.domain.assess")

class Painted(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint:
            made.removeEventFilter(self)
            self.late = [name for name in LATE if name in sys.modules]
            QTimer.singleShot(0, over)
        return False

def over():
    print(json.dumps({"late": painted.late, "at": time.time()}))
    made.quit()

build = app.application
def application():
    global made, painted
    made, painted = build(), Painted()
    made.installEventFilter(painted)
    return made
app.application = application
app.show_window()
"""


def environment(home: Path) -> dict[str, str]:
    """A home of its own, and no screen."""
    kept = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    return {
        **kept,
        "HOME": str(home),
        "XDG_CONFIG_HOME": str(home / "config"),
        "XDG_DATA_HOME": str(home / "data"),
        "XDG_STATE_HOME": str(home / "state"),
        "QT_QPA_PLATFORM": "offscreen",
        "PYTHONPATH": str(ROOT),
    }


def run(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run a Python of its own."""
    return subprocess.run(
        [sys.executable, *words], cwd=home, env=environment(home), capture_output=True, text=True, timeout=60
    )


def test_that_the_first_page_comes_without_numpy_and_its_kin_and_without_the_other_pages(tmp_path: Path) -> None:
    ended = run(tmp_path, "-c", FIRST_PAGE)
    assert ended.returncode == 0, ended.stderr
    assert json.loads(ended.stdout.splitlines()[-1])["late"] == []


# Opens a herd while what its pages need still comes along, waits until all is there, and says which modules that know
# Qt were brought by a job: PySide completes a class when it is first touched, and the window might meet it half done.
BROUGHT_BY_JOBS = """
import importlib.abc, json, sys, threading, time
from pathlib import Path
from PySide6.QtCore import QTimer

class Finder(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if threading.current_thread() is not threading.main_thread():
            by_jobs.append(name)

by_jobs = []
sys.meta_path.insert(0, Finder())
import herdscore.app as app

def look():
    window = next(one for one in made.topLevelWidgets() if type(one).__name__ == "MainWindow")
    if window.view is not None and "pyqtgraph" in sys.modules and not window._jobs.running:
        qt = [name for name in by_jobs if any(of_qt(one) for one in vars(sys.modules.get(name, sys)).values())]
        print(json.dumps({"by_jobs": len(by_jobs), "qt": [name for name in qt if name in sys.modules]}))
        window.close()

def of_qt(one):
    return any(str(getattr(one, where, "")).startswith("PySide6") for where in ("__module__", "__name__"))

build = app.application
def application():
    global made, timer
    made, timer = build(), QTimer()
    timer.timeout.connect(look)
    timer.start(20)
    return made
app.application = application
app.show_window(Path("oakbank.xlsx"))
"""


def test_that_jobs_bring_along_only_what_knows_nothing_of_qt(tmp_path: Path) -> None:
    sound_book(tmp_path / "oakbank.xlsx")
    ended = run(tmp_path, "-c", BROUGHT_BY_JOBS)
    assert ended.returncode == 0, ended.stderr
    said = json.loads(ended.stdout.splitlines()[-1])
    assert said["by_jobs"] > 100
    assert said["qt"] == []


def test_that_pictures_of_every_page_are_written_at_the_size_asked_for(tmp_path: Path) -> None:
    book = sound_book(tmp_path / "oakbank.xlsx")
    words = ("pictures", str(book), "--out", "pages", "--size", "1400x800", "--theme", "dark")
    ended = run(tmp_path, "-m", "herdscore", *words)
    assert ended.returncode == 0, ended.stderr
    made = sorted((tmp_path / "pages").iterdir())
    names = [path.stem[3:] for path in made]
    for name in ("first", "scoring", "cows-all", "cow", "herd-register", "guide-1"):
        assert name in names
    for path in made:
        image = QImage(str(path))
        assert (image.width(), image.height()) == (1400, 800), path.name
    assert not list(tmp_path.glob("*.herd*"))


def test_that_pictures_of_a_faulty_sheet_show_and_list_its_problems(tmp_path: Path) -> None:
    book = faulty_book(tmp_path / "oakbank.xlsx")
    ended = run(tmp_path, "-m", "herdscore", "pictures", str(book), "--out", "pages")
    assert ended.returncode == 1
    assert "Scores, row 5, Date" in ended.stderr
    assert any("problems" in path.name for path in (tmp_path / "pages").iterdir())


def test_that_pictures_of_a_herd_file_leave_it_as_it_is(tmp_path: Path) -> None:
    book = sound_book(tmp_path / "oakbank.xlsx")
    assert run(tmp_path, "-m", "herdscore", "pack", str(book), "oakbank.herd").returncode == 0
    before = (tmp_path / "oakbank.herd").read_bytes()
    ended = run(tmp_path, "-m", "herdscore", "pictures", "oakbank.herd", "--out", "pages", "--on", "2026-12-24")
    assert ended.returncode == 0, ended.stderr
    assert (tmp_path / "oakbank.herd").read_bytes() == before


def test_that_a_start_without_a_screen_says_so_and_shows_the_sample_herd(tmp_path: Path) -> None:
    ended = run(tmp_path, "-m", "herdscore")
    assert ended.returncode == 0, ended.stderr
    assert ended.stdout.splitlines()[0].startswith("There is no screen here")
    assert "To act on now" in ended.stdout
    assert (tmp_path / "skerrowby-flags.xlsx").stat().st_size > 5000
    assert len(list((tmp_path / "skerrowby-pictures").glob("*.png"))) > 8


def test_that_a_herd_named_without_a_screen_gets_its_own_list_and_pictures(tmp_path: Path) -> None:
    book = sound_book(tmp_path / "oakbank.xlsx")
    ended = run(tmp_path, "-m", "herdscore", book.name)
    assert ended.returncode == 0, ended.stderr
    assert ended.stdout.splitlines()[0].startswith("There is no screen here: these are the flags of the herd oakbank")
    assert (tmp_path / "oakbank-flags.xlsx").exists()
    assert list((tmp_path / "oakbank-pictures").glob("*.png"))


@pytest.mark.parametrize(
    "words",
    [
        ("gone.xlsx",),  # a window without a screen
        ("--on", "yesterday"),
        ("pictures", "gone.xlsx", "--out", "pages"),
        ("pictures", "oakbank.xlsx"),
        ("pictures", "oakbank.xlsx", "--out", "pages", "--size", "large"),
        ("flags", "gone.xlsx"),
        ("flags",),
    ],
)
def test_that_wrong_use_ends_with_two_and_a_line_of_words(tmp_path: Path, words: tuple[str, ...]) -> None:
    sound_book(tmp_path / "oakbank.xlsx")
    ended = run(tmp_path, "-m", "herdscore", *words)
    assert ended.returncode == 2
    assert ended.stderr.strip()
    assert "Traceback" not in ended.stderr


def test_that_a_fault_is_logged_every_time_and_shown_once(tmp_path: Path, qtbot: QtBot) -> None:
    log = FaultLog(tmp_path / "logs" / "herdscore.log")

    def fail() -> None:
        raise ZeroDivisionError

    for _ in range(3):
        try:
            fail()
        except ZeroDivisionError as fault:
            log.tell(type(fault), fault, fault.__traceback__)
    boxes = [one for one in dialogs() if one.isVisible()]
    assert len(boxes) == 1
    assert str(log.file) in boxes[0].informativeText()
    boxes[0].accept()
    assert log.file.read_text("utf-8").count("ZeroDivisionError") >= 3


def dialogs() -> list[QMessageBox]:
    return [one for one in QApplication.topLevelWidgets() if isinstance(one, QMessageBox)]
