"""The main window: keys, which page shows, opening and closing. No rules, no queries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QIcon, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QMainWindow
from typing_extensions import override

from herdscore.desk import messages
from herdscore.desk.jobs import Jobs
from herdscore.desk.messages import Message
from herdscore.desk.opening import Opening
from herdscore.desk.settings import THEME, WINDOW, Settings
from herdscore.pages.field_keys import FieldKeys
from herdscore.pages.file_asking import FileAsking
from herdscore.pages.herds_page import AGAIN, BACK, OPEN_READER
from herdscore.pages.page_table import PAGES, bring_ahead
from herdscore.pages.saves import Saves
from herdscore.pages.way_in import WayIn
from herdscore.parts.message_bar import Message as BarMessage
from herdscore.parts.rail import PAGES as RAIL_PAGES
from herdscore.parts.theme import Look
from herdscore.parts.window_frame import WindowFrame

if TYPE_CHECKING:
    from herdscore.desk.open_herd import OpenHerd
    from herdscore.desk.reading import Draft
    from herdscore.pages.guide import GuidePage
    from herdscore.pages.herd_view import HerdView

FIRST_SIZE = (1366, 740)


class MainWindow(QMainWindow):
    """One window; at most one herd is open in it."""

    def __init__(
        self, look: Look, settings: Settings, opening: Opening, jobs: Jobs, asking: FileAsking | None = None
    ) -> None:
        super().__init__()
        self.setWindowTitle("herdscore")
        self.setWindowIcon(QIcon("icons:herdscore.svg"))
        self.setAcceptDrops(True)
        self.view: HerdView | None = None
        self._look, self._settings, self._opening, self._jobs = look, settings, opening, jobs
        asking = asking or FileAsking()
        self.frame = WindowFrame(look)
        self.setCentralWidget(self.frame)
        self.frame.rail.offer(PAGES)
        self._saves = Saves(self, asking, settings, jobs)
        self.frame.installEventFilter(self)
        self.way_in = WayIn(self.frame, look, settings, opening, self._saves, asking)
        self._guide: GuidePage | None = None
        self._field_keys = FieldKeys(self)
        self._keys = self._bind_keys()
        self._connect()
        self.resize(*FIRST_SIZE)
        self.restoreGeometry(settings.get(WINDOW))
        self.way_in.show_first_run()

    def _connect(self) -> None:
        frame, with_view = self.frame, self._with_view
        frame.rail.page_chosen.connect(self.show_page)
        frame.rail.guide_pressed.connect(self.show_guide)
        frame.header.block_chosen.connect(with_view(lambda view, block: view.herd.choose_block(block)))
        frame.header.figure_pressed.connect(with_view(lambda view, key: view.show_figure(key)))
        frame.header.day_pressed.connect(with_view(lambda view: view.ask_day()))
        frame.as_of.another_day_pressed.connect(with_view(lambda view: view.ask_day()))
        frame.as_of.today_pressed.connect(with_view(lambda view: view.herd.choose_day(None)))
        frame.day_chooser.day_chosen.connect(with_view(lambda view, day: view.look_at(day)))
        frame.day_chooser.closed.connect(with_view(lambda view: view.focus_page()))
        frame.print_band.print_pressed.connect(with_view(lambda view, what: view.print_report(what)))
        frame.print_band.save_pressed.connect(with_view(lambda view, what: view.print_report(what, as_pdf=True)))
        frame.print_band.closed.connect(with_view(lambda view: view.focus_page()))
        frame.messages.action_pressed.connect(self.act)
        frame.messages.closed.connect(with_view(lambda view: view.focus_page()))
        frame.status.save_elsewhere_pressed.connect(lambda: self.act("save_elsewhere"))
        self.way_in.message.connect(self.say)
        self.way_in.left.connect(self._on_way_left)
        self.way_in.busy.connect(self._on_busy)
        self._opening.opened.connect(self._on_opened)
        self._saves.message.connect(self.say)
        self._saves.doing.connect(frame.status.show_doing)
        self._saves.moved.connect(self.open_path)

    def _bind_keys(self) -> list[QShortcut]:
        with_view = self._with_view
        pairs: list[tuple[str, Callable[..., object]]] = [
            *(
                (f"Ctrl+{n}", lambda page=page: self.show_page(page))
                for n, (page, _) in enumerate(RAIL_PAGES, 1)
                if page in PAGES
            ),
            ("Ctrl+O", lambda: self.way_in.ask_path(folder=False)),
            ("Ctrl+F", with_view(lambda view: view.find())),
            ("/", with_view(lambda view: view.find())),
            ("Ctrl+E", lambda: self.act("export")),
            ("Ctrl+P", with_view(lambda view: view.ask_print())),
            ("Ctrl+Z", with_view(lambda view: view.step(BACK))),
            ("Ctrl+Y", with_view(lambda view: view.step(AGAIN))),
            ("Ctrl+Shift+Z", with_view(lambda view: view.step(AGAIN))),
            ("F1", self.show_guide),
            ("F6", with_view(lambda view: view.choose_next_block())),
            ("F7", with_view(lambda view: view.ask_day())),
            ("F9", lambda: self._settings.set(THEME, self._look.choose_next())),
        ]
        return [QShortcut(QKeySequence(keys), self, then) for keys, then in pairs]

    def _with_view(self, do: Callable[..., object]) -> Callable[..., None]:
        """A handler that does something with the open herd's view, and nothing while none is in front."""

        def handler(*values: object) -> None:
            if self.view is not None and self.view.shown:
                do(self.view, *values)

        return handler

    # What can be asked of it

    def open_path(self, path: Path, on: date | None = None) -> None:
        """Open a herd file, a sheet, a folder of sheets or a sample herd."""
        self.way_in.open_path(Path(path), on)

    def show_page(self, key: str) -> None:
        """Show one of the herd's pages; without a herd, the page on which one is opened."""
        if self.view is None:
            self.way_in.show_again()
            return
        self.way_in.leave()
        self.view.show(key)

    def show_guide(self) -> None:
        """Open the guide, or go back to where it was opened."""
        if self._guide is None:
            from herdscore.pages.guide import GuidePage  # late: it is read now and then

            self._guide = GuidePage(self._look)
            self._guide.closed.connect(self.show_guide)
        if self.frame.pages.currentWidget() is not self._guide:
            self.frame.show_frame(False)
            self.frame.rail.show_page("")
            self.frame.show_page(self._guide)
            self._guide.focus_first()
        elif self.way_in.page is not None:
            self.way_in.show_again()
        elif self.view is not None:
            self.view.show(self.view.last_shown)

    def say(self, message: Message) -> None:
        """Put a message into the bar."""
        is_problem = message.kind == messages.PROBLEM
        self.frame.messages.show_message(
            BarMessage(message.claim, message.rest, message.action, message.action_words, is_problem)
        )

    def act(self, action: str) -> None:
        """Do what a message, a key or a page asks for."""
        kind, _, what = action.partition(":")
        view = self.view
        if kind == "save_notes" and self._opening.noted is not None:
            self._saves.problems(*self._opening.noted)
        elif view is None:
            return
        elif kind == "start_afresh":
            self._start_afresh(Path(what))
        elif kind == "open":
            self.way_in.ask_path(folder=False)
        elif kind == "export":
            page = view.page(view.shown) if view.shown else None
            if page is None or not page.export():
                self._saves.flag_list(view.herd)
        elif kind == "workbook":
            self._saves.workbook(view.herd)
        elif kind == "save_elsewhere":
            self._saves.elsewhere(view.herd)
        elif kind == OPEN_READER:
            view.port.open()
        else:
            self.way_in.leave()
            {"page": view.show, "list": view.show_list, "cow": view.show_cow}[kind](what)

    # What happens to it

    @override
    def closeEvent(self, event: QCloseEvent) -> None:
        self._settings.set(WINDOW, self.saveGeometry())
        self._settings.save()
        self._jobs.close()
        self._close_herd()
        super().closeEvent(event)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The first page is painted: what comes after it may be brought along."""
        if watched is self.frame and event.type() == QEvent.Type.Paint:
            self.frame.removeEventFilter(self)
            QTimer.singleShot(0, self, lambda: bring_ahead(self._jobs))
        return super().eventFilter(watched, event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.frame.fit(self.height())

    @override
    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if _dropped(event) is not None:
            event.acceptProposedAction()

    @override
    def dropEvent(self, event: QDropEvent) -> None:
        path = _dropped(event)
        if path is not None:
            event.acceptProposedAction()
            self.open_path(path)

    def _on_opened(self, herd: OpenHerd) -> None:
        if self.view is not None and self.view.herd.path == herd.path:
            herd.close()  # it is open in this very window
            self.show_page(self.view.last_shown)
            self.say(messages.note(f"{herd.path.name} is open already."))
            return
        self._close_herd()
        self.frame.messages.clear()
        from herdscore.pages.herd_view import HerdView  # late: the first page does without

        self.view = HerdView(self.frame, self._look, herd, self._settings)
        self.view.message.connect(self.say)
        self.view.wished.connect(self.act)
        self.view.save_wished.connect(self._with_view(lambda view, wish: self._saves.one(view.herd, wish)))
        self.view.print_wished.connect(self._saves.print)
        self.way_in.leave()
        self._settings.add_recent(herd.path)
        self.setWindowTitle(f"{herd.name} \u2013 herdscore")
        self.view.show("scoring" if herd.can_write else "cows")
        self.view.greet()
        if self._opening.noted is not None:
            self.say(_notes_on_sheet(*self._opening.noted))
        sample = self._opening.sample_of(herd.path)
        if sample is not None and herd.can_write and not herd.is_new:
            claim = "This is your copy of the sample herd, as you left it."
            self.say(messages.note(claim, "", f"start_afresh:{sample}", "Start afresh"))

    def _start_afresh(self, sample: Path) -> None:
        self._close_herd()
        self.way_in.show_first_run()
        self._opening.start_sample_afresh(sample)

    def _close_herd(self) -> None:
        if self.view is not None:
            self.view.close()
            self.view = None

    def _on_way_left(self) -> None:
        if self.view is None:
            self._opening.drop_draft()
            self.way_in.show_first_run()
        else:
            self.show_page(self.view.last_shown)

    def _on_busy(self, busy: bool) -> None:
        for key in self._keys:
            key.setEnabled(not busy)


def _notes_on_sheet(draft: Draft, sheet: Path) -> Message:
    """What was noted on a sheet without problems."""
    count = len(draft.problems)
    named = "; ".join(f"{one.sheet} {one.column}: {one.wrong}" for one in draft.problems[:2])
    return messages.note(
        f"{count} note{'' if count == 1 else 's'} on {sheet.name}.", f"{named}.", "save_notes", "Save the list"
    )


def _dropped(event: QDropEvent) -> Path | None:
    """The one file or folder dropped, if it is one."""
    urls = event.mimeData().urls()
    return Path(urls[0].toLocalFile()) if len(urls) == 1 and urls[0].isLocalFile() else None
