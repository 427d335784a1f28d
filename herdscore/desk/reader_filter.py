"""Listens for a stick reader that types, whatever has the keyboard.

A character is held until 40 ms have passed without another, then handed on. So that a person does not feel the wait,
`touched` says at once which characters are held: a page shows what they would do, and does it when the key comes.
Enter, Tab, arrows and keys with Ctrl or Alt are never held.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QGuiApplication, QKeyEvent
from typing_extensions import override

from herdscore.domain.crush_forms import CrushRules
from herdscore.domain.stick_reader import ETX, STX, Heard, Said, Spoken, StickReader

_PRESS, _RELEASE, _SHORTCUT = QEvent.Type.KeyPress, QEvent.Type.KeyRelease, QEvent.Type.ShortcutOverride
_KEYS = frozenset((_PRESS, _RELEASE, _SHORTCUT))
_ENDS = {Qt.Key.Key_Return: "\r", Qt.Key.Key_Enter: "\r", Qt.Key.Key_Tab: "\t", Qt.Key.Key_Backtab: "\t"}
_WITH = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
_HELD_DOWN = (
    Qt.Key.Key_Shift,
    Qt.Key.Key_Control,
    Qt.Key.Key_Alt,
    Qt.Key.Key_AltGr,
    Qt.Key.Key_Meta,
    Qt.Key.Key_CapsLock,
    Qt.Key.Key_NumLock,
)
# A key handed on carries this in its time, so that it is known again at every widget it comes to.
_HANDED_ON = 1 << 60
_LATE_MS = 8.0  # a timer later than this: the window was busy, and keys may be waiting that belong to the burst
_LOOK_AGAIN_MS = 1


@dataclass(frozen=True, slots=True)
class _Held:
    """A press or release of a character, and where it was going."""

    to: QObject
    event: QKeyEvent
    is_press: bool


class ReaderFilter(QObject):
    """Event filter of the application.

    `read(number)`: 15 digits of an EID, or a tag without blanks. `repeated(number)`: the same again within 5 s.
    `garbled(text, why)`: a reader said what is no tag. `touched(characters)`: held now, oldest first, to be shown as
    if they had come. `let_go()`: what was touched was a reader's; show what stood before.
    """

    read = Signal(str)
    repeated = Signal(str)
    garbled = Signal(str, str)
    touched = Signal(str)
    let_go = Signal()

    def __init__(
        self,
        rules: CrushRules,
        *,
        clock: Callable[[], float] = time.monotonic,
        stamps: bool | None = None,
        parent: QObject | None = None,
    ) -> None:
        """`clock` in seconds; `stamps`: trust the times keys carry, as a real screen's do (None: find out)."""
        super().__init__(parent)
        self._ear = StickReader(rules)
        self._gap_ms, self._enough = rules.reader_gap_ms, rules.reader_characters
        self._clock = clock
        self._stamps = stamps
        self._queue: deque[_Held] = deque()
        self._ghosts: set[int] = set()  # keys of a reader whose release is still to come
        self._at_ms = 0.0  # time of the last key, on a line of its own
        self._came_ms = 0.0  # the clock when it came
        self._stamp = 0
        self._looked_again = self._listens = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._on_pause)

    def install(self) -> None:
        """Begin to listen."""
        app = QCoreApplication.instance()
        assert app is not None
        if self._stamps is None:
            self._stamps = QGuiApplication.platformName() not in ("offscreen", "minimal")
        app.installEventFilter(self)
        self._listens = True

    def remove(self) -> None:
        """Stop listening; what is held is handed on."""
        self._listens = False
        self._take(self._ear.interrupt())
        app = QCoreApplication.instance()
        if app is not None:
            app.removeEventFilter(self)

    @contextmanager
    def resting(self) -> Iterator[None]:
        """Look at no event while a page is put together: it sends itself thousands, and no key can come meanwhile."""
        app = QCoreApplication.instance()
        if app is not None:
            app.removeEventFilter(self)
        try:
            yield
        finally:
            if app is not None and self._listens:
                app.installEventFilter(self)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        kind = event.type()
        if kind not in _KEYS or not isinstance(event, QKeyEvent) or event.timestamp() & _HANDED_ON:
            return False
        if kind == _PRESS:
            return self._press(watched, event)
        if kind == _RELEASE:
            return self._release(watched, event)
        if self._ear.held and not event.modifiers() & _WITH:
            event.accept()  # no shortcut of one key takes a character out of a burst
            return True
        return False

    def _press(self, to: QObject, event: QKeyEvent) -> bool:
        key = event.key()
        if key in _HELD_DOWN:
            return False
        end = _ENDS.get(Qt.Key(key))
        if end is not None and not event.modifiers() & _WITH:
            return self._end(end, event)
        text = event.text()
        if not self._is_character(event, text):
            self._take(self._ear.interrupt())
            return False
        self._take(self._ear.press(text, self._time(event)))
        self._looked_again = False
        self._timer.start(self._gap_ms)
        if self._ear.is_reader:
            if self._ear.held == self._enough:
                self._drop()
                self.let_go.emit()
            self._ghosts.add(key)
        else:
            self._ghosts.discard(key)
            self._queue.append(_Held(to, _copy(event), is_press=True))
            self.touched.emit("".join(one.event.text() for one in self._queue if one.is_press))
        return True

    def _is_character(self, event: QKeyEvent, text: str) -> bool:
        """A character a reader may send; one held down by a person, or with Ctrl or Alt, is none."""
        if len(text) != 1 or event.isAutoRepeat():
            return False
        plain = not event.modifiers() & _WITH
        if text in (STX, ETX):  # or Ctrl+B and Ctrl+C, as some readers send them
            return plain or self._ear.goes_on(self._peek(event))
        return text.isprintable() and plain

    def _end(self, end: str, event: QKeyEvent) -> bool:
        heard = self._ear.press(end, self._time(event))
        self._take(heard)
        (self._ghosts.add if heard.swallowed else self._ghosts.discard)(event.key())
        return heard.swallowed

    def _release(self, to: QObject, event: QKeyEvent) -> bool:
        key = event.key()
        if any(one.is_press and one.event.key() == key for one in self._queue):
            self._queue.append(_Held(to, _copy(event), is_press=False))
            return True
        if key in self._ghosts:
            if not event.isAutoRepeat():
                self._ghosts.discard(key)
            return True
        return False

    @Slot()
    def _on_pause(self) -> None:
        since = self._clock() * 1000 - self._came_ms
        if since < self._gap_ms:
            self._timer.start(max(1, round(self._gap_ms - since + 0.5)))
        elif since > self._gap_ms + _LATE_MS and not self._looked_again:
            self._looked_again = True
            self._timer.start(_LOOK_AGAIN_MS)
        else:
            self._take(self._ear.pause(self._at_ms + since))

    def _take(self, heard: Heard) -> None:
        """Say what a reader said, and hand on what a hand typed."""
        if heard.spoken is not None:
            self._say(heard.spoken)
        left = heard.typed
        while self._queue and (left > 0 or not self._queue[0].is_press):
            one = self._queue.popleft()
            left -= one.is_press
            if shiboken6.isValid(one.to):
                QCoreApplication.sendEvent(one.to, one.event)

    def _drop(self) -> None:
        """Forget what is held: it is a reader's, and so are the releases still to come."""
        released = {one.event.key() for one in self._queue if not one.is_press}
        pressed = {one.event.key() for one in self._queue if one.is_press}
        self._ghosts |= pressed - released
        self._ghosts -= released
        self._queue.clear()

    def _say(self, spoken: Spoken) -> None:
        if spoken.said is Said.NUMBER:
            self.read.emit(spoken.number)
        elif spoken.said is Said.REPEAT:
            self.repeated.emit(spoken.number)
        else:
            self.garbled.emit(spoken.text, spoken.why)

    def _peek(self, event: QKeyEvent) -> float:
        """Time of a key on the line of times."""
        stamp = event.timestamp()
        if self._stamps and stamp and self._stamp and stamp >= self._stamp:
            return self._at_ms + stamp - self._stamp
        return self._at_ms + self._clock() * 1000 - self._came_ms

    def _time(self, event: QKeyEvent) -> float:
        self._at_ms = self._peek(event)
        self._came_ms = self._clock() * 1000
        self._stamp = event.timestamp()
        return self._at_ms


def _copy(event: QKeyEvent) -> QKeyEvent:
    made = event.clone()
    assert isinstance(made, QKeyEvent)
    made.setTimestamp(event.timestamp() | _HANDED_ON)
    return made
