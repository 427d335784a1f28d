"""Sheets Services, Calvings, Weights and Moves, and what does not fit together between them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, timedelta

from herdscore.domain.records import AI, BULL_RUN, SCAN, SERVICE, Calving, Move, Service, Weight, new_id
from herdscore.domain.rule_forms import SheetLimits
from herdscore.exchange.cows_in import CowsIn
from herdscore.exchange.rows_in import TableIn

_SERVICE_FIELDS = ("cow_id", "kind", "day", "until", "sire_breed", "sire", "foetal_age", "result")
_CALVING_FIELDS = (
    *("cow_id", "day", "ease", "calf_sex", "calf_weight", "calf_alive"),
    *("calf_tag", "size", "presentation", "premature", "note"),
)


def read_services(table: TableIn, today: date) -> list[Service]:
    """Services and checks; the last day of a bull run may not come before its first, nor a check after today."""
    values = table.values
    for place in list(table.places()):
        kind, day, until = (values[name][place] for name in ("kind", "day", "until"))
        if day > today and kind != BULL_RUN:
            table.keep_out(place, "day", f"{kind} after today, {today.isoformat()}", "Check the date.")
            continue
        if until is not None and until < day:
            wrong = f"before the first day, {day.isoformat()}"
            table.report(place, "until", wrong, "last day left empty", "Check both days.")
            values["until"][place] = None
        elif until is not None and kind != BULL_RUN:
            table.note(place, "until", f"a last day with {kind}", "kept, not used")
        if values["foetal_age"][place] is not None and kind != SCAN:
            table.note(place, "foetal_age", f"a foetal age with {kind}", "kept, not used")
    _note_same(table, _SERVICE_FIELDS)
    return [Service(new_id(), *row) for row in table.kept_values(*_SERVICE_FIELDS)]


def read_calvings(table: TableIn, limits: SheetLimits) -> list[Calving]:
    """Calvings, one row a calf; twins are two rows of one date."""
    calves: dict[tuple[str, date], int] = defaultdict(int)
    for place in table.places():
        key = (table.values["cow_id"][place], table.values["day"][place])
        calves[key] += 1
        if calves[key] == limits.most_calves + 1:
            table.note(place, "day", f"more than {limits.most_calves} calves of one cow that day", "kept as it is")
    tagged = [place for place in table.places() if table.values["calf_tag"][place] is not None]
    _note_same(table, _CALVING_FIELDS, tagged)
    return [Calving(new_id(), *row) for row in table.kept_values(*_CALVING_FIELDS)]


def read_weights(table: TableIn) -> list[Weight]:
    """Weighings, kg."""
    fields = ("cow_id", "day", "weight")
    _note_same(table, fields)
    return [Weight(new_id(), *row) for row in table.kept_values(*fields)]


def read_moves(table: TableIn) -> list[Move]:
    """Moves between groups."""
    fields = ("cow_id", "day", "group")
    _note_same(table, fields)
    return [Move(new_id(), *row) for row in table.kept_values(*fields)]


def _note_same(table: TableIn, fields: Sequence[str], places: Sequence[int] | None = None) -> None:
    """Rows that are equal in every field are kept once, and noted."""
    first: dict[tuple[object, ...], int] = {}
    for place in list(table.places()) if places is None else places:
        key = tuple(table.values[name][place] for name in fields)
        if key in first:
            table.kept[place] = False
            table.note(place, "tag", f"the same as row {table.row(first[key])}", "one row kept")
        else:
            first[key] = place


def note_what_does_not_fit(
    found: CowsIn, services: TableIn | None, calvings: TableIn | None, limits: SheetLimits
) -> None:
    """Notes on dates that cannot all be true: nothing is changed."""
    shortest, youngest = timedelta(limits.shortest_pregnancy_days), timedelta(limits.youngest_mother_days)
    served = _days(services, (AI, SERVICE))
    cow_of = {cow.id: cow for cow in found.cows}
    calved: dict[str, set[date]] = defaultdict(set)
    if calvings is not None:
        for place in calvings.places():
            cow_id, day = calvings.values["cow_id"][place], calvings.values["day"][place]
            calved[cow_id].add(day)
            before = [on for on in served[cow_id] if timedelta(0) < day - on < shortest]
            if before:
                wrong = f"{(day - max(before)).days} days after her service on {max(before).isoformat()}"
                calvings.note(place, "day", wrong, "kept as it is", "Check both dates.")
            born = cow_of[cow_id].born
            if born is not None and day < born + youngest:
                calvings.note(place, "day", f"she was born on {born.isoformat()}", "kept as it is", "Check both dates.")
    if found.table is None:
        return
    for at, place in found.row_of.items():
        cow = found.cows[at]
        if cow.calvings is not None and cow.calvings < len(calved[cow.id]):
            wrong = f"sheet Calvings has {len(calved[cow.id])}"
            found.table.note(place, "calvings", wrong, "kept as it is", "Check the number.")
        before = [on for on in served[cow.id] if not calved[cow.id] or on > max(calved[cow.id])]
        if cow.calving_date is not None and before:
            days = (cow.calving_date - max(before)).days
            if days < shortest.days:
                wrong = f"{days} days after her service on {max(before).isoformat()}".replace(
                    "-", "−", 1 if days < 0 else 0
                )
                found.table.note(place, "calving_date", wrong, "kept as it is", "Check both dates.")


def _days(table: TableIn | None, kinds: Sequence[str]) -> dict[str, list[date]]:
    days: dict[str, list[date]] = defaultdict(list)
    if table is not None:
        for cow_id, kind, day in table.kept_values("cow_id", "kind", "day"):
            if kind in kinds:
                days[cow_id].append(day)
    return days
