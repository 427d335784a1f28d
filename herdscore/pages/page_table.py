"""The herd's pages by name: brought along once the first page is painted, and built when they are looked at."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from typing import TYPE_CHECKING, cast

from herdscore.desk.jobs import Job, Jobs, Report, StepJob
from herdscore.parts.plotting import bring_plotting

if TYPE_CHECKING:
    from herdscore.desk.open_herd import OpenHerd
    from herdscore.desk.settings import Settings
    from herdscore.pages.herds_page import HerdsPage
    from herdscore.parts.theme import Look

_WHERE = {
    "scoring": ("herdscore.pages.crush_page", "CrushPage"),
    "cows": ("herdscore.pages.cows", "CowsPage"),
    "groups": ("herdscore.pages.groups", "GroupsPage"),
    "feeding": ("herdscore.pages.feeding", "FeedingPage"),
    "calving": ("herdscore.pages.calving", "CalvingPage"),
    "herd": ("herdscore.pages.herd", "HerdPage"),
}
PAGES = tuple(_WHERE)
_PLAIN = ("decimal", "importlib.metadata", "concurrent.futures", "multiprocessing.connection", "pydoc", "numpy.typing")


def build_page(key: str, look: Look, herd: OpenHerd, settings: Settings) -> HerdsPage:
    """A page of the herd; its module is brought along now if it was not before."""
    module, name = _WHERE[key]
    return cast("HerdsPage", getattr(importlib.import_module(module), name)(look, herd, settings))


def bring_ahead(jobs: Jobs) -> None:
    """Bring along what the pages are made of while the first page is looked at."""
    plain = jobs.ahead_lane(Job(_bring_plain))
    plain.finished.connect(lambda: jobs.window_lane(StepJob(_bring_pages)))


def _bring_plain(report: Report) -> None:
    """What knows nothing of Qt: the trade, and what pyqtgraph brings along of the standard library."""
    names = ["numpy", *_modules_of("herdscore.domain"), *_PLAIN]
    for count, name in enumerate(names):
        report(count, len(names), name)
        importlib.import_module(name)


def _bring_pages(_report: Report) -> Iterator[None]:
    """What knows Qt, a module a step and on the window's thread: on another it might meet a class half made."""
    for room in ("herdscore.desk", "herdscore.parts", "herdscore.pages"):
        for name in _modules_of(room):
            importlib.import_module(name)
            yield
    yield from bring_plotting()


def _modules_of(room: str) -> list[str]:
    return [f"{room}.{one.name}" for one in pkgutil.iter_modules(importlib.import_module(room).__path__)]
