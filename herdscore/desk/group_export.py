"""What a spreadsheet of groups holds, put together from what is shown on the page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from herdscore.desk.jobs import Report
from herdscore.desk.saving import save_groups
from herdscore.domain.assess import Assessment
from herdscore.domain.grouping import Grouping
from herdscore.domain.groups import COW_LIST, GROUP_LIST, GroupFigures, Standing, cow_rows, group_rows


def sheet_writer(
    name: str,
    assessment: Assessment,
    where: Standing,
    grouping: Grouping,
    found: Sequence[GroupFigures],
    about: tuple[tuple[str, str], ...],
) -> Callable[[Path, Report], Path]:
    """A job's function that writes the groups of a herd called `name`."""
    from herdscore.exchange.group_sheets import GroupSheet  # late: nobody writes a sheet at the start

    sheet = GroupSheet(
        herd_name=name,
        day=assessment.today,
        columns=GROUP_LIST,
        rows=group_rows(assessment, found),
        cow_columns=COW_LIST,
        cow_rows=cow_rows(assessment, where, grouping),
        about=about,
    )
    return partial(save_groups, sheet)
