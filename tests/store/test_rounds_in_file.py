"""Rounds and what belongs to them in the herd file, and that they stay out of the workbook."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from herdscore import shipped
from herdscore.domain import rounds
from herdscore.domain.assess import assess
from herdscore.domain.changes import adding, applied, striking_out
from herdscore.domain.records import ALL, Listed
from herdscore.domain.rulebook import Rulebook
from herdscore.exchange.herd_in import read_herd
from herdscore.exchange.herd_out import write_herd
from herdscore.store.faults import Conflict
from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import BRAMBLE, as_set

RULES = Rulebook.from_tables(shipped.rule_tables())
DAY = date(2025, 11, 20)
ROUND_TABLES = ("rounds", "listed", "asides", "blind_scores")


def test_that_a_round_is_opened_carried_over_closed_and_taken_back_in_the_file(herd: HerdFile) -> None:
    before = herd.read()
    a = assess(before, RULES, DAY)
    opening = rounds.opening(a, "Second", ALL, DAY)
    herd.apply(opening, "Ann")
    made = rounds.open_round(herd.read())
    assert made is not None
    assert rounds.progress(herd.read(), made).total == 2
    for change in (
        rounds.skipping(herd.read(), made, BRAMBLE.id),
        rounds.editing_round(made, replace(made, lean_pen="Top yard")),
    ):
        assert change is not None
        herd.apply(change, "Ann")
    over = rounds.carrying_over(herd.read(), made)
    assert over is not None
    herd.apply(over, "Ann")
    made = rounds.open_round(herd.read())
    assert made is not None
    herd.apply(rounds.closing(made, DAY), "Ann")
    assert rounds.open_round(herd.read()) is None
    left = herd.read().all_records()
    herd.rebuild()
    assert herd.read().all_records() == left
    for entry in [one for one in herd.entries() if one.kind != "import"]:
        herd.apply(entry.change().inverse(), "Ann")
    assert as_set(herd.read()) == as_set(before)
    assert applied(before, opening).rounds.name.tolist() == ["November round", "Second"]


def test_that_a_line_of_a_round_that_is_not_there_and_a_round_with_lines_taken_out_are_refused(herd: HerdFile) -> None:
    with pytest.raises(Conflict, match="not in the herd file"):
        herd.apply(adding("list", [Listed("x", BRAMBLE.id, "no such round")]), "Ann")
    with pytest.raises(Conflict, match="still has records"):
        herd.apply(striking_out("strike", herd.read().records("rounds")), "Ann")


def test_that_rounds_stay_in_the_herd_file_and_out_of_the_workbook(herd: HerdFile, tmp_path: Path) -> None:
    path = tmp_path / "herd.xlsx"
    write_herd(herd.read(), path)
    draft = read_herd(path, DAY, RULES.sheet, known_settings=RULES.known_settings)
    again = draft.snapshot()
    assert not any(len(getattr(again, table)) for table in ROUND_TABLES)
    assert (len(again.cows), len(again.scores)) == (2, 2)
    assert not draft.has_problems
