"""Reading and writing beside pandas, in the same run on the same values."""

from __future__ import annotations

import gc
import random
import sys
import time
import warnings
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from herdscore import shipped
from herdscore.domain import records as r
from herdscore.domain.herd import Snapshot
from herdscore.domain.listing import FLAG_LIST
from herdscore.domain.rulebook import Rulebook
from herdscore.exchange.herd_in import read_herd
from herdscore.exchange.herd_out import write_herd
from herdscore.exchange.lists_out import ALL_COWS, FLAGGED, MISSING, FlagList, heading_of, write_list

pytestmark = pytest.mark.benchmark
TODAY = date(2026, 11, 25)
LIMITS = Rulebook.from_tables(shipped.rule_tables()).sheet


def _best_of_both(ours: Callable[[], object], theirs: Callable[[], object], times: int) -> tuple[float, float]:
    """Seconds of work by the processor, turn about, so that neither has the quieter machine."""
    seconds: tuple[list[float], list[float]] = ([], [])
    for _ in range(times):
        for work, spent in zip((ours, theirs), seconds, strict=True):
            gc.collect()
            begun = time.process_time()
            work()
            spent.append(time.process_time() - begun)
    return min(seconds[0]), min(seconds[1])


def _herd() -> Snapshot:
    """1,000 cows with 20 scores each."""
    chance = random.Random(7)
    rows: list[r.Record] = []
    for number in range(1000):
        cow = r.Cow(r.new_id(), f"UK 999{number:06d}", str(number), f"999{number:012d}", group=f"Pen {number % 9}")
        rows.append(cow)
        for score in range(20):
            day = TODAY - timedelta(days=17 * score + chance.randrange(9))
            loin = chance.randint(8, 14)
            note = "lame" if not score % 7 else None
            rows.append(r.Score(r.new_id(), cow.id, day, loin, loin, loin + 1, scorer="R. Fell", note=note))
    return Snapshot.from_records(rows)


def test_that_a_workbook_of_20_000_scores_is_read_three_times_as_fast_as_by_pandas(tmp_path: Path) -> None:
    import pandas as pd

    path = tmp_path / "herd.xlsx"
    write_herd(_herd(), path)

    def by_pandas() -> object:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return pd.read_excel(path, sheet_name=None, engine="openpyxl")

    ours, theirs = _best_of_both(lambda: read_herd(path, TODAY, LIMITS), by_pandas, 2)
    sys.stdout.write(
        f"\nread 20,000 scores: {ours:.2f} s, pandas and openpyxl {theirs:.2f} s, ratio {theirs / ours:.1f}\n"
    )
    assert theirs > 3 * ours


def test_that_a_list_of_10_000_cows_is_written_no_slower_than_by_pandas(tmp_path: Path) -> None:
    import pandas as pd

    chance = random.Random(7)
    kinds = {
        "text": lambda: f"ease up now {chance.randrange(99)}",
        "date": lambda: TODAY + timedelta(days=chance.randrange(150)),
        "whole": lambda: chance.randrange(150),
    }
    rows = [tuple(kinds.get(column.kind, chance.random)() for column in FLAG_LIST) for _ in range(10_000)]
    sheets = {FLAGGED: tuple(rows[:3000]), MISSING: tuple(rows[3000:4000]), ALL_COWS: tuple(rows)}
    hues = {name: [chance.choice(("thin", "fat", "ok", "hold")) for _ in part] for name, part in sheets.items()}
    flag_list = FlagList("Ellershaw", TODAY, FLAG_LIST, sheets, hues)
    frames = {name: pd.DataFrame(part, columns=[heading_of(c) for c in FLAG_LIST]) for name, part in sheets.items()}

    def by_pandas() -> None:
        with pd.ExcelWriter(tmp_path / "theirs.xlsx", engine="openpyxl") as writer:
            for name, frame in frames.items():
                frame.to_excel(writer, sheet_name=name, index=False)

    ours, theirs = _best_of_both(lambda: write_list(tmp_path / "ours.xlsx", flag_list), by_pandas, 3)
    sys.stdout.write(
        f"\nwrite 10,000 cows: {ours:.2f} s, pandas and openpyxl {theirs:.2f} s, ratio {theirs / ours:.2f}\n"
    )
    assert ours <= theirs
