"""One score saved through the store beside the same rows written by plain sqlite3; and a large herd read whole."""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from statistics import median
from time import perf_counter

import pytest

from herdscore.domain.changes import Change, adding
from herdscore.domain.records import Cow, Score, new_id
from herdscore.store.herd_file import HerdFile

pytestmark = pytest.mark.benchmark

LAPTOP = "0" * 32
COWS = [Cow(f"cow-{n}", f"ZZ {n}", born=date(2019, 4, 1), calvings=3, group=f"Pen {n % 8}") for n in range(1000)]
SCORES = [
    Score(new_id(), cow.id, date(2020, 1, 1) + timedelta(30 * n), loin=10, ribs=11, tailhead=11, score=11, scorer="Ann")
    for cow in COWS
    for n in range(20)
]
TIMES = 200


def one_score() -> Change:
    """What a score at the crush saves."""
    row = Score(new_id(), COWS[17].id, date(2025, 12, 1), loin=10, ribs=11, tailhead=11, score=11, scorer="Ann")
    return adding("score", [row])


def plainly(link: sqlite3.Connection, change: Change) -> None:
    """The same rows as `HerdFile.apply` writes, with nothing looked at."""
    row = change.rows[0].after
    assert isinstance(row, Score)
    link.execute("BEGIN IMMEDIATE")
    link.execute(
        "INSERT INTO scores (id, cow_id, day, loin, ribs, tailhead, score, by_eye, scorer, note) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (row.id, row.cow_id, row.day.isoformat(), row.loin, row.ribs, row.tailhead, row.score, None, row.scorer, None),
    )
    number = link.execute("SELECT max(number) FROM journal WHERE laptop = ?", (LAPTOP,)).fetchone()[0] + 1
    now = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    link.execute(
        "INSERT INTO journal (id, time, laptop, number, who, kind, content) VALUES (?, ?, ?, ?, ?, ?, ?)",
        (str(uuid.uuid4()), now, LAPTOP, number, "Ann", change.kind, change.content()),
    )
    link.execute("UPDATE about SET revision = revision + 1")
    link.execute("COMMIT")


def times_of(act: Callable[[Change], None], saved: list[float]) -> None:
    """Add the seconds one score takes."""
    change = one_score()
    start = perf_counter()
    act(change)
    saved.append(perf_counter() - start)


def test_that_a_score_is_saved_within_10_ms_and_a_herd_of_20_000_scores_read_within_100(tmp_path: Path) -> None:
    with HerdFile.create(tmp_path / "large.herd", laptop=LAPTOP) as herd:
        start = perf_counter()
        herd.apply(adding("import", [*COWS, *SCORES]), "Ann")
        imported = perf_counter() - start
        herd.copy_to(tmp_path / "plain.herd")
        with closing(sqlite3.connect(tmp_path / "plain.herd", isolation_level=None)) as link:
            for pragma in ("foreign_keys = ON", "journal_mode = DELETE", "synchronous = EXTRA"):
                link.execute(f"PRAGMA {pragma}")
            ours: list[float] = []
            plain: list[float] = []
            for _ in range(TIMES):  # turn by turn, so that a busy disk is busy for both
                times_of(lambda change: herd.apply(change, "Ann"), ours)
                times_of(lambda change: plainly(link, change), plain)
        read: list[float] = []
        for _ in range(15):
            start = perf_counter()
            herd.read()
            read.append(perf_counter() - start)
        start = perf_counter()
        herd.rebuild()
        rebuilt = perf_counter() - start
    ours_ms, plain_ms, read_ms = (1000 * median(values) for values in (ours, plain, read))
    print(
        f"\none score saved: {ours_ms:.2f} ms, worst {1000 * max(ours):.1f} (median of {TIMES}); "
        f"plain sqlite3 {plain_ms:.2f} ms; ratio {ours_ms / plain_ms:.2f}"
        f"\n1,000 cows and 20,000 scores: read {read_ms:.0f} ms, imported in one change {1000 * imported:.0f} ms, "
        f"rebuilt {1000 * rebuilt:.0f} ms"
    )
    assert ours_ms < 10
    assert read_ms < 100
