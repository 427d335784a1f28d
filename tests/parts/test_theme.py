"""Colours and their contrast, fonts, the style sheet and the change of theme."""

from __future__ import annotations

import re

import pytest
from PySide6.QtGui import QColor, QFontInfo
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from herdscore import shipped
from herdscore.parts.buttons import button
from herdscore.parts.labels import label, restyle
from herdscore.parts.marks import MarkGlyph
from herdscore.parts.theme import FAMILY, NAMES, Look, contrast, load_fonts, read_themes, style_sheet

# Contrast of (role on ground) as the colour table of this program's design gives it, to 0.1:
# worked out there with the WCAG 2.x formula.
TABLE = {
    "light": {
        ("ink", "surface"): 16.8,
        ("ink", "page"): 15.3,
        ("ink_second", "surface"): 8.6,
        ("ink_second", "page"): 7.8,
        ("edge", "surface"): 3.6,
        ("edge", "page"): 3.3,
        ("on_primary", "primary"): 10.0,
        ("ink", "selected"): 13.6,
        ("focus", "surface"): 18.9,
        ("thin", "surface"): 5.7,
        ("thin", "page"): 5.2,
        ("thin", "thin_tint"): 4.8,
        ("fat", "surface"): 6.7,
        ("fat", "page"): 6.1,
        ("fat", "fat_tint"): 5.6,
        ("ok", "surface"): 5.5,
        ("ok", "page"): 5.0,
        ("ok", "ok_tint"): 4.6,
        ("hold", "surface"): 12.1,
        ("hold", "page"): 11.0,
        ("hold", "hold_tint"): 9.8,
        ("score", "surface"): 12.5,
        ("score", "page"): 11.4,
        ("on_rail", "rail"): 10.7,
    },
    "dark": {
        ("ink", "surface"): 14.1,
        ("ink", "page"): 15.8,
        ("ink_second", "surface"): 9.0,
        ("ink_second", "page"): 10.0,
        ("edge", "surface"): 4.6,
        ("edge", "page"): 5.2,
        ("on_primary", "primary"): 9.9,
        ("ink", "selected"): 9.6,
        ("focus", "surface"): 16.1,
        ("thin", "surface"): 7.7,
        ("thin", "page"): 8.6,
        ("thin", "thin_tint"): 6.7,
        ("fat", "surface"): 6.9,
        ("fat", "page"): 7.7,
        ("fat", "fat_tint"): 5.8,
        ("ok", "surface"): 7.6,
        ("ok", "page"): 8.5,
        ("ok", "ok_tint"): 6.3,
        ("hold", "surface"): 12.1,
        ("hold", "page"): 13.5,
        ("hold", "hold_tint"): 10.5,
        ("score", "surface"): 12.7,
        ("score", "page"): 14.2,
        ("on_rail", "rail"): 12.9,
    },
    "daylight": {
        ("ink", "surface"): 21.0,
        ("ink_second", "surface"): 16.7,
        ("edge", "surface"): 21.0,
        ("on_primary", "primary"): 14.9,
        ("ink", "selected"): 16.2,
        ("focus", "surface"): 5.5,
        ("thin", "surface"): 8.4,
        ("thin", "thin_tint"): 6.9,
        ("fat", "surface"): 9.2,
        ("fat", "fat_tint"): 7.5,
        ("ok", "surface"): 8.6,
        ("ok", "ok_tint"): 7.1,
        ("hold", "surface"): 15.4,
        ("hold", "hold_tint"): 11.5,
        ("score", "surface"): 21.0,
        ("on_rail", "rail"): 21.0,
    },
}
INK_ON_TINTS = {"light": 13.6, "dark": 11.6, "daylight": 15.7}
CRUSH_TEXT = {"light": 7.0, "dark": 7.8, "daylight": 14.6}


@pytest.mark.parametrize("name", NAMES)
def test_that_every_colour_has_the_contrast_of_the_table(name: str) -> None:
    theme = read_themes()[name]
    for (role, ground), wanted in TABLE[name].items():
        assert contrast(theme[role], theme[ground]) == pytest.approx(wanted, abs=0.06), (role, ground)


@pytest.mark.parametrize("name", NAMES)
def test_that_ink_on_the_tints_is_as_the_table_says(name: str) -> None:
    theme = read_themes()[name]
    least = min(contrast(theme["ink"], theme[f"{hue}_tint"]) for hue in ("thin", "fat", "ok", "hold"))
    assert least == pytest.approx(INK_ON_TINTS[name], abs=0.06)


@pytest.mark.parametrize("name", NAMES)
def test_that_text_at_the_crush_has_seven_to_one_in_every_theme(name: str) -> None:
    theme = read_themes()[name]
    for ground in ("page", "surface", "sunk"):
        for role in ("ink", "ink_second"):
            found = contrast(theme[role], theme[ground])
            assert found >= 7.0
            assert round(found, 1) >= CRUSH_TEXT[name], (role, ground)


def test_that_black_on_white_has_a_contrast_of_twenty_one() -> None:
    assert contrast(QColor("#000000"), QColor("#FFFFFF")) == pytest.approx(21.0)  # WCAG 2.x


@pytest.mark.parametrize("name", NAMES)
def test_that_every_word_of_the_style_sheet_is_filled_in(name: str) -> None:
    assert "$" not in style_sheet(read_themes()[name])


@pytest.mark.parametrize("name", NAMES)
def test_that_icons_are_drawn_in_colours_of_their_theme(name: str) -> None:
    theme = read_themes()[name]
    for file in (shipped.resources() / "icons" / name).glob("*.svg"):
        wanted = theme["on_primary" if file.stem == "tick" else "ink"].name().lower()
        assert re.findall(r'stroke="(#[0-9A-Fa-f]{6})"', file.read_text())[0].lower() == wanted, file.name


def test_that_every_icon_of_the_style_sheet_is_shipped() -> None:
    wanted = set(re.findall(r"url\(icons:(\S+?)\)", style_sheet(read_themes()["dark"])))
    assert wanted
    for icon in wanted:
        assert (shipped.resources() / "icons" / icon).is_file()


def test_that_the_shipped_font_is_used_in_all_four_weights(look: Look) -> None:
    assert FAMILY in load_fonts()
    for weight in (400, 500, 600, 700):
        assert QFontInfo(look.theme.font(14, weight)).family().startswith(FAMILY)


def test_that_the_next_theme_comes_round_again(look: Look) -> None:
    assert [look.choose_next() for _ in range(3)] == ["dark", "daylight", "light"]


def test_that_a_change_of_theme_repaints_painted_parts_and_restyles_words(look: Look, qtbot: QtBot) -> None:
    page = QWidget()
    page.setProperty("kind", "page")
    qtbot.addWidget(page)
    page.resize(120, 60)
    glyph = MarkGlyph(look, "square", 30, page)
    words = label("words", 14, parent=page)
    words.move(50, 20)
    page.show()
    assert glyph.grab().toImage().pixelColor(17, 17) == look.theme["hold"]
    with qtbot.waitSignal(look.changed):
        look.choose("dark")
    assert glyph.grab().toImage().pixelColor(17, 17) == look.theme["hold"]
    assert words.palette().windowText().color() == look.theme["ink"]
    assert look.theme["hold"] != read_themes()["light"]["hold"]


def test_that_choosing_the_same_theme_again_says_nothing(look: Look, qtbot: QtBot) -> None:
    with qtbot.assertNotEmitted(look.changed):
        look.choose("light")


def test_that_an_unknown_theme_is_refused(look: Look) -> None:
    with pytest.raises(ValueError, match="sepia"):
        look.choose("sepia")


def test_that_following_the_computer_gives_a_light_or_a_dark_theme(look: Look) -> None:
    look.choose("computer")
    assert look.choice == "computer"
    assert look.theme.name in ("light", "dark")


def test_that_words_grow_with_the_text_scale(look: Look, qtbot: QtBot) -> None:
    words = label("Tailhead 2.25", 14, 600)
    qtbot.addWidget(words)
    words.ensurePolished()
    before = words.sizeHint().width()
    look.choose_text_scale(1.5)
    words.ensurePolished()
    assert words.sizeHint().width() == pytest.approx(1.5 * before, rel=0.06)


def test_that_the_text_scale_stays_between_one_and_one_and_a_half(look: Look) -> None:
    look.choose_text_scale(4.0)
    assert look.theme.text_scale == 1.5
    look.choose_text_scale(0.2)
    assert look.theme.text_scale == 1.0


def test_that_a_property_set_later_changes_how_a_label_looks(look: Look, qtbot: QtBot) -> None:
    words = label("14", 24, 700)
    qtbot.addWidget(words)
    words.ensurePolished()
    restyle(words, "tone", "thin")
    assert words.palette().windowText().color() == look.theme["thin"]


def test_that_one_window_can_wear_another_theme_than_the_application(qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    other = Look("daylight")
    other.dress(window)
    words = label("words", 14, parent=window)
    words.ensurePolished()
    assert words.palette().windowText().color() == QColor("#000000")


def test_that_buttons_are_tall_enough_for_a_thumb(look: Look, qtbot: QtBot) -> None:
    for kind in ("", "main", "flat", "pill", "joined"):
        one = button("Save", kind)
        qtbot.addWidget(one)
        assert one.sizeHint().expandedTo(one.minimumSize()).height() >= 44
