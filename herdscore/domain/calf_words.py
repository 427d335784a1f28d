"""Words of a calf: sex as people write it, how it lay, its size, and whether it lived."""

from __future__ import annotations

BULL_CALF, HEIFER_CALF = "bull", "heifer"
PRESENTATIONS = ("normal", "backwards", "leg back", "head back", "breech")
SIZES = ("very small", "small", "average", "large", "very large")
_SEX_WORDS = {
    **dict.fromkeys(("b", "bull", "bull calf", "m", "male", "steer"), BULL_CALF),
    **dict.fromkeys(("h", "heifer", "heifer calf", "f", "female"), HEIFER_CALF),
}


def calf_sex(text: str | None) -> str | None:
    """Bull or heifer from what was written of a calf's sex, None when it says neither.

    >>> calf_sex("Male"), calf_sex("heifer calf"), calf_sex("?")
    ('bull', 'heifer', None)
    """
    return _SEX_WORDS.get(" ".join((text or "").split()).casefold())


def lay_wrong(presentation: str | None) -> bool:
    """Whether a calf is written to have lain otherwise than normal."""
    return bool(presentation) and " ".join((presentation or "").split()).casefold() not in (
        PRESENTATIONS[0],
        "forwards",
    )
