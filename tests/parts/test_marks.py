"""The verdict marks can be told apart by shape alone."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from herdscore.parts.marks import BACK_TO_FRONT, MARKS, MarkGlyph, MarkKey, mark_hue, mark_pen, mark_tint, paint_mark
from herdscore.parts.theme import Look, Theme, read_themes

SHOWN = [mark for mark in BACK_TO_FRONT if mark != "none"]


def drawn(mark: str, theme: Theme, px: float | None = None) -> NDArray[np.uint8]:
    """Grey picture of one mark, 40 by 40."""
    image = QImage(40, 40, QImage.Format.Format_Grayscale8)
    image.fill(QColor(theme["surface"]))
    painter = QPainter(image)
    paint_mark(painter, theme, mark, QPointF(20, 20), px)
    painter.end()
    return np.frombuffer(bytes(image.constBits()), dtype=np.uint8).reshape(40, image.bytesPerLine())[:, :40]


@pytest.mark.usefixtures("look")
def test_that_no_two_marks_look_alike_without_colour() -> None:
    plain = read_themes()["light"]
    black = Theme("ink", {role: QColor("white" if role == "surface" else "black") for role in plain.roles}, 1)
    pictures = {mark: drawn(mark, black).astype(int) for mark in SHOWN}
    for one, other in combinations(SHOWN, 2):
        assert (np.abs(pictures[one] - pictures[other]) > 100).sum() >= 12, (one, other)


@pytest.mark.usefixtures("look")
def test_that_marks_of_one_size_differ_by_shape_but_for_the_two_dots() -> None:
    plain = read_themes()["light"]
    black = Theme("ink", {role: QColor("white" if role == "surface" else "black") for role in plain.roles}, 1)
    pictures = {mark: drawn(mark, black, 26).astype(int) for mark in SHOWN}
    alike = {
        (one, other)
        for one, other in combinations(SHOWN, 2)
        if (np.abs(pictures[one] - pictures[other]) > 100).sum() < 20
    }
    # "Too early" is the dot of "on course" in a smaller size; a ring in ink tells part way from now, in colour.
    assert alike <= {("early", "dot"), ("now_up", "part_up"), ("now_down", "part_down")}


def test_that_up_and_down_are_the_same_shape_turned_over(look: Look) -> None:
    up, down = drawn("now_up", look.theme, 30), drawn("now_down", look.theme, 30)
    filled_up = (up < 200).sum(axis=1)
    filled_down = (down < 200).sum(axis=1)
    assert filled_up[10:18].sum() < filled_up[22:30].sum()
    assert filled_down[10:18].sum() > filled_down[22:30].sum()


def test_that_time_in_hand_is_open_and_now_is_filled(look: Look) -> None:
    surface = QColor(look.theme["surface"]).lightness()
    assert drawn("hand_up", look.theme, 30)[22, 20] == pytest.approx(surface, abs=2)
    assert drawn("now_up", look.theme, 30)[22, 20] < 150


def test_that_none_leaves_the_page_empty(look: Look) -> None:
    assert np.ptp(drawn("none", look.theme)) == 0


def test_that_rims_grow_with_a_scaled_painter(look: Look) -> None:
    assert not mark_pen(look.theme, "hand_up").isCosmetic()


def test_that_every_mark_has_a_colour_of_the_table_and_words(look: Look) -> None:
    for mark in SHOWN:
        assert mark_hue(mark) in look.theme.roles
        assert mark_tint(mark) in ("thin", "fat", "ok", "hold", "score", "sunk")
        assert MARKS[mark].words


def test_that_what_needs_work_lies_on_top() -> None:
    order = BACK_TO_FRONT.index
    assert order("dot") < order("square") < order("now_up") < order("part_up") < order("vet")


def test_that_a_glyph_says_its_verdict_to_a_screen_reader(look: Look, qtbot: QtBot) -> None:
    glyph = MarkGlyph(look)
    qtbot.addWidget(glyph)
    glyph.show_mark("now_up", "ease up now")
    assert glyph.mark == "now_up"
    assert glyph.accessibleName() == "ease up now"
    assert glyph.width() >= MARKS["now_up"].px


def test_that_a_key_row_holds_a_glyph_for_every_mark_it_names(look: Look, qtbot: QtBot) -> None:
    row = MarkKey(look, [(("now_up", "now_down"), "now"), (("dot",), "on course")])
    qtbot.addWidget(row)
    assert [glyph.mark for glyph in row.findChildren(MarkGlyph)] == ["now_up", "now_down", "dot"]
