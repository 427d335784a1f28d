"""The sums of the command line without a window: reading a herd, the flag list, packing and unpacking."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from herdscore import shipped
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.changes import adding
from herdscore.domain.herd import Snapshot
from herdscore.domain.listing import ACT, FLAGGED_LISTS, HAND, MISSING, NOTHING, flag_lists
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.rulebook import Rulebook
from herdscore.errors import Problem

if TYPE_CHECKING:
    from herdscore.exchange.drafts import RowProblem

DONE, PROBLEMS, WRONG_USE = 0, 1, 2
"""Exit codes: done; the input has problems, all listed; wrong use or nothing readable."""

HERD_FILE = ".herd"
_TITLES = {ACT: "To act on now", HAND: "Time in hand", NOTHING: "Nothing new", MISSING: "To find out"}


@dataclass(frozen=True)
class ReadHerd:
    """A herd as the command line reads it, under its own settings, and what was wrong with it."""

    snapshot: Snapshot
    rulebook: Rulebook
    name: str
    today: date
    problems: tuple[str, ...]
    noted: tuple[str, ...]


def read(path: Path, on: date | None, computer_day: date) -> ReadHerd:
    """Read a .herd file, a workbook or a folder of .csv; `on` beats the herd's own day, which beats the computer's."""
    rulebook = Rulebook.from_tables(shipped.rule_tables())
    if path.suffix.lower() == HERD_FILE:
        from herdscore.store.herd_file import HerdFile

        with HerdFile.open(path, read_only=True) as file:
            snapshot = file.read()
        problems: tuple[str, ...] = ()
        noted: tuple[str, ...] = ()
    else:
        from herdscore.exchange.drafts import NOTE
        from herdscore.exchange.herd_in import read_herd

        draft = read_herd(path, on or computer_day, rulebook.sheet, known_settings=rulebook.known_settings)
        snapshot = draft.snapshot()
        # Nobody answers here: a question left open is a problem.
        problems = tuple(question.text for question in draft.questions)
        problems += tuple(_line(fault) for fault in draft.problems if fault.severity != NOTE)
        noted = tuple(_line(fault) for fault in draft.problems if fault.severity == NOTE)
    own, faults = rulebook.with_settings(snapshot.setting)
    problems += tuple(f"Settings: {fault}" for fault in faults)
    name = own.herd_name or path.stem
    return ReadHerd(snapshot, own, name, on or own.own_day or computer_day, problems, noted)


def flags(path: Path, on: date | None, out: Path | None, computer_day: date) -> int:
    """Print the flag list of a herd, and write it when a file is named."""
    herd = read(path, on, computer_day)
    assessment = assess(herd.snapshot, herd.rulebook, herd.today)
    print(said(assessment, herd.name))
    if out is not None:
        from herdscore.exchange.flag_sheets import flag_list
        from herdscore.exchange.lists_out import write_list

        write_list(out, flag_list(assessment, herd.name))
        print(f"\nWritten: {out}")
    return _told(herd)


def pack(path: Path, out: Path, computer_day: date) -> int:
    """Turn a workbook or folder into a .herd file, or a .herd file into a workbook or folder."""
    to_herd = out.suffix.lower() == HERD_FILE
    if to_herd == (path.suffix.lower() == HERD_FILE):
        raise Problem(
            f"{path.name} to {out.name} is no packing.",
            "One of the two must be a .herd file, the other a workbook or a folder.",
            "Example: herdscore pack myherd.xlsx myherd.herd",
        )
    if out.exists():
        raise Problem(
            f"{out} is there already.", "Nothing was written over it.", "Choose another name or move it away."
        )
    herd = read(path, None, computer_day)
    if herd.problems:
        _told(herd)
        print(f"Nothing was written to {out}.")
        return PROBLEMS
    if to_herd:
        from herdscore.store.herd_file import HerdFile
        from herdscore.store.laptop import this_laptop

        with HerdFile.create(out, laptop=this_laptop()) as file:
            file.apply(adding("herd read in", herd.snapshot.all_records()), who="")
    else:
        from herdscore.exchange.herd_out import write_herd

        write_herd(herd.snapshot, out)
    print(f"Written: {out} ({_cows(len(herd.snapshot.cows))}, {len(herd.snapshot.scores)} scores)")
    return _told(herd)


def said(assessment: Assessment, name: str) -> str:
    """The flag list as text for a terminal: the four lists with their cows, and how many need nothing."""
    lists = flag_lists(assessment)
    lines = [f"{name} on {say_day(assessment.today)} {assessment.today.year}: {_cows(len(lists.rows))}"]
    for key in (*FLAGGED_LISTS, MISSING):
        places = lists.on(key)
        lines += ["", f"{_TITLES[key]}: {len(places)}"]
        lines += [f"  {line}" for line in _table(assessment, [lists.rows[i] for i in places])]
    quiet = len(lists.rows) - len(lists.on(*FLAGGED_LISTS, MISSING))
    lines += ["", f"Nothing to do: {quiet}", "", assessment.rulebook.phrases["caution"]]
    return "\n".join(lines)


def _table(assessment: Assessment, rows: list[tuple[object, ...]]) -> list[str]:
    """One line a cow: tag, group, date, score now, projection, verdict, act-by, advice."""
    cells = []
    for row in rows:
        tag, group, when, now, projected, target, verdict, by, advice = (
            row[i] for i in (0, 2, 4, 9, 10, 13, 17, 20, 21)
        )
        calves = f"calves {say_day(when, assessment.today)}" if isinstance(when, date) else "no date"
        heading = f"{_score(now)} now"
        if projected is not None:
            heading += f", {say_number(float(str(projected)), 1)} for {target}"
        due = f"by {say_day(by, assessment.today)}" if isinstance(by, date) else ""
        cells.append((str(tag), str(group or ""), calves, heading, str(verdict), due, str(advice)))
    widths = [max((len(row[i]) for row in cells), default=0) for i in range(6)]
    return ["  ".join([*(row[i].ljust(widths[i]) for i in range(6)), row[6]]).rstrip() for row in cells]


def _cows(count: int) -> str:
    return f"{count} cow{'' if count == 1 else 's'}"


def _score(value: object) -> str:
    return f"{value:.2f}" if isinstance(value, float) else "not known"


def _line(fault: RowProblem) -> str:
    """One fault of a sheet: where, what it says, what is wrong, how it comes in, what to do."""
    places = (fault.sheet, f"row {fault.row}" if fault.row else "", fault.column)
    where = ", ".join(place for place in places if place)
    says = f" “{fault.says}”" if fault.says else ""
    rest = "; ".join(part.rstrip(".") for part in (fault.wrong, fault.comes_in_as, fault.what_to_do) if part)
    return f"{where}:{says} {rest}."


def _told(herd: ReadHerd) -> int:
    """List everything that was wrong with the input, and give the exit code."""
    for title, lines in (("Noted", herd.noted), ("Problems", herd.problems)):
        if lines:
            print(f"\n{title}: {len(lines)}")
            print("\n".join(f"  {line}" for line in lines))
    return PROBLEMS if herd.problems else DONE
