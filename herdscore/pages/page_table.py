"""The herd's pages by name: brought along beside the window once it is painted, and built when they are looked at."""

from __future__ import annotations

import importlib
from functools import partial
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QObject, Signal

from herdscore.desk.jobs import Job, Jobs, Report

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
_BESIDES = {"cows": ("pyqtgraph", "herdscore.parts.runway_chart")}
"""What a page brings along only when it is drawn."""
PAGES = tuple(_WHERE)


def build_page(key: str, look: Look, herd: OpenHerd, settings: Settings) -> HerdsPage:
    """A page of the herd; its module is brought along now if it was not before."""
    module, name = _WHERE[key]
    return cast("HerdsPage", getattr(importlib.import_module(module), name)(look, herd, settings))


class PagesAhead(QObject):
    """Brings the pages' modules along in jobs, so that the window never waits for them.

    `loaded(key)`: a page can be built at once.
    """

    loaded = Signal(str)

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._under_way: set[str] = set()
        self._begun = False

    def start(self) -> None:
        """Begin, once."""
        if self._begun:
            return
        self._begun = True
        for key in PAGES:
            self._under_way.add(key)
            job = self._jobs.ahead_lane(Job(_load, key))
            job.finished.connect(self._on_loaded)
            job.failed.connect(partial(self._on_loaded, key))

    def is_here(self, key: str) -> bool:
        """Whether a page can be built without waiting for its modules to come."""
        return key not in self._under_way

    def _on_loaded(self, key: str, _problem: object = None) -> None:
        self._under_way.discard(key)
        self.loaded.emit(key)


def _load(key: str, report: Report) -> str:
    for name in (_WHERE[key][0], *_BESIDES.get(key, ())):
        importlib.import_module(name)
        report(0, 1, name)
    return key
