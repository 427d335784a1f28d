"""Where a cow's calving date comes from, in words: what it rests on, and what else was said."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calving_dates import (
    FROM_BOTH,
    FROM_BULL_RUN,
    FROM_HAND,
    FROM_HAND_CHECK,
    FROM_SCAN,
    FROM_SERVICE,
    FROM_TOLD,
    NONE,
    SOURCES,
)
from herdscore.domain.reasons import say_day, say_number, say_spread
from herdscore.domain.records import AI, HAND_CHECK, NOT_IN_CALF


@dataclass(frozen=True, slots=True)
class DateAccount:
    """Her date as it is said ("14 Jul ± 4 days", "" unknown), what it rests on, and what else bears on it."""

    said: str
    rests_on: str
    notes: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """What it rests on and the date: "Served 29 Sep by a Limousin: 14 Jul ± 6 days"."""
        return f"{self.rests_on}: {self.said}" if self.said else self.rests_on


def date_said(assessment: Assessment, cow: int) -> str:
    """A cow's calving date with its spread, "" when nothing tells it."""
    day = assessment.day(assessment.dates.day[cow])
    if day is None:
        return ""
    return f"{say_day(day, assessment.today)} ± {say_spread(assessment.dates.spread[cow])} days"


def date_source(assessment: Assessment, cow: int) -> str:
    """One word or two for where her date comes from, "" without a date."""
    return SOURCES[int(assessment.dates.source[cow])]


def account(assessment: Assessment, cow: int) -> DateAccount:
    """The whole account of one cow's calving date."""
    told = _Account(assessment, cow)
    return DateAccount(date_said(assessment, cow), told.rests_on(), told.notes())


def sire_words(assessment: Assessment, row: int) -> str:
    """Who served her by a row of the services: "a Limousin", "K4, a Limousin", "K4", or ""."""
    services = assessment.snapshot.services
    breed, sire = services.sire_breed[row], services.sire[row]
    known = assessment.rulebook.breed(breed)
    name = known.name if known is not None else breed
    kind = f"{'an' if name[0].casefold() in 'aeiou' else 'a'} {name}" if name else ""
    return ", ".join(part for part in (sire, kind) if part)


class _Account:
    """The words of one cow's account."""

    def __init__(self, assessment: Assessment, cow: int) -> None:
        self._a, self._i = assessment, cow
        self._dates, self._services = assessment.dates, assessment.snapshot.services

    def rests_on(self) -> str:
        source = int(self._dates.source[self._i])
        if source == NONE:
            return self._nothing()
        if self._dates.typed[self._i]:
            return self._typed(source)
        said = {
            FROM_SERVICE: self._service,
            FROM_SCAN: self._check,
            FROM_HAND_CHECK: self._check,
            FROM_BOTH: lambda: f"{self._check()}; {_lower(self._service())}",
            FROM_BULL_RUN: self._bull,
        }
        return said[source]()

    def notes(self) -> tuple[str, ...]:
        """What else was said of her date, each a sentence."""
        found = [*self._other_dates(), *self._shifts()]
        if self._a.block_near[self._i] and self._dates.source[self._i] != NONE:
            found.append("Her date is near the turn of the blocks: enter autumn or spring for her.")
        return tuple(found)

    def _day(self, day: np.datetime64) -> str:
        return say_day(day.astype(date), self._a.today)

    def _from_today(self, days: float) -> str:
        return say_day(self._a.day(days), self._a.today)

    def _row(self, rows: np.ndarray) -> int | None:
        row = float(rows[self._i])
        return int(row) if math.isfinite(row) else None

    def _service(self) -> str:
        row = self._row(self._dates.service_row)
        if row is None:
            return "Served"
        day, sire = self._day(self._services.day[row]), sire_words(self._a, row)
        if self._services.kind[row] == AI:
            return f"AI {day}{f' with {sire}' if sire else ''}"
        return f"Served {day}{f' by {sire}' if sire else ''}"

    def _check(self) -> str:
        row = self._row(self._dates.scan_row)
        if row is None:
            return "Scan"
        word = "Hand check" if self._services.kind[row] == HAND_CHECK else "Scan"
        return f"{word} {self._day(self._services.day[row])}, {say_number(self._services.foetal_age[row], 0)} days"

    def _bull(self) -> str:
        row = self._row(self._dates.bull_row)
        if row is None:
            return "Bull run"
        until, sire = self._services.until[row], sire_words(self._a, row)
        end = f"to {self._day(until)}" if not np.isnat(until) else "on, no last day entered"
        return f"Bull with her {self._day(self._services.day[row])} {end}{f' ({sire})' if sire else ''}"

    def _typed(self, source: int) -> str:
        if source == FROM_HAND:
            return "Set by hand in the register"
        if source == FROM_TOLD:
            return "As told, in the register"
        return f"In the register, from a {SOURCES[source]}"

    def _nothing(self) -> str:
        a, i = self._a, self._i
        if math.isfinite(self._dates.not_in_calf_since[i]):
            return f"Checked empty {self._from_today(self._dates.not_in_calf_since[i])}, and no service since"
        if a.snapshot.cows.status[i] == NOT_IN_CALF:
            return "Her status says not in calf"
        calved = self._dates.last_calving[i]
        if math.isfinite(calved):
            return f"Calved {self._from_today(calved)}, and nothing since tells her next date"
        return "Nothing tells her date yet: a service, the bull's dates or a scan would"

    def _other_dates(self) -> list[str]:
        dates, i, said = self._dates, self._i, []
        if dates.source[i] == NONE:
            return []
        typed = self._a.snapshot.cows.calving_date[i]
        served = self._from_today(dates.served_day[i])
        if math.isfinite(dates.differs_days[i]):
            said.append(
                f"The register says {self._day(typed)}, {_days(dates.differs_days[i])} from {served}: services and "
                "scans win, unless the date is set by hand."
            )
        elif dates.typed[i] and dates.source[i] == FROM_HAND and math.isfinite(dates.served_day[i]):
            said.append(f"Her services and scans alone would give {served}.")
        if math.isfinite(dates.bull_after_days[i]):
            later = dates.bull_after_days[i]
            run = self._row(dates.bull_row)
            since = f" from {self._day(self._services.day[run])}" if run is not None else ""
            said.append(f"The bull was with her too{since}: if she came back, she calves about {_days(later)} later.")
        if dates.repeat[i]:
            said.append("Another service is entered that the scan does not fit; the scan is kept.")
        if math.isfinite(dates.scan_outside_days[i]):
            said.append(
                f"By the scan she took the bull {_days(dates.scan_outside_days[i])} outside the days he was with her."
            )
        return said

    def _shifts(self) -> list[str]:
        if self._dates.source[self._i] == NONE or self._dates.typed[self._i]:
            return []
        rules, said = self._a.rulebook.dates, []
        if self._dates.twins[self._i]:
            said.append(f"Twins: {_days(-rules.twins_shift)} earlier.")
        if self._dates.first_calver[self._i]:
            said.append(f"First calf: {_days(-rules.first_calver_shift)} earlier.")
        return said


def _days(days: float) -> str:
    count = f"{days:.1f}".rstrip("0").rstrip(".")
    return "1 day" if count == "1" else f"{count} days"


def _lower(sentence: str) -> str:
    """A sentence to follow a semicolon; AI stays AI."""
    return sentence if sentence.startswith("AI") else sentence[0].lower() + sentence[1:]
