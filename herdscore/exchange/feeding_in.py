"""Sheets Diets, Calendar, Settings, Feeds and Rations, and one spelling for every group and scorer."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from datetime import date

from herdscore.domain.records import CalendarDay, Diet, Feed, Ration, Setting, new_id
from herdscore.exchange.cells import Bad
from herdscore.exchange.dates_in import DateLimits, read_dates
from herdscore.exchange.rows_in import TableIn
from herdscore.exchange.tag_book import spelling_key
from herdscore.exchange.workbook_form import OWN_SETTINGS, plain_word

OWN_DAY = OWN_SETTINGS[0]
_DIET_FIELDS = ("group", "day", "kind", "aim", "expected_change", "plan_note")
_FEED_FIELDS = ("feed", "dm", "me", "kind", "cp", "price", "stock", "cu", "se", "i", "mg", "dose")


def read_settings(table: TableIn, known: Collection[str], days: DateLimits) -> tuple[list[Setting], date | None]:
    """The settings whose names are known, and the herd's own day if it has one."""
    names = {plain_word(name): name for name in (*OWN_SETTINGS, *known)}
    own_day: date | None = None
    for place in list(table.places()):
        name = names.get(plain_word(table.values["id"][place]))
        if name is None:
            table.keep_out(place, "id", "not a setting this program knows", "Check the name of the setting.")
            continue
        table.values["id"][place] = name
        if name == OWN_DAY:
            text = table.values["value"][place]
            day = read_dates([text], days, None).values[0]
            if isinstance(day, date):
                own_day = day
                table.values["value"][place] = day.isoformat()
            else:
                assert isinstance(day, Bad)
                table.keep_out(place, "value", day.wrong, "Write the day as YYYY-MM-DD.")
    _keep_later(table, lambda place: table.values["id"][place], "id", "same setting as")
    return [Setting(*row) for row in table.kept_values("id", "value")], own_day


def read_diets(table: TableIn) -> list[Diet]:
    """The diets by group; of two from one day the later row is kept."""
    values = table.values
    _keep_later(table, lambda place: (values["group"][place], values["day"][place]), "group", "same group and day as")
    return [Diet(new_id(), *row) for row in table.kept_values(*_DIET_FIELDS)]


def read_calendar(table: TableIn) -> list[CalendarDay]:
    """The dated events of the blocks."""
    values = table.values
    keys = ("block", "event", "day")
    _keep_later(table, lambda place: tuple(values[name][place] for name in keys), "event", "same event as")
    return [CalendarDay(new_id(), *row) for row in table.kept_values(*keys)]


def read_feeds(table: TableIn) -> list[Feed]:
    """The feeds; of two with one name the later row is kept."""
    _keep_later(table, lambda place: spelling_key(table.values["feed"][place]), "feed", "same feed as")
    return [Feed(new_id(), *row) for row in table.kept_values(*_FEED_FIELDS)]


def read_rations(table: TableIn, feeds: Collection[str]) -> list[Ration]:
    """Rations of groups; a feed that is not among the feeds is kept out, of two amounts the later row is kept."""
    values = table.values
    known = {spelling_key(name): name for name in feeds}
    for place in list(table.places()):
        name = known.get(spelling_key(values["feed"][place]))
        if name is None:
            table.keep_out(place, "feed", "not among the feeds", "Enter it on the sheet Feeds, or mend the name.")
            continue
        values["feed"][place] = name
    keys = ("group", "day", "feed")
    _keep_later(table, lambda place: tuple(values[name][place] for name in keys), "feed", "same group, day and feed as")
    return [Ration(new_id(), *row) for row in table.kept_values(*keys, "kg_fresh")]


def _keep_later(table: TableIn, key_of: Callable[[int], object], column: str, wrong: str) -> None:
    """Rows that say the same thing twice: the later one replaces the earlier, and is listed."""
    last: dict[object, int] = {}
    for place in list(table.places()):
        earlier = last.get(key_of(place))
        last[key_of(place)] = place
        if earlier is None:
            continue
        table.kept[earlier] = False
        row = table.row(earlier)
        if all(values[place] == values[earlier] for values in table.values.values()):
            table.note(place, column, f"the same as row {row}", "one row kept")
        else:
            table.report(
                place, column, f"{wrong} row {row}", f"this row replaces row {row}", "Strike the row that is wrong."
            )


def one_spelling(tables: Mapping[str, TableIn], field_name: str) -> None:
    """Groups or scorers that differ by case and blanks only take the first spelling met; each other one is noted."""
    first: dict[str, str] = {}
    told: set[str] = set()
    for name in ("cows", "moves", "diets", "rations", "scores"):
        table = tables.get(name)
        if table is None or field_name not in table.values:
            continue
        values = table.values[field_name]
        for place in table.places():
            value = values[place]
            if value is None:
                continue
            spelled = first.setdefault(spelling_key(value), value)
            if spelled != value:
                if value not in told:
                    table.note(place, field_name, f"also spelled {spelled}", f"{spelled}, here and in every row")
                    told.add(value)
                values[place] = spelled
