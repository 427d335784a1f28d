"""A stick reader on a serial line or a radio link that shows as one: every line it sends is a number.

Needs QtSerialPort, an optional part (`pip install 'herdscore[serial]'`), which is imported when a line is opened.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QIODevice, QObject, QTimer, Signal, Slot

from herdscore.domain.crush_forms import CrushRules
from herdscore.domain.stick_reader import Said, TagListener
from herdscore.errors import Problem

if TYPE_CHECKING:
    from PySide6.QtSerialPort import QSerialPort

NOT_OPENED = "The reader could not be opened."
_LONGEST = 400  # bytes without an end of line after which they are let go
_LINE = re.compile(rb"[\r\n\x03\x00]+")


class SerialReader(QObject):
    """`read(number)`, `repeated(number)`, `garbled(text, why)` as with a reader that types; `lost(Problem)`: unplugged.

    A line ends at CR, LF or ETX, or where nothing follows for the gap of a burst.
    """

    read = Signal(str)
    repeated = Signal(str)
    garbled = Signal(str, str)
    lost = Signal(object)

    def __init__(
        self, rules: CrushRules, *, clock: Callable[[], float] = time.monotonic, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._tags = TagListener(rules)
        self._clock = clock
        self._baud = rules.reader_baud
        self._port: QSerialPort | None = None
        self._line = b""
        self._gap = QTimer(self)
        self._gap.setSingleShot(True)
        self._gap.setInterval(2 * rules.reader_gap_ms)
        self._gap.timeout.connect(self._on_gap)

    @property
    def is_open(self) -> bool:
        """Whether it listens."""
        return self._port is not None

    @property
    def port_name(self) -> str:
        """Name of the line it listens to, empty when closed."""
        return "" if self._port is None else str(self._port.portName())

    def open(self, port: str, baud: int | None = None) -> None:
        """Listen to a line by its name, such as COM4 or /dev/ttyUSB0; a Problem when that cannot be."""
        kind = _serial_port()
        self.close()
        made = kind(self)
        made.setPortName(port)
        made.setBaudRate(baud or self._baud)
        if not made.open(QIODevice.OpenModeFlag.ReadOnly):
            why = made.errorString()
            made.deleteLater()
            raise Problem(NOT_OPENED, f"{port}: {why}.", "Look whether it is switched on, plugged in, and free.")
        made.readyRead.connect(self._on_bytes)
        made.errorOccurred.connect(self._on_fault)
        self._port = made

    def close(self) -> None:
        """Stop listening; closing twice does no harm."""
        port, self._port, self._line = self._port, None, b""
        self._gap.stop()
        if port is not None:
            port.errorOccurred.disconnect(self._on_fault)
            port.readyRead.disconnect(self._on_bytes)
            port.close()
            port.deleteLater()

    @Slot()
    def _on_bytes(self) -> None:
        if self._port is None:
            return
        *lines, self._line = _LINE.split(self._line + bytes(self._port.readAll().data()))
        for line in lines:
            self._hear(line)
        self._line = self._line[-_LONGEST:]
        self._gap.start()

    @Slot()
    def _on_gap(self) -> None:
        line, self._line = self._line, b""
        self._hear(line)

    def _hear(self, line: bytes) -> None:
        text = line.decode("ascii", errors="replace").strip("\x02 \t")
        if not text:
            return
        spoken = self._tags.hear(text, self._clock() * 1000)
        if spoken.said is Said.NUMBER:
            self.read.emit(spoken.number)
        elif spoken.said is Said.REPEAT:
            self.repeated.emit(spoken.number)
        else:
            self.garbled.emit(spoken.text, spoken.why)

    def _on_fault(self, fault: QSerialPort.SerialPortError) -> None:
        port = self._port
        if port is None or fault == type(port).SerialPortError.NoError:
            return
        why = f"{port.portName()}: {port.errorString()}."
        self.close()
        self.lost.emit(Problem("The reader was lost.", why, "Plug it in or switch it on, and open it again."))


def is_installed() -> bool:
    """Whether the part for serial lines is there."""
    try:
        _serial_port()
    except Problem:
        return False
    return True


def ports() -> list[str]:
    """Names of the serial lines of this computer; none where QtSerialPort is not installed."""
    try:
        from PySide6.QtSerialPort import QSerialPortInfo
    except ImportError:
        return []
    return [str(info.portName()) for info in QSerialPortInfo.availablePorts()]


def _serial_port() -> type[QSerialPort]:
    try:
        from PySide6.QtSerialPort import QSerialPort
    except ImportError as missing:
        raise Problem(
            NOT_OPENED,
            "The part for serial lines is not installed.",
            "Install it with: pip install 'herdscore[serial]'. A reader that types needs nothing.",
        ) from missing
    kind: type[QSerialPort] = QSerialPort
    return kind
