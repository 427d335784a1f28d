"""Pages of a report on screen: as wide as there is room, every page to be reached by keys, drawn as on paper."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from herdscore.parts.pages_view import PagesView
from herdscore.parts.report_blocks import PageBreak, Words, paper_font
from herdscore.parts.report_pages import Report, a4, lay_out, page_picture, paper_size
from herdscore.parts.theme import Look, each_thread

THREE = Report(
    "Three pages",
    [Words("First", 40), PageBreak(), Words("Second", 40), PageBreak(), Words("Third", 40)],
)


@pytest.fixture
def view(look: Look, qtbot: QtBot) -> PagesView:
    made = PagesView(look, "As printed")
    qtbot.addWidget(made)
    made.resize(900, 500)
    made.show()
    made.show_pages([(page.size, page_picture(page)) for page in lay_out(THREE, paper_size(a4()))], "Three words")
    return made


def ink(image: QImage) -> int:
    """Dots darker than paper and edge."""
    small = image.scaled(QSize(300, 200))
    return sum(small.pixelColor(x, y).lightness() < 90 for x in range(small.width()) for y in range(small.height()))


def test_that_every_page_is_reached_by_keys_and_shows_its_ink(view: PagesView, qtbot: QtBot) -> None:
    bar = view.verticalScrollBar()
    assert bar.maximum() > 2 * view.viewport().height()
    assert ink(view.viewport().grab().toImage()) > 20
    places = [bar.value()]
    for _ in range(3):
        qtbot.keyClick(view, Qt.Key.Key_PageDown)
        places.append(bar.value())
    assert places == sorted(set(places))
    bar.setValue(bar.maximum())
    assert bar.value() == bar.maximum()


def test_that_pages_fit_the_width_and_are_said_in_words(view: PagesView) -> None:
    assert view.accessibleDescription() == "Three words"
    for width in (500, 1400):
        view.resize(width, 500)
        assert view.widget().width() <= view.viewport().width()
    view.show_pages([], "")
    assert view.verticalScrollBar().maximum() == 0


def test_that_a_font_is_made_once_in_each_thread_and_never_shared() -> None:
    made: list[object] = []

    @each_thread
    def one(points: float) -> object:
        made.append(object())
        return made[-1]

    with ThreadPoolExecutor(1) as other:
        theirs = other.submit(one, 10.0).result()
        assert other.submit(one, 10.0).result() is theirs
    assert one(10.0) is not theirs
    assert one(10.0) is one(10.0)
    assert len(made) == 2
    assert paper_font(10) is paper_font(10)
