"""Killing the process that scores a round, some moment after it has begun, and looking what is left."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

from herdscore.domain.changes import adding
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Aside, Score
from herdscore.store.herd_file import HerdFile
from tests.journeys import keeps_round
from tests.journeys.keeps_round import LAPTOP, ROUND, SAVE, TAKE_BACK, aside_said, score_said, the_herd

ROOT = Path(__file__).parents[2]
Said = list[tuple[str, str]]


def begin(path: Path) -> None:
    """The herd file as it is before the round."""
    with HerdFile.create(path, laptop=LAPTOP) as made:
        made.apply(adding("herd read in", the_herd()), "Ann")


def score_until_killed(path: Path, chance: random.Random) -> Said:
    """What a scoring process said before it was killed at a moment drawn by lot."""
    command = [sys.executable, "-m", keeps_round.__name__, str(path), str(chance.randrange(1_000_000))]
    lines, after_s = chance.randint(1, 90), chance.uniform(0, 0.006)
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as process:
        assert process.stdout is not None
        said = [process.stdout.readline() for _ in range(lines)]
        until = time.perf_counter() + after_s
        while time.perf_counter() < until:  # so that the kill falls into every part of a save
            pass
        process.kill()
        said += process.stdout.readlines()
    assert process.returncode != 0
    whole = [line.rstrip("\n") for line in said if line.endswith("\n")]
    assert whole[0] == "ready\t"
    return [(what, which) for what, _, which in (line.partition("\t") for line in whole[1:])]


def expected(said: Said) -> tuple[set[str], tuple[str, str] | None]:
    """What must be in the file, and what was being written when the process died."""
    there: set[str] = set()
    under_way: tuple[str, str] | None = None
    for what, which in said:
        under_way = (what, which) if what in (SAVE[0], TAKE_BACK[0]) else None
        if what == SAVE[1]:
            there.add(which)
        elif what == TAKE_BACK[1]:
            there.discard(which)
    return there, under_way


def found(herd: Snapshot) -> set[str]:
    """Every score in the file, in the words in which it was said."""
    scores = [score_said(one) for one in herd.records("scores") if isinstance(one, Score)]
    return {*scores, *(aside_said(one) for one in herd.records("asides") if isinstance(one, Aside))}


def look(path: Path, said: Said) -> int:
    """Check the file a killed process left; answers how many scores were said to be saved and are there."""
    must, under_way = expected(said)
    allowed = [must]
    if under_way is not None:  # cut off: it may have got to the disk before it could be said, whole or not at all
        what, which = under_way
        allowed.append(must | {which} if what == SAVE[0] else must - {which})
    with closing(sqlite3.connect(path)) as link:
        assert link.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert link.execute("PRAGMA foreign_key_check").fetchall() == []
    with HerdFile.open(path, laptop=LAPTOP) as opened:
        assert not opened.read_only
        herd = opened.read()
        assert found(herd) in allowed
        writes = sum(what in (SAVE[1], TAKE_BACK[1]) for what, _ in said)
        assert opened.revision - 1 - writes in (0, 1)
        as_left = herd.all_records()
        opened.rebuild()
        assert opened.read().all_records() == as_left
    assert [file.name for file in path.parent.iterdir()] == [path.name]
    assert ROUND.id in herd.rounds.id
    return len(must)
