"""A stick reader typing into the application: real key events, a clock set by hand, and one test on the real one."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QAction, QKeyEvent, QWindow
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot
from typing_extensions import override

from herdscore.desk.reader_filter import ReaderFilter
from tests.domain.herds import RULES
from tests.domain.test_eid import FORMS, TEST_TAG

GAP_S = RULES.crush.reader_gap_ms / 1000
KEYS = {"\r": Qt.Key.Key_Return, "\t": Qt.Key.Key_Tab, " ": Qt.Key.Key_Space}


class Page(QWidget):
    """Keeps every key that comes to it, as the scoring page would, beside a field and a key to press."""

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.came: list[str] = []
        self.released: list[str] = []
        self.field, self.key = QLineEdit(), QPushButton("Save, next cow")
        lay = QVBoxLayout(self)
        lay.addWidget(self.field)
        lay.addWidget(self.key)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        self.came.append(event.text() or event.keyCombination().key().name)

    @override
    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self.released.append(event.text() or event.keyCombination().key().name)


class Hand:
    """Sends keys to the window of a page at chosen times, and keeps what the filter says."""

    def __init__(self, page: Page, *, stamps: bool) -> None:
        self.page = page
        self.now = 100.0
        self.stamp = 5000
        self.filter = ReaderFilter(RULES.crush, clock=lambda: self.now, stamps=stamps)
        self.said: list[tuple[str, ...]] = []
        self.touched: list[str] = []
        self.filter.read.connect(lambda number: self.said.append(("read", number)))
        self.filter.repeated.connect(lambda number: self.said.append(("repeated", number)))
        self.filter.garbled.connect(lambda text, why: self.said.append(("garbled", text)))
        self.filter.touched.connect(self.touched.append)
        self.filter.let_go.connect(lambda: self.touched.append("let go"))
        self.filter.install()

    @property
    def window(self) -> QWindow:
        return self.page.windowHandle()

    def send(self, text: str, gap_ms: float = 8, *, to_clock: bool = True, **more: bool) -> None:
        for character in text:
            self.now += gap_ms / 1000 if to_clock else 0
            self.stamp += round(gap_ms)
            key = KEYS.get(character) or Qt.Key(ord(character.upper()))
            for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                self.event(kind, key, character, **more)

    def event(
        self,
        kind: QEvent.Type,
        key: Qt.Key,
        text: str = "",
        modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
        *,
        repeat: bool = False,
    ) -> None:
        made = QKeyEvent(kind, key, modifiers, text, repeat)
        made.setTimestamp(self.stamp)
        QCoreApplication.sendEvent(self.window, made)

    def pause(self, ms: float = GAP_S * 1000) -> None:
        self.now += ms / 1000
        self.filter._timer.timeout.emit()


@pytest.fixture
def page(qtbot: QtBot) -> Page:
    made = Page()
    qtbot.addWidget(made)
    made.show()
    made.setFocus()
    return made


@pytest.fixture
def hand(page: Page) -> Iterator[Hand]:
    made = Hand(page, stamps=False)
    yield made
    made.filter.remove()


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS.keys())
def test_that_every_form_typed_by_a_reader_is_read_and_no_key_of_it_comes_through(hand: Hand, form: str) -> None:
    form = form.replace("\r\n", "").replace("\x00", "")
    hand.send(form + "\r")
    assert hand.said == [("read", TEST_TAG)]
    assert hand.page.came == []
    assert hand.page.released == []


def test_that_a_key_of_a_hand_comes_after_the_gap_and_is_touched_at_once(hand: Hand) -> None:
    hand.send("3", 120)
    assert (hand.touched, hand.page.came) == (["3"], [])
    hand.pause()
    assert hand.page.came == ["3"]
    assert hand.page.released == ["3"]
    assert hand.said == []


def test_that_what_was_touched_is_let_go_once_when_it_is_a_readers(hand: Hand) -> None:
    hand.send(TEST_TAG)
    assert hand.touched == [TEST_TAG[:count] for count in range(1, 10)] + ["let go"]
    hand.pause()
    assert hand.said == [("read", TEST_TAG)]


def test_that_a_field_with_the_keyboard_gets_nothing_of_a_reader_and_all_of_a_hand(hand: Hand) -> None:
    hand.page.field.setFocus()
    hand.send(TEST_TAG + "\r")
    assert hand.page.field.text() == ""
    hand.send("0512", 60)
    hand.pause()
    assert hand.page.field.text() == "0512"


def test_that_enter_of_a_reader_presses_no_key_and_that_of_a_hand_does(hand: Hand) -> None:
    presses: list[bool] = []
    hand.page.key.setAutoDefault(True)
    hand.page.key.clicked.connect(lambda: presses.append(True))
    hand.page.key.setFocus()
    hand.send("826 123450600001\r\r")
    assert (presses, hand.said) == ([], [("read", "826123450600001")])
    hand.send(" ", 300)
    hand.pause()
    assert len(presses) == 1


def test_that_keys_keep_their_order_when_enter_or_an_arrow_follows_at_once(hand: Hand) -> None:
    hand.send("34\r", 20)
    hand.send("2", 500)
    hand.event(QEvent.Type.KeyPress, Qt.Key.Key_Down)
    assert hand.page.came == ["3", "4", "\r", "2", "Key_Down"]


def test_that_a_key_held_down_is_a_hands(hand: Hand) -> None:
    hand.send("3", 300)
    hand.pause()
    for _ in range(20):
        hand.now += 0.033
        hand.event(QEvent.Type.KeyPress, Qt.Key.Key_3, "3", repeat=True)
    assert hand.page.came == ["3"] * 21
    assert hand.said == []


def test_that_keys_with_ctrl_come_at_once_and_capitals_of_a_reader_are_its_own(hand: Hand) -> None:
    hand.event(QEvent.Type.KeyPress, Qt.Key.Key_Z, "\x1a", Qt.KeyboardModifier.ControlModifier)
    assert hand.page.came == ["\x1a"]
    for character in "UK123450600001":
        hand.now += 0.005
        hand.event(QEvent.Type.KeyPress, Qt.Key.Key_Shift)
        hand.send(character, 1)
    hand.send("\r", 1)
    assert hand.said == [("read", "UK123450600001")]
    assert set(hand.page.came) <= {"\x1a", "Key_Shift"}


def test_that_the_same_tag_again_is_a_repeat_and_nonsense_is_garbled(hand: Hand) -> None:
    hand.send(TEST_TAG + "\r")
    hand.send("8000F9DCBE991A14\r", 30)
    hand.send("826700000100001\r", 30)
    assert hand.said == [("read", TEST_TAG), ("repeated", TEST_TAG), ("garbled", "826700000100001")]


def test_that_times_of_the_keys_count_and_not_how_late_a_busy_window_sees_them(page: Page) -> None:
    hand = Hand(page, stamps=True)
    hand.send(TEST_TAG[:4])
    hand.now += 0.5  # the window is busy; the rest of the burst waits in the queue of the system
    hand.filter._timer.timeout.emit()
    assert page.came == []
    hand.send(TEST_TAG[4:], to_clock=False)
    hand.pause()
    hand.pause(1)
    assert hand.said == [("read", TEST_TAG)]
    assert page.came == []
    hand.filter.remove()


def test_that_a_busy_window_hands_a_typed_key_on_after_one_more_look(hand: Hand) -> None:
    hand.send("3", 200)
    hand.pause(500)
    assert hand.page.came == []
    hand.filter._timer.timeout.emit()
    assert hand.page.came == ["3"]


def test_that_a_shortcut_of_one_key_takes_nothing_out_of_a_burst(hand: Hand) -> None:
    fired: list[bool] = []
    action = QAction("Find", hand.page)
    action.setShortcut("7")
    action.triggered.connect(lambda: fired.append(True))
    hand.page.addAction(action)
    hand.page.activateWindow()
    QTest.keyClick(hand.window, Qt.Key.Key_7)
    assert len(fired) == 1
    hand.send(TEST_TAG[:4], 5)
    hand.now += 0.005
    QTest.keyClick(hand.window, Qt.Key.Key_7)
    assert len(fired) == 1
    hand.pause()  # it was a hand after all: the shortcut comes in its turn
    assert (hand.page.came, len(fired)) == (list(TEST_TAG[:4]), 2)


def test_that_a_widget_gone_before_its_key_is_handed_on_does_no_harm(qtbot: QtBot, hand: Hand) -> None:
    other = QLineEdit()
    other.show()
    event = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_3, Qt.KeyboardModifier.NoModifier, "3")
    hand.now += 1
    QCoreApplication.sendEvent(other, event)
    other.deleteLater()
    QCoreApplication.sendPostedEvents(other, QEvent.Type.DeferredDelete.value)
    hand.pause()
    assert hand.said == []


def test_that_on_the_real_clock_a_key_comes_once_the_gap_is_over(qtbot: QtBot, page: Page) -> None:
    listening = ReaderFilter(RULES.crush)
    listening.install()
    try:
        began = time.perf_counter()
        QTest.keyClick(page, Qt.Key.Key_4)
        assert page.came == []
        qtbot.waitUntil(lambda: page.came == ["4"], timeout=2000)
        assert time.perf_counter() - began >= GAP_S
    finally:
        listening.remove()


def test_that_nothing_is_filtered_once_it_is_removed(hand: Hand) -> None:
    hand.send("3", 100)
    hand.filter.remove()
    hand.send(TEST_TAG)
    assert hand.page.came == ["3", *TEST_TAG]


def test_that_a_filter_at_rest_looks_at_nothing_and_listens_again_after(hand: Hand) -> None:
    with hand.filter.resting():
        hand.send(TEST_TAG)
    assert (hand.said, hand.page.came) == ([], [*TEST_TAG])
    hand.page.came.clear()
    hand.send(TEST_TAG + "\r")
    assert (hand.said, hand.page.came) == ([("read", TEST_TAG)], [])


def test_that_a_filter_removed_while_it_rests_stays_away(hand: Hand) -> None:
    with hand.filter.resting():
        hand.filter.remove()
    hand.send(TEST_TAG)
    assert hand.page.came == [*TEST_TAG]
