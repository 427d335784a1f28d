"""What saving the cow under the hand would mean: the herd as it will be, and the pen she leaves to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.visit import save_visit
from herdscore.domain.assess import Assessment
from herdscore.domain.crush_pens import Pen, PenAdvice, PenCounts, advised_pen, pen_counts, pen_of
from herdscore.domain.records import Round
from herdscore.domain.rounds import listing_of, open_round
from herdscore.domain.scored import work_of
from herdscore.domain.scoring_entry import LAST_SITE, Entry, score_of


@dataclass(frozen=True, slots=True)
class PenState:
    """The open round with its pens, the way out chosen (None while sites are missing), what is advised, the counts."""

    round: Round
    chosen: Pen | None
    advice: PenAdvice | None
    counts: PenCounts


class Ahead:
    """Looks at the herd as if the cow under the hand were saved; kept until something changes."""

    def __init__(self, herd: OpenHerd) -> None:
        self._herd = herd
        self._key: object = None
        self._made: Assessment | None = None

    def is_wanted(self, entry: Entry | None) -> bool:
        """Whether her last site is in and would change what is kept."""
        if entry is None or not entry.cow_id or entry.score is None or not self._herd.can_write:
            return False
        return entry.is_changed and entry.sites[LAST_SITE] is not None

    def is_made(self, entry: Entry, day: date, scorer: str) -> bool:
        """Whether it is known already."""
        return self._made is not None and self._key == self._key_of(entry, day, scorer)

    def assessment(self, entry: Entry | None, day: date, scorer: str) -> Assessment | None:
        """The herd as it will be once she is saved, as it is when nothing is changed; None before her last site."""
        if entry is None or entry.score is None or not entry.cow_id:
            return None
        if not self.is_wanted(entry):
            return None if entry.is_changed else self._herd.assessment
        return self._of(entry, day, scorer)

    def pens(self, entry: Entry | None, day: date, scorer: str) -> PenState | None:
        """The ways out; None without a cow of the herd or without an open round that names a pen."""
        snapshot, round_ = self._herd.snapshot, round_with_pens(self._herd)
        if round_ is None or entry is None or entry.cow_id not in snapshot.cow_place:
            return None
        work = work_of(snapshot, round_.opened, round_.closed or date.max)
        counts = pen_counts(snapshot, round_, work.done)
        ahead = self.assessment(entry, day, scorer)
        place = None if ahead is None else ahead.snapshot.cow_place.get(entry.cow_id)
        advice = None if ahead is None or place is None else advised_pen(ahead, place, round_)
        listing = listing_of(snapshot, round_, entry.cow_id)
        if entry.pen is not None:
            chosen: Pen | None = Pen[entry.pen]
        elif entry.before is not None and listing is not None:
            chosen = pen_of(round_, listing.pen)  # where she went already
        else:
            chosen = None if advice is None else advice.pen
        return PenState(round_, chosen, advice, counts)

    def pen_to_keep(self, entry: Entry, day: date, scorer: str) -> Pen | None:
        """The pen that goes with a save: the one chosen, else the one advised."""
        state = self.pens(entry, day, scorer)
        if state is not None and state.chosen is None and entry.score is not None:
            made, round_ = self._of(entry, day, scorer), state.round  # a site was left out
            return advised_pen(made, made.snapshot.cow_place[entry.cow_id], round_).pen
        return None if state is None else state.chosen or Pen.OWN

    def _of(self, entry: Entry, day: date, scorer: str) -> Assessment:
        key = self._key_of(entry, day, scorer)
        if self._made is None or key != self._key:
            change = save_visit(self._herd.snapshot, entry, score_of(entry, day, scorer or None))
            self._made, self._key = self._herd.preview(change), key
        return self._made

    def _key_of(self, entry: Entry, day: date, scorer: str) -> object:
        felt = (entry.cow_id, entry.sites, entry.weight, entry.scan, entry.scan_age, entry.answered)
        return (*felt, id(self._herd.snapshot), self._herd.today, day, scorer)


def round_with_pens(herd: OpenHerd) -> Round | None:
    """The open round, when it names a pen at least."""
    round_ = open_round(herd.snapshot)
    return round_ if round_ is not None and (round_.lean_pen or round_.fat_pen) else None
