"""A scoring page on a real herd file, and hands for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import SCORER, Settings
from herdscore.domain.records import SOLD, SPRING, WINTER_FEED, Cow, Diet, Record, Score
from herdscore.domain.scored import score_on
from herdscore.pages.scoring import ScoringPage
from herdscore.parts.theme import Look
from herdscore.store import database
from tests.domain.recorded_herds import TODAY, ahead
from tests.pages.open_herds import opened

ENTER, ESC, BACK = Qt.Key.Key_Return, Qt.Key.Key_Escape, Qt.Key.Key_Backspace
NAMED = {"\n": ENTER, "~": ESC, "\b": BACK, "↓": Qt.Key.Key_Down, "→": Qt.Key.Key_Right, " ": Qt.Key.Key_Space}
TAGS = [f"{number:04d}" for number in (12, 112, 305, 411, 512, 521, 633, 702, 748, 801, 815, 829, 866, 903, 921)]
TAGS += ["UK 10 2345 01044", "1103", "1216", "1377", "1440", "1555", "1606"]
GONE = Cow("gone", "2001", status=SOLD)


def herd_at_the_crush() -> list[Record]:
    """22 spring calvers with one score each, 80 days ago, and one that was sold."""
    cows = [
        Cow(tag, tag, calvings=3, season=SPRING, group="Beck side", calving_date=ahead(90), date_from="scan")
        for tag in TAGS
    ]
    scores = [Score(f"s{tag}", tag, ahead(-80), 10, 10, 9, 10, scorer="R. T.") for tag in TAGS]
    return [*cows, GONE, *scores, Diet("diet", "Beck side", ahead(-65), WINTER_FEED)]


@dataclass
class Crush:
    """A page on a herd, and hands for it."""

    page: ScoringPage
    herd: OpenHerd
    settings: Settings
    bot: QtBot

    def keys(self, keys: str) -> None:
        """Press keys wherever the keyboard is, as a person does."""
        for key in keys:
            held = QApplication.focusWidget()
            assert held is not None, f"nothing has the keyboard for {key!r}"
            if key in NAMED:
                self.bot.keyClick(held, NAMED[key])
            else:
                self.bot.keyClicks(held, key)

    def press(self, button: QWidget) -> None:
        self.bot.mouseClick(button, Qt.MouseButton.LeftButton)

    def saved(self, do: Callable[[], object]) -> None:
        """Do something that saves, and wait until the herd has been looked at again."""
        with self.bot.waitSignal(self.herd.assessed):
            do()

    def kept(self, tag: str, day: date = TODAY, scorer: str | None = "R. T.") -> Score | None:
        return score_on(self.herd.snapshot, self.herd.snapshot.cow_place[tag], day, scorer)

    def sites(self, tag: str, day: date = TODAY) -> tuple[int | None, int | None, int | None]:
        score = self.kept(tag, day)
        assert score is not None
        return score.loin, score.ribs, score.tailhead

    def said(self) -> str:
        return f"{self.page.claim.words} / {self.page.rest.text()}"

    def verdict(self) -> str:
        return self.page.side.cow.box.claim.text()


def at_the_crush(look: Look, herd: OpenHerd, settings: Settings, qtbot: QtBot) -> Crush:
    """The page on the screen, with the keyboard in the tag box."""
    page = ScoringPage(look, herd, settings)
    qtbot.addWidget(page)
    page.resize(1274, 670)
    page.show()
    qtbot.waitExposed(page)
    page.activateWindow()
    page.focus_first()
    qtbot.waitUntil(lambda: page.tag.hasFocus() or page.work.entry is not None)
    return Crush(page, herd, settings, qtbot)


@pytest.fixture
def crush(tmp_path: Path, look: Look, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[Crush]:
    monkeypatch.setattr(database, "WAIT", 0.01)  # seconds a write waits for another program
    with opened(tmp_path / "moor.herd", herd_at_the_crush()) as herd:
        settings = Settings(tmp_path)
        settings.set(SCORER, "R. T.")
        yield at_the_crush(look, herd, settings, qtbot)
