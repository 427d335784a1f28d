"""The chart of a group's steps on a page: pointed at or walked from step to step."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget
from typing_extensions import override

from herdscore.parts.step_drawing import StepPicture, frame_of, paint_steps, step_at, title_height
from herdscore.parts.theme import Look

_PAD = 4.0


class StepChart(QWidget):
    """`step_chosen(place)`: left and right arrow, Home, End or a click go from step to step."""

    step_chosen = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.picture: StepPicture | None = None
        self.empty = ""
        self._at: int | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(300, 150)
        look.changed.connect(self.update)

    @property
    def current(self) -> int | None:
        """Place of the step pointed at."""
        return self._at

    def show_picture(self, picture: StepPicture) -> None:
        """Show other steps."""
        self.picture, self.empty, self._at = picture, "", None
        self.setAccessibleName(picture.title)
        self.setAccessibleDescription(picture.description)
        self.update()

    def show_empty(self, words: str) -> None:
        """Say why there is nothing to show."""
        self.picture, self.empty, self._at = None, words, None
        self.setAccessibleName(words)
        self.setAccessibleDescription("")
        self.update()

    def choose(self, place: int | None) -> None:
        """Point at a step."""
        if self.picture is None or not self.picture.steps:
            return
        self._at = None if place is None else min(max(place, 0), len(self.picture.steps) - 1)
        if self._at is not None:
            self.setAccessibleDescription(f"{self.picture.steps[self._at].words}. {self.picture.description}")
            self.step_chosen.emit(self._at)
        self.update()

    @override
    def sizeHint(self) -> QSize:
        return QSize(700, 200)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._look.theme
        box = QRectF(self.rect()).adjusted(_PAD, _PAD, -_PAD, -_PAD)
        if self.picture is None:
            painter.setFont(theme.font(13))
            painter.setPen(theme["ink_second"])
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap), self.empty)
        else:
            paint_steps(painter, box, theme, self.picture, self._at)
        if self.hasFocus():
            painter.setPen(QPen(theme["focus"], 2))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        painter.end()

    def _step_under(self, at: QPointF) -> int | None:
        if self.picture is None:
            return None
        box = QRectF(self.rect()).adjusted(_PAD, _PAD, -_PAD, -_PAD)
        top = box.top() + title_height(box.width() - 8, self._look.theme, self.picture)
        frame = frame_of(QRectF(box.left(), top, box.width(), box.bottom() - top), self._look.theme, self.picture)
        return step_at(frame, self.picture, at)

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = self._step_under(event.position())
        if at is not None:
            self.choose(at)

    @override
    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip and self.picture is not None:
            at = self._step_under(QPointF(event.pos()))
            QToolTip.showText(event.globalPos(), "" if at is None else self.picture.steps[at].words, self)
            return True
        return super().event(event)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self.picture is None or not self.picture.steps:
            super().keyPressEvent(event)
            return
        last = len(self.picture.steps) - 1
        today = max(sum(step.day <= self.picture.today for step in self.picture.steps) - 1, 0)
        at = today if self._at is None else self._at
        moves = {
            Qt.Key.Key_Left: at - 1 if self._at is not None else at,
            Qt.Key.Key_Right: at + 1 if self._at is not None else at,
            Qt.Key.Key_Home: 0,
            Qt.Key.Key_End: last,
        }
        to = moves.get(Qt.Key(event.key()))
        if to is None:
            super().keyPressEvent(event)
        else:
            self.choose(to)

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    @override
    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()
