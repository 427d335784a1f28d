"""Tab On paper: the feeding sheet for the loader and the order list, seen as printed; printed, saved, or as a book."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from PySide6.QtCore import Signal
from typing_extensions import override

from herdscore.desk.feeding_export import feeding_book
from herdscore.desk.jobs import Job
from herdscore.desk.jobs import Report as Told
from herdscore.desk.saving import save_tables
from herdscore.domain.assess import Assessment
from herdscore.domain.fed_groups import FedGroup
from herdscore.domain.feed_order import FeedOrder, feed_order
from herdscore.domain.feeding_sheet import FeedingSheet, feeding_sheet
from herdscore.domain.feeds import Feeds
from herdscore.errors import Problem
from herdscore.pages.feeding_paper import (
    caution_words,
    feeding_report,
    next_words,
    order_cells,
    order_report,
    order_words,
)
from herdscore.pages.feeding_work import FeedingWork
from herdscore.pages.file_asking import PDF, SHEETS
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.wishes import FileWish, PrintWish
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import column
from herdscore.parts.flow import flow
from herdscore.parts.pages_view import DrawnPage, PagesView
from herdscore.parts.report_pages import Report, a4, draw, lay_out, page_picture, paper_size, write_pdf
from herdscore.parts.theme import Look

SHEET, ORDER = "sheet", "order"
PAPERS = ((SHEET, "Feeding sheet"), (ORDER, "Order list"))
FOUR, EIGHT, ALL = "4", "8", "all"
SPANS = ((FOUR, "4 weeks"), (EIGHT, "8 weeks"), (ALL, "To calving"))
"""How far ahead; a choice of the screen, not a figure of feeding."""


class PaperTab(FreshTab):
    """`save_wished`, `print_wished`."""

    save_wished = Signal(object)
    print_wished = Signal(object)

    def __init__(self, look: Look, work: FeedingWork) -> None:
        super().__init__()
        self.work = work
        self.sheet: FeedingSheet | None = None
        self.order: FeedOrder | None = None
        self._job: Job | None = None
        self._then: Callable[[], None] | None = None  # what is to be done once both papers are laid out
        self._reports: dict[str, Report] = {}
        self.papers = JoinedButtons(PAPERS, "Which paper", 11)
        self.spans = JoinedButtons(SPANS, "How far ahead", 11)
        self.papers.choose(SHEET)
        self.spans.choose(FOUR)
        self.print_button, self.pdf_button = button("Print"), button("Save as PDF")
        self.book_button = button("Save spreadsheet")
        self.view = PagesView(look, "As printed")
        head = flow(self.papers, self.spans, self.print_button, self.pdf_button, self.book_button)
        self.setLayout(column(head, (self.view, 1), spacing=8))
        work.moved.connect(self.herd_moved)
        for one in (self.papers, self.spans):
            one.chosen.connect(self.renew)
        self.print_button.clicked.connect(self.print_page)
        self.pdf_button.clicked.connect(self.save_pdf)
        self.book_button.clicked.connect(self.save_book)

    @property
    def weeks(self) -> int | None:
        """Weeks ahead that are looked at, None to calving."""
        return None if self.spans.current == ALL else int(self.spans.current)

    @property
    def words(self) -> str:
        """What the paper shown is called."""
        return dict(PAPERS)[self.papers.current]

    @override
    def focus_first(self) -> None:
        self.view.setFocus()

    @override
    def renew(self) -> None:
        """Lay both papers out anew beside the window, and show the one chosen."""
        if self._job is not None:
            self._job.cancel()
        work = self.work
        block = "both blocks" if work.herd.block == "both" else f"{work.herd.block} block"
        name = f"{work.herd.name}, {block}"
        job = work.herd.work_out(
            _laid_out, work.assessment, list(work.groups), work.feeds, self.weeks, name, self.papers.current
        )
        self._job = job
        job.finished.connect(lambda found: self._on_laid_out(job, found))
        job.failed.connect(lambda problem: self._on_failed(job, problem))

    def _on_failed(self, job: Job, problem: Problem) -> None:
        if job is self._job:
            self._job = self._then = None
        self.work.herd.failed.emit(problem)

    def _on_laid_out(self, job: Job, found: _Found) -> None:
        if job is not self._job:
            return
        self._job = None
        self.sheet, self.order, self._reports, pages, said = found
        self.view.show_pages(pages, said)
        then, self._then = self._then, None
        if then is not None:
            then()

    def _when_ready(self, then: Callable[[], None]) -> bool:
        """Whether the papers are laid out; else it is done when they are."""
        if self._job is not None:
            self._then = then
        return self._job is None

    def print_page(self) -> None:
        """Print the paper shown."""
        report = self._reports.get(self.papers.current)
        if self._when_ready(self.print_page) and report is not None:
            what = f"The {self.words.lower()}"
            self.print_wished.emit(PrintWish(what, report.landscape, lambda device: draw(report, device)))

    def save_pdf(self) -> None:
        """Save the paper shown as a PDF file."""
        report, herd = self._reports.get(self.papers.current), self.work.herd
        if self._when_ready(self.save_pdf) and report is not None:
            what = self.words.lower()
            name = f"{herd.path.stem} {what} {herd.today.isoformat()}.pdf"
            self.save_wished.emit(FileWish(f"The {what}", name, PDF, lambda path, _told: write_pdf(report, path)))

    def save_book(self) -> None:
        """Save both as one spreadsheet."""
        sheet, order, herd = self.sheet, self.order, self.work.herd
        if not self._when_ready(self.save_book) or sheet is None or order is None:
            return

        def write(path: Path, told: Told) -> Path:
            said = tuple(order_words(order, herd.rulebook.minerals))
            return save_tables(feeding_book(sheet, order, herd.name, said), path, told)

        name = f"{herd.path.stem} feeding {herd.today.isoformat()}.xlsx"
        self.save_wished.emit(FileWish("Feeding sheet and order list", name, SHEETS, write))


_Found = tuple[FeedingSheet, FeedOrder, dict[str, Report], list[DrawnPage], str]


def _laid_out(
    a: Assessment, groups: list[FedGroup], feeds: Feeds, weeks: int | None, name: str, shown: str, told: Told
) -> _Found:
    """Both papers, the pages of the one shown, and that one in words."""
    sheet, order = feeding_sheet(a, groups, weeks), feed_order(a, groups, feeds, weeks)
    mind = caution_words(groups, feeds, a.rulebook)
    until = "until the last has calved" if weeks is None else f"for {weeks} weeks"
    said = order_words(order, a.rulebook.minerals)
    minerals, with_mineral = a.rulebook.feeding_cautions["minerals"], any(line.bags is not None for line in order.lines)
    reports = {
        SHEET: feeding_report(sheet, name, mind),
        ORDER: order_report(order, name, until, said, [(minerals.word, minerals.say)] if with_mineral else []),
    }
    report = reports[shown]
    pages = [(page.size, page_picture(page)) for page in lay_out(report, paper_size(a4(landscape=report.landscape)))]
    return sheet, order, reports, pages, _spoken(sheet, order, a.today, shown)


def _spoken(sheet: FeedingSheet, order: FeedOrder, today: date, shown: str) -> str:
    if shown == SHEET:
        return " ".join(f"{group.name}: {next_words(group, today)}" for group in sheet.groups)
    return "; ".join(", ".join(order_cells(line, today)[:4]).replace("\n", " ") for line in order.lines)
