"""Two people score the same cows, neither seeing what the other gave: whose turn, which cow, what came of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QObject, Signal

from herdscore.desk.edits import set_setting
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.agreement import (
    Agreement,
    Check,
    agreement,
    blind_score_of,
    checks_of,
    cows_to_check,
    keeping_blind,
    own_spreads,
    scores_of_check,
)
from herdscore.domain.scored import scorer_key, scorers_of
from herdscore.domain.scoring_entry import Entry, Outcome, open_entry, press, press_key
from herdscore.pages.short_tags import short_tags

Numbers = npt.NDArray[np.float64]
OWN_SPREAD = "own_spread"
_NO_NOTES = "FTUOWSNP"


class CheckWork(QObject):
    """`moved`: something is to be shown anew. Scores are kept in the herd file, apart from those of the herd."""

    moved = Signal()

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__()
        self.herd = herd
        self.names: tuple[str, str] = ("", "")
        self.turn = 0
        self.day: date = herd.herd_day
        self.cows: list[str] = []
        self.left_out: set[str] = set()
        self.entry: Entry | None = None
        self.is_compared = False
        herd.changed.connect(self.moved)

    @property
    def scorers(self) -> list[str]:
        """Names to choose from."""
        return scorers_of(self.herd.snapshot)

    @property
    def scorer(self) -> str:
        """Whose turn it is."""
        return self.names[self.turn]

    @property
    def earlier(self) -> list[Check]:
        """Checks made before, the newest first."""
        return checks_of(self.herd.snapshot)

    def tags(self) -> dict[str, str]:
        """Short tag of each cow by her id."""
        cows = self.herd.snapshot.cows
        return dict(zip(cows.id.tolist(), short_tags(cows.tag.tolist()), strict=True))

    def done(self, turn: int) -> set[str]:
        """Ids of the cows of this check one of the two has scored."""
        cows, one, two = scores_of_check(self.herd.snapshot, self.day, *self.names)
        given = np.isfinite(two if turn else one)
        return {str(cow) for cow in self.herd.snapshot.cows.id[cows[given]]} & set(self.cows)

    def to_do(self, turn: int) -> list[str]:
        """Cows one of the two has still to score."""
        done = self.done(turn) | self.left_out
        return [cow for cow in self.cows if cow not in done]

    # What is done

    def begin(self, one: str, two: str, count: int) -> str:
        """Draw the cows; a sentence when it cannot be. The same two on the same day go on where they were."""
        names = " ".join(one.split()), " ".join(two.split())
        if not all(names):
            return "Name both people."
        if scorer_key(names[0]) == scorer_key(names[1]):
            return "Two different people, please."
        a = self.herd.assessment
        living = self.herd.in_block & ~a.facts.gone
        if not living.any():
            return "No cow of this block is in the herd."
        rules = replace(a.rulebook.crush, check_cows=count)
        self.day = self.herd.today
        drawn = cows_to_check(living, rules, self.day.toordinal())
        self.cows = [str(cow) for cow in a.snapshot.cows.id[drawn]]
        self.names, self.turn, self.entry, self.left_out = names, 0, None, set()
        self.is_compared = False
        if not self.to_do(0):
            self.turn = 1 if self.to_do(1) else 0
        self.moved.emit()
        return ""

    def take_turn(self, turn: int) -> None:
        """Hand over to one of the two."""
        self.turn, self.entry = turn, None
        self.moved.emit()

    def take(self, cow_id: str) -> None:
        """Feel one of the cows."""
        if cow_id in self.cows and not self.is_compared and self.herd.can_write:
            self.entry = open_entry(cow_id)
        self.moved.emit()

    def press(self, key: str) -> None:
        """A key while feeling her."""
        if self.entry is None or (len(key) == 1 and key.upper() in _NO_NOTES):
            return
        self.entry, outcome = press(self.entry, key, self.herd.rulebook.verdicts)
        if outcome is Outcome.SAVE:
            self._keep(self.entry)
        elif outcome is Outcome.UNSAFE:
            self.left_out.add(self.entry.cow_id)
            self._go_on()
        elif outcome is Outcome.LEAVE:
            self.entry = None
        self.moved.emit()

    def press_key(self, site: int, place: int) -> None:
        """A score key by mouse."""
        if self.entry is not None:
            self.entry = press_key(self.entry, site, place)
            self.moved.emit()

    def compare(self) -> None:
        """Show what both gave; nothing can be scored blind after it."""
        self.is_compared, self.entry = True, None
        self.moved.emit()

    def look_at(self, check: Check) -> None:
        """Look at a check made before."""
        self.names, self.day, self.cows = (check.one, check.two), check.day, []
        self.compare()

    def leave(self) -> None:
        """Back to the beginning; what was scored is kept."""
        self.cows, self.entry, self.is_compared = [], None, False
        self.moved.emit()

    def set_own_spread(self, on: bool) -> None:
        """Whether each scorer's own spread feeds the model."""
        name = str(self.herd.rulebook.tables["crush"][OWN_SPREAD]["setting"])
        change = set_setting(self.herd.snapshot, name, "1" if on else None)
        if change is not None:
            self.herd.push(change, "scorers' own spread " + ("on" if on else "off"))

    # What came of it

    def scores(self) -> tuple[list[str], Numbers, Numbers]:
        """Ids of the cows both scored, and what each gave."""
        cows, one, two = scores_of_check(self.herd.snapshot, self.day, *self.names)
        both = np.isfinite(one) & np.isfinite(two)
        return [str(cow) for cow in self.herd.snapshot.cows.id[cows[both]]], one[both], two[both]

    def agreement(self) -> Agreement:
        """How the two agree."""
        _, one, two = self.scores()
        return agreement(one, two, self.herd.rulebook.crush)

    def spreads(self) -> dict[str, float]:
        """Own spread of each who was in a check, by the name as first spelled."""
        snapshot, rules = self.herd.snapshot, self.herd.rulebook
        spelled = {scorer_key(name): name for name in reversed(snapshot.blind_scores.scorer.tolist())}
        return {spelled[key]: spread for key, spread in own_spreads(snapshot, rules.model, rules.crush).items()}

    def _keep(self, entry: Entry) -> None:
        score = blind_score_of(entry, self.day, self.scorer)
        tag = self.tags().get(entry.cow_id, "")
        if self.herd.push(keeping_blind(self.herd.snapshot, score), f"blind score of {tag}"):
            self._go_on()

    def _go_on(self) -> None:
        left = self.to_do(self.turn)
        self.entry = open_entry(left[0]) if left else None
        if not left and self.to_do(1 - self.turn) and not self.done(1 - self.turn):
            self.turn = 1 - self.turn
