"""What the rule table of the crush holds once it is checked."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class CrushRules:
    """The reader that types, the pace of a round, and the check of two people; units as in crush.toml."""

    reader_characters: int
    reader_gap_ms: int
    reader_enter_ms: int
    repeat_seconds: float
    reader_baud: int
    pace_saves: int
    pause_minutes: float
    low_day_spreads: float
    check_cows: int
    check_apart: float
    check_share: float
    check_mean: float
    own_spread: int
    own_spread_cows: int

    @property
    def uses_own_spread(self) -> bool:
        """Whether the spread found in checks of a scorer feeds the model."""
        return self.own_spread == 1
