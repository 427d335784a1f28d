"""The chart of a group's steps on a page: pointed at or walked from step to step."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter
from typing_extensions import override

from herdscore.parts.drawn_chart import DrawnChart
from herdscore.parts.step_drawing import StepPicture, frame_of, paint_steps, step_at
from herdscore.parts.theme import Look, Theme

_LEAST = QSize(300, 150)


class StepChart(DrawnChart):
    """`step_chosen(place)`: left and right arrow, Home, End or a click go from step to step."""

    step_chosen = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__(look, _LEAST)
        self.picture: StepPicture | None = None
        self._at: int | None = None

    @property
    def current(self) -> int | None:
        """Place of the step pointed at."""
        return self._at

    def show_picture(self, picture: StepPicture) -> None:
        """Show other steps."""
        self.picture, self._at = picture, None
        self.setAccessibleName(picture.title)
        self.setAccessibleDescription(picture.description)
        self.update()

    def show_empty(self, words: str) -> None:
        """Say why there is nothing to show."""
        self.picture, self._at = None, None
        self.say_empty(words)

    def choose(self, place: int) -> None:
        """Point at a step."""
        if self.picture is None or not self.picture.steps:
            return
        self._at = min(max(place, 0), len(self.picture.steps) - 1)
        self.setAccessibleDescription(f"{self.picture.steps[self._at].words}. {self.picture.description}")
        self.step_chosen.emit(self._at)
        self.update()

    @override
    def draw(self, painter: QPainter, box: QRectF, theme: Theme) -> bool:
        if self.picture is None:
            return False
        paint_steps(painter, box, theme, self.picture, self._at)
        return True

    @override
    def say_at(self, at: QPointF) -> str:
        step = self._step_under(at)
        return "" if self.picture is None or step is None else self.picture.steps[step].words

    def _step_under(self, at: QPointF) -> int | None:
        if self.picture is None:
            return None
        box = self.under_title(self.picture.title, self.picture.under)
        return step_at(frame_of(box, self._look.theme, self.picture), self.picture, at)

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = self._step_under(event.position())
        if at is not None:
            self.choose(at)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self.picture is None or not self.picture.steps:
            super().keyPressEvent(event)
            return
        today = max(sum(step.day <= self.picture.today for step in self.picture.steps) - 1, 0)
        at = today if self._at is None else self._at
        moves = {
            Qt.Key.Key_Left: at - 1 if self._at is not None else at,
            Qt.Key.Key_Right: at + 1 if self._at is not None else at,
            Qt.Key.Key_Home: 0,
            Qt.Key.Key_End: len(self.picture.steps) - 1,
        }
        to = moves.get(Qt.Key(event.key()))
        if to is None:
            super().keyPressEvent(event)
        else:
            self.choose(to)
