"""Finding a cow by what is typed: last digits, management number, EID or the full tag.

Case and blanks count nothing; digits are compared as text, so leading zeros count.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain import eid
from herdscore.domain.herd import Snapshot, tag_order
from herdscore.domain.records import GONE

Flags = npt.NDArray[np.bool_]

NEAR_FROM = 3
"""Characters from which a near miss says anything: of two, nearly every number is one off."""
MOST_NEAR = 8
CHECK_AND_SERIAL = 6
"""Figures of a UK tag from its check digit on."""


@dataclass(frozen=True, slots=True)
class Match:
    """One cow that fits: her place in the herd, whether she is still to score, whether a number fits in full."""

    cow: int
    to_score: bool
    full: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """Cows that fit what was typed, those still to score first.

    `takes` is the cow Enter takes without asking, None when that is not plain. `near` marks near misses, which
    Enter never takes. `gone` are sold, culled or dead cows that fit, looked at when no living one does.
    `checked`: of a number nobody has, whether its UK check digit is right (then it is a tag, of a cow not in the
    herd) or wrong (then it was mistyped); None where there is no check digit to tell.
    """

    typed: str
    matches: tuple[Match, ...] = ()
    takes: int | None = None
    near: bool = False
    gone: tuple[int, ...] = ()
    checked: bool | None = None

    @property
    def still_to_score(self) -> int:
        """How many of them are still to score."""
        return sum(match.to_score for match in self.matches)


def folded(text: str | None) -> str:
    """A number as it is compared: no blanks, no case.

    >>> folded("UK 12 3456 00512"), folded(None)
    ('uk12345600512', '')
    """
    return "".join((text or "").split()).casefold()


class CowBook:
    """Every number of every cow of one herd, ready to be looked up."""

    def __init__(self, snapshot: Snapshot) -> None:
        cows = snapshot.cows
        self._numbers = [
            tuple(folded(number) for number in numbers if number)
            for numbers in zip(cows.tag, cows.management_no, cows.eid, strict=True)
        ]
        self._order = [tag_order(tag) for tag in cows.tag]
        self._gone = np.isin(cows.status, GONE).tolist()
        self._herd_marks = {number[2:8] for numbers in self._numbers for number in numbers if _is_uk(number)}
        self._of_eid: dict[str, list[int]] = {}
        for cow, number in enumerate(cows.eid):
            code = eid.eid_of(number) if number else None
            if code is not None:
                self._of_eid.setdefault(code, []).append(cow)

    def find(self, typed: str, done: Flags, among: Flags | None = None) -> Found:
        """Cows a number fits, those not `done` (one flag a cow) first; nothing typed: all of `among` still to score."""
        wanted = folded(typed)
        if not wanted:
            left = np.flatnonzero(~done if among is None else ~done & among).tolist()
            left = [cow for cow in left if not self._gone[cow]]
            return Found("", self._in_order(((cow, False) for cow in left), done))
        fits = [
            (cow, any(number == wanted for number in numbers))
            for cow, numbers in enumerate(self._numbers)
            if any(number.endswith(wanted) for number in numbers)
        ]
        living = [(cow, full) for cow, full in fits if not self._gone[cow]]
        if living:
            matches = self._in_order(living, done)
            return Found(wanted, matches, takes=_plainly_meant(matches))
        if fits:
            return Found(wanted, gone=tuple(cow for cow, _ in fits))
        return Found(wanted, self._near_misses(wanted, done), near=True, checked=self._checked(wanted))

    def of_eid(self, code: str) -> int | None:
        """The cow with an electronic tag, a living one first, None for a tag nobody has; never a near miss."""
        cows = self._of_eid.get(eid.eid_of(code) or "", [])
        living = [cow for cow in cows if not self._gone[cow]]
        return next(iter(living or cows), None)

    def of_tag(self, code: str) -> int | None:
        """The only living cow one of whose numbers is exactly this, as a reader says it; None when there is none."""
        wanted = folded(code)
        fits = [cow for cow, numbers in enumerate(self._numbers) if wanted in numbers and not self._gone[cow]]
        return fits[0] if wanted and len(fits) == 1 else None

    def _checked(self, wanted: str) -> bool | None:
        """What the check digit says of a UK tag typed in full, or from its check digit on under a mark of the herd."""
        if _is_uk(wanted):
            return _check_is_right(wanted[2:8], wanted[8:])
        if len(wanted) == CHECK_AND_SERIAL and wanted.isdigit() and self._herd_marks:
            return any(_check_is_right(mark, wanted) for mark in self._herd_marks)
        return None

    def _near_misses(self, wanted: str, done: Flags) -> tuple[Match, ...]:
        if len(wanted) < NEAR_FROM:
            return ()
        near = (
            (cow, False)
            for cow, numbers in enumerate(self._numbers)
            if not self._gone[cow] and any(is_near(number[-len(wanted) :], wanted) for number in numbers)
        )
        return self._in_order(near, done)[:MOST_NEAR]

    def _in_order(self, fits: Iterable[tuple[int, bool]], done: Flags) -> tuple[Match, ...]:
        """Still to score first, then fitting in full, then by tag."""
        matches = [Match(cow, not bool(done[cow]), full) for cow, full in fits]
        return tuple(sorted(matches, key=lambda one: (not one.to_score, not one.full, self._order[one.cow])))


def is_near(one: str, other: str) -> bool:
    """Whether two numbers of one length differ in one character, or in two neighbours swapped.

    >>> is_near("0512", "0513"), is_near("0512", "0521"), is_near("0512", "0523"), is_near("0512", "0512")
    (True, True, False, False)
    """
    if len(one) != len(other):
        return False
    off = [place for place in range(len(one)) if one[place] != other[place]]
    if len(off) == 1:
        return True
    if len(off) != 2 or off[1] != off[0] + 1:
        return False
    return one[off[0]] == other[off[1]] and one[off[1]] == other[off[0]]


def _is_uk(number: str) -> bool:
    return len(number) == 14 and number.startswith("uk") and number[2:].isdigit()


def _check_is_right(herd_mark: str, rest: str) -> bool:
    return rest[0] == str(eid.check_digit(herd_mark, rest[1:]))


def _plainly_meant(matches: tuple[Match, ...]) -> int | None:
    """The only cow a number fits in full, else the only one still to score, else the only one at all."""
    full = [match for match in matches if match.full]
    to_score = [match for match in matches if match.to_score]
    among = full or to_score or list(matches)
    return among[0].cow if len(among) == 1 else None


def clash_chance(cows: int, digits: int = 4) -> float:
    """Chance that two of so many cows with random numbers share their last digits.

    >>> round(clash_chance(150), 2)
    0.67
    """
    return 1 - math.exp(-cows * (cows - 1) / (2 * 10**digits))
