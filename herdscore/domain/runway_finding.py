"""What the runway finds, in words, and for which cows: filters by group, parity, breed and calving window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.day_names import MONTHS
from herdscore.domain.runway import Runway
from herdscore.domain.verdict import Verdict

Flags = npt.NDArray[np.bool_]

BEGIN_NOW = (Verdict.EASE_UP_NOW, Verdict.EASE_DOWN_NOW, Verdict.PART_WAY_UP, Verdict.PART_WAY_DOWN)
IN_HAND = (Verdict.EASE_UP_IN_HAND, Verdict.EASE_DOWN_IN_HAND)
VET = (Verdict.VET_FIRST_THIN, Verdict.VET_FIRST_FAT)
FIRST, SECOND, OLDER, UNTOLD = "first", "second", "older", "untold"
PARITIES = ((FIRST, "First-calvers"), (SECOND, "Second-calvers"), (OLDER, "Older cows"), (UNTOLD, "Age not known"))


@dataclass(frozen=True, slots=True)
class RunwayFilter:
    """Which cows stand out; "" lets all through. `group` and `breed` by name, `parity` a key of PARITIES.

    `first` and `last` are days from today between which a cow calves.
    """

    group: str = ""
    parity: str = ""
    breed: str = ""
    first: float = -np.inf
    last: float = np.inf

    @property
    def is_open(self) -> bool:
        """Whether it lets every cow through."""
        return self == RunwayFilter()


def chosen(assessment: Assessment, runway: Runway, which: RunwayFilter) -> Flags:
    """Cows of a runway that a filter lets through, one value a cow of the runway."""
    a, cow = assessment, runway.cow
    keep = (runway.days >= which.first) & (runway.days <= which.last)
    if which.group:
        names = np.array([name or "" for name in a.groups.names], dtype=object)
        keep &= names[a.groups.now[cow]] == which.group
    if which.parity:
        keep &= parities(assessment)[cow] == which.parity
    if which.breed:
        keep &= a.snapshot.cows.breed[cow] == which.breed
    return np.asarray(keep, dtype=bool)


def parities(assessment: Assessment) -> npt.NDArray[np.object_]:
    """Key of each cow's age by calvings, [N]."""
    calvings = assessment.dates.calvings
    known = np.select([calvings >= 2, calvings >= 1], [OLDER, SECOND], UNTOLD).astype(object)
    return np.where(assessment.dates.first_calver, FIRST, known)


def calving_months(assessment: Assessment, runway: Runway) -> list[tuple[str, float, float]]:
    """Months in which cows of a runway calve: name, first and last day from today."""
    today = assessment.today
    firsts = sorted({(today + timedelta(days=int(day))).replace(day=1) for day in np.unique(runway.days).tolist()})
    made = []
    for first in firsts:
        after = (first + timedelta(days=32)).replace(day=1)
        name = f"{MONTHS[first.month - 1]} {first.year}"
        made.append((name, float((first - today).days), float((after - today).days - 1)))
    return made


def finding(assessment: Assessment, shown: Sequence[tuple[Runway, Flags]]) -> str:
    """The picture in a sentence: what the cows let through on one runway, or on two, need."""
    cows = np.concatenate([runway.cow[keep] for runway, keep in shown])
    if not len(cows):
        return _nobody(assessment, [runway for runway, _ in shown])
    verdict = assessment.verdict[cows]
    now, hand = _count(verdict, BEGIN_NOW), _count(verdict, IN_HAND)
    running, ending = _count(verdict, (Verdict.SEE_THROUGH,)), _count(verdict, (Verdict.END_EARLY,))
    vet = _count(verdict, VET)
    if now:
        parts = [f"{_cows(now)} need{'s' if now == 1 else ''} a gentle change begun now"]
    else:
        parts = ["No cow needs a change begun now"]
    if hand:
        parts.append(f"{hand} {_has(hand)} time in hand")
    if running:
        parts.append(f"{running} {_is(running)} on a change already")
    if ending:
        parts.append(f"{ending} {_is(ending)} past the target and to end the change")
    if vet:
        parts.append(f"{vet} {_is(vet)} for the vet first")
    return ", ".join(parts)


def left_out(assessment: Assessment, runway: Runway) -> str:
    """Who of the block is not on the picture and why, "" when all in calf are."""
    unscored = len(runway.unscored)
    of_block = assessment.block == runway.block
    undated = int((of_block & (assessment.verdict == Verdict.NEEDS_DATE)).sum())
    over = int((of_block & (assessment.verdict == Verdict.PAST_DATE)).sum())
    parts = [
        f"{unscored} without a score" if unscored else "",
        f"{undated} without a date" if undated else "",
        f"{over} past {'her' if over == 1 else 'their'} date" if over else "",
    ]
    said = [part for part in parts if part]
    return f"Not on it: {', '.join(said)}." if said else ""


def _nobody(assessment: Assessment, runways: list[Runway]) -> str:
    block = f" of the {BLOCK_NAMES[runways[0].block]} block" if len(runways) == 1 else ""
    if any(len(runway.cow) for runway in runways):
        return f"No cow{block} fits what was chosen"
    if any(len(runway.unscored) for runway in runways):
        return f"No cow{block} has a score to place her by"
    if not (~assessment.facts.gone).any():
        return "There is no cow in the herd yet"
    return f"No cow{block} is in calf with a date ahead"


def _count(verdict: npt.NDArray[np.int8], which: tuple[Verdict, ...]) -> int:
    return int(np.isin(verdict, which).sum())


def _cows(count: int) -> str:
    return "1 cow" if count == 1 else f"{count} cows"


def _has(count: int) -> str:
    return "has" if count == 1 else "have"


def _is(count: int) -> str:
    return "is" if count == 1 else "are"
