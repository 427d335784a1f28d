"""Run by the test that kills it: scores a scripted round cow by cow and prints each cow once she is saved.

Each cow takes a lock-step of what the page does: found by her tag, felt key by key, saved, sent to a pen; some are
unsafe, skipped, not in the herd, or taken back again.
"""

from __future__ import annotations

import random
import sys
from datetime import date
from pathlib import Path

import numpy as np

from herdscore import shipped
from herdscore.desk.edits import save_score
from herdscore.domain import asides, rounds
from herdscore.domain.changes import Change, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import ALL, Aside, Cow, Listed, Round, Score
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.scoring_entry import open_entry, score_of
from herdscore.domain.scoring_flow import Event, ScoringFlow
from herdscore.store.herd_file import HerdFile

LAPTOP = "0123456789abcdef0123456789abcdef"
DAY = date(2027, 1, 12)
COWS = 60
ROUND = Round("round", "January round", DAY, None, ALL, "Lean pen")
SAVE, TAKE_BACK = ("saving", "saved"), ("taking back", "taken back")
UNSAFE_EVERY, ASIDE_EVERY, UNDO_EVERY, PEN_EVERY = 7, 9, 11, 3


def the_herd() -> list[Cow | Round | Listed]:
    """Sixty cows on the list of one round."""
    cows = [Cow(f"cow {k:02d}", f"UK 123450 6{k:05d}") for k in range(COWS)]
    return [*cows, ROUND, *(Listed(f"listed {k}", cow.id, ROUND.id) for k, cow in enumerate(cows))]


class Sitting:
    """One person scoring until killed."""

    def __init__(self, file: HerdFile, seed: int) -> None:
        self.file, self.herd = file, file.read()
        self.chance = random.Random(seed)
        self.rules = Rulebook.from_tables(shipped.rule_tables()).verdicts
        self.flow = ScoringFlow(self.herd, self.rules)

    def work(self) -> None:
        """Cow after cow, from the first, as often as there is time."""
        for turn in range(10_000):
            self.score(turn)

    def score(self, turn: int) -> None:
        """One cow from tag to saved."""
        cow = f"cow {turn % COWS:02d}"
        tag = str(self.herd.cows.tag[self.herd.cow_place[cow]])
        if turn % ASIDE_EVERY == ASIDE_EVERY - 1:
            self.aside(turn)
            return
        self.flow.show_herd(self.herd, self.rules, np.zeros(len(self.herd.cows), dtype=bool))
        self.flow.type_tag(tag)
        assert self.flow.press("enter") is Event.TAKE
        self.flow.feel(cow)
        event = Event.NOTHING
        keys = ["X"] if turn % UNSAFE_EVERY == UNSAFE_EVERY - 1 else self.three_sites()
        for key in keys:
            event = self.flow.press(key)
        assert event in (Event.SAVE, Event.SAVE_UNSAFE)
        self.save(turn, cow, unsafe=event is Event.SAVE_UNSAFE)

    def three_sites(self) -> list[str]:
        """Keys of a whole cow whose sites lie close together."""
        whole = self.chance.choice("234")
        keys: list[str] = []
        for _ in range(3):
            keys += [whole, *self.chance.choice([[], ["+"], [whole], ["-"]]), "enter"]
        return keys

    def save(self, turn: int, cow: str, *, unsafe: bool) -> None:
        assert self.flow.entry is not None
        score = score_of(self.flow.entry, DAY, f"scorer {turn // COWS}", unsafe=unsafe)
        pen = "Lean pen" if turn % PEN_EVERY == 0 else None
        change = rounds.with_pen(save_score(self.herd, score), self.herd, ROUND, cow, pen)
        self.write(SAVE, change, score_said(score))
        self.flow.next_cow()
        if turn % UNDO_EVERY == UNDO_EVERY - 1:
            self.write(TAKE_BACK, change.inverse(), score_said(score))

    def aside(self, turn: int) -> None:
        """A tag no cow bears."""
        aside = asides.aside_of(open_entry("", Score("", "", DAY, 8 + turn % 8, 10, 12)), f"tag {turn}", DAY, "Ann")
        self.write(SAVE, asides.keeping(self.herd, aside), aside_said(aside))

    def write(self, what: tuple[str, str], change: Change, which: str) -> None:
        """Into the file; said before, and said again once it is there."""
        say(what[0], which)
        self.file.apply(change, "Ann")
        say(what[1], which)
        self.herd: Snapshot = applied(self.herd, change)


def score_said(score: Score) -> str:
    """A score as one line, the same from memory and from the file."""
    values = (score.id, score.cow_id, score.loin, score.ribs, score.tailhead, score.score, score.scorer, score.note)
    return " | ".join(str(value) for value in values)


def aside_said(aside: Aside) -> str:
    """The same of a score kept to one side."""
    return " | ".join(str(value) for value in (aside.id, aside.tag, aside.loin, aside.ribs, aside.tailhead))


def say(what: str, which: str) -> None:
    """One line, out of this process at once."""
    sys.stdout.write(f"{what}\t{which}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    with HerdFile.open(Path(sys.argv[1]), laptop=LAPTOP) as opened:
        if opened.read_only:
            sys.exit(opened.why_read_only)
        say("ready", "")
        Sitting(opened, int(sys.argv[2])).work()
