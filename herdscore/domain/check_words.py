"""A check of a ration in words: what it came to at the left, its limit at the right."""

from __future__ import annotations

from collections.abc import Sequence

from herdscore.domain.ration_checks import OF_ELEMENT, Check, Limit, State
from herdscore.domain.reasons import say_number

_ELEMENTS = frozenset(OF_ELEMENT.values())
_MOST_NAMED = 6


def check_words(check: Check) -> tuple[str, str]:
    """What a check says, and the limit it is held against."""
    value, bound, names = check.value, check.bound, named(check.names)
    match check.limit:
        case Limit.NEED:
            short = f"; less than the need of {names}, who may not lose" if names else ""
            return (
                f"Energy {value:.0f} MJ, need {say_number(bound, 0)} on average{short}",
                f"{say_number(value - bound, 0, sign=True)} MJ",
            )
        case Limit.FLOOR:
            return f"Energy {value:.0f} MJ is too little for {names}", f"need {say_number(bound, 0)} on average"
        case Limit.PROTEIN:
            unknown = f", without {names}, whose protein is not known" if names else ""
            return f"Protein {value:.1f} % of dry matter{unknown}", f"at least {bound:g}"
        case Limit.FORAGE:
            return f"Forage {value:.0f} % of dry matter", f"at least {bound:g}"
        case Limit.INTAKE:
            return f"Dry matter {value:.0f} % of what she can eat", "at most 100"
        case Limit.DM_FLOOR:
            return f"Dry matter {value:.0f} % of what she can eat: too little to fill her", f"at least {bound:g}"
        case Limit.CONCENTRATE:
            return f"Concentrate {value:.1f} kg of dry matter a day", f"at most {bound:g}"
        case Limit.GAIN | Limit.LOSS:
            way = "gain" if check.limit is Limit.GAIN else "loss"
            who = f" of {names}" if names else ""
            return f"Fastest {way}{who} {value:.2f} score a week", f"at most {bound:.2f}"
        case Limit.NEVER_SLIMMED:
            if not names:
                return "No cow that is never slimmed would lose", f"at most {bound:g}"
            return f"{names} would lose {value:.2f} score, and may not", f"at most {bound:g}"
        case limit if limit in _ELEMENTS:
            without = f"; {names} not counted, no figures" if names else ""
            return f"{limit.value.capitalize()} at {value:.0f} % of its ceiling{without}", "at most 100"
        case _:
            return (
                f"{check.limit.value.capitalize()}: {say_number(value, 1)} {check.unit}",
                f"at most {say_number(bound, 1)}",
            )


def shown_checks(checks: Sequence[Check]) -> list[Check]:
    """The checks worth a line: of minerals the nearest to its ceiling, or all that are near; not what is beside it."""
    minerals = [check for check in checks if check.limit in _ELEMENTS]
    loud = [check for check in minerals if check.state is not State.FINE]
    nearest = max(minerals, key=lambda check: check.value, default=None)
    kept = loud or ([nearest] if nearest is not None else [])
    hidden = {Limit.DM_FLOOR, Limit.NEVER_SLIMMED} | ({Limit.CONCENTRATE} if _none(checks) else set())
    if any(check.limit is Limit.DM_FLOOR and check.state is not State.FINE for check in checks):
        hidden.add(Limit.INTAKE)
    return [
        check
        for check in checks
        if (check in kept if check.limit in _ELEMENTS else check.state is not State.FINE or check.limit not in hidden)
    ]


def _none(checks: Sequence[Check]) -> bool:
    return all(check.value <= 0 for check in checks if check.limit is Limit.CONCENTRATE)


def named(names: Sequence[str]) -> str:
    """Names of cows or feeds in a line, the first few."""
    shown = ", ".join(names[:_MOST_NAMED])
    more = len(names) - _MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown
