"""The herd's own settings and the choices of the laptop, changed by keys over a real herd file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QLineEdit
from pytestqt.qtbot import QtBot

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import TEXT_SCALE, THEME, Settings
from herdscore.domain.records import Setting
from herdscore.domain.verdict import Verdict
from herdscore.pages.herd import SETTINGS, HerdPage
from herdscore.pages.herd_settings import SettingsTab
from herdscore.parts.theme import Look
from herdscore.store.herd_file import HerdFile
from tests.domain.recorded_herds import ahead
from tests.pages.open_herds import COURSE, opened, small_herd

ENTER = Qt.Key.Key_Return


@pytest.fixture
def herd(tmp_path: Path, qtbot: QtBot) -> Iterator[OpenHerd]:
    with opened(tmp_path / "test.herd", small_herd()) as made:
        yield made


@pytest.fixture
def kept(tmp_path: Path) -> Settings:
    return Settings(tmp_path / "laptop")


@pytest.fixture
def page(herd: OpenHerd, look: Look, kept: Settings, qtbot: QtBot) -> HerdPage:
    made = HerdPage(look, herd, kept)
    qtbot.addWidget(made)
    made.resize(1226, 620)
    with qtbot.waitExposed(made):
        made.show()
    made.show_tab(SETTINGS)
    made.focus_first()
    return made


@pytest.fixture
def tab(page: HerdPage) -> SettingsTab:
    made = page.part(SETTINGS)
    assert isinstance(made, SettingsTab)
    return made


def stored(herd: OpenHerd) -> dict[str, str]:
    with HerdFile.open(herd.path, read_only=True) as file:
        return {row.id: row.value for row in file.read().records("settings") if isinstance(row, Setting)}


def retype(tab: SettingsTab, name: str, text: str, qtbot: QtBot) -> QLineEdit:
    line = tab.rows[name].edit
    line.setFocus()
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    qtbot.keyClicks(line, text)
    return line


def verdict(herd: OpenHerd) -> Verdict:
    a = herd.assessment
    return Verdict(a.verdict[a.snapshot.cow_place[COURSE.id]])


def visible(tab: SettingsTab) -> list[str]:
    return [name for name, row in tab.rows.items() if row.isVisible()]


def test_that_every_setting_the_rules_declare_has_a_row_and_its_source(tab: SettingsTab, herd: OpenHerd) -> None:
    assert set(tab.rows) == {"Herd name", "Reference scorer", *herd.rulebook.settings}
    words = tab.rows["Lead (days)"].words
    assert "56 to 84 days before calving." in words
    assert "Common practice: a change of condition begins at least eight weeks before calving." in words


def test_that_another_target_changes_verdicts_and_undo_changes_them_back(
    tab: SettingsTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    before = verdict(herd)
    assert herd.assessment.targets.target[herd.assessment.snapshot.cow_place[COURSE.id]] == 2.5
    line = retype(tab, "Target, spring", "3,25", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert stored(herd)["Target, spring"] == "3.25"
    assert herd.assessment.targets.target[herd.assessment.snapshot.cow_place[COURSE.id]] == 3.25
    after = verdict(herd)
    assert after != before
    assert "another verdict" in tab.foot.text()
    assert tab.rows["Target, spring"].back_button.isVisible()
    assert "The book has 2.5." in tab.rows["Target, spring"].words
    with qtbot.waitSignal(herd.assessed):
        herd.undo()
    assert verdict(herd) == before
    assert line.text() == "2.5"
    assert not tab.rows["Target, spring"].back_button.isVisible()


def test_that_a_value_out_of_range_is_refused_in_a_sentence_and_stays_to_be_mended(
    tab: SettingsTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    line = retype(tab, "Lead (days)", "42", qtbot)
    qtbot.keyClick(line, ENTER)
    assert tab.rows["Lead (days)"].said == "42 is too low: 56 is the least."
    assert line.text() == "42"
    assert herd.undo_stack.count() == 0
    tab.show_assessment(herd.assessment)
    assert line.text() == "42", "an assessment that comes in takes nothing of what is half typed"
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert (line.text(), tab.rows["Lead (days)"].said) == ("56", "")


def test_that_a_value_is_kept_when_another_field_is_gone_to_and_the_default_taken_back(
    tab: SettingsTab, herd: OpenHerd, qtbot: QtBot
) -> None:
    line = retype(tab, "Freeze (days)", "28", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, Qt.Key.Key_Tab)
    assert stored(herd)["Freeze (days)"] == "28"
    assert herd.rulebook.limits.freeze_days == 28
    back = tab.rows["Freeze (days)"].back_button
    assert back.text() == "Back to 21"
    with qtbot.waitSignal(herd.assessed):
        qtbot.mouseClick(back, Qt.MouseButton.LeftButton)
    assert "Freeze (days)" not in stored(herd)
    assert line.text() == "21"


def test_that_the_herd_is_named_and_its_reference_scorer_chosen(tab: SettingsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    assert tab.rows["Herd name"].edit.placeholderText() == "test"
    line = retype(tab, "Herd name", "Beck farm", qtbot)
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(line, ENTER)
    assert herd.name == "Beck farm"
    box = tab.rows["Reference scorer"].box
    assert box is not None
    assert [box.itemText(at) for at in range(box.count())] == ["R. T."]
    box.setFocus()
    with qtbot.waitSignal(herd.assessed):
        qtbot.keyClick(box, Qt.Key.Key_Down)
        qtbot.keyClick(box, ENTER)
    assert stored(herd)["Reference scorer"] == "R. T."
    assert "Own day" in tab.own_day.text()


def test_that_settings_are_found_by_a_word(page: HerdPage, tab: SettingsTab, qtbot: QtBot) -> None:
    page.find("")
    qtbot.keyClicks(tab.search, "freeze")
    assert visible(tab) == ["Freeze (days)"]
    qtbot.keyClick(tab.search, ENTER)
    assert tab.rows["Freeze (days)"].edit.hasFocus()
    tab.search.clear()
    assert "Gestation, Limousin" in visible(tab), "a Limousin served a cow of this herd"
    assert "Gestation, Charolais" not in visible(tab)
    qtbot.mouseClick(tab.all_breeds, Qt.MouseButton.LeftButton)
    assert "Gestation, Charolais" in visible(tab)


def test_that_nothing_is_kept_while_looking_at_another_day(tab: SettingsTab, herd: OpenHerd, qtbot: QtBot) -> None:
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(ahead(20))
    assert tab.foot.text() == herd.why_not
    line = tab.rows["Lead (days)"].edit
    assert line.isReadOnly()
    qtbot.keyClicks(line, "9")
    assert line.text() == "56"
    with qtbot.waitSignal(herd.assessed):
        herd.choose_day(None)
    assert not line.isReadOnly()
    assert tab.foot.text().startswith("Enter keeps a value")


# This laptop


def test_that_colours_and_text_size_are_taken_at_once_and_kept_on_the_laptop(
    tab: SettingsTab, herd: OpenHerd, look: Look, kept: Settings, qtbot: QtBot
) -> None:
    dark = tab.laptop.themes["dark"]
    dark.setFocus()
    qtbot.keyClick(dark, Qt.Key.Key_Space)
    assert (look.choice, kept.get(THEME)) == ("dark", "dark")
    large = tab.laptop.sizes.button("1.3")
    large.setFocus()
    qtbot.keyClick(large, Qt.Key.Key_Space)
    assert (look.theme.text_scale, kept.get(TEXT_SCALE)) == (1.3, 1.3)
    assert herd.undo_stack.count() == 0
    look.choose("daylight")
    assert tab.laptop.themes["daylight"].isChecked()


@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_that_the_tab_fits_the_smallest_window(page: HerdPage, tab: SettingsTab, look: Look, scale: float) -> None:
    look.choose_text_scale(scale)
    page.resize(1280 - 92, 582)
    assert page.minimumSizeHint().width() <= 1280 - 92
    assert page.minimumSizeHint().height() <= 680 - 66 - 32
    assert all(one.height() >= 44 for one in page.findChildren(QAbstractButton) if one.isVisible())
