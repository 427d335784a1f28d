"""What the rule table of groups holds once it is checked."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class GroupRules:
    """How many pens there are, and when a group's figures say enough; units as in groups.toml."""

    pens: int
    small_group: int
    round_days: int
    round_share: float
