"""The runway on the page Cows: what it shows, by mouse and by keys over a real herd file."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QAbstractButton, QLabel
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.changes import adding
from herdscore.domain.reasons import say_day
from herdscore.domain.records import AUTUMN, UP, WINTER_FEED, Cow, Diet, Record
from herdscore.domain.runway import RIM, TOP
from herdscore.pages.cows import CowsPage
from herdscore.pages.file_asking import a4_printer
from herdscore.pages.runway import RunwayTab
from herdscore.pages.wishes import PrintWish, SaveWish
from herdscore.parts.marks import BACK_TO_FRONT, mark_hue
from herdscore.parts.runway_chart import RunwayChart
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import ahead
from tests.pages.open_herds import COURSE, FAT, HAND_COW, NEED, THIN, VET, cow, opened, small_herd, thrice

AUTUMN_COW = cow("1101", 120, "Quarry", AUTUMN, breed="Limousin", calvings=1)
HERD = [*small_herd(), AUTUMN_COW, *thrice(AUTUMN_COW, 12, 12, 12)]


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", HERD) as made:
        yield made


@pytest.fixture
def page(herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot) -> CowsPage:
    return shown(herd, look, tmp_path, qtbot)


def shown(herd: OpenHerd, look: Look, folder: Path, qtbot: QtBot) -> CowsPage:
    made = CowsPage(look, herd, Settings(folder))
    qtbot.addWidget(made)
    made.resize(1226, 620)
    with qtbot.waitExposed(made):
        made.show()
    made.focus_first()
    qtbot.waitUntil(lambda: bool(made.runway.charts))  # they come once what they are drawn with is here
    return made


def at(chart: RunwayChart, place: int) -> QPoint:
    return chart.point_of(place).toPoint()


def place_of(tab: RunwayTab, herd: OpenHerd, one: Cow, which: int = 0) -> int:
    place = herd.assessment.snapshot.cow_place[one.id]
    return int(np.flatnonzero(tab.shown[which].cow == place)[0])


def hover(chart: RunwayChart, to: QPoint, qtbot: QtBot) -> None:
    qtbot.mouseMove(chart._plot.viewport(), to + QPoint(30, 30))
    qtbot.mouseMove(chart._plot.viewport(), to)


def tags(tab: RunwayTab, herd: OpenHerd) -> list[str]:
    return [str(herd.assessment.snapshot.cows.tag[i]) for i in tab.shown[0].cow]


# What is on it


def test_that_the_runway_is_the_first_tab_and_its_title_is_its_finding(page: CowsPage, herd: OpenHerd) -> None:
    tab = page.runway
    assert tab.isVisible()
    assert tab.title.text() == "2 cows need a gentle change begun now, 1 has time in hand, 1 is for the vet first"
    assert tab.how.text().endswith("Not on it: 1 without a score, 1 without a date.")
    assert tab.chart.hasFocus()
    said = tab.chart.accessibleDescription()
    assert said.startswith(tab.title.text())
    assert tab.chart.accessibleName() == "Runway of the spring block"


def test_that_marks_are_drawn_in_their_colour_where_the_cows_stand(page: CowsPage, herd: OpenHerd, look: Look) -> None:
    chart = page.runway.chart
    image = chart.grab().toImage()
    for one in (THIN, FAT, COURSE, NEED):
        place = place_of(page.runway, herd, one)
        assert chart.picture is not None
        mark = BACK_TO_FRONT[chart.picture.mark[place]]
        middle = at(chart, place)
        colours = {image.pixelColor(middle + QPoint(dx, dy)).name() for dx in range(-3, 4) for dy in range(-3, 4)}
        assert look.theme[mark_hue(mark)].name() in colours, one.tag


def test_that_with_both_blocks_the_one_with_more_to_decide_is_shown_or_two(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab = page.runway
    assert tab.blocks.isVisible()
    assert [one.name for one in (chart.picture for chart in tab.charts) if one] == ["Runway of the spring block"]
    qtbot.mouseClick(tab.blocks.button("autumn"), Qt.MouseButton.LeftButton)
    assert tags(tab, herd) == [AUTUMN_COW.tag]
    qtbot.mouseClick(tab.blocks.button("two"), Qt.MouseButton.LeftButton)
    assert len([chart for chart in tab.charts if chart.isVisible()]) == 2
    assert tab.title.text().startswith("2 cows need a gentle change begun now"), "both blocks together"
    herd.choose_block("autumn")
    assert not tab.blocks.isVisible()
    assert tags(tab, herd) == [AUTUMN_COW.tag]


def test_that_a_cow_on_a_change_is_drawn_where_it_takes_her_with_a_tail(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.push(adding("diet", [Diet("up", "Beck side", ahead(-5), WINTER_FEED, UP, 0.07)]), "diet")
    tab = page.runway
    place = place_of(tab, herd, THIN)
    picture = tab.chart.picture
    assert picture is not None
    a = herd.assessment
    i = a.snapshot.cow_place[THIN.id]
    assert picture.up[place] == pytest.approx(a.course.mean[i] - a.targets.target[i])
    assert picture.tail[place] < picture.up[place] - 0.2, "she was going thin before"
    assert "A tail: where she was going before her change." in tab.how.text()


def test_that_the_page_is_there_before_its_chart_and_hands_it_the_keyboard_and_the_cow_asked_for(
    herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot
) -> None:
    made = CowsPage(look, herd, Settings(tmp_path))
    qtbot.addWidget(made)
    made.show()
    made.focus_first()
    tab = made.runway
    assert tab.charts == []
    assert [one.text() for one in tab.findChildren(QLabel) if one.isVisible() and one.text() == "Drawing …"]
    assert tab.title.text().startswith("2 cows need a gentle change begun now")
    assert tab.choose(FAT.id)
    qtbot.waitUntil(lambda: bool(tab.charts))
    assert tab.chart.place == place_of(tab, herd, FAT)
    assert tab.chart.hasFocus()
    assert not [one for one in tab.findChildren(QLabel) if one.isVisible() and one.text() == "Drawing …"]


# By keys


def test_that_the_arrows_walk_by_days_and_by_gap_and_enter_opens(page: CowsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    tab, chart = page.runway, page.runway.chart
    runway = tab.shown[0]
    walked = []
    for _ in range(len(runway.cow) + 2):
        qtbot.keyClick(chart, Qt.Key.Key_Right)
        assert chart.place is not None
        walked.append(chart.place)
    days = runway.days[walked]
    assert (np.diff(days) <= 0).all(), "to the right is nearer to calving"
    assert set(walked) == set(range(len(runway.cow)))
    for _ in range(len(runway.cow)):
        qtbot.keyClick(chart, Qt.Key.Key_Up)
    assert runway.gap[chart.place] == runway.gap.max()
    qtbot.keyClick(chart, Qt.Key.Key_Down)
    assert runway.gap[chart.place] < runway.gap.max()
    assert "calves" in chart.accessibleDescription()
    qtbot.keyClick(chart, Qt.Key.Key_Return)
    assert page.one_cow.isVisible()
    assert page.one_cow.cow_id == str(herd.snapshot.cows.id[runway.cow[chart.place]])
    qtbot.keyClick(page.one_cow.beside, Qt.Key.Key_Escape)
    assert tab.isVisible()
    assert chart.hasFocus()


def test_that_a_tag_found_is_pointed_at(page: CowsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    page.find("")
    assert page.find_box.hasFocus()
    qtbot.keyClicks(page.find_box, "504")
    qtbot.keyClick(page.find_box, Qt.Key.Key_Return)
    chart = page.runway.chart
    assert page.runway.isVisible()
    assert chart.place == place_of(page.runway, herd, COURSE)
    assert chart.hasFocus()
    assert not page.find_box.isVisible()


def test_that_plus_and_minus_zoom_and_zero_shows_all(page: CowsPage, qtbot: QtBot) -> None:
    chart = page.runway.chart
    qtbot.keyClick(chart, Qt.Key.Key_Right)
    whole = chart.point_of(1).x() - chart.point_of(0).x()
    qtbot.keyClicks(chart, "++")
    assert abs(chart.point_of(1).x() - chart.point_of(0).x()) == pytest.approx(abs(whole) * 1.25**2, rel=0.01)
    qtbot.keyClicks(chart, "0")
    assert chart.point_of(1).x() - chart.point_of(0).x() == pytest.approx(whole)


# By mouse


def test_that_the_mouse_near_a_cow_brings_her_card_and_far_from_all_none(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab, chart = page.runway, page.runway.chart
    place = place_of(tab, herd, THIN)
    hover(chart, at(chart, place) + QPoint(10, -10), qtbot)
    assert chart.place == place
    _, card, below = chart.overlay._pointed  # type: ignore[misc]
    a, i = herd.assessment, herd.assessment.snapshot.cow_place[THIN.id]
    by = say_day(a.day(a.reach.act_by[i]))
    assert card == ("0201  ease up now", "2.0 last, 1.8 at calving", f"calves 2\u00a0Apr ± 3 days; begin by {by}")
    assert below, "a thin cow's card hangs under her"
    empty = QPointF(chart._area.center().x(), chart._area.bottom() - 5).toPoint()
    assert chart.place_at(QPointF(empty)) is None
    hover(chart, empty, qtbot)
    assert chart.place is None


def test_that_a_click_opens_the_cow(page: CowsPage, herd: OpenHerd, qtbot: QtBot) -> None:
    chart = page.runway.chart
    place = place_of(page.runway, herd, FAT)
    qtbot.mouseClick(chart._plot.viewport(), Qt.MouseButton.LeftButton, pos=at(chart, place))
    assert page.one_cow.cow_id == FAT.id


# Filters


def test_that_a_filter_fades_the_rest_and_the_finding_is_that_of_the_others(
    page: CowsPage, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab, chart = page.runway, page.runway.chart
    group = tab.filters.group
    assert [group.itemText(i) for i in range(group.count())] == ["Groups", "Beck side", "Top yard"]
    group.setCurrentIndex(2)
    assert tab.title.text() == "Top yard: 1 cow needs a gentle change begun now, 1 has time in hand"
    assert chart.picture is not None
    kept = {str(herd.snapshot.cows.id[i]) for i in tab.shown[0].cow[chart.picture.kept]}
    assert kept == {FAT.id, HAND_COW.id}
    faded = [item for name, item in chart.marks.items() if name.endswith("faded")]
    assert faded
    assert {item.opacity() for item in faded} == {0.2}
    hover(chart, at(chart, place_of(tab, herd, VET)), qtbot)
    assert chart.place is None, "a faded cow is not pointed at"
    tab.filters.clear()
    assert chart.picture.kept.all()


def test_that_a_calving_month_fills_the_picture(page: CowsPage, herd: OpenHerd) -> None:
    tab, chart = page.runway, page.runway.chart
    month = tab.filters.month
    names = [month.itemText(i) for i in range(1, month.count())]
    assert names == ["January 2027", "April 2027", "May 2027"]
    month.setCurrentIndex(names.index("April 2027") + 1)
    assert tab.title.text().startswith("April 2027: 2 cows need")
    left, right = chart.point_of(place_of(tab, herd, COURSE)).x(), chart.point_of(place_of(tab, herd, THIN)).x()
    days = (date(2027, 4, 22) - date(2027, 4, 2)).days
    assert (right - left) / days > chart._area.width() / 40, "30 days take the whole width"


# Taken away


def test_that_the_picture_is_copied_saved_and_printed_in_light_colours(
    page: CowsPage, herd: OpenHerd, look: Look, qtbot: QtBot, tmp_path: Path
) -> None:
    look.choose("dark")
    qtbot.keyClick(page.runway.chart, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().mimeData().hasImage()
    with qtbot.waitSignal(page.save_wished) as asked:
        qtbot.mouseClick(page.runway.save_button, Qt.MouseButton.LeftButton)
    assert asked.args is not None
    wish = asked.args[0]
    assert isinstance(wish, SaveWish)
    image = QImage(str(wish.write(tmp_path / "runway.png")))
    assert image.pixelColor(image.width() - 40, 40).name() == "#ffffff", "paper is white"
    text = wish.write(tmp_path / "runway.svg").read_text(encoding="utf-8")
    assert "<image" not in text
    assert "@font-face" in text, "words keep their width on another computer"
    with qtbot.waitSignal(page.print_wished) as asked:
        page.print_page()
    assert asked.args is not None
    printed = asked.args[0]
    assert isinstance(printed, PrintWish)
    printer = a4_printer(printed.what, landscape=printed.landscape)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "runway.pdf"))
    printed.draw(printer)
    data = (tmp_path / "runway.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    assert b"/Subtype /Image" not in data, "shapes, no dots"


# Odd herds


def odd(records: list[Record], folder: Path, look: Look, qtbot: QtBot) -> Iterator[CowsPage]:
    with opened(folder / "odd.herd", records) as herd:
        yield shown(herd, look, folder, qtbot)


@pytest.mark.parametrize(
    ("cows", "finding"),
    [
        ([], "There is no cow in the herd yet"),
        ([cow("0001", 100)], "No cow of the spring block has a score to place her by"),
        ([cow("0001", None)], "No cow of the spring block is in calf with a date ahead"),
        ([cow("0001", -3)], "No cow of the spring block has a score to place her by"),
    ],
)
def test_that_a_herd_with_nothing_to_place_says_so(
    cows: list[Record], finding: str, tmp_path: Path, look: Look, qtbot: QtBot
) -> None:
    for page in odd(cows, tmp_path, look, qtbot):
        assert page.runway.title.text() == finding
        for key in (Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Return, Qt.Key.Key_Plus):
            qtbot.keyClick(page.runway.chart, key)
        assert page.runway.chart.place is None
        page.runway.chart.grab()


def test_that_one_cow_alone_is_a_runway(tmp_path: Path, look: Look, qtbot: QtBot) -> None:
    one = cow("0001", 100)
    for page in odd([one, *thrice(one, 12, 11, 10)], tmp_path, look, qtbot):
        qtbot.keyClick(page.runway.chart, Qt.Key.Key_Right)
        assert page.runway.chart.place == 0


def test_that_cows_past_the_rim_carry_their_value_and_a_herd_too_early_is_a_pile(
    tmp_path: Path, look: Look, qtbot: QtBot
) -> None:
    fat = cow("0001", 140, vet_plan=True)
    early = [cow(f"1{tag:03}", 200) for tag in range(40)]
    records = [fat, *thrice(fat, 19, 19, 19), *early, *(row for one in early for row in thrice(one, 10, 10, 10))]
    for page in odd(records, tmp_path, look, qtbot):
        chart = page.runway.chart
        picture = chart.picture
        assert picture is not None
        gap = page.runway.shown[0].gap[0]
        assert gap > TOP
        assert picture.up[0] == pytest.approx(TOP - RIM)
        assert f"+{gap:.1f}" in [one.words for one in chart.overlay.words]
        assert picture.up[1:].max() < TOP
        assert len({*zip(picture.across.tolist(), picture.up.tolist(), strict=True)}) == len(picture)


def test_that_very_long_names_widen_nothing(tmp_path: Path, look: Look, qtbot: QtBot) -> None:
    long = "The far side of the long meadow by the old railway bridge"
    one = cow("UK 999 000 000 0001 0002 0003", 100, long, breed="Aubrac crossed with something else again")
    for page in odd([one, *thrice(one, 12, 11, 10)], tmp_path, look, qtbot):
        assert page.minimumSizeHint().width() <= 1279 - 92
        qtbot.keyClick(page.runway.chart, Qt.Key.Key_Right)
        box = page.runway.chart.overlay._dirty()
        assert box.left() >= 0
        assert box.right() <= page.runway.chart.width()
        page.runway.filters.group.setCurrentIndex(1)
        assert page.runway.title.text().startswith(long)


# The look of it


@pytest.mark.parametrize("scale", [1.0, 1.5])
@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_words_stay_inside_the_picture(page: CowsPage, look: Look, theme: str, scale: float) -> None:
    look.choose(theme)
    look.choose_text_scale(scale)
    page.resize(1280 - 92, 582)
    assert page.minimumSizeHint().height() <= 680 - 66 - 32
    chart = page.runway.chart
    assert all(one.height() >= 44 for one in page.findChildren(QAbstractButton) if one.isVisible())
    words = chart.overlay.words
    assert words
    for one in words:
        assert -1 <= one.x <= chart._area.width() + 1
        assert -1 <= one.y <= chart._area.height() + 1
