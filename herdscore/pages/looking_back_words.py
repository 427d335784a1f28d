"""What is said of last season's projections: how many bands held, by how much they missed, and what that can tell."""

from __future__ import annotations

import math

from herdscore.domain.assess import Assessment
from herdscore.domain.looking_back import Held
from herdscore.domain.reasons import say_number

NO_SEASON = "No calving season is recorded yet. Once one is, this says how its projections held."
NOTE = (
    "The band is right on average over herds, not inside each herd: one herd may see fewer or more of its bands hold."
)


def held_claim(held: Held | None) -> str:
    """The finding in a sentence without its stop."""
    if held is None:
        return "No earlier season to look back on"
    name = f"{held.name[0].upper()}{held.name[1:]}"
    if not held.inside.of:
        return f"{name}: no projection can be looked back on"
    share = _percent(held.inside.share)
    return f"{name}: {held.inside.count} of {held.inside.of} bands held, {share}; nine in ten should"


def held_words(assessment: Assessment, held: Held | None) -> list[str]:
    """What lies behind it, a paragraph each."""
    if held is None:
        return [NO_SEASON]
    rules, learning = assessment.rulebook.year, assessment.rulebook.learning
    left_out = _left_out(held)
    if not held.inside.of:
        needed = (
            f"It needs a score before, and one felt within {learning.before_calving_days} days before or "
            f"{learning.after_calving_days} after calving."
        )
        return [f"{held.calvings} calvings are recorded. {left_out} {needed}"]
    low, high = _percent(held.inside.low), _percent(held.inside.high)
    return [
        f"Each cow was projected again from what had been scored {rules.last_look_days} to {rules.first_look_days} "
        f"days before she calved, with the feeding as it then was, to the day she was felt about calving: "
        f"{say_number(held.ahead, 0)} days ahead on average.",
        f"Mean miss {say_number(held.miss, 2)}; {_lean(held.lean)}. Her last score carried on would have missed by "
        f"{say_number(held.miss_of_last, 2)}.",
        f"With this many the true share may lie anywhere from {low} to {high}. A felt score is itself rough, so the "
        f"band is widened by that; of the bands as drawn {held.inside_bare.count} of {held.inside_bare.of} held.",
        *([left_out] if left_out else []),
        NOTE,
    ]


def _left_out(held: Held) -> str:
    parts = []
    if held.unscored_at:
        parts.append(f"{held.unscored_at} not felt about calving")
    if held.unscored_before:
        parts.append(f"{held.unscored_before} not scored before")
    return f"Left out: {', '.join(parts)}." if parts else ""


def _lean(lean: float) -> str:
    said = say_number(abs(lean), 2)
    if float(said) == 0:
        return "cows were as often above the line as below it"
    return f"cows were on average {said} {'fatter' if lean > 0 else 'thinner'} than projected"


def _percent(share: float) -> str:
    return f"{round(100 * share)}\u00a0%" if math.isfinite(share) else "not known"
