"""Steps of the scoring page beside the plain way from a tag to a save: back and again, pens, skipping, taking up."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from herdscore.desk.cow_in_hand import InHand
from herdscore.desk.undo_step import Edit
from herdscore.domain.changes import Change
from herdscore.domain.crush_pens import Pen, next_pen
from herdscore.domain.records import Aside, Cow
from herdscore.domain.rounds import open_round, skipping
from herdscore.domain.scoring_entry import Entry, Outcome, press
from herdscore.pages.scoring_words import Said, short_tag

if TYPE_CHECKING:
    from herdscore.pages.scoring_work import ScoringWork

FIELD_KEYS = {"W": "weight", "S": "scan", "N": "words"}


def step(work: ScoringWork, *, back: bool) -> str:
    """Take the last step back, or do again what was taken back, and show the cow it touched; the step's words."""
    herd, stack = work.herd, work.herd.undo_stack
    at = stack.index() - 1 if back else stack.index()
    edit = stack.command(at) if 0 <= at < stack.count() else None
    words = herd.undo() if back else herd.redo()
    if not words:
        return ""
    done = "Taken back" if back else "Done again"
    tag = _tag_of(work, edit.change) if isinstance(edit, Edit) else ""
    said = Said(f"{done}: {words}", "")
    if work.entry is not None and work.entry.is_changed:
        work.say(said)
        return words
    if tag:
        work.find(tag)
        takes = work.flow.takes
        said = Said(f"{done}: {words}", "" if takes is None else f"Enter opens {short_tag(tag)}; or type another tag.")
    work.say(said)
    return words


def _tag_of(work: ScoringWork, change: Change) -> str:
    """Tag of the cow a change touched, empty when it touched none or many."""
    cows = work.herd.snapshot
    ids, tags = set(), set()
    for row in change.rows:
        record = row.after or row.before
        if isinstance(record, Aside):
            tags.add(record.tag)
        else:
            ids.add(record.id if isinstance(record, Cow) else getattr(record, "cow_id", None))
    known = [one for one in ids if one is not None and one in cows.cow_place]
    if len(known) == 1:
        return str(cows.cows.tag[cows.cow_place[known[0]]])
    return next(iter(tags)) if len(tags) == 1 and not known else ""


def put(work: ScoringWork, **values: Any) -> None:
    """Put a weight, a scan, words or a pen to the cow under the hand, by the names of Entry."""
    if work.entry is not None and work.herd.can_write:
        work.flow.entry = replace(work.entry, asks=None, notice=None, **values)
    work.say(None)


def foresee(work: ScoringWork, characters: str) -> Entry | None:
    """The cow under the hand as characters that are still held would leave her; None where they would save."""
    entry = work.entry
    if entry is None or not work.herd.can_write:
        return None
    for key in characters:
        if key.upper() in (*FIELD_KEYS, "P"):
            continue
        entry, outcome = press(entry, key, work.herd.rulebook.verdicts)
        if outcome is not Outcome.STAY:
            return None
    return entry


def choose_next_pen(work: ScoringWork, entry: Entry) -> None:
    """The next way out than the one chosen."""
    state = work.ahead.pens(entry, work.day, work.scorer)
    if state is None:
        work.said = Said("No pens to choose from", "An open round with pens has them.", firm=True)
    else:
        work.flow.entry = replace(entry, pen=next_pen(state.chosen or Pen.FAT).name, asks=None, notice=None)


def skip(work: ScoringWork, cow_id: str) -> None:
    """She was left without a score: later in the round, too."""
    snapshot, round_ = work.herd.snapshot, open_round(work.herd.snapshot)
    change = None if round_ is None else skipping(snapshot, round_, cow_id)
    if change is not None and work.herd.can_write:
        work.herd.push(change, f"skip {short_tag(str(snapshot.cows.tag[snapshot.cow_place[cow_id]]))}")


def take_up_again(work: ScoringWork, found: InHand) -> None:
    """Offer the cow that was under the hand when the program ended."""
    work.day, work.scorer, work.aside_tag = min(found.day, work.herd.herd_day), found.scorer, found.tag
    work.flow.entry = found.entry
    tag = short_tag(work.tag)
    work.said = Said(f"{tag} was not saved last time", "Here she is as she was. Go on, or Esc leaves her.")
