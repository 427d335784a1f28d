from __future__ import annotations

from datetime import date
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings

from herdscore.domain import records as r
from herdscore.domain.herd import Snapshot
from herdscore.errors import Problem
from herdscore.exchange.drafts import PROBLEM, Draft
from herdscore.exchange.herd_in import read_herd
from herdscore.exchange.herd_out import write_herd
from tests.exchange.herds import KNOWN_SETTINGS, LIMITS, TODAY, herds, plain

_QUICK = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)


def _read(path: Path) -> Draft:
    return read_herd(path, TODAY, LIMITS, known_settings=KNOWN_SETTINGS)


@_QUICK
@given(herd=herds())
def test_that_a_herd_written_to_a_workbook_reads_back_as_the_same_herd(herd: Snapshot, tmp_path: Path) -> None:
    path = tmp_path / "herd.xlsx"
    write_herd(herd, path)
    draft = _read(path)
    assert [problem for problem in draft.problems if problem.severity == PROBLEM] == []
    assert draft.questions == ()
    assert plain(draft.snapshot()) == plain(herd)


@_QUICK
@given(herd=herds())
def test_that_a_herd_written_to_a_folder_of_csv_reads_back_as_the_same_herd(herd: Snapshot, tmp_path: Path) -> None:
    write_herd(herd, tmp_path / "herd")
    draft = _read(tmp_path / "herd")
    assert [problem for problem in draft.problems if problem.severity == PROBLEM] == []
    assert plain(draft.snapshot()) == plain(herd)


def _small_herd() -> Snapshot:
    cow = r.Cow("a", "0142", "142", "999000000000142", "Fern", "Angus", date(2020, 4, 11), 3, r.SPRING, "Pen 1")
    heifer = r.Cow("b", "=HYPERLINK(1)", calvings=0, status=r.NOT_IN_CALF, twins=False)
    return Snapshot.from_records(
        [
            heifer,
            cow,
            r.Score("s", "a", date(2026, 11, 3), 10, 10, 11, by_eye=True, scorer="R. Fell", note="-0.25"),
            r.Weight("w1", "a", date(2026, 3, 1), 612.0),
            r.Weight("w2", "a", date(2026, 11, 3), 641.5),
            r.Setting("Herd name", "Ellershaw"),
        ]
    )


def test_that_cells_of_a_written_herd_have_their_true_kinds_and_formats(tmp_path: Path) -> None:
    path = tmp_path / "herd.xlsx"
    write_herd(_small_herd(), path)
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == ["Cows", "Scores", "Weights", "Settings"]
    cows = book["Cows"]
    heads = [cell.value for cell in cows[1]]
    assert heads[:4] == ["Tag", "Management no", "EID", "Name"]
    assert heads[-4:] == ["Weight (kg)", "Weighed on", "Status", "Note"]
    row = dict(zip(heads, cows[2], strict=True))
    assert (row["Tag"].value, row["Tag"].data_type, row["Tag"].number_format) == ("0142", "s", "@")
    assert (row["EID"].value, row["EID"].data_type, row["EID"].number_format) == ("999000000000142", "s", "@")
    assert row["Born"].is_date
    assert row["Born"].value.date() == date(2020, 4, 11)
    assert row["Born"].number_format == "yyyy-mm-dd"
    assert row["Weight (kg)"].value == 641.5
    assert row["Weighed on"].value.date() == date(2026, 11, 3)
    assert row["Calving date"].value is None
    assert (cows["A3"].value, cows["A3"].data_type) == ("=HYPERLINK(1)", "s")
    assert cows.freeze_panes == "B2"
    assert [cell.value for cell in cows[1] if not cell.font.bold] == []
    assert cows.dimensions == "A1:Q3"
    score = book["Scores"]
    assert [cell.value for cell in score[2]][2:] == [2.5, 2.5, 2.75, None, "yes", "R. Fell", "-0.25"]
    assert (score["E2"].number_format, score["I2"].data_type) == ("0.00", "s")


def test_that_the_spreadsheet_itself_refuses_a_score_that_is_not_in_quarters(tmp_path: Path) -> None:
    path = tmp_path / "herd.xlsx"
    write_herd(_small_herd(), path)
    rules = openpyxl.load_workbook(path)["Scores"].data_validations.dataValidation
    assert [(rule.type, str(rule.sqref).split(":")[0], rule.showErrorMessage) for rule in rules] == [
        ("custom", "C2", True),
        ("custom", "D2", True),
        ("custom", "E2", True),
        ("custom", "F2", True),
    ]


def _cells(path: Path) -> dict[str, list[list[object]]]:
    book = openpyxl.load_workbook(path)
    return {sheet.title: [[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in book}


def test_that_a_canonical_workbook_comes_out_with_equal_cells(tmp_path: Path) -> None:
    first, second = tmp_path / "first.xlsx", tmp_path / "second.xlsx"
    write_herd(_small_herd(), first)
    write_herd(_read(first).snapshot(), second)
    assert _cells(second) == _cells(first)


def test_that_a_formula_in_a_csv_is_text_under_a_quote_and_loses_it_on_the_way_back(tmp_path: Path) -> None:
    write_herd(_small_herd(), tmp_path / "herd")
    text = (tmp_path / "herd" / "Cows.csv").read_text(encoding="utf-8-sig")
    assert text.splitlines()[2].startswith("'=HYPERLINK(1),")
    assert (tmp_path / "herd" / "Cows.csv").read_bytes().startswith(b"\xef\xbb\xbf")
    assert _read(tmp_path / "herd").cows[1].tag == "=HYPERLINK(1)"


def test_that_sheets_of_an_earlier_herd_do_not_stay_in_the_folder(tmp_path: Path) -> None:
    write_herd(_small_herd(), tmp_path / "herd")
    write_herd(Snapshot.from_records([r.Cow("a", "1")]), tmp_path / "herd")
    assert [file.name for file in (tmp_path / "herd").iterdir()] == ["Cows.csv"]


def test_that_a_tag_with_a_raised_figure_is_a_tag_like_another(tmp_path: Path) -> None:
    write_herd(Snapshot.from_records([r.Cow("a", "14²"), r.Cow("b", "²")]), tmp_path / "herd.xlsx")
    assert sorted(cow.tag for cow in _read(tmp_path / "herd.xlsx").cows) == ["14²", "²"]


def test_that_a_number_of_seventeen_digits_comes_back_exactly(tmp_path: Path) -> None:
    weight = 505.66949530440127
    assert float(f"{weight:.16g}") != weight
    write_herd(Snapshot.from_records([r.Cow("a", "1"), r.Weight("w", "a", TODAY, weight)]), tmp_path / "herd.xlsx")
    assert [row.weight for row in _read(tmp_path / "herd.xlsx").records if isinstance(row, r.Weight)] == [weight]


def test_that_text_that_looks_like_an_escape_of_the_format_comes_back_as_it_was(tmp_path: Path) -> None:
    note = "_x0041_ and a_x000D_b, not _x005F_"
    write_herd(Snapshot.from_records([r.Cow("a", "_x0031_", note=note)]), tmp_path / "herd.xlsx")
    draft = _read(tmp_path / "herd.xlsx")
    assert [(cow.tag, cow.note) for cow in draft.cows] == [("_x0031_", note)]


def test_that_a_save_stopped_half_way_leaves_the_old_file_and_no_half_one(tmp_path: Path) -> None:
    path = tmp_path / "herd.xlsx"
    write_herd(_small_herd(), path)
    before = path.read_bytes()

    def stop(done: int, total: int, text: str) -> None:
        if text == "Writing Weights":
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_herd(Snapshot.from_records([r.Cow("b", "9"), r.Weight("w", "b", date(2026, 11, 3), 600.0)]), path, stop)
    assert path.read_bytes() == before
    assert [file.name for file in tmp_path.iterdir()] == ["herd.xlsx"]


def test_that_an_old_format_is_refused_on_the_way_out(tmp_path: Path) -> None:
    with pytest.raises(Problem, match=r"not written as \.xls"):
        write_herd(_small_herd(), tmp_path / "herd.xls")
