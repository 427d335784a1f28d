"""What stands around every page: rail, header, bands, message bar and status line, with the pages in the middle."""

from __future__ import annotations

from datetime import date

from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from herdscore.parts.cards import column, row
from herdscore.parts.day_chooser import DayChooser
from herdscore.parts.header import AsOfBand, Header
from herdscore.parts.message_bar import MessageBar
from herdscore.parts.print_band import PrintBand
from herdscore.parts.progress import ProgressPanel
from herdscore.parts.rail import Rail
from herdscore.parts.status_line import StatusLine
from herdscore.parts.theme import Look

LOW_PX = 720  # height of the window below which the rail's buttons start higher


class WindowFrame(QWidget):
    """The pieces are open to the window, which listens to their signals."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self.rail = Rail(look)
        self.header = Header(look)
        self.as_of = AsOfBand()
        self.day_chooser = DayChooser()
        self.print_band = PrintBand()
        self.messages = MessageBar()
        self.pages = QStackedWidget()
        self.status = StatusLine()
        right = QWidget()
        bands = (self.as_of, self.day_chooser, self.print_band)
        self._right = column(self.header, *bands, self.messages, (self.pages, 1), spacing=0)
        right.setLayout(self._right)
        upper = row(self.rail, (right, 1), spacing=0)
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        around.setSpacing(0)
        around.addLayout(upper, 1)
        around.addWidget(self.status)
        self.progress = ProgressPanel(self)
        self._herd_is_shown = False
        self._has_band = False
        self.day_chooser.day_chosen.connect(self._renew)
        self.day_chooser.closed.connect(self._renew)
        self.print_band.closed.connect(self._renew)
        self._renew()

    def show_frame(self, herd_is_shown: bool) -> None:
        """Show header and band over a page of the herd; other pages have a gap in their place."""
        self._herd_is_shown = herd_is_shown
        self._renew()

    def show_band(self, on: bool) -> None:
        """Show the as-of band while a page of the herd is shown."""
        self._has_band = on
        self._renew()

    def ask_day(self, day: date) -> None:
        """Open the day chooser in the place of the band, so that a low window need not grow."""
        self.as_of.hide()
        self.print_band.hide()
        self.day_chooser.ask(day)

    def ask_print(self, what: str = "", page_words: str = "") -> None:
        """Open the band in which it is chosen what to print, in the same place."""
        self.as_of.hide()
        self.day_chooser.hide()
        self.print_band.ask(what, page_words)

    def _renew(self) -> None:
        self.header.setVisible(self._herd_is_shown)
        if not self._herd_is_shown:
            self.day_chooser.hide()
            self.print_band.hide()
        free = self.day_chooser.isHidden() and self.print_band.isHidden()
        self.as_of.setVisible(self._herd_is_shown and self._has_band and free)
        self._right.setContentsMargins(0, 0 if self._herd_is_shown else 16, 0, 0)

    def show_page(self, page: QWidget) -> None:
        """Bring a page to the front, adding it when it is new."""
        if self.pages.indexOf(page) < 0:
            self.pages.addWidget(page)
        self.pages.setCurrentWidget(page)

    def drop_page(self, page: QWidget) -> None:
        """Take a page away for good."""
        self.pages.removeWidget(page)
        page.hide()
        page.deleteLater()

    def fit(self, height: int) -> None:
        """Fit the rail to the height of the window."""
        self.rail.set_tight(height < LOW_PX)
