"""The scores that count today: values, scorers and sessions for the model, and each cow's last score."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.calendar import days_from
from herdscore.domain.herd import Snapshot
from herdscore.domain.herd_columns import Text
from herdscore.domain.records import CONFIRMED
from herdscore.domain.rule_forms import ModelParameters
from herdscore.domain.scale import mean_of_sites, to_quarter

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Sessions:
    """Usable scores (one value a score; `row` is its place in the table), sessions (day, scorer), last scores (a cow).

    `last` is the mean of the scores of her last scored day to the nearest quarter, NaN without one.
    """

    row: Places
    cow: Places
    day: Numbers
    value: Numbers
    session: Places
    grain: Numbers
    noise_sd: Numbers
    session_day: Numbers
    session_scorer: Places
    scorers: tuple[str | None, ...]
    last: Numbers
    last_day: Numbers


def sessions_of(snapshot: Snapshot, model: ModelParameters, today: date, reference: str | None) -> Sessions:
    """Read the scores of the last year up to today; a blank scorer is the reference scorer."""
    scores = snapshot.scores
    days = days_from(today, scores.day)
    values, sites = mean_of_sites(scores.loin, scores.ribs, scores.tailhead, scores.score)
    row = np.flatnonzero((days <= 0) & (days >= -model.max_age_days) & np.isfinite(values))
    day, value, felt = days[row], values[row], sites[row]
    cow = scores.cow[row]
    names, scorer = _scorers(scores.scorer[row], reference)
    keys = day * len(names) + scorer
    unique, session = np.unique(keys, return_inverse=True)
    session_day = np.floor_divide(unique, len(names))
    by_eye = scores.by_eye[row] == 1
    step = np.where(_in_halves(snapshot, row, session, len(unique), model.halves_cows), 0.5, model.default_grain)
    last, last_day = _last(cow, day, value, len(snapshot.cows))
    return Sessions(
        row=row,
        cow=cow,
        day=day,
        value=value,
        session=session.astype(np.intp),
        grain=step / np.sqrt(np.maximum(felt, 1)),
        noise_sd=np.where(by_eye, model.by_eye_sd, np.where(felt == 1, model.one_site_sd, np.nan)),
        session_day=session_day,
        session_scorer=(unique - session_day * len(names)).astype(np.intp),
        scorers=names,
        last=last,
        last_day=last_day,
    )


def _scorers(typed: Text, reference: str | None) -> tuple[tuple[str | None, ...], Places]:
    """Scorers with the reference first, and each score's place among them."""
    count_of = Counter(typed.tolist())
    keys = {name: None if name is None else " ".join(name.split()).casefold() for name in count_of}
    spelled: dict[str, str] = {}
    count: Counter[str] = Counter()
    for name, key in keys.items():
        if key is not None:
            spelled.setdefault(key, name)
            count[key] += count_of[name]
    first = " ".join(reference.split()).casefold() if reference else None
    if first is None and count:
        # Most scores; by name when two have as many, so that the choice does not hang on the order of rows.
        first = min(count, key=lambda key: (-count[key], key))
    others = sorted(key for key in count if key != first)
    place: dict[str | None, int] = {None: 0, first: 0} | {key: i + 1 for i, key in enumerate(others)}
    names = (spelled.get(first, reference) if first is not None else None, *(spelled[key] for key in others))
    place_of = {name: place[key] for name, key in keys.items()}
    return names, np.array([place_of[name] for name in typed.tolist()], dtype=np.intp)


def _in_halves(snapshot: Snapshot, row: Places, session: Places, sessions: int, enough: int) -> npt.NDArray[np.bool_]:
    """Whether each score belongs to a session of enough cows in which every value is a half."""
    scores = snapshot.scores
    quarters = np.stack([scores.loin[row], scores.ribs[row], scores.tailhead[row], scores.score[row]])
    odd = (quarters % 2 == 1).any(axis=0)
    all_halves = np.bincount(session, weights=odd, minlength=sessions) == 0
    cows = np.bincount(session, minlength=sessions)
    return np.asarray((all_halves & (cows >= enough))[session], dtype=bool)


def _last(cow: Places, day: Numbers, value: Numbers, n: int) -> tuple[Numbers, Numbers]:
    last_day = np.full(n, np.nan)
    last_day[cow] = day
    of_last = day == last_day[cow]
    total = np.bincount(cow[of_last], weights=value[of_last], minlength=n)
    count = np.bincount(cow[of_last], minlength=n)
    with np.errstate(invalid="ignore"):
        return to_quarter(total / count), last_day


def unconfirmed(sessions: Sessions, notes: Text, *, jump: float, within_days: float) -> npt.NDArray[np.bool_]:
    """Scores that stand a jump away from the cow's score before and that nothing bears out yet, one flag a score.

    A later score within half of it bears it out, or a note that says so. `notes` are those of the scores used.
    """
    cow, day, value = sessions.cow, sessions.day, to_quarter(sessions.value)
    n = len(cow)
    same = np.zeros(n + 1, dtype=bool)
    same[1:n] = cow[1:] == cow[:-1]
    before, after = np.roll(np.arange(n), 1), np.roll(np.arange(n), -1)
    days = day - day[before]
    odd = same[:n] & (days > 0) & (days < within_days) & (np.abs(value - value[before]) >= jump)
    borne_out = same[1:] & (np.abs(value[after] - value) <= jump / 2)
    odd &= ~borne_out
    # Back where she was before an odd score: it is that one that was wrong.
    earlier = before[before]
    third = same[:n] & same[before]
    odd &= ~(third & odd[before] & (np.abs(value - value[earlier]) < jump))
    if odd.any():
        said = np.array([CONFIRMED in (note or "").casefold() for note in notes[odd].tolist()], dtype=bool)
        odd[odd] = ~said
    return odd
