"""Who was scored on a day and by whom, and what each cow had last time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Score
from herdscore.domain.scale import mean_of_sites, to_quarter
from herdscore.domain.scoring_entry import Sites, read_note

Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class DaysWork:
    """Two flags a cow: scored on the day, and only seen (not scored: unsafe)."""

    scored: Flags
    unsafe: Flags

    @property
    def done(self) -> Flags:
        """Cows that need not come again that day."""
        return np.asarray(self.scored | self.unsafe, dtype=bool)


@dataclass(frozen=True, slots=True)
class LastTime:
    """A cow's score before a day: in quarters, the sites felt then, and on which day."""

    day: date
    score: int
    sites: Sites


def work_of(snapshot: Snapshot, day: date, until: date | None = None) -> DaysWork:
    """Who was scored on a day, or from it to another, by anybody; flags, one a cow."""
    scores, n = snapshot.scores, len(snapshot.cows)
    on_day = (scores.day >= np.datetime64(day, "D")) & (scores.day <= np.datetime64(until or day, "D"))
    value, _ = mean_of_sites(scores.loin, scores.ribs, scores.tailhead, scores.score)
    scored, unsafe = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    scored[scores.cow[on_day & np.isfinite(value)]] = True
    blank = np.flatnonzero(on_day & np.isnan(value))
    unsafe[[scores.cow[row] for row in blank.tolist() if read_note(scores.note[row])[2]]] = True
    return DaysWork(scored, unsafe & ~scored)


def scorer_key(name: str | None) -> str:
    """What two spellings of one scorer share: no case, single blanks.

    >>> scorer_key(" R. T. ") == scorer_key("r.  t."), scorer_key(None)
    (True, '')
    """
    return " ".join((name or "").split()).casefold()


def score_on(snapshot: Snapshot, cow: int, day: date, scorer: str | None) -> Score | None:
    """What one scorer gave a cow (her place in the herd) on a day, None when nothing."""
    for row in _of_day(snapshot, cow, day):
        if scorer_key(row.scorer) == scorer_key(scorer):
            return row
    return None


def others_on(snapshot: Snapshot, cow: int, day: date, scorer: str | None) -> list[Score]:
    """What other scorers gave a cow on a day."""
    return [row for row in _of_day(snapshot, cow, day) if scorer_key(row.scorer) != scorer_key(scorer)]


def quarters_of(score: Score) -> int | None:
    """A kept score in quarters: the mean of its sites, else the overall score; None for an unsafe cow."""
    felt = [site for site in (score.loin, score.ribs, score.tailhead) if site is not None]
    return (2 * sum(felt) + len(felt)) // (2 * len(felt)) if felt else score.score


def last_time(snapshot: Snapshot, cow: int, before: date) -> LastTime | None:
    """Her score on the last day scored before a day; the mean of the scorers when there were two."""
    scores = snapshot.scores
    rows = snapshot.of_cow("scores", cow)
    value, _ = mean_of_sites(scores.loin[rows], scores.ribs[rows], scores.tailhead[rows], scores.score[rows])
    usable = np.isfinite(value) & (scores.day[rows] < np.datetime64(before, "D"))
    rows, value = rows[usable], value[usable]
    if not len(rows):
        return None
    day = scores.day[rows[-1]]
    of_day = scores.day[rows] == day
    mean = round(float(to_quarter(value[of_day].mean(keepdims=True))[0]) * 4)
    last = int(rows[-1])
    loin, ribs, tailhead = (_whole(float(getattr(scores, site)[last])) for site in ("loin", "ribs", "tailhead"))
    return LastTime(day.item(), mean, (loin, ribs, tailhead))


def scorers_of(snapshot: Snapshot) -> list[str]:
    """Names of the herd's scorers as first spelled, in alphabetical order."""
    spelled: dict[str, str] = {}
    for name in dict.fromkeys(snapshot.scores.scorer.tolist()):
        if name:
            spelled.setdefault(scorer_key(name), name)
    return [spelled[key] for key in sorted(spelled)]


def _of_day(snapshot: Snapshot, cow: int, day: date) -> list[Score]:
    rows = snapshot.of_cow("scores", cow)
    rows = rows[snapshot.scores.day[rows] == np.datetime64(day, "D")]
    return [row for row in snapshot.records("scores", rows.tolist()) if isinstance(row, Score)]


def _whole(value: float) -> int | None:
    return int(value) if value == value else None
