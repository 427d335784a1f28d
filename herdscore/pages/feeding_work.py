"""What the tabs of the page Feeding share: groups, feeds, the group chosen, and plans worked out beside the window."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from PySide6.QtCore import QObject, Signal

from herdscore.desk.jobs import Job, Report
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.diets import group_key
from herdscore.domain.energy import Numbers
from herdscore.domain.fed_groups import FedGroup, Stand, fed_groups, present_ration
from herdscore.domain.feed_form import with_book_marks
from herdscore.domain.feeding_cows import LeftOut
from herdscore.domain.feeds import Feeds, feeds_of
from herdscore.domain.group_plans import GroupPlan, plan_again
from herdscore.pages.short_tags import short_tags


class FeedingWork(QObject):
    """`moved()`: groups, feeds or the choice are others; `planned(group key)`: a plan asked for has come."""

    moved = Signal()
    planned = Signal(str)

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__()
        self.herd = herd
        self._key = ""
        self._plans: dict[tuple[str, int | None], GroupPlan] = {}
        self._jobs: dict[tuple[str, int | None], Job] = {}
        self._groups: list[FedGroup] | None = None
        self._feeds: Feeds | None = None
        herd.assessed.connect(self._on_moved)
        herd.block_chosen.connect(self._on_moved)

    @property
    def assessment(self) -> Assessment:
        """The herd as it is seen now."""
        return self.herd.assessment

    @property
    def groups(self) -> list[FedGroup]:
        """Groups of the block looked at, those to plan for first."""
        if self._groups is None:
            found = _short(fed_groups(self.assessment, self.herd.in_block), self.assessment)
            self._groups = sorted(found, key=lambda one: (not one.name, one.stand is Stand.NOBODY))
        return self._groups

    @property
    def feeds(self) -> Feeds:
        """The farm's feeds."""
        if self._feeds is None:
            made = feeds_of(self.assessment.snapshot.feeds)
            self._feeds = with_book_marks(made, self.herd.rulebook.book_feeds)
        return self._feeds

    @property
    def chosen(self) -> FedGroup | None:
        """The group looked at; the one most in need of a word when none was chosen."""
        named = next((one for one in self.groups if group_key(one.name) == self._key), None)
        return named if named is not None else next(iter(self.groups), None)

    def choose(self, name: str) -> None:
        """Look at another group."""
        if group_key(name) != self._key:
            self._key = group_key(name)
            self.moved.emit()

    def present(self, group: FedGroup) -> Numbers | None:
        """What a group gets today in kg dry matter by feed, None when it is not known."""
        return present_ration(group, self.feeds)

    @property
    def lacking(self) -> str:
        """Why no plan can be made for want of feeds, in a sentence; empty when one can."""
        if not len(self.feeds):
            return "No feeds are entered yet."
        if not self.feeds.is_forage.any():
            return "None of the feeds is a forage or straw: no plan keeps a cow's rumen right without."
        return ""

    def plan_of(self, group: FedGroup, aim: int | None = None) -> GroupPlan | None:
        """The plan of a group, None while it is worked out: `planned` tells. `aim` overrides what is advised."""
        asked = (group_key(group.name), aim)
        if asked not in self._plans and asked not in self._jobs and len(group.cows) and not self.lacking:
            job = self.herd.work_out(_planned, self.assessment, group, self.feeds, aim)
            self._jobs[asked] = job
            job.finished.connect(lambda made: self._on_planned(job, asked, made))
            job.failed.connect(self.herd.failed)
        return self._plans.get(asked)

    def left_out_of(self, group: FedGroup) -> list[LeftOut]:
        """Cows of a group no plan counts, those whose verdict wants something first."""
        return sorted(group.left_out, key=lambda one: (one.why, np.nan_to_num(one.days, nan=1e9)))

    def _on_planned(self, job: Job, asked: tuple[str, int | None], made: GroupPlan) -> None:
        if self._jobs.get(asked) is job:
            del self._jobs[asked]
            self._plans[asked] = made
            self.planned.emit(asked[0])

    def _on_moved(self) -> None:
        for job in self._jobs.values():
            job.cancel()
        self._jobs.clear()
        self._plans.clear()
        self._groups = self._feeds = None
        self.moved.emit()


def _short(groups: list[FedGroup], a: Assessment) -> list[FedGroup]:
    """The groups with tags as lists show them."""
    tags = np.array(short_tags(a.snapshot.cows.tag.tolist()), dtype=object)
    return [
        replace(
            group,
            cows=replace(group.cows, tag=tags[group.cows.row]),
            left_out=tuple(replace(one, tag=str(tags[one.row])) for one in group.left_out),
        )
        for group in groups
    ]


def _planned(assessment: Assessment, group: FedGroup, feeds: Feeds, aim: int | None, report: Report) -> GroupPlan:
    return plan_again(assessment, group, feeds, aim)
