"""The calving page, driven by real keys and presses over a real herd file."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from icalendar import Calendar
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from herdscore.desk.messages import Message
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import SCORER, Settings
from herdscore.domain.calf_clock import BORN, COLOSTRUM, NAVEL
from herdscore.domain.records import (
    AUTUMN,
    BULL_IN,
    SERVICE,
    SPRING,
    CalendarDay,
    Calving,
    Cow,
    Feed,
    Record,
    Score,
    Service,
)
from herdscore.pages.calving import IN_MILK, LEARNED, READY, TABS, TO_DO, CalvingPage
from herdscore.pages.wishes import FileWish, SaveWish
from herdscore.parts.theme import Look
from tests.domain.recorded_herds import TODAY, ahead
from tests.pages.open_herds import opened
from tests.window_rig import Rig

NOW = datetime(2027, 1, 12, 14, 5).astimezone()
NAMED = {
    "\n": Qt.Key.Key_Return,
    "~": Qt.Key.Key_Escape,
    "\b": Qt.Key.Key_Backspace,
    "↓": Qt.Key.Key_Down,
    "→": Qt.Key.Key_Right,
    " ": Qt.Key.Key_Space,
}
TAGS = [f"{number:04d}" for number in range(2101, 2131)]


def due(tag: str, **more: object) -> Cow:
    """A spring calver of the herd."""
    fields: dict[str, object] = {"calvings": 3, "season": SPRING, "group": "Beck side", **more}
    return Cow(tag, tag, **fields)  # type: ignore[arg-type]


def served(cow: Cow, days: int) -> Service:
    """Served so that she calves in about so many days."""
    return Service(f"service {cow.id}", cow.id, SERVICE, ahead(days - 284))


def calving_herd(days: int = 0) -> list[Record]:
    cows = [due(tag) for tag in TAGS]
    scores = [Score(f"s{cow.id}", cow.id, ahead(-40), 10, 10, 10, 10, scorer="R. T.") for cow in cows]
    return [*cows, *scores, *(served(cow, days + place % 5) for place, cow in enumerate(cows))]


@dataclass
class Shed:
    """The page on a herd, and hands for it."""

    page: CalvingPage
    herd: OpenHerd
    bot: QtBot
    clock: list[datetime]
    said: list[Message] = field(default_factory=list)
    wishes: list[FileWish | SaveWish] = field(default_factory=list)

    def keys(self, keys: str) -> None:
        """Press keys wherever the keyboard is, as a person does."""
        for key in keys:
            held = QApplication.focusWidget()
            assert held is not None, f"nothing has the keyboard for {key!r}"
            if key in NAMED:
                self.bot.keyClick(held, NAMED[key])
            else:
                self.bot.keyClicks(held, key)

    def saved(self, keys: str) -> None:
        """Press keys that save, and wait until the herd has been looked at again."""
        with self.bot.waitSignal(self.herd.assessed):
            self.keys(keys)

    def press(self, widget: QWidget) -> None:
        with self.bot.waitSignal(self.herd.assessed):
            self.bot.mouseClick(widget, Qt.MouseButton.LeftButton)

    @property
    def sentence(self) -> str:
        return self.page.to_calve.form.said.text()

    def calves(self, cow: str) -> list[Calving]:
        snapshot = self.herd.snapshot
        rows = snapshot.records("calvings", snapshot.of_cow("calvings", snapshot.cow_place[cow]).tolist())
        return [row for row in rows if isinstance(row, Calving)]

    def write(self, path: Path) -> Path:
        """Write the last file wished for, as the window's job does."""
        wish = self.wishes[-1]
        return wish.write(path, lambda *_: None) if isinstance(wish, FileWish) else wish.write(path)


@contextmanager
def shed(look: Look, bot: QtBot, folder: Path, records: list[Record]) -> Iterator[Shed]:
    clock = [NOW]
    with opened(folder / "a.herd", records) as herd:
        settings = Settings(folder / "config")
        settings.set(SCORER, "R. T.")
        page = CalvingPage(look, herd, settings, lambda: clock[0])
        bot.addWidget(page)
        page.resize(1274, 670)
        page.show()
        bot.waitExposed(page)
        page.activateWindow()
        page.focus_first()
        bot.waitUntil(lambda: QApplication.focusWidget() is not None)
        made = Shed(page, herd, bot, clock)
        page.message.connect(made.said.append)
        page.save_wished.connect(made.wishes.append)
        yield made
        page.close()


@pytest.fixture
def yard(look: Look, qtbot: QtBot, tmp_path: Path) -> Iterator[Shed]:
    with shed(look, qtbot, tmp_path, calving_herd()) as made:
        yield made


@pytest.fixture
def weeks_ahead(look: Look, qtbot: QtBot, tmp_path: Path) -> Iterator[Shed]:
    """Thirty cows that calve in ten weeks."""
    with shed(look, qtbot, tmp_path, calving_herd(70)) as made:
        yield made


def test_that_thirty_calvings_are_recorded_with_the_keyboard_alone(yard: Shed, tmp_path: Path) -> None:
    for place, tag in enumerate(TAGS):
        how, sex, alive = "12301"[place % 5], "BH"[place % 2], "AD"[place % 7 == 6]
        yard.saved(f"{tag}\n{how}{sex}{alive}\n")
        assert yard.page.work.entry is None, yard.sentence
    with closing(sqlite3.connect(tmp_path / "a.herd")) as link:
        rows = link.execute("SELECT cow_id, day, ease, calf_sex, calf_alive FROM calvings ORDER BY cow_id").fetchall()
    assert [row[0] for row in rows] == TAGS
    assert {row[1] for row in rows} == {TODAY.isoformat()}
    assert [row[2] for row in rows[:5]] == [1, 2, 3, None, 1]
    assert [row[3] for row in rows[:2]] == ["bull", "heifer"]
    assert sum(row[4] == 0 for row in rows) == 4
    born = yard.herd.snapshot.care
    assert len(born) == 30
    assert set(born.at) == {NOW.astimezone(UTC).isoformat()}
    counts = {row.calvings for row in yard.herd.snapshot.records("cows") if isinstance(row, Cow)}
    assert counts == {4}


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("7", "Ease goes from 1 to 5"),
        ("1\n", "Is the calf alive?"),
        ("BA\n", "How did she calve?"),
        ("1BAT\n", "Twins, and only one calf is entered."),
        ("1A\n", "No sex is entered. Press Enter again"),
        ("Z", "does nothing here"),
    ],
)
def test_that_wrong_input_gets_a_plain_sentence_and_nothing_is_lost(yard: Shed, keys: str, said: str) -> None:
    yard.keys("2101\n")
    yard.keys(keys)
    assert said in yard.sentence
    assert yard.page.work.entry is not None
    assert not len(yard.herd.snapshot.calvings)


def test_that_a_question_is_answered_by_one_more_enter(yard: Shed) -> None:
    yard.keys("2101\n1A\n")
    yard.saved("\n")
    assert yard.calves("2101")[0].calf_sex is None


def test_that_a_day_before_the_service_and_one_ahead_are_told(yard: Shed) -> None:
    work = yard.page.work
    yard.keys("2101\n1BA")
    work.set_day(TODAY + timedelta(days=1))
    yard.keys("\n")
    assert "still ahead" in yard.sentence
    work.set_day(TODAY - timedelta(days=290))
    yard.keys("\n")
    assert "she calved before it?" in yard.sentence
    assert not len(yard.herd.snapshot.calvings)


@pytest.mark.parametrize(("text", "said"), [("25:10", "not a time of day"), ("14:40", "still ahead")])
def test_that_a_time_of_birth_that_cannot_be_is_told(yard: Shed, text: str, said: str) -> None:
    yard.keys("2101\n1BA")
    yard.page.work.set_time(text)
    yard.keys("\n")
    assert said in yard.sentence
    assert not len(yard.herd.snapshot.calvings)


def test_that_twins_are_two_records_and_tags_and_score_felt_go_along(yard: Shed) -> None:
    form = yard.page.to_calve.form
    yard.keys("2101\n2BATHA")
    yard.keys("F")
    assert QApplication.focusWidget() is form.felt
    yard.keys("2.75\n")
    yard.saved("\n")
    assert sorted(str(calf.calf_sex) for calf in yard.calves("2101")) == ["bull", "heifer"]
    scores = yard.herd.snapshot.scores
    assert 11 in scores.score[scores.day == TODAY].tolist()


def test_that_undo_takes_a_calving_back_with_its_clock_and_redo_brings_it_again(yard: Shed) -> None:
    yard.saved("2101\n1BA\n")
    assert len(yard.page.to_calve.clock.lines) == 2
    yard.press(yard.page.to_calve.form.undo)
    assert not yard.calves("2101")
    assert not len(yard.herd.snapshot.care)
    assert not yard.page.to_calve.clock.lines
    assert "Taken back" in yard.said[-1].claim
    with yard.bot.waitSignal(yard.herd.assessed):
        yard.herd.redo()
    assert len(yard.calves("2101")) == 1
    assert len(yard.page.to_calve.clock.lines) == 2


def test_that_a_tag_recorded_already_opens_her_calving_to_mend_it(yard: Shed) -> None:
    yard.saved("2101\n1BA\n")
    yard.keys("2101\n")
    assert "mends her calving" in yard.page.to_calve.form.rest.text()
    yard.saved("3\n")
    assert [calf.ease for calf in yard.calves("2101")] == [3]
    cow = yard.herd.snapshot.record("cows", yard.herd.snapshot.cow_place["2101"])
    assert isinstance(cow, Cow)
    assert cow.calvings == 4


def test_that_several_cows_that_fit_are_chosen_with_the_arrows(yard: Shed) -> None:
    yard.keys("1\n")
    assert "cows end so" in yard.sentence
    yard.keys("↓\n")
    assert yard.page.work.entry is not None
    yard.keys("~")
    yard.keys("9999\n")
    assert "No cow ends" in yard.sentence


def test_that_looking_for_a_tag_loses_no_calving_half_entered(yard: Shed) -> None:
    yard.keys("2101\n1B")
    yard.page.find()
    assert yard.page.work.entry is not None
    yard.saved("A\n")
    assert len(yard.calves("2101")) == 1


def test_that_a_ring_is_pressed_once_and_colostrum_counts_litres(yard: Shed) -> None:
    yard.saved("2101\n1BA\n")
    clock = yard.page.to_calve.clock
    ring = {ring.step.key: ring for line in clock.lines for ring in line.rings}
    yard.press(ring[NAVEL])
    yard.page.to_calve.litres.setValue(1.5)
    ring = {ring.step.key: ring for line in clock.lines for ring in line.rings}
    yard.press(ring[COLOSTRUM])
    care = yard.herd.snapshot.care
    assert sorted(care.what) == [BORN, COLOSTRUM, NAVEL]
    assert care.amount[care.what == COLOSTRUM].tolist() == [1.5]
    ring = {ring.step.key: ring for line in clock.lines for ring in line.rings}
    assert ring[NAVEL].step.standing == "done"
    assert "1.5 of 4" in ring[COLOSTRUM].step.below


def test_that_late_calves_rise_and_lines_that_stay_are_not_built_anew(yard: Shed) -> None:
    yard.saved("2101\n1BA\n")
    yard.clock[0] = NOW + timedelta(hours=1)
    yard.saved("2102\n1BA\n")
    yard.page.to_calve.show_clock()
    lines = list(yard.page.to_calve.clock.lines)
    assert [lines[0].who.text(), lines[0].rest.property("tone")] == ["of 2101", "thin"]
    yard.clock[0] = NOW + timedelta(hours=1, minutes=1)
    yard.page.to_calve.show_clock()
    assert yard.page.to_calve.clock.lines == lines


def test_that_a_tick_is_kept_in_the_file_and_taken_off_again(weeks_ahead: Shed, tmp_path: Path) -> None:
    yard = weeks_ahead
    yard.page.show_tab(TO_DO)
    tab = yard.page.to_do
    key = next(key for key, thing in tab.things.items() if len(thing.ticks) > 1)
    assert tab.list.choose(key)
    before = len(tab._open)
    yard.saved(" ")
    assert len(tab._open) == before - 1
    with closing(sqlite3.connect(tmp_path / "a.herd")) as link:
        kept = {row[0] for row in link.execute("SELECT id FROM finished")}
    assert kept == set(tab.things[key].ticks)
    yard.saved(" ")
    assert len(tab._open) == before
    assert not len(yard.herd.snapshot.finished)


def test_that_the_kit_is_ticked_off_and_counted(yard: Shed) -> None:
    yard.page.show_tab(READY)
    ready = yard.page.ready
    with yard.bot.waitSignal(yard.herd.assessed):
        ready.boxes[0].click()
    assert ready.kit_claim.text().startswith("Kit, 1 of ")
    assert len(yard.herd.snapshot.finished) == 1


def test_that_all_sources_of_a_day_are_summed_against_the_ceiling(look: Look, qtbot: QtBot, tmp_path: Path) -> None:
    # Worked out here: 100 g at 100 % DM of 3000 mg copper a kg is 300 mg; two of them 600 mg.
    feeds: list[Record] = [
        Feed(name, name, 100, 0.0, "mineral", cu=3000, dose=100) for name in ("Dry powder", "Other powder")
    ]
    with shed(look, qtbot, tmp_path, [*calving_herd(70), *feeds]) as made:
        made.page.show_tab(READY)
        sources = made.page.ready.sources
        boxes = list(sources.boxes.values())
        boxes[0].click()
        assert sources.sums[0].text().startswith("Copper: 300 of ")
        assert not sources.also.text()
        boxes[1].click()
        assert sources.sums[0].text().startswith("Copper: 600 of ")
        assert "over the ceiling" in sources.sums[0].text()
        assert "Never two complete minerals together" in sources.also.text()
        assert "no figure" in sources.sums[1].text()


def test_that_more_days_in_a_pen_ask_for_more_pens(yard: Shed) -> None:
    yard.page.show_tab(READY)
    ready = yard.page.ready
    assert ready.rule_figure.text() == "2"  # 1 to 15 of 30: common practice
    few = int(ready.queue_figure.text())
    ready.stay.setValue(5.0)
    assert int(ready.queue_figure.text()) > few


def test_that_a_calendar_written_twice_is_brought_up_to_date(yard: Shed, tmp_path: Path) -> None:
    path = tmp_path / "season.ics"
    yard.page.show_tab(TO_DO)
    yard.page.export()
    yard.write(path)
    first = [str(one["uid"]) for one in Calendar.from_ical(path.read_bytes()).walk() if "uid" in one]
    assert len(first) == len(set(first)) >= 30
    yard.page.find()
    yard.saved("2101\n1BA\n")
    yard.page.to_do.export()
    yard.write(path)
    again = [one for one in Calendar.from_ical(path.read_bytes()).walk() if "uid" in one]
    uids = [str(one["uid"]) for one in again]
    assert len(uids) == len(set(uids))
    assert any(str(one.get("status", "")) == "CANCELLED" for one in again)


def test_that_the_shed_sheet_is_a_pdf(yard: Shed, tmp_path: Path) -> None:
    yard.page.show_tab(READY)
    yard.page.export()
    assert yard.write(tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_that_what_condition_did_is_exported_with_numbers_beside_shares(
    look: Look, qtbot: QtBot, tmp_path: Path
) -> None:
    cows = [due(f"{number:04d}") for number in range(24)]
    past = [
        Calving(f"c{cow.id}", cow.id, ahead(-300), ease=1 + place % 2, calf_sex="bull", calf_alive=True)
        for place, cow in enumerate(cows)
    ]
    scores = [Score(f"s{cow.id}", cow.id, ahead(-310), score=8 + 2 * (place % 3)) for place, cow in enumerate(cows)]
    with shed(look, qtbot, tmp_path, [*cows, *past, *scores]) as made:
        made.page.show_tab(LEARNED)
        assert "24 calvings counted" in made.page.learned.claim.text()
        assert all("no claim" in said.text() for said in made.page.learned.says)
        made.page.export()
        path = made.write(tmp_path / "learned.xlsx")
    from openpyxl import load_workbook

    book = load_workbook(path)
    sheet = book["By condition"]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2)]
    helped = [row for row in rows if row[:4] == ["calvings helped", "at calving", "2.5", "cows"]]
    assert helped[0][4:6] == [4, 8]
    assert helped[0][6] == 0.5
    # Wilson 4 of 8 at 95 %: 0.2152 to 0.7848 (statsmodels proportion_confint, method wilson)
    assert [round(value, 3) for value in helped[0][7:]] == [0.215, 0.785]


def test_that_a_date_that_moves_is_said_with_its_act_by_day(yard: Shed) -> None:
    from herdscore.desk.edits import add_record

    cow = TAGS[0]
    with yard.bot.waitSignal(yard.herd.assessed):
        yard.herd.push(add_record(Service("new", cow, SERVICE, ahead(-200))), "service")
    assert yard.said[-1].claim == "A calving date moved."
    assert f"{cow} calves" in yard.said[-1].rest


def test_that_cows_to_feed_for_the_bull_stand_first_calvers_first(look: Look, qtbot: QtBot, tmp_path: Path) -> None:
    old, young = due("0001", season=AUTUMN), due("0002", season=AUTUMN, calvings=1)
    records: list[Record] = [old, young, CalendarDay("bull", AUTUMN, BULL_IN, ahead(20))]
    for cow, score in ((old, 7), (young, 8)):
        records.append(Calving(f"c{cow.id}", cow.id, ahead(-70), ease=1, calf_sex="bull", calf_alive=True))
        records += [Score(f"{cow.id}{day}", cow.id, ahead(day), score=score) for day in (-75, -40, -3)]
    with shed(look, qtbot, tmp_path, records) as made:
        made.page.show_tab(IN_MILK)
        rows = made.page.in_milk.list.rows
        tags = [rows.row_at(at).key for at in range(rows.rowCount())]
        assert tags == ["0002", "0001"]
        assert len(made.page.in_milk.chart.picture.cows) == 2


@pytest.mark.parametrize(
    "records", [[], [due("0001")], [Cow("a", "1", status="sold")]], ids=["empty", "undated", "sold"]
)
def test_that_every_tab_stands_a_herd_with_nothing_to_show(
    look: Look, qtbot: QtBot, tmp_path: Path, records: list[Record]
) -> None:
    with shed(look, qtbot, tmp_path, records) as made:
        for key, _ in TABS:
            made.page.show_tab(key)
            made.page.grab()
        made.page.show_tab(READY)
        made.page.export()
        assert made.write(tmp_path / "sheet.pdf").exists()


def test_that_on_another_day_nothing_is_recorded_and_why_is_said(yard: Shed) -> None:
    with yard.bot.waitSignal(yard.herd.assessed):
        yard.herd.choose_day(date(2027, 2, 1))
    yard.keys("2101\n1BA\n\n\n\n")
    assert "another day" in yard.sentence
    assert not len(yard.herd.snapshot.calvings)


@pytest.mark.parametrize("theme", ["light", "dark", "daylight"])
def test_that_the_page_fits_a_small_screen(yard: Shed, look: Look, theme: str) -> None:
    look.choose(theme)
    yard.saved("2101\n1BA\n")
    for key, _ in TABS:
        yard.page.show_tab(key)
        hint = yard.page.minimumSizeHint()
        assert hint.width() <= 1280 - 92, key
        assert hint.height() <= 680 - 66 - 32, key


def test_that_ctrl_5_opens_the_page_and_ctrl_e_writes_the_calendar_in_a_job(rig: Rig, tmp_path: Path) -> None:
    with opened(tmp_path / "b.herd", calving_herd(70)):
        pass
    rig.open(tmp_path / "b.herd")
    rig.qtbot.keyClick(rig.window, Qt.Key.Key_5, Qt.KeyboardModifier.ControlModifier)
    page = rig.page
    assert isinstance(page, CalvingPage)
    rig.asking.path = tmp_path / "phone.ics"
    rig.qtbot.keyClick(rig.window, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    rig.settle()
    made = Calendar.from_ical((tmp_path / "phone.ics").read_bytes())
    assert len([one for one in made.walk() if "uid" in one]) >= 30
    rig.window.close()
