"""Finds a cow by her tag, without regard to case and blanks, and a number that lost its leading zeros."""

from __future__ import annotations

from herdscore.exchange.cells import DigitsOnly


def spelling_key(text: str) -> str:
    """A tag, group or name without case and blanks."""
    return "".join(text.split()).casefold()


class TagBook:
    """The tags of a herd in the order they were added."""

    def __init__(self) -> None:
        self.tags: list[str] = []
        self._by_key: dict[str, int] = {}
        self._by_number: dict[int, list[int]] = {}

    def add(self, tag: str) -> int:
        """Add a tag whose key is not there yet; its place."""
        place = len(self.tags)
        self.tags.append(tag)
        key = spelling_key(tag)
        self._by_key[key] = place
        if _is_number(key):
            self._by_number.setdefault(int(key), []).append(place)
        return place

    def same(self, tag: str) -> int | None:
        """Place of the very same tag."""
        return self._by_key.get(spelling_key(tag))

    def fits(self, tag: str) -> tuple[int, ...]:
        """Places of the cows a tag may mean: none, one, or several where only zeros tell them apart."""
        key = spelling_key(tag)
        place = self._by_key.get(key)
        if place is not None:
            return (place,)
        if not _is_number(key):
            return ()
        number = isinstance(tag, DigitsOnly)
        return tuple(at for at in self._by_number.get(int(key), ()) if number or isinstance(self.tags[at], DigitsOnly))


def _is_number(key: str) -> bool:
    return key.isdecimal() and len(key) <= 20
