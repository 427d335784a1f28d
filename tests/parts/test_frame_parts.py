"""What stands about every page: rail, header, as-of band, message bar, progress, fields and buttons."""

from __future__ import annotations

from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from herdscore.errors import Problem
from herdscore.parts.buttons import JoinedButtons, Pills, choice_box
from herdscore.parts.cards import Panel, card, column, holder, row, rule, scrolled
from herdscore.parts.fields import day_box, day_of, field, number_box
from herdscore.parts.header import AsOfBand, Figure, FigureButton, Header
from herdscore.parts.labels import label
from herdscore.parts.message_bar import MessageBar
from herdscore.parts.progress import ProgressPanel, TensCount
from herdscore.parts.rail import PAGES, Rail, RailButton
from herdscore.parts.theme import Look

# The platform without a screen says so for every window of a fixed size; it means nothing.
pytestmark = pytest.mark.qt_log_ignore("does not support propagateSizeHints", extend=True)

PROBLEM = Problem("The herd file could not be written.", "The disk is full.", "Save elsewhere.")


@pytest.fixture
def page(look: Look, qtbot: QtBot) -> QWidget:
    made = QWidget()
    qtbot.addWidget(made)
    QVBoxLayout(made)
    made.resize(1366, 400)
    return made


def put(page: QWidget, part: QWidget) -> None:
    layout = page.layout()
    assert layout is not None
    layout.addWidget(part)
    page.show()


def button_named(part: QWidget, words: str) -> QPushButton:
    return next(one for one in part.findChildren(QPushButton) if words in (one.text(), one.accessibleName()))


def test_that_the_rail_tells_which_page_was_pressed(look: Look, page: QWidget, qtbot: QtBot) -> None:
    rail = Rail(look)
    page.resize(200, 768)
    put(page, rail)
    rail.show_page("scoring")
    buttons = rail.findChildren(RailButton)
    assert [one.accessibleName() for one in buttons] == [words for _, words in PAGES]
    with qtbot.waitSignal(rail.page_chosen) as told:
        qtbot.mouseClick(buttons[2], Qt.MouseButton.LeftButton)
    assert told.args == ["groups"]
    with qtbot.waitSignal(rail.guide_pressed):
        qtbot.mouseClick(button_named(rail, "F1  Guide"), Qt.MouseButton.LeftButton)
    rail.show_page("")
    assert not any(one.isChecked() for one in buttons)


def test_that_the_rail_fits_a_window_of_680(look: Look, qtbot: QtBot) -> None:
    rail = Rail(look)
    qtbot.addWidget(rail)
    rail.set_tight(True)
    assert rail.minimumSizeHint().height() <= 680 - 32  # less the status bar
    assert rail.width() == 92


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_every_rail_button_paints_its_miniature(look: Look, qtbot: QtBot, theme: str) -> None:
    look.choose(theme)
    rail = Rail(look)
    qtbot.addWidget(rail)
    rail.resize(92, 700)
    whole = rail.grab().toImage()
    seen: list[QImage] = []
    for one in rail.findChildren(RailButton):
        icon = whole.copy(one.geometry().adjusted(20, 8, -20, -38))
        colours = {icon.pixelColor(x, y).name() for x in range(icon.width()) for y in range(icon.height())}
        assert look.theme["on_rail"].name() in colours
        assert icon not in seen
        seen.append(icon)
    assert len(seen) == len(PAGES)


def test_that_the_header_opens_the_list_behind_a_figure(look: Look, page: QWidget, qtbot: QtBot) -> None:
    header = Header(look)
    header.show_herd("Larkbeck")
    header.show_day("Tue 12 January 2027")
    header.show_figures((Figure("to_score", "8", "still to score"), Figure("act", "14", "to act on now", "thin")))
    put(page, header)
    figures = [one for one in header.findChildren(FigureButton) if not one.isHidden()]
    assert [one.accessibleName() for one in figures] == ["8 still to score", "14 to act on now"]
    with qtbot.waitSignal(header.figure_pressed) as told:
        qtbot.mouseClick(figures[1], Qt.MouseButton.LeftButton)
    assert told.args == ["act"]
    assert all(one.width() >= one.sizeHint().width() and one.height() >= 44 for one in figures)


def test_that_figures_are_replaced_and_not_added(look: Look, page: QWidget) -> None:
    header = Header(look)
    put(page, header)
    header.show_figures((Figure("to_score", "8", "still to score"), Figure("act", "14", "to act on now")))
    header.show_figures((Figure("to_score", "7", "still to score"),))
    left = [one.figure.number for one in header.findChildren(FigureButton) if not one.isHidden()]
    assert left == ["7"]


def test_that_the_block_switch_tells_a_press_but_not_what_it_is_told(look: Look, page: QWidget, qtbot: QtBot) -> None:
    header = Header(look)
    put(page, header)
    with qtbot.assertNotEmitted(header.block_chosen):
        header.show_block("spring")
    with qtbot.waitSignal(header.block_chosen) as told:
        qtbot.mouseClick(button_named(header, "Both"), Qt.MouseButton.LeftButton)
    assert told.args == ["both"]


def test_that_the_header_fits_a_window_of_1280_and_shortens_the_day(look: Look, page: QWidget) -> None:
    header = Header(look)
    header.show_herd("Upper Larkbeck and Low Haugh")
    header.show_day("Wed 30 September 2026", "30 Sep")
    header.show_figures(
        (
            Figure("to_score", "138", "still to score"),
            Figure("act", "104", "to act on now"),
            Figure("next", "21", "days to next act-by, 21 Oct"),
        )
    )
    assert header.minimumSizeHint().width() <= 1280 - 92
    put(page, header)
    page.resize(1280 - 92, 400)
    day = next(one for one in header.findChildren(QPushButton) if "another day" in one.accessibleName())
    assert day.isHidden() or day.sizeHint().width() <= day.width()
    page.resize(1900, 400)
    assert day.text() == "Wed 30 September 2026"
    assert not day.isHidden()


def test_that_the_band_offers_another_day_and_today(page: QWidget, qtbot: QtBot) -> None:
    band = AsOfBand()
    band.show_words("Seen as of Friday 1 January 2027.", "Nothing is written.")
    put(page, band)
    with qtbot.waitSignals([band.another_day_pressed, band.today_pressed]):
        qtbot.mouseClick(button_named(band, "Another day"), Qt.MouseButton.LeftButton)
        qtbot.mouseClick(button_named(band, "Today"), Qt.MouseButton.LeftButton)


def test_that_a_problem_says_what_why_and_what_to_do(page: QWidget, qtbot: QtBot) -> None:
    bar = MessageBar()
    put(page, bar)
    assert not bar.isVisible()
    bar.show_problem(PROBLEM, "elsewhere", "Save elsewhere")
    assert bar.isVisible()
    assert bar.accessibleName() == "The herd file could not be written. The disk is full. Save elsewhere."
    with qtbot.waitSignal(bar.action_pressed) as told:
        qtbot.mouseClick(button_named(bar, "Save elsewhere"), Qt.MouseButton.LeftButton)
    assert told.args == ["elsewhere"]
    assert not bar.isVisible()


def test_that_a_note_waits_behind_a_problem(page: QWidget, qtbot: QtBot) -> None:
    bar = MessageBar()
    put(page, bar)
    bar.show_problem(PROBLEM)
    bar.show_note("0512 comes on the next round")
    assert bar.message is not None
    assert bar.message.problem
    qtbot.mouseClick(button_named(bar, "Close this message"), Qt.MouseButton.LeftButton)
    assert bar.message.claim == "0512 comes on the next round"
    with qtbot.waitSignal(bar.closed):
        bar.close_message()
    assert bar.message is None


def test_that_the_same_message_is_not_stacked_twice(page: QWidget) -> None:
    bar = MessageBar()
    put(page, bar)
    bar.show_problem(PROBLEM)
    bar.show_problem(PROBLEM)
    bar.close_message()
    assert not bar.isVisible()


def test_that_the_panel_covers_the_page_until_the_work_ends(page: QWidget, qtbot: QtBot) -> None:
    below = QLineEdit()
    put(page, below)
    below.setFocus()
    panel = ProgressPanel(page)
    panel.begin("Reading the workbook")
    panel.show_progress(200, 1000, "row 200 of 1000")
    assert panel.geometry() == page.rect()
    page.resize(900, 600)
    assert panel.geometry() == page.rect()
    qtbot.keyClick(panel, Qt.Key.Key_Tab)
    assert not below.hasFocus()
    panel.end()
    assert not panel.isVisible()


def test_that_escape_asks_to_cancel_once(page: QWidget, qtbot: QtBot) -> None:
    panel = ProgressPanel(page)
    page.show()
    told: list[bool] = []
    panel.cancelled.connect(lambda: told.append(True))
    panel.begin("Reading the workbook")
    qtbot.keyClick(panel, Qt.Key.Key_Escape)
    qtbot.keyClick(panel, Qt.Key.Key_Escape)
    assert told == [True]
    panel.begin("Writing", can_cancel=False)
    qtbot.keyClick(panel, Qt.Key.Key_Escape)
    assert told == [True]


@pytest.mark.parametrize(("done", "total"), [(0, 0), (88, 96), (7, 7), (5, 4000), (150, 96)])
def test_that_the_count_survives_any_herd(look: Look, qtbot: QtBot, done: int, total: int) -> None:
    count = TensCount(look)
    qtbot.addWidget(count)
    count.resize(330, 14)
    count.show_count(done, total)
    picture = count.grab().toImage()
    if total:
        filled = picture.pixelColor(2, 7) == look.theme["primary"]
        assert filled == (done / total > 0.01)
        assert count.accessibleName() == f"{min(done, total)} of {total} done"


def test_that_pills_and_joined_buttons_keep_one_chosen(page: QWidget, qtbot: QtBot) -> None:
    pills = Pills((("now", "Begin now"), ("hand", "Time in hand")), "List")
    joined = JoinedButtons((("cow", "Cow"), ("bull", "Bull"), ("twins", "Twins")), "Calf")
    put(page, holder(row(pills, joined, None)))
    pills.choose("now")
    pills.show_count("now", 14)
    assert pills.button("now").text() == "Begin now  14"
    with qtbot.waitSignal(pills.chosen) as told:
        qtbot.mouseClick(pills.button("hand"), Qt.MouseButton.LeftButton)
    assert told.args == ["hand"]
    assert pills.current == "hand"
    assert joined.current == ""


def test_that_joined_buttons_show_their_words_in_full(look: Look, page: QWidget) -> None:
    header = Header(look)
    put(page, header)
    for words in ("Autumn", "Spring", "Both"):
        one = button_named(header, words)
        assert one.fontMetrics().horizontalAdvance(words) + 2 * 9 <= one.width()


def test_that_fields_are_named_and_hold_what_is_put_in(look: Look, qtbot: QtBot) -> None:
    tag, weight = field("Tag", "Find a tag", width=180), number_box("Weight", 300, 1000, unit="kg")
    day = day_box("Day", date(2027, 1, 12), last=date(2027, 1, 20))
    season = choice_box("Season", ("autumn", "spring"))
    for one in (tag, weight, day, season):
        qtbot.addWidget(one)
        assert one.accessibleName()
        assert one.minimumHeight() >= 44
    assert day_of(day) == date(2027, 1, 12)
    assert weight.text() == "300 kg"
    assert tag.width() == 180


def test_that_a_panel_changes_its_tint(look: Look, page: QWidget) -> None:
    panel = Panel(column(label("Thin for 2.5", 16, 700), rule(), margins=(20, 20, 20, 20)), "thin")
    inside = card(column(panel, None))
    put(page, scrolled(inside))
    assert panel.grab().toImage().pixelColor(10, 10) == look.theme["thin_tint"]
    panel.show_hue("fat", edged=True)
    picture = panel.grab().toImage()
    assert picture.pixelColor(10, 10) == look.theme["fat_tint"]
    assert picture.pixelColor(picture.width() // 2, 0) == look.theme["fat"]
