"""The calendar file: read back by icalendar and by a second parser, strict in its lines, updated and not doubled."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import icalendar
import pytest
from ical.calendar_stream import IcsCalendarStream

from herdscore.domain.calendar_entries import CalendarEntry, entries_of_calvings, entries_of_things
from herdscore.domain.records import Record
from herdscore.domain.things_to_do import things_to_do
from herdscore.errors import Problem
from herdscore.exchange.ical_out import uid_of, write_calendar
from tests.domain.herds import TODAY, assessed, cow, day, score, service

MADE = datetime(2027, 1, 12, 18, 30, tzinfo=UTC)
AWKWARD = "Score 3 cows; “thin”, fat\\lean: été ± 6 days, " + "0512 Ä, " * 40 + "\nask your vet"


def entry(name: str = "kit_check/spring/2027", **facts: Any) -> CalendarEntry:
    plain: dict[str, Any] = {"day": day(20), "line": "Kit check", "text": "Kit, pens, lights.", "to_do": True}
    return CalendarEntry(name, **{**plain, **facts})


def write(path: Path, *entries: CalendarEntry, made: datetime = MADE, **how: Any) -> Path:
    write_calendar(path, entries, "herd-1", "Skerrowby", made, **how)
    return path


def read(path: Path) -> dict[str, Any]:
    """Components by uid, by icalendar."""
    calendar: Any = icalendar.Calendar.from_ical(path.read_bytes())
    return {str(one["uid"]): one for one in calendar.walk() if one.name in ("VTODO", "VEVENT")}


def one_of(path: Path, name: str = "kit_check/spring/2027") -> Any:
    return read(path)[uid_of("herd-1", name)]


def herd_entries() -> tuple[CalendarEntry, ...]:
    rows: list[Record] = []
    for tag, (due, felt) in enumerate(((60, 2.5), (95, 2.0), (95, 3.5), (130, 2.5))):
        rows += [one := cow(f"05{tag}", due, season="spring"), score(one, -40, felt), score(one, -2, felt)]
    rows += [ai := cow("Ä 900"), service(ai, "AI", day(-200), sire_breed="Limousin", sire="K4; “big”, heavy")]
    a = assessed(rows)
    return (*entries_of_things(things_to_do(a)), *entries_of_calvings(a))


def test_that_both_parsers_read_what_was_written(tmp_path: Path) -> None:
    entries = herd_entries()
    path = write(tmp_path / "season.ics", *entries)
    by_icalendar = read(path)
    second = IcsCalendarStream.calendar_from_ics(path.read_text("utf-8"))
    by_second = {one.uid: one for one in (*second.todos, *second.events)}
    assert len(entries) > 10
    assert set(by_icalendar) == set(by_second) == {uid_of("herd-1", one.id) for one in entries}
    for one in entries:
        uid = uid_of("herd-1", one.id)
        first = by_icalendar[uid]
        when = "due" if one.to_do else "dtstart"
        assert first.decoded(when) == one.day == getattr(by_second[uid], when)
        assert str(first["summary"]) == one.line == by_second[uid].summary
        assert str(first["description"]) == one.text == by_second[uid].description
        assert first.decoded("dtstamp") == MADE == by_second[uid].dtstamp


def test_that_awkward_text_survives(tmp_path: Path) -> None:
    path = write(tmp_path / "a.ics", entry(text=AWKWARD, line="Ärger; ja, nein\\doch"))
    assert str(one_of(path)["description"]) == AWKWARD
    (todo,) = IcsCalendarStream.calendar_from_ics(path.read_text("utf-8")).todos
    assert todo.description == AWKWARD
    assert todo.summary == "Ärger; ja, nein\\doch"


def test_that_lines_keep_to_the_letter_of_rfc_5545(tmp_path: Path) -> None:
    raw = write(tmp_path / "a.ics", *herd_entries(), entry(text=AWKWARD)).read_bytes()
    assert raw.endswith(b"\r\n")
    lines = raw.split(b"\r\n")[:-1]
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert max(len(line) for line in lines) <= 75
    for line in lines:
        line.decode("utf-8")
        assert line
    unfolded = raw.replace(b"\r\n ", b"").decode("utf-8").split("\r\n")[:-1]
    opened: list[str] = []
    for line in unfolded:
        name, _, value = line.partition(":")
        assert name.split(";")[0].replace("-", "").isalnum(), line
        if name == "BEGIN":
            opened.append(value)
        if name == "END":
            assert opened.pop() == value
        if name.split(";")[0] in ("DUE", "DTSTART", "DTEND"):
            assert name.endswith(";VALUE=DATE")
            assert len(value) == 8
    assert not opened
    assert unfolded[:3] == ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//herdscore//calving season//EN"]


def test_that_a_second_export_updates_rather_than_doubles(tmp_path: Path) -> None:
    path = write(tmp_path / "a.ics", entry(), entry("b"))
    again = MADE + timedelta(days=1)
    write(path, entry(day=day(22)), entry("b"), made=again)
    found = read(path)
    assert len(found) == 2
    moved, same = one_of(path), one_of(path, "b")
    assert (moved.decoded("due"), int(moved["sequence"])) == (day(22), 1)
    assert moved.decoded("dtstamp") == again
    assert int(same["sequence"]) == 0
    write(path, entry(day=day(22), line="Other words"), entry("b"), made=again)
    assert int(one_of(path)["sequence"]) == 2


def test_that_what_is_no_longer_due_is_cancelled_and_stays_so(tmp_path: Path) -> None:
    path = write(tmp_path / "a.ics", entry(), entry("b"), entry("past", day=day(-3)))
    for made in (MADE, MADE + timedelta(days=2)):
        write(path, entry("b"), made=made)
        gone = one_of(path)
        assert (str(gone["status"]), int(gone["sequence"])) == ("CANCELLED", 1)
        assert gone.subcomponents == []
    assert uid_of("herd-1", "past") not in read(path)
    assert len(IcsCalendarStream.calendar_from_ics(path.read_text("utf-8")).todos) == 2
    # Due again, it comes back above the cancelled number.
    write(path, entry(), entry("b"))
    assert (str(one_of(path)["status"]), int(one_of(path)["sequence"])) == ("NEEDS-ACTION", 2)
    write(path, entry("b"), made=MADE + timedelta(days=40))
    assert uid_of("herd-1", "kit_check/spring/2027") not in read(path)


def test_that_a_thing_done_is_completed(tmp_path: Path) -> None:
    path = write(tmp_path / "a.ics", entry())
    write(path, entry(done=True))
    done = one_of(path)
    assert (str(done["status"]), int(done["sequence"])) == ("COMPLETED", 1)
    assert done.decoded("completed") == MADE
    assert not done.subcomponents


def test_that_everything_can_be_written_as_events(tmp_path: Path) -> None:
    path = write(tmp_path / "a.ics", entry(), entry("done", done=True), as_events=True)
    event = one_of(path)
    assert event.name == "VEVENT"
    assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1)
    assert str(event["transp"]) == "TRANSPARENT"
    assert str(one_of(path, "done")["summary"]) == "Done: Kit check"
    # And to-dos again, under the same names.
    write(path, entry(), entry("done", done=True))
    assert {one.name for one in read(path).values()} == {"VTODO"}
    assert int(one_of(path)["sequence"]) == 1


def test_that_an_alarm_comes_a_week_ahead_or_not_at_all(tmp_path: Path) -> None:
    (alarm,) = one_of(write(tmp_path / "a.ics", entry())).subcomponents
    assert alarm.decoded("trigger") == timedelta(days=-7)
    # A to-do has no start for the alarm to hang on.
    assert alarm["trigger"].params["related"] == "END"
    assert not one_of(write(tmp_path / "b.ics", entry(), alarm_days=None)).subcomponents
    calving = entry("calving", to_do=False)
    assert not one_of(write(tmp_path / "c.ics", calving), "calving").subcomponents


def test_that_names_belong_to_the_herd_and_the_moment_is_in_utc(tmp_path: Path) -> None:
    assert uid_of("herd-1", "a") != uid_of("herd-2", "a")
    assert uid_of("herd-1", "a") == uid_of("herd-1", "a")
    east = datetime(2027, 1, 12, 20, 30, tzinfo=timezone(timedelta(hours=2)))
    assert one_of(write(tmp_path / "a.ics", entry(), made=east)).decoded("dtstamp") == MADE


@pytest.mark.parametrize(
    "text", ["", "no calendar", "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//y//EN\r\nEND:VCALENDAR\r\n"]
)
def test_that_a_file_of_something_else_is_not_written_over(tmp_path: Path, text: str) -> None:
    path = tmp_path / "theirs.ics"
    path.write_text(text, "utf-8")
    with pytest.raises(Problem, match="calendar of something else"):
        write(path, entry())
    assert path.read_text("utf-8") == text.replace("\r\n", "\n")


def test_that_only_a_name_ending_in_ics_is_taken(tmp_path: Path) -> None:
    with pytest.raises(Problem, match=r"\.ics"):
        write(tmp_path / "season.txt", entry())


def test_that_calvings_tell_their_window_and_source() -> None:
    one = cow("0512")
    (made,) = entries_of_calvings(assessed([one, service(one, "AI", date(2026, 6, 1), sire_breed="Limousin")]))
    assert made.day == date(2027, 3, 17)
    assert made.line == "0512 calves, ± 6 days"
    assert made.text == "Between 5 Mar and 29 Mar, 95 in 100. AI 1 Jun 2026 with a Limousin."
    assert not made.to_do


def test_that_a_long_list_of_cows_is_cut_and_counted() -> None:
    rows: list[Record] = [cow(f"{at:03d}", 70) for at in range(50)]
    made = next(one for one in entries_of_things(things_to_do(assessed(rows))) if one.id.startswith("mineral_on"))
    assert made.line == "Dry-cow mineral on: 50 cows"
    assert made.text.endswith("039 and 10 more")
    assert replace(made, done=True).id == made.id
    assert TODAY < made.day
