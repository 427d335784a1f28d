"""The herd as it is seen now: snapshot and newest assessment, which day, which block, and whether it can be written."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from herdscore.desk.first_look import FirstLook
from herdscore.desk.head_figures import HeadFigure, figures
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.calendar import BLOCK_NAMES, NO_BLOCK
from herdscore.domain.changes import Change, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.rulebook import Rulebook
from herdscore.errors import Problem

if TYPE_CHECKING:
    from herdscore.store.herd_file import HerdFile

BOTH = "both"


class HerdInView(QObject):
    """What can be known of the open herd; `OpenHerd` adds what can be done to it."""

    changed = Signal()
    assessed = Signal(object)
    saved = Signal(str)
    failed = Signal(object)
    block_chosen = Signal(str)
    day_chosen = Signal()

    def __init__(self, first: FirstLook, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.file: HerdFile = first.file
        self.snapshot: Snapshot = first.snapshot
        self._base = first.base
        self.rulebook: Rulebook = first.rulebook
        self.assessment: Assessment = first.assessment
        self.undo_stack = QUndoStack(self)
        self.block = BOTH
        self.unsaved: Problem | None = None  # why the last change did not get to the disk; None once one does
        self.is_new = first.is_new
        self._computer_day = first.computer_day
        self._as_of = first.assessment.today if first.assessment.today != self.herd_day else None

    @property
    def path(self) -> Path:
        """Where the herd file is."""
        return self.file.path

    @property
    def name(self) -> str:
        """The herd's name, else the name of its file."""
        return self.rulebook.herd_name or self.path.stem

    @property
    def is_sample(self) -> bool:
        """Whether it carries a day of its own, as the sample herds do."""
        return self.rulebook.own_day is not None

    @property
    def herd_day(self) -> date:
        """The day on which this herd is scored: its own, else the computer's."""
        return self.rulebook.own_day or self._computer_day

    @property
    def today(self) -> date:
        """The day it is looked at."""
        return self._as_of or self.herd_day

    @property
    def looking(self) -> bool:
        """Whether it is looked at on another day, so that nothing is written."""
        return self._as_of is not None

    @property
    def why_not(self) -> str:
        """Why nothing can be written; empty when it can."""
        if self.file.read_only:
            return self.file.why_read_only
        return "You are looking at another day; nothing is written. Go back to today to write." if self.looking else ""

    @property
    def can_write(self) -> bool:
        """Whether changes are taken now."""
        return not self.why_not

    @property
    def in_block(self) -> npt.NDArray[np.bool_]:
        """Cows of the chosen block, one value a cow of the assessment; a cow of unknown block is in both."""
        block = self.assessment.block
        if self.block == BOTH:
            return np.ones(len(block), dtype=bool)
        return np.asarray((block == BLOCK_NAMES.index(self.block)) | (block == NO_BLOCK), dtype=bool)

    def figures(self) -> list[HeadFigure]:
        """The figures of the header, for the chosen block."""
        return figures(self.assessment, self.in_block)

    def preview(self, change: Change) -> Assessment:
        """What a change would mean, worked out in memory; nothing is written."""
        snapshot, rulebook = applied(self.snapshot, change), self.rulebook
        if any(row.table == "settings" for row in change.rows):
            rulebook, _ = self._base.with_settings(snapshot.setting)
        return assess(snapshot, rulebook, self.today)

    def choose_block(self, name: str) -> None:
        """Look at one block, or at both."""
        if name != self.block:
            self.block = name
            self.block_chosen.emit(name)
