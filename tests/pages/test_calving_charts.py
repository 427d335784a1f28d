"""The charts of the page Calving: each is saved with the keyboard alone, whole, and in light colours of one size."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QImage, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from herdscore import shipped
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.calf_care import with_birth_time
from herdscore.domain.changes import adding
from herdscore.domain.records import Calving, Cow
from herdscore.pages.calving import IN_MILK, LEARNED, TO_CALVE, CalvingPage
from herdscore.pages.wishes import SaveWish
from herdscore.parts.drawn_chart import DrawnChart
from herdscore.parts.theme import Look
from herdscore.pictures import open_copy
from tests.clipped import clipped
from tests.pages.test_calving_page import NOW, SPRING, calving_herd, shed
from tests.window_rig import Rig

WEEKS, CLOCK, MILK, DID = "the weeks ahead", "the calf clock", "cows in milk", "what condition did"
TAB_OF = {WEEKS: TO_CALVE, CLOCK: TO_CALVE, MILK: IN_MILK, DID: LEARNED}
SAID = {
    WEEKS: ("to calve, week by week", "heading thin", "spring block"),
    CLOCK: ("Calf clock at", "of 2401", "navel", "colostrum"),
    MILK: ("days since calving", "first heat about here", "mating floor"),
    DID: ("by score at calving", "first-calvers", "calvings helped", "3.5 or more"),
}
MOST_TABS = 60


@pytest.fixture
def rig(new_rig: Callable[..., Rig], tmp_path: Path) -> Iterator[Rig]:
    """The sample herd with two blocks in its window, a calf just born under the clock."""
    made = new_rig()
    first, _ = open_copy(shipped.sample_herds() / "two_blocks", tmp_path, None)
    herd = OpenHerd(first, made.jobs)
    made.opening.opened.emit(herd)
    made.window.show_page("calving")
    made.settle()
    cow = next(cow for cow in herd.snapshot.records("cows") if isinstance(cow, Cow) and cow.tag.endswith("2401"))
    born = page_of(made).work.now() - timedelta(minutes=50)
    calved = adding("add calving", [Calving("calved", cow.id, herd.today, ease=1, calf_sex="bull", calf_alive=True)])
    assert herd.push(with_birth_time(herd.snapshot, calved, born), "calving")
    made.settle()
    made.window.activateWindow()
    yield made
    made.settle()
    made.window.close()
    made.settle()


def page_of(rig: Rig) -> CalvingPage:
    page = rig.page
    assert isinstance(page, CalvingPage)
    return page


def button_of(page: CalvingPage, what: str) -> QPushButton:
    """The one button on screen that a screen reader calls so."""
    (found,) = [
        one
        for one in page.findChildren(QPushButton)
        if one.isVisible() and one.accessibleName() == f"Save picture of {what}"
    ]
    return found


def walk_to(rig: Rig, button: QPushButton) -> None:
    """Press Tab until the button has the keyboard."""
    rig.qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    for _ in range(MOST_TABS):
        held = QApplication.focusWidget()
        assert held is not None
        if held is button:
            return
        rig.qtbot.keyClick(held, Qt.Key.Key_Tab)
    raise AssertionError(f"Tab does not come to {button.accessibleName()}")


def save(rig: Rig, what: str, path: Path) -> Path:
    """Save a chart of the tab in front with the keyboard, as the window does when a name was chosen."""
    rig.asking.path = path
    button = button_of(page_of(rig), what)
    walk_to(rig, button)
    rig.qtbot.keyClick(button, Qt.Key.Key_Space)
    message = rig.window.frame.messages.message
    assert message is not None
    assert message.claim == f"The chart of {what} is saved."
    return path


def colours(image: QImage, box: QRectF | None = None) -> int:
    """How many colours a picture has, made small enough to count."""
    part = image if box is None else image.copy(box.toRect())
    small = part.scaled(QSize(250, 140))
    return len({small.pixel(x, y) for x in range(small.width()) for y in range(small.height())})


@pytest.mark.parametrize("what", list(TAB_OF))
def test_that_every_chart_is_saved_with_the_keyboard_as_dots_and_as_shapes(rig: Rig, tmp_path: Path, what: str) -> None:
    page_of(rig).show_tab(TAB_OF[what])
    image = QImage(str(save(rig, what, tmp_path / "chart.png")))
    assert image.width() == 2000
    assert colours(image) > 20
    assert image.pixelColor(2, 2).lightnessF() > 0.95
    # Title at the top, and something drawn in what is below it.
    for top in (0, image.height() // 2):
        assert colours(image, QRectF(0, top, image.width(), image.height() // 2)) > 10
    data = save(rig, what, tmp_path / "chart.svg").read_bytes()
    drawn = data.decode("utf-8")
    for words in SAID[what]:
        assert words in drawn
    assert drawn.count("<path") + drawn.count("<rect") + drawn.count("<polyline") + drawn.count("<circle") > 20
    seen = QSvgRenderer(QByteArray(data))
    assert seen.isValid()
    assert seen.viewBox().size() * 2 == image.size()
    again = QImage(seen.viewBox().size(), QImage.Format.Format_RGB32)
    again.fill(Qt.GlobalColor.white)
    painter = QPainter(again)
    seen.render(painter)
    painter.end()
    assert colours(again) > 20


@pytest.mark.parametrize("what", list(TAB_OF))
def test_that_a_saved_chart_is_the_same_in_any_colours_size_of_text_and_of_window(
    rig: Rig, look: Look, tmp_path: Path, what: str
) -> None:
    page = page_of(rig)
    moment = page.work.now()
    page.work.now = lambda: moment  # type: ignore[method-assign]
    page.show_tab(TAB_OF[what])
    wishes: list[SaveWish] = []
    page.save_wished.connect(wishes.append)
    rig.asking.path = tmp_path / "first.png"
    button_of(page, what).click()
    look.choose("dark")
    look.choose_text_scale(1.5)
    rig.window.resize(1280, 680)
    rig.settle()
    rig.asking.path = tmp_path / "second.png"
    button_of(page, what).click()
    assert (tmp_path / "first.png").read_bytes() == (tmp_path / "second.png").read_bytes()
    assert wishes[0].name.endswith(f"{what} 2025-12-11.png")


def test_that_a_chart_with_nothing_on_it_is_not_saved(look: Look, qtbot: QtBot, tmp_path: Path) -> None:
    with shed(look, qtbot, tmp_path, [Cow("a", "0001", season=SPRING)]) as made:
        for what, tab in TAB_OF.items():
            made.page.show_tab(tab)
            button = button_of(made.page, what)
            assert not button.isEnabled()
            qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        made.page.to_calve.save_clock()
        assert not made.wishes
        for part in (made.page.to_calve, made.page.in_milk, made.page.learned):
            assert part.findChild(DrawnChart).accessibleName()


def test_that_many_calves_are_saved_worst_first_and_the_rest_is_told(look: Look, qtbot: QtBot, tmp_path: Path) -> None:
    with shed(look, qtbot, tmp_path, calving_herd()) as made:
        for number in range(2101, 2113):
            made.saved(f"{number}\n1BA\n")
        made.clock[0] = NOW + timedelta(hours=3)
        made.page.to_calve.save_clock()
        drawn = made.write(tmp_path / "clock.svg").read_text(encoding="utf-8")
    assert "And 4 more" in drawn
    assert drawn.count("navel 2") == 12, "calves are late first: all of them are on it"
    assert "late 2 h" in drawn


@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_that_words_of_the_clock_are_not_cut_off_and_follow_the_size_of_text(
    look: Look, qtbot: QtBot, tmp_path: Path, scale: float
) -> None:
    with shed(look, qtbot, tmp_path, calving_herd()) as made:
        made.saved("2101\n2THA→HA\n")
        made.clock[0] = NOW + timedelta(minutes=40)
        made.page.to_calve.show_clock()
        look.choose_text_scale(scale)
        for _ in range(4):
            QApplication.processEvents()
        clock = made.page.to_calve.clock
        assert "twin heifer, 40\u00a0min" in [line.rest.text() for line in clock.lines]
        assert clipped(clock) == []
        names = [ring.accessibleName() for ring in clock.lines[0].rings]
        assert names[0].startswith("of 2101: navel, late"), "a ring says whose it is"


def test_that_cows_in_milk_stand_below_the_chart_where_their_words_need_the_room(rig: Rig, look: Look) -> None:
    page = page_of(rig)
    rig.window.resize(1280, 680)
    page.show_tab(IN_MILK)
    tab = page.in_milk
    for scale, beside in ((1.0, True), (1.5, False)):
        look.choose_text_scale(scale)
        rig.settle()
        for _ in range(4):
            QApplication.processEvents()
        across = tab.chart.mapTo(tab, tab.chart.rect().topRight()).x() < tab.list.mapTo(tab, tab.list.pos()).x()
        assert across is beside
        assert tab.chart.height() >= tab.chart.minimumHeight()
        for place, column in enumerate(tab.list.rows.columns):
            words = QFontMetricsF(look.theme.font(11, column.weight))
            said = [tab.list.rows.row_at(at).texts[place] for at in range(tab.list.rows.rowCount())]
            assert max(map(words.horizontalAdvance, said)) < tab.list.columnWidth(place), column.heading
