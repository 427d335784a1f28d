"""The open herd on the screen: its pages, and what header, bands and status line say of it."""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext
from datetime import date
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QObject, Signal, Slot

from herdscore.desk import messages
from herdscore.desk.edits import near_boundary
from herdscore.desk.head_figures import NEXT, next_to_act
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.reader_filter import ReaderFilter
from herdscore.desk.settings import READER, Settings
from herdscore.domain.day_names import DAYS, MONTHS, SHORT_DAYS, SHORT_MONTHS
from herdscore.domain.reasons import words_of
from herdscore.errors import Problem
from herdscore.pages.herds_page import BACK, HerdsPage
from herdscore.pages.moves_watched import MovesWatched
from herdscore.pages.page_table import build_page
from herdscore.pages.scoring_reader import PortAtCrush, ReaderAtCrush
from herdscore.pages.wishes import PrintWish
from herdscore.parts.fields import take_no_files
from herdscore.parts.header import BLOCKS, Figure
from herdscore.parts.print_band import THIS_PAGE
from herdscore.parts.theme import Look
from herdscore.parts.window_frame import WindowFrame

if TYPE_CHECKING:
    from herdscore.pages.cows import CowsPage
    from herdscore.pages.crush_page import CrushPage


class HerdView(QObject):
    """`message(Message)` for the bar; `wished(action)`: what a page asks of the window.

    `save_wished(SaveWish)` and `print_wished(PrintWish)`: what a page draws itself, to a file or on paper.
    """

    message = Signal(object)
    wished = Signal(str)
    save_wished = Signal(object)
    print_wished = Signal(object)

    def __init__(self, frame: WindowFrame, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__(frame)
        self.herd = herd
        self.last_shown = "cows"
        self._page_as_pdf = False
        self._frame = frame
        self._look, self._settings = look, settings
        self.pages: dict[str, HerdsPage] = {}
        herd.assessed.connect(self._renew)
        herd.block_chosen.connect(self._renew)
        herd.day_chosen.connect(self._renew)
        herd.saved.connect(self._on_saved)
        herd.failed.connect(self._on_failed)
        self._renew()
        self._reader: ReaderAtCrush | None = None
        if settings.get(READER) == "on":
            listens = ReaderFilter(herd.rulebook.crush)
            self._reader = ReaderAtCrush(listens, lambda: self.scoring, lambda: self.show("scoring"))
        crush = herd.rulebook.crush
        self.port = PortAtCrush(crush, settings, lambda: self.scoring, lambda: self.show("scoring"), self)
        self.port.message.connect(self.message)
        self._moves = MovesWatched(herd, self)
        self._moves.message.connect(self.message)
        frame.status.show_calm()
        frame.status.show_state("Ready" if herd.can_write else "Looking only, nothing is written")

    def page(self, key: str) -> HerdsPage:
        """One of the herd's pages, built when it is first needed."""
        if key not in self.pages:
            with self._resting():
                self.pages[key] = made = build_page(key, self._look, self.herd, self._settings)
            made.resting = self._resting
            made.message.connect(self.message)
            take_no_files(made)
            made.open_cow.connect(self.show_cow)
            made.wished.connect(self.wished)
            made.save_wished.connect(self.save_wished)
            made.print_wished.connect(self._on_print_wished)
            made.report_wished.connect(self.ask_print)
        return self.pages[key]

    @property
    def cows(self) -> CowsPage:
        """The page of lists and cows."""
        return cast("CowsPage", self.page("cows"))

    @property
    def scoring(self) -> CrushPage:
        """The page at the crush."""
        return cast("CrushPage", self.page("scoring"))

    @property
    def shown(self) -> str:
        """Key of the page on screen, "" when it is none of the herd's."""
        current = self._frame.pages.currentWidget()
        return next((key for key, page in self.pages.items() if page is current), "")

    def show(self, key: str) -> None:
        """Bring one of the herd's pages to the front and give it the keyboard."""
        page = self.page(key)
        self.last_shown = key
        with self._resting():
            self._frame.show_frame(True)
            self._frame.show_page(page)
            self._frame.rail.show_page(key)
        page.focus_first()

    def _resting(self) -> AbstractContextManager[None]:
        return self._reader.resting() if self._reader is not None else nullcontext()

    def focus_page(self) -> None:
        """Give the keyboard back to the page on screen."""
        if self.shown:
            self.pages[self.shown].focus_first()

    def show_list(self, key: str) -> None:
        """Open one of the lists of cows."""
        self.show("cows")
        self.cows.show_list(key)

    @Slot(str)
    def show_cow(self, cow_id: str) -> None:
        """Open one cow."""
        self.show("cows")
        self.cows.show_cow(cow_id)

    def show_figure(self, key: str) -> None:
        """Open the list behind a figure of the header."""
        cow = next_to_act(self.herd.assessment, self.herd.in_block) if key == NEXT else None
        self.show_list(key if cow is None else words_of(self.herd.assessment, cow).list)

    def find(self) -> None:
        """Give the keyboard to the box in which a tag is found."""
        if not self.shown or not self.page(self.shown).finds_cows:
            self.show("cows")
        self.page(self.shown or "cows").find("")

    def ask_print(self, what: str = "") -> None:
        """Open the band in which it is chosen what to print."""
        page = self.pages.get(self.shown)
        self._frame.ask_print(what, page.printed_words if page is not None else "")

    def print_report(self, what: str, *, as_pdf: bool = False) -> None:
        """Print a report or the page shown, or save it as a PDF file."""
        from herdscore.pages.report_wishes import print_wish, save_wish  # late: nobody prints at the start

        self.focus_page()
        if what == THIS_PAGE:
            page = self.pages[self.shown]
            if as_pdf and page.save_page():
                return
            self._page_as_pdf = as_pdf
            page.print_page()
            self._page_as_pdf = False
        elif as_pdf:
            self.save_wished.emit(save_wish(self.herd, what))
        else:
            self.print_wished.emit(print_wish(self.herd, what))

    def _on_print_wished(self, wish: PrintWish) -> None:
        if self._page_as_pdf:
            from herdscore.pages.report_wishes import as_file

            self.save_wished.emit(as_file(self.herd, wish))
        else:
            self.print_wished.emit(wish)

    def choose_next_block(self) -> None:
        """Step from block to block."""
        names = [name for name, _ in BLOCKS]
        self.herd.choose_block(names[(names.index(self.herd.block) + 1) % len(names)])

    def ask_day(self) -> None:
        """Open the band in which another day is chosen."""
        self._frame.ask_day(self.herd.today)

    def look_at(self, day: date) -> None:
        """Look at the herd on a day."""
        self.herd.choose_day(day)
        self.focus_page()

    def step(self, way: str) -> None:
        """Take back the last step, or with "again" do again what was taken back; and say which."""
        if self.shown == "scoring":
            words = self.scoring.step(back=way == BACK)  # it shows the cow
        else:
            words = self.herd.undo() if way == BACK else self.herd.redo()
        if words:
            what = "Taken back" if way == BACK else "Done again"
            self._frame.status.show_state(f"{what}: {words}. {self._frame.status.state}.")

    def greet(self) -> None:
        """Say what is to know about a herd just opened, and open the reader on a serial port."""
        near = near_boundary(self.herd.assessment)
        if near and self.herd.can_write:
            one = len(near) == 1
            self.message.emit(
                messages.note(
                    f"{len(near)} {'cow calves' if one else 'cows calve'} near the turn of a season.",
                    "Say in the register whether autumn or spring calver: the target follows from it.",
                    "page:herd",
                    "Open the register",
                )
            )
        if self.herd.file.read_only:
            self.message.emit(messages.note("This window only looks.", self.herd.why_not))
        self.port.open()

    def close(self) -> None:
        """Take the pages away and let the file go."""
        if self._reader is not None:
            self._reader.close()
        self.port.close()
        for page in self.pages.values():
            self._frame.drop_page(page)
        self.herd.close()
        self.herd.deleteLater()
        self.deleteLater()

    @Slot()
    def _renew(self) -> None:
        herd, frame = self.herd, self._frame
        today = herd.today
        frame.header.show_herd(herd.name)
        frame.header.show_block(herd.block)
        frame.header.show_day(
            f"{SHORT_DAYS[today.weekday()]} {_long(today)}", f"{today.day} {SHORT_MONTHS[today.month - 1]}"
        )
        frame.header.show_figures(
            [Figure(one.key, one.number, one.words, one.hue, one.short) for one in herd.figures()]
        )
        frame.show_band(herd.looking or herd.is_sample)
        if herd.looking:
            back = f"Back to {herd.herd_day.day} {SHORT_MONTHS[herd.herd_day.month - 1]}" if herd.is_sample else "Today"
            frame.as_of.show_words(
                f"As of {DAYS[today.weekday()]} {_long(today)}.", "Look and plan freely; nothing is written.", back
            )
            frame.status.show_state("Looking at another day, nothing is written")
        elif herd.is_sample:
            frame.as_of.show_words(
                f"Sample herd on its own day: {DAYS[today.weekday()]} {_long(today)}.",
                "A copy of yours: score it and change it as on that day.",
                "",
            )
        if not herd.looking and frame.status.state.startswith("Looking at"):
            frame.status.show_state("Ready" if herd.can_write else "Looking only, nothing is written")
        cows = int((~herd.assessment.facts.gone).sum())
        frame.status.show_herd(herd.path.name, f"{cows} cow{'' if cows == 1 else 's'}")

    def _on_saved(self, at: str) -> None:
        self._frame.status.show_calm()
        self._frame.status.show_state(f"Saved {at}")

    def _on_failed(self, problem: Problem) -> None:
        if self.herd.unsaved is problem:
            self._frame.status.show_failed(problem)
        else:
            self.message.emit(messages.of_problem(problem))


def _long(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
