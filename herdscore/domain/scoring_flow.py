"""The way from a tag to a saved score, key by key: find her, feel three sites, save, next cow."""

from __future__ import annotations

from enum import Enum, auto

import numpy as np
import numpy.typing as npt

from herdscore.domain import scoring_entry
from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import CowBook, Found
from herdscore.domain.records import Score
from herdscore.domain.rule_forms import VerdictThresholds
from herdscore.domain.scoring_entry import Entry, Outcome, open_entry

Flags = npt.NDArray[np.bool_]


class Event(Enum):
    """What the page is asked to do after a key."""

    NOTHING = auto()
    TAKE = auto()
    TAKE_GONE = auto()
    TAKE_ASIDE = auto()
    REOPEN = auto()
    SAVE = auto()
    SAVE_UNSAFE = auto()
    LEFT = auto()


class ScoringFlow:
    """Where the scoring stands: looking for a cow (`entry` is None) or feeling her.

    The page answers TAKE (TAKE_GONE: the cow that is gone, TAKE_ASIDE: a tag of no cow) with `feel`, SAVE and
    SAVE_UNSAFE with `next_cow` once the score is kept. Until then nothing that was entered is given up.
    """

    def __init__(self, snapshot: Snapshot, rules: VerdictThresholds) -> None:
        self._rules = rules
        self._book = CowBook(snapshot)
        self._cow_ids = snapshot.cows.id
        self._done: Flags = np.zeros(len(snapshot.cows), dtype=bool)
        self._among: Flags = np.ones(len(snapshot.cows), dtype=bool)
        self.typed = ""
        self.chosen: int | None = None
        self.refused = False
        self.found: Found = self._book.find("", self._done)
        self.entry: Entry | None = None

    def show_herd(self, snapshot: Snapshot, rules: VerdictThresholds, done: Flags, among: Flags | None = None) -> None:
        """Look among these cows from now on; flags, one a cow: `done` that day, and `among` those to score at all."""
        if snapshot.cows.id is not self._cow_ids:
            self._book, self._cow_ids = CowBook(snapshot), snapshot.cows.id
        self._rules, self._done = rules, done
        self._among = np.ones(len(done), dtype=bool) if among is None else among
        chosen = self.chosen_cow
        self.found = self._book.find(self.typed, done, self._among)
        places = [match.cow for match in self.found.matches]
        self.chosen = places.index(chosen) if chosen in places else None

    @property
    def book(self) -> CowBook:
        """The numbers of the herd."""
        return self._book

    @property
    def chosen_cow(self) -> int | None:
        """The cow of the row chosen with the arrows, if one is."""
        if self.chosen is None or self.chosen >= len(self.found.matches):
            return None
        return self.found.matches[self.chosen].cow

    @property
    def takes(self) -> int | None:
        """The cow Enter takes: the one chosen, else the only one plainly meant."""
        return self.found.takes if self.chosen_cow is None else self.chosen_cow

    def type_tag(self, text: str) -> None:
        """What stands in the tag box now."""
        self.typed, self.chosen, self.refused = text, None, False
        self.found = self._book.find(text, self._done, self._among)

    def press(self, key: str) -> Event:
        """One key, by its character or name: enter escape backspace up down, and those of `scoring_entry.press`."""
        return self._find(key) if self.entry is None else self._feel(self.entry, key)

    def press_key(self, site: int, place: int) -> None:
        """A score key pressed by mouse: site 0-2, key 0-8."""
        if self.entry is not None:
            self.entry = scoring_entry.press_key(self.entry, site, place)

    def feel(
        self,
        cow_id: str,
        before: Score | None = None,
        *,
        on_purpose: bool = False,
        recent: int | None = None,
        jump: int = 4,
    ) -> None:
        """A cow is found; `before` is what the same scorer gave her that day already, `recent` her last score."""
        self.entry = open_entry(cow_id, before, on_purpose=on_purpose, recent=recent, jump=jump)

    def next_cow(self) -> None:
        """Look for the next one."""
        self.entry = None
        self.type_tag("")

    def _find(self, key: str) -> Event:
        refused, self.refused = self.refused, False
        if key == "enter":
            if self.takes is not None:
                return Event.TAKE
            self.refused = True
            if refused and self.found.typed:  # what one more Enter does was said
                return self._once_more()
        elif key == "escape":
            self.type_tag("")
        elif key == "backspace":
            if not self.typed:
                return Event.REOPEN
            self.type_tag(self.typed[:-1])
        elif key in ("up", "down"):
            self._step(1 if key == "down" else -1)
        elif len(key) == 1:
            self.type_tag(self.typed + key)
        return Event.NOTHING

    def _once_more(self) -> Event:
        """Enter after it was said that no cow of the herd is meant: one that is gone, or a tag of none."""
        if len(self.found.gone) == 1:
            return Event.TAKE_GONE
        if not self.found.gone and (not self.found.matches or self.found.near):
            return Event.TAKE_ASIDE
        return Event.NOTHING

    def _step(self, by: int) -> None:
        last = len(self.found.matches) - 1
        if last >= 0:
            start = -1 if by > 0 else last + 1
            self.chosen = min(max((start if self.chosen is None else self.chosen) + by, 0), last)

    def _feel(self, entry: Entry, key: str) -> Event:
        self.entry, outcome = scoring_entry.press(entry, key, self._rules)
        if outcome is Outcome.LEAVE:
            self.next_cow()
            return Event.LEFT
        return {Outcome.SAVE: Event.SAVE, Outcome.UNSAFE: Event.SAVE_UNSAFE}.get(outcome, Event.NOTHING)
