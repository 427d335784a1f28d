"""The herd at one moment: a Snapshot of read-only columns, one table a kind of record.

Missing is NaN, NaT or None. `cow` columns are positions in the cows table.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from functools import cached_property
from typing import Any, get_type_hints

import numpy as np
import numpy.typing as npt

from herdscore.domain import records
from herdscore.domain.herd_columns import (
    COLUMNS,
    AsideColumns,
    BlindColumns,
    CalendarColumns,
    CalvingColumns,
    CareColumns,
    Columns,
    CowColumns,
    DietColumns,
    FeedColumns,
    FinishedColumns,
    ListedColumns,
    MoveColumns,
    Places,
    RationColumns,
    RoundColumns,
    ScoreColumns,
    ServiceColumns,
    SettingColumns,
    TickColumns,
    WeightColumns,
)
from herdscore.domain.records import TABLES, Record

Values = Sequence[Any] | npt.NDArray[Any]
_KINDS: dict[str, dict[str, str]] = {}
for _name, _record in TABLES.items():
    _hints = get_type_hints(_record)
    _KINDS[_name] = {
        f.name: ("day" if date in _types else "text" if str in _types else "flag" if bool in _types else "number")
        for f in fields(_record)
        for _types in [getattr(_hints[f.name], "__args__", (_hints[f.name],))]
    }
_FIRST = {"diets": "group", "rations": "group", "calendar": "block", "feeds": "feed", "asides": "tag"}
_WHOLE = {"calvings", "loin", "ribs", "tailhead", "score", "foetal_age", "ease"}


def tag_order(tag: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key by which tag 9 stands before tag 10, and letters before and after figures keep their place."""
    parts = re.findall(r"\d+|\D+", tag.lower())
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts)


@dataclass(frozen=True)
class Snapshot:
    """The whole herd at one moment, in canonical order: cows by tag, what belongs to a cow by cow and day."""

    cows: CowColumns
    scores: ScoreColumns
    services: ServiceColumns
    calvings: CalvingColumns
    weights: WeightColumns
    diets: DietColumns
    moves: MoveColumns
    calendar: CalendarColumns
    settings: SettingColumns
    feeds: FeedColumns
    rounds: RoundColumns
    listed: ListedColumns
    asides: AsideColumns
    blind_scores: BlindColumns
    ticks: TickColumns
    finished: FinishedColumns
    care: CareColumns
    rations: RationColumns

    @staticmethod
    def from_columns(lists: Mapping[str, Mapping[str, Values]]) -> Snapshot:
        """Build from lists or arrays by table and column; dates as date or ISO text. Rows of unknown cows: an error."""
        cow_lists = lists.get("cows", {})
        tags = cow_lists.get("tag", [])
        order = sorted(range(len(tags)), key=lambda i: tag_order(str(tags[i])))
        cows = _columns("cows", cow_lists, np.array(order, dtype=np.intp))
        assert isinstance(cows, CowColumns)
        place = {cow_id: i for i, cow_id in enumerate(cows.id)}
        tables: dict[str, Any] = {"cows": cows}
        for name in COLUMNS:
            if name != "cows":
                tables[name] = _columns(name, lists.get(name, {}), None, place)
        return Snapshot(**tables)

    def with_table(self, name: str, lists: Mapping[str, Values]) -> Snapshot:
        """The same herd with one table replaced, any but the cows."""
        made: dict[str, Any] = {name: _columns(name, lists, None, self.cow_place)}
        return replace(self, **made)

    @staticmethod
    def from_records(rows: Iterable[Record]) -> Snapshot:
        """Build from records of any kind, in any order."""
        lists: dict[str, dict[str, list[Any]]] = {
            name: {column: [] for column in kinds} for name, kinds in _KINDS.items()
        }
        for row in rows:
            for column, values in lists[records.TABLE_OF[type(row)]].items():
                values.append(getattr(row, column))
        return Snapshot.from_columns(lists)

    def record(self, table: str, place: int) -> Record:
        """The record in one row of a table."""
        return self.records(table, [place])[0]

    def records(self, table: str, places: Iterable[int] | None = None) -> list[Record]:
        """The records of a table, all or those in the rows given."""
        columns = getattr(self, table)
        rows = None if places is None else np.array(list(places), dtype=np.intp)
        lists = []
        for column, kind in _KINDS[table].items():
            values = getattr(columns, column)
            lists.append(_plain(values if rows is None else values[rows], kind, whole=column in _WHOLE))
        form = TABLES[table]
        return [form(*row) for row in zip(*lists, strict=True)]

    def all_records(self) -> list[Record]:
        """Every record of the herd, cows first."""
        return [row for table in COLUMNS for row in self.records(table)]

    @cached_property
    def cow_place(self) -> dict[str, int]:
        """Row of each cow by her identity."""
        return {cow_id: i for i, cow_id in enumerate(self.cows.id)}

    @cached_property
    def setting(self) -> dict[str, str]:
        """The herd's own settings by name."""
        return dict(zip(self.settings.id, self.settings.value, strict=True))

    def of_cow(self, table: str, cow: int) -> Places:
        """Rows of a table that belong to one cow, by day."""
        columns = getattr(self, table)
        low, high = np.searchsorted(columns.cow, [cow, cow + 1])
        return np.arange(low, high)


def _columns(name: str, lists: Mapping[str, Values], order: Places | None, place: Any = None) -> Columns:
    """Arrays of one table from plain lists, in canonical order, set read-only."""
    kinds = _KINDS[name]
    n = len(lists.get("id", ()))
    made: dict[str, Any] = {}
    for column, kind in kinds.items():
        given = lists.get(column, ())
        made[column] = _array(given if len(given) else [None] * n, kind)
    if "cow_id" in kinds:
        made["cow"] = np.array([place[cow_id] for cow_id in made["cow_id"]], dtype=np.intp)
    if order is None:
        order = _order(name, made, n)
    for column, values in made.items():
        made[column] = values[order]
        made[column].flags.writeable = False
    return COLUMNS[name](**made)


def _order(name: str, made: dict[str, Any], n: int) -> Places:
    if "cow" in made:
        # Of one cow by day, or by the round whose list she is on; of one day by scorer.
        keys: list[Any] = [made["day"] if "day" in made else made["round_id"].astype(str), made["cow"]]
        if "scorer" in made and n:
            keys.insert(0, np.array([s or "" for s in made["scorer"]]))
        return np.lexsort(keys)
    if name == "rounds":
        return np.lexsort([made["id"].astype(str), made["opened"]])
    first = {"diets": "group", "rations": "group", "calendar": "block", "feeds": "feed", "asides": "tag"}.get(
        name, "id"
    )
    texts = [made[first]] + ([made["event"]] if name == "calendar" else [])
    last = made["feed"] if name == "rations" else np.full(n, "")
    days = made["day"].astype(np.int64) if "day" in made else np.zeros(n)

    def key(i: int) -> tuple[object, ...]:
        return (*[str(text[i]).lower() for text in texts], days[i], str(last[i]).lower())

    return np.array(sorted(range(n), key=key), dtype=np.intp)


def _array(values: Values, kind: str) -> npt.NDArray[Any]:
    if kind == "text":
        made = np.empty(len(values), dtype=object)
        made[:] = values
        return made
    if kind == "day":
        return np.array(values, dtype="datetime64[D]")
    return np.array(values, dtype=np.float64)


def _plain(values: npt.NDArray[Any], kind: str, *, whole: bool) -> list[Any]:
    if kind in ("text", "day"):
        return list(values.tolist())
    read = bool if kind == "flag" else int if whole else float
    return [None if value != value else read(value) for value in values.tolist()]
