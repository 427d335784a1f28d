from __future__ import annotations

from datetime import date
from pathlib import Path

from herdscore.domain import records as r
from herdscore.exchange.drafts import DAY_FIRST, MONTH_FIRST, Answers, DateOrderQuestion, NewCowsQuestion
from tests.exchange.books import places, read

DAY = date(2026, 11, 3)
HEADS = ("Tag", "Date", "Score")


def _either_way() -> dict[str, list[tuple[object, ...]]]:
    return {
        "Cows": [("Tag", "Due date"), ("1", "05/03/2027"), ("2", "2027-03-28"), ("3", "07/04/2027")],
        "Scores": [HEADS, ("1", "13/10/2026", 2.5), ("2", "05/11/2026", 3)],
    }


def test_that_a_date_order_is_asked_once_per_column_with_an_example(tmp_path: Path) -> None:
    draft = read(tmp_path, _either_way())
    question = DateOrderQuestion("Cows", "Due date", "05/03/2027", date(2027, 3, 5), date(2027, 5, 3), 2)
    assert draft.questions == (question,)
    assert question.text == "Cows, column Due date: is 05/03/2027 the 5th of March or the 3rd of May?"
    assert places(draft) == [("Cows", 2, "Due date"), ("Cows", 4, "Due date")]
    assert [cow.calving_date for cow in draft.cows] == [None, date(2027, 3, 28), None]
    scores = [row.day for row in draft.records if isinstance(row, r.Score)]
    assert scores == [date(2026, 10, 13), date(2026, 11, 5)]


def test_that_an_answer_settles_the_whole_column_and_no_other(tmp_path: Path) -> None:
    for order, days in {
        DAY_FIRST: (date(2027, 3, 5), date(2027, 4, 7)),
        MONTH_FIRST: (date(2027, 5, 3), date(2027, 7, 4)),
    }.items():
        draft = read(tmp_path, _either_way(), answers=Answers({("Cows", "Due date"): order}))
        assert (draft.cows[0].calving_date, draft.cows[2].calving_date) == days
        assert draft.questions == ()
        assert not draft.has_problems


def _new_cows() -> dict[str, list[tuple[object, ...]]]:
    return {
        "Cows": [("Tag",), ("0142",)],
        "Scores": [HEADS, ("0771", DAY, 3), ("UK 7", DAY, 3), ("uk7", date(2026, 10, 1), 3), (142, DAY, 3)],
        "Weights": [("Tag", "Date", "Weight"), ("0771", DAY, 640)],
    }


def test_that_cows_met_only_in_scores_are_asked_about_once_and_kept_out_until_then(tmp_path: Path) -> None:
    draft = read(tmp_path, _new_cows())
    assert draft.questions == (NewCowsQuestion(("0771", "UK 7")),)
    assert draft.questions[0].text == "2 cows are in Scores but not in Cows. Add these 2 cows?"
    assert places(draft) == [("Scores", row, "Tag") for row in (2, 3, 4)] + [("Weights", 2, "Tag")]
    assert draft.counts["scores"] == 1


def test_that_yes_adds_them_and_no_leaves_them_out_without_asking_again(tmp_path: Path) -> None:
    yes = read(tmp_path, _new_cows(), answers=Answers(add_unknown_cows=True))
    assert [cow.tag for cow in yes.cows] == ["0142", "0771", "UK 7"]
    assert (yes.counts["scores"], yes.counts["weights"]) == (4, 1)
    assert not yes.has_problems
    no = read(tmp_path, _new_cows(), answers=Answers(add_unknown_cows=False))
    assert (len(no.cows), no.questions, len(no.problems)) == (1, (), 4)


def test_that_without_a_cows_sheet_every_tag_in_scores_is_a_cow(tmp_path: Path) -> None:
    draft = read(tmp_path, {"Scores": [HEADS, (142, DAY, 3), ("0142", date(2026, 10, 1), 2.5), ("7", None, 3)]})
    assert [cow.tag for cow in draft.cows] == ["0142"]
    assert draft.counts["scores"] == 2
    assert draft.questions == ()
    assert places(draft) == [("Scores", 4, "Date")]


def test_that_a_number_that_fits_two_cows_is_not_guessed(tmp_path: Path) -> None:
    cows = [("Tag",), ("0142",), ("00142",)]
    draft = read(tmp_path, {"Cows": cows, "Scores": [HEADS, (142, DAY, 3), ("0142", DAY, 2.5)]})
    assert [(one.row, one.wrong) for one in draft.problems] == [(2, "fits 0142 and 00142")]
    assert draft.counts["scores"] == 1


def test_that_text_with_and_without_zeros_are_two_cows(tmp_path: Path) -> None:
    draft = read(tmp_path, {"Cows": [("Tag",), ("0142",)], "Scores": [HEADS, ("142", DAY, 3)]})
    assert draft.questions == (NewCowsQuestion(("142",)),)


def test_that_a_management_number_in_place_of_a_tag_is_pointed_out(tmp_path: Path) -> None:
    cows = [("Tag", "Management no"), ("UK 123", "M7")]
    draft = read(tmp_path, {"Cows": cows, "Scores": [HEADS, ("m7", DAY, 3)]})
    assert draft.problems[0].what_to_do == "Management no m7 is cow UK 123: write her tag."
