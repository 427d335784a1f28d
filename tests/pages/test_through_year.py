"""The tab Through the year over a real herd file: block, months, chart, looking back, and how it keeps up."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from herdscore.desk.first_look import make_file
from herdscore.desk.jobs import Jobs
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.sources import Opener
from herdscore.domain.changes import adding
from herdscore.domain.records import SPRING, Cow, Record, Score, Setting
from herdscore.pages.through_year import ThroughYearTab
from herdscore.pages.wishes import SaveWish
from herdscore.parts.theme import Look
from tests.domain.season_herds import SEASONS_TODAY, three_seasons
from tests.pages.open_herds import LAPTOP

OWN_DAY = Setting("Own day", SEASONS_TODAY.isoformat())


class Shown:
    """The tab over a herd with a file of its own, told of new assessments as the herd page tells it."""

    def __init__(self, qtbot: QtBot, look: Look, path: Path, records: list[Record]) -> None:
        opener = Opener(LAPTOP, SEASONS_TODAY, "R. T.")
        first = make_file(path / "h.herd", records, "a test", opener, lambda done, total, text: None)
        self.jobs = Jobs()
        self.qtbot = qtbot
        clock = datetime(2027, 1, 12, 14, 2)
        self.herd = OpenHerd(first, self.jobs, clock=lambda: clock, who=lambda: "R. T.")
        self.tab = ThroughYearTab(look, self.herd)
        qtbot.addWidget(self.tab)
        self.herd.assessed.connect(self.tab.show_assessment)
        self.herd.block_chosen.connect(self.tab.fill)
        self.tab.widen(1280)
        self.tab.resize(1140, 500)
        self.tab.show()
        self.tab.show_assessment(self.herd.assessment)
        self.settle()

    def settle(self) -> None:
        self.qtbot.waitUntil(lambda: not self.jobs.running, timeout=10_000)

    def months(self) -> list[tuple[str, ...]]:
        rows = self.tab.months.rows
        return [rows.row_at(place).texts for place in range(rows.rowCount())]

    def words(self) -> str:
        return " ".join(label.text() for label in self.tab.findChildren(QLabel))

    def close(self) -> None:
        self.tab.hide()
        self.herd.close()
        self.jobs.close()


@pytest.fixture
def shown(qtbot: QtBot, look: Look, tmp_path: Path) -> Iterator[Shown]:
    made = Shown(qtbot, look, tmp_path, [OWN_DAY, *three_seasons()])
    yield made
    made.close()


def test_that_the_tab_shows_the_block_with_more_cows_and_what_it_finds(shown: Shown) -> None:
    assert shown.tab.blocks.current == "2"  # spring
    assert shown.tab.title.text().startswith("Spring 2027: mean ")
    picture = shown.tab.chart.picture
    assert picture is not None
    assert [name for name, _ in picture.years] == ["spring 2027", "spring 2026", "spring 2025"]
    assert [name for name, _, _ in picture.targets] == [
        "weaning",
        "housing",
        "−56 days",
        "calving",
        "turnout",
        "bull in",
    ]
    assert shown.tab.chart.accessibleDescription().startswith(shown.tab.title.text())
    assert [row[0] for row in shown.months()] == ["October", "November", "January", "March", "June"]


def test_that_the_months_are_those_of_the_chart(shown: Shown) -> None:
    picture = shown.tab.chart.picture
    assert picture is not None
    months = shown.months()
    for column, (_, points) in zip((3, 5, 6), picture.years, strict=True):
        told = [row[column] for row in months if row[column]]
        assert told == [f"{point.mean:.2f}" for point in points]
    assert [row[2] for row in months if row[2]] == [str(point.cows) for point in picture.years[0][1]]


def test_that_looking_back_is_told_with_its_note(shown: Shown) -> None:
    assert shown.tab.claim.text().startswith("Spring 2026: ")
    assert "bands held" in shown.tab.claim.text()
    for words in ("Mean miss 0.", "scored 56 to 80 days before", "right on average over herds, not inside each herd"):
        assert words in shown.words()


def test_that_the_other_block_and_the_switch_of_the_header_change_what_is_shown(shown: Shown) -> None:
    shown.tab.blocks.button("1").click()
    assert shown.tab.title.text() == "Autumn 2026: no score yet"
    assert shown.months() == []
    assert shown.tab.claim.text() == "No earlier season to look back on"
    shown.herd.choose_block(SPRING)
    assert shown.tab.title.text().startswith("Spring 2027: mean ")
    assert not shown.tab.blocks.isVisible()


def test_that_a_new_score_is_in_the_mean_once_it_is_worked_out(shown: Shown) -> None:
    before = shown.tab.title.text()
    cows = [row for row in shown.herd.snapshot.records("cows") if isinstance(row, Cow)]
    scores = [Score(f"new-{cow.id}", cow.id, SEASONS_TODAY, 4, 4, 4, scorer="R. T.") for cow in cows]
    assert shown.herd.push(adding("scores", scores), "many scores")
    shown.settle()
    assert shown.tab.title.text() != before


def test_that_another_day_shows_the_year_as_it_was(shown: Shown) -> None:
    shown.herd.choose_day(date(2026, 3, 20))
    shown.settle()
    assert shown.tab.title.text().startswith("Spring 2026: mean ")
    assert "March" in shown.tab.title.text()


def test_that_the_picture_is_saved_and_the_sheet_asked_for(shown: Shown, qtbot: QtBot, tmp_path: Path) -> None:
    with qtbot.waitSignal(shown.tab.save_wished) as saved:
        shown.tab.save_button.click()
    wish = saved.args[0]
    assert isinstance(wish, SaveWish)
    assert wish.name == "h through the year 2027-01-12.png"
    assert not QImage(str(wish.write(tmp_path / wish.name))).isNull()
    with qtbot.waitSignal(shown.tab.report_wished) as asked:
        shown.tab.report_button.click()
    assert asked.args == ["adviser's sheet"]


def test_that_the_tab_fits_a_low_screen_in_every_look(shown: Shown, look: Look) -> None:
    for scale in (1.0, 1.5):
        look.choose_text_scale(scale)
        shown.tab.widen(1280)
        assert shown.tab.minimumSizeHint().width() <= 1280 - 92 - 48
        assert shown.tab.minimumSizeHint().height() <= 480
        for theme in ("light", "dark", "daylight"):
            look.choose(theme)
            assert not shown.tab.grab().isNull()


@pytest.mark.parametrize(
    "records", [[], [Cow("c", "1", season=SPRING)], [Cow("c", "1"), Score("s", "c", date(2027, 1, 2), 10, 10, 10)]]
)
def test_that_a_herd_with_next_to_nothing_in_it_is_told_so(
    qtbot: QtBot, look: Look, tmp_path: Path, records: list[Record]
) -> None:
    made = Shown(qtbot, look, tmp_path, [OWN_DAY, *records])
    assert made.tab.title.text().endswith("no score yet")
    assert made.tab.claim.text() == "No earlier season to look back on"
    assert not made.tab.grab().isNull()
    made.close()
