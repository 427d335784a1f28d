"""A whole window on a folder of its own, and what must not be left behind by a test with windows or jobs."""

from __future__ import annotations

import weakref
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

import pytest
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from herdscore.desk.jobs import Jobs
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.opening import Opening
from herdscore.desk.settings import READER, Settings
from herdscore.pages.file_asking import FileAsking, a4_printer
from herdscore.parts.theme import Look
from herdscore.window import MainWindow

NOW = datetime(2026, 11, 25, 14, 2)
SLOW = 10_000  # ms within which a job of a small herd is over on any computer


@dataclass
class Answering(FileAsking):
    """Stands for the file dialog: answers what it was told to, and remembers what was asked."""

    path: Path | None = None
    asked: list[str] = field(default_factory=list)

    def open_file(self, parent: QWidget, folder: Path) -> Path | None:
        self.asked.append("open")
        return self.path

    def open_folder(self, parent: QWidget, folder: Path) -> Path | None:
        self.asked.append("folder")
        return self.path

    def save_file(self, parent: QWidget, title: str, proposed: Path, kinds: str) -> Path | None:
        self.asked.append(title)
        return self.path

    def printer(self, parent: QWidget, title: str, *, landscape: bool) -> QPrinter | None:
        """A printer that prints to the path as a PDF file; None when there is no path."""
        self.asked.append(title)
        if self.path is None:
            return None
        made = a4_printer(title, landscape=landscape)
        made.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        made.setOutputFileName(str(self.path))
        return made


class Rig:
    """One window with its desk, as `app` builds it; keys come at once, as nobody listens for a reader unless told."""

    def __init__(
        self, qtbot: QtBot, look: Look, folder: Path, *, clock: Callable[[], datetime], reader: str = "off"
    ) -> None:
        self.qtbot = qtbot
        self.look = look
        self.jobs = Jobs()
        self.settings = Settings(folder / "config")
        self.settings.set(READER, reader)
        self.asking = Answering()
        self.opening = Opening(self.jobs, folder / "data", laptop="laptop", clock=clock, who=lambda: "Ann")
        self.window = MainWindow(look, self.settings, self.opening, self.jobs, self.asking)
        look.dress(self.window)
        self.window.resize(1366, 768)
        qtbot.addWidget(self.window)
        self.window.show()

    @property
    def herd(self) -> OpenHerd:
        """The herd that is open."""
        assert self.window.view is not None
        return self.window.view.herd

    @property
    def page(self) -> QWidget:
        """The page in front."""
        return self.window.frame.pages.currentWidget()

    def settle(self) -> None:
        """Wait until no job is under way."""
        self.qtbot.waitUntil(lambda: self.jobs.running == 0 and not self.opening.is_busy, timeout=SLOW)

    def open(self, path: Path) -> None:
        """Open a path and wait for what comes of it."""
        self.window.open_path(path)
        self.settle()


@pytest.fixture(scope="session")
def dressed(qapp: QApplication) -> Look:
    look = Look("light")
    look.dress(qapp)
    return look


@pytest.fixture
def look(dressed: Look) -> Iterator[Look]:
    yield dressed
    dressed.choose_text_scale(1.0)
    dressed.choose("light")


@pytest.fixture
def new_rig(qtbot: QtBot, look: Look, tmp_path: Path) -> Callable[..., Rig]:
    """Builds windows; several on one folder are several windows of one person."""

    def build(folder: Path = tmp_path, clock: Callable[[], datetime] = lambda: NOW, reader: str = "off") -> Rig:
        return Rig(qtbot, look, folder, clock=clock, reader=reader)

    return build


@pytest.fixture
def rig(new_rig: Callable[..., Rig]) -> Rig:
    """One window."""
    return new_rig()


@pytest.fixture(autouse=True)
def nothing_left_over(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Fail a test that leaves a window on the screen or a job under way."""
    made: weakref.WeakSet[Jobs] = weakref.WeakSet()
    begin = Jobs.__init__

    def remembering(jobs: Jobs, *args: object) -> None:
        begin(jobs, *args)  # type: ignore[arg-type]
        made.add(jobs)

    monkeypatch.setattr(Jobs, "__init__", remembering)
    yield
    app = QApplication.instance()
    seen = [one for one in QApplication.topLevelWidgets() if one.isVisible()] if app is not None else []
    assert not seen, f"left on the screen: {seen}"
    running = [jobs.running for jobs in made if jobs.running]
    assert not running, f"jobs left under way: {running}"
