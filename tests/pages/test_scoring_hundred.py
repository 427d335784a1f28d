"""A hundred cows from tag to save: by keys at a person's pace with the reader listening, by mouse, from a notebook."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QDate, QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from herdscore.desk.reader_filter import ReaderFilter
from herdscore.desk.settings import SCORER, Settings
from herdscore.domain.records import SPRING, WINTER_FEED, Cow, Diet, Record, Score
from herdscore.pages.scoring_reader import ReaderAtCrush
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import TODAY, ahead
from tests.pages.crush_hands import ENTER, Crush, at_the_crush
from tests.pages.open_herds import opened

Sites = tuple[int, int, int]

COWS = 100
MOST_QUARTERS, MOST_HALVES, MOST_SAME = 13.1, 12.4, 6.0  # key presses a cow, counted with the flow when it was designed
# Whole scores, halves and quarters as often as on the scale from 1 to 5: 5, 4 and 8 of its 17.
QUARTERS = [0] * 89 + [1] * 70 + [2] * 71 + [3] * 70
HALVES = [0] * 50 + [2] * 40


def hundred_cows() -> list[Record]:
    """A hundred spring calvers, the last two digits of whose tags are their own; each scored 80 days ago."""
    cows = [
        Cow(tag, tag, calvings=3, season=SPRING, group="Beck side", calving_date=ahead(90), date_from="scan")
        for tag in (f"{17 + place % 7:02d}{place:02d}" for place in range(COWS))
    ]
    scores = [Score(f"s{cow.id}", cow.id, ahead(-80), 10, 10, 10, 10, scorer="R. T.") for cow in cows]
    return [*cows, *scores, Diet("diet", "Beck side", ahead(-65), WINTER_FEED)]


def given_scores(parts: list[int]) -> list[Sites]:
    """Three sites a cow in quarters, about 2.5, from as many parts above a whole score."""
    rng = random.Random(20270112)
    mixed = rng.sample(parts, len(parts))
    made = []
    for at in range(0, len(mixed), 3):
        whole = 4 * rng.choice((2, 2, 2, 3))
        made.append((whole + mixed[at], whole + mixed[at + 1], whole + mixed[at + 2]))
    return made


def keys_of(quarters: int) -> str:
    """The fewest keys of a score."""
    whole, part = divmod(quarters, 4)
    return {0: f"{whole}", 1: f"{whole}+", 2: f"{whole}{whole}", 3: f"{whole + 1}-"}[part]


class Typist:
    """Types into a page while a reader is listened for, one key every 120 ms of a clock set by hand."""

    def __init__(self, crush: Crush) -> None:
        self.crush, self.now, self.presses = crush, 100.0, 0
        self.filter = ReaderFilter(crush.herd.rulebook.crush, clock=lambda: self.now, stamps=False)
        self.reader = ReaderAtCrush(self.filter, lambda: crush.page, lambda: None)

    def type(self, keys: str) -> None:
        for key in keys:
            held = QApplication.focusWidget()
            assert held is not None
            code, text = (ENTER, "\r") if key == "\n" else (Qt.Key(ord(key)), key)
            for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                QApplication.sendEvent(held, QKeyEvent(kind, code, Qt.KeyboardModifier.NoModifier, text))
            self.now += 0.12
            self.filter._timer.timeout.emit()
            self.presses += 1


@pytest.fixture
def hundred(tmp_path: Path, look: Look, qtbot: QtBot) -> Iterator[Crush]:
    with opened(tmp_path / "moor.herd", hundred_cows()) as herd:
        settings = Settings(tmp_path)
        settings.set(SCORER, "R. T.")
        yield at_the_crush(look, herd, settings, qtbot)


@pytest.fixture
def typist(hundred: Crush) -> Iterator[Typist]:
    made = Typist(hundred)
    yield made
    made.reader.close()


def check_kept(crush: Crush, given: dict[str, Sites]) -> None:
    """Every value, in the herd and in its file, and no cow more."""
    rows = [row for row in crush.herd.file.read().records("scores") if isinstance(row, Score)]
    kept = {row.cow_id: row for row in rows if not row.id.startswith("s")}
    assert set(kept) == set(given)
    for tag, (loin, ribs, tail) in given.items():
        row = kept[tag]
        mean = (2 * (loin + ribs + tail) + 3) // 6  # to the nearest quarter, ties up
        assert (row.loin, row.ribs, row.tailhead, row.score) == (loin, ribs, tail, mean)
        assert (row.day, row.scorer, row.note, row.by_eye) == (crush.page.work.day, "R. T.", None, None)
        assert crush.sites(tag, crush.page.work.day) == (loin, ribs, tail)


def test_that_a_hundred_cows_in_quarters_take_the_presses_they_were_designed_for(typist: Typist) -> None:
    crush = typist.crush
    tags = [str(tag) for tag in crush.herd.snapshot.cows.tag]
    random.Random(5).shuffle(tags)
    given = dict(zip(tags, given_scores(QUARTERS), strict=True))
    for tag, sites in given.items():
        typist.type(f"{tag}\n" + "".join(f"{keys_of(site)}\n" for site in sites))
    check_kept(crush, given)
    assert round(typist.presses / COWS, 1) <= MOST_QUARTERS
    assert crush.page.strip.count.text().startswith("100 of 100 scored")


def test_that_halves_and_the_same_score_take_fewer_presses(typist: Typist) -> None:
    crush, some = typist.crush, 30
    tags = [str(tag) for tag in crush.herd.snapshot.cows.tag]
    given = dict(zip(tags[:some], given_scores(HALVES), strict=True))
    for tag, sites in given.items():
        typist.type(f"{tag}\n" + "".join(f"{keys_of(site)}\n" for site in sites))
    assert typist.presses / some <= MOST_HALVES
    typist.presses = 0
    for tag in tags[some : 2 * some]:
        given[tag] = (12, 12, 12)
        typist.type(f"{tag[-2:]}\n3=\n")
    assert typist.presses / some <= MOST_SAME
    check_kept(crush, given)


def test_that_the_same_hundred_are_scored_by_mouse(hundred: Crush) -> None:
    page, given = hundred.page, {}
    for sites in given_scores(QUARTERS):
        spot = page.matches.visualRect(page.matches.model().index(0, 0)).center()
        hundred.bot.mouseClick(page.matches.viewport(), Qt.MouseButton.LeftButton, pos=spot)
        assert page.work.entry is not None
        given[page.work.entry.cow_id] = sites
        for row, quarters in zip(page.feel.rows, sites, strict=True):
            place, is_quarter = divmod(quarters - 4, 2)
            for _ in range(1 + is_quarter):
                hundred.press(row.keys[place])
        hundred.press(page.feel.save)
    check_kept(hundred, given)


def test_that_thirty_cows_of_a_notebook_go_to_its_day(hundred: Crush) -> None:
    page, day = hundred.page, TODAY - timedelta(days=3)
    page.strip.day_box.setDate(QDate(day.year, day.month, day.day))
    page.focus_first()
    tags = [str(tag) for tag in hundred.herd.snapshot.cows.tag[:30]]
    given = dict(zip(tags, given_scores(QUARTERS)[:30], strict=True))
    for tag, sites in given.items():
        hundred.keys(f"{tag}\n" + "".join(f"{keys_of(site)}\n" for site in sites))
    check_kept(hundred, given)
    assert hundred.page.work.day == day
