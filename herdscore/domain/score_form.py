"""A score as somebody mends it, a weight and a note as somebody types them: fields to records or plain sentences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.records import UNSAFE, Cow, Score, Weight, new_id
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.scale import parse, show
from herdscore.domain.typed_day import NotADay, read_day, say_whole_day

SITES = ("loin", "ribs", "tailhead")
SCORE_FIELDS = ("day", *SITES, "score", "by_eye", "scorer", "note")
YES = "yes"


@dataclass(frozen=True)
class Read:
    """The change read from a form (None when nothing is different), or what is wrong by field, each a sentence."""

    change: Change | None
    problems: Mapping[str, str]


def typed_score(score: Score) -> dict[str, str]:
    """The fields of a score as a form shows them."""
    return {
        "day": say_whole_day(score.day),
        **{name: "" if (felt := getattr(score, name)) is None else show(felt) for name in (*SITES, "score")},
        "by_eye": YES if score.by_eye else "",
        "scorer": score.scorer or "",
        "note": score.note or "",
    }


def read_score(typed: Mapping[str, str], before: Score, today: date) -> Read:
    """A score mended: the same record with other values, so that the journal keeps both."""
    problems: dict[str, str] = {}
    values: dict[str, Any] = {"day": _past_day(typed["day"], today, problems)}
    for name in (*SITES, "score"):
        values[name] = _quarters(typed[name], name, problems)
    felt = any(values[name] is not None for name in SITES)
    note = " ".join(typed["note"].split()) or None
    if not felt and values["score"] is None and note != UNSAFE and not problems:
        problems["loin"] = f"Enter a site or an overall score; {UNSAFE} as the note says she could not be handled."
    if felt:
        values["score"] = None  # the sites win, as in a sheet
    values["by_eye"] = True if typed["by_eye"] == YES else None
    values["scorer"] = " ".join(typed["scorer"].split()) or None
    if problems:
        return Read(None, problems)
    after = replace(before, note=note, **values)
    return Read(None if after == before else Change("edit score", (RowChange(before, after),)), {})


def read_weight(typed: Mapping[str, str], cow_id: str, rules: Rulebook, today: date) -> Read:
    """A weighing: day and kg."""
    problems: dict[str, str] = {}
    day = _past_day(typed["day"], today, problems)
    text = typed["weight"].strip().lower().removesuffix("kg").strip().replace(",", ".")
    low, high = rules.sheet.weight_lowest, rules.sheet.weight_highest
    try:
        weight = float(text)
    except ValueError:
        weight = float("nan")
    if not low <= weight <= high:
        problems["weight"] = f"Her weight in kg, from {low:g} to {high:g}."
    if problems or day is None:
        return Read(None, problems)
    return Read(Change("add weight", (RowChange(None, Weight(new_id(), cow_id, day, weight)),)), {})


def read_note(typed: Mapping[str, str], before: Cow) -> Read:
    """What stands as her note in the register, written anew; the journal keeps what it was."""
    note = " ".join(typed["note"].split()) or None
    after = replace(before, note=note)
    return Read(None if after == before else Change("edit cow", (RowChange(before, after),)), {})


def _past_day(text: str, today: date, problems: dict[str, str]) -> date | None:
    if not text.strip():
        problems["day"] = "On which day? Write it as 18 Apr 2027."
        return None
    day = read_day(text, today, past_only=True)
    if isinstance(day, NotADay):
        problems["day"] = day.sentence
        return None
    return day


def _quarters(text: str, name: str, problems: dict[str, str]) -> int | None:
    if not text.strip():
        return None
    felt = parse(text)
    if felt is None:
        problems[name] = "A score from 1 to 5 in quarters: 2, 2.25, 2.5, 2.75."
    return felt
