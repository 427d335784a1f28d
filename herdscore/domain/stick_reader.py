"""Telling a stick reader that types from a hand, by the time between keys; no clock, no Qt.

A burst is characters less than 40 ms apart; ten or more are a reader's. It ends at Enter, Tab or a pause of 40 ms.
Until it ends nothing of it is handed on, so that no character of a reader ever does what a typed one would.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

from herdscore.domain.crush_forms import CrushRules
from herdscore.domain.eid import Kind, Misread, read

ENDS = ("\r", "\n", "\t")
STX, ETX = "\x02", "\x03"
_LONGEST = 200
"""Characters kept of a burst: a cable that never stops must not fill the memory."""


class Said(Enum):
    """What became of a burst of a reader."""

    NUMBER = auto()
    REPEAT = auto()
    GARBLED = auto()


@dataclass(frozen=True, slots=True)
class Spoken:
    """A burst of a reader: the 15 digits of an EID or a tag without blanks, or why it is neither."""

    said: Said
    number: str = ""
    kind: Kind | None = None
    text: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Heard:
    """What came of a key or a pause, in this order: what a reader said, then how many held characters were typed.

    `typed` counts from the oldest one held; `swallowed`: the key now pressed is the reader's Enter or Tab.
    """

    spoken: Spoken | None = None
    typed: int = 0
    swallowed: bool = False


class TagListener:
    """Whole numbers of a reader one after another; the same one again within 5 s is a repeat."""

    def __init__(self, rules: CrushRules) -> None:
        self._repeat_ms = rules.repeat_seconds * 1000
        self._last = ""
        self._last_ms = float("-inf")

    def hear(self, text: str, at_ms: float) -> Spoken:
        """One number in any form, at a time in ms; every repeat begins the 5 s anew."""
        found = read(text)
        said = found.text if isinstance(found, Misread) else found.number
        again = said == self._last and at_ms - self._last_ms < self._repeat_ms
        self._last, self._last_ms = said, at_ms
        if again:
            return Spoken(Said.REPEAT, said, None if isinstance(found, Misread) else found.kind, text)
        if isinstance(found, Misread):
            return Spoken(Said.GARBLED, text=text, why=found.why)
        return Spoken(Said.NUMBER, said, found.kind, text)


class StickReader:
    """Keys with their times in ms go in; it holds the characters of what may be a burst and says what they were."""

    def __init__(self, rules: CrushRules) -> None:
        self._rules = rules
        self._tags = TagListener(rules)
        self._text = ""
        self._held = 0
        self._last_ms = float("-inf")
        self._spoke_ms = float("-inf")

    @property
    def held(self) -> int:
        """Characters held back."""
        return self._held

    @property
    def is_reader(self) -> bool:
        """Whether what is held is long enough to be a reader's already."""
        return self._held >= self._rules.reader_characters

    def goes_on(self, at_ms: float) -> bool:
        """Whether a key at this time would belong to the burst that is held."""
        return self._held > 0 and at_ms - self._last_ms < self._rules.reader_gap_ms

    def press(self, character: str, at_ms: float) -> Heard:
        """One character, held until the burst it may begin is over; Enter and Tab end a burst."""
        before = Heard() if self.goes_on(at_ms) else self._end()
        if character not in ENDS:
            self._held += 1
            self._text += character if self._held <= _LONGEST else ""
            self._last_ms = at_ms
            return before
        if self._held:
            by_reader = self.is_reader
            ended = self._end()
            if by_reader:
                self._spoke_ms = at_ms
            return Heard(ended.spoken, ended.typed, swallowed=by_reader)
        # Some readers wait before their Enter, and some send two.
        late = at_ms - self._spoke_ms < self._rules.reader_enter_ms
        if late:
            self._spoke_ms = at_ms
        return Heard(before.spoken, before.typed, swallowed=late)

    def pause(self, at_ms: float) -> Heard:
        """Time has passed without a key."""
        return Heard() if self.goes_on(at_ms) else self._end()

    def interrupt(self) -> Heard:
        """A key that is no character, such as an arrow, ends what is held."""
        return self._end()

    def _end(self) -> Heard:
        if not self._held:
            return Heard()
        by_reader, text, count = self.is_reader, self._text, self._held
        self._held, self._text = 0, ""
        if not by_reader:
            return Heard(typed=count)
        self._spoke_ms = self._last_ms
        return Heard(self._tags.hear(text, self._last_ms))
