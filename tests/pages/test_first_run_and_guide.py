"""The first page and the guide."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QTextDocument
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton, QTextBrowser
from pytestqt.qtbot import QtBot

from herdscore import shipped
from herdscore.desk.sources import Source, sample_herds
from herdscore.exchange.workbook_form import SHEETS
from herdscore.pages.first_run import FirstRunPage
from herdscore.pages.guide import GuidePage
from herdscore.pages.which_herd import WhichHerdPage
from herdscore.parts.marks import MARKS
from herdscore.parts.theme import Look

GUIDE = shipped.resources() / "guide"


def shown_buttons(page: FirstRunPage | GuidePage | WhichHerdPage) -> list[QPushButton]:
    return [one for one in page.findChildren(QPushButton) if one.isVisible()]


@pytest.mark.parametrize("recent", [(), ("/herds/records/oakbank.herd", "/herds/other.herd")])
@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_that_every_button_of_the_first_page_is_named_and_big_enough(
    look: Look, qtbot: QtBot, recent: tuple[str, ...], scale: float
) -> None:
    look.choose_text_scale(scale)
    page = FirstRunPage(look, recent)
    qtbot.addWidget(page)
    page.resize(1180, 600)
    page.show()
    next(one for one in shown_buttons(page) if one.text() == "Try a sample herd").click()
    for one in shown_buttons(page):
        assert one.height() >= 44, one.text()
        assert one.text() or one.accessibleName()


def test_that_the_herd_opened_last_has_the_keyboard_and_opens_with_one_press(look: Look, qtbot: QtBot) -> None:
    page = FirstRunPage(look, ("/herds/oakbank.herd", "/herds/other.herd"))
    qtbot.addWidget(page)
    page.show()
    page.focus_first()
    with qtbot.waitSignal(page.recent_wished) as wished:
        QTest.keyClick(page.focusWidget(), Qt.Key.Key_Space)
    assert wished.args == ["/herds/oakbank.herd"]


def test_that_each_sample_herd_is_offered_with_what_it_shows(look: Look, qtbot: QtBot) -> None:
    page = FirstRunPage(look)
    qtbot.addWidget(page)
    page.show()
    samples = sample_herds()
    assert len(samples) == 3
    next(one for one in shown_buttons(page) if one.text() == "Try a sample herd").click()
    for sample in samples:
        offered = [one for one in shown_buttons(page) if one.accessibleName().startswith(f"{sample.name}. ")]
        assert len(offered) == 1
        assert len(sample.shows) > 40
        with qtbot.waitSignal(page.sample_wished) as wished:
            offered[0].click()
        assert wished.args == [str(sample.folder)]


def test_that_the_file_of_a_sheet_read_before_has_the_keyboard(look: Look, qtbot: QtBot, tmp_path: Path) -> None:
    (tmp_path / "oak.herd").touch()
    page = WhichHerdPage(look, Source(tmp_path / "oak.xlsx", tmp_path / "oak.herd"))
    qtbot.addWidget(page)
    page.show()
    page.focus_first()
    with qtbot.waitSignal(page.file_wished):
        QTest.keyClick(page.focusWidget(), Qt.Key.Key_Space)


def test_that_every_chapter_of_the_guide_is_read_with_the_keyboard(look: Look, qtbot: QtBot) -> None:
    page = GuidePage(look)
    qtbot.addWidget(page)
    page.show()
    text = page.findChild(QTextBrowser)
    assert text is not None
    seen = set()
    for chapter in shown_buttons(page)[: page.chapters]:
        chapter.setFocus()
        QTest.keyClick(chapter, Qt.Key.Key_Space)
        seen.add(text.toPlainText().splitlines()[0])
    assert len(seen) == page.chapters == len(list(GUIDE.glob("*.md")))
    with qtbot.waitSignal(page.closed):
        QTest.keyClick(text, Qt.Key.Key_Escape)


def test_that_every_mark_in_the_guide_is_drawn_in_the_colours_of_the_theme(look: Look, qtbot: QtBot) -> None:
    page = GuidePage(look)
    qtbot.addWidget(page)
    page.show_chapter(3)
    text = page.findChild(QTextBrowser)
    assert text is not None
    named = set(re.findall(r"mark:(\w+)", (GUIDE / "4-verdicts.md").read_text("utf-8")))
    assert named == set(MARKS) - {"none"}
    colours = {}
    for theme in ("light", "dark"):
        look.choose(theme)
        image = text.document().resource(QTextDocument.ResourceType.ImageResource, "mark:now_up")
        colours[theme] = image.pixelColor(image.width() // 2, image.height() // 2).name()
        assert colours[theme] == look.theme["thin"].name()
    assert text.document().toHtml().count('<img src="mark:') == len(
        re.findall(r"!\[", (GUIDE / "4-verdicts.md").read_text("utf-8"))
    )


def test_that_the_guide_names_every_sheet_and_column_of_the_workbook() -> None:
    text = (GUIDE / "3-workbook.md").read_text("utf-8")
    for form in SHEETS:
        part = text.split(f"| {form.name} | What goes in |")[1].split("\n\n")[0]
        for heading in form.headings:
            assert re.search(rf"[|,] {re.escape(heading.name)}\b", part), f"{form.name}: {heading.name}"
            assert (f"{heading.written} *" in part or f"{heading.name} *" in part) == heading.required, heading.name


def test_that_the_guide_says_what_a_person_must_not_do() -> None:
    text = (GUIDE / "6-with-care.md").read_text("utf-8")
    for words in ("Never starve a fat cow", "crash-feed", "crush", "vet", "nutritionist", "Labels and local rules"):
        assert words in text
