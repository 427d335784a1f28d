"""Every page of the program as a picture, drawn without a screen; nothing is written but the pictures."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QWidget

from herdscore.desk.first_look import FirstLook, make_file, open_file
from herdscore.desk.jobs import Jobs
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.opening import Opening
from herdscore.desk.reading import PROBLEM, Draft, read_sheet
from herdscore.desk.settings import Settings
from herdscore.desk.sources import HERD, Opener, source_of
from herdscore.domain.listing import flag_lists, flag_order
from herdscore.domain.scale import LOWEST
from herdscore.errors import Problem
from herdscore.pages.calving import TABS as CALVING_TABS
from herdscore.pages.calving import CalvingPage
from herdscore.pages.cow_middle import RECORDS
from herdscore.pages.crush_page import SUMMARY, CrushPage
from herdscore.pages.feeding import TABS as FEEDING_TABS
from herdscore.pages.feeding import FeedingPage
from herdscore.pages.file_asking import FileAsking
from herdscore.pages.groups import GroupsPage
from herdscore.pages.guide import GuidePage
from herdscore.pages.herd import DIETS, GROUPS, SERVICES, SETTINGS, YEAR, HerdPage
from herdscore.pages.problems import ProblemsPage
from herdscore.pages.scoring_look import last_sites
from herdscore.pages.scoring_strip import CHECK, LEARN, ROUND
from herdscore.parts.theme import Look
from herdscore.window import MainWindow

_WAIT_MS = 20
_TURNS = 2  # of the event loop: a page just added is laid out in the first, what scrolls in it in the next
FIRST_SCORE = 10  # 2.5
Step = tuple[str, Callable[[], object]]


def pictures(app: QApplication, herd: Path, out: Path, *, on: date | None, size: tuple[int, int], theme: str) -> int:
    """Write every page as a PNG into a folder; 0, or 1 when the sheet had problems (listed on standard error)."""
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise Problem(f"The folder {out} cannot be made.", f"{fault.strerror}.", "Choose another.") from fault
    with tempfile.TemporaryDirectory() as kept:
        first, draft = open_copy(herd, Path(kept), on)
        look = Look(theme)
        look.prepare(app)
        jobs = Jobs()
        settings = Settings(Path(kept))
        opening = Opening(jobs, Path(kept), laptop="pictures")
        window = MainWindow(look, settings, opening, jobs, FileAsking())
        look.dress(window)
        window.resize(*size)
        window.show()
        _play(app, window, jobs, page_steps(window, opening, look, OpenHerd(first, jobs), draft), out)
        window.close()
    for problem in draft.problems if draft is not None else ():
        if problem.severity == PROBLEM:
            place = f"{problem.sheet}, row {problem.row or 'all'}, {problem.column}"
            print(f"{place}: {problem.says!r} {problem.wrong}; {problem.comes_in_as}", file=sys.stderr)
    return 1 if draft is not None and draft.has_problems else 0


def open_copy(herd: Path, kept: Path, on: date | None) -> tuple[FirstLook, Draft | None]:
    """The herd from a copy of its own, so that nothing is written beside it."""
    today = date.today()
    opener = Opener("pictures", today, "", on)
    copy = kept / f"{herd.stem or 'herd'}{HERD}"
    if herd.suffix.lower() == HERD:
        from herdscore.store.herd_file import HerdFile  # late, as everywhere: it brings the database along

        with HerdFile.open(herd, read_only=True) as file:
            file.copy_to(copy)
        return open_file(copy, opener, _tell_nobody), None
    draft = read_sheet(source_of(herd, kept).sheet, today, None, _tell_nobody)
    return make_file(copy, draft.records, herd.name, opener, _tell_nobody), draft


def page_steps(window: MainWindow, opening: Opening, look: Look, herd: OpenHerd, draft: Draft | None) -> Iterator[Step]:
    """Name of each picture, and how its page comes to the front."""
    yield "first", lambda: None
    if draft is not None and draft.problems:
        yield "problems", partial(window.frame.show_page, ProblemsPage(look, draft))
    yield "scoring", partial(_show_herd, window, opening, herd)
    for name, panel in (("round", ROUND), ("summary", SUMMARY), ("check", CHECK), ("learn", LEARN)):
        yield f"scoring-{name}", partial(_show_panel, window, panel)
    yield "runway", partial(_show_runway, window)
    lists = flag_lists(herd.assessment)
    for name, key in (("act", "act"), ("in-hand", "hand"), ("nothing-new", "nothing"), ("missing", "missing")):
        if lists.on(key):
            yield f"cows-{name}", partial(window.act, f"list:{key}")
    yield "cows-all", partial(window.act, "list:all")
    if lists.cow:
        # A cow with a change to begin has most to show.
        telling = next((i for i, mark in enumerate(lists.mark) if mark.startswith(("now", "hand"))), 0)
        yield "cow", partial(window.act, f"cow:{herd.assessment.snapshot.cows.id[lists.cow[telling]]}")
        yield "cow-records", partial(_show_records, window)
    yield "groups", partial(window.show_page, "groups")
    yield "groups-two", partial(_show_two_groups, window)
    yield "feeding", partial(window.show_page, "feeding")
    for key, _ in FEEDING_TABS[1:]:
        yield f"feeding-{key.replace(' ', '-')}", partial(_show_feeding, window, key)
    yield "calving", partial(window.show_page, "calving")
    for key, _ in CALVING_TABS[1:]:
        yield f"calving-{key.replace(' ', '-')}", partial(_show_calving, window, key)
    yield "herd-register", partial(window.show_page, "herd")
    for key in (SERVICES, GROUPS, DIETS, SETTINGS):
        yield f"herd-{key}", partial(_show_herd_tab, window, key)
    yield "herd-year", partial(_show_herd_tab, window, YEAR)
    guide = GuidePage(look)
    for chapter in range(guide.chapters):
        yield f"guide-{chapter + 1}", partial(_show_chapter, window, guide, chapter)
    yield "guide-learning", guide.show_learning


def _show_herd(window: MainWindow, opening: Opening, herd: OpenHerd) -> None:
    opening.opened.emit(herd)
    window.show_page("scoring")
    page = window.view.scoring if window.view is not None else None
    if page is None or not herd.can_write or not page.work.flow.found.matches:
        return
    # A cow whose three sites are in: about her last score, so that nothing is asked. She is never saved.
    page.work.take(page.work.flow.found.matches[0].cow)
    last = last_sites(page.work)
    for site, quarters in enumerate(last):
        page.work.press_key(site, ((quarters or FIRST_SCORE) - LOWEST) // 2)


def _show_panel(window: MainWindow, panel: str) -> None:
    page = window.view.page("scoring") if window.view is not None else None
    if isinstance(page, CrushPage):
        page.show_panel(panel)


def _show_two_groups(window: MainWindow) -> None:
    page = window.view.page("groups") if window.view is not None else None
    if isinstance(page, GroupsPage):
        page.show_pair(0)


def _show_herd_tab(window: MainWindow, key: str) -> None:
    page = window.view.page("herd") if window.view is not None else None
    if isinstance(page, HerdPage):
        page.show_tab(key)


def _show_feeding(window: MainWindow, key: str) -> None:
    page = window.view.page("feeding") if window.view is not None else None
    if isinstance(page, FeedingPage):
        page.show_tab(key)


def _show_calving(window: MainWindow, key: str) -> None:
    page = window.view.page("calving") if window.view is not None else None
    if isinstance(page, CalvingPage):
        page.show_tab(key)


def _show_runway(window: MainWindow) -> None:
    """The runway, with the cow pointed at who is the first to begin a change."""
    window.show_page("cows")
    assert window.view is not None
    runway, herd = window.view.cows.runway, window.view.herd
    telling = [i for i, mark in enumerate(flag_order(herd.assessment).mark) if mark.startswith(("now", "hand"))]
    if telling:
        cow = flag_order(herd.assessment).cow[telling[0]]
        runway.choose(str(herd.assessment.snapshot.cows.id[cow]))


def _show_records(window: MainWindow) -> None:
    assert window.view is not None
    window.view.cows.one_cow.middle.turn(RECORDS)


def _show_chapter(window: MainWindow, guide: GuidePage, chapter: int) -> None:
    guide.show_chapter(chapter)
    window.frame.show_frame(False)
    window.frame.rail.show_page("")
    window.frame.messages.clear()
    window.frame.show_page(guide)
    guide.focus_first()


def _play(app: QApplication, window: QWidget, jobs: Jobs, steps: Iterator[Step], out: Path) -> None:
    """Bring up page after page; each is drawn when its sums are done and the event loop has laid it out."""
    drawn = 0

    def draw(name: str, turns: int = _TURNS) -> None:
        nonlocal drawn
        if jobs.running:
            QTimer.singleShot(_WAIT_MS, window, lambda: draw(name))
            return
        if turns:
            QTimer.singleShot(0, window, lambda: draw(name, turns - 1))
            return
        drawn += 1
        path = out / f"{drawn:02d}-{name}.png"
        if not window.grab().save(str(path)):
            failed.append(path)
        QTimer.singleShot(0, window, forward)

    def forward() -> None:
        step = None if failed else next(steps, None)
        if step is None:
            app.quit()
            return
        name, show = step
        show()
        QTimer.singleShot(0, window, lambda: draw(name))

    failed: list[Path] = []
    QTimer.singleShot(0, window, forward)
    app.exec()
    if failed:
        raise Problem(f"{failed[0]} could not be written.", "", "Choose another folder.")


def _tell_nobody(done: int, total: int, text: str) -> None:
    """Stand in where no progress is wanted."""
