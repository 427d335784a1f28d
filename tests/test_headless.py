"""The command line without a window: flags and pack on real files."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from herdscore import headless, shipped
from herdscore.errors import Problem

SPRING = shipped.sample_herds() / "spring" / "skerrowby.xlsx"
AUTUMN = shipped.sample_herds() / "autumn"
COMPUTER_DAY = date(2026, 11, 25)


def book(path: Path, **sheets: list[list[object]]) -> Path:
    made = Workbook()
    made.remove(made.worksheets[0])
    for name, rows in sheets.items():
        sheet = made.create_sheet(name)
        for row in rows:
            sheet.append(row)
    made.save(path)
    return path


def test_that_flags_says_who_to_act_on_and_gives_zero(capsys: pytest.CaptureFixture[str]) -> None:
    assert headless.flags(SPRING, None, None, COMPUTER_DAY) == headless.DONE
    said = capsys.readouterr().out
    assert said.startswith("Skerrowby on 14\u00a0Jan 2026: 63 cows")
    for title in ("To act on now: ", "Time in hand: ", "Nothing new: ", "To find out: ", "Nothing to do: "):
        assert title in said
    assert "vet or nutritionist" in said


def test_that_the_day_asked_for_beats_the_herds_own(capsys: pytest.CaptureFixture[str]) -> None:
    headless.flags(SPRING, date(2026, 2, 1), None, COMPUTER_DAY)
    assert "on 1\u00a0Feb 2026" in capsys.readouterr().out


def test_that_the_list_is_written_as_a_workbook_and_as_csv(tmp_path: Path) -> None:
    headless.flags(AUTUMN, None, tmp_path / "list.xlsx", COMPUTER_DAY)
    assert load_workbook(tmp_path / "list.xlsx").sheetnames == ["Flagged", "Missing", "All cows", "About"]
    headless.flags(AUTUMN, None, tmp_path / "list.csv", COMPUTER_DAY)
    lines = (tmp_path / "list.csv").read_text("utf-8-sig").splitlines()
    assert lines[0].startswith("Tag,Management no,Group,Season,Calving date")
    assert len(lines) == 41


def test_that_packing_there_and_back_gives_the_same_cells(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert headless.pack(SPRING, tmp_path / "a.herd", COMPUTER_DAY) == headless.DONE
    assert headless.pack(tmp_path / "a.herd", tmp_path / "b.xlsx", COMPUTER_DAY) == headless.DONE
    first, second = load_workbook(SPRING), load_workbook(tmp_path / "b.xlsx")
    assert first.sheetnames == second.sheetnames
    for name in first.sheetnames:
        assert list(first[name].values) == list(second[name].values), name
    assert headless.flags(tmp_path / "a.herd", None, None, COMPUTER_DAY) == headless.DONE
    from_file = capsys.readouterr().out
    headless.flags(SPRING, None, None, COMPUTER_DAY)
    assert capsys.readouterr().out in from_file


def test_that_problems_are_listed_by_place_and_the_rest_is_still_used(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = book(
        tmp_path / "herd.xlsx",
        Cows=[["Tag", "Calving date", "Season"], ["0001", date(2027, 2, 20), "summer"], ["0002", "31/02/2027", None]],
        Scores=[["Tag", "Date", "Loin", "Ribs"], ["0001", date(2026, 11, 20), 2.5, 25]],
    )
    assert headless.flags(path, None, None, COMPUTER_DAY) == headless.PROBLEMS
    said = capsys.readouterr().out
    assert "Problems: 3" in said
    assert "Cows, row 2, Season: “summer”" in said
    assert "Cows, row 3, Calving date: “31/02/2027”" in said
    assert "Scores, row 2, Ribs: “25”" in said
    assert "2 cows" in said
    assert headless.pack(path, tmp_path / "out.herd", COMPUTER_DAY) == headless.PROBLEMS
    assert not (tmp_path / "out.herd").exists()


def test_that_a_question_nobody_answers_is_a_problem(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = book(
        tmp_path / "herd.xlsx",
        Cows=[["Tag"], ["0001"]],
        Scores=[["Tag", "Date", "Score"], ["0001", "05/03/2026", 2.5], ["0009", date(2026, 11, 1), 3]],
    )
    assert headless.flags(path, None, None, COMPUTER_DAY) == headless.PROBLEMS
    said = capsys.readouterr().out
    assert "is 05/03/2026 the 5th of March or the 3rd of May?" in said
    assert "0009" in said


def test_that_an_unknown_column_alone_is_noted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = book(tmp_path / "herd.xlsx", Cows=[["Tag", "Horn length"], ["0001", 12]])
    assert headless.flags(path, None, None, COMPUTER_DAY) == headless.DONE
    assert "Horn length" in capsys.readouterr().out


def test_that_without_a_cows_sheet_every_tag_scored_is_a_cow(tmp_path: Path) -> None:
    path = book(tmp_path / "herd.xlsx", Scores=[["Tag", "Date", "Score"], ["0001", date(2026, 11, 1), 3]])
    herd = headless.read(path, None, COMPUTER_DAY)
    assert herd.snapshot.cows.tag.tolist() == ["0001"]
    assert not herd.problems


def test_that_packing_never_writes_over_a_file(tmp_path: Path) -> None:
    there = tmp_path / "a.herd"
    there.write_text("mine")
    with pytest.raises(Problem, match="is there already"):
        headless.pack(SPRING, there, COMPUTER_DAY)
    assert there.read_text() == "mine"


def test_that_a_setting_out_of_range_in_a_herd_file_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = book(tmp_path / "h.xlsx", Cows=[["Tag"], ["1"]], Settings=[["Setting", "Value"], ["Lead (days)", 30]])
    assert headless.flags(path, None, None, COMPUTER_DAY) == headless.PROBLEMS
    assert "Lead (days)" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (["flags", str(SPRING)], 0, "To act on now"),
        (["flags", "nowhere.xlsx"], 2, "nowhere.xlsx"),
        (["flags"], 2, "HERD"),
        (["flags", str(SPRING), "--on", "soon"], 2, "soon"),
        (["pack", str(SPRING), "other.xlsx"], 2, "no packing"),
        (["--help"], 0, "herdscore"),
        (["flags", "--help"], 0, "FILE.xlsx"),
    ],
)
def test_that_the_exit_code_says_how_it_went(words: list[str], code: int, says: str, tmp_path: Path) -> None:
    root = str(Path(__file__).parents[1])
    done = subprocess.run(
        [sys.executable, "-m", "herdscore", *words],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env={"PYTHONPATH": root, "PATH": "", "HOME": str(tmp_path)},
    )
    assert done.returncode == code, done.stderr
    assert says in done.stdout + done.stderr
    assert "Traceback" not in done.stderr
