"""Recording a calving: four presses after her tag (how, sex, alive, save), more on demand, one key at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import Enum, auto
from typing import Any

from herdscore.domain.calf_words import BULL_CALF, HEIFER_CALF, PRESENTATIONS, SIZES, calf_sex
from herdscore.domain.calving_checks import CalvingFacts, Checked, TypedCalf, TypedCalving, check
from herdscore.domain.calving_forms import CalvingRules
from herdscore.domain.records import Calving

NOT_SEEN, HARDEST = 0, 5
CALF_FIELDS = ("weight", "tag", "size", "presentation")
FIELDS = ("score", "note")
_SEX_KEYS = {"B": BULL_CALF, "H": HEIFER_CALF}
_ALIVE_KEYS = {"A": True, "D": False}


class Outcome(Enum):
    """What becomes of the entry after a key."""

    STAY = auto()
    SAVE = auto()
    LEAVE = auto()


@dataclass(frozen=True, slots=True)
class CalvingEntry:
    """What is entered of one calving. `how` is an ease code, 0 not seen, None not said yet.

    `before` are the records it mends. `notice` says why a key did nothing, `asks` what one more Enter confirms,
    `answered` what was confirmed already.
    """

    cow_id: str
    day: date
    how: int | None = None
    calves: tuple[TypedCalf, ...] = (TypedCalf(),)
    active: int = 0
    premature: bool = False
    score: str = ""
    note: str = ""
    before: tuple[Calving, ...] = ()
    notice: str = ""
    asks: str = ""
    answered: frozenset[str] = frozenset()

    @property
    def calf(self) -> TypedCalf:
        """The calf the keys go to."""
        return self.calves[self.active]

    @property
    def twins(self) -> bool:
        """Whether there is more than one calf."""
        return len(self.calves) > 1

    @property
    def is_changed(self) -> bool:
        """Whether anything differs from what it was opened with."""
        opened = open_entry(self.cow_id, self.day, self.before)
        return _content(self) != _content(opened)

    def typed(self) -> TypedCalving:
        """What is entered, for the checks."""
        return TypedCalving(self.day, self.how, self.calves, self.premature, self.score, self.before)


def open_entry(cow_id: str, day: date, before: Sequence[Calving] = ()) -> CalvingEntry:
    """A calving to record on a day, or the records of one to mend."""
    if not before:
        return CalvingEntry(cow_id, day)
    ease = next((calf.ease for calf in before if calf.ease is not None), NOT_SEEN)
    calves = tuple(
        TypedCalf(
            sex=calf_sex(calf.calf_sex),
            alive=calf.calf_alive,
            presentation=calf.presentation or "",
            size=calf.size or "",
            weight="" if calf.calf_weight is None else f"{calf.calf_weight:g}",
            tag=calf.calf_tag or "",
        )
        for calf in before
    )
    note = next((calf.note for calf in before if calf.note), "")
    premature = any(calf.premature for calf in before)
    return CalvingEntry(cow_id, day, ease, calves, premature=premature, note=note, before=tuple(before))


def press(entry: CalvingEntry, key: str, facts: CalvingFacts, rules: CalvingRules) -> tuple[CalvingEntry, Outcome]:
    """The entry after a key: 0-5 B H A D T M P S, enter escape backspace left right."""
    asked, entry = entry.asks, replace(entry, notice="", asks="")
    name = key.upper() if len(key) == 1 else key
    if name == "enter":
        return _save(entry, asked, facts, rules)
    if name == "escape":
        if not entry.is_changed or asked == _LEAVE:
            return entry, Outcome.LEAVE
        return replace(entry, asks=_LEAVE), Outcome.STAY
    return _edited(entry, name), Outcome.STAY


_LEAVE = "Nothing is saved yet. Press Escape again to leave it."


def with_field(entry: CalvingEntry, field: str, text: str, calf: int | None = None) -> CalvingEntry:
    """The entry with a field typed: weight, tag, size, presentation of a calf, score or note; read when it is saved."""
    typed: dict[str, Any] = {field: text}
    if field in CALF_FIELDS:
        place = entry.active if calf is None else calf
        return _with_calf(replace(entry, active=place), replace(entry.calves[place], **typed))
    if field not in FIELDS:
        raise KeyError(field)
    return replace(entry, **typed, answered=frozenset())


def on_day(entry: CalvingEntry, day: date) -> CalvingEntry:
    """The entry moved to another day."""
    return replace(entry, day=day, answered=frozenset(), asks="", notice="")


def checked(entry: CalvingEntry, facts: CalvingFacts, rules: CalvingRules) -> Checked:
    """What is wrong with it, what is asked and what is worth knowing."""
    return check(entry.typed(), facts, rules)


def _edited(entry: CalvingEntry, name: str) -> CalvingEntry:
    if name.isdecimal():
        if int(name) > HARDEST:
            return replace(entry, notice=f"Ease goes from 1 to {HARDEST}; 0 is not seen. {name} is not a code.")
        return replace(entry, how=int(name), answered=frozenset())
    if name in _SEX_KEYS:
        return _with_calf(entry, replace(entry.calf, sex=_SEX_KEYS[name]))
    if name in _ALIVE_KEYS:
        return _next_calf(_with_calf(entry, replace(entry.calf, alive=_ALIVE_KEYS[name])))
    if name == "T":
        return _twins(entry)
    if name == "M":
        return replace(entry, premature=not entry.premature, answered=frozenset())
    if name == "P":
        return _with_calf(entry, replace(entry.calf, presentation=_following(PRESENTATIONS, entry.calf.presentation)))
    if name == "S":
        return _with_calf(entry, replace(entry.calf, size=_following(SIZES, entry.calf.size)))
    if name in ("left", "right"):
        step = 1 if name == "right" else -1
        return replace(entry, active=min(max(entry.active + step, 0), len(entry.calves) - 1))
    if name == "backspace":
        return _taken_back(entry)
    return replace(entry, notice=f"“{name}” does nothing here.")


def _following(words: tuple[str, ...], now: str) -> str:
    """The word after this one; after the last, nothing said."""
    return ("", *words, "")[words.index(now) + 2] if now in words else words[0]


def _with_calf(entry: CalvingEntry, calf: TypedCalf) -> CalvingEntry:
    calves = tuple(calf if place == entry.active else other for place, other in enumerate(entry.calves))
    return replace(entry, calves=calves, answered=frozenset())


def _next_calf(entry: CalvingEntry) -> CalvingEntry:
    """To the twin nothing is entered of, once this calf is told."""
    told = entry.calf.sex is not None
    after = entry.active + 1
    if told and after < len(entry.calves) and entry.calves[after] == TypedCalf():
        return replace(entry, active=after)
    return entry


def _twins(entry: CalvingEntry) -> CalvingEntry:
    if not entry.twins:
        told = entry.calf.sex is not None and entry.calf.alive is not None
        return replace(
            entry, calves=(*entry.calves, TypedCalf()), active=1 if told else entry.active, answered=frozenset()
        )
    if entry.calves[-1] != TypedCalf():
        return replace(entry, active=len(entry.calves) - 1, notice="Take back what is entered of the twin first.")
    calves = entry.calves[:-1]
    return replace(entry, calves=calves, active=min(entry.active, len(calves) - 1), answered=frozenset())


def _taken_back(entry: CalvingEntry) -> CalvingEntry:
    """The last of how, sex and alive that was said, taken back; an untouched twin's key goes to the calf before."""
    calf = entry.calf
    if calf.alive is not None:
        return _with_calf(entry, replace(calf, alive=None))
    if calf.sex is not None:
        return _with_calf(entry, replace(calf, sex=None))
    if entry.active > 0:
        return replace(entry, active=entry.active - 1)
    return replace(entry, how=None, answered=frozenset())


def _save(entry: CalvingEntry, asked: str, facts: CalvingFacts, rules: CalvingRules) -> tuple[CalvingEntry, Outcome]:
    if entry.before and not entry.is_changed:
        return entry, Outcome.LEAVE
    found = checked(entry, facts, rules)
    if found.problems:
        return replace(entry, notice=next(iter(found.problems.values()))), Outcome.STAY
    answered = entry.answered | ({asked} if asked in found.questions else set())
    still = [question for question in found.questions if question not in answered]
    if still:
        return replace(entry, asks=still[0], answered=answered), Outcome.STAY
    return replace(entry, answered=answered), Outcome.SAVE


def _content(entry: CalvingEntry) -> tuple[object, ...]:
    return (entry.how, entry.calves, entry.premature, entry.score.strip(), entry.note.strip())
