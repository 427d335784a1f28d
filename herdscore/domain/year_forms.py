"""What the rule table of a block's year holds once it is checked."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class YearTargets:
    """Scores aimed at through the year by block, and which scores count for a time; units as in year_targets.toml."""

    spring_weaning: float
    spring_housing: float
    spring_lead: float
    spring_turnout: float
    autumn_weaning: float
    autumn_housing: float
    autumn_lead: float
    autumn_turnout: float
    about_event_days: int
    about_lead_days: int
    first_look_days: int
    last_look_days: int
    seasons: int
    cycle_before_months: int
    spring_month: int
    autumn_month: int
