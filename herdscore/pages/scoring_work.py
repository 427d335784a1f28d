"""The work of the scoring page without its widgets: which day and scorer, which cow, what is saved and taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QObject, Signal

from herdscore.desk.edits import save_score
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import SCORER, Settings
from herdscore.domain.herd import Snapshot
from herdscore.domain.scale import show
from herdscore.domain.scored import DaysWork, score_on, work_of
from herdscore.domain.scoring_entry import Entry, score_of
from herdscore.domain.scoring_flow import Event, ScoringFlow
from herdscore.pages.scoring_words import Said, short_tag

Flags = npt.NDArray[np.bool_]

_LOOKING_KEYS = ("escape", "skip", "up", "down")


class ScoringWork(QObject):
    """`moved`: something on the page has to be shown anew; `said` stands beside the tag box until the next key."""

    moved = Signal()

    def __init__(self, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self.herd = herd
        self._settings = settings
        self._herd_day = herd.herd_day
        self.day: date = herd.herd_day
        self.scorer: str = settings.get(SCORER)
        self.flow = ScoringFlow(herd.snapshot, herd.rulebook.verdicts)
        self.said: Said | None = None
        self.last_cows: list[str] = []
        self.work: DaysWork = work_of(herd.snapshot, self.day)
        self.in_block: Flags = _in_block(herd)
        self._renew()
        herd.changed.connect(self._on_changed)
        herd.assessed.connect(self._on_changed)
        herd.block_chosen.connect(self._on_changed)
        herd.day_chosen.connect(self._on_day)

    # Where it stands

    @property
    def is_today(self) -> bool:
        """Whether the scores are for the herd's own day."""
        return self.day == self.herd.herd_day

    @property
    def entry(self) -> Entry | None:
        """The cow under the hand."""
        return self.flow.entry

    @property
    def cow(self) -> int | None:
        """Place of the cow under the hand in the herd."""
        return None if self.entry is None else self.herd.snapshot.cow_place.get(self.entry.cow_id)

    # What is done

    def press(self, key: str) -> None:
        """A key, while looking for a cow or feeling her."""
        self.said = None
        entry = self.entry
        if entry is not None and not self.herd.can_write and key not in _LOOKING_KEYS:
            self.said = _why_not(self.herd)
        else:
            self._do(self.flow.press(key))
        self.moved.emit()

    def press_key(self, site: int, place: int) -> None:
        """A score key pressed by mouse."""
        self.said = None if self.herd.can_write else _why_not(self.herd)
        if self.herd.can_write:
            self.flow.press_key(site, place)
        self.moved.emit()

    def type_tag(self, text: str) -> None:
        """What stands in the tag box."""
        self.said = None
        self.flow.type_tag(text)
        self.moved.emit()

    def take(self, cow: int) -> None:
        """Begin with a cow, by her place in the herd."""
        self.said = None
        self._begin(str(self.herd.snapshot.cows.id[cow]), on_purpose=False)
        self.moved.emit()

    def reopen(self, cow_id: str) -> None:
        """Open a cow scored before, to mend what she was given."""
        self.said = None
        if self.entry is not None and self.entry.is_changed:
            self.said = Said("Save this cow first", "Or leave her with Skip.", firm=True)
        elif cow_id in self.herd.snapshot.cow_place:
            self._begin(cow_id, on_purpose=True)
        self.moved.emit()

    def find(self, text: str) -> None:
        """Look for a tag from elsewhere, unless a cow is half entered."""
        if self.entry is not None and self.entry.is_changed:
            self.said = Said("Save this cow first", "Or leave her with Skip.", firm=True)
        else:
            self.flow.next_cow()
            self.flow.type_tag(text)
            self.said = None
        self.moved.emit()

    def choose_day(self, day: date) -> None:
        """Score for another day; what is entered of a cow stays."""
        self.day = min(day, self.herd.herd_day)
        self._renew()
        self.moved.emit()

    def choose_scorer(self, scorer: str) -> None:
        """Somebody else scores; remembered on this laptop."""
        self.scorer = scorer
        self._settings.set(SCORER, scorer)
        self._renew()
        self.moved.emit()

    def undo(self) -> None:
        """Take the last change back."""
        stack = self.herd.undo_stack
        if not stack.canUndo():
            return
        words = stack.undoText()
        if not self.herd.can_write:
            self.said = _why_not(self.herd)
        else:
            before = self.herd.snapshot
            stack.undo()
            taken = self.herd.snapshot is not before
            self.said = Said("Taken back", f"{words[:1].upper()}{words[1:]}.") if taken else None
        self.moved.emit()

    # Its own steps

    def _do(self, event: Event) -> None:
        if event is Event.TAKE:
            takes = self.flow.takes
            assert takes is not None
            self._begin(str(self.herd.snapshot.cows.id[takes]), on_purpose=False)
        elif event is Event.REOPEN:
            known = [cow for cow in self.last_cows if cow in self.herd.snapshot.cow_place]
            if known:
                self._begin(known[0], on_purpose=True)
            else:
                self.said = Said("No last cow to open", "None has been scored in this sitting.", firm=True)
        elif event in (Event.SAVE, Event.SAVE_UNSAFE):
            self._save(unsafe=event is Event.SAVE_UNSAFE)

    def _begin(self, cow_id: str, *, on_purpose: bool) -> None:
        place = self.herd.snapshot.cow_place[cow_id]
        before = score_on(self.herd.snapshot, place, self.day, self.scorer)
        self.flow.feel(cow_id, before, on_purpose=on_purpose)
        if not self.herd.can_write:
            self.said = _why_not(self.herd)

    def _save(self, *, unsafe: bool) -> None:
        entry = self.entry
        assert entry is not None
        score = score_of(entry, self.day, self.scorer or None, unsafe=unsafe)
        tag = short_tag(tag_of(self.herd.snapshot, entry.cow_id))
        got = "not scored: unsafe" if unsafe or score.score is None else show(score.score)
        # The flow goes on before the write tells everybody, so that no listener sees a cow already kept as open.
        self.flow.next_cow()
        if not self.herd.push(save_score(self.herd.snapshot, score), f"score {tag}: {got}"):
            self.flow.entry = entry
            self.said = Said(f"{tag} is not saved", "The line above says why. Nothing entered is lost.", firm=True)
            return
        self.last_cows = [entry.cow_id, *(cow for cow in self.last_cows if cow != entry.cow_id)]
        self.said = Said(
            f"{tag} kept as unsafe" if unsafe else f"{tag} saved: {got}", "Next cow: type her last digits."
        )

    def _renew(self) -> None:
        """Who is done on the day, and what the scorer gave the cow under the hand before."""
        snapshot = self.herd.snapshot
        self.work, self.in_block = work_of(snapshot, self.day), _in_block(self.herd)
        self.flow.show_herd(snapshot, self.herd.rulebook.verdicts, self.work.done, self.in_block)
        entry = self.entry
        if entry is None:
            return
        if self.cow is None:
            self.flow.next_cow()
            return
        before = score_on(snapshot, self.cow, self.day, self.scorer)
        if before != entry.before:
            self.flow.entry = replace(entry, before=before, asks=None, answered=frozenset(), notice=None)

    def _on_changed(self) -> None:
        self._renew()
        self.moved.emit()

    def _on_day(self) -> None:
        if self.day == self._herd_day:
            self.day = self.herd.herd_day
        self._herd_day = self.herd.herd_day
        self._on_changed()


def tag_of(snapshot: Snapshot, cow_id: str) -> str:
    """A cow's tag."""
    return str(snapshot.cows.tag[snapshot.cow_place[cow_id]])


def _why_not(herd: OpenHerd) -> Said:
    return Said("", herd.why_not, firm=True)


def _in_block(herd: OpenHerd) -> Flags:
    """Cows of the chosen block by their places now; a cow added since the last assessment counts."""
    assessed, in_block = herd.assessment.snapshot.cow_place, herd.in_block
    return np.array([bool(in_block[assessed[cow]]) if cow in assessed else True for cow in herd.snapshot.cows.id])
