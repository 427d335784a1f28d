"""The list of what was wrong in a sheet: every place said, questions asked once, nothing hidden."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from herdscore.desk.reading import DAY_FIRST, Answers, DateOrderQuestion, Draft, NewCowsQuestion, RowProblem
from herdscore.domain.records import Cow
from herdscore.exchange.drafts import NOTE
from herdscore.pages.problems import ProblemsPage
from herdscore.parts.list_view import ListView
from herdscore.parts.question_band import QuestionBand
from herdscore.parts.theme import Look

PROBLEMS = (
    RowProblem("Cows", 14, "Calving date", "31/02/2027", "no such day", "date left empty", "Write it as YYYY-MM-DD."),
    RowProblem("Scores", 340, "Loin", "25", "not between 1 and 5", "site left empty"),
    RowProblem("Weights", None, "Girth", "a heading", "unknown column", "not used", severity=NOTE),
)
DATES = DateOrderQuestion("Scores", "Date", "05/03/2026", date(2026, 3, 5), date(2026, 5, 3), 31)
NEW = NewCowsQuestion(("0771", "0772"))
DRAFT = Draft("oakbank.xlsx", (Cow("a", "0512"), Cow("b", "0347")), PROBLEMS, (DATES, NEW))


@pytest.fixture
def page(look: Look, qtbot: QtBot) -> ProblemsPage:
    made = ProblemsPage(look, DRAFT)
    qtbot.addWidget(made)
    made.resize(1188, 600)
    made.show()
    return made


def texts(page: ProblemsPage) -> list[str]:
    return [one.text() for one in page.findChildren(QLabel) if one.isVisible()]


def button(page: ProblemsPage, words: str) -> QPushButton:
    return next(one for one in page.findChildren(QPushButton) if one.text() == words and one.isVisible())


def rows(page: ProblemsPage) -> list[list[str]]:
    model = page.findChild(ListView).rows
    return [[str(model.index(row, at).data()) for at in range(model.columnCount())] for row in range(model.rowCount())]


def test_that_every_problem_stands_with_its_place_and_what_becomes_of_it(page: ProblemsPage) -> None:
    assert rows(page) == [
        ["Cows", "14", "Calving date", "“31/02/2027”", "no such day", "date left empty"],
        ["Scores", "340", "Loin", "“25”", "not between 1 and 5", "site left empty"],
        ["Weights", "all", "Girth", "“a heading”", "unknown column", "not used"],
    ]
    assert "oakbank.xlsx: 2 cows, 0 scores, 2 problems, 1 note" in texts(page)


def test_that_the_chosen_row_is_said_in_full_with_what_to_do(page: ProblemsPage) -> None:
    words = "Cows, row 14, Calving date says “31/02/2027”: no such day. It comes in as: date left empty."
    assert f"{words} Write it as YYYY-MM-DD." in texts(page)
    QTest.keyClick(page.findChild(ListView), Qt.Key.Key_Down)
    assert any(text.startswith("Scores, row 340, Loin") for text in texts(page))
    page.show_draft(replace(DRAFT, problems=PROBLEMS[:1]))
    assert f"{words} Write it as YYYY-MM-DD." in texts(page)


def test_that_a_date_order_is_asked_once_a_column_with_both_days_as_answers(page: ProblemsPage, qtbot: QtBot) -> None:
    bands = page.findChildren(QuestionBand)
    assert len(bands) == 2
    page.focus_first()
    first = page.focusWidget()
    assert isinstance(first, QPushButton)
    assert first.text() == "5 March"
    with qtbot.waitSignal(page.answered) as answered:
        QTest.keyClick(first, Qt.Key.Key_Space)
    assert answered.args == [Answers({("Scores", "Date"): DAY_FIRST})]


def test_that_an_answer_stays_and_can_be_changed(page: ProblemsPage, qtbot: QtBot) -> None:
    button(page, "5 March").click()
    page.show_draft(replace(DRAFT, questions=(NEW,)))
    bands = page.findChildren(QuestionBand)
    assert sum(band.isVisible() for band in bands) == 2
    with qtbot.waitSignal(page.answered) as answered:
        button(page, "3 May").click()
    assert answered.args[0].date_orders == {("Scores", "Date"): "month first"}


def test_that_new_cows_are_added_or_left_out_by_one_answer(page: ProblemsPage, qtbot: QtBot) -> None:
    with qtbot.waitSignal(page.answered) as answered:
        button(page, "Add them").click()
    assert answered.args[0].add_unknown_cows is True
    with qtbot.waitSignal(page.use_good_rows) as used:
        button(page, "Use the good rows").click()
    assert used.args[0].add_unknown_cows is True


def test_that_the_other_ways_on_are_buttons_of_their_own(page: ProblemsPage, qtbot: QtBot) -> None:
    ways = {
        "Mend the sheet, read again": page.read_again,
        "Save this list": page.save_list,
        "Cancel": page.cancelled,
    }
    for words, signal in ways.items():
        with qtbot.waitSignal(signal):
            button(page, words).click()


def test_that_a_mended_sheet_is_opened_by_its_own_words(page: ProblemsPage) -> None:
    page.show_draft(Draft("oakbank.xlsx", DRAFT.records, (), ()))
    assert button(page, "Open this herd").isEnabled()
    assert "oakbank.xlsx: 2 cows, 0 scores, no problems" in texts(page)


@pytest.mark.parametrize("width", [1170, 1820])
def test_that_no_button_is_cut_off_or_too_small(page: ProblemsPage, look: Look, width: int) -> None:
    page.resize(width, 560)
    for one in page.findChildren(QPushButton):
        if one.isVisible():
            assert one.height() >= 44
            assert one.width() >= one.sizeHint().width(), one.text()


def test_that_many_questions_scroll_and_leave_room_for_the_list(look: Look, qtbot: QtBot) -> None:
    many = tuple(replace(DATES, column=f"Date {n}") for n in range(9))
    page = ProblemsPage(look, replace(DRAFT, questions=many))
    qtbot.addWidget(page)
    page.resize(1188, 600)
    page.show()
    assert page.height() == 600
    assert page.findChild(ListView).height() > 100
