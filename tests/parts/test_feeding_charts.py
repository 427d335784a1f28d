"""The step chart and the strips of cows: walked by keys, told in words, saved as dots and as shapes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from herdscore.parts.fed_drawing import FedPicture, FedStrip, frame_of, paint_fed, places
from herdscore.parts.fed_strips import FedStrips
from herdscore.parts.save_picture import save_picture
from herdscore.parts.step_chart import StepChart
from herdscore.parts.step_drawing import FeedStep, StepMark, StepPhase, StepPicture, paint_steps
from herdscore.parts.theme import Look, read_themes

STEPS = StepPicture(
    title="Long barn eases up: Barley by +2.3 kg in 4 steps, back at need by 19 Mar",
    under="Energy a head a day, MJ, of 12 cows.",
    start=date(2027, 1, 12),
    today=0.0,
    end=110.0,
    steps=tuple(FeedStep(day, mj, f"day {day:g}: {mj:g} MJ") for day, mj in ((-8, 76), (0, 89), (8, 102), (60, 90))),
    before=70.0,
    need=tuple((day, 69 + 0.3 * day) for day in range(0, 111, 7)),
    phases=(
        StepPhase(-8, 8, "up", "steps up"),
        StepPhase(8, 60, "level", "keep level"),
        StepPhase(60, 110, "calving", "c"),
    ),
    marks=(StepMark(66, "need only\nfrom 19 Mar"),),
)
FED = FedPicture(
    "This ration brings 2 of 3 into the band instead of 1",
    "Each cow's score less target.",
    ("0512", "0513", "0514"),
    (
        FedStrip("now", np.array([-0.5, 0.0, 0.1]), ("dot",) * 3),
        FedStrip(
            "at calving,\nthis ration", np.array([-0.3, 0.1, 0.2]), ("now_up", "dot", "dot"), "2 of 3\nin the band"
        ),
    ),
    0.25,
)


def test_that_steps_are_walked_by_keys_and_told(look: Look, qtbot: QtBot) -> None:
    chart = StepChart(look)
    qtbot.addWidget(chart)
    chart.resize(700, 380)
    chart.show_picture(STEPS)
    with qtbot.waitSignal(chart.step_chosen) as told:
        qtbot.keyClick(chart, Qt.Key.Key_Right)
    assert told.args == [1]  # the step in force today
    qtbot.keyClick(chart, Qt.Key.Key_End)
    assert chart.current == 3
    assert chart.accessibleDescription().startswith("day 60: 90 MJ")
    qtbot.keyClick(chart, Qt.Key.Key_Home)
    assert chart.current == 0
    chart.show_empty("No feeds yet.")
    assert (chart.current, chart.accessibleName()) == (None, "No feeds yet.")


def test_that_cows_are_walked_by_where_they_will_calve_and_opened(look: Look, qtbot: QtBot) -> None:
    strips = FedStrips(look)
    qtbot.addWidget(strips)
    strips.resize(640, 360)
    strips.show_picture(FED)
    qtbot.keyClick(strips, Qt.Key.Key_Right)
    assert strips.current == "0512"
    assert "\u22120.30" in strips.accessibleDescription()
    with qtbot.waitSignal(strips.opened) as told:
        qtbot.keyClick(strips, Qt.Key.Key_Return)
    assert told.args == ["0512"]
    qtbot.keyClick(strips, Qt.Key.Key_Escape)
    assert strips.current is None


def test_that_a_cow_without_a_figure_has_no_mark() -> None:
    unknown = FedPicture("t", "u", ("a",), (FedStrip("now", np.array([np.nan]), ("dot",)),), 0.25)
    points = places(frame_of(QRectF(0, 0, 400, 200), read_themes()["light"], unknown), unknown)
    assert points[0][0].x() != points[0][0].x()


@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_that_no_words_of_the_steps_lie_over_others(look: Look, scale: float) -> None:
    look.choose_text_scale(scale)
    image = QImage(QSize(700, 420), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    placed = paint_steps(painter, QRectF(0, 0, 700, 420), look.theme, STEPS)
    painter.end()
    assert {"today", "need only\nfrom 19 Mar"} <= {label.words for label in placed}
    for at, label in enumerate(placed):
        assert not any(label.box.intersects(other.box) for other in placed[at + 1 :])


@pytest.mark.parametrize("form", ["png", "svg"])
def test_that_both_charts_are_saved_as_dots_and_as_shapes(look: Look, tmp_path: Path, form: str) -> None:
    theme, box = read_themes()["light"], QRectF(0, 0, 600, 400)
    for name, paint in (
        ("steps", lambda painter: paint_steps(painter, box, theme, STEPS)),
        ("cows", lambda painter: paint_fed(painter, box, theme, FED)),
    ):
        made = save_picture(tmp_path / f"{name}.{form}", QSize(600, 400), paint)
        if form == "svg":
            assert ("offered" if name == "steps" else "band") in made.read_text("utf-8")
        else:
            image = QImage(str(made))
            colours = {image.pixel(x, y) for x in range(0, image.width(), 3) for y in range(0, image.height(), 3)}
            assert len(colours) > 5
