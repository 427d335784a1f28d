"""A stick reader on a serial port, chosen on the laptop: through a pseudo-terminal into a whole window."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from herdscore.desk import serial_reader
from herdscore.desk.settings import READER_PORT, Settings
from herdscore.pages.laptop_card import LaptopCard
from herdscore.parts.theme import Look
from tests.pages.open_herds import THIN, opened, small_herd
from tests.window_rig import Rig

LONG = 5000


@dataclass
class Line:
    """The far end of a serial line and the name of the near one."""

    far: int
    near: int

    @property
    def name(self) -> str:
        return os.ttyname(self.near)

    def hang_up(self) -> None:
        for end in (self.far, self.near):
            if end >= 0:
                os.close(end)
        self.far = self.near = -1


@pytest.fixture
def line() -> Iterator[Line]:
    made = Line(*os.openpty())
    yield made
    made.hang_up()


@pytest.fixture
def herd_path(tmp_path: Path, qtbot: QtBot) -> Path:
    path = tmp_path / "small.herd"
    with opened(path, small_herd()):
        pass
    return path


def test_that_a_tag_read_on_the_port_brings_her_up_and_a_lost_reader_is_said_and_opened_again(
    new_rig: Callable[..., Rig], herd_path: Path, line: Line
) -> None:
    rig = new_rig()
    rig.settings.set(READER_PORT, line.name)
    rig.open(herd_path)
    rig.window.show_page("herd")
    view = rig.window.view
    assert view is not None
    with rig.qtbot.waitSignal(view.port.reader.read, timeout=LONG):
        os.write(line.far, f"{THIN.eid}\r\n".encode("ascii"))
    assert view.shown == "scoring"
    assert view.scoring.tag.text() == THIN.tag
    with rig.qtbot.waitSignal(view.port.reader.lost, timeout=LONG):
        line.hang_up()
    said = rig.window.frame.messages.message
    assert said is not None
    assert "The reader was lost" in str(said)
    other = Line(*os.openpty())
    rig.settings.set(READER_PORT, other.name)
    rig.window.act(said.action)
    assert view.port.reader.is_open
    view.scoring.work.press("escape")
    rig.window.close()
    assert not view.port.reader.is_open
    other.hang_up()


def test_that_a_port_that_is_not_there_is_said_when_a_herd_is_opened(
    new_rig: Callable[..., Rig], herd_path: Path
) -> None:
    rig = new_rig()
    rig.settings.set(READER_PORT, "/dev/no-such-line")
    rig.open(herd_path)
    said = rig.window.frame.messages.message
    assert said is not None
    assert "/dev/no-such-line" in str(said)
    rig.window.close()


def test_that_a_port_is_chosen_by_keys_and_kept_on_the_laptop(
    qtbot: QtBot, look: Look, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serial_reader, "ports", lambda: ["COM4"])  # this computer may have none
    kept = Settings(tmp_path)
    card = LaptopCard(look, kept)
    qtbot.addWidget(card)
    with qtbot.waitExposed(card):
        card.show()
    qtbot.keyClick(card.port.holds, Qt.Key.Key_Down)
    assert kept.get(READER_PORT) == "COM4"
    qtbot.keyClick(card.port.holds, Qt.Key.Key_Up)
    assert kept.get(READER_PORT) == ""


def test_that_without_the_part_the_choice_says_what_to_install_and_nothing_else_happens(
    new_rig: Callable[..., Rig], herd_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "PySide6.QtSerialPort", None)  # as where it is not installed
    rig = new_rig()
    rig.settings.set(READER_PORT, "COM4")
    card = LaptopCard(rig.look, rig.settings)
    rig.qtbot.addWidget(card)
    with rig.qtbot.waitExposed(card):
        card.show()
    assert "pip install 'herdscore[serial]'" in card.port.said
    assert not card.port.holds.isEnabled()
    card.close()
    rig.open(herd_path)
    assert rig.window.frame.messages.message is None
    rig.window.close()
