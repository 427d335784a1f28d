"""At the crush beside the plain way: a stick reader, unknown tags, questions, pens, weights, steps back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QPushButton

from herdscore.desk.reader_filter import ReaderFilter
from herdscore.desk.settings import SOUND
from herdscore.domain.asides import asides_of
from herdscore.domain.changes import editing
from herdscore.domain.records import CONFIRMED, SCAN, Cow, Service, Weight
from herdscore.domain.rounds import listing_of, open_round, opening, progress
from herdscore.pages.scoring_reader import ReaderAtCrush
from herdscore.parts.theme import Look, contrast, read_themes
from tests.domain.recorded_herds import TODAY
from tests.domain.test_eid import FORMS, TEST_TAG
from tests.pages.crush_hands import Crush, at_the_crush
from tests.pages.crush_hands import crush as crush
from tests.pages.open_herds import THIN, opened, small_herd
from tests.window_rig import Rig

BURSTS = [text for text in FORMS.values() if text.isprintable()]


@pytest.fixture
def listening(crush: Crush) -> Iterator[ReaderFilter]:
    """A reader is listened for, on the real clock."""
    made = ReaderFilter(crush.herd.rulebook.crush)
    reader = ReaderAtCrush(made, lambda: crush.page, lambda: None)
    yield made
    reader.close()


def cow_of(crush: Crush, tag: str) -> Cow:
    row = crush.herd.snapshot.record("cows", crush.herd.snapshot.cow_place[tag])
    assert isinstance(row, Cow)
    return row


def give_eid(crush: Crush, tag: str, number: str) -> None:
    before = cow_of(crush, tag)
    crush.saved(lambda: crush.herd.push(editing("edit cow", [(before, replace(before, eid=number))]), "edit"))


def begin_round(crush: Crush) -> None:
    change = opening(crush.herd.assessment, "January", "all", TODAY, lean_pen="Top yard", fat_pen="Low haugh")
    crush.saved(lambda: crush.herd.push(change, "open round"))


def entry_sites(crush: Crush) -> tuple[int | None, int | None, int | None]:
    entry = crush.page.work.entry
    assert entry is not None
    return entry.sites


# The stick reader


def test_that_bursts_in_the_middle_of_an_entry_never_change_a_score_and_never_save(
    crush: Crush, listening: ReaderFilter
) -> None:
    give_eid(crush, "0305", TEST_TAG)
    crush.page.work.type_tag("0512")
    crush.page.work.press("enter")
    for key in ("2", "enter", "3", "3", "enter", "2", "+"):
        crush.page.work.press(key)
    before, kept = entry_sites(crush), crush.herd.snapshot
    for text in BURSTS:
        crush.keys(text + "\n")
        assert entry_sites(crush) == before == (8, 14, 9)
        assert crush.herd.snapshot is kept
        assert crush.page.tag.text() == "0512"
        assert crush.page.claim.words in ("Save this cow first", "The same tag again")


def test_that_a_read_tag_brings_her_up_whatever_has_the_keyboard(crush: Crush, listening: ReaderFilter) -> None:
    give_eid(crush, "0305", TEST_TAG)
    edit = next(one for one in crush.page.strip.findChildren(QComboBox) if one.accessibleName() == "Scorer").lineEdit()
    assert edit is not None
    edit.setFocus()
    crush.keys("999 123456789012\n")
    assert edit.text() == "R. T."
    assert crush.page.tag.text() == "0305"
    assert entry_sites(crush) == (None, None, None)
    assert crush.kept("0305") is None


def test_that_a_key_of_a_hand_is_drawn_at_once_and_counts_after_the_pause(
    crush: Crush, listening: ReaderFilter
) -> None:
    crush.keys("0512")
    assert crush.page.tag.text() == "0512"
    crush.keys("\n2")
    assert crush.page.feel.rows[0].keys[2].isChecked()
    crush.bot.waitUntil(lambda: entry_sites(crush)[0] == 8)


def test_that_an_unknown_tag_is_put_to_the_cow_typed_and_nothing_else_is_changed(crush: Crush) -> None:
    work, before = crush.page.work, cow_of(crush, "0512")
    work.errands.read(TEST_TAG)
    assert crush.page.claim.words == "999 1234 5678 9012 is no cow's yet"
    crush.keys("0512")
    assert crush.page.rest.text() == "Enter gives 0512 this tag."
    scores = crush.herd.snapshot.scores.id.tolist()
    crush.saved(lambda: crush.keys("\n"))
    assert cow_of(crush, "0512") == replace(before, eid=TEST_TAG)
    assert crush.herd.snapshot.scores.id.tolist() == scores
    assert crush.page.tag.text() == "0512"
    work.errands.read(TEST_TAG)
    assert crush.page.claim.words == "0512 was read"


def test_that_a_cow_who_has_a_tag_gets_a_new_one_only_by_one_press_more(crush: Crush) -> None:
    give_eid(crush, "0512", "999000000000512")
    crush.page.work.errands.read(TEST_TAG)
    crush.keys("0512\n")
    assert crush.said() == "0512 has 999 0000 0000 0512 / Enter once more gives her the new one."
    assert cow_of(crush, "0512").eid == "999000000000512"
    crush.saved(lambda: crush.keys("\n"))
    assert cow_of(crush, "0512").eid == TEST_TAG


def test_that_a_pairing_is_left_with_esc(crush: Crush) -> None:
    before = crush.herd.snapshot
    crush.page.work.errands.read(TEST_TAG)
    crush.keys("~")
    assert crush.page.work.errands.now is None
    crush.keys("0512\n")
    assert crush.page.tag.text() == "0512"
    assert crush.herd.snapshot is before


def test_that_what_a_reader_says_wrong_or_twice_is_told_in_plain_words(crush: Crush, listening: ReaderFilter) -> None:
    give_eid(crush, "0305", TEST_TAG)
    crush.keys(f"{TEST_TAG}\n{TEST_TAG}\n")
    assert crush.page.claim.words == "The same tag again"
    crush.keys("999999999999999\n")
    assert crush.page.claim.words == "The reader did not say a tag"
    assert crush.page.rest.text().startswith("The number after the country is above")


# Tags nobody bears


def keep_aside(crush: Crush, tag: str = "9512") -> None:
    crush.keys(f"{tag}\n")
    assert crush.page.rest.text() == f"Enter once more scores her as {tag}, to sort out later."
    crush.keys("\n")
    assert crush.page.claim.words == "Not in the herd"
    crush.keys("2\n2\n2+")
    crush.saved(lambda: crush.keys("\n"))


def test_that_a_tag_of_nobody_is_scored_and_kept_to_one_side(crush: Crush) -> None:
    keep_aside(crush)
    (aside,) = asides_of(crush.herd.file.read())
    assert (aside.tag, aside.day, aside.loin, aside.ribs, aside.tailhead, aside.scorer) == (
        "9512",
        TODAY,
        8,
        8,
        9,
        "R. T.",
    )
    assert crush.page.strip.count.text() == "0 of 22 scored"
    assert crush.page.to_sort_out.text() == "1 tag to sort out"


def test_that_a_score_kept_to_one_side_goes_to_the_cow_it_is_matched_to_and_back(crush: Crush) -> None:
    keep_aside(crush)
    page = crush.page
    crush.press(page.to_sort_out)
    crush.press(next(one for one in page.asides.findChildren(QPushButton) if one.text() == "Match her"))
    assert page.claim.words == "Who is 9512?"
    assert [row.tag for row in page.matches.rows] == ["0512"]
    crush.keys("↓")
    assert page.rest.text() == "Enter gives 0512 the score."
    crush.saved(lambda: crush.keys("\n"))
    assert crush.sites("0512") == (8, 8, 9)
    assert not asides_of(crush.herd.snapshot)
    crush.saved(lambda: page.step(back=True))
    assert len(asides_of(crush.herd.snapshot)) == 1
    assert crush.kept("0512") is None


def test_that_she_can_be_added_as_a_new_cow_or_thrown_away(crush: Crush) -> None:
    keep_aside(crush)
    keep_aside(crush, "8512")
    page, count = crush.page, len(crush.herd.snapshot.cows)
    crush.press(page.to_sort_out)
    names = {one.accessibleName(): one for one in page.asides.findChildren(QPushButton)}
    crush.saved(lambda: crush.press(names["Add as a new cow 9512"]))
    assert len(crush.herd.snapshot.cows) == count + 1
    assert "9512" in crush.herd.snapshot.cows.tag.tolist()
    left = {one.accessibleName(): one for one in page.asides.findChildren(QPushButton)}
    crush.saved(lambda: crush.press(left["Throw away the score of 8512"]))
    assert not asides_of(crush.herd.snapshot)
    assert page.to_sort_out.isHidden()


def test_that_weight_and_unsafe_wait_until_she_is_known(crush: Crush) -> None:
    crush.keys("9512\n\nw")
    assert crush.page.claim.words == "Not before she is known"
    crush.keys("x")
    assert crush.page.claim.words == "Nothing to keep of her"


# Questions beside the tag box


def test_that_a_jump_within_thirty_days_is_kept_as_confirmed_by_one_key(crush: Crush) -> None:
    day = TODAY - timedelta(days=60)  # twenty days after her last score of 2.5
    crush.page.work.choose_day(day)
    crush.keys("0512\n33=\n")
    assert crush.said() == "Up 1.0 from 2.5: right cow? / Enter: it is confirmed. Esc: feel again."
    assert crush.page.feel.save.text() == "Confirmed, save"
    crush.saved(lambda: crush.keys("\n"))
    kept = crush.kept("0512", day)
    assert kept is not None
    assert (kept.score, kept.note) == (14, CONFIRMED)


def test_that_esc_feels_a_jump_again_and_a_smaller_step_asks_nothing(crush: Crush) -> None:
    day = TODAY - timedelta(days=60)
    crush.page.work.choose_day(day)
    crush.keys("0512\n33=\n~")
    entry = crush.page.work.entry
    assert entry is not None
    assert (entry.active, entry.asks) == (0, None)
    crush.keys("3=")
    crush.saved(lambda: crush.keys("\n"))
    kept = crush.kept("0512", day)
    assert kept is not None
    assert (kept.score, kept.note) == (12, None)


def test_that_a_jump_after_thirty_days_asks_nothing(crush: Crush) -> None:
    crush.keys("0512\n33=")
    crush.saved(lambda: crush.keys("\n"))
    assert crush.sites("0512") == (14, 14, 14)


def test_that_a_sold_cow_is_scored_only_by_one_press_more(crush: Crush) -> None:
    crush.keys("2001\n")
    assert crush.said() == "2001 is marked sold / Enter once more scores her all the same."
    crush.keys("\n2=")
    crush.saved(lambda: crush.keys("\n"))
    kept = crush.kept("gone")
    assert kept is not None
    assert kept.score == 8


# Pens


def test_that_the_advised_pen_is_chosen_and_kept_with_her_score(crush: Crush) -> None:
    begin_round(crush)
    pens = crush.page.side.cow.pens
    crush.keys("0512\n2=")
    crush.bot.waitUntil(lambda: pens.title.text() == "Pen: Top yard")
    crush.saved(lambda: crush.keys("\n"))
    round_ = open_round(crush.herd.snapshot)
    assert round_ is not None
    listing = listing_of(crush.herd.file.read(), round_, "0512")
    assert listing is not None
    assert listing.pen == "Top yard"
    crush.keys("0305\n")
    assert [key.accessibleName().split(", ")[1] for key in pens.keys.values()] == ["1 in", "0 stay", "0 in"]


def test_that_p_and_the_mouse_choose_another_pen(crush: Crush) -> None:
    begin_round(crush)
    pens = crush.page.side.cow.pens
    crush.keys("0512\n2=")
    crush.bot.waitUntil(lambda: pens.title.text() == "Pen: Top yard")
    crush.keys("p")
    assert pens.title.text() == "Pen: Beck side"
    crush.press(list(pens.keys.values())[2])
    assert pens.title.text() == "Pen: Low haugh"
    crush.saved(lambda: crush.keys("\n"))
    round_ = open_round(crush.herd.snapshot)
    assert round_ is not None
    listing = listing_of(crush.herd.snapshot, round_, "0512")
    assert listing is not None
    assert listing.pen == "Low haugh"
    assert crush.sites("0512") == (8, 8, 8)


def test_that_without_a_round_there_are_no_pens_and_it_says_so(crush: Crush) -> None:
    crush.keys("0512\n2=p")
    assert crush.page.side.cow.pens.isHidden()
    assert crush.page.claim.words == "No pens to choose from"


def test_that_a_cow_skipped_is_left_for_later_in_the_round(crush: Crush) -> None:
    begin_round(crush)
    crush.keys("0512\n")
    crush.saved(lambda: crush.press(crush.page.skip))
    round_ = open_round(crush.herd.snapshot)
    assert round_ is not None
    assert progress(crush.herd.snapshot, round_).skipped[crush.herd.snapshot.cow_place["0512"]]


# Weight, scan, own words


def test_that_weight_scan_and_words_are_kept_with_the_score_as_one_step(crush: Crush) -> None:
    before = crush.herd.snapshot
    crush.keys("0512\n2=w612,5\ns94\nnlimps behind\n")
    crush.saved(lambda: crush.keys("\n"))
    kept, file = crush.kept("0512"), crush.herd.file.read()
    assert kept is not None
    assert (kept.score, kept.note) == (8, "limps behind")
    (weight,) = [row for row in file.records("weights") if isinstance(row, Weight)]
    assert (weight.cow_id, weight.day, weight.weight) == ("0512", TODAY, 612.5)
    (scan,) = [row for row in file.records("services") if isinstance(row, Service)]
    assert (scan.kind, scan.day, scan.foetal_age, scan.result) == (SCAN, TODAY, 94, "in calf")
    crush.saved(lambda: crush.page.step(back=True))
    assert crush.herd.snapshot.weights.id.tolist() == before.weights.id.tolist()
    assert crush.kept("0512") is None


@pytest.mark.parametrize(
    ("keys", "wrong"),
    [("w6\n", "kg"), ("wabc\n", "kg"), ("s999\n", "days"), ("se40\n", "Empty has no age")],
)
def test_that_what_cannot_be_is_said_in_the_field_and_not_kept(crush: Crush, keys: str, wrong: str) -> None:
    crush.keys(f"0512\n{keys}")
    assert wrong in crush.page.feel.field._wrong.text()
    crush.keys("~")
    entry = crush.page.work.entry
    assert entry is not None
    assert not entry.has_more
    assert crush.page.feel.hasFocus()


def test_that_an_empty_cow_and_twins_are_chosen_by_a_letter(crush: Crush) -> None:
    crush.keys("0512\nse\n")
    entry = crush.page.work.entry
    assert entry is not None
    assert (entry.scan, entry.scan_age) == ("empty", None)
    crush.keys("st60\n")
    entry = crush.page.work.entry
    assert entry is not None
    assert (entry.scan, entry.scan_age) == ("twins", 60)


# A crash, and steps back


def test_that_the_cow_in_hand_is_offered_back_by_the_next_start(crush: Crush, look: Look) -> None:
    crush.keys("0512\n2\n2+w612\n")
    again = at_the_crush(look, crush.herd, crush.settings, crush.bot)
    assert again.page.claim.words == "0512 was not saved last time"
    entry = again.page.work.entry
    assert entry is not None
    assert (entry.cow_id, entry.sites, entry.weight) == ("0512", (8, 9, None), 612)
    again.saved(lambda: again.page.work.press("save"))
    third = at_the_crush(look, crush.herd, crush.settings, crush.bot)
    assert third.page.work.entry is None


def test_that_back_and_again_through_many_saves_show_the_cow_they_touched(crush: Crush) -> None:
    tags = ("0512", "0305", "1216")
    for tag in tags:
        crush.keys(f"{tag}\n3=")
        crush.saved(lambda: crush.keys("\n"))
    for tag in reversed(tags):
        crush.saved(lambda: crush.page.step(back=True))
        assert crush.page.tag.text() == tag
        assert crush.page.claim.words == f"Taken back: score {tag}: 3.0"
        assert crush.kept(tag) is None
    for tag in tags:
        crush.saved(lambda: crush.page.step(back=False))
        assert crush.page.tag.text() == tag
        assert crush.kept(tag) is not None
    crush.keys("0633\n")
    assert crush.page.tag.text() == "0633"


def test_that_a_tone_is_heard_only_when_it_is_wished(crush: Crush, monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[str] = []
    monkeypatch.setattr("herdscore.pages.scoring_sound.QApplication.beep", lambda: heard.append("beep"))
    crush.keys("0512\n3=")
    crush.saved(lambda: crush.keys("\n"))
    assert heard == []
    crush.settings.set(SOUND, "on")
    crush.keys("0305\n3=")
    crush.saved(lambda: crush.keys("\n"))
    assert heard == ["beep"]


# How it looks

TEXT_ON = {
    "ink": ("page", "surface", "sunk", "selected", "thin_tint", "fat_tint", "ok_tint", "hold_tint"),
    "ink_second": ("page", "surface"),
    "on_primary": ("primary",),
}


@pytest.mark.parametrize("name", ["light", "dark", "daylight"])
def test_that_every_word_of_the_page_stands_out_seven_to_one(name: str) -> None:
    theme = read_themes()[name]
    for ink, grounds in TEXT_ON.items():
        for ground in grounds:
            assert contrast(theme[ink], theme[ground]) >= 7, (ink, ground)


def test_that_opening_her_again_and_changing_nothing_writes_nothing(crush: Crush) -> None:
    crush.keys("0512\n3=")
    crush.saved(lambda: crush.keys("\n"))
    before = crush.herd.snapshot
    crush.keys("\b\n\n\n")
    assert crush.page.work.entry is None
    assert crush.herd.snapshot is before


# In the whole window


def test_that_a_read_tag_brings_the_page_forward_over_another(tmp_path: Path, new_rig: Callable[..., Rig]) -> None:
    path = tmp_path / "small.herd"
    with opened(path, small_herd()):
        pass
    rig = new_rig(reader="on")
    rig.open(path)
    rig.window.show_page("herd")
    rig.window.activateWindow()
    view = rig.window.view
    assert view is not None
    view.focus_page()
    rig.qtbot.waitUntil(lambda: rig.window.focusWidget() is not None)
    rig.qtbot.keyClicks(rig.window.focusWidget(), THIN.eid)
    rig.qtbot.keyClick(rig.window.focusWidget(), Qt.Key.Key_Return)
    assert view.shown == "scoring"
    assert view.scoring.tag.text() == THIN.tag
    view.scoring.work.press("escape")
    rig.window.close()


def test_that_every_button_can_be_pressed_with_a_glove_and_has_a_name_in_large_text(crush: Crush, look: Look) -> None:
    begin_round(crush)
    keep_aside(crush)
    page = crush.page
    for scale, size in ((1.0, (1188, 582)), (1.3, (1274, 670)), (1.5, (1828, 982))):
        look.choose_text_scale(scale)
        page.resize(*size)
        crush.press(page.to_sort_out)
        check_buttons(crush)
        crush.press(page.asides.back)
        crush.keys("0512\n2=s94\n")
        check_buttons(crush)
        crush.keys("w")
        check_buttons(crush)
        save = page.feel.save
        assert save.width() >= save.fontMetrics().horizontalAdvance(save.text()) + 24
        crush.keys("~")
        crush.press(page.skip)
        crush.press(page.skip)
        crush.bot.waitUntil(lambda: crush.herd.assessment.snapshot is crush.herd.snapshot)


def check_buttons(crush: Crush) -> None:
    QApplication.processEvents()
    page = crush.page
    assert page.tag.height() <= page._top.height()
    for button in page.findChildren(QAbstractButton):
        if button.isVisible() and button.height() > 0 and not button.objectName().startswith("qt_"):
            place = QRect(button.mapTo(page, QPoint(0, 0)), button.size())
            assert page.rect().contains(place), button.text()
            assert button.height() >= 44, button.text()
            assert button.accessibleName() or button.text(), button
