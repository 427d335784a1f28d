"""A small invented herd with a row in every table, and the rows of a file as SQLite itself sees them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from herdscore.domain.changes import Change, adding
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    AI,
    IN_CALF,
    SCAN,
    SPRING,
    TABLES,
    TURNOUT,
    UP,
    WANTED,
    WINTER_FEED,
    Aside,
    BlindScore,
    CalendarDay,
    Calving,
    Care,
    Cow,
    Diet,
    Feed,
    Finished,
    Listed,
    Move,
    Ration,
    Record,
    Round,
    Score,
    Service,
    Setting,
    Tick,
    Weight,
)

LAPTOP = "0123456789abcdef0123456789abcdef"
OTHER_LAPTOP = "fedcba9876543210fedcba9876543210"

BRAMBLE = Cow(
    "cow-1",
    "ZZ 100 9",
    name="Bramble",
    breed="Aubrac",
    born=date(2018, 3, 9),
    calvings=4,
    season=SPRING,
    group="Top yard",
    calving_date=date(2026, 3, 20),
    twins=False,
    note="Quiet. 5 % “off” in December − watch",
)
HEIFER = Cow("cow-2", "ZZ 100 10", calvings=0, vet_plan=True)
FIRST_SCORE = Score("score-1", BRAMBLE.id, date(2025, 11, 4), loin=11, ribs=10, tailhead=11, score=11, scorer="Ann")

EVERYTHING: tuple[Record, ...] = (
    BRAMBLE,
    HEIFER,
    FIRST_SCORE,
    Score("score-2", HEIFER.id, date(2025, 11, 4), score=12, by_eye=True, note="by eye, in the dark"),
    Service("service-1", BRAMBLE.id, AI, date(2025, 6, 10), sire_breed="Angus"),
    Service("service-2", BRAMBLE.id, SCAN, date(2025, 8, 1), foetal_age=50, result=IN_CALF),
    Calving("calving-1", BRAMBLE.id, date(2025, 3, 18), ease=2, calf_weight=41.5, calf_alive=True),
    Weight("weight-1", HEIFER.id, date(2025, 10, 1), 512.25),
    Diet(
        "diet-1",
        "Top yard",
        date(2025, 11, 1),
        WINTER_FEED,
        UP,
        0.1,
        "plan of 1 Nov 2025: ease up, 14 of 20 in",
    ),
    Move("move-1", BRAMBLE.id, date(2025, 11, 1), "Top yard"),
    CalendarDay("calendar-1", SPRING, TURNOUT, date(2026, 4, 15)),
    Setting("Own day", "2025-11-20"),
    Feed("feed-1", "Hay", dm=85.0, me=8.8, kind="forage", cp=9.5),
    Round("round-1", "November round", date(2025, 11, 4), covers=WANTED, lean_pen="Top yard"),
    Listed("listed-1", BRAMBLE.id, "round-1", pen="Top yard"),
    Listed("listed-2", HEIFER.id, "round-1", skipped=True),
    Aside("aside-1", "ZZ 100 77", date(2025, 11, 4), loin=10, tailhead=11, scorer="Ann", note="feet"),
    BlindScore("blind-1", BRAMBLE.id, date(2025, 11, 5), "Ben", loin=11, ribs=10, tailhead=10),
    Tick("tick-1", BRAMBLE.id, "ease up", date(2025, 11, 5), done=date(2025, 11, 4)),
    Finished("kit/spring 2026/ropes", date(2026, 2, 20)),
    Ration("ration-1", "Top yard", date(2025, 11, 1), "Hay", 9.5),
    Care("care-1", "calving-1", "colostrum", "2025-03-21T04:40:00+00:00", 1.5),
)


def as_in(version: int) -> set[Record]:
    """The same herd as a file of an older version can hold it."""
    rows = set(EVERYTHING)
    if version < 2:
        rows = {replace(row, plan_note=None) if isinstance(row, Diet) else row for row in rows}
        rows -= {row for row in rows if isinstance(row, Ration)}
    return rows


def score(name: str, cow: Cow = BRAMBLE, quarters: int = 11, day: date = date(2025, 12, 1)) -> Score:
    """One more score."""
    return Score(name, cow.id, day, score=quarters)


def adding_all() -> Change:
    """The change that brings the whole herd in."""
    return adding("import", EVERYTHING)


def as_set(herd: Snapshot) -> set[Record]:
    """The records of a snapshot, whatever their order."""
    return set(herd.all_records())


def rows_in(path: Path, tables: Iterable[str] = TABLES) -> dict[str, list[tuple[Any, ...]]]:
    """What the tables hold, read past our own code."""
    with closing(sqlite3.connect(path)) as link:
        return {name: link.execute(f'SELECT * FROM "{name}" ORDER BY id').fetchall() for name in tables}


def names_in(folder: Path) -> list[str]:
    """Names of the files in a folder."""
    return sorted(file.name for file in folder.iterdir())
