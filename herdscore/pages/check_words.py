"""What is said of two scorers: what is asked of them, how they agree, and each one's own spread."""

from __future__ import annotations

import math
from collections.abc import Mapping

from herdscore.domain.agreement import Agreement
from herdscore.domain.crush_forms import CrushRules
from herdscore.domain.crush_words import CrushWords
from herdscore.domain.reasons import say_number
from herdscore.pages.cow_words import say_cows


def how_words(rules: CrushRules) -> str:
    """How a check goes and what passes."""
    return (
        "Each feels the same cows, drawn by lot, without seeing what the other gave. A pair passes on "
        f"{rules.check_cows} cows or more with {_share(rules.check_share)} of them within {rules.check_apart:g}, and "
        f"at most {rules.check_mean:g} apart on average. Do it twice a year, and when somebody new scores."
    )


def spread_words(spreads: Mapping[str, float], usual: float) -> str:
    """Each scorer's own spread beside the usual one."""
    if not spreads:
        return f"Off, every score counts with the usual spread of {usual:g}. Nobody has been checked yet."
    own = ", ".join(f"{name} {say_number(spread, 2)}" for name, spread in sorted(spreads.items()))
    return (
        f"From the checks: {own}; the usual spread is {usual:g}. A wider spread makes the advice lean on a score less."
    )


def claim_of_check(found: Agreement, rules: CrushRules) -> tuple[str, str]:
    """The outcome, and its hue."""
    if not found.cows:
        return "No cow was scored by both", "hold"
    if found.passed:
        return "Pass: one eye. They may share a herd.", "ok"
    if found.within_is_fine and found.difference_is_fine:
        return f"Well so far: {rules.check_cows} cows are needed to pass", "hold"
    return "Practise: score some together, talking it through, then check again", "score"


def agreement_lines(found: Agreement, names: tuple[str, str], rules: CrushRules, words: CrushWords) -> list[str]:
    """How they agree, in sentences with the limits beside the figures."""
    if not found.cows:
        return []
    within, same = round(found.within * found.cows), round(found.same * found.cows)
    apart = say_number(abs(found.difference), 2)
    higher = names[1] if found.difference > 0 else names[0]
    level = abs(round(found.difference, 2)) < 0.005
    lines = [
        f"{within} of {say_cows(found.cows)} within {rules.check_apart:g}: {_share(found.within)}, "
        f"{_share(rules.check_share)} is asked\u00a0{_tick(found.within_is_fine)}",
        ("No difference on average" if level else f"{higher} scores {apart} higher on average")
        + f", at most {rules.check_mean:g}\u00a0{_tick(found.difference_is_fine)}",
        f"The same score on {same}; the furthest apart {say_number(found.furthest, 2)}",
    ]
    kappa = found.kappa_linear
    if math.isfinite(kappa):
        lines.append(f"Weighted kappa {say_number(kappa, 2)}: {words.of_kappa(kappa)} agreement beyond chance")
    else:
        lines.append("Weighted kappa is not known: all cows were given one score")
    return lines


def _share(share: float) -> str:
    return f"{share * 100:.0f}\u00a0%"


def _tick(fine: bool) -> str:
    return "✓" if fine else "✗"
