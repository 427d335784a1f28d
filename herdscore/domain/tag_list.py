"""A list of cows as somebody types it: last digits, cow after cow, with what a scan found behind each."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import CowBook, folded
from herdscore.domain.records import EMPTY, IN_CALF, TWINS

MOST_NAMED, MOST_SAID = 4, 3
_LINES = re.compile(r"[\n,;]+")
_WORDS = {"calf": IN_CALF, "incalf": IN_CALF, "pd+": IN_CALF, "empty": EMPTY, "twins": TWINS, "twin": TWINS}
_FILLERS = ("in", "days", "d", "scan")
_AGE = re.compile(r"([1-9]\d{0,2})(?:d|days?)?")


@dataclass(frozen=True, slots=True)
class ListedCow:
    """One cow named: her place in the herd, and what stood behind her tag."""

    cow: int
    typed: str
    foetal_age: int | None = None
    result: str | None = None


@dataclass(frozen=True, slots=True)
class TagList:
    """The cows named, in the order typed, each once; and a sentence for everything that names no cow."""

    cows: tuple[ListedCow, ...] = ()
    problems: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """What names no cow, in a few sentences; "" when everything does."""
        more = len(self.problems) - MOST_SAID
        return " ".join(self.problems[:MOST_SAID]) + (f" And {more} more." if more > 0 else "")

    @property
    def places(self) -> list[int]:
        """Places of the cows in the herd."""
        return [one.cow for one in self.cows]


def read_tags(text: str, snapshot: Snapshot, book: CowBook, *, with_findings: bool = False) -> TagList:
    """The cows a text names by the last digits of tag, number or EID, or by a whole number with blanks in it.

    Commas and new lines part cows, blanks too; `with_findings` blanks part a tag from the age of her foetus in days
    and the word calf, empty or twins.
    """
    reading = _Reading(snapshot, book)
    for line in _LINES.split(text):
        words = line.split()
        if with_findings and words:
            size = reading.words_of_tag(words)
            reading.with_findings([" ".join(words[:size]), *words[size:]])
            continue
        while words:
            size = reading.words_of_tag(words)
            reading.tag(" ".join(words[:size]))
            words = words[size:]
    return TagList(tuple(reading.cows), tuple(reading.problems))


class _Reading:
    """One reading of a list; `cows` and `problems` fill up."""

    def __init__(self, snapshot: Snapshot, book: CowBook) -> None:
        self._cows, self._book = snapshot.cows, book
        self._nobody_done = np.zeros(len(snapshot.cows), dtype=bool)
        self._seen: set[int] = set()
        numbers = (*snapshot.cows.tag.tolist(), *snapshot.cows.eid.tolist())
        self._with_blanks = {folded(number): len(number.split()) for number in numbers if number and " " in number}
        self._longest = max(self._with_blanks.values(), default=1)
        self.cows: list[ListedCow] = []
        self.problems: list[str] = []

    def words_of_tag(self, words: Sequence[str]) -> int:
        """How many of the first words are one number with blanks in it; 1 when they are none."""
        for size in range(min(self._longest, len(words)), 1, -1):
            if folded("".join(words[:size])) in self._with_blanks:
                return size
        return 1

    def tag(self, word: str) -> None:
        cow = self._cow(word)
        if cow is not None:
            self._take(ListedCow(cow, word))

    def with_findings(self, words: Sequence[str]) -> None:
        cow = self._cow(words[0])
        age: int | None = None
        result: str | None = None
        for word in words[1:]:
            found, known = _AGE.fullmatch(word.casefold()), _WORDS.get(word.casefold())
            if word.casefold() in _FILLERS:
                continue
            if found and age is None:
                age = int(found[1])
            elif known and result is None:
                result = known
            else:
                self.problems.append(
                    f"“{word}” after {words[0]} is neither an age in days nor calf, empty or twins. "
                    "Part cows by a comma or a new line."
                )
                return
        if result == EMPTY and age is not None:
            self.problems.append(f"{words[0]} cannot be empty with a foetus of {age} days.")
        elif cow is not None:
            self._take(ListedCow(cow, words[0], age, result))

    def _cow(self, word: str) -> int | None:
        found = self._book.find(word, self._nobody_done)
        if found.takes is not None and not found.near:
            return found.takes
        if found.matches and not found.near:
            tags = [str(self._cows.tag[match.cow]) for match in found.matches]
            named = ", ".join(tags[:MOST_NAMED]) + (" …" if len(tags) > MOST_NAMED else "")
            self.problems.append(f"{len(tags)} cows end in {word}: {named}. Type more of her tag.")
        elif found.gone:
            gone = found.gone[0]
            self.problems.append(f"{self._cows.tag[gone]} is marked {self._cows.status[gone]}.")
        else:
            near = ", ".join(str(self._cows.tag[match.cow]) for match in found.matches[:MOST_NAMED])
            self.problems.append(f"No cow ends in {word}." + (f" Close to it: {near}." if near else ""))
        return None

    def _take(self, one: ListedCow) -> None:
        if one.cow in self._seen:
            self.problems.append(f"{self._cows.tag[one.cow]} stands in the list twice; the first is taken.")
            return
        self._seen.add(one.cow)
        self.cows.append(one)


def tags_text(snapshot: Snapshot, cow_ids: Sequence[str]) -> str:
    """The tags of cows as a list that reads back to them."""
    places = [snapshot.cow_place[cow_id] for cow_id in cow_ids if cow_id in snapshot.cow_place]
    return ", ".join(str(snapshot.cows.tag[place]) for place in sorted(places))
