"""A group split into pens of one need each: the exact split of its cows in order of wanted change, or of date.

Nobody is moved by it who calves within the lead, is on a change, or lacks a score or date; those stay and are named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.changes import Change, RowChange
from herdscore.domain.diets import group_key
from herdscore.domain.grouping import NO_GROUP, Numbers, Places
from herdscore.domain.herd import Snapshot
from herdscore.domain.moves import plan_move
from herdscore.domain.verdict import EASING, FAT, THIN, Verdict

BY_NEED, BY_DATE = "need", "date"
_MOVED = (*EASING, Verdict.GAINING_WELL, Verdict.END_EARLY, Verdict.SCORE_AGAIN, Verdict.ON_COURSE)
_STRIDE = 32
_SIDE_WORDS = {THIN: "thin", 0: "fit", FAT: "fat"}
_SAME = 1e-12


@dataclass(frozen=True, slots=True)
class Pen:
    """One run of a split: its name, its cows in order, and the mean of what they were sorted by.

    That is the wanted change in score a week, or days to calving.
    """

    name: str
    cows: tuple[int, ...]
    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Held:
    """Cows a split leaves where they are, and why."""

    why: str
    cows: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """Pens from the greatest wanted gain down (or from the first to calve), and who stays where he is.

    `of_cow` are (cow, group now, pen) of all cows sorted; `within` is the spread left inside the pens, `before` that of
    all of them together.
    """

    by: str
    pens: tuple[Pen, ...]
    held: tuple[Held, ...]
    of_cow: tuple[tuple[int, str | None, str], ...]
    within: float
    before: float

    @property
    def moves(self) -> tuple[tuple[int, str | None, str], ...]:
        """Those who change pens."""
        return tuple(one for one in self.of_cow if one[1] is None or group_key(one[1]) != group_key(one[2]))


def runs(value: Numbers, most: int) -> Places:
    """Run of every value, from 0 for the lowest: at most so many runs, the least sum of squared deviations.

    Exact, by dynamic programming over the distinct values; equal values are never parted. Of splits alike in sum the
    one of fewer runs is taken.
    """
    levels, at, count = np.unique(value, return_inverse=True, return_counts=True)
    n = len(levels)
    most = min(most, n)
    if most <= 1:
        return np.zeros(len(value), dtype=np.intp)
    middle = levels - float(np.average(levels, weights=count))  # sums of squares of small numbers lose less
    total = np.concatenate([[0.0], np.cumsum(count)])
    first = np.concatenate([[0.0], np.cumsum(count * middle)])
    second = np.concatenate([[0.0], np.cumsum(count * middle**2)])
    best = second[1:] - first[1:] ** 2 / total[1:]  # of the levels up to each, in one run
    begins = np.zeros((most, n), dtype=np.intp)
    costs = [float(best[-1])]
    for run in range(1, most):
        fresh, begins[run] = _with_one_more(best, total, first, second)
        best = np.minimum(fresh, best)
        costs.append(float(fresh[-1]))
    used = next(i for i, cost in enumerate(costs) if cost <= min(costs) + _SAME * max(1.0, float(second[-1])))
    run_of = np.empty(n, dtype=np.intp)
    end_at = n
    for run in range(used, -1, -1):
        begin = int(begins[run, end_at - 1]) if run else 0
        run_of[begin:end_at] = run
        end_at = begin
        if not begin:
            break
    number: Places = np.unique(run_of, return_inverse=True)[1][at].astype(np.intp)
    return number


def _with_one_more(best: Numbers, total: Numbers, first: Numbers, second: Numbers) -> tuple[Numbers, Places]:
    """Least cost of the levels up to each with one run more, and where the last run begins.

    A later end never has its last run begin earlier, so that the begins of every `_STRIDE`th end bound those between.
    """
    n = len(best)
    cost, begin = np.full(n, np.inf), np.zeros(n, dtype=np.intp)
    posts = np.unique(np.append(np.arange(1, n, _STRIDE), n - 1))
    posts = posts[posts > 0]

    def fill(end: Places, low: int, high: int) -> None:
        """Try every begin from low to high for these ends."""
        tried = np.arange(low, high + 1)
        mass = total[end + 1][:, None] - total[tried]
        with np.errstate(invalid="ignore", divide="ignore"):
            found = second[end + 1][:, None] - second[tried] - (first[end + 1][:, None] - first[tried]) ** 2 / mass
        found = np.where(tried <= end[:, None], np.maximum(found, 0.0) + best[tried - 1], np.inf)
        place = found.argmin(axis=1)
        cost[end], begin[end] = found[np.arange(len(end)), place], tried[place]

    for post in posts.tolist():
        fill(np.array([post]), 1, post)
    for low, high in pairwise(posts.tolist()):
        if high - low > 1:
            fill(np.arange(low + 1, high), int(begin[low]), int(begin[high]))
    return cost, begin


def wanted_change(assessment: Assessment) -> Numbers:
    """Change in score a week every cow wants, NaN for a cow whom a split does not move.

    A flagged cow's is that of the flag list; one on course wants what aims at her target within the gentle limits.
    """
    a, limits = assessment, assessment.rulebook.limits
    days, never = a.dates.day, a.reach.never_slimmed
    # Within the lead nobody wants anything: no day is left on which a change could work.
    window = np.where(days >= limits.lead_days, days - limits.lost_days, np.nan)
    now = a.course.curve_level + a.course.curve_wander
    aim = np.clip((a.targets.target - now) / window, -limits.planning_loss, limits.planning_gain)
    aim = np.where(never, np.maximum(aim, np.minimum(a.reach.expected_rate, 0.0)), aim)
    wanted = np.where(np.isfinite(a.reach.wanted_rate), a.reach.wanted_rate, aim)
    return np.where(np.isin(a.verdict, _MOVED), wanted * 7, np.nan)


def split(assessment: Assessment, cows: Places, pens: int, by: str = BY_NEED) -> Split:
    """Split some cows into at most so many pens. A pen keeps the name of a group most of whose cows it gets."""
    a = assessment
    wanted = wanted_change(a)
    sorted_by = wanted if by == BY_NEED else np.where(np.isfinite(wanted), a.dates.day, np.nan)
    known = cows[np.isfinite(sorted_by[cows])]
    held = _held(a, cows[~np.isfinite(sorted_by[cows])])
    value = sorted_by[known]
    # From the greatest wanted gain down; ties by date.
    sign = -1.0 if by == BY_NEED else 1.0
    order = np.lexsort((known, a.dates.day[known], sign * value))
    known, value = known[order], value[order]
    run = runs(sign * value, pens) if len(known) else np.empty(0, dtype=np.intp)
    members = [known[run == number] for number in range(int(run.max(initial=-1)) + 1)]
    names = _pen_names(a, cows, members, by)
    made = tuple(
        Pen(name, tuple(mine.tolist()), *(float(f(sorted_by[mine])) for f in (np.mean, np.min, np.max)))
        for name, mine in zip(names, members, strict=True)
    )
    now = [a.groups.names[place] for place in a.groups.now[known].tolist()]
    of_cow = tuple((cow, group, names[at]) for cow, group, at in zip(known.tolist(), now, run.tolist(), strict=True))
    return Split(by, made, held, of_cow, _spread([sorted_by[mine] for mine in members]), _spread([value]))


def renamed(made: Split, names: Sequence[str]) -> Split:
    """The same split with other names for its pens."""
    new = {pen.name: name for pen, name in zip(made.pens, names, strict=True)}
    pens = tuple(replace(pen, name=new[pen.name]) for pen in made.pens)
    return replace(made, pens=pens, of_cow=tuple((cow, group, new[pen]) for cow, group, pen in made.of_cow))


def moving(snapshot: Snapshot, made: Split, today: date) -> Change | None:
    """All moves of a split as one change, None when nobody moves."""
    rows: list[RowChange] = []
    for name in dict.fromkeys(pen for _, _, pen in made.moves):
        plan = plan_move(snapshot, [cow for cow, _, pen in made.moves if pen == name], name, today, today)
        rows.extend(plan.change.rows if plan.change is not None else ())
    return Change("split group", tuple(rows)) if rows else None


def _spread(parts: Sequence[Numbers]) -> float:
    """Spread about the means of the parts."""
    count = sum(len(part) for part in parts)
    return float(np.sqrt(sum(float(((part - part.mean()) ** 2).sum()) for part in parts if len(part)) / max(count, 1)))


def _held(a: Assessment, cows: Places) -> tuple[Held, ...]:
    """Who stays and why, in the order of the verdicts, those within the lead first."""
    lead = a.rulebook.limits.lead_days
    vet = np.isin(a.verdict[cows], (Verdict.VET_FIRST_THIN, Verdict.VET_FIRST_FAT))
    near = (a.dates.day[cows] < lead) & ~vet & ~np.isin(a.verdict[cows], (Verdict.NOT_IN_CALF, Verdict.PAST_DATE))
    found = [Held(f"under {lead} days to calving", tuple(cows[near].tolist()))] if near.any() else []
    by_word: dict[str, list[int]] = {}
    rest = cows[~near]
    for cow in rest[np.argsort(a.verdict[rest], kind="stable")].tolist():
        by_word.setdefault(a.rulebook.words[Verdict(a.verdict[cow]).key].word, []).append(cow)
    found += [Held(word, tuple(mine)) for word, mine in by_word.items()]
    return tuple(found)


def _pen_names(a: Assessment, cows: Places, members: Sequence[Places], by: str) -> list[str]:
    """Names for the runs: each group that is split goes on as the run most of its cows are in, the rest are new."""
    groups = np.unique(a.groups.now[cows])
    here = [(name, place) for place in groups.tolist() if (name := a.groups.names[place]) is not None]
    stays = [
        (int((a.groups.now[mine] == place).sum()), -at, name) for at, mine in enumerate(members) for name, place in here
    ]
    names: dict[int, str] = {}
    for shared, at, name in sorted(stays, key=lambda one: (-one[0], -one[1], one[2])):
        if shared and -at not in names and name not in names.values():
            names[-at] = name
    taken = {group_key(name) for name in (*[n for n in a.groups.names if n], *names.values())}
    of_round = _pens_of_round(a.snapshot) if by == BY_NEED else {}
    base = here[0][0] if len(here) == 1 else ""
    for at, mine in enumerate(members):
        if at in names:
            continue
        word = _date_word(at, len(members)) if by == BY_DATE else _SIDE_WORDS[side_of_pen(a, mine)]
        wish = of_round.get(word)
        if not wish or group_key(wish) in {group_key(name) for name in names.values()}:
            wish = _fresh(base, word, taken)
        names[at] = wish
        taken.add(group_key(wish))
    return [names[at] for at in range(len(members))]


def side_of_pen(assessment: Assessment, cows: Places) -> int:
    """-1 when more than half of some cows are heading thin, +1 fat, 0 else."""
    side = assessment.reach.side[cows]
    return next((way for way in (THIN, FAT) if 2 * int((side == way).sum()) > len(cows)), 0)


def _pens_of_round(snapshot: Snapshot) -> dict[str, str | None]:
    """The pens of the newest round, for thin cows and for fat ones."""
    if not len(snapshot.rounds):
        return {}
    return {_SIDE_WORDS[THIN]: snapshot.rounds.lean_pen[-1], _SIDE_WORDS[FAT]: snapshot.rounds.fat_pen[-1]}


def _date_word(at: int, count: int) -> str:
    return "early" if at == 0 else "late" if at == count - 1 else "middle"


def _fresh(base: str, word: str, taken: set[str]) -> str:
    """A name nobody bears: the group's with a word behind it."""
    wish = f"{base} {word}" if base else f"{word.capitalize()} pen"
    name, number = wish, 2
    while group_key(name) in taken or name == NO_GROUP:
        name, number = f"{wish} {number}", number + 1
    return name
