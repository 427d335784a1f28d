from __future__ import annotations

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import fields, replace
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy.exc import IntegrityError

from herdscore.domain.changes import Change, RowChange, adding, applied, editing, striking_out
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import TABLES, Cow, Score
from herdscore.errors import Problem
from herdscore.store import tables
from herdscore.store.database import connected
from herdscore.store.faults import Conflict
from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import (
    BRAMBLE,
    EVERYTHING,
    FIRST_SCORE,
    HEIFER,
    LAPTOP,
    OTHER_LAPTOP,
    adding_all,
    as_set,
    names_in,
    rows_in,
    score,
)


def test_that_every_field_of_a_record_has_its_column() -> None:
    for name, form in TABLES.items():
        assert [column.name for column in tables.RECORDS[name].columns] == [field.name for field in fields(form)]


def test_that_a_herd_comes_back_from_the_file_as_it_went_in(herd: HerdFile, path: Path) -> None:
    assert as_set(herd.read()) == set(EVERYTHING)
    herd.close()
    with HerdFile.open(path, laptop=LAPTOP) as opened:
        assert as_set(opened.read()) == set(EVERYTHING)
        assert not opened.read_only


def test_that_a_new_file_holds_an_empty_herd(path: Path) -> None:
    with HerdFile.create(path, laptop=LAPTOP) as herd:
        assert herd.read().all_records() == []
        assert (herd.revision, herd.entries()) == (0, [])


def test_that_dates_lie_in_the_file_as_iso_text_and_scores_as_whole_quarters(herd: HerdFile, path: Path) -> None:
    row = next(row for row in rows_in(path)["scores"] if row[0] == FIRST_SCORE.id)
    assert row == ("score-1", "cow-1", "2025-11-04", 11, 10, 11, 11, None, "Ann", None)


def test_that_the_file_after_a_change_is_the_herd_after_a_change(herd: HerdFile) -> None:
    before = herd.read()
    edited = replace(BRAMBLE, tag="ZZ 100 11", calving_date=None, twins=True)
    change = Change(
        "three things",
        (RowChange(BRAMBLE, edited), RowChange(None, score("new", HEIFER)), RowChange(FIRST_SCORE, None)),
    )
    herd.apply(change, "Ann")
    assert as_set(herd.read()) == as_set(applied(before, change))
    assert edited in as_set(herd.read())


def test_that_every_change_can_be_taken_back_and_made_again(herd: HerdFile, path: Path) -> None:
    changes = [
        adding("score", [score("new")]),
        editing("edit", [(HEIFER, replace(HEIFER, note="lame"))]),
        striking_out("strike out", [FIRST_SCORE]),
    ]
    for change in changes:
        before = rows_in(path)
        herd.apply(change, "Ann")
        after = rows_in(path)
        assert after != before
        herd.apply(change.inverse(), "Ann")
        assert rows_in(path) == before
        herd.apply(change, "Ann")
        assert rows_in(path) == after


def test_that_cows_and_what_belongs_to_them_come_and_go_in_one_change_in_any_order(path: Path) -> None:
    scores_first = Change("import", tuple(RowChange(None, row) for row in reversed(EVERYTHING)))
    with HerdFile.create(path, laptop=LAPTOP) as herd:
        for change in (scores_first, scores_first.inverse(), adding_all(), adding_all().inverse()):
            herd.apply(change, "Ann")
        assert herd.read().all_records() == []


def test_that_one_row_can_be_touched_twice_in_one_change(herd: HerdFile) -> None:
    new, better = score("new", quarters=10), score("new", quarters=12)
    change = Change("score", (RowChange(None, new), RowChange(new, better)))
    herd.apply(change, "Ann")
    assert better in as_set(herd.read())
    herd.apply(change.inverse(), "Ann")
    assert as_set(herd.read()) == set(EVERYTHING)


def test_that_a_change_of_many_rows_is_applied_in_full(path: Path) -> None:
    cows = [Cow(f"cow-{n}", f"ZZ {n}") for n in range(1200)]
    with HerdFile.create(path, laptop=LAPTOP) as herd:
        herd.apply(adding("import", cows), "Ann")
        herd.apply(editing("move", [(cow, replace(cow, group="Top yard")) for cow in cows]), "Ann")
        assert set(herd.read().cows.group) == {"Top yard"}
        assert len(herd.read().cows) == 1200


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (editing("edit", [(replace(HEIFER, note="old"), HEIFER)]), "cow ZZ 100 10 has been changed since"),
        (striking_out("strike out", [replace(FIRST_SCORE, score=12)]), "one of the scores has been changed since"),
        (striking_out("strike out", [score("never there")]), "one of the scores is not there any more"),
        (adding("score", [replace(FIRST_SCORE, day=date(2025, 12, 24))]), "one of the scores is there already"),
    ],
)
def test_that_a_change_made_for_another_state_of_the_herd_is_refused_in_words(
    herd: HerdFile, path: Path, change: Change, words: str
) -> None:
    before, entries, revision = rows_in(path), herd.entries(), herd.revision
    with pytest.raises(Conflict) as refused:
        herd.apply(change, "Ann")
    assert words in refused.value.why
    assert (rows_in(path), herd.entries(), herd.revision) == (before, entries, revision)


def test_that_no_row_of_a_change_is_saved_when_its_last_row_is_refused(herd: HerdFile, path: Path) -> None:
    before, entries, revision = rows_in(path), herd.entries(), herd.revision
    good = [score(f"new {n}") for n in range(20)]
    with pytest.raises(Conflict):
        herd.apply(adding("round", [*good, FIRST_SCORE]), "Ann")
    with pytest.raises(IntegrityError):  # a cow without a tag is a fault of the program, and raised as it is
        herd.apply(adding("round", [*good, replace(HEIFER, id="cow-3", tag=None)]), "Ann")
    assert (rows_in(path), herd.entries(), herd.revision) == (before, entries, revision)
    herd.apply(adding("round", good), "Ann")
    assert len(herd.read().scores) == 22


def test_that_a_score_of_a_cow_not_in_the_file_is_refused(herd: HerdFile, path: Path) -> None:
    before = rows_in(path)
    with pytest.raises(Conflict, match="names a cow who is not in the herd file"):
        herd.apply(adding("score", [Score("new", "no such cow", date(2025, 12, 1), score=11)]), "Ann")
    with pytest.raises(Conflict, match="takes out one who still has records"):
        herd.apply(striking_out("strike out", [BRAMBLE]), "Ann")
    assert rows_in(path) == before


def test_that_the_revision_counts_the_changes_and_shows_in_other_windows(herd: HerdFile, path: Path) -> None:
    with HerdFile.open(path, read_only=True) as looking:
        assert (herd.revision, looking.revision) == (1, 1)
        herd.apply(adding("score", [score("new")]), "Ann")
        assert (herd.revision, looking.revision) == (2, 2)
        assert as_set(looking.read()) == as_set(herd.read())


def test_that_a_window_opened_to_look_writes_nothing_and_says_why(herd: HerdFile, path: Path) -> None:
    before = path.read_bytes()
    with HerdFile.open(path, read_only=True) as looking:
        with pytest.raises(Problem, match="opened to look only"):
            looking.apply(adding("score", [score("new")]), "Bea")
        with pytest.raises(Problem, match="opened to look only"):
            looking.rebuild()
    assert path.read_bytes() == before


def test_that_nothing_lies_beside_the_file_once_it_is_closed(herd: HerdFile, path: Path) -> None:
    assert names_in(path.parent) == [path.name, f"{path.name}-lock"]
    herd.close()
    assert names_in(path.parent) == [path.name]


def test_that_two_jobs_can_save_at_once(herd: HerdFile) -> None:
    def save(job: int) -> None:
        for n in range(30):
            herd.apply(adding("score", [score(f"{job} {n}")]), "Ann")

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(save, range(2)))
    assert len(herd.read().scores) == 2 + 60
    assert sorted(entry.number for entry in herd.entries()) == list(range(1, 62))


def test_that_a_closed_file_takes_no_change(herd: HerdFile) -> None:
    herd.close()
    with pytest.raises(ValueError, match="closed"):
        herd.apply(adding("score", [score("new")]), "Ann")
    with pytest.raises(ValueError, match="closed"):
        herd.read()


def test_that_the_file_keeps_ties_fullest_sync_and_a_rollback_journal(herd: HerdFile, path: Path) -> None:
    with closing(connected(path)) as link:
        names = ("foreign_keys", "journal_mode", "synchronous")
        assert [link.execute(f"PRAGMA {name}").fetchone()[0] for name in names] == [1, "delete", 3]


def test_that_a_herd_saved_elsewhere_is_the_same_herd_with_its_journal(herd: HerdFile, path: Path) -> None:
    elsewhere = path.parent / "stick" / "copy.herd"
    elsewhere.parent.mkdir()
    elsewhere.write_bytes(b"an older file of that name")
    herd.copy_to(elsewhere)
    assert names_in(elsewhere.parent) == ["copy.herd"]
    with HerdFile.open(elsewhere, laptop=OTHER_LAPTOP) as copy:
        assert not copy.read_only
        assert as_set(copy.read()) == set(EVERYTHING)
        assert (copy.entries(), copy.herd_id, copy.revision) == (herd.entries(), herd.herd_id, 1)
        copy.apply(adding("score", [score("new")]), "Bea")
    assert as_set(herd.read()) == set(EVERYTHING)


def test_that_a_herd_is_not_saved_over_one_that_is_open_nor_over_itself(herd: HerdFile, path: Path) -> None:
    with HerdFile.create(path.with_name("other.herd"), laptop=LAPTOP) as other:
        with pytest.raises(Problem, match="open in another window"):
            herd.copy_to(other.path)
        assert other.read().all_records() == []
    with pytest.raises(Problem, match="the file already open"):
        herd.copy_to(path)


def test_that_what_a_crash_left_of_an_older_file_does_not_get_into_the_copy(herd: HerdFile, path: Path) -> None:
    target = path.with_name("copy.herd")
    crashed = target.with_name("copy.herd-journal")
    herd.copy_to(target)
    with closing(sqlite3.connect(target, isolation_level=None)) as link:
        link.execute("PRAGMA cache_size = 1")  # so that the half-done change is on the disk, as in a crash
        link.execute("BEGIN IMMEDIATE")
        for name in TABLES:
            link.execute(f'DELETE FROM "{name}"')
        half_done = crashed.read_bytes()
    herd.apply(adding("round", [score(f"new {n}") for n in range(200)]), "Ann")
    crashed.write_bytes(half_done)
    herd.copy_to(target)
    assert not crashed.exists()
    assert rows_in(target) == rows_in(path)


def test_that_making_a_file_never_writes_over_one(herd: HerdFile, path: Path) -> None:
    herd.close()
    before = path.read_bytes()
    with pytest.raises(Problem, match="already"):
        HerdFile.create(path, laptop=LAPTOP)
    assert path.read_bytes() == before
    assert names_in(path.parent) == [path.name]


def test_that_the_order_of_what_is_read_does_not_depend_on_its_history(herd: HerdFile) -> None:
    twins = [replace(EVERYTHING[6], id=name) for name in ("twin a", "twin b")]
    herd.apply(adding("calving", reversed(twins)), "Ann")
    first = herd.read().records("calvings")
    for twin in twins:
        herd.apply(striking_out("strike out", [twin]), "Ann")
        herd.apply(adding("calving", [twin]), "Ann")
    assert herd.read().records("calvings") == first


def test_that_reading_gives_the_columns_a_snapshot_of_records_has(herd: HerdFile) -> None:
    made = Snapshot.from_records(sorted(EVERYTHING, key=lambda row: row.id))
    read = herd.read()
    for name in TABLES:
        for field in fields(getattr(made, name)):
            ours, theirs = getattr(getattr(read, name), field.name), getattr(getattr(made, name), field.name)
            assert ours.dtype == theirs.dtype
            assert [str(value) for value in ours] == [str(value) for value in theirs], (name, field.name)
