"""What the calving page writes to a file: the calendar. Run in jobs."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from herdscore.desk.jobs import Report
from herdscore.domain.calendar_entries import CalendarEntry


def save_calendar(
    entries: tuple[CalendarEntry, ...],
    herd_id: str,
    name: str,
    made: datetime,
    as_events: bool,
    path: Path,
    report: Report,
) -> Path:
    """Write the calendar file, or bring the one there up to date; answers where it is."""
    from herdscore.exchange.ical_out import write_calendar  # late: nobody needs a calendar at the start

    report(0, 1, f"Writing {path.name}")
    write_calendar(path, entries, herd_id, name, made, as_events=as_events)
    return path
