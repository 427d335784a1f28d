from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from herdscore.domain.changes import Change, RowChange, adding, applied, editing, striking_out
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import TABLE_OF, Cow, Score, Setting, new_id
from herdscore.errors import Problem
from herdscore.store import database, journal, rows
from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import (
    EVERYTHING,
    HEIFER,
    LAPTOP,
    OTHER_LAPTOP,
    adding_all,
    as_set,
    rows_in,
    score,
)

MONDAY = datetime(2025, 12, 1, 9, 30, tzinfo=UTC)


def write_at(path: Path, change: Change, now: datetime, laptop: str = LAPTOP) -> None:
    """Save a change as a laptop whose clock says `now` would."""
    engine = database.engine(path)
    with database.writing(engine) as connection:
        rows.write(connection, change)
        journal.append(connection, change, who="Ann", laptop=laptop, now=now)
    engine.dispose()


def test_that_an_entry_says_what_was_changed_by_whom_and_when(herd: HerdFile) -> None:
    change = adding("score", [score("new")])
    earlier = datetime.now(UTC)
    herd.apply(change, "Bea")
    newest, oldest = herd.entries()
    assert newest.change() == change
    assert (newest.who, newest.kind, newest.laptop, newest.number) == ("Bea", "score", LAPTOP, 2)
    assert earlier <= newest.time <= datetime.now(UTC)
    assert UUID(newest.id).version == 4
    assert (oldest.who, oldest.number, oldest.change()) == ("Ann", 1, adding_all())
    assert herd.entries(limit=1) == [newest]


def test_that_an_undo_is_an_entry_of_its_own(herd: HerdFile) -> None:
    change = adding("score", [score("new")])
    herd.apply(change, "Ann")
    herd.apply(change.inverse(), "Ann")
    assert [entry.kind for entry in herd.entries()] == ["undo score", "score", "import"]


def test_that_each_laptop_counts_its_own_changes(herd: HerdFile, path: Path) -> None:
    herd.close()
    for laptop in (OTHER_LAPTOP, LAPTOP, OTHER_LAPTOP):
        with HerdFile.open(path, laptop=laptop) as opened:
            opened.apply(adding("score", [score(new_id())]), "Ann")
    with HerdFile.open(path, read_only=True) as opened:
        numbers = [(entry.laptop, entry.number) for entry in reversed(opened.entries())]
    assert numbers == [(LAPTOP, 1), (OTHER_LAPTOP, 1), (LAPTOP, 2), (OTHER_LAPTOP, 2)]


def test_that_a_slow_clock_does_not_put_a_change_before_those_it_was_made_upon(path: Path) -> None:
    with HerdFile.create(path, laptop=LAPTOP) as herd:
        new, better, best = (score("new", quarters=quarters) for quarters in (10, 11, 12))
        write_at(path, adding("import", EVERYTHING), MONDAY)
        write_at(path, adding("score", [new]), MONDAY + timedelta(hours=1))
        write_at(path, editing("edit", [(new, better)]), MONDAY - timedelta(days=400), OTHER_LAPTOP)
        write_at(path, editing("edit", [(better, best)]), MONDAY)
        times = [entry.time for entry in reversed(herd.entries())]
        assert times[:2] == [MONDAY, MONDAY + timedelta(hours=1)]
        assert times == sorted(set(times))
        assert times[-1] - times[1] < timedelta(seconds=1)
        before = rows_in(path)
        herd.rebuild()
        assert rows_in(path) == before


def test_that_tables_spoilt_by_other_hands_are_made_again_from_the_journal(herd: HerdFile, path: Path) -> None:
    before = rows_in(path)
    with closing(sqlite3.connect(path)) as link, link:
        link.execute("UPDATE scores SET score = 20")
        link.execute("DELETE FROM settings")
        link.execute("INSERT INTO cows (id, tag, status) VALUES ('stray', 'ZZ 999', 'in herd')")
    assert rows_in(path) != before
    herd.rebuild()
    assert rows_in(path) == before


def test_that_a_journal_with_a_gap_is_said_and_leaves_the_tables_alone(herd: HerdFile, path: Path) -> None:
    herd.apply(adding("score", [score("new")]), "Ann")
    herd.apply(editing("edit", [(score("new"), score("new", quarters=12))]), "Ann")
    before = rows_in(path)
    with closing(sqlite3.connect(path)) as link, link:
        link.execute("DELETE FROM journal WHERE kind = 'score'")
    with pytest.raises(Problem, match=r"The entry edit of .* does not follow"):
        herd.rebuild()
    assert rows_in(path) == before


def test_that_the_journals_of_two_copies_can_be_united(herd: HerdFile, path: Path) -> None:
    elsewhere = path.with_name("copy.herd")
    herd.copy_to(elsewhere)
    with HerdFile.open(elsewhere, laptop=OTHER_LAPTOP) as copy:
        for n in range(3):
            copy.apply(adding("score", [score(f"there {n}", HEIFER)]), "Bea")
            herd.apply(adding("score", [score(f"here {n}")]), "Ann")
    with closing(sqlite3.connect(path)) as link:
        link.execute("ATTACH ? AS other", (str(elsewhere),))
        with link:
            link.execute("INSERT INTO journal SELECT * FROM other.journal WHERE id NOT IN (SELECT id FROM journal)")
    herd.rebuild()
    assert len(herd.entries()) == 7
    names = {f"{where} {n}" for where in ("here", "there") for n in range(3)}
    assert set(herd.read().scores.id) == {"score-1", "score-2"} | names


QUARTERS = st.none() | st.integers(4, 20)
TEXTS = st.none() | st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), max_size=8)
DAYS = st.dates(date(1990, 1, 1), date(2060, 1, 1))


class AnyHistory(RuleBasedStateMachine):
    """A herd file under any series of changes, undos and redos, beside the same herd kept in memory."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "any.herd"
        self.file = HerdFile.create(self.path, laptop=LAPTOP)
        self.memory = Snapshot.from_records([])
        self.done: list[Change] = []
        self.undone: list[Change] = []

    def apply(self, change: Change) -> None:
        self.file.apply(change, "Ann")
        self.memory = applied(self.memory, change)

    def edit(self, change: Change) -> None:
        self.apply(change)
        self.done.append(change)
        self.undone.clear()

    @rule(tag=st.text("ZX 109", min_size=1, max_size=6), born=st.none() | DAYS, note=TEXTS, scores=st.integers(0, 3))
    def add_a_cow(self, tag: str, born: date | None, note: str | None, scores: int) -> None:
        cow = Cow(new_id(), tag, born=born, note=note)
        own = [Score(new_id(), cow.id, date(2025, 12, n + 1), score=10 + n) for n in range(scores)]
        self.edit(adding("cow", [*own, cow]))

    @precondition(lambda self: len(self.memory.cows))
    @rule(pick=st.integers(0), day=DAYS, quarters=QUARTERS, by_eye=st.none() | st.booleans(), note=TEXTS)
    def add_a_score(self, pick: int, day: date, quarters: int | None, by_eye: bool | None, note: str | None) -> None:
        cow_id = self.memory.cows.id[pick % len(self.memory.cows)]
        self.edit(adding("score", [Score(new_id(), cow_id, day, score=quarters, by_eye=by_eye, note=note)]))

    @precondition(lambda self: len(self.memory.cows))
    @rule(pick=st.integers(0), tag=st.text("ZX 109", min_size=1, max_size=6), calvings=st.none() | st.integers(0, 15))
    def edit_a_cow(self, pick: int, tag: str, calvings: int | None) -> None:
        cow = self.memory.record("cows", pick % len(self.memory.cows))
        assert isinstance(cow, Cow)
        self.edit(editing("edit", [(cow, replace(cow, tag=tag, calvings=calvings))]))

    @precondition(lambda self: len(self.memory.cows))
    @rule(pick=st.integers(0))
    def strike_out_a_cow_with_her_scores(self, pick: int) -> None:
        place = pick % len(self.memory.cows)
        scores = self.memory.records("scores", self.memory.of_cow("scores", place))
        self.edit(striking_out("strike out", [self.memory.record("cows", place), *scores]))

    @rule(name=st.sampled_from(["Grain", "Offset"]), value=st.text("0123.", min_size=1, max_size=4))
    def set_something(self, name: str, value: str) -> None:
        old = self.memory.setting.get(name)
        self.edit(Change("setting", (RowChange(None if old is None else Setting(name, old), Setting(name, value)),)))

    @precondition(lambda self: self.done)
    @rule()
    def undo(self) -> None:
        change = self.done.pop()
        self.apply(change.inverse())
        self.undone.append(change)

    @precondition(lambda self: self.undone)
    @rule()
    def redo(self) -> None:
        change = self.undone.pop()
        self.apply(change)
        self.done.append(change)

    @invariant()
    def the_file_holds_what_the_memory_holds(self) -> None:
        assert as_set(self.file.read()) == as_set(self.memory)

    def teardown(self) -> None:
        before = rows_in(self.path)
        self.file.rebuild()
        assert rows_in(self.path) == before
        self.file.close()
        self.folder.cleanup()


AnyHistory.TestCase.settings = settings(max_examples=15, stateful_step_count=15, deadline=None)
TestThatAnyHistoryCanBeRebuiltFromTheJournal = AnyHistory.TestCase


def test_that_every_kind_of_record_goes_through_the_journal_unchanged(herd: HerdFile, path: Path) -> None:
    assert {TABLE_OF[type(row)] for row in EVERYTHING} == set(rows_in(path))
    before = rows_in(path)
    assert all(before.values())
    herd.rebuild()
    assert rows_in(path) == before
