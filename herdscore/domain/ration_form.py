"""A ration as it is typed, feed by feed, read into kg fresh; what is wrong in plain sentences by line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from herdscore.domain.feeds import Feeds
from herdscore.domain.rule_forms import SheetLimits

_NUMBER = re.compile(r"([+\-−–]?)\s*(\d*[.,]?\d+|\d+[.,])")


@dataclass(frozen=True)
class ReadRation:
    """Kg fresh a head a day by feed, sentences about lines by their place, and one about the whole."""

    kg: dict[str, float] = field(default_factory=dict)
    problems: dict[int, str] = field(default_factory=dict)
    wrong: str = ""

    @property
    def is_good(self) -> bool:
        """Whether it can be reckoned with."""
        return not self.problems and not self.wrong


def read_kg(text: str, limits: SheetLimits) -> tuple[float | None, str]:
    """Kg fresh a head a day, None for an empty field, and what is wrong with it."""
    typed = text.strip().removesuffix("kg").strip()
    if not typed:
        return None, ""
    found = _NUMBER.fullmatch(typed)
    if found is None:
        return None, f"“{text.strip()}” is not a number. Write kg fresh a head a day, such as 1.5."
    number = float(found[2].replace(",", "."))
    if found[1] in ("-", "−", "–") and number:
        return None, "Less than nothing cannot be fed. Leave it empty to feed none."
    if number > limits.ration_highest:
        shorter = f": {number / 10:g}" if number / 10 <= limits.ration_highest else ""
        return None, f"{number:g} kg is more than a cow eats in a day. Is a point missing{shorter}?"
    return number, ""


def read_ration(lines: Sequence[tuple[str, str]], feeds: Feeds, limits: SheetLimits) -> ReadRation:
    """Read lines of feed and kg; a line without kg is not fed."""
    kg: dict[str, float] = {}
    problems: dict[int, str] = {}
    known = {str(name).casefold(): str(name) for name in feeds.name}
    for place, (typed_feed, typed_kg) in enumerate(lines):
        name = known.get(typed_feed.strip().casefold())
        number, wrong = read_kg(typed_kg, limits)
        if wrong:
            problems[place] = wrong
        elif name is None and number:
            problems[place] = "Choose which feed this is."
        elif name is not None and name in kg and number:
            problems[place] = f"{name} stands in two lines: put it all in one."
        elif name is not None and number:
            kg[name] = number
    if problems:
        return ReadRation(kg, problems)
    if not kg:
        return ReadRation(kg, wrong="Nothing is fed: write kg fresh a head a day beside a feed.")
    forage = {str(name) for name in feeds.name[feeds.is_forage]}
    if not forage & set(kg):
        return ReadRation(kg, wrong="No forage or straw in it: a cow's rumen needs it. Add one.")
    return ReadRation(kg)
