"""A stick reader on a serial line, through a pseudo-terminal of the system."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from herdscore.desk import serial_reader
from herdscore.desk.serial_reader import SerialReader
from herdscore.errors import Problem
from tests.domain.herds import RULES
from tests.domain.test_eid import FORMS, TEST_TAG


class Line:
    """The far end of a serial line, and what the near end said."""

    def __init__(self, reader: SerialReader) -> None:
        self.reader = reader
        self.far, self.near = os.openpty()
        self.name = os.ttyname(self.near)
        self.said: list[tuple[str, ...]] = []
        reader.read.connect(lambda number: self.said.append(("read", number)))
        reader.repeated.connect(lambda number: self.said.append(("repeated", number)))
        reader.garbled.connect(lambda text, why: self.said.append(("garbled", text)))

    def send(self, text: str) -> None:
        os.write(self.far, text.encode("ascii"))

    def hang_up(self) -> None:
        for end in (self.far, self.near):
            if end >= 0:
                os.close(end)
        self.far = self.near = -1


@pytest.fixture
def line(qtbot: QtBot) -> Iterator[Line]:
    made = Line(SerialReader(RULES.crush, clock=lambda: 100.0))
    made.reader.open(made.name)
    yield made
    made.reader.close()
    made.hang_up()


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS.keys())
@pytest.mark.parametrize("end", ["\r\n", "\x03", ""], ids=["CR LF", "ETX", "a pause"])
def test_that_every_form_sent_over_a_line_is_read(qtbot: QtBot, line: Line, form: str, end: str) -> None:
    with qtbot.waitSignal(line.reader.read, timeout=5000):
        line.send(form.rstrip("\r\n\x03\x00") + end)
    assert line.said == [("read", TEST_TAG)]


def test_that_lines_that_come_in_pieces_and_together_are_told_apart(qtbot: QtBot, line: Line) -> None:
    with qtbot.waitSignal(line.reader.garbled, timeout=5000):
        line.send("\x0299912345")
        line.send("6789012\r\n\x02276 000312312345\r\n999123456789012\r\n826700000100001\r\n")
    assert line.said == [
        ("read", TEST_TAG),
        ("read", "276000312312345"),
        ("read", TEST_TAG),
        ("garbled", "826700000100001"),
    ]


def test_that_the_same_tag_again_within_five_seconds_is_a_repeat(qtbot: QtBot, line: Line) -> None:
    with qtbot.waitSignal(line.reader.repeated, timeout=5000):
        line.send("999123456789012\r\n8000F9DCBE991A14\r\n")
    assert line.said == [("read", TEST_TAG), ("repeated", TEST_TAG)]


def test_that_a_line_pulled_out_is_said_once_and_can_be_opened_again(qtbot: QtBot, line: Line) -> None:
    with qtbot.waitSignal(line.reader.lost, timeout=5000) as lost:
        line.hang_up()
    assert "The reader was lost" in str(lost.args[0])
    assert not line.reader.is_open
    other = Line(line.reader)
    line.reader.open(other.name)
    assert other.name.endswith(line.reader.port_name)
    line.reader.close()
    other.hang_up()


def test_that_a_line_that_is_not_there_is_a_problem_in_words(qtbot: QtBot) -> None:
    reader = SerialReader(RULES.crush)
    with pytest.raises(Problem, match="could not be opened") as refused:
        reader.open("/dev/no-such-line")
    assert "/dev/no-such-line" in refused.value.why
    assert not reader.is_open
    reader.close()


def test_that_without_the_part_for_serial_lines_it_says_how_to_get_it(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "PySide6.QtSerialPort", None)  # as where it is not installed
    with pytest.raises(Problem) as refused:
        SerialReader(RULES.crush).open("COM4")
    assert "pip install 'herdscore[serial]'" in refused.value.what_to_do
    assert serial_reader.ports() == []
