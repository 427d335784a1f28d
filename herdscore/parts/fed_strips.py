"""The strips of cows under two rations on a page: pointed at, or walked from cow to cow."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget
from typing_extensions import override

from herdscore.parts.fed_drawing import FedPicture, frame_of, paint_fed, places, title_height
from herdscore.parts.theme import Look

_PAD, _NEAR_PX = 4.0, 12.0


class FedStrips(QWidget):
    """`opened(tag)`: Enter or a double click on a cow; left and right arrow go by where she will calve."""

    opened = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.picture: FedPicture | None = None
        self.empty = ""
        self._cow: int | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(320, 190)
        look.changed.connect(self.update)

    @property
    def current(self) -> str | None:
        """Tag of the cow pointed at."""
        return None if self._cow is None or self.picture is None else self.picture.tags[self._cow]

    def show_picture(self, picture: FedPicture) -> None:
        """Show other cows, or the same under another ration; the cow pointed at stays."""
        tag = self.current
        self.picture, self.empty = picture, ""
        self._cow = picture.tags.index(tag) if tag in picture.tags else None
        self.setAccessibleName(picture.title)
        self._describe()
        self.update()

    def show_empty(self, words: str) -> None:
        """Say why there is nothing to show."""
        self.picture, self.empty, self._cow = None, words, None
        self.setAccessibleName(words)
        self.setAccessibleDescription("")
        self.update()

    def _describe(self) -> None:
        if self.picture is not None:
            said = "" if self._cow is None else f"{self.picture.say(self._cow)}. "
            counts = "; ".join(f"{strip.name} {strip.words}" for strip in self.picture.strips if strip.words)
            self.setAccessibleDescription(f"{said}{counts}".replace("\n", " "))

    @override
    def sizeHint(self) -> QSize:
        return QSize(640, 200)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._look.theme
        box = QRectF(self.rect()).adjusted(_PAD, _PAD, -_PAD, -_PAD)
        if self.picture is None:
            painter.setFont(theme.font(13))
            painter.setPen(theme["ink_second"])
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap), self.empty)
        else:
            paint_fed(painter, box, theme, self.picture, self._cow)
        if self.hasFocus():
            painter.setPen(QPen(theme["focus"], 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        painter.end()

    def cow_at(self, at: QPointF) -> int | None:
        """The cow nearest to a point, None where none is near."""
        if self.picture is None:
            return None
        box = QRectF(self.rect()).adjusted(_PAD, _PAD, -_PAD, -_PAD)
        top = box.top() + title_height(box.width(), self._look.theme, self.picture)
        frame = frame_of(QRectF(box.left(), top, box.width(), box.bottom() - top), self._look.theme, self.picture)
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
    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip and self.picture is not None:
            cow = self.cow_at(QPointF(event.pos()))
            QToolTip.showText(event.globalPos(), "" if cow is None else self.picture.say(cow), self)
            return True
        return super().event(event)

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

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    @override
    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()
