"""The scoring page with its panels over a real herd file, and hands for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtPdf import QPdfDocument
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import SCORER, Settings
from herdscore.domain.records import SOLD, SPRING, WINTER_FEED, Cow, Diet, Record, Score
from herdscore.pages.crush_page import CrushPage
from herdscore.pages.wishes import FileWish, PrintWish
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import ahead
from tests.pages.open_herds import opened

NAMED = {
    "\n": Qt.Key.Key_Return,
    "~": Qt.Key.Key_Escape,
    "\t": Qt.Key.Key_Tab,
    "↓": Qt.Key.Key_Down,
    " ": Qt.Key.Key_Space,
}
TAGS = [f"{number:04d}" for number in (12, 112, 305, 411, 512, 521, 633, 702, 748, 801, 815, 829, 866, 903, 921)]
TAGS += ["1044", "1103", "1216", "1377", "1440", "1555", "1606"]


def herd_for_a_round(tags: Sequence[str] = TAGS) -> list[Record]:
    """Spring calvers in two groups with one score each, 80 days ago, and one that was sold."""
    cows = [
        Cow(
            tag,
            tag,
            calvings=0 if at < 3 else 3,
            season=SPRING,
            group="Beck side" if at % 2 else "Top yard",
            calving_date=ahead(90),
            date_from="scan",
        )
        for at, tag in enumerate(tags)
    ]
    scores = [Score(f"s{tag}", tag, ahead(-80), 10, 10, 10, 10, scorer="R. T.") for tag in tags]
    gone = Cow("gone", "2001", status=SOLD)
    diets = [Diet(f"diet {name}", name, ahead(-65), WINTER_FEED) for name in ("Beck side", "Top yard")]
    return [*cows, gone, *scores, *diets]


@dataclass
class AtTheCrush:
    """A page on a herd."""

    page: CrushPage
    herd: OpenHerd
    bot: QtBot
    saved_wishes: list[FileWish] = field(default_factory=list)
    print_wishes: list[PrintWish] = field(default_factory=list)

    def keys(self, keys: str) -> None:
        """Press keys wherever the keyboard is, as a person does."""
        for key in keys:
            held = QApplication.focusWidget()
            assert held is not None, f"nothing has the keyboard for {key!r}"
            if key in NAMED:
                self.bot.keyClick(held, NAMED[key])
            else:
                self.bot.keyClicks(held, key)

    def alt(self, key: Qt.Key) -> None:
        """A key with Alt."""
        held = QApplication.focusWidget()
        assert held is not None
        self.bot.keyClick(held, key, Qt.KeyboardModifier.AltModifier)

    def press(self, button: QWidget) -> None:
        """A button by mouse."""
        assert button.isVisible()
        assert button.isEnabled()
        self.bot.mouseClick(button, Qt.MouseButton.LeftButton)

    def settle(self) -> None:
        """Wait until the herd has been looked at again."""
        self.bot.waitUntil(lambda: self.herd.assessment.snapshot is self.herd.snapshot)


@contextmanager
def at_the_crush(folder: Path, look: Look, qtbot: QtBot, records: Sequence[Record]) -> Iterator[AtTheCrush]:
    """The page shown over a herd file made from records."""
    with opened(folder / "moor.herd", records) as herd:
        settings = Settings(folder)
        settings.set(SCORER, "R. T.")
        page = CrushPage(look, herd, settings)
        qtbot.addWidget(page)
        page.resize(1274, 670)
        page.show()
        qtbot.waitExposed(page)
        page.activateWindow()
        page.focus_first()
        qtbot.waitUntil(lambda: page.tag.hasFocus())
        made = AtTheCrush(page, herd, qtbot)
        page.save_wished.connect(made.saved_wishes.append)
        page.print_wished.connect(made.print_wishes.append)
        yield made


def text_of_pdf(path: Path) -> str:
    """All words of a PDF file."""
    document = QPdfDocument()
    assert document.load(str(path)) == QPdfDocument.Error.None_
    words = " ".join(document.getAllText(page).text() for page in range(document.pageCount()))
    document.close()
    return " ".join(words.split())
