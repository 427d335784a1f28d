"""What the chart of one cow is given: plain values, prepared by the page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class ScorePoint:
    """One score on the chart: its day, the mean of the sites, the words beside it, half the width of its bar."""

    day: date
    value: float
    words: str = ""
    half_width: float = 0.25
    tip: str = ""
    sites: tuple[float | None, ...] = ()


@dataclass(frozen=True)
class DietStretch:
    """What she is fed from a day to a day: in words, assumed or told; `hue` thin or fat for a change up or down."""

    first: date
    last: date
    words: str
    assumed: bool = False
    told: bool = True
    hue: str = ""


@dataclass(frozen=True)
class PastEvent:
    """Something else that happened on a day, such as a weighing or a calving, in a word or two."""

    day: date
    words: str


@dataclass(frozen=True)
class Bend:
    """A day on which the diet changes: what it is called; assumed when it was not entered."""

    day: date
    words: str
    assumed: bool = False


@dataclass(frozen=True)
class Fan:
    """Scores gentle feeding still reaches, level from a day on; `slims` is false for a cow never slimmed."""

    low: float
    high: float
    level_from: date
    slims: bool = True


@dataclass(frozen=True)
class CowPicture:
    """One cow from her first score to calving. Whatever is None or empty is not drawn.

    Lines are days with as many scores; `ahead_low` and `ahead_high` hold 9 in 10 of what to expect.
    `now` is the model's score today, where the fan opens. `last_season` are her scores before her last calving, each on
    the day that lies as long before this one.
    """

    today: date
    mark: str = "none"
    calving: date | None = None
    spread_days: float = 0.0
    target: float | None = None
    band_low: float | None = None
    band_high: float | None = None
    target_words: str = ""
    scores: tuple[ScorePoint, ...] = ()
    past_days: tuple[date, ...] = ()
    past: tuple[float, ...] = ()
    ahead_days: tuple[date, ...] = ()
    ahead: tuple[float, ...] = ()
    ahead_low: tuple[float, ...] = ()
    ahead_high: tuple[float, ...] = ()
    projected: float | None = None
    now: float | None = None
    fan: Fan | None = None
    act_by: date | None = None
    act_words: str = "begin by"
    begin_until: date | None = None
    need_only_from: date | None = None
    bends: tuple[Bend, ...] = ()
    diets: tuple[DietStretch, ...] = ()
    events: tuple[PastEvent, ...] = ()
    last_season: tuple[ScorePoint, ...] = ()
    last_words: str = ""
    with_sites: bool = False
    note: str = ""
    name: str = ""
    description: str = ""
