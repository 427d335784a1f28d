"""What opening a herd gives before the window shows it: the file, the snapshot and the first assessment.

These functions run in a job; the database is brought along only then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from herdscore import shipped
from herdscore.desk.edits import add_all, keep_seasons
from herdscore.desk.jobs import Report
from herdscore.desk.sources import Opener
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.changes import applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Record
from herdscore.domain.rulebook import Rulebook
from herdscore.errors import Problem

if TYPE_CHECKING:
    from herdscore.store.herd_file import HerdFile


@dataclass(frozen=True, eq=False)
class FirstLook:
    """A herd file just opened; `base` are the rules before its own settings, `problems` what to tell at once.

    `is_new`: it was made just now, from a sheet.
    """

    file: HerdFile
    snapshot: Snapshot
    base: Rulebook
    rulebook: Rulebook
    assessment: Assessment
    computer_day: date
    problems: tuple[Problem, ...] = ()
    seasons_kept: int = 0
    is_new: bool = False


def open_file(path: Path, opener: Opener, report: Report) -> FirstLook:
    """Open a herd file and look at it."""
    from herdscore.store.herd_file import HerdFile  # late: SQLAlchemy takes longer than the first page

    report(0, 3, f"Opening {path.name}")
    file = HerdFile.open(path, laptop=opener.laptop)
    try:
        report(1, 3, f"Reading {path.name}")
        return _looked_at(file, opener, report)
    except BaseException:
        file.close()
        raise


def make_file(path: Path, records: Sequence[Record], source: str, opener: Opener, report: Report) -> FirstLook:
    """Make a herd file of a sheet's good rows as one change; when it fails or is cancelled no file stays."""
    from herdscore.store.herd_file import HerdFile

    report(0, 3, f"Making {path.name}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise Problem(
            "The herd file could not be made.", f"The folder {path.parent.name}: {fault.strerror}."
        ) from fault
    file = HerdFile.create(path, laptop=opener.laptop)
    try:
        file.apply(add_all(tuple(records), f"read {source}"), opener.who)
        report(1, 3, f"Reading {path.name}")
        return replace(_looked_at(file, opener, report), is_new=True)
    except BaseException:
        file.close()
        file.path.unlink(missing_ok=True)
        raise


def discard(first: FirstLook, *, made: bool) -> None:
    """Let go of a herd nobody waits for any more; one just made leaves no file."""
    first.file.close()
    if made:
        first.file.path.unlink(missing_ok=True)


def _looked_at(file: HerdFile, opener: Opener, report: Report) -> FirstLook:
    snapshot = file.read()
    base = Rulebook.from_tables(shipped.rule_tables())
    rulebook, problems = base.with_settings(snapshot.setting)
    report(2, 3, "Looking at every cow")
    today = rulebook.own_day or opener.computer_day
    assessment = assess(snapshot, rulebook, today)
    first = FirstLook(file, snapshot, base, rulebook, assessment, opener.computer_day, tuple(problems))
    first = _with_seasons(first, opener)
    if opener.on is not None and opener.on != today:
        first = replace(first, assessment=assess(first.snapshot, rulebook, opener.on))
    return first


def _with_seasons(first: FirstLook, opener: Opener) -> FirstLook:
    """Seasons set once from the projected dates, as one change, and kept from then on."""
    change = None if first.file.read_only else keep_seasons(first.assessment)
    if change is None:
        return first
    try:
        first.file.apply(change, opener.who)
    except Problem as problem:
        return replace(first, problems=(*first.problems, problem))
    snapshot = applied(first.snapshot, change)
    assessment = assess(snapshot, first.rulebook, first.assessment.today)
    return replace(first, snapshot=snapshot, assessment=assessment, seasons_kept=len(change.rows))
