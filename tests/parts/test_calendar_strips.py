"""The strips of diets and dates: where they lie, how they are drawn, and how they are walked."""

from __future__ import annotations

import itertools
from datetime import date, timedelta

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from herdscore.domain.herd_strips import BlockDay, BlockLine, GroupStrip, HerdStrips, Piece
from herdscore.parts.calendar_drawing import DAY, DIET, PlacedSpot, Spot, place_strips
from herdscore.parts.calendar_strips import CalendarStrips
from herdscore.parts.theme import Look

FIRST, LAST, TODAY = date(2026, 9, 1), date(2027, 10, 1), date(2027, 1, 12)
HOUSED, TURNED = date(2026, 11, 8), date(2027, 3, 25)


def strips(groups: int = 2, name: str = "Beck side", days: tuple[BlockDay, ...] | None = None) -> HerdStrips:
    fed = (
        Piece(FIRST, HOUSED, "grass", "grass", diet="d1"),
        Piece(HOUSED, TURNED, "winter feed", "winter feed", diet="d2"),
        Piece(TURNED, LAST, "grass", "grass from turnout, assumed", assumed=True),
    )
    unsaid = (Piece(FIRST, LAST, "not said", "not said"),)
    rows = tuple(GroupStrip(f"{name} {at}", 10, unsaid if at == 1 else fed) for at in range(groups))
    dates = (BlockDay(HOUSED, "housing", "e1"), BlockDay(TURNED, "turnout", "e2")) if days is None else days
    spring = BlockLine("spring", dates, ((date(2027, 3, 1), date(2027, 5, 31)),))
    return HerdStrips(FIRST, LAST, TODAY, rows, (spring,))


@pytest.fixture
def widget(look: Look, qtbot: QtBot) -> CalendarStrips:
    made = CalendarStrips(look)
    qtbot.addWidget(made)
    made.resize(1100, 300)
    made.show_strips(strips())
    with qtbot.waitExposed(made):
        made.show()
    return made


def spot(widget: CalendarStrips, kind: str, line: int, at: int) -> PlacedSpot:
    assert widget.places is not None
    return next(one for one in widget.places.spots if (one.spot.kind, one.spot.line, one.spot.at) == (kind, line, at))


def colours(image: QImage, rect: object) -> set[str]:
    box = rect.toAlignedRect().adjusted(2, 2, -2, -2)  # type: ignore[attr-defined]
    return {
        QColor(image.pixel(x, y)).name()
        for x in range(box.left(), box.right(), 2)
        for y in range(box.top(), box.bottom())
    }


def test_that_stretches_lie_on_their_days_without_a_gap(look: Look) -> None:
    places = place_strips(strips(), 1100, look.theme)
    fed = [one.rect for one in places.spots if one.spot.kind == DIET and one.spot.line == 0]
    assert [round(right.left() - left.right()) for left, right in itertools.pairwise(fed)] == [2, 2]
    share = (TODAY - FIRST).days / (LAST - FIRST).days
    assert places.today_x == pytest.approx(places.plot.left() + share * places.plot.width())
    assert fed[-1].right() <= 1100


@pytest.mark.parametrize("scale", [1.0, 1.5])
@pytest.mark.parametrize("width", [700, 1100, 1800])
def test_that_words_of_dates_close_together_never_touch(look: Look, scale: float, width: int) -> None:
    look.choose_text_scale(scale)
    close = tuple(BlockDay(TODAY + timedelta(days=4 * n), f"weaning {n}", f"e{n}") for n in range(3))
    places = place_strips(strips(days=close), width, look.theme)
    labels = [one.label for one in places.spots if one.spot.kind == DAY]
    assert all(not one.isNull() for one in labels)
    for at, one in enumerate(labels):
        assert one.left() >= places.plot.left()
        assert one.right() <= places.plot.right() + 0.5
        assert not any(one.intersects(other) for other in labels[at + 1 :])
    assert max(one.bottom() for one in labels) < places.height


def test_that_a_long_name_leaves_the_calendar_most_of_the_room(look: Look) -> None:
    places = place_strips(strips(name="The long meadow by the old railway bridge"), 900, look.theme)
    assert places.plot.width() > 650


def test_that_forty_groups_make_the_widget_as_high_as_they_need(look: Look, qtbot: QtBot) -> None:
    made = CalendarStrips(look)
    qtbot.addWidget(made)
    made.resize(900, 200)
    made.show_strips(strips(40))
    assert made.minimumHeight() >= 40 * 34
    made.show_strips(HerdStrips(FIRST, LAST, TODAY, (), ()))
    assert made.grab().width() == 900
    assert made.spot is None


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_entered_is_tinted_assumed_hatched_and_not_said_empty(
    widget: CalendarStrips, look: Look, theme: str
) -> None:
    look.choose(theme)
    image = widget.grab().toImage()
    shown = look.theme
    entered = colours(image, spot(widget, DIET, 0, 0).rect.adjusted(60, 0, 0, 0))
    assert shown["ok_tint"].name() in entered
    assumed = colours(image, spot(widget, DIET, 0, 2).rect.adjusted(250, 0, 0, 0))
    assert shown["surface"].name() in assumed
    assert shown["ok_tint"].name() not in assumed
    assert len(assumed) > 1, "hatched"
    unsaid = colours(image, spot(widget, DIET, 1, 0).rect.adjusted(500, 0, -100, 0))
    assert unsaid == {shown["surface"].name()}


def test_that_a_date_ahead_is_an_open_dot_and_a_past_one_filled(widget: CalendarStrips, look: Look) -> None:
    image = widget.grab().toImage()
    past, ahead = (spot(widget, DAY, 2, at).rect.center().toPoint() for at in (0, 1))
    assert image.pixelColor(past).name() == look.theme["ink"].name()
    assert image.pixelColor(ahead).name() == look.theme["surface"].name()


def test_that_arrow_keys_walk_and_enter_and_delete_tell_what_is_there(widget: CalendarStrips, qtbot: QtBot) -> None:
    opened: list[Spot] = []
    struck: list[Spot] = []
    widget.opened.connect(opened.append)
    widget.strike_wished.connect(struck.append)
    widget.setFocus()
    assert widget.spot is not None
    assert widget.spot.record == "d2", "the stretch of today"
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Left, Qt.Key.Key_Left):
        qtbot.keyClick(widget, key)
    assert widget.spot.record == "d1"
    qtbot.keyClick(widget, Qt.Key.Key_F2)
    for _ in range(2):
        qtbot.keyClick(widget, Qt.Key.Key_Down)
    assert (widget.spot.kind, widget.spot.record) == (DAY, "e1")
    assert widget.accessibleDescription() == "Spring: housing 8\u00a0Nov"
    qtbot.keyClick(widget, Qt.Key.Key_Delete)
    qtbot.keyClick(widget, Qt.Key.Key_Down)
    assert widget.spot.record == "e1", "there is no line below"
    assert [one.record for one in opened] == ["d1"]
    assert [one.record for one in struck] == ["e1"]


def test_that_the_spot_stays_on_its_record_when_other_strips_come(widget: CalendarStrips, qtbot: QtBot) -> None:
    widget.setFocus()
    moved = BlockDay(HOUSED - timedelta(days=20), "housing", "e1")
    for _ in range(2):
        qtbot.keyClick(widget, Qt.Key.Key_Down)
    assert widget.spot is not None
    record = widget.spot.record
    widget.show_strips(strips(days=(moved, BlockDay(TURNED, "turnout", "e2"))))
    assert widget.spot.record == record
    widget.show_strips(strips(days=()))
    assert widget.spot is None


def test_that_a_click_opens_what_lies_there_and_a_dot_has_room_about_it(widget: CalendarStrips, qtbot: QtBot) -> None:
    opened: list[Spot] = []
    widget.opened.connect(opened.append)
    dot = spot(widget, DAY, 2, 1).rect.center().toPoint()
    qtbot.mouseClick(widget, Qt.MouseButton.LeftButton, pos=dot + QPoint(12, -8))
    qtbot.mouseClick(widget, Qt.MouseButton.LeftButton, pos=spot(widget, DIET, 1, 0).rect.center().toPoint())
    qtbot.mouseClick(widget, Qt.MouseButton.LeftButton, pos=QPoint(3, 3))
    assert [(one.kind, one.record) for one in opened] == [(DAY, "e2"), (DIET, "")]
