"""A round from opening to summary on the scoring page, by real keys over a real herd file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from PySide6.QtCore import QMarginsF, QSizeF, Qt
from PySide6.QtGui import QPageLayout, QPageSize, QPdfWriter
from PySide6.QtWidgets import QAbstractButton
from pytestqt.qtbot import QtBot

from herdscore.domain import rounds
from herdscore.domain.changes import adding
from herdscore.domain.records import Record, Round, Score
from herdscore.domain.rounds import open_round, progress
from herdscore.domain.scored import quarters_of, score_on
from herdscore.pages.crush_page import CAUTION, SUMMARY
from herdscore.pages.scoring_strip import CHECK, LEARN, NEW_ROUND, ROUND
from herdscore.parts.crush_sheet import ROW_PX
from herdscore.parts.report_pages import a4, lay_out, paper_size
from herdscore.parts.theme import Look
from herdscore.store.herd_file import HerdFile
from tests.domain.recorded_herds import TODAY, ahead
from tests.pages.rounds_rig import TAGS, AtTheCrush, at_the_crush, herd_for_a_round, text_of_pdf


@pytest.fixture
def crush(tmp_path: Path, look: Look, qtbot: QtBot) -> Iterator[AtTheCrush]:
    with at_the_crush(tmp_path, look, qtbot, herd_for_a_round()) as made:
        yield made


def test_a_whole_round_by_keys_from_opening_it_to_its_summary(crush: AtTheCrush, tmp_path: Path) -> None:
    page = crush.page
    crush.alt(Qt.Key.Key_R)
    assert page.panel == ROUND
    crush.keys("\n")  # the name proposed will do
    assert page.panel == CAUTION
    crush.keys("\n")
    assert page.panel == ""
    assert page.tag.hasFocus()
    made = open_round(crush.herd.snapshot)
    assert made is not None
    assert made.name == "January round"
    assert made.opened == TODAY
    assert page.strip.round_box.currentText() == "January round"
    crush.settle()
    crush.alt(Qt.Key.Key_R)
    crush.press(page.panels.round.save_key)
    paper = text_of_pdf(crush.saved_wishes[-1].write(tmp_path / "crush.pdf", lambda *_: None))
    assert all(tag in paper for tag in TAGS)
    assert "2001" not in paper
    assert "Beck side" in paper
    assert "Top yard" in paper
    crush.keys("~")
    for at, tag in enumerate(TAGS):
        score = "2" if at % 2 else "3"
        crush.keys(f"{tag}\n{score}=\n")
        assert page.strip.count.text() == f"{at + 1} of 22 scored"
    crush.settle()
    crush.alt(Qt.Key.Key_R)
    close = page.panels.round.close_key
    close.setFocus()
    crush.keys(" ")
    crush.settle()
    assert page.panel == SUMMARY
    found = page.panels.summary.found
    assert found is not None
    assert (found.herd.cows, found.herd.mean, found.herd.change) == (22, 2.5, 0.0)
    by_group = {one.group: (one.cows, one.mean, one.mean_before, one.change) for one in found.groups}
    assert by_group == {"Beck side": (11, 2.0, 2.5, -0.5), "Top yard": (11, 3.0, 2.5, 0.5)}
    shown = page.panels.summary
    assert "22 of 22 scored" in shown.claim.text()
    assert shown.act.model().rowCount() == len(found.to_act) > 0
    crush.press(shown.save_key)
    summed = text_of_pdf(crush.saved_wishes[-1].write(tmp_path / "summary.pdf", lambda *_: None))
    assert "January round" in summed
    assert "22 of 22 scored" in summed
    assert open_round(crush.herd.file.read()) is None
    for tag in TAGS:
        kept = score_on(crush.herd.snapshot, crush.herd.snapshot.cow_place[tag], TODAY, "R. T.")
        assert kept is not None
        assert quarters_of(kept) in (8, 12)


def test_that_esc_and_the_button_go_back_to_the_cows_and_digits_score_nobody(crush: AtTheCrush) -> None:
    page = crush.page
    crush.keys("0512\n")
    crush.alt(Qt.Key.Key_S)
    assert page.panel == SUMMARY
    crush.keys("345x")
    before = page.work.entry
    assert before is not None
    assert before.sites == (None, None, None)
    crush.keys("~")
    assert page.panel == ""
    crush.keys("3")
    entry = page.work.entry
    assert entry is not None
    assert entry.sites == (12, None, None)
    crush.alt(Qt.Key.Key_L)
    crush.press(page.panels.back)
    assert page.panel == ""


def test_that_every_panel_is_reached_by_its_key_and_by_its_tab(crush: AtTheCrush) -> None:
    for key, panel in (("R", ROUND), ("S", SUMMARY), ("K", CHECK), ("L", LEARN)):
        crush.alt(Qt.Key[f"Key_{key}"])
        assert crush.page.panel == panel
        held = crush.page.focusWidget()
        assert held is not None
        assert crush.page.panels.isAncestorOf(held)
    for panel in (ROUND, SUMMARY, CHECK, LEARN):
        crush.press(crush.page.panels.tabs.button(panel))
        assert crush.page.panel == panel


def test_that_a_round_without_a_name_or_a_cow_is_not_opened(crush: AtTheCrush) -> None:
    new = crush.page.panels.round.new
    crush.alt(Qt.Key.Key_R)
    new.pens.name.put("  ")
    crush.press(new.go)
    assert open_round(crush.herd.snapshot) is None
    assert new.pens.name.said == "Give the round a name."
    new.pens.name.put("Empty")
    new.covers.put("autumn")
    crush.press(new.go)
    assert open_round(crush.herd.snapshot) is None
    assert "No cow is on that list" in new.covers.said


def test_that_a_round_holds_the_cows_of_its_list(crush: AtTheCrush) -> None:
    new = crush.page.panels.round.new
    for covers, cows in (("all", 22), ("spring", 22), ("first-calvers", 3), ("group Top yard", 11)):
        crush.alt(Qt.Key.Key_R)
        new.covers.put(covers)
        new.pens.lean.put("Top yard")
        crush.press(new.go)
        made = open_round(crush.herd.snapshot)
        assert made is not None
        assert (made.lean_pen, made.covers) == ("Top yard", covers)
        assert progress(crush.herd.snapshot, made).total == cows
        assert crush.page.strip.count.text() == f"0 of {cows} scored"
        crush.settle()


def _older_round(crush: AtTheCrush) -> Round:
    change = rounds.opening(crush.herd.assessment, "Old round", "all", ahead(-1))
    assert crush.herd.push(change, "open")
    crush.settle()
    made = open_round(crush.herd.snapshot)
    assert made is not None
    return made


def test_that_a_round_open_since_yesterday_says_so_and_is_carried_over(crush: AtTheCrush) -> None:
    made = _older_round(crush)
    skipped = rounds.skipping(crush.herd.snapshot, made, TAGS[3])
    assert skipped is not None
    assert crush.herd.push(skipped, "skip")
    panel = crush.page.panels.round
    crush.alt(Qt.Key.Key_R)
    assert "Open since yesterday" in panel.since.text()
    assert panel.since.isVisible()
    assert panel.skipped.text().endswith(TAGS[3])
    crush.press(panel.over)
    far = progress(crush.herd.snapshot, made)
    assert not far.skipped.any()
    assert int(far.to_come.sum()) == 22
    assert not panel.over.isEnabled()
    assert panel.skipped.isHidden()


def test_that_skip_leaves_a_cow_of_the_round_for_later(crush: AtTheCrush) -> None:
    made = _older_round(crush)
    crush.keys("0512\n")
    crush.press(crush.page.skip)
    far = progress(crush.herd.snapshot, made)
    assert crush.herd.snapshot.cows.tag[far.skipped].tolist() == ["0512"]
    crush.alt(Qt.Key.Key_R)
    assert crush.page.panels.round.skipped.text() == "Skipped:  0512"


def test_that_a_second_round_closes_the_first_and_the_first_can_be_looked_at(crush: AtTheCrush) -> None:
    old = _older_round(crush)
    crush.alt(Qt.Key.Key_R)
    crush.press(crush.page.panels.round.new.go)
    crush.settle()
    box, panel = crush.page.strip.round_box, crush.page.panels.round
    assert [box.itemText(at) for at in range(box.count())] == ["January round", "Old round, closed", "New round …"]
    assert box.itemData(box.count() - 1) == NEW_ROUND
    crush.page.strip.round_chosen.emit(old.id)
    assert panel.title.text() == "Old round"
    assert panel.again.isVisible()
    assert panel.close_key.isHidden()
    crush.press(panel.again)
    crush.settle()
    now = open_round(crush.herd.snapshot)
    assert now is not None
    assert now.id == old.id


def test_that_name_and_pens_are_kept_and_undone(crush: AtTheCrush) -> None:
    made = _older_round(crush)
    panel = crush.page.panels.round
    crush.alt(Qt.Key.Key_R)
    panel.pens.name.put("Winter round")
    panel.pens.fat.put("Low haugh")
    crush.press(panel.keep)
    assert open_round(crush.herd.snapshot) == replace(made, name="Winter round", fat_pen="Low haugh")
    crush.herd.undo()
    assert open_round(crush.herd.snapshot) == made


def test_that_a_day_low_for_everybody_is_said(tmp_path: Path, look: Look, qtbot: QtBot) -> None:
    level = [Score(f"m{tag}", tag, ahead(-40), 10, 10, 10, 10, scorer="R. T.") for tag in TAGS]
    lows = [Score(f"n{tag}", tag, TODAY, 5, 5, 5, 5, scorer="R. T.") for tag in TAGS]
    with at_the_crush(tmp_path, look, qtbot, [*herd_for_a_round(), *level]) as crush:
        _older_round(crush)
        assert crush.herd.push(adding("score", lows), "scores")
        crush.settle()
        crush.alt(Qt.Key.Key_S)
        page = crush.page.panels.summary
        assert page.off.isVisible()
        assert "Tue 12\u00a0Jan, R. T., looks low for everybody" in page.off.text()


def test_that_one_cow_makes_a_round(tmp_path: Path, look: Look, qtbot: QtBot) -> None:
    with at_the_crush(tmp_path, look, qtbot, herd_for_a_round(["0007"])) as crush:
        _older_round(crush)
        crush.keys("0007\n2=\n")
        crush.settle()
        assert crush.page.strip.count.text() == "1 of 1 scored"
        crush.alt(Qt.Key.Key_S)
        page = crush.page.panels.summary
        assert page.groups.model().rowCount() == 1
        assert "Mean 2.00;" in page.claim.text()


def test_that_a_herd_without_cows_has_panels_and_a_list_that_says_so(tmp_path: Path, look: Look, qtbot: QtBot) -> None:
    nobody: list[Record] = [one for one in herd_for_a_round([]) if not isinstance(one, Score)]
    with at_the_crush(tmp_path, look, qtbot, nobody) as crush:
        for key in "RSKL":
            crush.alt(Qt.Key[f"Key_{key}"])
        crush.alt(Qt.Key.Key_R)
        crush.press(crush.page.panels.round.save_key)
        paper = text_of_pdf(crush.saved_wishes[-1].write(tmp_path / "crush.pdf", lambda *_: None))
        assert "No cow is to be scored." in paper


def test_that_a_printer_gets_the_pages_the_pdf_has(crush: AtTheCrush, tmp_path: Path) -> None:
    crush.alt(Qt.Key.Key_R)
    crush.press(crush.page.panels.round.print_key)
    writer = QPdfWriter(str(tmp_path / "printer.pdf"))
    writer.setResolution(300)  # a printer's dots, not those of the screen
    margins = QMarginsF(12, 12, 12, 12)
    size, upright = QPageSize(QPageSize.PageSizeId.A4), QPageLayout.Orientation.Portrait
    writer.setPageLayout(QPageLayout(size, upright, margins, QPageLayout.Unit.Millimeter))
    crush.print_wishes[-1].draw(writer)
    del writer
    crush.press(crush.page.panels.round.save_key)
    file = crush.saved_wishes[-1].write(tmp_path / "file.pdf", lambda *_: None)
    assert text_of_pdf(tmp_path / "printer.pdf") == text_of_pdf(file) != ""


def test_that_a_long_crush_list_repeats_its_headings_and_stays_on_the_paper(
    tmp_path: Path, look: Look, qtbot: QtBot
) -> None:
    tags = [f"UK 123456 7{number:05d}" for number in range(120)]
    with at_the_crush(tmp_path, look, qtbot, herd_for_a_round(tags)) as crush:
        report = crush.page.crush_list()
        size: QSizeF = paper_size(a4())
        pages = lay_out(report, size)
        assert len(pages) >= 4
        boxes = [box for page in pages for box, piece in page.placed if piece.height == ROW_PX]
        assert len(boxes) == 120
        assert max(box.bottom() for box in boxes) <= size.height()
        assert max(box.right() for box in boxes) <= size.width()
        crush.alt(Qt.Key.Key_R)
        crush.press(crush.page.panels.round.save_key)
        paper = text_of_pdf(crush.saved_wishes[-1].write(tmp_path / "crush.pdf", lambda *_: None))
        assert all(tag in paper for tag in tags)
        assert paper.count("continued") >= 2


def test_that_nothing_can_be_opened_while_looking_at_another_day(crush: AtTheCrush) -> None:
    crush.herd.choose_day(ahead(20))
    crush.bot.waitUntil(lambda: crush.herd.assessment.today == ahead(20))
    crush.alt(Qt.Key.Key_R)
    new = crush.page.panels.round.new
    assert not new.go.isEnabled()
    assert new.said.text() == crush.herd.why_not


def test_that_a_round_of_the_file_is_there_when_it_is_opened_again(crush: AtTheCrush, tmp_path: Path) -> None:
    made = _older_round(crush)
    with HerdFile.open(tmp_path / "moor.herd", read_only=True) as file:
        assert open_round(file.read()) == made
        assert int(progress(file.read(), made).listed.sum()) == 22


def test_that_every_button_of_the_panels_is_named_large_and_whole(crush: AtTheCrush) -> None:
    _older_round(crush)
    sizes = ((1274, 670), (1188, 560), (1828, 950))
    for size, panel in product(sizes, (ROUND, SUMMARY, CHECK, LEARN, CAUTION)):
        crush.page.resize(*size)
        crush.page.show_panel(panel)
        crush.page.grab()
        shown = [one for one in crush.page.panels.findChildren(QAbstractButton) if one.isVisible()]
        small = {one.text() for one in shown if one.text() and min(one.width(), one.height()) < 44}
        assert not small, (panel, small)
        cut = {one.text() for one in shown if one.text() and one.width() < one.minimumSizeHint().width()}
        assert not cut, (panel, cut)
