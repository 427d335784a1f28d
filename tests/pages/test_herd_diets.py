"""Diets and dates of the herd calendar, entered by keys over a real herd file, and what they do to the assessment."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.herd_strips import herd_strips
from herdscore.domain.records import HOUSING, SPRING, TURNOUT, CalendarDay, Diet, Record
from herdscore.pages.herd import DIETS, HerdPage
from herdscore.pages.herd_diets import DietsTab
from herdscore.parts.asked import Asked
from herdscore.parts.theme import Look
from herdscore.store.herd_file import HerdFile
from tests.domain.recorded_herds import ahead
from tests.pages.open_herds import COURSE, cow, opened, small_herd, thrice

ENTER = Qt.Key.Key_Return
HOUSED = CalendarDay("housed", SPRING, HOUSING, date(2026, 11, 8))
TURNED = CalendarDay("turned", SPRING, TURNOUT, date(2027, 3, 25))
BARN = [cow(f"{2000 + at}", 110, "Long barn") for at in range(6)]


def asking_herd() -> list[Record]:
    """The small herd, with a group nobody has said a diet for, and a calendar."""
    scores = [score for one in BARN for score in thrice(one, 11, 11, 10)]
    return [*small_herd(), HOUSED, *BARN, *scores]


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", asking_herd()) as made:
        yield made


@pytest.fixture
def page(herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot) -> HerdPage:
    return shown(herd, look, tmp_path, qtbot)


@pytest.fixture
def tab(page: HerdPage) -> DietsTab:
    made = page.part(DIETS)
    assert isinstance(made, DietsTab)
    return made


def shown(herd: OpenHerd, look: Look, folder: Path, qtbot: QtBot) -> HerdPage:
    page = HerdPage(look, herd, Settings(folder))
    qtbot.addWidget(page)
    page.resize(1226, 620)
    with qtbot.waitExposed(page):
        page.show()
    page.show_tab(DIETS)
    page.focus_first()
    return page


def line_of(asked: Asked) -> QLineEdit:
    line = asked.holds.lineEdit() if isinstance(asked.holds, QComboBox) else asked.holds
    assert isinstance(line, QLineEdit)
    return line


def retype(asked: Asked, text: str, qtbot: QtBot) -> QLineEdit:
    line = line_of(asked)
    line.setFocus()
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    qtbot.keyClicks(line, text)
    return line


def pick(asked: Asked, words: str, qtbot: QtBot) -> None:
    asked.holds.setFocus()
    qtbot.keyClicks(asked.holds, words)
    assert isinstance(asked.holds, QComboBox)
    assert asked.holds.currentText().startswith(words)


def stored(herd: OpenHerd, table: str) -> list[Record]:
    with HerdFile.open(herd.path, read_only=True) as file:
        return file.read().records(table)


def diets(herd: OpenHerd, group: str) -> list[Diet]:
    return [row for row in stored(herd, "diets") if isinstance(row, Diet) and row.group == group]


def half_width(herd: OpenHerd, group: str) -> float:
    """Half the 90 % interval at calving, mean of the cows of a group."""
    a = herd.assessment
    mine = a.groups.now == a.groups.names.index(group)
    return float(np.mean((a.course.hi - a.course.lo)[mine] / 2))


# What are they on?


def test_that_the_group_without_a_diet_is_asked_about_and_the_answer_priced(tab: DietsTab, herd: OpenHerd) -> None:
    assert tab.diet.title.text() == "What is Long barn on since 8\u00a0Nov?"
    assert tab.diet.fields["group"].text == "Long barn"
    assert tab.diet.fields["day"].text == "8 Nov 2026"
    assert tab.diet.kinds.current == ""
    said = tab.diet.worth.text()
    before = half_width(herd, "Long barn")
    assert said.startswith(
        f"6 cows wait for this: with winter feed, their 9 in 10 at calving narrow from ± {before:.2f}"
    )
    assert said.endswith("1 more group is asked about after it.")  # Quarry


def test_that_the_answer_is_written_narrows_the_band_as_promised_and_the_next_is_asked(
    tab: DietsTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    promised = tab.diet.worth.text().split(" to ± ")[1][:4]
    winter = tab.diet.kinds.button("winter feed")
    assert winter.hasFocus()
    qtbot.keyClick(winter, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: tab.diet.words.text().startswith("At calving "))
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(winter, ENTER)
    row = diets(herd, "Long barn")[0]
    assert (row.day, row.kind, row.aim, row.expected_change) == (date(2026, 11, 8), "winter feed", None, None)
    assert f"{half_width(herd, 'Long barn'):.2f}" == promised
    assert tab.diet.title.text() == "What is Quarry on?"
    assert herd.undo_stack.undoText() == "diet of Long barn"
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert diets(herd, "Long barn") == []
    assert tab.diet.title.text() == "What is Long barn on since 8\u00a0Nov?"


def test_that_not_sure_is_an_answer_and_is_not_asked_again(tab: DietsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    unsure = tab.diet.kinds.button("unknown")
    unsure.setFocus()
    qtbot.keyClick(unsure, Qt.Key.Key_Space)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(unsure, ENTER)
    assert [one.group for one in tab.diet.questions] == ["Quarry"]


# Entering, changing, striking out


def test_that_a_diet_with_an_aim_puts_its_cows_on_a_running_change(tab: DietsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    tab.diet.new_button.setFocus()
    qtbot.keyClick(tab.diet.new_button, Qt.Key.Key_Space)
    retype(tab.diet.fields["group"], "beck side", qtbot)
    retype(tab.diet.fields["day"], "2 Jan", qtbot)
    tab.diet.kinds.button("winter feed").setFocus()
    qtbot.keyClick(tab.diet.kinds.button("winter feed"), Qt.Key.Key_Space)
    pick(tab.diet.fields["aim"], "ease", qtbot)
    line = retype(tab.diet.fields["expected"], "0.06", qtbot)
    qtbot.waitUntil(lambda: tab.diet.words.text().startswith("Up half a score in 58 days. At calving"))
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    row = diets(herd, "Beck side")[-1]
    assert (row.day, row.aim, row.expected_change) == (ahead(-10), "up", 0.06)
    a = herd.assessment
    place = a.snapshot.cow_place[COURSE.id]
    assert (int(a.running.side[place]), float(a.running.begun[place])) == (-1, -10)


def test_that_a_diet_too_fast_is_refused_and_nothing_is_lost(tab: DietsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    qtbot.mouseClick(tab.diet.new_button, Qt.MouseButton.LeftButton)
    retype(tab.diet.fields["group"], "Beck side", qtbot)
    qtbot.mouseClick(tab.diet.kinds.button("winter feed"), Qt.MouseButton.LeftButton)
    pick(tab.diet.fields["aim"], "ease", qtbot)
    line = retype(tab.diet.fields["expected"], "0.2", qtbot)
    qtbot.keyClick(line, ENTER)
    assert tab.diet.fields["expected"].said == "Too fast for any plan: +0.08 a week at most, half a score in 42 days."
    assert line.hasFocus()
    assert tab.diet.fields["group"].text == "Beck side"
    assert herd.undo_stack.count() == 0
    # An assessment that comes in meanwhile takes nothing of what is half typed.
    tab.show_assessment(herd.assessment)
    assert tab.diet.fields["expected"].text == "0.2"


def test_that_the_calendar_is_walked_by_keys_and_a_diet_changed_from_it(
    tab: DietsTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab.strips.setFocus()
    assert tab.strips.accessibleDescription() == "Beck side: winter feed from 8\u00a0Nov"
    qtbot.keyClick(tab.strips, Qt.Key.Key_Left)
    assert tab.strips.accessibleDescription() == "Beck side: not said from 1\u00a0Sep"
    qtbot.keyClick(tab.strips, Qt.Key.Key_Right)
    qtbot.keyClick(tab.strips, ENTER)
    assert tab.diet.title.text() == "Change Beck side: winter feed"
    line = retype(tab.diet.fields["day"], "1 Nov", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert [row.day for row in diets(herd, "Beck side")] == [date(2026, 11, 1)]
    tab.strips.setFocus()
    assert tab.strips.spot is not None
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(tab.strips, Qt.Key.Key_Delete)
    assert diets(herd, "Beck side") == []
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert len(diets(herd, "Beck side")) == 1


def test_that_enter_on_a_stretch_not_said_asks_about_that_group(tab: DietsTab, qtbot: QtBot) -> None:
    tab.strips.setFocus()
    qtbot.keyClick(tab.strips, Qt.Key.Key_Down)
    assert tab.strips.accessibleDescription() == "Long barn: not said from 1\u00a0Sep"
    qtbot.keyClick(tab.strips, Qt.Key.Key_Delete)
    assert tab.foot.text() == "Nothing is entered there."
    qtbot.keyClick(tab.strips, ENTER)
    assert tab.diet.title.text() == "What is Long barn on since 8\u00a0Nov?"
    assert tab.diet.kinds.button("winter feed").hasFocus()


# The herd calendar


def test_that_a_turnout_ahead_adds_an_assumed_stretch_and_bends_the_projections(
    tab: DietsTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    before = herd.assessment.course.mean.copy()
    place = herd.assessment.snapshot.cow_place[COURSE.id]
    pick(tab.event_form.fields["block"], "spring", qtbot)
    pick(tab.event_form.fields["event"], "turnout", qtbot)
    line = retype(tab.event_form.fields["day"], "25 Mar", qtbot)
    qtbot.waitUntil(lambda: tab.event_form.words.text().startswith("Turnout 25 Mar 2027. At calving "))
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    rows = [row for row in stored(herd, "calendar") if isinstance(row, CalendarDay)]
    assert [(row.block, row.event, row.day) for row in rows] == [
        (SPRING, HOUSING, date(2026, 11, 8)),
        (SPRING, TURNOUT, date(2027, 3, 25)),
    ]
    a = herd.assessment
    assert a.segments.assumed[place].any()
    assert a.course.mean[place] > before[place] + 0.02, "28 days of grass before she calves, instead of winter feed"
    strips = tab.strips._strips
    assert strips is not None
    beck = next(strip for strip in strips.groups if strip.name == "Beck side")
    assert [(piece.words, piece.assumed) for piece in beck.pieces][-1] == ("grass from turnout, assumed", True)
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert not herd.assessment.segments.assumed[place].any()
    assert herd.assessment.course.mean[place] == pytest.approx(before[place])


def test_that_a_date_is_moved_from_the_calendar_and_struck_out(tab: DietsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    tab.strips.setFocus()
    for _ in range(4):
        qtbot.keyClick(tab.strips, Qt.Key.Key_Down)
    assert tab.strips.accessibleDescription() == "Spring: housing 8\u00a0Nov"
    qtbot.keyClick(tab.strips, Qt.Key.Key_F2)
    assert tab.event_form.title.text() == "Change housing"
    line = retype(tab.event_form.fields["day"], "12 Nov 2026", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert [row.day for row in stored(herd, "calendar") if isinstance(row, CalendarDay)] == [date(2026, 11, 12)]
    tab.strips.setFocus()
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(tab.strips, Qt.Key.Key_Delete)
    assert stored(herd, "calendar") == []
    assert tab.foot.text() == "Housing 12\u00a0Nov is struck out."


def test_that_a_date_without_a_day_is_asked_for(tab: DietsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    block = tab.event_form.fields["block"].holds
    block.setFocus()
    qtbot.keyClick(block, ENTER)
    assert tab.event_form.fields["day"].said == "On which day is housing?"
    assert line_of(tab.event_form.fields["day"]).hasFocus(), "the keyboard goes to what is wrong"
    assert herd.undo_stack.count() == 0


def test_that_a_click_on_the_calendar_opens_what_is_there(tab: DietsTab, qtbot: QtBot) -> None:
    places = tab.strips.places
    assert places is not None
    placed = next(one for one in places.spots if one.spot.record == "diet-2")
    qtbot.mouseClick(tab.strips, Qt.MouseButton.LeftButton, pos=placed.rect.center().toPoint())
    assert tab.diet.title.text() == "Change Top yard: winter feed"
    dot = next(one for one in places.spots if one.spot.record == HOUSED.id)
    qtbot.mouseClick(tab.strips, Qt.MouseButton.LeftButton, pos=dot.rect.center().toPoint() + QPoint(6, 3))
    assert tab.event_form.title.text() == "Change housing"


def test_that_nothing_is_written_while_looking_at_another_day(tab: DietsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(20))
    assert not tab.diet.save_button.isEnabled()
    assert not tab.event_form.save_button.isEnabled()
    assert tab.foot.text() == herd.why_not
    tab.strips.setFocus()
    qtbot.keyClick(tab.strips, Qt.Key.Key_Delete)
    assert len(stored(herd, "diets")) == 2


# Odd herds, and fit


def test_that_a_herd_without_groups_is_told_to_make_one_first(look: Look, tmp_path: Path, qtbot: QtBot) -> None:
    with opened(tmp_path / "test.herd", [cow("0001", 100, group=None)]) as herd:  # type: ignore[arg-type]
        tab = shown(herd, look, tmp_path, qtbot).part(DIETS)
        assert isinstance(tab, DietsTab)
        assert tab.diet.title.text() == "Start a diet"
        tab.strips.setFocus()
        qtbot.keyClick(tab.strips, ENTER)
        assert tab.foot.text() == "Cows without a group have no diet of their own: give them a group first."


def test_that_forty_groups_are_walked_to_the_last_and_brought_into_sight(
    look: Look, tmp_path: Path, qtbot: QtBot
) -> None:
    cows = [cow(f"{at:04}", 100, f"The long meadow beyond the old railway bridge {at:02}") for at in range(40)]
    with opened(tmp_path / "test.herd", cows) as herd:
        page = shown(herd, look, tmp_path, qtbot)
        tab = page.part(DIETS)
        assert isinstance(tab, DietsTab)
        tab.strips.setFocus()
        for _ in range(39):
            qtbot.keyClick(tab.strips, Qt.Key.Key_Down)
        assert tab.strips.accessibleDescription().startswith("The long meadow beyond the old railway bridge 39")
        assert tab._scroll.verticalScrollBar().value() > 0
        assert page.minimumSizeHint().width() <= 1280 - 92


@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_that_the_tab_fits_the_smallest_window(
    tab: DietsTab, page: HerdPage, look: Look, scale: float, qtbot: QtBot
) -> None:
    look.choose_text_scale(scale)
    page.resize(1280 - 92, 582)
    tab.diet.begin_editing("diet-1")
    assert page.minimumSizeHint().width() <= 1280 - 92
    assert page.minimumSizeHint().height() <= 680 - 66 - 32
    assert tab.diet.minimumSizeHint().width() <= 1280 - 92 - 48 - 46
    assert all(one.height() >= 44 for one in page.findChildren(QAbstractButton) if one.isVisible())


def test_that_the_calendar_is_saved_as_dots_and_as_shapes(
    page: HerdPage, tab: DietsTab, qtbot: QtBot, tmp_path: Path
) -> None:
    with qtbot.waitSignal(page.save_wished) as asked:
        qtbot.mouseClick(tab.picture_button, Qt.MouseButton.LeftButton)
    wish = asked.args[0]
    image = QImage(str(wish.write(tmp_path / "calendar.png")))
    assert image.width() == 2000
    drawn = wish.write(tmp_path / "calendar.svg").read_text(encoding="utf-8")
    for group in herd_strips(page._herd.assessment).groups:
        if group.name:
            assert group.name.split()[0] in drawn
