"""Scores of tags that no cow of the herd bears, kept to one side until somebody knows whose they are."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from herdscore.domain import eid
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.eid import Kind, Reading
from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import CowBook, Found, folded
from herdscore.domain.records import Aside, Cow, Score, new_id
from herdscore.domain.scored import quarters_of, score_on, scorer_key
from herdscore.domain.scoring_entry import Entry, read_note, write_note


def asides_of(snapshot: Snapshot) -> list[Aside]:
    """All of them, by tag and day."""
    return [one for one in snapshot.records("asides") if isinstance(one, Aside)]


def aside_of(entry: Entry, tag: str, day: date, scorer: str | None) -> Aside:
    """What was felt of a cow whose tag is not in the herd (an entry without a cow) as a score to one side."""
    loin, ribs, tailhead = entry.sites
    return Aside(new_id(), tag.strip(), day, loin, ribs, tailhead, scorer, write_note(entry.notes))


def keeping(snapshot: Snapshot, aside: Aside) -> Change:
    """Keep one, in place of one of the same tag, day and scorer."""
    old = [
        one
        for one in asides_of(snapshot)
        if one.id != aside.id
        and (folded(one.tag), one.day) == (folded(aside.tag), aside.day)
        and scorer_key(one.scorer) == scorer_key(aside.scorer)
    ]
    same = next((one for one in asides_of(snapshot) if one.id == aside.id), None)
    return Change("score aside", (*(RowChange(one, None) for one in old), RowChange(same, aside)))


def striking_aside(aside: Aside) -> Change:
    """Throw one away; the journal keeps it."""
    return Change("strike aside", (RowChange(aside, None),))


def near_cows(snapshot: Snapshot, book: CowBook, aside: Aside) -> Found:
    """Cows she may be: those the tag fits after all, else those it nearly fits, not scored that day first."""
    scores = snapshot.scores
    done = np.zeros(len(snapshot.cows), dtype=bool)
    done[scores.cow[scores.day == np.datetime64(aside.day, "D")]] = True
    return book.find(aside.tag, done)


def replaces(snapshot: Snapshot, aside: Aside, cow_id: str) -> Score | None:
    """The score that matching her to a cow would replace: by the same scorer on the same day."""
    return score_on(snapshot, snapshot.cow_place[cow_id], aside.day, aside.scorer)


def matching(snapshot: Snapshot, aside: Aside, cow_id: str) -> Change:
    """It was this cow: her score goes to her, in place of one by the same scorer that day; the journal keeps all."""
    old = replaces(snapshot, aside, cow_id)
    struck = () if old is None else (RowChange(old, None),)
    return Change("match aside", (RowChange(aside, None), *struck, RowChange(None, score_of(aside, cow_id))))


def adding_her(snapshot: Snapshot, aside: Aside, cow: Cow | None = None) -> Change:
    """She is new to the herd: a cow with that tag (or the cow given), with her score."""
    made = cow or new_cow(aside)
    rows = (RowChange(aside, None), RowChange(None, made), RowChange(None, score_of(aside, made.id)))
    return Change("add cow from aside", rows)


def new_cow(aside: Aside) -> Cow:
    """A cow with the tag of one; a tag that is the number of an electronic one is kept as that too."""
    found = eid.read(aside.tag)
    if isinstance(found, Reading) and found.kind is Kind.EID:
        return Cow(new_id(), found.number, eid=found.number)
    return Cow(new_id(), aside.tag)


def score_of(aside: Aside, cow_id: str) -> Score:
    """Her score as that of a cow; the note says under which tag it was taken."""
    keys, rest, _ = read_note(aside.note)
    note = write_note(keys, (*rest, f"scored as {aside.tag}"))
    made = Score(new_id(), cow_id, aside.day, aside.loin, aside.ribs, aside.tailhead, scorer=aside.scorer, note=note)
    return replace(made, score=quarters_of(made))
