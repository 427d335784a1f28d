"""The open herd: one way to write, undo steps that are true, and assessments that never go back in time."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from herdscore import shipped
from herdscore.desk.edits import add_cow, edit_cow, keep_seasons, near_boundary, save_score, set_setting, strike_score
from herdscore.desk.first_look import make_file, open_file
from herdscore.desk.head_figures import figures
from herdscore.desk.jobs import Jobs
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.opening import open_at_once
from herdscore.desk.sources import Opener
from herdscore.domain.assess import assess
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import AUTUMN, SPRING, Cow, Record, Score, Setting, new_id
from herdscore.domain.rulebook import Rulebook
from herdscore.errors import Problem

TODAY = date(2026, 11, 25)
OPENER = Opener("laptop", TODAY, "Ann")
CLOCK: Callable[[], datetime] = lambda: datetime(2026, 11, 25, 14, 2)  # noqa: E731


def herd_of(cows: int = 4) -> list[Record]:
    """Spring calvers with two scores each."""
    made: list[Record] = []
    for n in range(cows):
        calves = date(2027, 2, 10) + timedelta(days=7 * n)
        made.append(Cow(f"c{n}", f"{n:04d}", calvings=3, group="Long field", calving_date=calves))
        for back in (60, 20):
            made.append(Score(f"s{n}.{back}", f"c{n}", TODAY - timedelta(days=back), loin=9, ribs=9, scorer="Ann"))
    return made


def tell_nobody(done: int, total: int, text: str) -> None: ...


@pytest.fixture
def jobs(qtbot: QtBot) -> Iterator[Jobs]:
    made = Jobs()
    yield made
    qtbot.waitUntil(lambda: made.running == 0)
    made.close()


@pytest.fixture
def herd(tmp_path: Path, jobs: Jobs) -> Iterator[OpenHerd]:
    path = tmp_path / "oakbank.herd"
    make_file(path, herd_of(), "oakbank.xlsx", OPENER, tell_nobody).file.close()
    made = open_at_once(path, jobs, OPENER, clock=CLOCK)
    yield made
    made.close()


def a_score(cow: str = "c1", **more: object) -> Score:
    return Score(new_id(), cow, TODAY, **({"loin": 8, "scorer": "Ann"} | more))  # type: ignore[arg-type]


def same(one: Snapshot, other: Snapshot) -> bool:
    return set(one.all_records()) == set(other.all_records())


def test_that_a_change_is_on_the_disk_before_anyone_is_told(herd: OpenHerd, qtbot: QtBot) -> None:
    on_disk: list[int] = []
    herd.changed.connect(lambda: on_disk.append(len(herd.file.read().scores)))
    with qtbot.waitSignals([herd.changed, herd.saved, herd.assessed], order="strict"):
        assert herd.push(save_score(herd.snapshot, a_score()), "score of 0001")
    assert on_disk == [9]
    assert herd.undo_stack.undoText() == "score of 0001"
    assert herd.file.entries(1)[0].who == "Ann"


def test_that_snapshot_and_file_hold_the_same_after_every_kind_of_step(herd: OpenHerd, qtbot: QtBot) -> None:
    cow = herd.snapshot.record("cows", 0)
    assert isinstance(cow, Cow)
    setting = set_setting(herd.snapshot, "Target, spring", "3")
    assert setting is not None
    steps = [
        save_score(herd.snapshot, a_score()),
        edit_cow(cow, replace(cow, group="Low yard")),
        add_cow(Cow("c9", "0009")),
        setting,
    ]
    for change in steps:
        assert herd.push(change, change.kind)
        assert same(herd.snapshot, herd.file.read())
    for _ in steps:
        assert herd.undo() != ""
        assert same(herd.snapshot, herd.file.read())
    for _ in steps:
        assert herd.redo() != ""
    assert same(herd.snapshot, herd.file.read())
    with qtbot.waitSignal(herd.assessed):
        pass
    assert herd.assessment.snapshot is herd.snapshot


def test_that_a_refused_change_leaves_no_step_and_no_trace(herd: OpenHerd, qtbot: QtBot) -> None:
    before = herd.snapshot
    with qtbot.waitSignal(herd.failed) as failed, qtbot.assertNotEmitted(herd.changed):
        assert not herd.push(strike_score(a_score()), "strike")  # a score that is not there
    assert failed.args is not None
    assert isinstance(failed.args[0], Problem)
    assert herd.unsaved is None  # the file is fine; it was the change that did not fit
    assert herd.undo_stack.count() == 0
    assert herd.snapshot is before


def test_that_an_undo_that_could_not_be_written_can_be_tried_again(herd: OpenHerd, qtbot: QtBot) -> None:
    assert herd.push(save_score(herd.snapshot, a_score()), "score")
    aside = herd.path.with_suffix(".aside")
    herd.path.rename(aside)
    herd.file._engine.dispose()  # as after a stick was pulled: the next write finds the file gone
    with qtbot.waitSignal(herd.failed):
        assert herd.undo() == ""
    assert herd.unsaved is not None
    qtbot.waitUntil(herd.undo_stack.canUndo)
    aside.rename(herd.path)
    assert herd.undo() == "score"
    assert herd.unsaved is None
    assert len(herd.file.read().scores) == 8


def test_that_only_the_newest_assessment_is_shown(herd: OpenHerd, qtbot: QtBot) -> None:
    seen: list[int] = []
    herd.assessed.connect(lambda made: seen.append(len(made.snapshot.scores)))
    for n in range(4):
        assert herd.push(save_score(herd.snapshot, a_score(f"c{n}")), "score")
    qtbot.waitUntil(lambda: bool(seen) and seen[-1] == 12)
    assert seen == [12]  # results of the three before came too late
    assert herd.assessment.snapshot is herd.snapshot


def test_that_a_preview_writes_nothing_and_says_what_the_change_would_mean(herd: OpenHerd, qtbot: QtBot) -> None:
    change = save_score(herd.snapshot, a_score(loin=4, ribs=4, tailhead=4))
    before = herd.file.revision
    seen = herd.preview(change)
    assert seen.sessions.last[1] == 1.0
    assert herd.file.revision == before
    with qtbot.waitSignal(herd.assessed):
        herd.push(change, "score")
    assert np.array_equal(seen.verdict, herd.assessment.verdict)


def test_that_the_same_scorer_on_the_same_day_replaces_and_another_does_not(herd: OpenHerd) -> None:
    first, again, other = a_score(loin=8), a_score(loin=10, scorer=" ann "), a_score(loin=12, scorer="Bo")
    for score in (first, again, other):
        assert herd.push(save_score(herd.snapshot, score), "score")
    of_today = [row for row in herd.snapshot.records("scores") if isinstance(row, Score) and row.day == TODAY]
    assert sorted(row.id for row in of_today) == sorted([again.id, other.id])
    assert herd.undo() != ""
    assert herd.undo() != ""
    assert first in herd.snapshot.records("scores")


def test_that_seasons_are_written_down_once_when_a_herd_is_made(tmp_path: Path) -> None:
    records: list[Record] = [
        Cow("far", "1", calvings=2, calving_date=date(2027, 3, 1)),
        Cow("autumn", "2", calvings=2, calving_date=date(2027, 9, 1)),
        Cow("near", "3", calvings=2, calving_date=date(2026, 12, 3), date_from="told"),
        Cow("told", "4", calvings=2, season=AUTUMN, calving_date=date(2027, 3, 1)),
        Cow("undated", "5", calvings=2),
    ]
    first = make_file(tmp_path / "a.herd", records, "a.xlsx", OPENER, tell_nobody)
    season = dict(zip(first.snapshot.cows.id, first.snapshot.cows.season, strict=True))
    assert season == {"far": SPRING, "autumn": AUTUMN, "near": None, "told": AUTUMN, "undated": None}
    assert first.seasons_kept == 2
    assert [first.snapshot.cows.id[place] for place in near_boundary(first.assessment)] == ["near"]
    assert [entry.kind for entry in first.file.entries()] == ["keep seasons", "read a.xlsx"]
    assert keep_seasons(first.assessment) is None
    first.file.close()
    again = open_file(tmp_path / "a.herd", OPENER, tell_nobody)
    assert again.seasons_kept == 0
    again.file.close()


def test_that_a_herd_that_could_not_be_made_leaves_no_file(tmp_path: Path) -> None:
    def stop_at_the_end(done: int, total: int, text: str) -> None:
        if done == 2:
            raise Problem("stopped")

    with pytest.raises(Problem, match="stopped"):
        make_file(tmp_path / "a.herd", herd_of(), "a.xlsx", OPENER, stop_at_the_end)
    assert list(tmp_path.iterdir()) == []


def test_that_a_sample_herd_lives_on_its_own_day(tmp_path: Path, jobs: Jobs) -> None:
    records = [*herd_of(), Setting("Own day", "2026-12-20")]
    make_file(tmp_path / "a.herd", records, "a", OPENER, tell_nobody).file.close()
    herd = open_at_once(tmp_path / "a.herd", jobs, OPENER, clock=CLOCK)
    assert herd.is_sample
    assert herd.today == date(2026, 12, 20)
    assert herd.can_write
    assert herd.assessment.today == date(2026, 12, 20)
    herd.close()


def test_that_a_day_given_on_opening_is_looked_at_only(tmp_path: Path, jobs: Jobs) -> None:
    make_file(tmp_path / "a.herd", herd_of(), "a", OPENER, tell_nobody).file.close()
    opener = replace(OPENER, on=date(2026, 12, 24))
    herd = open_at_once(tmp_path / "a.herd", jobs, opener, clock=CLOCK)
    assert herd.looking
    assert herd.assessment.today == date(2026, 12, 24)
    assert "another day" in herd.why_not
    herd.close()


def test_that_the_next_act_by_lies_after_today_and_names_its_day() -> None:
    rulebook = Rulebook.from_tables(shipped.rule_tables())
    assessment = assess(Snapshot.from_records(herd_of(30)), rulebook, TODAY)
    made = {one.key: one for one in figures(assessment, np.ones(len(assessment), dtype=bool))}
    ahead = assessment.reach.act_by[assessment.reach.act_by > 0]
    assert int(made["next"].number) == int(ahead.min())
    day = TODAY + timedelta(days=int(ahead.min()))
    assert made["next"].words.endswith(f"{day.day}\u00a0{day:%b}")


def test_that_no_figure_for_the_next_act_by_stands_where_there_is_none() -> None:
    rulebook = Rulebook.from_tables(shipped.rule_tables())
    assessment = assess(Snapshot.from_records(herd_of()), rulebook, TODAY)
    assert [one.key for one in figures(assessment, np.zeros(len(assessment), dtype=bool))] == ["missing", "act"]
