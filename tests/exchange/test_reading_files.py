from __future__ import annotations

import zipfile
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from openpyxl.chart import BarChart
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from herdscore.domain import records as r
from herdscore.errors import Problem
from herdscore.exchange.herd_in import read_herd
from tests.exchange.books import SCORES, book, only, places, read
from tests.exchange.herds import LIMITS, TODAY
from tests.exchange.old_xls import old_xls

DAY = date(2026, 11, 3)


def _csv(path: Path, text: str, encoding: str = "utf-8") -> Path:
    path.write_bytes(text.encode(encoding))
    return path


def test_that_headings_are_known_without_case_blanks_units_and_by_other_words(tmp_path: Path) -> None:
    rows = [("EAR_TAG", "Due Date", "mgmt", "live weight", "Weighed ON"), ("7", DAY, None, 640, DAY)]
    draft = read(tmp_path, {" cOws ": rows})
    assert draft.cows[0].calving_date == DAY
    assert draft.counts["weights"] == 1
    assert (only(draft).column, only(draft).severity) == ("mgmt", "note")


def test_that_a_heading_by_its_own_name_comes_before_another_word_for_it(tmp_path: Path) -> None:
    draft = read(tmp_path, {"Cows": [("ID", "Tag"), ("x1", "0142")]})
    assert draft.cows[0].tag == "0142"
    assert only(draft).wrong == "a second column for Tag"
    assert not draft.has_problems


def test_that_an_unknown_column_is_noted_and_told_where_it_belongs(tmp_path: Path) -> None:
    draft = read(tmp_path, {"Cows": [("Tag", "Girth", "Loin", None), ("1", 190, 2.5, "stray")]})
    notes = {one.column: (one.wrong, one.comes_in_as, one.what_to_do) for one in draft.problems}
    assert notes == {
        "Girth": ("unknown column", "not used", ""),
        "Loin": ("unknown column", "not used", "It belongs in a sheet Scores."),
        "column D": ("no heading over these cells", "not used", ""),
    }
    assert not draft.has_problems


def test_that_weights_in_pounds_are_a_problem_and_another_word_for_kg_is_not(tmp_path: Path) -> None:
    rows = [("Tag", "Date", "Weight (lb)"), ("1", DAY, 1400)]
    assert places(read(tmp_path, {"Cows": [("Tag",), ("1",)], "Weights": rows})) == [("Weights", None, "Weight (lb)")]
    rows[0] = ("Tag", "Date", "Weight [KG]")
    assert read(tmp_path, {"Cows": [("Tag",), ("1",)], "Weights": rows}).problems == ()


def test_that_headings_under_a_title_and_blank_rows_are_found(tmp_path: Path) -> None:
    path = tmp_path / "herd.xlsx"
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    sheet.title = "Scores"
    sheet["A1"] = "Ellershaw, autumn 2026"
    sheet.merge_cells("A1:D1")
    sheet["C3"] = "sites"
    sheet.merge_cells("C3:E3")
    for row in (SCORES, ("0142", DAY, 2.5, 2.5, 2.75)):
        sheet.append(list(row))
    made.save(path)
    draft = read_herd(path, TODAY, LIMITS)
    assert draft.counts["scores"] == 1
    assert [(one.row, one.says, one.severity) for one in draft.problems] == [
        (1, "Ellershaw, autumn 2026", "note"),
        (3, "sites", "note"),
    ]


def test_that_rows_are_numbered_as_in_the_sheet_below_blank_rows(tmp_path: Path) -> None:
    draft = read(tmp_path, {"Cows": [(), (), ("Tag", "Season"), (), ("1", "summer"), (None, None), ("2", "spring")]})
    assert places(draft) == [("Cows", 5, "Season")]
    assert len(draft.cows) == 2


def test_that_headings_repeated_down_the_sheet_are_no_cow(tmp_path: Path) -> None:
    draft = read(tmp_path, {"Cows": [("Tag", "Season"), ("1", "spring"), ("Tag", "Season"), ("2", "spring")]})
    assert [cow.tag for cow in draft.cows] == ["1", "2"]
    assert only(draft).wrong == "the headings again"


def test_that_unknown_and_doubled_sheets_are_told(tmp_path: Path) -> None:
    cows = [("Tag",), ("1",)]
    draft = read(tmp_path, {"Cows": cows, "cows ": cows, "Bulls": cows, "Sheet3": []})
    assert [(one.sheet, one.wrong, one.severity) for one in draft.problems] == [
        ("cows ", "a second sheet Cows", "problem"),
        ("Bulls", "not a sheet this program knows", "note"),
    ]


def test_that_a_sheet_of_any_name_is_taken_by_its_columns_when_none_is_known(tmp_path: Path) -> None:
    draft = read(tmp_path, {"Sheet1": [("Tag", "Calving date", "Date from", "Group"), ("0512", DAY, "scan", "North")]})
    assert draft.cows[0].date_from == "scan"
    draft = read(tmp_path, {"Sheet1": [("cow", "date", "BCS"), ("0512", DAY, 2.5)]})
    assert draft.counts["scores"] == 1
    assert draft.problems == ()


def test_that_a_sheet_without_a_needed_column_is_named_and_the_others_are_used(tmp_path: Path) -> None:
    draft = read(tmp_path, {"Cows": [("Tag",), ("1",)], "Weights": [("Tag", "Weight"), ("1", 640)]})
    assert (only(draft).sheet, only(draft).row, only(draft).column) == ("Weights", None, "Date")
    assert draft.counts["cows"] == 1


def test_that_a_broken_formula_and_one_never_worked_out_are_told_not_dropped(tmp_path: Path) -> None:
    rows = [("Tag", "Season", "Calvings", "Note"), ("1", "#N/A", "=1+1", "=A2"), ("#REF!", None, None, None)]
    draft = read(tmp_path, {"Cows": rows})
    assert [(one.row, one.column, one.says, one.comes_in_as) for one in draft.problems] == [
        (2, "Season", "#N/A", "left empty"),
        (2, "Calvings", "a formula without a saved result", "left empty"),
        (2, "Note", "a formula without a saved result", "left empty"),
        (3, "Tag", "#REF!", "row kept out; it stays on this list"),
    ]


def test_that_a_formula_with_a_saved_result_reads_as_its_result(tmp_path: Path) -> None:
    path = book(tmp_path / "plain.xlsx", {"Cows": [("Tag", "Calvings", "Note"), ("1", "=1+1", "=B2")]})
    part = "xl/worksheets/sheet1.xml"
    with zipfile.ZipFile(path) as made, zipfile.ZipFile(tmp_path / "worked.xlsx", "w") as worked:
        for name in made.namelist():
            data = made.read(name)
            if name == part:
                data = data.replace(b"<f>1+1</f><v />", b"<f>1+1</f><v>2</v>")
                data = data.replace(b'<c r="C2"><f>B2</f><v />', b'<c r="C2" t="str"><f>B2</f><v></v>')
            worked.writestr(name, data)
    draft = read_herd(tmp_path / "worked.xlsx", TODAY, LIMITS)
    assert draft.problems == ()
    assert (draft.cows[0].calvings, draft.cows[0].note) == (2, None)


def test_that_dates_of_the_1904_epoch_are_the_same_days(tmp_path: Path) -> None:
    path = tmp_path / "old.xlsx"
    made = openpyxl.Workbook()
    made.epoch = CALENDAR_MAC_1904
    sheet = made.worksheets[0]
    sheet.title = "Cows"
    sheet.append(["Tag", "Calving date"])
    sheet.append(["1", DAY])
    made.save(path)
    assert b'date1904="1"' in zipfile.ZipFile(path).read("xl/workbook.xml")
    assert read_herd(path, TODAY, LIMITS).cows[0].calving_date == DAY


def test_that_a_semicolon_file_with_decimal_commas_and_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    text = 'Ear tag;Date;Loin;Note\r\n0142;2026-11-03;2,75;thin, but "fit"\r\n'
    draft = read_herd(_csv(tmp_path / "november.csv", text, "utf-8-sig"), TODAY, LIMITS)
    score = next(row for row in draft.records if isinstance(row, r.Score))
    assert (score.loin, score.note) == (11, 'thin, but "fit"')
    assert draft.problems == ()
    assert draft.cows[0].tag == "0142"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "cp1252"])
@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_that_a_csv_is_read_in_any_common_encoding_and_delimiter(tmp_path: Path, encoding: str, mark: str) -> None:
    text = mark.join(("Tag", "Name")) + "\n" + mark.join(("1", "Brún")) + "\n"
    assert read_herd(_csv(tmp_path / "cows.csv", text, encoding), TODAY, LIMITS).cows[0].name == "Brún"


def test_that_a_folder_of_csv_is_one_herd_and_a_quoted_formula_loses_its_quote(tmp_path: Path) -> None:
    _csv(tmp_path / "Cows.csv", "Tag,Note\n142,'=1+1\n'-7,#REF!\n")
    _csv(tmp_path / "scores.csv", "sep=,\nTag,Date,Score\n0142,2026-11-03,2.5\n")
    (tmp_path / "notes.txt").write_text("not read")
    draft = read_herd(tmp_path, TODAY, LIMITS)
    assert [(cow.tag, cow.note) for cow in draft.cows] == [("142", "=1+1"), ("-7", None)]
    assert draft.counts["scores"] == 1
    assert places(draft) == [("Cows", 3, "Note")]


def _ods(path: Path) -> Path:
    """The least an OpenDocument sheet needs, with a date cell, a number cell, and an error as text."""
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    space = "urn:oasis:names:tc:opendocument:xmlns"
    cells = "".join(
        f"<table:table-row>{row}</table:table-row>"
        for row in (
            "".join(_ods_text(text) for text in ("Tag", "Date", "Score", "Note")),
            _ods_text("0142")
            + '<table:table-cell office:value-type="date" office:date-value="2026-11-03"/>'
            + '<table:table-cell office:value-type="float" office:value="2.75"/>'
            + _ods_text("Err:502"),
        )
    )
    content = (
        f'<office:document-content xmlns:office="{space}:office:1.0" xmlns:table="{space}:table:1.0" '
        f'xmlns:text="{space}:text:1.0" office:version="1.2"><office:body><office:spreadsheet>'
        f'<table:table table:name="Scores">{cells}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        f'<manifest:manifest xmlns:manifest="{space}:manifest:1.0"><manifest:file-entry manifest:full-path="/" '
        f'manifest:media-type="{kind}"/></manifest:manifest>'
    )
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("mimetype", kind)
        package.writestr("content.xml", content)
        package.writestr("META-INF/manifest.xml", manifest)
    return path


def _ods_text(text: str) -> str:
    return f'<table:table-cell office:value-type="string"><text:p>{text}</text:p></table:table-cell>'


def test_that_an_open_document_sheet_is_read_with_true_dates(tmp_path: Path) -> None:
    draft = read_herd(_ods(tmp_path / "herd.ods"), TODAY, LIMITS)
    score = next(row for row in draft.records if isinstance(row, r.Score))
    assert (score.day, score.score, score.note) == (DAY, 11, None)
    assert draft.cows[0].tag == "0142"
    assert (only(draft).column, only(draft).says) == ("Note", "Err:502")


def test_that_an_old_xls_is_read_and_says_that_it_hides_broken_formulas(tmp_path: Path) -> None:
    rows = [("Tag", "Date", "Score", "Note"), ("0142", DAY, 2.75, "#REF!"), (7, DAY, 2.5, "Brún")]
    draft = read_herd(old_xls(tmp_path / "herd.xls", "Scores", rows), TODAY, LIMITS)
    scores = [row for row in draft.records if isinstance(row, r.Score)]
    assert [(row.day, row.score, row.note) for row in scores] == [(DAY, 11, None), (DAY, 10, "Brún")]
    assert [cow.tag for cow in draft.cows] == ["0142", "7"]
    assert (only(draft).says, only(draft).severity) == ("herd.xls", "note")


def test_that_a_chart_on_a_sheet_of_its_own_is_passed_over(tmp_path: Path) -> None:
    path = book(tmp_path / "herd.xlsx", {"Cows": [("Tag",), ("1",)]})
    made = openpyxl.load_workbook(path)
    made.create_chartsheet("Chart").add_chart(BarChart())
    made.save(path)
    assert len(read_herd(path, TODAY, LIMITS).cows) == 1


@pytest.mark.parametrize("kept", [100, 700, 1500, 3000])
def test_that_a_file_cut_short_is_a_problem_and_never_a_crash(tmp_path: Path, kept: int) -> None:
    whole = old_xls(tmp_path / "herd.xls", "Scores", [("Tag", "Date", "Score"), ("1", DAY, 3)]).read_bytes()
    (tmp_path / "cut.xls").write_bytes(whole[:kept])
    with pytest.raises(Problem, match="cannot be read as a spreadsheet"):
        read_herd(tmp_path / "cut.xls", TODAY, LIMITS)


def test_that_what_cannot_be_read_at_all_is_a_problem_with_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "broken.xlsx").write_bytes(b"PK\x03\x04 no workbook")
    (tmp_path / "broken.xls").write_bytes(b"nothing")
    (tmp_path / "letter.pdf").write_bytes(b"%PDF")
    book(tmp_path / "other.xlsx", {"Sheet1": [("Colour", "Price"), ("red", 2)]})
    book(tmp_path / "half.xlsx", {"Scores": [("Tag", "Score"), ("1", 2)]})
    (tmp_path / "blank.csv").write_text("")
    for name, what in {
        "absent.xlsx": "is not there",
        "empty": "holds no .csv file",
        "broken.xlsx": "cannot be read as a spreadsheet",
        "broken.xls": "cannot be read as a spreadsheet",
        "letter.pdf": "not a spreadsheet this program reads",
        "other.xlsx": "holds nothing this program can read",
        "half.xlsx": "holds nothing this program can read",
        "blank.csv": "holds nothing this program can read",
    }.items():
        with pytest.raises(Problem, match=what) as caught:
            read_herd(tmp_path / name, TODAY, LIMITS)
        assert caught.value.what_to_do
    with pytest.raises(Problem, match="has no column Date"):
        read_herd(tmp_path / "half.xlsx", TODAY, LIMITS)


def test_that_one_cell_in_a_far_corner_is_told_and_does_not_ask_for_all_memory(tmp_path: Path) -> None:
    path = book(tmp_path / "herd.xlsx", {"Cows": [("Tag",), ("1",)]})
    made = openpyxl.load_workbook(path)
    made["Cows"]["XFD1048576"] = "x"
    made.save(path)
    with pytest.raises(Problem, match="Sheet Cows spans 1048576 rows and 16384 columns"):
        read_herd(path, TODAY, LIMITS)


def test_that_empty_formatted_cells_in_a_far_corner_do_no_harm(tmp_path: Path) -> None:
    path = book(tmp_path / "herd.xlsx", {"Cows": [("Tag",), ("1",)]})
    made = openpyxl.load_workbook(path)
    made["Cows"]["XFD1048576"].number_format = "0.00"
    made["Cows"]["B1048000"] = "x"
    made["Cows"]["A1048000"] = "2"
    made.save(path)
    draft = read_herd(path, TODAY, LIMITS)
    assert [cow.tag for cow in draft.cows] == ["1", "2"]
    assert only(draft).column == "column B"


def test_that_reading_tells_how_far_it_is_and_can_be_stopped(tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    sheets = {"Cows": [("Tag",), ("1",)], "Scores": [("Tag", "Date", "Score"), ("1", DAY, 3)]}
    read(tmp_path, sheets, report=lambda *step: told.append(step))
    assert [text for _, _, text in told] == [
        *("Opening herd.xlsx", "Reading Cows", "Reading Scores", "Putting the herd together")
    ]
    assert all(done < total for done, total, _ in told)

    def stop(done: int, total: int, text: str) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        read(tmp_path, sheets, report=stop)
