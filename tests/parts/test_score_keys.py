"""The keys at the crush: big enough, named, and showing the state they are told."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QAbstractButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from herdscore.parts.crush_keys import NoteKey, PenKey
from herdscore.parts.feel_drawing import SITES, FeelDrawing, skin_line
from herdscore.parts.score_keys import HALVES, RowState, ScoreRow, key_of, score_words
from herdscore.parts.theme import Look

SMALLEST_ROW_PX = 660  # left half of the crush page at 1280 px


@pytest.fixture
def row(look: Look, qtbot: QtBot) -> ScoreRow:
    made = ScoreRow(look, "Loin")
    qtbot.addWidget(made)
    made.resize(SMALLEST_ROW_PX, made.height())
    made.ensurePolished()
    layout = made.layout()
    assert layout is not None
    layout.activate()
    return made


def has(picture: QImage, colour: object) -> bool:
    """Whether a colour is found anywhere in a picture."""
    return any(
        picture.pixelColor(x, y) == colour for x in range(0, picture.width(), 2) for y in range(picture.height())
    )


def test_that_every_key_is_at_least_54_by_62_in_the_smallest_window(row: ScoreRow) -> None:
    row.set_key_height(62)
    for key in row.keys:
        assert key.width() >= 54
        assert key.height() >= 62
        assert key.minimumSizeHint().width() >= 54


def test_that_every_key_says_site_and_score(row: ScoreRow) -> None:
    assert [key.accessibleName() for key in row.keys] == [f"Loin {1 + at / 2:g}" for at in range(HALVES)]


def test_that_the_quarter_is_shown_and_said_on_the_key_of_its_half(row: ScoreRow) -> None:
    row.show_state(RowState(chosen=9, last=9))
    assert row.keys[2].text() == "2.25"
    assert row.keys[2].accessibleName() == "Loin 2.25, chosen, last time"
    assert [key.isChecked() for key in row.keys].index(True) == 2
    row.show_state(RowState(chosen=12))
    assert row.keys[2].text() == "2"
    assert row.keys[4].isChecked()


@pytest.mark.parametrize(("quarters", "key"), [(4, 0), (5, 0), (6, 1), (9, 2), (19, 7), (20, 8)])
def test_that_a_score_lies_on_the_key_of_its_half(quarters: int, key: int) -> None:
    assert key_of(quarters) == key


def test_that_keys_show_scores_as_lists_do() -> None:
    assert [score_words(quarters) for quarters in (4, 9, 10, 20)] == ["1", "2.25", "2.5", "5"]


def test_that_a_press_is_told_and_changes_nothing_by_itself(row: ScoreRow, qtbot: QtBot) -> None:
    with qtbot.waitSignal(row.pressed) as told:
        qtbot.mouseClick(row.keys[3], Qt.MouseButton.LeftButton)
    assert told.args == [3]
    assert not any(key.isChecked() for key in row.keys)


def test_that_a_chosen_key_is_filled_and_the_ring_stands_off_it(row: ScoreRow, look: Look) -> None:
    row.show_state(RowState(chosen=8, ring=2, active=True))
    picture = row.keys[2].grab().toImage()
    assert picture.pixelColor(12, picture.height() // 2) == look.theme["primary"]
    assert picture.pixelColor(picture.width() // 2, 1) == look.theme["focus"]
    assert picture.pixelColor(picture.width() // 2, 4) != look.theme["primary"]


def test_that_the_pip_is_hollow_for_a_half_and_solid_for_a_quarter(row: ScoreRow, look: Look) -> None:
    def pip() -> object:
        picture = row.keys[2].grab().toImage()
        return picture.pixelColor(picture.width() // 2, picture.height() - 12)

    row.show_state(RowState(chosen=8))
    assert pip() == look.theme["primary"]
    row.show_state(RowState(chosen=9))
    assert pip() == look.theme["on_primary"]


def test_that_last_time_carries_a_bar_until_it_is_chosen_again(row: ScoreRow, look: Look) -> None:
    row.show_state(RowState(last=8))
    assert has(row.keys[2].grab().toImage(), look.theme["ink_second"])
    row.show_state(RowState(last=8, chosen=8))
    assert not has(row.keys[2].grab().toImage(), look.theme["ink_second"])


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_four_signs_fit_inside_the_narrowest_key(row: ScoreRow, look: Look, theme: str) -> None:
    look.choose(theme)
    row.show_state(RowState(chosen=11))
    key = row.keys[key_of(11)]
    key.resize(54, 62)
    picture = key.grab().toImage()
    rim = [picture.pixelColor(4, y) for y in range(14, 40)]
    assert all(colour == look.theme["primary"] for colour in rim)


def test_that_notes_toggle_and_the_unsafe_key_does_not(look: Look, qtbot: QtBot) -> None:
    feet, unsafe = NoteKey(look, "F", "Feet"), NoteKey(look, "X", "Not scored: unsafe", toggles=False)
    for key in (feet, unsafe):
        qtbot.addWidget(key)
        qtbot.mouseClick(key, Qt.MouseButton.LeftButton)
    assert feet.isChecked()
    assert not unsafe.isChecked()
    assert feet.accessibleName() == "Feet"
    assert feet.height() >= 44


def test_that_a_pen_says_its_name_count_and_whether_it_is_chosen(look: Look, qtbot: QtBot) -> None:
    pen = PenKey(look)
    qtbot.addWidget(pen)
    pen.show_pen("now_up", "Top yard", "9 of 24 in", chosen=True)
    assert pen.accessibleName() == "Top yard, 9 of 24 in, chosen"
    assert pen.isChecked()
    qtbot.mouseClick(pen, Qt.MouseButton.LeftButton)
    assert pen.isChecked()


def test_that_no_painted_key_is_without_a_name(look: Look, qtbot: QtBot) -> None:
    page = QWidget()
    qtbot.addWidget(page)
    line = QVBoxLayout(page)
    pen = PenKey(look)
    pen.show_pen("dot", "North park", "47 in", chosen=False)
    for part in (ScoreRow(look, "Ribs"), NoteKey(look, "U", "Udder"), pen):
        line.addWidget(part)
    keys = page.findChildren(QAbstractButton)
    assert len(keys) == HALVES + 2
    assert all(key.accessibleName() for key in keys)


@pytest.mark.parametrize("site", list(SITES))
def test_that_cover_grows_and_hollows_fill_with_the_score(site: str) -> None:
    bones = SITES[site]
    cover, hollow = [], []
    for score in np.arange(1.0, 5.01, 0.5):
        _, skin = skin_line(bones, float(score), 230.0, 100.0, 0.6)
        cover.append(100.0 - 0.6 * bones.height - skin.min())
        hollow.append(skin.max() - skin.min())
    assert np.all(np.diff(cover) > 0)
    assert np.all(np.diff(hollow) <= 0)
    assert hollow[0] > 10
    assert hollow[-1] == pytest.approx(0.0)


def test_that_the_drawing_names_site_and_score(look: Look, qtbot: QtBot) -> None:
    drawing = FeelDrawing(look)
    qtbot.addWidget(drawing)
    drawing.resize(230, 110)
    drawing.show_feel("tailhead", 2.25)
    assert drawing.accessibleName() == "What the hand feels: tailhead at 2.25"
    scored = drawing.grab().toImage()
    drawing.show_feel("tailhead", None)
    assert drawing.grab().toImage() != scored
