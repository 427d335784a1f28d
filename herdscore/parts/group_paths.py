"""The mean ways of groups to calving: measured rounds joined, from there on dotted, names at the ends of the lines."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from herdscore.parts.group_drawing import say
from herdscore.parts.group_picture import PathLine, PathsPicture
from herdscore.parts.theme import Look, Theme

_LONGEST = 210.0  # days before calving
_SHORTEST = 60.0
_DAY_TICKS = (0, 21, 56, 91, 126, 161, 196)
_LEAST_SPAN = 0.5
_MOST_SPAN = 1.5
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class PathsFrame:
    """Where days and scores lie in a box."""

    def __init__(self, picture: PathsPicture, rect: QRectF, theme: Theme) -> None:
        font = QFontMetricsF(theme.font(11))
        self.line = font.height()
        bold = QFontMetricsF(theme.font(11, 600))
        names = max((bold.horizontalAdvance(one.name) for one in picture.lines), default=0.0)
        left = font.horizontalAdvance(say(-0.25)) + 12
        self.names = min(names + 8, 0.34 * rect.width())
        foot = self.line + 8
        self.plot = QRectF(
            rect.left() + left, rect.top() + 4, rect.width() - left - self.names - 6, rect.height() - foot - 4
        )
        days = [float(one.days.max(initial=0.0)) for one in picture.lines]
        days += [float(one.ahead_days.max(initial=0.0)) for one in picture.lines]
        self.first = min(max(max(days, default=0.0), _SHORTEST) + 4, _LONGEST)
        values = [np.abs(part) for one in picture.lines for part in (one.values[one.days <= self.first], one.ahead)]
        most = max((float(part.max(initial=0.0)) for part in values), default=0.0)
        self.span = min(max(most + 0.06, _LEAST_SPAN), _MOST_SPAN)

    def x(self, days: float) -> float:
        """Px across of days before calving."""
        return self.plot.right() - days / self.first * self.plot.width()

    def y(self, value: float) -> float:
        """Px down of a score less target."""
        return self.plot.center().y() - min(max(value, -self.span), self.span) / self.span * self.plot.height() / 2

    def points(self, days: np.ndarray, values: np.ndarray) -> list[QPointF]:
        """Px of a line, without what lies before the first day seen."""
        seen = days <= self.first
        pairs = zip(days[seen].tolist(), values[seen].tolist(), strict=True)
        return [QPointF(self.x(day), self.y(value)) for day, value in pairs]


def paint_paths(painter: QPainter, rect: QRectF, theme: Theme, picture: PathsPicture) -> None:
    """The whole chart in a box, on screen or on paper."""
    frame = PathsFrame(picture, rect, theme)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _ground(painter, theme, picture, frame)
    for line in sorted(picture.lines, key=lambda one: one.is_bold):
        _way(painter, theme, frame, line)
    _names(painter, theme, picture, frame)
    painter.restore()


def _ground(painter: QPainter, theme: Theme, picture: PathsPicture, frame: PathsFrame) -> None:
    plot = frame.plot
    top, foot = frame.y(picture.band), frame.y(-picture.band)
    painter.fillRect(QRectF(plot.left(), top, plot.width(), foot - top), theme.faded("band", 0.14))
    painter.setFont(theme.font(11))
    step = 0.25 if frame.y(0) - frame.y(0.25) > frame.line + 2 else 0.5
    for tick in np.arange(-2.0, 2.01, step):
        if abs(tick) <= frame.span + 1e-9:
            y = frame.y(float(tick))
            painter.setPen(theme["ink_second"])
            words = "0" if tick == 0 else say(float(tick))
            painter.drawText(QRectF(plot.left() - 96, y - frame.line / 2, 90, frame.line), _RIGHT, words)
    for days in (picture.lead, picture.freeze):
        painter.setPen(QPen(theme["edge"], 1.5, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(frame.x(days), plot.top(), frame.x(days), plot.bottom()))
    painter.setPen(QPen(theme["ink"], 2))
    painter.drawLine(QLineF(plot.right(), plot.top(), plot.right(), plot.bottom()))
    painter.setPen(QPen(theme["edge"], 1))
    painter.drawLine(QLineF(plot.left(), plot.bottom(), plot.right(), plot.bottom()))
    ticks = {*_DAY_TICKS, int(picture.lead), int(picture.freeze)}
    taken = float("inf")
    wide = QFontMetricsF(painter.font()).horizontalAdvance("000") + 6
    for day in sorted(ticks):
        x = frame.x(day)
        if day > frame.first or taken - x < wide:
            continue
        taken = x
        painter.setPen(theme["ink_second"])
        painter.drawText(QRectF(x - 30, plot.bottom() + 4, 60, frame.line), Qt.AlignmentFlag.AlignCenter, str(day))
    painter.drawText(QRectF(plot.right() + 14, plot.bottom() + 4, frame.names, frame.line), _LEFT, "days")


def _ink(theme: Theme, line: PathLine) -> QColor:
    return theme["ink" if line.is_bold else "edge"]


def _way(painter: QPainter, theme: Theme, frame: PathsFrame, line: PathLine) -> None:
    measured, ahead = frame.points(line.days, line.values), frame.points(line.ahead_days, line.ahead)
    ink = _ink(theme, line)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if len(measured) > 1:
        painter.setPen(QPen(ink, 3 if line.is_bold else 2))
        painter.drawPolyline(QPolygonF(measured))
    painter.setPen(QPen(ink, 2, Qt.PenStyle.DotLine))
    painter.drawPolyline(QPolygonF([*measured[-1:], *ahead]))
    painter.setPen(QPen(theme["surface"] if not line.is_small else ink, 1))
    painter.setBrush(theme["surface"] if line.is_small else ink)
    for point in measured:
        painter.drawEllipse(point, 4.5, 4.5)


def _names(painter: QPainter, theme: Theme, picture: PathsPicture, frame: PathsFrame) -> None:
    """Names where the lines end, pushed apart; the bold ones always, the others while there is room."""
    room = max(1, int(frame.plot.height() // frame.line))
    wanted = sorted(picture.lines, key=lambda one: (not one.is_bold, -abs(one.ahead[-1])))[:room]
    wanted.sort(key=lambda one: -one.ahead[-1])
    ys = [frame.y(float(one.ahead[-1])) for one in wanted]
    for at in range(1, len(ys)):
        ys[at] = max(ys[at], ys[at - 1] + frame.line)
    over = (ys[-1] + frame.line / 2 - frame.plot.bottom()) if ys else 0.0
    if over > 0:
        ys[-1] -= over
        for at in range(len(ys) - 2, -1, -1):
            ys[at] = min(ys[at], ys[at + 1] - frame.line)
    for one, y in zip(wanted, ys, strict=True):
        font = theme.font(11, 600 if one.is_bold else 400)
        painter.setFont(font)
        painter.setPen(theme["ink" if one.is_bold else "ink_second"])
        words = QFontMetricsF(font).elidedText(one.name, Qt.TextElideMode.ElideRight, frame.names)
        painter.drawText(QRectF(frame.plot.right() + 8, y - frame.line / 2, frame.names, frame.line), _LEFT, words)


class GroupPaths(QWidget):
    """The chart on a page."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._picture = PathsPicture(())
        self.setMinimumSize(260, 150)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def picture(self) -> PathsPicture:
        """What is shown."""
        return self._picture

    def show_picture(self, picture: PathsPicture) -> None:
        """Show other ways."""
        self._picture = picture
        self.setAccessibleName(picture.name)
        self.setAccessibleDescription(picture.description)
        self.update()

    @override
    def sizeHint(self) -> QSize:
        return QSize(420, 190)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._look.theme
        painter = QPainter(self)
        if self._picture.lines:
            paint_paths(painter, QRectF(self.rect()), theme, self._picture)
        else:
            painter.setFont(theme.font(12))
            painter.setPen(theme["ink_second"])
            painter.drawText(
                self.rect(),
                Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap,
                "No cow on her way to calving has a score and a date.",
            )
        painter.end()
