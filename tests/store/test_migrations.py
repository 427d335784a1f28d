from __future__ import annotations

import re
import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import Connection

from herdscore.domain.changes import adding
from herdscore.domain.records import Ration
from herdscore.errors import Problem
from herdscore.store import migrations
from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import EVERYTHING, LAPTOP, as_in, as_set, names_in, rows_in, score

OLD = Path(__file__).parent / "old"


def to_next(connection: Connection) -> None:
    """A step as a later version may need it: the cows' table made anew, with a column more."""
    made = connection.exec_driver_sql("SELECT sql FROM sqlite_master WHERE name = 'cows'").scalar_one()
    connection.exec_driver_sql(made.replace("TABLE cows", "TABLE new_cows"))
    connection.exec_driver_sql("INSERT INTO new_cows SELECT * FROM cows")
    connection.exec_driver_sql("DROP TABLE cows")
    connection.exec_driver_sql("ALTER TABLE new_cows RENAME TO cows")
    connection.exec_driver_sql("ALTER TABLE cows ADD COLUMN colour TEXT")


def to_nowhere(connection: Connection) -> None:
    """A step that breaks off half way."""
    connection.exec_driver_sql("DELETE FROM scores")
    connection.exec_driver_sql("ALTER TABLE no_such_table ADD COLUMN colour TEXT")


def to_orphans(connection: Connection) -> None:
    """A step that forgets what belongs to the cows."""
    connection.exec_driver_sql("DELETE FROM cows")


@pytest.fixture
def register(monkeypatch: pytest.MonkeyPatch) -> object:
    """Teach the program the format after its own."""

    def _register(step: migrations.Step) -> int:
        number = migrations.current() + 1
        monkeypatch.setitem(migrations.STEPS, number, step)
        return number

    return _register


def format_in(path: Path) -> int:
    with closing(sqlite3.connect(path)) as link:
        return int(link.execute("SELECT format FROM about").fetchone()[0])


def test_that_there_is_an_old_file_of_every_version_and_a_step_to_every_later_one() -> None:
    versions = range(1, migrations.current() + 1)
    assert names_in(OLD) == [f"version_{n}.herd" for n in versions]
    assert [format_in(OLD / f"version_{n}.herd") for n in versions] == list(versions)
    assert sorted(migrations.STEPS) == list(versions)[1:]


@pytest.mark.parametrize("old", sorted(OLD.iterdir()), ids=lambda old: old.stem)
def test_that_a_file_of_every_older_version_opens_and_can_be_changed(old: Path, tmp_path: Path) -> None:
    path = Path(shutil.copy(old, tmp_path))
    with HerdFile.open(path, laptop=LAPTOP) as herd:
        assert as_set(herd.read()) == as_in(format_in(old))
        ration = Ration("new ration", "Top yard", date(2025, 11, 20), "Hay", 4.5)
        herd.apply(adding("feeding", [score("new"), ration]), "Ann")
        before = rows_in(path)
        herd.rebuild()
        assert rows_in(path) == before


def test_that_an_older_file_is_copied_and_then_brought_up_to_date(herd: HerdFile, path: Path, register) -> None:
    herd.close()
    before, old = rows_in(path), migrations.current()
    new = register(to_next)
    with HerdFile.open(path, laptop=LAPTOP) as opened:
        kept = opened.kept_before_migration
        assert kept == path.with_name(f"Höhe 50% farm #2 {date.today().isoformat()} version {old}.herd")
        assert as_set(opened.read()) == set(EVERYTHING)
    assert format_in(path) == new
    assert [len(row) for row in rows_in(path)["cows"]] == [len(row) + 1 for row in before["cows"]]
    assert (format_in(kept), rows_in(kept)) == (old, before)
    assert names_in(path.parent) == sorted([path.name, kept.name])
    with HerdFile.open(path, laptop=LAPTOP) as again:
        assert again.kept_before_migration is None


@pytest.mark.parametrize("step", [to_nowhere, to_orphans])
def test_that_a_step_that_fails_leaves_the_file_as_it_was(herd: HerdFile, path: Path, register, step) -> None:
    herd.close()
    before, old = rows_in(path), migrations.current()
    register(step)
    with pytest.raises(Exception, match=r"no_such_table|rows without their cow"):
        HerdFile.open(path, laptop=LAPTOP)
    assert (format_in(path), rows_in(path)) == (old, before)
    assert f"{path.name}-lock" not in names_in(path.parent)


def test_that_each_copy_before_a_step_has_a_name_of_its_own(herd: HerdFile, path: Path, register) -> None:
    herd.close()
    register(to_nowhere)
    for _ in range(2):
        with pytest.raises(Exception, match="no_such_table"):
            HerdFile.open(path, laptop=LAPTOP)
    copies = [name for name in names_in(path.parent) if name != path.name]
    assert len(copies) == 2
    assert all(re.search(r" version \d+( \(2\))?\.herd$", name) for name in copies)


def test_that_an_older_file_opened_to_look_is_not_touched(herd: HerdFile, path: Path, register) -> None:
    herd.close()
    before = path.read_bytes()
    register(to_next)
    with pytest.raises(Problem, match="written by an older version"):
        HerdFile.open(path, read_only=True)
    assert path.read_bytes() == before
    assert names_in(path.parent) == [path.name]


def test_that_a_newer_file_is_refused_in_plain_words_and_not_touched(herd: HerdFile, path: Path) -> None:
    herd.close()
    with closing(sqlite3.connect(path)) as link, link:
        link.execute("UPDATE about SET format = 99")
        link.execute("DROP TABLE feeds")
    before = path.read_bytes()
    with pytest.raises(Problem) as refused:
        HerdFile.open(path, laptop=LAPTOP)
    assert "written by a newer version of this program (format 99" in refused.value.why
    assert "Install the newer version" in refused.value.what_to_do
    assert path.read_bytes() == before
    assert names_in(path.parent) == [path.name]
