"""What the program writes besides the herd file: lists, workbooks, and the herd in another place. Run in jobs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from herdscore.desk.jobs import Report
from herdscore.errors import Problem

if TYPE_CHECKING:
    from herdscore.desk.reading import Draft
    from herdscore.domain.assess import Assessment
    from herdscore.domain.herd import Snapshot
    from herdscore.exchange.group_sheets import GroupSheet
    from herdscore.exchange.table_book import TableBook
    from herdscore.store.herd_file import HerdFile


def save_flag_list(assessment: Assessment, name: str, path: Path, report: Report) -> Path:
    """Write the flag list to .xlsx or .csv; answers where it is."""
    from herdscore.exchange.flag_sheets import flag_list  # late: spreadsheets take longer than the first page
    from herdscore.exchange.lists_out import write_list

    write_list(path, flag_list(assessment, name), report)
    return path


def save_groups(sheet: GroupSheet, path: Path, report: Report) -> Path:
    """Write the table of groups to .xlsx or .csv; answers where it is."""
    from herdscore.exchange.group_sheets import write_groups

    write_groups(path, sheet, report)
    return path


def save_tables(book: TableBook, path: Path, report: Report) -> Path:
    """Write tables to .xlsx, or the first of them to .csv; answers where it is."""
    from herdscore.exchange.table_book import write_tables

    write_tables(path, book, report)
    return path


def save_workbook(snapshot: Snapshot, path: Path, report: Report) -> Path:
    """Write the whole herd as a workbook; answers where it is."""
    from herdscore.exchange.herd_out import write_herd

    write_herd(snapshot, path, report)
    return path


def save_problems(draft: Draft, path: Path, report: Report) -> Path:
    """Write the list of problems of a sheet; answers where it is."""
    from herdscore.exchange.problems_out import problem_list_out

    report(0, 1, f"Writing {path.name}")
    problem_list_out(path, draft.problems)
    return path


def save_elsewhere(file: HerdFile, snapshot: Snapshot, path: Path, who: str, report: Report) -> Path:
    """Put the herd into another file: a copy with its journal, or all it holds when the first cannot be read."""
    from herdscore.desk.edits import add_all
    from herdscore.store.herd_file import HerdFile

    report(0, 1, f"Writing {path.name}")
    try:
        file.copy_to(path)
    except Problem as problem:
        if path.exists() or file.path.resolve() == path.resolve():
            raise
        try:
            made = HerdFile.create(path, laptop=file.laptop)
        except Problem:
            raise problem from None
        with made:
            try:
                made.apply(add_all(tuple(snapshot.all_records()), "saved elsewhere"), who)
            except Problem:
                path.unlink(missing_ok=True)
                raise
    return path
