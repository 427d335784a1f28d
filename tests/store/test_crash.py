from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from herdscore.store.herd_file import HerdFile
from tests.store import keeps_scoring
from tests.store.keeps_scoring import SCORES_A_ROUND
from tests.store.small_herd import LAPTOP, names_in

ROOT = Path(__file__).parents[2]


def kill_while_scoring(path: Path, after: int) -> list[str]:
    """Rounds a scoring process said it saved before it was killed, some moment after its n-th."""
    command = [sys.executable, "-m", keeps_scoring.__name__, str(path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as process:
        assert process.stdout is not None
        said = [process.stdout.readline() for _ in range(after)]
        process.kill()
        said += process.stdout.readlines()
    return [line.split()[1] for line in said if line.endswith("\n")]


@pytest.mark.parametrize("run", range(5))
def test_that_every_score_said_to_be_saved_is_there_after_a_kill(herd: HerdFile, path: Path, run: int) -> None:
    herd.close()
    saved = kill_while_scoring(path, random.randint(1, 40))
    with closing(sqlite3.connect(path)) as link:
        assert link.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert link.execute("PRAGMA foreign_key_check").fetchall() == []
    with HerdFile.open(path, laptop=LAPTOP) as opened:
        assert not opened.read_only
        rounds = Counter(name.split()[0] for name in opened.read().scores.id if " " in name)
        assert len(saved) >= 1
        assert set(saved) <= set(rounds)
        assert len(rounds) - len(saved) in (0, 1)  # the one cut off may have been saved before it could be said
        assert set(rounds.values()) == {SCORES_A_ROUND}
        assert len(opened.entries()) == 1 + len(rounds) == opened.revision
        as_left = opened.read().all_records()
        opened.rebuild()
        assert opened.read().all_records() == as_left
    assert names_in(path.parent) == [path.name]
