"""The page at the crush, driven by real keys and the mouse over a real herd file."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import timedelta

import pytest
from PySide6.QtCore import QDate, QEvent, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox

from herdscore.desk.settings import SCORER
from herdscore.domain.scored import quarters_of
from herdscore.pages.cow_words import claim_of
from herdscore.pages.scoring_matches import MatchModel, MatchRow
from tests.domain.recorded_herds import TODAY
from tests.pages.crush_hands import TAGS, Crush
from tests.pages.crush_hands import crush as crush


def test_that_twenty_cows_are_scored_by_keys_alone_and_kept_as_quarters(crush: Crush) -> None:
    ways = {"2": 8, "22": 10, "2+": 9, "3-": 11, "3": 12, "33": 14, "2++": 10}
    given = {}
    for place, tag in enumerate(TAGS[:20]):
        typed, quarters = list(ways.items())[place % len(ways)]
        crush.keys(f"{tag}\n{typed}\n{typed}\n{typed}")
        crush.saved(lambda: crush.keys("\n"))
        given[tag] = quarters
    for tag, quarters in given.items():
        assert crush.sites(tag) == (quarters, quarters, quarters)
        kept = crush.kept(tag)
        assert kept is not None
        assert (kept.score, kept.scorer, kept.day) == (quarters, "R. T.", TODAY)
    assert crush.page.strip.count.text() == "20 of 22 scored"
    assert {row.id for row in crush.herd.file.read().records("scores")} == {
        row.id for row in crush.herd.snapshot.records("scores")
    }


def test_that_two_digits_and_the_same_score_save_a_cow_in_six_presses(crush: Crush) -> None:
    crush.keys("0521\n2=")
    crush.saved(lambda: crush.keys("\n"))
    crush.saved(lambda: crush.keys("21\n3=\n"))
    assert crush.sites("0921") == (12, 12, 12)


def test_that_a_cow_is_scored_by_mouse_alone(crush: Crush) -> None:
    page = crush.page
    row = [shown.tag for shown in page.matches.rows].index("0305")
    spot = page.matches.visualRect(page.matches.model().index(row, 0)).center()
    crush.bot.mouseClick(page.matches.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    for site, presses in enumerate((1, 2, 1)):
        for _ in range(presses):
            crush.press(page.feel.rows[site].keys[3])
    crush.press(page.feel.notes["T"])
    crush.saved(lambda: crush.press(page.feel.save))
    assert crush.sites("0305") == (10, 11, 10)
    kept = crush.kept("0305")
    assert kept is not None
    assert kept.note == "teeth"
    assert page.work.entry is None
    assert page.tag.hasFocus()


def test_that_leading_zeros_find_her_and_nobody_else(crush: Crush) -> None:
    crush.keys("0012")
    assert [row.tag for row in crush.page.matches.rows] == ["0012"]
    crush.keys("\n")
    assert crush.page.tag.text() == "0012"
    crush.keys("~012")
    assert [row.tag for row in crush.page.matches.rows] == ["0012"]


def test_that_what_enter_will_do_is_said_before_it_is_pressed(crush: Crush) -> None:
    crush.keys("12")
    assert crush.said() == "3 cows end in 12 / More digits, or choose with ↓ and Enter."
    crush.keys("↓↓")
    assert crush.page.rest.text() == "Enter takes 0112."
    crush.keys("~0512")
    assert crush.said() == "1 cow ends in 0512 / Enter takes 0512."
    crush.keys("\n3=")
    crush.saved(lambda: crush.keys("\n"))
    crush.keys("0512")
    assert crush.page.rest.text() == "Enter opens 0512 again, scored today."
    crush.keys("~01044")
    assert crush.page.rest.text() == "Enter takes 01044."


def test_that_the_only_cow_not_scored_yet_is_taken_of_several_that_fit(crush: Crush) -> None:
    for tag in ("0112", "0512"):
        crush.keys(f"{tag}\n3=")
        crush.saved(lambda: crush.keys("\n"))
    crush.keys("12")
    assert crush.page.rest.text() == "Enter takes 0012, the only one not scored today."
    crush.keys("\n")
    assert crush.page.tag.text() == "0012"


@pytest.mark.parametrize(
    ("keys", "claim"),
    [
        ("99\n", "No cow ends in 99"),
        ("0513\n", "No cow ends in 0513"),
        ("\n", "No cow yet"),
        ("2001\n", "2001 is marked sold"),
        ("\b", "No last cow to open"),
        ("0512\n7", "No such score"),
        ("0512\n+", "No score here yet"),
        ("0512\n2--------", "End of the scale"),
        ("0512\n=", "Nothing to repeat yet"),
        ("0512\n\n\n\n", "No site is scored yet"),
        ("0512\nq", "That key does nothing here"),
    ],
)
def test_that_wrong_input_gets_a_plain_sentence_and_writes_nothing(crush: Crush, keys: str, claim: str) -> None:
    before = crush.herd.snapshot
    crush.keys(keys)
    assert crush.page.claim.words == claim
    assert crush.page.rest.text().endswith(".")
    assert crush.herd.snapshot is before


def test_that_a_near_miss_is_offered_and_taken_only_when_it_is_chosen(crush: Crush) -> None:
    crush.keys("0513")
    assert [row.tag for row in crush.page.matches.rows] == ["0512"]
    crush.keys("\n")
    assert crush.page.work.entry is None
    crush.keys("↓\n")
    assert crush.page.tag.text() == "0512"


def test_that_a_past_day_is_lilac_and_scores_go_to_it(crush: Crush) -> None:
    page, day = crush.page, TODAY - timedelta(days=3)
    assert page.strip.property("hue") == ""
    page.strip.day_box.setDate(QDate(day.year, day.month, day.day))
    assert page.strip.property("hue") == "hold"
    assert page.strip.day_box.text().endswith(", from the notebook")
    page.focus_first()
    crush.keys("0512\n3=")
    crush.saved(lambda: crush.keys("\n"))
    assert crush.sites("0512", day) == (12, 12, 12)
    assert crush.kept("0512") is None
    assert page.strip.count.text() == "1 of 22 scored"


def test_that_no_day_ahead_can_be_scored(crush: Crush) -> None:
    day = TODAY + timedelta(days=1)
    crush.page.strip.day_box.setDate(QDate(day.year, day.month, day.day))
    assert crush.page.strip.day == TODAY
    assert crush.page.work.day == TODAY


def test_that_the_scorer_is_remembered_and_goes_with_the_score(crush: Crush) -> None:
    page = crush.page
    box = next(one for one in page.findChildren(QComboBox) if one.accessibleName() == "Scorer")
    edit = box.lineEdit()
    assert edit is not None
    edit.setFocus()
    edit.selectAll()
    crush.keys("K. B.\n".replace(" ", ""))
    assert crush.settings.get(SCORER) == "K.B."
    assert page.tag.hasFocus()
    crush.keys("0512\n3=")
    crush.saved(lambda: crush.keys("\n"))
    kept = crush.kept("0512", scorer="K.B.")
    assert kept is not None
    assert kept.scorer == "K.B."


def test_that_two_scorers_of_one_day_are_both_kept_and_told(crush: Crush) -> None:
    crush.keys("0512\n3=")
    crush.saved(lambda: crush.keys("\n"))
    crush.page.work.choose_scorer("K. B.")
    crush.keys("0512\n")
    assert crush.page.rest.text() == "R. T. gave her 3.0 today; both are kept."
    crush.keys("2=")
    crush.saved(lambda: crush.keys("\n"))
    assert crush.kept("0512") is not None
    assert crush.kept("0512", scorer="K. B.") is not None


def test_that_an_unsafe_cow_is_kept_with_her_notes_and_the_next_is_asked_for(crush: Crush) -> None:
    crush.keys("0512\nf")
    crush.saved(lambda: crush.keys("x"))
    kept = crush.kept("0512")
    assert kept is not None
    assert (quarters_of(kept), kept.note) == (None, "unsafe; feet")
    assert crush.page.work.entry is None
    assert crush.page.strip.count.text() == "0 of 22 scored, 1 unsafe"
    assert crush.page.claim.words == "0512 kept as unsafe"


def test_that_undo_takes_the_last_score_back_and_it_is_said(crush: Crush) -> None:
    assert not crush.page.undo.isEnabled()
    crush.keys("0512\n3=")
    crush.saved(lambda: crush.keys("\n"))
    assert crush.page.undo.isEnabled()
    with crush.bot.waitSignal(crush.herd.assessed):
        crush.press(crush.page.undo)
    assert crush.kept("0512") is None
    assert crush.page.strip.count.text() == "0 of 22 scored"
    assert crush.herd.file.read().of_cow("scores", crush.herd.snapshot.cow_place["0512"]).size == 1


def test_that_backspace_on_an_empty_box_opens_the_last_cow_and_mends_her(crush: Crush) -> None:
    crush.keys("0512\n3=")
    crush.saved(lambda: crush.keys("\n"))
    first = crush.kept("0512")
    crush.keys("\b")
    assert crush.page.tag.text() == "0512"
    crush.keys("2=")
    crush.saved(lambda: crush.keys("\n"))
    mended = crush.kept("0512")
    assert first is not None
    assert mended is not None
    assert (mended.id, mended.score) == (first.id, 8)


def test_that_a_second_score_of_the_day_says_so_and_replaces_only_on_purpose(crush: Crush) -> None:
    crush.keys("0512\n3=")
    crush.saved(lambda: crush.keys("\n"))
    crush.keys("0512\n")
    assert crush.page.rest.text() == "Scored today: 3.0. What you change replaces it."
    crush.keys("2=\n")
    assert crush.said() == "0512 was scored today: 3.0 / Enter once more replaces it with 2.0."
    assert crush.sites("0512") == (12, 12, 12)
    crush.saved(lambda: crush.keys("\n"))
    assert crush.sites("0512") == (8, 8, 8)


def test_that_sites_far_apart_ask_to_be_felt_again_in_place(crush: Crush) -> None:
    crush.keys("0512\n2\n3\n3\n")
    assert crush.said() == "1.0 apart: feel again / Enter keeps them; Esc: feel again."
    assert crush.page.feel.save.text() == "Save as felt"
    assert crush.kept("0512") is None
    crush.saved(lambda: crush.keys("\n"))
    assert crush.sites("0512") == (8, 12, 12)


def test_that_the_verdict_comes_with_the_last_site_and_is_the_one_that_is_kept(crush: Crush) -> None:
    crush.keys("0512\n")
    assert crush.verdict() == "Loin, ribs and tailhead to come"
    crush.keys("2\n2\n")
    assert crush.verdict() == "Tailhead to come"
    crush.keys("2")
    crush.bot.waitUntil(lambda: crush.verdict().startswith("Thin for 2.5"))
    foreseen = crush.verdict()
    crush.saved(lambda: crush.keys("\n"))
    place = crush.herd.assessment.snapshot.cow_place["0512"]
    assert claim_of(crush.herd.assessment, place) == foreseen
    assert crush.page.side.last.box.claim.text() == foreseen


def test_that_skip_leaves_a_cow_unscored_only_after_asking(crush: Crush) -> None:
    crush.keys("0512\n3")
    crush.press(crush.page.skip)
    assert crush.page.claim.words == "0512 is not saved yet"
    crush.press(crush.page.skip)
    assert crush.page.work.entry is None
    assert crush.kept("0512") is None
    assert crush.page.tag.hasFocus()


def test_that_looking_for_another_tag_does_not_give_up_a_cow_half_entered(crush: Crush) -> None:
    crush.keys("0512\n3")
    crush.page.find("0305")
    assert crush.page.claim.words == "Save this cow first"
    entry = crush.page.work.entry
    assert entry is not None
    assert entry.sites[0] == 12


def test_that_nothing_can_be_entered_while_looking_at_another_day_and_it_says_why(crush: Crush) -> None:
    with crush.bot.waitSignal(crush.herd.assessed):
        crush.herd.choose_day(TODAY - timedelta(days=30))
    before = crush.herd.snapshot
    crush.keys("0512\n3=\n")
    assert crush.page.rest.text() == crush.herd.why_not
    assert crush.page.claim.isHidden()
    crush.press(crush.page.feel.rows[1].keys[4])
    crush.press(crush.page.feel.save)
    assert crush.page.rest.text() == crush.herd.why_not
    assert crush.page.feel.rows[1].keys[4].isChecked() is False
    assert crush.herd.snapshot is before
    crush.keys("~")
    assert crush.page.work.entry is None


def test_that_a_score_that_could_not_be_written_is_not_lost_and_saved_by_the_next_press(crush: Crush) -> None:
    crush.keys("0512\n3=")
    with closing(sqlite3.connect(crush.herd.path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with crush.bot.waitSignal(crush.herd.failed):
            crush.keys("\n")
    assert crush.page.claim.words == "0512 is not saved"
    entry = crush.page.work.entry
    assert entry is not None
    assert entry.sites == (12, 12, 12)
    crush.saved(lambda: crush.keys("\n"))
    assert crush.sites("0512") == (12, 12, 12)


def test_that_the_ring_goes_by_arrows_and_space_presses(crush: Crush) -> None:
    crush.keys("0512\n→→ ")
    entry = crush.page.work.entry
    assert entry is not None
    assert entry.sites[0] == 14


def test_that_a_key_held_down_counts_once(crush: Crush) -> None:
    crush.keys("0512\n2")
    held = QApplication.focusWidget()
    assert held is not None
    again = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_2, Qt.KeyboardModifier.NoModifier, "2", True)
    QApplication.sendEvent(held, again)
    entry = crush.page.work.entry
    assert entry is not None
    assert entry.sites[0] == 8


def test_that_another_cow_is_shown_on_her_own_page(crush: Crush) -> None:
    crush.keys("0512\n")
    with crush.bot.waitSignal(crush.page.open_cow) as asked:
        crush.press(crush.page.side.cow.open)
    assert asked.args == ["0512"]


FORMS = {"1366x768": (1274, 670), "1920x1080": (1828, 982), "1280x680": (1188, 582), "with a band": (1188, 530)}


@pytest.mark.parametrize("form", list(FORMS))
def test_that_nothing_is_cut_off_or_too_small_to_press(crush: Crush, form: str) -> None:
    page = crush.page
    page.resize(*FORMS[form])
    crush.keys("0512\n2\n2\n2+")
    crush.bot.waitUntil(lambda: crush.verdict().startswith("Thin"))
    layout = page.layout()
    assert layout is not None
    least: QSize = layout.minimumSize()
    assert least.width() <= page.width()
    assert least.height() <= page.height()
    for row in page.feel.rows:
        assert all(key.width() >= 54 and key.height() >= 62 for key in row.keys)
    whole = page.rect()
    for button in page.findChildren(QAbstractButton):
        if button.isVisible():
            place = QRect(button.mapTo(page, QPoint(0, 0)), button.size())
            assert whole.contains(place), button.text()
            assert button.height() >= 44, button.text()


def test_that_the_lines_beside_the_tag_never_outgrow_their_place(crush: Crush) -> None:
    page = crush.page
    page.resize(*FORMS["1280x680"])
    long_ones = ["12", "0513", "0012", "01044\n", "0512\n\n\n\n", "0512\nq", "0512\n2\n3\n3\n"]
    for keys in long_ones:
        crush.keys(keys)
        wanted = page.claim.sizeHint().height() + page.rest.heightForWidth(page.rest.width())
        assert wanted <= page.tag.height(), page.rest.text()
        crush.keys("~~~~~")


def test_that_tag_box_and_right_side_stay_where_they_are(crush: Crush) -> None:
    page = crush.page

    def places() -> list[QRect]:
        return [QRect(one.mapTo(page, QPoint(0, 0)), one.size()) for one in (page.tag, page.side, page.undo, page.skip)]

    between = places()
    crush.keys("0512\n2\n2\n2+")
    crush.bot.waitUntil(lambda: crush.verdict().startswith("Thin"))
    assert places() == between
    save = page.feel.save.mapTo(page, QPoint(0, 0))
    crush.keys("++++")
    crush.bot.waitUntil(lambda: not crush.verdict().startswith("Thin"))
    assert page.feel.save.mapTo(page, QPoint(0, 0)) == save
    yesterday = TODAY - timedelta(days=1)
    page.strip.day_box.setDate(QDate(yesterday.year, yesterday.month, yesterday.day))
    assert places() == between


def test_that_every_key_and_field_has_a_name_for_a_screen_reader(crush: Crush) -> None:
    crush.keys("0512\n")
    page = crush.page
    for row in page.feel.rows:
        assert all(key.accessibleName() for key in row.keys)
    assert all(field.accessibleName() for field in (page.tag, *page.strip.fields))
    assert all(note.accessibleName() for note in page.feel.notes.values())


def test_that_the_list_of_matches_is_a_sound_model(crush: Crush) -> None:
    model = MatchModel(None)
    tester = QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    model.show_cows([3, 4], lambda cow: MatchRow(f"{cow}", "3 calvings", "last 2.5", "none", "not yet today"), 0)
    assert model.data(model.index(1)) == "4, 3 calvings, last 2.5, not yet today"
    model.show_cows([], lambda cow: MatchRow("", "", "", "none", ""), None)
    assert model.rowCount() == 0
    tester.deleteLater()
