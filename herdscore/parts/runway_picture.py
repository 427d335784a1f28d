"""What the runway is given to draw: plain arrays, prepared by the page."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


def _none() -> Numbers:
    return np.empty(0)


@dataclass(frozen=True, eq=False)
class RunwayPicture:
    """The cows of one block before calving, one value a cow.

    `across` is days to calving as a negative number, in the margin for a cow too early to say; `up` her gap to target,
    kept within the rim; `mark` the place of her mark in BACK_TO_FRONT; `tail` where she was going before her change
    (NaN none); `kept` whether the filter lets her through; `value` the figure a cow at the rim carries ("" none). The
    edge is three arrays by days to calving, empty without one.
    """

    today: date
    across: Numbers
    up: Numbers
    mark: npt.NDArray[np.intp]
    tail: Numbers
    kept: Flags
    value: tuple[str, ...]
    edge_days: Numbers = field(default_factory=_none)
    edge_thin: Numbers = field(default_factory=_none)
    edge_fat: Numbers = field(default_factory=_none)
    band: float = 0.25
    lead_days: int = 56
    freeze_days: int = 21
    furthest_days: int = 150
    soon_days: int = 21
    top: float = 1.1
    foot: float = -1.2
    margin_days: int = 14
    name: str = ""
    description: str = ""

    def __len__(self) -> int:
        return len(self.across)

    @property
    def left(self) -> float:
        """The left rim, in days before calving as a negative number."""
        return -float(self.furthest_days + self.margin_days)
