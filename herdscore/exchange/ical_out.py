"""Dated things to an iCalendar file (RFC 5545) that a second export updates instead of doubling."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdscore.domain.calendar_entries import CalendarEntry
from herdscore.errors import Problem
from herdscore.files import saved_whole

if TYPE_CHECKING:
    from icalendar import Calendar, Component

PRODUCT = "-//herdscore//calving season//EN"
TODO, EVENT = "VTODO", "VEVENT"
_NAMES = uuid.uuid5(uuid.NAMESPACE_URL, "urn:herdscore:calendar")
_CANCELLED = "CANCELLED"


@dataclass(frozen=True, slots=True)
class Exported:
    """An entry as it stood in the file before: its number, its day and all that shows."""

    component: Component
    sequence: int
    day: date
    content: tuple[str, ...]


def uid_of(herd_id: str, entry_id: str) -> str:
    """The lasting name of an entry of a herd, a UUID (RFC 7986)."""
    return str(uuid.uuid5(_NAMES, f"{herd_id}/{entry_id}"))


def write_calendar(
    path: Path,
    entries: Sequence[CalendarEntry],
    herd_id: str,
    herd_name: str,
    made: datetime,
    *,
    as_events: bool = False,
    alarm_days: int | None = 7,
) -> None:
    """Write entries as whole-day to-dos and events, or all as events for programs that show no to-dos.

    An entry that changed since the file at `path` counts its sequence up; one that is no longer due is written as
    cancelled, so that it goes from the phone too. `made` is the moment of the export, aware.
    """
    if path.suffix.lower() != ".ics":
        raise Problem(f"A calendar is not written as {path.name}.", what_to_do="Choose a name ending in .ics.")
    before = _exported(path)
    stamp = made.astimezone(UTC).replace(microsecond=0)
    calendar = _new_calendar(herd_name)
    written = set()
    for entry in sorted(entries, key=lambda entry: (entry.day, entry.id)):
        uid = uid_of(herd_id, entry.id)
        written.add(uid)
        calendar.add_component(_component(entry, uid, stamp, before.get(uid), as_events, alarm_days))
    for gone in _no_longer_due(before, written, stamp):
        calendar.add_component(gone)
    with saved_whole(path) as part:
        part.write_bytes(calendar.to_ical())


def _new_calendar(herd_name: str) -> Calendar:
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", herd_name)
    return calendar


def _component(
    entry: CalendarEntry,
    uid: str,
    stamp: datetime,
    before: Exported | None,
    as_events: bool,
    alarm_days: int | None,
) -> Component:
    from icalendar import Event, Todo

    to_do = entry.to_do and not as_events
    made: Component = Todo() if to_do else Event()
    line = f"Done: {entry.line}" if entry.done and not to_do else entry.line
    made.add("uid", uid)
    made.add("dtstamp", stamp)
    if to_do:
        made.add("due", entry.day)
        made.add("status", "COMPLETED" if entry.done else "NEEDS-ACTION")
        if entry.done:
            made.add("completed", stamp)
    else:
        made.add("dtstart", entry.day)
        made.add("dtend", entry.day + timedelta(days=1))
        made.add("transp", "TRANSPARENT")
        made.add("status", "CONFIRMED")
    made.add("summary", line)
    made.add("description", entry.text)
    made.add("categories", ["Cattle"])
    content = _content(made)
    made.add("sequence", 0 if before is None else before.sequence + (before.content != content))
    if alarm_days is not None and entry.to_do and not entry.done:
        made.add_component(_alarm(line, alarm_days, related="END" if to_do else "START"))
    return made


def _alarm(line: str, days: int, related: str) -> Component:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", line)
    alarm.add("trigger", timedelta(days=-days), parameters={"related": related})
    return alarm


def _exported(path: Path) -> Mapping[str, Exported]:
    """What an earlier export at this path holds; a file of another program is not written over."""
    if not path.exists():
        return {}
    from icalendar import Calendar

    try:
        calendar: Any = Calendar.from_ical(path.read_bytes())
        ours = str(calendar.get("prodid", "")) == PRODUCT
    except (ValueError, OSError, AttributeError) as error:
        raise _not_ours(path) from error
    if not ours:
        raise _not_ours(path)
    return {str(one["uid"]): _read(one) for one in calendar.walk() if one.name in (TODO, EVENT)}


def _not_ours(path: Path) -> Problem:
    return Problem(
        f"{path.name} is a calendar of something else.", "It was not written by this program.", "Choose another name."
    )


def _read(component: Any) -> Exported:
    day = component.decoded("due" if component.name == TODO else "dtstart")
    return Exported(component, int(component.get("sequence", 0)), day, _content(component))


def _content(component: Any) -> tuple[str, ...]:
    """All that shows of an entry, as it is written."""
    keys = ("due", "dtstart", "status", "summary", "description")
    return (component.name, *(component[key].to_ical().decode() if key in component else "" for key in keys))


def _no_longer_due(before: Mapping[str, Exported], written: set[str], stamp: datetime) -> Iterable[Component]:
    """Entries of the file before that still lie ahead and are not due any more, cancelled."""
    for uid, old in before.items():
        if uid in written or old.day < stamp.date():
            continue
        gone: Any = old.component
        if str(gone.get("status", "")) != _CANCELLED:
            gone["sequence"] = type(gone["sequence"])(old.sequence + 1) if "sequence" in gone else 1
            gone.pop("status", None)
            gone.add("status", _CANCELLED)
        gone.pop("dtstamp", None)
        gone.add("dtstamp", stamp)
        gone.subcomponents = []
        yield gone
