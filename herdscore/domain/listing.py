"""The columns of every list: key, heading, kind, unit. One list serves screen and sheet."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Column:
    """One column: kind is text, date, whole, days, quarter, score, chance or rate; width in characters."""

    key: str
    heading: str
    kind: str
    width: int
    unit: str = ""


FLAG_LIST = (
    Column("tag", "Tag", "text", 16),
    Column("management_no", "Management no", "text", 14),
    Column("group", "Group", "text", 16),
    Column("season", "Season", "text", 9),
    Column("calving_date", "Calving date", "date", 12),
    Column("date_spread", "Date ±", "days", 9, "days"),
    Column("days_to_calving", "Days to calving", "whole", 10),
    Column("last_scored", "Last scored", "date", 12),
    Column("last_score", "Last score", "quarter", 9),
    Column("score_now", "Score now", "score", 9),
    Column("projected", "Projected", "score", 10),
    Column("low", "Low", "score", 8),
    Column("high", "High", "score", 8),
    Column("target", "Target", "score", 8),
    Column("chance_thin", "Chance thin", "chance", 9),
    Column("chance_on_target", "Chance on target", "chance", 10),
    Column("chance_fat", "Chance fat", "chance", 9),
    Column("verdict", "Verdict", "text", 26),
    Column("rate_expected", "Rate expected", "rate", 12, "score/week"),
    Column("rate_wanted", "Rate wanted", "rate", 12, "score/week"),
    Column("act_by", "Act by", "date", 12),
    Column("advice", "Advice", "text", 46),
    Column("why", "Why", "text", 70),
)
