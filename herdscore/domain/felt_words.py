"""What the hand feels at each site and score: 27 sentences, read from the rule table and checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from herdscore.domain.scale import HIGHEST, LOWEST
from herdscore.errors import Problem

SITES = ("loin", "ribs", "tailhead")
_HALVES = (HIGHEST - LOWEST) // 2 + 1


@dataclass(frozen=True, slots=True)
class SiteWords:
    """One site: where the hand goes, and a sentence for each half score from 1 to 5."""

    hand: str
    say: tuple[str, ...]
    source: str

    def around(self, quarters: int) -> tuple[tuple[int, str], ...]:
        """The half at or below a score and the next one up, each with its sentence; scores in quarters."""
        place = (quarters - LOWEST) // 2
        return tuple((LOWEST + 2 * at, self.say[at]) for at in (place, place + 1) if at < len(self.say))


def read_felt_words(table: Mapping[str, Any]) -> dict[str, SiteWords]:
    """Check the table of `felt_words.toml`; a Problem names what is missing."""
    read = {}
    for site in SITES:
        entry, where = table.get(site), f"felt_words.toml: [{site}]"
        if not isinstance(entry, Mapping):
            raise Problem(f"{where} is missing.", what_to_do="Put the words back.")
        for key in ("hand", "source", "source_hand"):
            if not isinstance(entry.get(key), str) or not entry[key].strip():
                raise Problem(f"{where} has no {key}.", what_to_do="Put the words back.")
        say = entry.get("say")
        if not isinstance(say, list) or len(say) != _HALVES or not all(isinstance(one, str) and one for one in say):
            raise Problem(f"{where} needs {_HALVES} sentences, one for each half from 1 to 5.")
        read[site] = SiteWords(entry["hand"], tuple(say), entry["source"])
    return read
