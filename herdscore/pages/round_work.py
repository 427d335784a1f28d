"""The work of a round without its widgets: which one is open, how far it is, and what is written of it."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain import rounds
from herdscore.domain.records import Round
from herdscore.domain.rounds import Pace, Progress
from herdscore.pages.short_tags import short_tags

_ENTRIES = 30  # of the journal: the last ten saves with what stands between them


class RoundWork(QObject):
    """`moved`: a round, its list or its pace is another now."""

    moved = Signal()

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__()
        self.herd = herd
        self._looked_at = ""
        self.round: Round | None = None
        self.progress: Progress | None = None
        self.pace: Pace | None = None
        self.tags: list[str] = []
        self._left = 0  # cows of the open round
        self._tags_of: object = None
        self._renew()
        herd.changed.connect(self._on_changed)
        herd.assessed.connect(self.moved)  # the verdicts are new, the round is as it was

    # Which round

    @property
    def open(self) -> Round | None:
        """The round that is open."""
        return rounds.open_round(self.herd.snapshot)

    @property
    def all(self) -> list[Round]:
        """Every round, the newest first."""
        return rounds.rounds_of(self.herd.snapshot)

    def look_at(self, round_id: str) -> None:
        """Look at a round by its id; "" goes back to the open one."""
        self._looked_at = round_id
        self._on_changed()

    # What is written of it

    def begin(self, name: str, covers: str, lean_pen: str, fat_pen: str) -> str:
        """Open a round; a sentence when it cannot be."""
        name = " ".join(name.split())
        if not name:
            return "Give the round a name."
        a = self.herd.assessment
        if not rounds.covered(a, covers).any():
            return "No cow is on that list: choose another."
        pens = {"lean_pen": " ".join(lean_pen.split()) or None, "fat_pen": " ".join(fat_pen.split()) or None}
        change = rounds.opening(a, name, covers, self.herd.today, **pens)
        self._looked_at = ""
        return "" if self.herd.push(change, f"open {name}") else "It is not opened: the line above says why."

    def close_round(self) -> bool:
        """Close the open round; it stays in sight."""
        round_ = self.open
        if round_ is None:
            return False
        self._looked_at = round_.id
        return self.herd.push(rounds.closing(round_, self.herd.today), f"close {round_.name}")

    def reopen(self, round_: Round) -> bool:
        """Take up a closed round again."""
        change = rounds.reopening(self.herd.snapshot, round_, self.herd.today)
        return self.herd.push(change, f"open {round_.name} again")

    def carry_over(self) -> bool:
        """Have those skipped come again today."""
        round_ = self.open
        change = None if round_ is None else rounds.carrying_over(self.herd.snapshot, round_)
        if round_ is None or change is None:
            return False
        return self.herd.push(change, f"carry {round_.name} over")

    def edit(self, name: str, lean_pen: str, fat_pen: str) -> str:
        """Rename the round looked at, or its pens; a sentence when it cannot be."""
        name, round_ = " ".join(name.split()), self.round
        if round_ is None or not name:
            return "Give the round a name."
        lean, fat = (" ".join(pen.split()) or None for pen in (lean_pen, fat_pen))
        after = replace(round_, name=name, lean_pen=lean, fat_pen=fat)
        if after == round_:
            return ""
        done = self.herd.push(rounds.editing_round(round_, after), f"edit {round_.name}")
        return "" if done else "It is not kept: the line above says why."

    def _on_changed(self) -> None:
        self._renew()
        self.moved.emit()

    def _renew(self) -> None:
        snapshot, open_now = self.herd.snapshot, self.open
        looked_at = next((one for one in self.all if one.id == self._looked_at), None)
        self.round = looked_at or open_now
        self.progress = None if self.round is None else rounds.progress(snapshot, self.round)
        if open_now is None:
            self._left = 0
        elif self.progress is not None and open_now == self.round:
            self._left = self.progress.left
        else:
            self._left = rounds.progress(snapshot, open_now).left
        if snapshot.cows.tag is not self._tags_of:
            self.tags, self._tags_of = short_tags(snapshot.cows.tag.tolist()), snapshot.cows.tag
        self.pace = self._pace(open_now)

    def _pace(self, open_now: Round | None) -> Pace | None:
        if open_now is None:
            return None
        saves = rounds.save_times((one.kind, one.time) for one in self.herd.file.entries(_ENTRIES))
        return rounds.pace(saves, self._left, self.herd.rulebook.crush)
