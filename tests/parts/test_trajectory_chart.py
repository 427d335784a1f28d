"""The chart of one cow: what is drawn lies where it should, words cover nothing, and every case can be drawn."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import combinations

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF
from PySide6.QtGui import QColor, QImage, QPageSize, QPainter, QPdfWriter
from pytestqt.qtbot import QtBot

from herdscore.parts.chart_frame import Frame, day_ticks, day_words, score_ticks
from herdscore.parts.cow_picture import CowPicture
from herdscore.parts.theme import Look, read_themes
from herdscore.parts.trajectory_chart import TrajectoryChart
from herdscore.parts.trajectory_drawing import paint_trajectory
from herdscore.parts.trajectory_layers import fan_edges
from tests.parts.pictures import CASES, TODAY, day, picture

FULL_SIZES = ((702, 420), (520, 300), (420, 240), (1180, 720))
MINI_SIZES = ((300, 110), (436, 240), (600, 520))


@pytest.fixture
def chart(look: Look, qtbot: QtBot) -> TrajectoryChart:
    made = TrajectoryChart(look)
    qtbot.addWidget(made)
    made.resize(702, 420)
    made.setAutoFillBackground(True)
    palette = made.palette()
    palette.setColor(palette.ColorRole.Window, look.theme["surface"])
    made.setPalette(palette)
    return made


def shown(chart: TrajectoryChart, cow: CowPicture) -> tuple[QImage, Frame]:
    chart.show_picture(cow)
    image = chart.grab().toImage()
    frame = chart.frame()
    assert frame is not None
    return image, frame


def colour_at(image: QImage, at: QPointF) -> QColor:
    return image.pixelColor(QPoint(round(at.x()), round(at.y())))


def far(one: QColor, other: QColor) -> int:
    return abs(one.red() - other.red()) + abs(one.green() - other.green()) + abs(one.blue() - other.blue())


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_the_gate_stands_on_the_target_band_at_calving(chart: TrajectoryChart, look: Look, theme: str) -> None:
    look.choose(theme)
    image, frame = shown(chart, replace(picture(fan=False), ahead_low=(), ahead_high=(), projected=1.9))
    middle = frame.point(day(96), 2.58)
    band, surface = look.theme["band"], image.pixelColor(round(frame.x(day(30))), round(frame.y(2.7)))
    inside = colour_at(image, middle)
    assert far(inside, surface) > 30
    assert far(inside, band) < far(surface, band)
    edge = QPointF(frame.x(day(96) - timedelta(days=6)), frame.y(2.58))
    assert min(far(colour_at(image, edge + QPointF(off, 0)), band) for off in (-1, 0, 1)) < 40
    assert far(colour_at(image, frame.point(day(96), 2.85)), surface) < 20


def test_that_the_mark_stands_at_the_projected_score_on_the_calving_date(chart: TrajectoryChart, look: Look) -> None:
    cow = picture()
    image, frame = shown(chart, cow)
    assert cow.projected is not None
    assert colour_at(image, frame.point(day(96), cow.projected) + QPointF(0, 2)) == look.theme["thin"]


def test_that_scores_are_dots_at_their_day_and_value(chart: TrajectoryChart, look: Look) -> None:
    image, frame = shown(chart, picture())
    for score in picture().scores:
        assert colour_at(image, frame.point(score.day, score.value)) == look.theme["ink"]


def test_that_the_way_ahead_is_broken_and_the_past_is_not(chart: TrajectoryChart, look: Look) -> None:
    cow = replace(picture(fan=False, act=None), ahead_low=(), ahead_high=(), bends=())
    image, frame = shown(chart, cow)

    def inked(first: int, last: int, score: float, then: float, role: str) -> float:
        steps = 80
        found = 0
        for step in range(steps):
            at = frame.point(
                day(first).toordinal() + (last - first) * step / steps, score + (then - score) * step / steps
            )
            near = [colour_at(image, at + QPointF(0, up)) for up in (-1, 0, 1)]
            found += any(far(one, look.theme[role]) < 60 for one in near)
        return found / steps

    assert inked(-60, -46, cow.past[1] - 0.27 * 5 / 65, cow.past[1] - 0.27 * 19 / 65, "ink") > 0.95
    assert 0.4 < inked(4, 60, cow.ahead[0] - 0.0045 * 4, cow.ahead[0] - 0.0045 * 60, "thin") < 0.9


def test_that_the_fan_is_level_before_need_only_and_only_held_after_it(chart: TrajectoryChart) -> None:
    cow = picture(slims=True)
    _, frame = shown(chart, cow)
    high, low, high_held, low_held = fan_edges(frame, cow)
    assert cow.fan is not None
    assert high[0] == low[0] == frame.point(TODAY, 2.03)
    assert high[1].x() == pytest.approx(frame.x(day(96 - 31)))
    assert high[2].x() == pytest.approx(frame.x(day(96 - 21)))
    assert high[1].y() == high[2].y() == pytest.approx(frame.y(cow.fan.high))
    assert low[1].y() == pytest.approx(frame.y(cow.fan.low))
    assert high_held[0] == high[2]
    assert low_held[-1].x() == pytest.approx(frame.x(day(96).toordinal() + 6.0))


def test_that_the_ribbon_changes_at_the_lead_and_at_the_freeze(chart: TrajectoryChart, look: Look) -> None:
    image, frame = shown(chart, picture())
    y = frame.ribbon.top() + 4

    def ribbon(ahead: int) -> QColor:
        return image.pixelColor(round(frame.x(day(ahead))), round(y))

    assert ribbon(96 - 56 - 3) == look.theme["ok_tint"]
    assert ribbon(96 - 56 + 3) == look.theme["sunk"]
    assert ribbon(96 - 21 - 3) == look.theme["sunk"]
    assert ribbon(96 - 21 + 3) == look.theme["hold_tint"]


@pytest.mark.parametrize("case", list(CASES))
@pytest.mark.parametrize(("size", "mini"), [(s, False) for s in FULL_SIZES] + [(s, True) for s in MINI_SIZES])
def test_that_words_are_never_cut_off_and_never_overlap(
    look: Look, case: str, size: tuple[int, int], mini: bool
) -> None:
    image = QImage(*size, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    placed = paint_trajectory(painter, QRectF(0, 0, *size), look.theme, CASES[case], mini=mini)
    painter.end()
    for label in placed:
        assert QRectF(0, 0, *size).contains(label.box), label.words
    for one, other in combinations(placed, 2):
        assert not one.box.intersects(other.box), (one.words, other.words)


@pytest.mark.parametrize("size", FULL_SIZES + MINI_SIZES)
def test_that_the_projected_score_is_always_written(look: Look, size: tuple[int, int]) -> None:
    for case, cow in CASES.items():
        if cow.projected is None:
            continue
        image = QImage(*size, QImage.Format.Format_RGB32)
        painter = QPainter(image)
        placed = paint_trajectory(painter, QRectF(0, 0, *size), look.theme, cow, mini=size in MINI_SIZES)
        painter.end()
        assert f"{cow.projected:.1f}" in [label.words for label in placed], case


def test_that_the_full_chart_says_what_to_do_and_by_when(chart: TrajectoryChart) -> None:
    shown(chart, picture())
    words = [label.words for label in chart.placed]
    for said in ("begin by\n31\u00a0Jan", "need only from\n28\u00a0Mar", "today", "target 2.5", "not slimmed"):
        assert said in words
    assert "gentle feeding\nreaches here" in words
    assert "turnout 25\u00a0Mar\nassumed" in words
    assert "housed 8\u00a0Nov" in words


def test_that_a_start_today_is_not_called_a_date(chart: TrajectoryChart) -> None:
    shown(chart, picture("part_up", act=0))
    words = [label.words for label in chart.placed]
    assert "begin\ntoday" in words
    assert "today" not in words


def test_that_the_note_of_a_single_score_is_shown(chart: TrajectoryChart) -> None:
    shown(chart, CASES["one score"])
    assert any("direction" in label.words for label in chart.placed)


def test_that_the_chart_tells_a_screen_reader_what_it_shows(chart: TrajectoryChart) -> None:
    chart.show_picture(picture())
    assert chart.accessibleName() == "Chart of cow 0512"
    assert chart.accessibleDescription() == "1.9 at calving as she is fed"
    chart.show_picture(None)
    assert chart.accessibleDescription() == ""
    assert chart.frame() is None
    chart.grab()


def test_that_ticks_are_first_days_of_months_and_halves(chart: TrajectoryChart) -> None:
    _, frame = shown(chart, picture())
    assert [words for _, words in day_ticks(frame, 50)][:2] == ["1\u00a0Nov", "1\u00a0Dec"]
    ticks = score_ticks(frame)
    assert {tick * 2 % 1 for tick in ticks} == {0.0}
    assert len(ticks) >= 3
    assert day_words(TODAY) == "12\u00a0Jan"


def test_that_the_chart_follows_a_change_of_theme(chart: TrajectoryChart, look: Look) -> None:
    cow = picture()
    assert cow.projected is not None
    _, frame = shown(chart, cow)
    at = frame.point(day(96), cow.projected) + QPointF(0, 2)
    look.choose("daylight")
    assert colour_at(chart.grab().toImage(), at) == read_themes()["daylight"]["thin"]


def test_that_the_chart_prints_as_lines_and_letters(look: Look, tmp_path: object) -> None:
    file = f"{tmp_path}/cow.pdf"
    writer = QPdfWriter(file)
    writer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    writer.setResolution(96)
    painter = QPainter(writer)
    placed = paint_trajectory(painter, QRectF(0, 0, 640, 400), read_themes()["light"], picture())
    painter.end()
    with open(file, "rb") as stream:
        written = stream.read()
    assert placed
    assert b"/Subtype /Image" not in written
    assert b"/FontDescriptor" in written
