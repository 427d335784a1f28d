"""Random whole herds as a farm could have them, and their comparison apart from identities."""

from __future__ import annotations

from dataclasses import fields
from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

from herdscore import shipped
from herdscore.domain import records as r
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Record
from herdscore.domain.rulebook import Rulebook

TODAY = date(2026, 11, 25)
LIMITS = Rulebook.from_tables(shipped.rule_tables()).sheet

_letters = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cn", "Co"))
_words = st.text(_letters, min_size=1, max_size=12).map(str.strip).filter(bool)
_formulas = st.sampled_from(
    ["=1+1", "+44 tail", "-0.25", "@home", "'=quoted", "''", "#REF!", "Err:502", '"a", "b"; c', "007", "1,5"]
)
texts = _words | _formulas | st.just("two\nlines")
_maybe_text = st.none() | texts
_past = st.dates(date(1990, 1, 1), TODAY)
_days = st.dates(date(1990, 1, 1), TODAY + timedelta(days=730))
_yes = st.none() | st.booleans()
_quarters = st.none() | st.integers(4, 20)
_plain_name = st.text("abcdefghij", min_size=1, max_size=5)
_GROUPS = ("North park", "=Low haugh", "Steading 2")
_SCORERS = (None, "R. Fell", "+J")
KNOWN_SETTINGS = ("Lead (days)", "Target, spring")


def _none_or(values: tuple[str, ...]) -> st.SearchStrategy[str | None]:
    return st.none() | st.sampled_from(values)


def _amount(low: float, high: float) -> st.SearchStrategy[float | None]:
    return st.none() | st.floats(low, high)


@st.composite
def herds(draw: st.DrawFn) -> Snapshot:
    """A herd of 1 to 5 cows with rows in every table."""
    tags = draw(st.lists(texts, min_size=1, max_size=5, unique_by=lambda tag: "".join(tag.split()).casefold()))
    rows: list[Record] = []
    for number, tag in enumerate(tags):
        cow = draw(_cow(tag, number))
        moves = draw(st.lists(st.tuples(_past, st.sampled_from(_GROUPS)), max_size=2, unique_by=lambda move: move[0]))
        if moves:
            cow = r.Cow(**{**_values(cow), "group": max(moves)[1]})
        rows.append(cow)
        rows += [r.Move(r.new_id(), cow.id, day, group) for day, group in moves]
        rows += draw(_scores(cow.id))
        rows += draw(st.lists(_service(cow.id), max_size=2, unique_by=lambda row: (row.kind, row.day)))
        rows += draw(st.lists(_calving(cow.id), max_size=2, unique_by=lambda row: row.calf_tag))
        weighed = draw(st.lists(st.tuples(_past, st.floats(50, 2000)), max_size=2, unique=True))
        rows += [r.Weight(r.new_id(), cow.id, day, weight) for day, weight in weighed]
    return Snapshot.from_records([*rows, *draw(_of_the_herd())])


def _values(row: Record) -> dict[str, Any]:
    return {f.name: getattr(row, f.name) for f in fields(row)}


def _cow(tag: str, number: int) -> st.SearchStrategy[r.Cow]:
    eids = st.integers(0, 2**38 - 100).map(lambda low: f"{999 if number % 2 else 56:03d}{low + number:012d}")
    return st.builds(
        r.Cow,
        id=st.builds(r.new_id),
        tag=st.just(tag),
        management_no=_maybe_text,
        eid=st.none() | eids.map(lambda eid: f"{number:03d}{eid[3:]}"),
        name=_maybe_text,
        breed=_maybe_text,
        born=st.none() | _past,
        calvings=st.none() | st.integers(0, 20),
        season=_none_or(r.BLOCKS),
        group=_none_or(_GROUPS),
        calving_date=st.none() | _days,
        date_from=_none_or(r.DATE_SOURCES),
        twins=_yes,
        vet_plan=_yes,
        status=st.sampled_from(r.STATUSES),
        note=_maybe_text,
    )


@st.composite
def _scores(draw: st.DrawFn, cow_id: str) -> list[Record]:
    keys = st.tuples(_past, st.sampled_from(_SCORERS))
    rows: list[Record] = []
    for day, scorer in draw(st.lists(keys, max_size=4, unique=True)):
        sites = draw(st.tuples(_quarters, _quarters, _quarters))
        felt = any(site is not None for site in sites)
        score = None if felt else draw(_quarters)
        note = draw(_maybe_text) if felt or score is not None else r.UNSAFE
        rows.append(r.Score(r.new_id(), cow_id, day, *sites, score, draw(_yes), scorer, note))
    return rows


def _service(cow_id: str) -> st.SearchStrategy[r.Service]:
    def with_last_day(row: r.Service, days: int | None) -> r.Service:
        until = None if days is None or row.kind != r.BULL_RUN else row.day + timedelta(days)
        return r.Service(**{**_values(row), "until": until})

    service = st.builds(
        r.Service,
        id=st.builds(r.new_id),
        cow_id=st.just(cow_id),
        kind=st.sampled_from(r.SERVICE_KINDS),
        day=_past,
        until=st.none(),
        sire_breed=_maybe_text,
        sire=_maybe_text,
        foetal_age=st.none() | st.integers(1, 280),
        result=_none_or(r.CHECK_RESULTS),
    )
    return st.builds(with_last_day, service, st.none() | st.integers(0, 120))


def _calving(cow_id: str) -> st.SearchStrategy[r.Calving]:
    return st.builds(
        r.Calving,
        id=st.builds(r.new_id),
        cow_id=st.just(cow_id),
        day=_past,
        ease=st.none() | st.integers(1, 5),
        calf_sex=_maybe_text,
        calf_weight=_amount(5, 150),
        calf_alive=_yes,
        calf_tag=_maybe_text,
        size=_maybe_text,
        presentation=_maybe_text,
        premature=_yes,
        note=_maybe_text,
    )


@st.composite
def _of_the_herd(draw: st.DrawFn) -> list[Record]:
    rows: list[Record] = []
    change = _amount(-1, 1)
    for group, day in draw(st.lists(st.tuples(st.sampled_from(_GROUPS), _days), max_size=3, unique=True)):
        kind, aim = draw(st.sampled_from(r.DIET_KINDS)), draw(_none_or(r.AIMS))
        rows.append(r.Diet(r.new_id(), group, day, kind, aim, draw(change)))
    events = st.tuples(st.sampled_from(r.BLOCKS), st.sampled_from(r.EVENTS), _days)
    rows += [r.CalendarDay(r.new_id(), *event) for event in draw(st.lists(events, max_size=3, unique=True))]
    for name in draw(st.lists(st.sampled_from(("Herd name", *KNOWN_SETTINGS)), max_size=3, unique=True)):
        rows.append(r.Setting(name, draw(texts)))
    for name in draw(st.lists(texts, max_size=2, unique_by=lambda feed: "".join(feed.split()).casefold())):
        amounts = [draw(_amount(0, 300)) for _ in range(8)]
        dm, me = draw(st.floats(1, 100)), draw(st.floats(0, 40))
        rows.append(r.Feed(r.new_id(), name, dm, me, draw(st.sampled_from(r.FEED_KINDS)), *amounts))
    return rows


def plain(snapshot: Snapshot) -> dict[str, list[dict[str, Any]]]:
    """Every record by table in canonical order, her tag in place of identities."""
    tag_of = dict(zip(snapshot.cows.id, snapshot.cows.tag, strict=True))
    tables: dict[str, list[dict[str, Any]]] = {}
    for table in r.TABLES:
        rows = [_values(row) for row in snapshot.records(table)]
        for row in rows:
            if "cow_id" in row:
                row["cow_id"] = tag_of[row["cow_id"]]
            if table != "settings":
                del row["id"]
        tables[table] = rows
    return tables
