"""The work of the scoring page without its widgets: which day and scorer, which cow, what is saved and taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QObject, Signal

from herdscore.desk.cow_in_hand import CowInHand
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import SCORER, Settings
from herdscore.desk.visit import save_visit
from herdscore.domain.asides import aside_of, keeping
from herdscore.domain.crush_pens import Pen
from herdscore.domain.herd import Snapshot
from herdscore.domain.rounds import open_round
from herdscore.domain.scale import show
from herdscore.domain.scored import DaysWork, last_time, score_on, scorers_of, work_of
from herdscore.domain.scoring_entry import Entry, score_of, write_note
from herdscore.domain.scoring_flow import Event, ScoringFlow
from herdscore.pages import scoring_steps as steps
from herdscore.pages.scoring_ahead import Ahead
from herdscore.pages.scoring_errands import Errands
from herdscore.pages.scoring_words import Said, short_tag

Flags = npt.NDArray[np.bool_]

_LOOKING_KEYS = ("escape", "skip", "up", "down")
_UNFINISHED = Said("Save this cow first", "Or leave her with Skip.", firm=True)


class ScoringWork(QObject):
    """`moved`: something on the page has to be shown anew; `said` stands beside the tag box until the next key.

    `field_wanted(name)`: weight, scan or own words are to be typed. `kept`: a cow was saved.
    """

    moved = Signal()
    field_wanted = Signal(str)
    kept = Signal()

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
        self.scorers: list[str] = []
        self._saving = False
        self.work: DaysWork = work_of(herd.snapshot, self.day)
        self.in_block: Flags = _in_block(herd)
        self.ahead = Ahead(herd)
        self.errands = Errands(self)
        self.aside_tag = ""  # of the cow under the hand when none of the herd bears it
        self._hand = CowInHand(settings.folder, herd.file.herd_id)
        self._renew()
        found = self._hand.offered(herd.snapshot) if herd.can_write else None
        if found is not None:
            steps.take_up_again(self, found)
            self._renew()
        herd.changed.connect(self._on_changed)
        herd.assessed.connect(self._on_changed)
        herd.block_chosen.connect(self._on_changed)
        herd.day_chosen.connect(self._on_changed)

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

    @property
    def tag(self) -> str:
        """Tag of the cow under the hand."""
        entry = self.entry
        return "" if entry is None else tag_of(self.herd.snapshot, entry.cow_id) if entry.cow_id else self.aside_tag

    # What is done

    def press(self, key: str) -> None:
        """A key, while looking for a cow or feeling her."""
        self.said = None
        entry, letter = self.entry, key.upper() if len(key) == 1 else ""
        if entry is not None and not self.herd.can_write and key not in _LOOKING_KEYS:
            self.said = _why_not(self.herd)
        elif entry is not None and letter == "P":
            steps.choose_next_pen(self, entry)
        elif entry is not None and letter in steps.FIELD_KEYS:
            if entry.cow_id or letter == "N":
                self.field_wanted.emit(steps.FIELD_KEYS[letter])
            else:
                self.said = Said("Not before she is known", "Weight and scan need a cow of the herd.", firm=True)
        elif entry is None and key == "escape" and self.errands.now is not None and not self.flow.typed:
            self.errands.drop()
        else:
            self._do(self.flow.press(key), entry, key)
        self.tell()

    def press_key(self, site: int, place: int) -> None:
        """A score key pressed by mouse."""
        self.said = None if self.herd.can_write else _why_not(self.herd)
        if self.herd.can_write:
            self.flow.press_key(site, place)
        self.tell()

    def type_tag(self, text: str) -> None:
        """What stands in the tag box."""
        if text == self.flow.typed and self.said is None and not self.flow.refused and self.flow.chosen is None:
            return  # shown already, when the key was still held for a reader
        self.said = None
        self.flow.type_tag(text)
        self.tell()

    def take(self, cow: int) -> None:
        """Begin with a cow, by her place in the herd; an errand takes her for itself."""
        self.said = None
        if not self.errands.taken(cow):
            self.begin(str(self.herd.snapshot.cows.id[cow]))
        self.tell()

    def reopen(self, cow_id: str) -> None:
        """Open a cow scored before, to mend what she was given."""
        self.said = None
        if self.entry is not None and self.entry.is_changed:
            self.said = _UNFINISHED
        elif cow_id in self.herd.snapshot.cow_place:
            self.begin(cow_id, on_purpose=True)
        self.tell()

    def find(self, text: str) -> None:
        """Look for a tag from elsewhere, unless a cow is half entered."""
        if self.entry is not None and self.entry.is_changed:
            self.said = _UNFINISHED
        else:
            self.errands.drop()
            self.flow.next_cow()
            self.flow.type_tag(text)
            self.said = None
        self.tell()

    def say(self, said: Said | None) -> None:
        """Say something beside the tag box."""
        self.said = said
        self.tell()

    def tell(self) -> None:
        """Have everything shown anew, and the cow in hand kept in case of a crash."""
        if self.herd.can_write:
            self._hand.keep(self.entry, self.day, self.scorer, self.aside_tag)
        self.moved.emit()

    def choose_day(self, day: date) -> None:
        """Score for another day; what is entered of a cow stays."""
        self.day = min(day, self.herd.herd_day)
        self._renew()
        self.tell()

    def choose_scorer(self, scorer: str) -> None:
        """Somebody else scores; remembered on this laptop."""
        self.scorer = scorer
        self._settings.set(SCORER, scorer)
        self._renew()
        self.tell()

    # Its own steps

    def _do(self, event: Event, entry: Entry | None, key: str) -> None:
        cows = self.herd.snapshot.cows
        if event in (Event.TAKE, Event.TAKE_GONE):
            taken = self.flow.found.gone[0] if event is Event.TAKE_GONE else self.flow.takes
            assert taken is not None
            if not self.errands.taken(taken):
                self.begin(str(cows.id[taken]))
        elif event is Event.TAKE_ASIDE and self.errands.now is None:
            self.begin("", tag=self.flow.typed.strip())
        elif event is Event.REOPEN:
            known = [cow for cow in self.last_cows if cow in self.herd.snapshot.cow_place]
            if known:
                self.begin(known[0], on_purpose=True)
            else:
                self.said = Said("No last cow to open", "None has been scored in this sitting.", firm=True)
        elif event in (Event.SAVE, Event.SAVE_UNSAFE):
            self._save(unsafe=event is Event.SAVE_UNSAFE)
        elif event is Event.LEFT and key == "skip" and entry is not None and entry.cow_id in cows.id.tolist():
            steps.skip(self, entry.cow_id)

    def begin(self, cow_id: str, *, on_purpose: bool = False, tag: str = "") -> None:
        """Put a cow under the hand; one not in the herd by her tag alone."""
        self.aside_tag = tag
        if not cow_id:
            self.flow.feel("")
        else:
            snapshot, rule = self.herd.snapshot, self.herd.rulebook.notes["big_jump"]
            place = snapshot.cow_place[cow_id]
            before = score_on(snapshot, place, self.day, self.scorer)
            last = last_time(snapshot, place, self.day)
            is_recent = last is not None and (self.day - last.day).days <= rule.within_days
            recent = last.score if last is not None and is_recent else None
            self.flow.feel(cow_id, before, on_purpose=on_purpose, recent=recent, jump=round(4 * rule.value))
        if not self.herd.can_write:
            self.said = _why_not(self.herd)

    def _save(self, *, unsafe: bool) -> None:
        entry = self.entry
        assert entry is not None
        score = score_of(entry, self.day, self.scorer or None, unsafe=unsafe)
        tag = short_tag(self.tag)
        got = "not scored: unsafe" if unsafe or score.score is None else show(score.score)
        snapshot = self.herd.snapshot
        if entry.cow_id:
            pen = entry.pen and Pen[entry.pen] if unsafe else self.ahead.pen_to_keep(entry, self.day, self.scorer)
            change = save_visit(snapshot, entry, score, open_round(snapshot), pen or None)
        else:
            aside = aside_of(entry, self.aside_tag, self.day, self.scorer or None)
            note = write_note(entry.notes, (entry.words,) if entry.words else ())
            change = keeping(snapshot, replace(aside, note=note))
        # The flow goes on before the write tells everybody, so that no listener sees a cow already kept as open.
        self.flow.next_cow()
        self._saving = True  # looked at and shown once it is told to be saved
        is_kept = self.herd.push(change, f"score {tag}: {got}")
        self._saving = False
        self._renew()
        if not is_kept:
            self.flow.entry = entry
            self.said = Said(f"{tag} is not saved", "The line above says why. Nothing entered is lost.", firm=True)
            return
        self.kept.emit()
        if entry.cow_id:
            self.last_cows = [entry.cow_id, *(cow for cow in self.last_cows if cow != entry.cow_id)]
            claim, rest = f"{tag} saved: {got}", "Next cow: type her last digits."
        else:
            claim, rest = f"{tag} kept to one side: {got}", "Sort her out between cows, below."
        self.said = Said(f"{tag} kept as unsafe" if unsafe else claim, rest)

    def _renew(self) -> None:
        """Who is done on the day, and what the scorer gave the cow under the hand before."""
        snapshot = self.herd.snapshot
        self.scorers = scorers_of(snapshot)
        self.work, self.in_block = work_of(snapshot, self.day), _in_block(self.herd)
        self.flow.show_herd(snapshot, self.herd.rulebook.verdicts, self.work.done, self.in_block)
        entry = self.entry
        if entry is None or not entry.cow_id:
            return
        if self.cow is None:
            self.flow.next_cow()
            return
        before = score_on(snapshot, self.cow, self.day, self.scorer)
        if before != entry.before:
            self.flow.entry = replace(entry, before=before, asks=None, answered=frozenset(), notice=None)

    def _on_changed(self) -> None:
        if self.day == self._herd_day:
            self.day = self.herd.herd_day  # the next day has come
        self._herd_day = self.herd.herd_day
        if not self._saving:
            self._renew()
            self.tell()


def tag_of(snapshot: Snapshot, cow_id: str) -> str:
    """A cow's tag."""
    return str(snapshot.cows.tag[snapshot.cow_place[cow_id]])


def _why_not(herd: OpenHerd) -> Said:
    return Said("", herd.why_not, firm=True)


def _in_block(herd: OpenHerd) -> Flags:
    """Cows of the chosen block by their places now; a cow added since the last assessment counts."""
    assessed, in_block = herd.assessment.snapshot.cow_place, herd.in_block
    return np.array([bool(in_block[assessed[cow]]) if cow in assessed else True for cow in herd.snapshot.cows.id])
