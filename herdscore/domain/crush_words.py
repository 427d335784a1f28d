"""What is said before the first cow and while learning to score, read from the rule table and checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from herdscore.errors import Problem


@dataclass(frozen=True, slots=True)
class Said:
    """A title and its sentences, with where they come from."""

    title: str
    say: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class CrushWords:
    """The caution, how to handle a cow, and words for weighted kappa: `kappa_say[i]` above `kappa_above[i]`."""

    caution: Said
    handling: Said
    kappa_above: tuple[float, ...]
    kappa_say: tuple[str, ...]

    def of_kappa(self, kappa: float) -> str:
        """A weighted kappa in a word; "" when it is not known."""
        if kappa != kappa:
            return ""
        place = next((at for at, above in enumerate(self.kappa_above) if kappa > above), len(self.kappa_above))
        return self.kappa_say[place]


def read_crush_words(table: Mapping[str, Any]) -> CrushWords:
    """Check the table of `crush_words.toml`; a Problem names what is missing."""
    kappa = table.get("kappa", {})
    above, say = kappa.get("above", []), kappa.get("say", [])
    if not above or len(say) != len(above) + 1 or above != sorted(above, reverse=True):
        raise Problem("crush_words.toml: [kappa] needs limits from the highest down, and one word more than limits.")
    return CrushWords(_said(table, "caution"), _said(table, "handling"), tuple(above), tuple(say))


def _said(table: Mapping[str, Any], name: str) -> Said:
    entry, where = table.get(name, {}), f"crush_words.toml: [{name}]"
    for key in ("title", "source"):
        if not isinstance(entry.get(key), str) or not entry[key].strip():
            raise Problem(f"{where} has no {key}.", what_to_do="Put the words back.")
    say = entry.get("say")
    if not isinstance(say, list) or not say or not all(isinstance(one, str) and one for one in say):
        raise Problem(f"{where} has no sentences.", what_to_do="Put the words back.")
    return Said(entry["title"], tuple(say), entry["source"])
