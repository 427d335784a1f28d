"""A diet of a group, or a date of the herd calendar, as somebody types it: fields to a record or plain sentences."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.diets import group_key, groups_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.moves import spelled
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.records import AIMS, BLOCKS, DIET_KINDS, EVENTS, CalendarDay, Diet, new_id
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.typed_day import NotADay, read_day, say_whole_day

SAME_SEASON = timedelta(days=120)
"""Two dates of one event and block closer than this are one date moved, not two seasons."""
_NUMBER = re.compile(r"([+\-−–]?)\s*(\d*[.,]?\d+)")


@dataclass(frozen=True)
class ReadRow:
    """A record read of a form and the one it takes the place of, or what is wrong by field; `note` is to be known."""

    row: Diet | CalendarDay | None = None
    before: Diet | CalendarDay | None = None
    problems: Mapping[str, str] = field(default_factory=dict)
    note: str = ""

    def change(self) -> Change | None:
        """The change that writes it; None when nothing is different or something is wrong."""
        if self.row is None or self.row == self.before:
            return None
        kind = "diet" if isinstance(self.row, Diet) else "calendar day"
        return Change(f"{'add' if self.before is None else 'edit'} {kind}", (RowChange(self.before, self.row),))


def typed_diet(row: Diet) -> dict[str, str]:
    """The fields of a diet as a form shows them."""
    change = row.expected_change
    return {
        "group": row.group,
        "day": say_whole_day(row.day),
        "kind": row.kind,
        "aim": row.aim or "",
        "expected": "" if change is None else f"{'−' if change < 0 else '+' if change > 0 else ''}{abs(change):g}",
    }


def read_diet(
    typed: Mapping[str, str], snapshot: Snapshot, rules: Rulebook, today: date, before: Diet | None = None
) -> ReadRow:
    """Read the fields of a diet, over the diet `before` or as a new one."""
    given = {name: " ".join(typed.get(name, "").split()) for name in ("group", "day", "kind", "aim", "expected")}
    problems: dict[str, str] = {}
    values: dict[str, Any] = {"group": spelled(groups_of(snapshot, today), given["group"])}
    if not given["group"]:
        problems["group"] = "Which group?"
    if given["kind"] not in DIET_KINDS:
        problems["kind"] = "What is it on? Choose one."
    values["kind"], values["aim"] = given["kind"], given["aim"] or None
    if values["aim"] is not None and values["aim"] not in AIMS:
        problems["aim"] = "Choose level, up or down."
    values["day"] = _day(given["day"], today, problems, "From which day? About right will do.")
    values["expected_change"] = _expected(given["expected"], values["aim"], rules, problems)
    if problems:
        return ReadRow(before=before, problems=problems)
    note = ""
    twin = _diet_of(snapshot, values["group"], values["day"], before)
    if twin is not None:
        if before is not None:
            wrong = f"{twin.group} has {twin.kind} from {say_day(twin.day, today)} already. Strike one of the two out."
            return ReadRow(before=before, problems={"day": wrong})
        before, note = twin, f"In place of {twin.kind}, entered from that day."
    elif values["day"] > today:
        note = "From a day ahead: until then the diet before goes on, and nothing is assumed from the calendar."
    if before is not None:
        return ReadRow(replace(before, **values), before, note=note)
    return ReadRow(Diet(new_id(), **values), note=note)


def _diet_of(snapshot: Snapshot, group: str, day: date, besides: Diet | None) -> Diet | None:
    for row in snapshot.records("diets"):
        assert isinstance(row, Diet)
        if row.day == day and group_key(row.group) == group_key(group) and (besides is None or row.id != besides.id):
            return row
    return None


def _day(text: str, today: date, problems: dict[str, str], asked: str) -> date | None:
    if not text:
        problems["day"] = asked
        return None
    day = read_day(text, today)
    if isinstance(day, NotADay):
        problems["day"] = day.sentence
        return None
    return day


def _expected(text: str, aim: str | None, rules: Rulebook, problems: dict[str, str]) -> float | None:
    """Expected change, score a week. A plan (an aim) stays within the refused rates, a bare figure within sense."""
    if not text:
        return None
    found = _NUMBER.fullmatch(text)
    if not found:
        problems["expected"] = f"“{text}” is not a number. Write the change a week as +0.05 or −0.03."
        return None
    number = float(found[2].replace(",", ".")) * (-1 if found[1] in ("-", "−", "–") else 1)
    gain, loss = rules.limits.refused_gain * 7, rules.limits.refused_loss * 7
    most = rules.sheet.weekly_change_most
    if abs(number) > most:
        problems["expected"] = f"A change a week lies between −{most:g} and +{most:g}; usual are hundredths."
    elif aim is not None and not -loss <= number <= gain:
        allowed = f"+{_floored(gain)}" if number > 0 else f"−{_floored(loss)}"
        half = rules.limits.refused_gain_days if number > 0 else rules.limits.refused_loss_days
        problems["expected"] = f"Too fast for any plan: {allowed} a week at most, half a score in {half:g} days."
    return number


def _floored(rate: float) -> str:
    return f"{int(rate * 100) / 100:.2f}"


def read_event(typed: Mapping[str, str], snapshot: Snapshot, today: date, before: CalendarDay | None = None) -> ReadRow:
    """Read a date of the herd calendar; one of the same block, event and season is moved rather than doubled."""
    block, event, text = (" ".join(typed.get(name, "").split()) for name in ("block", "event", "day"))
    problems: dict[str, str] = {}
    if block not in BLOCKS:
        problems["block"] = "Autumn or spring calvers?"
    if event not in EVENTS:
        problems["event"] = "Choose housing, turnout, weaning, bull in or bull out."
    day = _day(text, today, problems, f"On which day is {event or 'it'}?")
    if day is None or problems:
        return ReadRow(before=before, problems=problems)
    others = [
        row
        for row in snapshot.records("calendar")
        if isinstance(row, CalendarDay)
        and (row.block, row.event) == (block, event)
        and abs(row.day - day) < SAME_SEASON
        and (before is None or row.id != before.id)
    ]
    wrong = _bull_dates(snapshot, block, event, day)
    if wrong:
        return ReadRow(before=before, problems={"day": wrong})
    if others and before is not None:
        said = f"{event.capitalize()} of that season is entered, {say_day(others[0].day, today)}. Strike one out."
        return ReadRow(before=before, problems={"day": said})
    note = ""
    if others:
        before = min(others, key=lambda row: abs(row.day - day))
        note = "" if before.day == day else f"In place of {say_day(before.day, today)}."
    if before is None:
        return ReadRow(CalendarDay(new_id(), block, event, day), note=note)
    return ReadRow(replace(before, block=block, event=event, day=day), before, note=note)


def _bull_dates(snapshot: Snapshot, block: str, event: str, day: date) -> str:
    """Why a bull cannot come or go that day: out before he was in, within a season."""
    other = {"bull in": "bull out", "bull out": "bull in"}.get(event)
    for row in snapshot.records("calendar"):
        if isinstance(row, CalendarDay) and row.block == block and row.event == other:
            first, last = (day, row.day) if event == "bull in" else (row.day, day)
            if timedelta(0) <= first - last < SAME_SEASON:
                return f"{other.capitalize()} is {say_whole_day(row.day)}: he cannot leave before he came."
    return ""


def expected_words(row: Diet) -> str:
    """What a change a week comes to, for the reader of a plan: "half a score in 70 days"; "" without one."""
    change = row.expected_change
    if change is None or change == 0:
        return ""
    return f"{'Up' if change > 0 else 'Down'} half a score in {say_number(0.5 / abs(change) * 7, 0)} days."
