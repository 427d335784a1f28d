"""One cow in full: what is shown of her, written down, mended, struck out, copied, saved and printed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtPrintSupport import QPrinter
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.listing import ACT, flag_order
from herdscore.domain.records import Calving, Cow, Record, Score, Service, Weight
from herdscore.pages.cow_past import last_season_of
from herdscore.pages.cows import CowsPage
from herdscore.pages.file_asking import a4_printer
from herdscore.pages.one_cow import OneCowTab
from herdscore.pages.wishes import PrintWish, SaveWish
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import ahead, scored
from tests.pages.open_herds import COURSE, FAT, THIN, TODAY, VET, opened, small_herd

ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier
# Last season of THIN: 70 and 10 days before she calved on 20 March 2026.
BEFORE = [scored(THIN, date(2026, 1, 9), 11, 11, 11), scored(THIN, date(2026, 3, 10), 10, 10, 10)]


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", [*small_herd(), *BEFORE]) as made:
        yield made


@pytest.fixture
def page(herd: OpenHerd, look: Look, tmp_path: Path, qtbot: QtBot) -> CowsPage:
    made = CowsPage(look, herd, Settings(tmp_path))
    qtbot.addWidget(made)
    made.resize(1226, 620)
    with qtbot.waitExposed(made):
        made.show()
    made.show_list(ACT)
    made.show_cow(THIN.id)
    return made


@pytest.fixture
def tab(page: CowsPage) -> OneCowTab:
    return page.one_cow


def records(herd: OpenHerd, table: str, cow: Cow = THIN) -> list[Record]:
    place = herd.snapshot.cow_place[cow.id]
    return herd.snapshot.records(table, herd.snapshot.of_cow(table, place).tolist())


def wait_for_journal(tab: OneCowTab, herd: OpenHerd, qtbot: QtBot) -> None:
    view = tab.middle.records
    qtbot.waitUntil(lambda: any(line.written is not None for line in view.lines.values()))


# The chart


def test_that_diets_weights_and_calvings_lie_under_the_chart(tab: OneCowTab) -> None:
    picture = tab.middle.chart.picture
    assert picture is not None
    assert ("winter feed", False) in {(one.words, one.assumed) for one in picture.diets}
    assert [(one.day, one.words) for one in picture.events] == [(ahead(-40), "640 kg")]
    assert (date(2026, 3, 20), "calved") in {(bend.day, bend.words) for bend in picture.bends}, "said once, at the bend"
    assert all(one.first < one.last for one in picture.diets)
    for before, after in zip(picture.diets, picture.diets[1:], strict=False):
        assert before.last == after.first, "no gap and no overlap"


def test_that_sites_and_last_season_are_shown_on_demand_by_keys(tab: OneCowTab, herd: OpenHerd, qtbot: QtBot) -> None:
    chart = tab.middle.chart
    assert chart.picture is not None
    assert chart.picture.last_season == ()
    qtbot.keyClick(tab.beside, Qt.Key.Key_L)
    assert chart.picture.last_season != ()
    # Scored 70 and 10 days before she calved: 70 and 10 days before 2 April 2027.
    calving = chart.picture.calving
    assert calving is not None
    assert [(calving - one.day).days for one in chart.picture.last_season] == [70, 10]
    assert [one.value for one in chart.picture.last_season] == [2.75, 2.5]
    assert chart.picture.last_words == "last season, 2.5 when last scored before calving"
    qtbot.keyClick(tab.beside, Qt.Key.Key_I)
    assert chart.picture.with_sites
    assert chart.picture.scores[-1].sites == (2.0, 2.0, 2.0)
    qtbot.keyClick(tab.beside, Qt.Key.Key_L)
    assert chart.picture.last_season == ()


def test_that_last_season_is_not_offered_without_one(tab: OneCowTab, herd: OpenHerd) -> None:
    assert last_season_of(herd.assessment, herd.snapshot.cow_place[COURSE.id]) == ((), "")
    tab.show_cow(COURSE.id)
    assert not tab.middle.buttons["l"].isEnabled()


def test_that_the_description_says_the_finding(tab: OneCowTab) -> None:
    assert tab.middle.chart.accessibleDescription().startswith("0201: Thin: 1.8 at calving as she is fed, target 2.5.")


# From cow to cow


def test_that_alt_and_the_arrows_go_by_act_by_date_whatever_the_list_is_sorted_by(
    page: CowsPage, tab: OneCowTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    order = [str(herd.snapshot.cows.id[cow]) for cow in flag_order(herd.assessment).cow][:3]
    assert order == [VET.id, FAT.id, THIN.id]
    tab.beside.sort_by("tag", descending=True)
    qtbot.keyClick(tab.beside, Qt.Key.Key_Up, ALT)
    assert tab.cow_id == FAT.id
    qtbot.mouseClick(tab.middle.before_button, Qt.MouseButton.LeftButton)
    assert tab.cow_id == VET.id
    qtbot.keyClick(tab.beside, Qt.Key.Key_Up, ALT)
    assert tab.cow_id == VET.id, "it stays at the end"
    assert page.flagged.list.current_key() == VET.id


# Written down


def test_that_a_weight_is_written_by_keys(page: CowsPage, tab: OneCowTab, herd: OpenHerd, qtbot: QtBot) -> None:
    qtbot.keyClick(tab.beside, Qt.Key.Key_W)
    form = tab.doings.weight
    field = form.fields["weight"].holds
    assert field.hasFocus()
    qtbot.keyClicks(field, "6500")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert form.fields["weight"].said == "Her weight in kg, from 50 to 2000."
    field.setText("655,5")  # type: ignore[union-attr]
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(field, Qt.Key.Key_Return)
    weights = [row for row in records(herd, "weights") if isinstance(row, Weight)]
    assert [(row.day, row.weight) for row in weights] == [(ahead(-40), 640), (TODAY, 655.5)]
    assert not tab.doings.is_open
    assert tab.beside.hasFocus()
    assert herd.undo() == "weight of 0201"


def test_that_a_note_is_written_over_the_old_one(tab: OneCowTab, herd: OpenHerd, qtbot: QtBot) -> None:
    for words in ("lame off fore", "sound again"):
        qtbot.keyClick(tab.beside, Qt.Key.Key_N)
        field = tab.doings.note.fields["note"].holds
        qtbot.keyClicks(field, words)
        with qtbot.waitSignal(herd.assessed):
            qtbot.keyClick(field, Qt.Key.Key_Return)
    cow = herd.snapshot.record("cows", herd.snapshot.cow_place[THIN.id])
    assert isinstance(cow, Cow)
    assert cow.note == "sound again"
    tab.middle.turn("r")
    wait_for_journal(tab, herd, qtbot)
    words = [line.words for line in tab.middle.records.lines.values()]
    assert "register: note sound again, was lame off fore" in words
    assert "register: note lame off fore, was not given" in words


def test_that_a_service_is_written_and_escape_leaves_the_form(tab: OneCowTab, herd: OpenHerd, qtbot: QtBot) -> None:
    qtbot.keyClick(tab.beside, Qt.Key.Key_S)
    form = tab.doings.service
    assert tab.doings.is_open
    form.fields.choose_kind("service")
    with qtbot.waitSignal(herd.assessed):
        form.save()
    kinds = [row.kind for row in records(herd, "services") if isinstance(row, Service) and row.day == TODAY]
    assert kinds == ["service"]
    qtbot.keyClick(tab.beside, Qt.Key.Key_S)
    qtbot.keyClick(form.fields.fields["day"].holds, Qt.Key.Key_Escape)
    assert not tab.doings.is_open


def test_that_she_is_moved_to_a_group_from_her_page(tab: OneCowTab, herd: OpenHerd, qtbot: QtBot) -> None:
    qtbot.keyClick(tab.beside, Qt.Key.Key_G)
    panel = tab.doings.move_panel
    panel.group.setEditText("Quarry")
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(panel.group, Qt.Key.Key_Return)
    groups = herd.assessment.groups
    assert groups.names[groups.now[herd.snapshot.cow_place[THIN.id]]] == "Quarry"


def test_that_another_cow_closes_a_form_begun(tab: OneCowTab, qtbot: QtBot) -> None:
    qtbot.keyClick(tab.beside, Qt.Key.Key_W)
    tab.show_cow(VET.id)
    assert not tab.doings.is_open


def test_that_nothing_is_written_while_another_day_is_looked_at(tab: OneCowTab, herd: OpenHerd, qtbot: QtBot) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(5))
    assert not tab.doings.write_button.isEnabled()
    qtbot.keyClick(tab.beside, Qt.Key.Key_W)
    assert not tab.doings.is_open


# Records


def test_that_a_score_is_mended_and_the_journal_shows_both_with_who_and_when(
    tab: OneCowTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    qtbot.keyClick(tab.beside, Qt.Key.Key_R)
    view = tab.middle.records
    assert view.hasFocus()
    wait_for_journal(tab, herd, qtbot)
    assert view.rows.row_at(0).texts[1] == "scored 2, 2, 2"
    assert view.rows.row_at(0).texts[3].startswith("written ")
    assert view.rows.row_at(0).texts[3].endswith(", R. T.")
    qtbot.keyClick(view, Qt.Key.Key_Return)
    loin = tab.doings.score.fields["loin"].holds
    assert loin.hasFocus()
    qtbot.keyClicks(loin, "2.3")
    qtbot.keyClick(loin, Qt.Key.Key_Return)
    assert tab.doings.score.fields["loin"].said == "A score from 1 to 5 in quarters: 2, 2.25, 2.5, 2.75."
    loin.setText("2.25")  # type: ignore[union-attr]
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(loin, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: any(not line.stands for line in view.lines.values()))
    said = [(line.words, line.stands, line.done) for line in view.lines.values() if line.day == TODAY]
    assert ("scored 2.25, 2, 2", True, "changed") in said
    assert ("scored 2, 2, 2", False, "changed") in said
    assert herd.undo() == "score of 0201 mended"


def test_that_a_record_struck_out_stays_in_sight_and_can_be_taken_back(
    tab: OneCowTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    tab.middle.turn("r")
    view = tab.middle.records
    wait_for_journal(tab, herd, qtbot)
    count = len([row for row in records(herd, "scores") if isinstance(row, Score)])
    view.setCurrentIndex(view.rows.index(0, 0))
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(view, Qt.Key.Key_Delete)
    assert len(records(herd, "scores")) == count - 1
    qtbot.waitUntil(lambda: any(line.done == "struck out" for line in view.lines.values()))
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert len(records(herd, "scores")) == count


def test_that_escape_goes_from_the_records_to_the_chart(tab: OneCowTab, qtbot: QtBot) -> None:
    qtbot.keyClick(tab.beside, Qt.Key.Key_R)
    qtbot.keyClick(tab.middle.records, Qt.Key.Key_Escape)
    assert not tab.middle.shows_records
    assert tab.beside.hasFocus()


def test_that_everything_recorded_of_her_is_listed_once(tab: OneCowTab, herd: OpenHerd) -> None:
    tab.middle.turn("r")
    standing = [line.record.id for line in tab.middle.records.lines.values() if line.stands]
    recorded = [
        row.id for table in ("scores", "services", "calvings", "weights", "moves") for row in records(herd, table)
    ]
    assert sorted(standing) == sorted(recorded)
    assert any(isinstance(line.record, Calving) for line in tab.middle.records.lines.values())


# Taken away


def test_that_she_is_copied_in_words_and_as_a_picture(page: CowsPage, tab: OneCowTab, qtbot: QtBot) -> None:
    with qtbot.waitSignal(page.message):
        qtbot.keyClick(tab.beside, Qt.Key.Key_C, CTRL)
    held = QGuiApplication.clipboard().mimeData()
    assert held.text().splitlines()[0] == "0201, 3 calvings, Beck side, calves 2\u00a0Apr ± 3 days"
    assert "Begin by 24\u00a0Jan" in held.text()
    assert held.hasImage()


@pytest.mark.parametrize("form", [".png", ".svg"])
def test_that_her_chart_is_saved_as_dots_or_shapes(
    page: CowsPage, tab: OneCowTab, qtbot: QtBot, tmp_path: Path, form: str
) -> None:
    with qtbot.waitSignal(page.save_wished) as asked:
        qtbot.mouseClick(tab.save_button, Qt.MouseButton.LeftButton)
    assert asked.args is not None
    wish = asked.args[0]
    assert isinstance(wish, SaveWish)
    path = wish.write(tmp_path / f"cow{form}")
    if form == ".png":
        image = QImage(str(path))
        assert (image.width(), image.height()) == (1800, 1240)
        colours = {image.pixelColor(x, y).name() for x in range(0, 1800, 7) for y in range(0, 1240, 7)}
        assert len(colours) > 10, "something is drawn"
    else:
        text = path.read_text(encoding="utf-8")
        assert text.lstrip().startswith("<?xml")
        assert "<image" not in text, "shapes, no dots"


def test_that_her_page_is_printed_on_one_a4(page: CowsPage, tab: OneCowTab, qtbot: QtBot, tmp_path: Path) -> None:
    with qtbot.waitSignal(page.print_wished) as asked:
        page.print_page()
    assert asked.args is not None
    wish = asked.args[0]
    assert isinstance(wish, PrintWish)
    printer = a4_printer(wish.what, landscape=wish.landscape)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "cow.pdf"))
    assert wish.draw(printer) == 1
    assert (tmp_path / "cow.pdf").read_bytes().startswith(b"%PDF")
