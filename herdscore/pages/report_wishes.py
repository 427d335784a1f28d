"""What the print band asks for, as wishes the window grants: a report or the list shown, on paper or as a PDF file."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from herdscore.desk.herd_in_view import BOTH
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.pages.adviser_sheet import BLOCKS, adviser_sheet
from herdscore.pages.file_asking import PDF
from herdscore.pages.herd_day_report import herd_day_report
from herdscore.pages.wishes import FileWish, PrintWish, SaveWish
from herdscore.parts.print_band import ADVISER_SHEET, DAY_REPORT
from herdscore.parts.report_pages import Report, draw, write_pages, write_pdf

_WHAT = {DAY_REPORT: "The herd day report", ADVISER_SHEET: "The adviser's sheet"}


def _report_later(herd: OpenHerd, what: str) -> Callable[[], Report]:
    """What makes a report, in a job, about the block that is looked at now, or both."""
    if what == DAY_REPORT:
        return partial(herd_day_report, herd.assessment, herd.name, herd.in_block)
    blocks = BLOCKS if herd.block == BOTH else (BLOCK_NAMES.index(herd.block),)
    return partial(adviser_sheet, herd.assessment, herd.name, blocks)


def save_wish(herd: OpenHerd, what: str) -> FileWish:
    """A report as a PDF file; its pages are made once it is known where to."""
    name = f"{herd.path.stem} {what} {herd.today.isoformat()}.pdf"
    made = _report_later(herd, what)
    return FileWish(_WHAT[what], name, PDF, lambda path, _told: write_pdf(made(), path))


def print_wish(herd: OpenHerd, what: str) -> PrintWish:
    """A report on paper."""
    made = _report_later(herd, what)
    return PrintWish(_WHAT[what], False, lambda device: draw(made(), device))


def as_file(herd: OpenHerd, wish: PrintWish) -> SaveWish | FileWish:
    """What a page would print, as a PDF file instead."""
    what = "".join(sign for sign in wish.what.removeprefix("The ").lower() if sign.isalnum() or sign in " -")
    name = f"{herd.path.stem} {what} {herd.today.isoformat()}.pdf"

    def write(path: Path) -> Path:
        return write_pages(path, wish.what, wish.draw, landscape=wish.landscape)

    if wish.of_widgets:
        return SaveWish(wish.what, name, PDF, write)
    return FileWish(wish.what, name, PDF, lambda path, _told: write(path))
