"""What the window asks of every page of the herd, and what a page may ask of the window."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

BACK, AGAIN = "back", "again"
"""Ways of a step: taken back, done again."""
OPEN_SHEET, WORKBOOK, EXPORT = "open", "workbook", "export"
"""What a page may wish for: another sheet, the herd as a workbook, the list in front as a spreadsheet."""
OPEN_READER = "reader"
"""What a message asks of the window: open the reader on a serial port again."""


class HerdsPage(QWidget):
    """`message(Message)` for the bar; `open_cow(cow id)`; `wished(action)`: OPEN_SHEET, WORKBOOK or EXPORT.

    `save_wished(SaveWish or FileWish)`, `print_wished(PrintWish)`: what the page draws or writes itself;
    `report_wished(what)`: a report to print or save, "" to choose one.
    """

    message = Signal(object)
    open_cow = Signal(str)
    wished = Signal(str)
    save_wished = Signal(object)
    print_wished = Signal(object)
    report_wished = Signal(str)
    title = ""
    finds_cows = True  # whether it has a place of its own to look for a tag

    def __init__(self) -> None:
        super().__init__()
        self.resting: Callable[[], AbstractContextManager[None]] = nullcontext
        """Within it, parts of the page are put together late: what listens to every event looks away."""

    def focus_first(self) -> None:
        """Give the keyboard to what is in front."""
        raise NotImplementedError

    def find(self, text: str = "") -> None:  # type: ignore[override]
        """Look for a tag, with a text already there."""

    @property
    def printed_words(self) -> str:
        """What `print_page` prints now, as the print band calls it; "" nothing."""
        return ""

    def print_page(self) -> None:
        """Print what is in front."""

    def save_page(self) -> bool:
        """Save as a PDF file what `print_page` prints; False when the window is to make it of what is printed."""
        return False

    def export(self) -> bool:
        """Write what is in front to a file; False when the page has nothing but the flag list."""
        return False
