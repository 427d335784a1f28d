"""The strips of cows under two rations on a page: pointed at, or walked from cow to cow."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter
from typing_extensions import override

from herdscore.parts.drawn_chart import DrawnChart
from herdscore.parts.fed_drawing import FedPicture, frame_of, paint_fed, places
from herdscore.parts.theme import Look, Theme

_LEAST = QSize(320, 190)
_NEAR_PX = 12.0


class FedStrips(DrawnChart):
    """`opened(tag)`: Enter or a double click on a cow; left and right arrow go by where she will calve."""

    opened = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__(look, _LEAST)
        self.picture: FedPicture | None = None
        self._cow: int | None = None

    @property
    def current(self) -> str | None:
        """Tag of the cow pointed at."""
        return None if self._cow is None or self.picture is None else self.picture.tags[self._cow]

    def show_picture(self, picture: FedPicture) -> None:
        """Show other cows, or the same under another ration; the cow pointed at stays."""
        tag = self.current
        self.picture = picture
        self._cow = picture.tags.index(tag) if tag in picture.tags else None
        self.setAccessibleName(picture.title)
        self._describe()
        self.update()

    def show_empty(self, words: str) -> None:
        """Say why there is nothing to show."""
        self.picture, self._cow = None, None
        self.say_empty(words)

    def _describe(self) -> None:
        if self.picture is not None:
            said = "" if self._cow is None else f"{self.picture.say(self._cow)}. "
            counts = "; ".join(f"{strip.name} {strip.words}" for strip in self.picture.strips if strip.words)
            self.setAccessibleDescription(f"{said}{counts}".replace("\n", " "))

    @override
    def draw(self, painter: QPainter, box: QRectF, theme: Theme) -> bool:
        if self.picture is None:
            return False
        paint_fed(painter, box, theme, self.picture, self._cow)
        return True

    @override
    def say_at(self, at: QPointF) -> str:
        cow = self.cow_at(at)
        return "" if self.picture is None or cow is None else self.picture.say(cow)

    def cow_at(self, at: QPointF) -> int | None:
        """The cow nearest to a point, None where none is near."""
        if self.picture is None:
            return None
        box = self.under_title(self.picture.title, self.picture.under)
        frame = frame_of(box, self._look.theme, self.picture)
        best, found = _NEAR_PX, None
        for points in places(frame, self.picture):
            for cow, spot in enumerate(points):
                far = float(np.hypot(spot.x() - at.x(), spot.y() - at.y()))
                if far < best:
                    best, found = far, cow
        return found

    def _point(self, cow: int | None) -> None:
        if cow != self._cow:
            self._cow = cow
            self._describe()
            self.update()

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._point(self.cow_at(event.position()))

    @override
    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self._point(self.cow_at(event.position()))
        if self.current is not None:
            self.opened.emit(self.current)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if self.picture is None or not self.picture.strips:
            super().keyPressEvent(event)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.current is not None:
            self.opened.emit(self.current)
        elif key == Qt.Key.Key_Escape and self._cow is not None:
            self._point(None)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Home, Qt.Key.Key_End):
            order = np.argsort(self.picture.strips[-1].at, kind="stable").tolist()
            at = order.index(self._cow) if self._cow is not None else -1
            last = len(order) - 1
            moves = {Qt.Key.Key_Left: max(at - 1, 0), Qt.Key.Key_Right: min(at + 1, last), Qt.Key.Key_Home: 0}
            self._point(order[moves.get(Qt.Key(key), last)])
        else:
            super().keyPressEvent(event)
