"""The snapshot and the changes: nothing lost, nothing writable, every change with its way back."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings

from herdscore.domain.changes import Change, RowChange, adding, applied, editing, striking_out
from herdscore.domain.herd import Snapshot, tag_order
from herdscore.domain.records import Cow, Move, Record, Score, Setting, new_id
from tests.domain.test_safety import herds


def by_id(rows: list[Record]) -> list[Record]:
    return sorted(rows, key=lambda row: (type(row).__name__, row.id))


@given(herds())
@settings(max_examples=150)
def test_that_a_snapshot_gives_back_every_record(rows: list[Record]) -> None:
    assert by_id(Snapshot.from_records(rows).all_records()) == by_id(rows)


@given(herds())
@settings(max_examples=100)
def test_that_adding_everything_and_taking_it_back_leaves_nothing(rows: list[Record]) -> None:
    change = adding("herd read in", rows)
    full = applied(Snapshot.from_records([]), change)
    assert by_id(full.all_records()) == by_id(rows)
    assert applied(full, change.inverse()).all_records() == []
    assert Change.from_content(change.kind, change.content()) == change


def test_that_an_edit_and_its_inverse_meet() -> None:
    one = Cow(new_id(), "0007", calvings=2, born=date(2020, 4, 1))
    felt = Score(new_id(), one.id, date(2026, 11, 1), 10, 11, 10, scorer="AB")
    herd = Snapshot.from_records([one, felt])
    change = editing("score mended", [(felt, replace(felt, loin=8))])
    after = applied(herd, change)
    assert after.scores.loin[0] == 8
    assert applied(after, change.inverse()).all_records() == herd.all_records()
    assert change.inverse().inverse() == change
    assert len(applied(herd, striking_out("score struck out", [felt])).scores) == 0


def test_that_a_renamed_cow_keeps_her_scores() -> None:
    one, two = Cow(new_id(), "2"), Cow(new_id(), "10")
    felt = Score(new_id(), one.id, date(2026, 11, 1), 10)
    herd = Snapshot.from_records([one, two, felt])
    assert herd.cows.tag.tolist() == ["2", "10"]
    after = applied(herd, editing("tag mended", [(one, replace(one, tag="99"))]))
    assert after.cows.tag.tolist() == ["10", "99"]
    assert after.scores.cow[0] == 1


def test_that_columns_cannot_be_written() -> None:
    herd = Snapshot.from_records([Cow(new_id(), "1")])
    with pytest.raises(ValueError, match="read-only"):
        herd.cows.tag[0] = "2"


def test_that_a_row_change_needs_one_record() -> None:
    one = Cow(new_id(), "1")
    with pytest.raises(ValueError, match="needs a record"):
        RowChange(None, None)
    with pytest.raises(ValueError, match="not the same record"):
        RowChange(one, Cow(new_id(), "1"))
    with pytest.raises(ValueError, match="not the same record"):
        RowChange(one, Setting(one.id, "x"))


def test_that_tags_sort_as_people_read_them() -> None:
    tags = ["UK 10 2", "UK 9 10", "UK 9 9", "a1", "A2", "12", "3"]
    assert sorted(tags, key=tag_order) == ["3", "12", "a1", "A2", "UK 9 9", "UK 9 10", "UK 10 2"]


def test_that_rows_of_a_cow_are_found_by_day() -> None:
    one, two = Cow(new_id(), "1"), Cow(new_id(), "2")
    days = [date(2026, 3, 1), date(2026, 1, 1), date(2026, 2, 1)]
    herd = Snapshot.from_records([two, one, *[Move(new_id(), one.id, day, "Byre") for day in days]])
    rows = herd.of_cow("moves", 0)
    assert [herd.moves.day[row].item() for row in rows] == sorted(days)
    assert len(herd.of_cow("moves", 1)) == 0


def test_that_missing_is_missing_and_never_a_number() -> None:
    herd = Snapshot.from_records([Cow(new_id(), "1")])
    assert np.isnan(herd.cows.calvings[0])
    assert np.isnat(herd.cows.born[0])
    assert herd.cows.group[0] is None


def test_that_the_domain_loads_without_qt_or_pandas() -> None:
    names = sorted(path.stem for path in (Path(__file__).parents[2] / "herdscore" / "domain").glob("*.py"))
    imports = "; ".join(f"import herdscore.domain.{name}" for name in names if name != "__init__")
    heavy = "{'PySide6', 'pandas', 'openpyxl', 'sqlalchemy', 'scipy', 'pyqtgraph', 'python_calamine'}"
    code = f"import sys; {imports}; found = {heavy} & set(sys.modules); sys.exit(str(found) if found else 0)"
    root = Path(__file__).parents[2]
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
