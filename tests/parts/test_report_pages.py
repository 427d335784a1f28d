"""Reports on pages: nothing past the rim, nothing cut off, headings that go with what follows, the same on PDF."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QMarginsF, QRectF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter

from herdscore.errors import Problem
from herdscore.parts.report_blocks import (
    Beside,
    Drawing,
    Figures,
    MarkRow,
    OnePage,
    PageBreak,
    Words,
    heading,
    paper_font,
)
from herdscore.parts.report_pages import Report, a4, draw, lay_out, paper_size, write_pdf
from herdscore.parts.report_table import PaperColumn, PaperRow, Table
from herdscore.parts.theme import Look
from tests.parts.paper import ink_outside, outside, overlapping, pages_of, written_on

LONG = "A cow that is to be eased up gently, in small steps and in good time, begun by 21 January at the latest. " * 3
COLUMNS = (
    PaperColumn("Tag", weight=700, marks=True, points=12),
    PaperColumn("When", right=True),
    PaperColumn("What", 1.0),
)


def rows(count: int, words: str = LONG) -> list[PaperRow]:
    made = []
    for n in range(count):
        if n % 10 == 0:
            made.append(PaperRow((f"Pen {n // 10}",), title=True))
        made.append(PaperRow((f"{n:04d}", "21 Jan", words), mark="now_up"))
    return made


def pages_in(data: bytes) -> int:
    """Pages a PDF file holds, by its page objects."""
    return data.count(b"/Type /Page\n")


def test_that_a_long_table_breaks_between_rows_under_a_repeated_heading(look: Look) -> None:
    pages = pages_of(Report("r", [heading("A list"), Table(COLUMNS, rows(60))], "Go gently."))
    assert len(pages) > 2
    seen = [one.text for page in pages for one in written_on(page)]
    assert [text for text in seen if len(text) == 4 and text.isdecimal()] == [f"{n:04d}" for n in range(60)]
    for number, page in enumerate(pages, 1):
        texts = [one.text for one in written_on(page)]
        assert {"Tag", "When", "What", "Go gently.", f"page {number} of {len(pages)}"} <= set(texts)
        assert texts[3].startswith("Pen") or texts[4].startswith("Pen")
        assert outside(page) == []
        assert overlapping(page) == []
        assert ink_outside(page) == 0


def test_that_a_title_never_stands_at_the_foot_of_a_page(look: Look) -> None:
    for filler in range(0, 1000, 37):
        blocks = [Drawing(filler, lambda painter, box: None), heading("Below"), Table(COLUMNS, rows(1, "Short."))]
        last = pages_of(Report("r", blocks))[-1]
        texts = [one.text for one in written_on(last)]
        assert texts.index("Below") < texts.index("Pen 0") < texts.index("0000")


@pytest.mark.parametrize(
    "words", ["Q" * 300, "Glenmorangie-under-the-Water North Field Beyond the Burn " * 4, "", "½ − ± ≥ ▲ → ✓"]
)
def test_that_very_long_and_empty_words_stay_in_their_cells(look: Look, words: str) -> None:
    table = Table(COLUMNS, [PaperRow((words, words, words), mark="vet"), PaperRow((words or " ",), title=True)])
    beside = Beside([Words(words), table], [Words(words, 12), Figures([(words[:4], words, "ink")])])
    for page in pages_of(Report("r", [table, Words(words), beside])):
        assert outside(page) == []
        assert ink_outside(page) == 0


def test_that_what_is_too_much_for_one_page_is_drawn_smaller_and_whole(look: Look) -> None:
    few, many = (OnePage([heading("One"), Table(COLUMNS, rows(count, "Short."))]) for count in (5, 60))
    for block, size in ((few, 16), (many, 10)):
        (page,) = pages_of(Report("r", [block]))
        assert outside(page) == []
        assert overlapping(page) == []
        tag = next(one for one in written_on(page) if one.text == "0004")
        assert tag.box.height() == pytest.approx(size * 1.21, rel=0.25)
    assert len(pages_of(Report("r", [few, many, few]))) == 3


def test_that_a_drawing_higher_than_a_page_is_made_to_fit(look: Look) -> None:
    drawn: list[QRectF] = []

    def paint(painter: QPainter, box: QRectF) -> None:
        drawn.append(painter.combinedTransform().mapRect(box))

    (page,) = pages_of(Report("r", [Drawing(2000, paint)]))
    written_on(page)
    assert drawn[0].height() < page.size.height()


def test_that_a_break_begins_a_page_and_gaps_make_none(look: Look) -> None:
    assert len(pages_of(Report("r", [Words("a"), PageBreak(), Words("b")]))) == 2
    assert len(pages_of(Report("r", [PageBreak(), Words("a")]))) == 1
    room = paper_size(a4()).height()
    full = Drawing(room - 30, lambda painter, box: None)
    assert len(pages_of(Report("r", [full, Table((), [], below=400.0)]))) == 1
    assert len(pages_of(Report("r", []))) == 1


def test_that_the_key_of_shapes_breaks_into_lines(look: Look) -> None:
    items = [(("now_up", "now_down"), f"shape number {n}") for n in range(14)]
    (page,) = pages_of(Report("r", [MarkRow(items)]))
    assert outside(page) == []
    assert overlapping(page) == []
    assert ink_outside(page) == 0


def test_that_a_pdf_has_the_pages_that_were_laid_out(look: Look, tmp_path: Path) -> None:
    for landscape in (False, True):
        report = Report("A report", [Table(COLUMNS, rows(60))], landscape=landscape)
        data = write_pdf(report, tmp_path / "r.pdf").read_bytes()
        assert data.startswith(b"%PDF-")
        assert pages_in(data) == len(pages_of(report)) > 2
        assert b"/Subtype /Image" not in data  # shapes and text only
        assert b"/FontFile" in data  # the type goes along


def test_that_paper_of_another_size_and_fineness_gets_whole_pages_too(look: Look, tmp_path: Path) -> None:
    report = Report("A report", [Table(COLUMNS, rows(60))])
    counts = []
    for dots in (96, 300, 1200):
        writer = QPdfWriter(str(tmp_path / f"{dots}.pdf"))
        writer.setResolution(dots)
        writer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
        counts.append(draw(report, writer))
        del writer
    assert len(set(counts)) == 1
    letter = QPageLayout(
        QPageSize(QPageSize.PageSizeId.Letter), QPageLayout.Orientation.Portrait, QMarginsF(34, 34, 34, 34)
    )
    for page in lay_out(report, paper_size(letter)):
        assert outside(page) == []


def test_that_a_file_that_cannot_be_written_is_a_plain_problem(look: Look, tmp_path: Path) -> None:
    with pytest.raises(Problem, match="could not be saved"):
        write_pdf(Report("r", [Words("a")]), tmp_path / "gone" / "r.pdf")


def test_that_type_on_paper_is_the_shipped_one_in_whole_px(look: Look) -> None:
    assert paper_font(12).family() == "Inter Tab"
    assert [paper_font(points).pixelSize() for points in (8, 9, 10, 12, 24)] == [11, 12, 13, 16, 32]


def test_that_paper_is_a4_within_its_margins(look: Look) -> None:
    size = paper_size(a4())
    # 210 by 297 mm less 12 mm either side, at 96 dots an inch.
    assert (size.width(), size.height()) == pytest.approx((186 / 25.4 * 96, 273 / 25.4 * 96), abs=2)
    across = paper_size(a4(landscape=True))
    assert (across.width(), across.height()) == pytest.approx((size.height(), size.width()), abs=2)
