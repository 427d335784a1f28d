"""Two people, one eye: how well two scorers agree on cows scored blind, and what that says of each one's spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.crush_forms import CrushRules
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import BlindScore, new_id
from herdscore.domain.rule_forms import ModelParameters
from herdscore.domain.scale import mean_of_sites, to_quarter
from herdscore.domain.scored import scorer_key
from herdscore.domain.scoring_entry import Entry
from herdscore.domain.sessions import Sessions

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Agreement:
    """How two people agree on the same cows, scores in units; NaN where nothing can be said.

    `same`, `within`: shares of the cows given the same score, and within half a score; `difference`: the mean of the
    second less the first.
    """

    cows: int
    same: float
    within: float
    difference: float
    furthest: float
    kappa_linear: float
    kappa_quadratic: float
    enough: bool
    within_is_fine: bool
    difference_is_fine: bool

    @property
    def passed(self) -> bool:
        """Whether the pair may score one herd between them."""
        return self.enough and self.within_is_fine and self.difference_is_fine


@dataclass(frozen=True, slots=True)
class Check:
    """One check: the day, the two scorers as first spelled, and how many cows both have scored."""

    day: date
    one: str
    two: str
    cows: int


def agreement(one: Numbers, two: Numbers, rules: CrushRules) -> Agreement:
    """Scores of the same cows by two people, [n] each, in units; cows that one of them left out do not count."""
    both = np.isfinite(one) & np.isfinite(two)
    first, second = one[both], two[both]
    apart = np.abs(second - first)
    n = len(first)
    within = _share(apart <= rules.check_apart + _SLACK)
    difference = float((second - first).mean()) if n else float("nan")
    return Agreement(
        cows=n,
        same=_share(apart <= _SLACK),
        within=within,
        difference=difference,
        furthest=float(apart.max()) if n else float("nan"),
        kappa_linear=weighted_kappa(first, second, 1),
        kappa_quadratic=weighted_kappa(first, second, 2),
        enough=n >= rules.check_cows,
        within_is_fine=within >= rules.check_share - _SLACK,
        difference_is_fine=abs(difference) <= rules.check_mean + _SLACK,
    )


def weighted_kappa(one: Numbers, two: Numbers, power: int) -> float:
    """Cohen's weighted kappa, [n] each: power 1 for linear, 2 for quadratic weights; NaN when all are one score.

    Disagreement seen over disagreement expected if the two were independent; the width of the scale cancels.
    """
    if not len(one):
        return float("nan")
    expected = float((np.abs(one[:, None] - two[None, :]) ** power).mean())
    if expected <= 0:
        return float("nan")
    return 1.0 - float((np.abs(one - two) ** power).mean()) / expected


# Checks kept in the herd file


def cows_to_check(among: Flags, rules: CrushRules, seed: int) -> Places:
    """Twenty cows drawn by lot from those among (flags, one a cow), all when there are fewer; the same for one seed."""
    cows = np.flatnonzero(among)
    drawn = np.random.default_rng(seed).permutation(cows)[: rules.check_cows]
    return np.sort(drawn)


def blind_score_of(entry: Entry, day: date, scorer: str) -> BlindScore:
    """What one of the two felt, to be kept apart from the scores of the herd."""
    return BlindScore(new_id(), entry.cow_id, day, scorer, *entry.sites)


def keeping_blind(snapshot: Snapshot, score: BlindScore) -> Change:
    """Keep it, in place of one by the same person of the same cow that day."""
    place = snapshot.cow_place[score.cow_id]
    rows = snapshot.records("blind_scores", snapshot.of_cow("blind_scores", place).tolist())
    old = [
        one
        for one in rows
        if isinstance(one, BlindScore)
        and one.day == score.day
        and scorer_key(one.scorer) == scorer_key(score.scorer)
        and one.id != score.id
    ]
    same = next((one for one in rows if one.id == score.id), None)
    return Change("blind score", (*(RowChange(one, None) for one in old), RowChange(same, score)))


def checks_of(snapshot: Snapshot) -> list[Check]:
    """Every pair of people who scored the same cows blind on one day, the newest day first."""
    spelled, pairs = _pairs(snapshot)
    counts: dict[tuple[date, str, str], int] = {}
    for pair in pairs:
        key = (pair.day, pair.one, pair.two)
        counts[key] = counts.get(key, 0) + 1
    found = [Check(day, spelled[one], spelled[two], cows) for (day, one, two), cows in counts.items()]
    return sorted(found, key=lambda check: (-check.day.toordinal(), check.one, check.two))


def scores_of_check(snapshot: Snapshot, day: date, one: str, two: str) -> tuple[Places, Numbers, Numbers]:
    """Cows scored blind by either that day, and each one's score to the nearest quarter, NaN where he has none."""
    blind = snapshot.blind_scores
    value, _ = mean_of_sites(blind.loin, blind.ribs, blind.tailhead, np.full(len(blind), np.nan))
    scorers = np.array([scorer_key(name) for name in blind.scorer], dtype=object)
    given = (blind.day == np.datetime64(day, "D")) & np.isfinite(value)
    columns = []
    for name in (one, two):
        column = np.full(len(snapshot.cows), np.nan)
        rows = given & (scorers == scorer_key(name))
        column[blind.cow[rows]] = to_quarter(value[rows])
        columns.append(column)
    cows = np.flatnonzero(np.isfinite(columns[0]) | np.isfinite(columns[1]))
    return cows, columns[0][cows], columns[1][cows]


# A scorer's own spread


def own_spreads(snapshot: Snapshot, model: ModelParameters, rules: CrushRules) -> dict[str, float]:
    """Spread of one score of each scorer who was in a check, by `scorer_key`: that of the model and his own together.

    sqrt((30 x 0.22² + sum of squared differences / 2) / (30 + n)) over the n cows he scored beside another.
    """
    _, pairs = _pairs(snapshot)
    squares: dict[str, list[float]] = {}
    for pair in pairs:
        for key in (pair.one, pair.two):
            squares.setdefault(key, []).append((pair.second - pair.first) ** 2)
    prior = rules.own_spread_cows
    return {
        key: float(np.sqrt((prior * model.score_sd**2 + sum(found) / 2) / (prior + len(found))))
        for key, found in squares.items()
    }


def with_own_spreads(sessions: Sessions, snapshot: Snapshot, model: ModelParameters, rules: CrushRules) -> Sessions:
    """The scores as the model takes them, each with its scorer's own spread; by eye and one site alone stay as set."""
    spreads = own_spreads(snapshot, model, rules)
    of_scorer = np.array([spreads.get(scorer_key(name), np.nan) for name in sessions.scorers], dtype=np.float64)
    own = of_scorer[sessions.session_scorer][sessions.session]
    noise = np.sqrt(own**2 + sessions.grain**2 / 12)
    return replace(sessions, noise_sd=np.where(np.isnan(sessions.noise_sd), noise, sessions.noise_sd))


@dataclass(frozen=True, slots=True)
class _Pair:
    day: date
    one: str
    two: str
    first: float
    second: float


def _pairs(snapshot: Snapshot) -> tuple[dict[str, str], list[_Pair]]:
    """Spelling of each scorer, and every cow two people scored blind on one day."""
    blind = snapshot.blind_scores
    value, _ = mean_of_sites(blind.loin, blind.ribs, blind.tailhead, np.full(len(blind), np.nan))
    spelled: dict[str, str] = {}
    by_cow: dict[tuple[int, date], dict[str, float]] = {}
    rounded: Sequence[float] = to_quarter(value).tolist()
    for cow, day, name, score in zip(blind.cow.tolist(), blind.day.tolist(), blind.scorer, rounded, strict=True):
        if score == score:
            spelled.setdefault(scorer_key(name), name)
            by_cow.setdefault((cow, day), {})[scorer_key(name)] = score
    pairs = []
    for (_, day), given in by_cow.items():
        keys = sorted(given)
        pairs += [_Pair(day, one, two, given[one], given[two]) for at, one in enumerate(keys) for two in keys[at + 1 :]]
    return spelled, pairs


def _share(flags: Flags) -> float:
    return float(flags.mean()) if len(flags) else float("nan")
