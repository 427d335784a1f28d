"""The chart of one cow on a page: scores, the way she is going, what gentle feeding reaches, the gate at calving."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize
from PySide6.QtGui import QHelpEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget
from typing_extensions import override

from herdscore.parts.chart_frame import Frame, day_words, fit_frame, measures_for
from herdscore.parts.chart_labels import PlacedLabel
from herdscore.parts.cow_picture import CowPicture
from herdscore.parts.theme import Look
from herdscore.parts.trajectory_drawing import paint_trajectory

_NEAR_PX = 14.0
_LOW_PX = 200.0


class TrajectoryChart(QWidget):
    """The chart on a page, in full or in the small form of the crush page."""

    def __init__(self, look: Look, *, mini: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._mini = mini
        self._picture: CowPicture | None = None
        self.placed: tuple[PlacedLabel, ...] = ()
        self.setMinimumSize(*((260, 110) if mini else (420, 190)))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def picture(self) -> CowPicture | None:
        """What is shown."""
        return self._picture

    def show_picture(self, picture: CowPicture | None) -> None:
        """Show a cow; None leaves the chart empty."""
        self._picture = picture
        self.setAccessibleName("" if picture is None else f"Chart of {picture.name}" if picture.name else "Chart")
        self.setAccessibleDescription("" if picture is None else picture.description)
        self.update()

    def frame(self) -> Frame | None:
        """Where days and scores lie now."""
        if self._picture is None:
            return None
        rect = QRectF(self.rect())
        return fit_frame(self._picture, rect, self._look.theme, measures_for(rect, self._is_small))

    @property
    def _is_small(self) -> bool:
        """Whether it is drawn in the small form: where it was asked for, and where the words would leave no room."""
        return self._mini or self.height() < _LOW_PX * self._look.theme.text_scale

    @override
    def sizeHint(self) -> QSize:
        return QSize(436, 240) if self._mini else QSize(700, 460)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        if self._picture is None:
            return
        painter = QPainter(self)
        self.placed = tuple(
            paint_trajectory(painter, QRectF(self.rect()), self._look.theme, self._picture, mini=self._is_small)
        )
        painter.end()

    @override
    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            QToolTip.showText(event.globalPos(), self._tip_at(QPointF(event.pos())), self)
            return True
        return super().event(event)

    def _tip_at(self, at: QPointF) -> str:
        frame = self.frame()
        if frame is None or self._picture is None:
            return ""
        for score in self._picture.scores:
            away = frame.point(score.day, score.value) - at
            if abs(away.x()) <= _NEAR_PX and abs(away.y()) <= _NEAR_PX:
                return score.tip or f"{day_words(score.day)}: {score.words}"
        return ""
