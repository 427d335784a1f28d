"""The table of groups as it is written: the figures on the page, true numbers and dates, every cow beside them."""

from __future__ import annotations

import csv
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest

from herdscore.domain.assess import Assessment
from herdscore.domain.grouping import GROUP, group_cows
from herdscore.domain.groups import COW_LIST, GROUP_LIST, cow_rows, figures, group_rows, standing
from herdscore.errors import Problem
from herdscore.exchange.group_sheets import GroupSheet, write_groups
from herdscore.exchange.lists_out import heading_of
from tests.domain.group_herds import sample


def sheet_of(a: Assessment) -> GroupSheet:
    grouping, where = group_cows(a, GROUP, np.ones(len(a), dtype=bool)), standing(a)
    rows = group_rows(a, figures(a, where, grouping))
    return GroupSheet("Home farm", a.today, GROUP_LIST, rows, COW_LIST, cow_rows(a, where, grouping), (("Way", "x"),))


def table(sheet: Any) -> list[dict[str, Any]]:
    rows = list(sheet.iter_rows(values_only=True))
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


@pytest.mark.parametrize("name", ["spring", "two_blocks"])
def test_that_the_workbook_holds_the_figures_and_the_cows_they_are_made_of(tmp_path: Path, name: str) -> None:
    a = sample(name)
    told: list[str] = []
    write_groups(tmp_path / "groups.xlsx", sheet_of(a), lambda done, total, text: told.append(text))
    book = openpyxl.load_workbook(tmp_path / "groups.xlsx")
    assert book.sheetnames == ["Groups", "Cows", "About"]
    assert told == ["Writing Groups", "Writing Cows"]
    groups, cows = table(book["Groups"]), table(book["Cows"])
    assert list(groups[0]) == [heading_of(column) for column in GROUP_LIST]
    assert len(cows) == int((~a.facts.gone).sum())
    for one in groups:
        mine = [row for row in cows if row["Group"] == one["Group"]]
        assert one["Cows"] == len(mine)
        assert one["To act on"] == sum(row["To act on"] == "yes" for row in mine)
        values = [row["Less target"] for row in mine if row["Less target"] is not None]
        assert one["Compared"] == len(values)
        assert one["Less target (mean)"] == pytest.approx(np.mean(values), abs=0.011)
        assert one["In band"] == sum(row["In band"] == "yes" for row in mine)
        days = [row["Calves"] for row in mine if row["Calves"] is not None]
        assert all(isinstance(one_day, datetime) for one_day in days)
        assert one["First calves"] == min(days, default=None)
    assert book["Groups"]["Q2"].number_format == "0%"
    assert book["Groups"].freeze_panes == "B2"


def test_that_a_csv_holds_the_groups(tmp_path: Path) -> None:
    a = sample("spring")
    write_groups(tmp_path / "groups.csv", sheet_of(a))
    with (tmp_path / "groups.csv").open(newline="", encoding="utf-8-sig") as lines:
        rows = list(csv.DictReader(lines))
    assert [row["Group"] for row in rows] == ["Cubicle shed", "Heifer pen", "Straw yard"]
    assert rows[0]["Cows"] == "30"
    assert rows[1]["First calves"] == "2026-02-11"


def test_that_unknown_stays_empty_and_a_herd_without_groups_says_none(tmp_path: Path) -> None:
    a = sample("two_blocks")
    empty = GroupSheet("Home farm", a.today, GROUP_LIST, [], COW_LIST, [], ())
    write_groups(tmp_path / "none.xlsx", empty)
    book = openpyxl.load_workbook(tmp_path / "none.xlsx")
    assert book["Groups"]["A2"].value == "none"
    assert book["Cows"]["A2"].value == "none"


def test_that_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Problem, match=r"A table is not written as \.pdf"):
        write_groups(tmp_path / "groups.pdf", sheet_of(sample("spring")))
