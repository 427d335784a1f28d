"""Two people score the same cows blind, by real keys over a real herd file, and are told how they agree."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from herdscore.domain.crush_words import read_crush_words
from herdscore.domain.felt_words import SITES
from herdscore.pages.check import CheckPage
from herdscore.pages.guide import GuidePage
from herdscore.pages.learning import LearningPage
from herdscore.parts.list_model import ListModel
from herdscore.parts.theme import Look
from tests.domain.herds import RULES
from tests.pages.rounds_rig import AtTheCrush, at_the_crush, herd_for_a_round

ONE, TWO = "R. T.", "M. K."


@pytest.fixture
def crush(tmp_path: Path, look: Look, qtbot: QtBot) -> Iterator[AtTheCrush]:
    with at_the_crush(tmp_path, look, qtbot, herd_for_a_round()) as made:
        made.alt(Qt.Key.Key_K)
        yield made


def begun(crush: AtTheCrush, cows: int = 20) -> CheckPage:
    """The page with a check begun and the keyboard on its cows."""
    check = crush.page.panels.check
    check.start.one.put(ONE)
    check.start.two.put(TWO)
    check.start.count.setValue(cows)
    check.start.go.setFocus()
    crush.keys(" ")
    assert check.scoring.isVisible()
    assert check.scoring.cows.hasFocus()
    return check


def scored(crush: AtTheCrush, keys: list[str]) -> None:
    """Take the first cow and give each a score for all sites."""
    crush.keys("\n")
    for key in keys:
        crush.keys(f"{key}=\n")


def shown(page: CheckPage) -> str:
    """Every word on the page in front."""
    front = page.scoring if page.scoring.isVisible() else page.result
    return "\n".join(one.text() for one in front.findChildren(QLabel) if one.isVisible())


def test_that_twenty_cows_scored_blind_by_two_who_agree_are_a_pass(crush: AtTheCrush) -> None:
    check = begun(crush)
    given = ["2", "22", "3", "33"] * 5
    scored(crush, given)
    assert check.work.turn == 1
    scored(crush, given)
    check.scoring.compare.setFocus()
    crush.keys(" ")
    assert check.result.isVisible()
    assert check.result.claim.text().startswith("Pass")
    said = shown(check)
    assert "20 of 20 cows within 0.5: 100\u00a0%" in said
    assert "Weighted kappa 1.00: very good agreement" in said
    kept = crush.herd.file.read()
    assert len(kept.blind_scores) == 40
    assert len(kept.scores) == 22  # those of the herd are as they were


def test_that_two_a_whole_score_apart_are_to_practise(crush: AtTheCrush) -> None:
    check = begun(crush)
    scored(crush, ["2", "22"] * 10)
    scored(crush, ["3", "33"] * 10)
    crush.press(check.scoring.compare)
    assert check.result.claim.text().startswith("Practise")
    assert "M. K. scores 1.00 higher on average, at most 0.15\u00a0✗" in shown(check)


def test_that_neither_sees_what_the_other_gave_before_they_are_compared(crush: AtTheCrush) -> None:
    check = begun(crush, 3)
    scored(crush, ["4", "4", "4"])
    assert check.work.scorer == TWO
    crush.keys("\n")
    entry = check.work.entry
    assert entry is not None
    assert entry.sites == (None, None, None)
    model = check.scoring.cows.model()
    assert isinstance(model, ListModel)
    assert {model.row_at(at).texts[1] for at in range(model.rowCount())} == {""}
    assert not any(key.isChecked() for one in check.scoring.pad.rows for key in one.keys)
    assert not any("4" in line for line in shown(check).splitlines() if "felt by" not in line and "1–5" not in line)


def test_that_a_cow_left_out_by_x_is_not_asked_of_the_other(crush: AtTheCrush) -> None:
    check = begun(crush, 4)
    crush.keys("\nx2=\n2=\n2=\n")
    assert check.work.turn == 1
    assert len(check.work.to_do(1)) == 3


def test_that_fewer_cows_than_asked_are_no_pass_but_said_to_be_well(crush: AtTheCrush) -> None:
    check = begun(crush, 3)
    scored(crush, ["2", "3", "3"])
    scored(crush, ["2", "3", "3"])
    crush.press(check.scoring.compare)
    assert check.result.claim.text() == "Well so far: 20 cows are needed to pass"


def test_that_a_check_goes_on_the_same_day_where_it_stopped(crush: AtTheCrush) -> None:
    check = begun(crush, 5)
    drawn = list(check.work.cows)
    scored(crush, ["2", "3"])
    crush.press(check.scoring.leave)
    begun(crush, 5)
    assert check.work.cows == drawn
    assert len(check.work.to_do(0)) == 3


@pytest.mark.parametrize(
    ("one", "two", "says"),
    [("", TWO, "Name both people."), (ONE, " r.  t. ", "Two different people, please."), (ONE, TWO, "")],
)
def test_that_two_different_people_have_to_be_named(crush: AtTheCrush, one: str, two: str, says: str) -> None:
    start = crush.page.panels.check.start
    start.one.put(one)
    start.two.put(two)
    crush.press(start.go)
    assert start.said.text() == says


def test_that_the_switch_lets_own_spreads_into_the_model_and_out_again(crush: AtTheCrush) -> None:
    check = begun(crush)
    scored(crush, ["2", "22"] * 10)
    scored(crush, ["3", "33"] * 10)
    crush.press(check.scoring.compare)
    crush.press(check.result.again)
    crush.settle()
    start = check.start
    before = crush.herd.assessment.course.session_bias.copy()
    assert not start.own.isChecked()
    assert "R. T. 0." in start.spreads.text()
    start.own.setFocus()
    crush.keys(" ")
    crush.settle()
    assert start.own.isChecked()
    assert crush.herd.rulebook.crush.uses_own_spread
    assert crush.herd.assessment.course.session_bias.tolist() != before.tolist()
    crush.keys(" ")
    crush.settle()
    assert crush.herd.assessment.course.session_bias.tolist() == before.tolist()


def test_that_a_check_made_before_is_looked_at_again(crush: AtTheCrush) -> None:
    check = begun(crush, 2)
    scored(crush, ["2", "3"])
    scored(crush, ["2", "3"])
    crush.press(check.scoring.leave)
    work = check.work
    assert [(one.cows, {one.one, one.two}) for one in work.earlier] == [(2, {ONE, TWO})]
    work.look_at(work.earlier[0])
    assert check.result.isVisible()
    assert check.result.cows.model().rowCount() == 2


def test_that_the_lesson_says_what_is_felt_at_every_score_of_every_site(look: Look, qtbot: QtBot) -> None:
    page = LearningPage(look)
    qtbot.addWidget(page)
    page.resize(1188, 560)
    page.show()
    felt = RULES.tables["felt_words"]
    for site in SITES:
        button = page.sites.button(site)
        button.setFocus()
        QTest.keyClick(button, Qt.Key.Key_Space)
        assert [one.say.text() for one in page.cards] == felt[site]["say"]
        assert page.hand.text() == felt[site]["hand"]
        names = [one.drawing.accessibleName() for one in page.cards]
        assert names[0] == f"What the hand feels: {site} at 1"
        assert names[-1] == f"What the hand feels: {site} at 5"
    words = "\n".join(one.text() for one in page.findChildren(QLabel) if one.isVisible())
    said = read_crush_words(RULES.tables["crush_words"])
    assert all(one in words for one in (*said.caution.say, *said.handling.say))


def test_that_no_word_of_the_lesson_is_cut_off_in_a_low_window(look: Look, qtbot: QtBot) -> None:
    page = LearningPage(look)
    qtbot.addWidget(page)
    page.resize(1188, 560)
    page.show()
    for site in SITES:
        page.show_site(site)
        page.grab()
        for one in page.cards:
            assert one.say.height() >= one.say.heightForWidth(one.say.width()), (site, one.say.text())


def test_that_the_guide_leads_to_the_lesson_and_back_to_its_chapters(look: Look, qtbot: QtBot) -> None:
    page = GuidePage(look)
    qtbot.addWidget(page)
    page.show()
    page.learn_key.setFocus()
    QTest.keyClick(page.learn_key, Qt.Key.Key_Space)
    lesson = page.findChild(LearningPage)
    assert lesson is not None
    assert lesson.isVisible()
    page.show_chapter(0)
    assert not lesson.isVisible()
    page.show_learning()
    with qtbot.waitSignal(page.closed):
        QTest.keyClick(lesson.sites.button("loin"), Qt.Key.Key_Escape)
