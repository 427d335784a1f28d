"""The charts of groups: marks stand where their scores are, words keep clear, and every odd herd can be drawn."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from herdscore.parts.group_drawing import height_of, paint_strips, say
from herdscore.parts.group_layout import lay_out, mark_at, place_marks
from herdscore.parts.group_paths import GroupPaths, PathsFrame
from herdscore.parts.group_picture import PathLine, PathsPicture, Strip, StripsPicture
from herdscore.parts.group_strips import GroupStrips
from herdscore.parts.mark_flow import MarkFlow
from herdscore.parts.save_picture import save_picture
from herdscore.parts.theme import Look, read_themes

NAN = float("nan")


def strip(name: str, values: list[float], *, in_milk: bool = False, small: bool = False, mark: str = "dot") -> Strip:
    known = np.array([value for value in values if value == value])
    lower, median, upper = np.quantile(known, (0.25, 0.5, 0.75)).tolist() if len(known) else (NAN, NAN, NAN)
    return Strip(
        name=name,
        note=f"{len(values)} cows",
        in_milk=in_milk,
        values=np.array(values),
        marks=tuple([mark] * len(values)),
        keys=tuple(f"{name}-{at}" for at in range(len(values))),
        lower=lower,
        median=median,
        upper=upper,
        is_small=small,
        below="2 below",
        above="1 above",
    )


TWO = StripsPicture(
    (strip("Beck side", [-0.5, 0.0, 0.02, 0.6, NAN]), strip("Quarry", [0.1, 0.3, -0.2], in_milk=True)),
    description="Two groups.",
)


@pytest.fixture
def strips(look: Look, qtbot: QtBot) -> GroupStrips:
    made = GroupStrips(look, lambda key: f"tip of {key}")
    qtbot.addWidget(made)
    made.resize(640, 400)
    with qtbot.waitExposed(made):
        made.show()
    made.show_picture(TWO)
    return made


def image_of(strips: GroupStrips) -> QImage:
    return strips.viewport().grab().toImage()


def near(image: QImage, at: QPointF, wanted: str, look: Look) -> bool:
    """Whether a colour is found within a few px of a point."""
    colour = look.theme[wanted].rgb()
    x, y = round(at.x()), round(at.y())
    return any(image.pixel(x + dx, y + dy) == colour for dx in range(-3, 4) for dy in range(-3, 4))


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_each_cow_is_drawn_where_her_score_is(strips: GroupStrips, look: Look, theme: str) -> None:
    look.choose(theme)
    image = image_of(strips)
    for place, one in enumerate(TWO.strips):
        for key, value in zip(one.keys, one.values.tolist(), strict=True):
            if value == value:
                assert near(image, strips.point_of(place, key), "ok", look), key
    x = [strips.point_of(0, key).x() for key in TWO.strips[0].keys[:4]]
    assert x == sorted(x)
    assert x[0] == pytest.approx(strips.point_of(1, "Quarry-2").x() - 0.3 * (x[3] - x[0]) / 1.1, abs=0.6)


def test_that_marks_that_would_touch_stand_on_one_another(strips: GroupStrips) -> None:
    first, second = (strips.point_of(0, key) for key in ("Beck side-1", "Beck side-2"))
    assert abs(first.y() - second.y()) > 5
    assert strips.point_of(0, "Beck side-0").y() == max(first.y(), second.y())


def test_that_what_needs_work_stands_lowest(look: Look) -> None:
    made = strip("Beck side", [0.0, 0.0, 0.0])
    made = Strip(**{**made.__dict__, "marks": ("dot", "now_up", "early")})
    picture = StripsPicture((made,))
    layout = lay_out(picture, 600, 200, look.theme)
    placed = place_marks(made, layout, layout.rows[0])
    assert placed.y.argmax() == 1
    assert placed.y.argmin() == 2


@pytest.mark.parametrize("cows", [1, 40, 300, 2000])
def test_that_any_number_of_cows_stays_within_its_strip(look: Look, cows: int) -> None:
    rng = np.random.default_rng(cows)
    made = strip("Beck side", rng.normal(0, 0.3, cows).tolist())
    layout = lay_out(StripsPicture((made,)), 560, 120, look.theme)
    placed, row = place_marks(made, layout, layout.rows[0]), layout.rows[0]
    assert (placed.y - placed.px / 2 >= row.top() - 0.01).all()
    assert (placed.y + placed.px / 2 <= row.bottom() - layout.line / 2).all()
    assert ((placed.x >= layout.plot_left) & (placed.x <= layout.plot_right)).all()
    assert len(set(zip(placed.x.round(3).tolist(), placed.y.round(3).tolist(), strict=True))) == cows


def test_that_keys_walk_from_group_to_group_and_cow_to_cow(strips: GroupStrips, qtbot: QtBot) -> None:
    strips.setFocus()
    qtbot.keyClick(strips, Qt.Key.Key_Right)
    assert strips.current_cow == "Beck side-0"
    qtbot.keyClick(strips, Qt.Key.Key_Right)
    qtbot.keyClick(strips, Qt.Key.Key_Left)
    assert strips.current_cow == "Beck side-0"
    assert strips.accessibleDescription() == "Two groups. tip of Beck side-0"
    with qtbot.waitSignal(strips.opened) as opened:
        qtbot.keyClick(strips, Qt.Key.Key_Return)
    assert opened.args == ["Beck side-0"]
    with qtbot.waitSignal(strips.chosen) as chosen:
        qtbot.keyClick(strips, Qt.Key.Key_Down)
    assert chosen.args == [1]
    assert strips.current_cow is None
    qtbot.keyClick(strips, Qt.Key.Key_Left)
    assert strips.current_cow == "Quarry-1", "the rightmost"
    qtbot.keyClick(strips, Qt.Key.Key_Escape)
    assert strips.current_cow is None
    qtbot.keyClick(strips, Qt.Key.Key_Home)
    assert strips.current == 0


def test_that_a_click_takes_the_cow_and_a_double_click_opens_her(strips: GroupStrips, qtbot: QtBot) -> None:
    at = strips.point_of(1, "Quarry-1").toPoint()
    qtbot.mouseClick(strips.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert (strips.current, strips.current_cow) == (1, "Quarry-1")
    with qtbot.waitSignal(strips.opened):
        qtbot.mouseDClick(strips.viewport(), Qt.MouseButton.LeftButton, pos=at)


def test_that_the_choice_is_kept_when_the_groups_are_worked_out_anew(strips: GroupStrips, qtbot: QtBot) -> None:
    strips.choose(1)
    strips.setFocus()
    qtbot.keyClick(strips, Qt.Key.Key_Right)
    strips.show_picture(StripsPicture((TWO.strips[1], TWO.strips[0])))
    assert strips.picture.strips[strips.current].name == "Quarry"
    assert strips.current_cow == "Quarry-2"


def test_that_forty_groups_scroll_and_the_axis_stays(strips: GroupStrips, qtbot: QtBot, look: Look) -> None:
    many = tuple(strip(f"Field {n}", [0.1 * (n % 5), -0.2]) for n in range(40))
    strips.show_picture(StripsPicture(many))
    assert strips.verticalScrollBar().maximum() > 1000
    before = image_of(strips)
    strips.setFocus()
    qtbot.keyClick(strips, Qt.Key.Key_End)
    assert strips.current == 39
    assert strips.verticalScrollBar().value() == strips.verticalScrollBar().maximum()
    after = image_of(strips)
    foot = round(after.height() / after.devicePixelRatio()) - 12
    row = [after.pixel(x, foot) == before.pixel(x, foot) for x in range(60, after.width() - 10)]
    assert all(row), "the words of the axis are where they were"


@pytest.mark.parametrize(
    "picture",
    [
        StripsPicture(()),
        StripsPicture((strip("Beck side", []),)),
        StripsPicture((strip("Beck side", [NAN, NAN]),)),
        StripsPicture((strip("Beck side", [0.1], small=True),)),
        StripsPicture((strip("W" * 90, [0.1, 2.4, -1.9]),)),
        StripsPicture((strip("Quarry", [0.0, 0.0], in_milk=True),)),
    ],
    ids=["none", "empty", "no score", "one cow", "long name", "all in milk"],
)
@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_that_odd_herds_are_drawn(strips: GroupStrips, look: Look, picture: StripsPicture, scale: float) -> None:
    look.choose_text_scale(scale)
    strips.show_picture(picture)
    strips.resize(320, 190)
    assert not image_of(strips).isNull()


def test_that_a_small_group_is_drawn_thinner_than_a_large_one(look: Look) -> None:
    theme = read_themes()["light"]
    inks = []
    for small in (False, True):
        picture = StripsPicture((strip("Beck side", [-0.3, -0.1, 0.1, 0.4], small=small),))
        image = QImage(600, 160, QImage.Format.Format_RGB32)
        image.fill(theme["surface"])
        painter = QPainter(image)
        paint_strips(painter, QRectF(0, 0, 600, 160), theme, picture)
        painter.end()
        inks.append(sum(image.pixel(x, y) == theme["ink"].rgb() for x in range(190, 600) for y in range(60, 140)))
    assert inks[0] > 3 * inks[1]


@pytest.mark.parametrize("ending", [".png", ".svg"])
def test_that_the_chart_is_saved_as_a_picture(tmp_path: Path, look: Look, ending: str) -> None:
    theme = read_themes()["light"]
    high = round(height_of(TWO, 800, theme))
    path = save_picture(
        tmp_path / f"groups{ending}",
        QSize(800, high),
        lambda painter: paint_strips(painter, QRectF(0, 0, 800, high), theme, TWO),
    )
    data = path.read_bytes()
    assert data.startswith(b"\x89PNG" if ending == ".png" else b"<?xml")
    if ending == ".svg":
        assert b"Beck side" in data


def test_that_the_cow_nearest_to_the_pointer_is_found(look: Look) -> None:
    layout = lay_out(TWO, 600, 300, look.theme)
    placed = [place_marks(one, layout, row) for one, row in zip(TWO.strips, layout.rows, strict=True)]
    x, y = float(placed[0].x[3]), float(placed[0].y[3])
    assert mark_at(layout.rows, placed, x + 5, y - 5) == (0, 3)
    assert mark_at(layout.rows, placed, x - 60, y) == (0, None)
    assert mark_at(layout.rows, placed, x, -30) == (None, None)


def test_that_scores_less_target_are_written_with_a_true_minus_sign() -> None:
    assert [say(value) for value in (-0.05, 0.25, 0.0, -0.001, 1.0)] == ["\u22120.05", "+0.25", "0", "0", "+1.00"]


# The ways to calving


def line(name: str, end: float, *, bold: bool = False) -> PathLine:
    return PathLine(
        name, np.array([160.0, 120.0]), np.array([0.3, 0.1]), np.array([90.0, 0.0]), np.array([0.1, end]), bold
    )


def test_that_names_at_the_ends_keep_apart(look: Look, qtbot: QtBot) -> None:
    picture = PathsPicture(tuple(line(f"Group {n}", 0.01 * n, bold=n == 3) for n in range(6)), description="Six ways.")
    chart = GroupPaths(look)
    qtbot.addWidget(chart)
    chart.resize(520, 200)
    chart.show_picture(picture)
    assert chart.accessibleDescription() == "Six ways."
    image = chart.grab().toImage()
    frame = PathsFrame(picture, QRectF(chart.rect()), look.theme)
    left = round(frame.plot.right()) + 8
    inks = {look.theme["ink"].rgb(), look.theme["ink_second"].rgb()}
    rows = [
        any(image.pixel(x, y) in inks for x in range(left, left + 60))
        for y in range(round(frame.plot.top()), round(frame.plot.bottom()))
    ]
    blocks = sum(now and not before for before, now in zip([False, *rows], rows, strict=False))
    assert blocks >= 6, "six names, six lines of ink with a gap between"


def test_that_the_first_point_lies_left_of_the_last_and_higher_is_up(look: Look) -> None:
    frame = PathsFrame(PathsPicture((line("A", -0.2),)), QRectF(0, 0, 500, 200), look.theme)
    assert frame.x(160) < frame.x(90) < frame.x(0)
    assert frame.y(0.3) < frame.y(0) < frame.y(-0.2)


def test_that_no_way_is_said_and_forty_ways_fit(look: Look, qtbot: QtBot) -> None:
    chart = GroupPaths(look)
    qtbot.addWidget(chart)
    chart.resize(300, 150)
    chart.show_picture(PathsPicture(()))
    assert not chart.grab().isNull()
    chart.show_picture(PathsPicture(tuple(line("W" * 60, 0.1 * n - 2) for n in range(40))))
    assert not chart.grab().isNull()


def test_that_the_key_goes_on_to_another_line_where_it_must(look: Look, qtbot: QtBot) -> None:
    key = MarkFlow(look, [(("now_up", "now_down"), "begin now"), (("dot",), "on course"), (("vet",), "vet first")])
    qtbot.addWidget(key)
    key.resize(600, 20)
    with qtbot.waitExposed(key):
        key.show()
    one = key.height()
    key.resize(150, one)
    qtbot.waitUntil(lambda: key.height() > 1.8 * one)
    assert "triangle up, triangle down: begin now" in key.accessibleName()
