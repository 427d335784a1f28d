"""What the charts of groups draw: strips of cows by score less target, and mean ways to calving."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Strip:
    """One group: name, a quiet line under it, its cows (score less target, mark, key), quartiles and side words.

    Quartiles are NaN without a cow to compare. `below` and `above` are written at the sides of the band, in the
    colours of thin and fat. A small group is drawn as uncertain.
    """

    name: str
    note: str
    in_milk: bool
    values: Numbers
    marks: tuple[str, ...]
    keys: tuple[str, ...]
    lower: float
    median: float
    upper: float
    is_small: bool = False
    below: str = ""
    above: str = ""


@dataclass(frozen=True, eq=False)
class StripsPicture:
    """All strips on one axis; cows in milk come last, on a ground of their own. `band` is half its width."""

    strips: tuple[Strip, ...]
    band: float = 0.25
    dry_words: str = "projected at calving"
    milk_words: str = "in milk: now, against mating"
    name: str = "Groups"
    description: str = ""


@dataclass(frozen=True, eq=False)
class PathLine:
    """One group's way: days before calving and score less target, measured and from today on."""

    name: str
    days: Numbers
    values: Numbers
    ahead_days: Numbers
    ahead: Numbers
    is_bold: bool = False
    is_small: bool = False


@dataclass(frozen=True, eq=False)
class PathsPicture:
    """Mean ways to calving over the band; `lead` and `freeze` are days before calving with a line."""

    lines: tuple[PathLine, ...]
    band: float = 0.25
    lead: float = 56.0
    freeze: float = 21.0
    name: str = "Mean way to calving"
    description: str = ""
