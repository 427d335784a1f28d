"""What is under the hand on the calving page: finding the cow, her calving as it is entered, the care of calves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
from PySide6.QtCore import QObject, Signal

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import SCORER, Settings
from herdscore.domain import calf_care, season_ticks
from herdscore.domain.calving_checks import ONE_PREGNANCY_DAYS, CalvingFacts, facts_of
from herdscore.domain.calving_entry import CalvingEntry, Outcome, checked, on_day, open_entry, press, with_field
from herdscore.domain.calving_record import calving_change
from herdscore.domain.calving_season import still_to_calve
from herdscore.domain.lookup import CowBook, Found
from herdscore.domain.reasons import say_day
from herdscore.domain.records import GONE, Calving

MOST_SHOWN = 6


class CalvingWork(QObject):
    """`moved()`: something to show changed; `said(str)`: a sentence that stays after a cow is done with."""

    moved = Signal()
    said = Signal(str)

    def __init__(self, herd: OpenHerd, settings: Settings, clock: Callable[[], datetime] | None = None) -> None:
        super().__init__()
        self.herd, self._settings = herd, settings
        self._clock = clock or (lambda: datetime.now(UTC))
        self.entry: CalvingEntry | None = None
        self.facts: CalvingFacts | None = None
        self.time = ""
        self.typed = ""
        self.at = 0  # which of the cows that fit Enter takes
        self.last_said = ""
        self._renew()
        herd.changed.connect(self._on_changed)
        herd.assessed.connect(self._on_assessed)
        herd.block_chosen.connect(self._on_assessed)

    def now(self) -> datetime:
        """The moment, aware; on a sample's own day or another day looked at, the time of day on that day."""
        now = self._clock().astimezone()
        if self.herd.is_sample or self.herd.looking:
            return datetime.combine(self.herd.today, now.time()).astimezone()
        return now

    # Finding her

    def type_tag(self, text: str) -> None:
        """Other digits are typed."""
        self.typed, self.at = text, 0
        self._find()
        self.moved.emit()

    @property
    def fitting(self) -> list[int]:
        """Places of the cows that fit, those due first; with nothing typed the ones due next."""
        if self.typed.strip():
            return [match.cow for match in self.found.matches[:MOST_SHOWN]]
        return self._due[:MOST_SHOWN]

    def step(self, way: int) -> None:
        """Move among the cows that fit."""
        count = len(self.fitting)
        self.at = min(max(self.at + way, 0), max(count - 1, 0))
        self.moved.emit()

    def take_typed(self) -> None:
        """Enter in the tag box: the cow plainly meant, else the one chosen among those that fit."""
        cows = self.fitting
        if not self.typed.strip() and self.at == 0:
            self.last_said = "Type her tag, or choose with the arrows."
        elif self.found.takes is not None and self.at == 0:
            self.take(self.found.takes)
            return
        elif not cows:
            gone = self.found.gone
            tag = self.herd.snapshot.cows.tag[gone[0]] if gone else ""
            status = self.herd.snapshot.cows.status[gone[0]] if gone else ""
            self.last_said = f"{tag} is marked {status}." if gone else f"No cow ends in {self.typed.strip()}."
        elif self.at or (self.typed.strip() and len(cows) == 1 and not self.found.near):
            self.take(cows[self.at])
            return
        else:
            near = "No cow ends so; these are close." if self.found.near else f"{len(cows)} cows end so."
            self.last_said = f"{near} Down and Enter takes one."
            self.at = 0
        self.moved.emit()

    def take(self, cow: int) -> None:
        """Open the form for a cow, by her place in the snapshot; her calving of this season is opened to be mended."""
        snapshot = self.herd.snapshot
        cow_id = str(snapshot.cows.id[cow])
        if self.herd.assessment.snapshot.cow_place.get(cow_id) is None:
            return
        today = self.herd.today
        rows = [row for row in snapshot.records("calvings", snapshot.of_cow("calvings", cow)) if _is_calving(row)]
        lately = [row for row in rows if isinstance(row, Calving) and (today - row.day).days <= ONE_PREGNANCY_DAYS]
        before = tuple(row for row in lately if row.day == max(one.day for one in lately))
        day = before[0].day if before else today
        self.entry = open_entry(cow_id, day, before)
        born = calf_care.birth_time(snapshot, before[0].id) if before else self.now()
        self.time = "" if born is None else f"{born.astimezone():%H:%M}"
        self.last_said = ""
        self._read_facts()
        self.moved.emit()

    def leave(self) -> None:
        """Back to the tag box; nothing is written."""
        self.entry, self.facts, self.typed, self.at = None, None, "", 0
        self._find()
        self.moved.emit()

    # Entering it

    def press(self, key: str) -> None:
        """One key of the form."""
        if self.entry is None or self.facts is None:
            return
        entry, outcome = press(self.entry, key, self.facts, self.herd.rulebook.calving)
        self.entry = entry
        if outcome is Outcome.SAVE or (outcome is Outcome.LEAVE and key == "enter" and self._time_changed()):
            self._save()
        elif outcome is Outcome.LEAVE:
            self.leave()
        else:
            self.moved.emit()

    def set_field(self, name: str, text: str) -> None:
        """A field typed on demand."""
        if self.entry is not None:
            self.entry = with_field(self.entry, name, text)
            self.moved.emit()

    def set_day(self, day: date) -> None:
        """Another day; its time is not known until it is typed."""
        if self.entry is not None and day != self.entry.day:
            self.entry = on_day(self.entry, day)
            self.time = f"{self.now():%H:%M}" if day == self.herd.today else ""
            self.moved.emit()

    def set_time(self, text: str) -> None:
        """Another time of birth."""
        self.time = text
        self.moved.emit()

    @property
    def sentence(self) -> str:
        """What is to be said of the entry now: why a key did nothing, what is asked, else what is worth knowing."""
        entry = self.entry
        if entry is None or self.facts is None:
            return self.last_said
        hints = checked(entry, self.facts, self.herd.rulebook.calving).hints if entry.how is not None else ()
        return entry.notice or entry.asks or next(iter(hints), "")

    def _save(self) -> None:
        entry, herd = self.entry, self.herd
        assert entry is not None
        wrong = calf_care.time_wrong(self.time, entry.day, self.now())
        if wrong or not herd.can_write:
            self.entry = replace(entry, notice=wrong or herd.why_not)
            self.moved.emit()
            return
        rules, scorer = herd.rulebook.verdicts, self._settings.get(SCORER) or None
        change = calving_change(herd.snapshot, entry, herd.today, rules.in_milk_days, scorer)
        at = calf_care.read_time(self.time)
        born = None if at is None else datetime.combine(entry.day, at).astimezone()
        change = calf_care.with_birth_time(herd.snapshot, change, born)
        tag = str(herd.snapshot.cows.tag[herd.snapshot.cow_place[entry.cow_id]])
        what = "mended calving" if entry.before else "calving"
        if change.rows and not herd.push(change, f"{what} of {tag}"):
            self.moved.emit()
            return
        self.leave()
        self.last_said = f"{tag}: calving of {say_day(entry.day, herd.today)} {'mended' if entry.before else 'saved'}."
        self.said.emit(self.last_said)
        self.moved.emit()

    def _time_changed(self) -> bool:
        entry = self.entry
        if entry is None or not entry.before or not self.time.strip():
            return False
        born = calf_care.birth_time(self.herd.snapshot, entry.before[0].id)
        return born is None or f"{born.astimezone():%H:%M}" != self.time.strip()

    # Care and ticks

    def care(self, calving_id: str, what: str, amount: float | None = None) -> bool:
        """Note that something was done now."""
        rows = np.flatnonzero(self.herd.snapshot.calvings.id == calving_id)
        if not len(rows):
            return False
        tag = self.herd.snapshot.cows.tag[self.herd.snapshot.calvings.cow[rows[0]]]
        return self.herd.push(calf_care.caring(calving_id, what, self.now(), amount), f"{what}, {tag}")

    def tick(self, names: tuple[str, ...], words: str, *, on: bool) -> bool:
        """Tick things off, or take the ticks off again."""
        snapshot = self.herd.snapshot
        if on:
            change = season_ticks.finishing(snapshot, names, self.herd.herd_day)
        else:
            change = season_ticks.taking_up_again(snapshot, names)
        return change is not None and self.herd.push(change, f"{'tick' if on else 'untick'}: {words}")

    # Keeping up

    def _renew(self) -> None:
        a, snapshot = self.herd.assessment, self.herd.snapshot
        due = np.flatnonzero(still_to_calve(a) & self.herd.in_block)
        due = due[np.argsort(a.dates.day[due], kind="stable")]
        ids = [str(a.snapshot.cows.id[cow]) for cow in due.tolist()]
        self._due = [snapshot.cow_place[cow_id] for cow_id in ids if cow_id in snapshot.cow_place]
        done = np.ones(len(snapshot.cows), dtype=bool)
        done[self._due] = False
        self._done = done | np.isin(snapshot.cows.status, GONE)
        self._book = CowBook(snapshot)
        self._find()

    def _find(self) -> None:
        self.found: Found = self._book.find(self.typed.strip(), self._done)

    def _read_facts(self) -> None:
        if self.entry is not None:
            a = self.herd.assessment
            place = a.snapshot.cow_place.get(self.entry.cow_id)
            if place is None:
                self.leave()
            else:
                self.facts = facts_of(a, place, self.entry.before)

    def _on_changed(self) -> None:
        self._renew()
        if self.entry is not None and self.entry.before:
            # What it mends may have been taken back.
            now = {row.id: row for row in self.herd.snapshot.records("calvings")}
            if any(now.get(row.id) != row for row in self.entry.before):
                self.leave()
        self.moved.emit()

    def _on_assessed(self) -> None:
        self._renew()
        self._read_facts()
        self.moved.emit()


def _is_calving(row: object) -> bool:
    return isinstance(row, Calving)
