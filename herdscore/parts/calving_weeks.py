"""Calvings to expect week by week: bars with their thin and fat parts marked, on the screen and on paper."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen
from typing_extensions import override

from herdscore.parts.chart_frame import day_words
from herdscore.parts.drawn_chart import DrawnChart
from herdscore.parts.theme import Look, Theme
from herdscore.parts.year_chart import FontOf

_WIDEST_BAR = 46.0
_SHARE = 0.82
_MARK_FROM = 11.0
_LEAST_SAID, _LEAST_GUESSED = 0.5, 0.05


@dataclass(frozen=True)
class WeekBar:
    """One week from its Monday: calvings of thin, fat and other cows; `guessed` of the others by bull dates alone."""

    monday: date
    thin: float
    fat: float
    other: float
    guessed: float = 0.0

    @property
    def total(self) -> float:
        """All parts."""
        return self.thin + self.fat + self.other


@dataclass(frozen=True)
class WeeksPicture:
    """Weeks one after the other, and names of blocks over the Monday of their fullest week."""

    weeks: tuple[WeekBar, ...]
    names: tuple[tuple[str, date], ...] = ()
    name: str = ""
    description: str = ""

    @property
    def guessed(self) -> bool:
        """Whether there is a part known by bull dates alone, drawn dashed."""
        return any(week.guessed >= _LEAST_GUESSED for week in self.weeks)


def paint_weeks(painter: QPainter, box: QRectF, theme: Theme, font: FontOf, picture: WeeksPicture) -> None:
    """Draw the bars into a box of px."""
    if not picture.weeks:
        return
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _Drawing(painter, box, theme, font, picture).paint()
    painter.restore()


class _Drawing:
    """One painting."""

    def __init__(self, painter: QPainter, box: QRectF, theme: Theme, font: FontOf, picture: WeeksPicture) -> None:
        self.painter, self.theme, self.font, self.picture = painter, theme, font, picture
        self.small, self.bold = font(11, 400), font(11, 600)
        self.line = QFontMetricsF(self.small).height()
        over = self.line * (2 if picture.names else 1) + 6
        self.plot = box.adjusted(4, over, -4, -(self.line + 6))
        self.step = min(self.plot.width() / len(picture.weeks), _WIDEST_BAR)
        self.left = self.plot.left() + (self.plot.width() - self.step * len(picture.weeks)) / 2
        most = max(week.total for week in picture.weeks)
        self.px = self.plot.height() / max(most, 1.0)

    def paint(self) -> None:
        tops = [self._bar(place, week) for place, week in enumerate(self.picture.weeks)]
        self.painter.setPen(QPen(self.theme["edge"], 1))
        self.painter.drawLine(QLineF(self.plot.bottomLeft(), self.plot.bottomRight()))
        self._figures(tops)
        self._months()
        self._names(tops)

    def _bar(self, place: int, week: WeekBar) -> float:
        """Draw one bar; its top."""
        wide = self.step * _SHARE
        left = self.left + place * self.step + (self.step - wide) / 2
        y = self.plot.bottom()
        guessed = min(week.guessed, week.other)
        parts = [("guessed", guessed, ""), ("empty", week.other - guessed, "")]
        parts += [("thin", week.thin, "now_up"), ("fat", week.fat, "now_down")]
        for role, count, mark in parts:
            tall = count * self.px
            if tall < 0.4:
                continue
            part = QRectF(left, y - tall, wide, tall)
            y -= tall
            self._part(part, role, mark)
        return y

    def _part(self, part: QRectF, role: str, mark: str) -> None:
        painter, theme = self.painter, self.theme
        if role == "guessed":
            painter.setPen(QPen(theme["edge"], 1, Qt.PenStyle.DashLine))
            painter.setBrush(theme["sunk"])
            painter.drawRect(part.adjusted(0.5, 0.5, -0.5, 0))
            return
        painter.fillRect(part.adjusted(0, 1, 0, 0) if part.height() > 3 else part, theme[role])
        if mark and part.height() >= _MARK_FROM and part.width() >= _MARK_FROM:
            size = min(13.0, part.height() - 2, part.width() - 2)
            centre = part.center()
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme["surface"])
            way = -1.0 if mark == "now_up" else 1.0
            half = size / 2
            painter.drawPolygon(
                [
                    QPointF(centre.x(), centre.y() + way * half),
                    QPointF(centre.x() + half, centre.y() - way * half * 0.8),
                    QPointF(centre.x() - half, centre.y() - way * half * 0.8),
                ]
            )

    def _figures(self, tops: list[float]) -> None:
        """Calvings over each bar where there is room."""
        painter, metrics = self.painter, QFontMetricsF(self.bold)
        painter.setFont(self.bold)
        painter.setPen(self.theme["ink"])
        if metrics.horizontalAdvance("10") > self.step + 2:
            most = max(range(len(tops)), key=lambda at: self.picture.weeks[at].total)
            shown = [most]
        else:
            shown = list(range(len(tops)))
        for place in shown:
            total = self.picture.weeks[place].total
            if total >= _LEAST_SAID:
                x = self.left + (place + 0.5) * self.step
                box = QRectF(x - 20, tops[place] - self.line - 1, 40, self.line)
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, f"{total:.0f}")

    def _months(self) -> None:
        """The first of each month, as many as there is room for."""
        painter, metrics = self.painter, QFontMetricsF(self.small)
        first = self.picture.weeks[0].monday
        last = self.picture.weeks[-1].monday + timedelta(days=7)
        painter.setFont(self.small)
        end = self.plot.left() - 8
        day = date(first.year + first.month // 12, first.month % 12 + 1, 1)
        if first.day <= 7:
            day = date(first.year, first.month, 1) if first.day == 1 else day
        while day < last:
            x = self.left + (day - first).days / 7 * self.step
            painter.setPen(QPen(self.theme["edge"], 1))
            painter.drawLine(QLineF(x, self.plot.bottom(), x, self.plot.bottom() + 4))
            words = day_words(day)
            wide = metrics.horizontalAdvance(words)
            at = min(max(x - wide / 2, self.plot.left()), self.plot.right() - wide)
            if at > end + 8:
                painter.setPen(self.theme["ink_second"])
                painter.drawText(QRectF(at, self.plot.bottom() + 5, wide + 2, self.line), words)
                end = at + wide
            day = date(day.year + day.month // 12, day.month % 12 + 1, 1)

    def _names(self, tops: list[float]) -> None:
        painter, metrics = self.painter, QFontMetricsF(self.bold)
        painter.setFont(self.bold)
        painter.setPen(self.theme["ink_second"])
        first = self.picture.weeks[0].monday
        for name, monday in self.picture.names:
            place = (monday - first).days // 7
            x = self.left + (place + 0.5) * self.step
            wide = metrics.horizontalAdvance(name) + 4
            reach = range(
                max(0, int((x - wide / 2 - self.left) // self.step)),
                min(len(tops), int((x + wide / 2 - self.left) // self.step) + 1),
            )
            top = min(tops[at] for at in reach) - 2 * self.line - 2
            left = min(max(x - wide / 2, self.plot.left()), self.plot.right() - wide)
            painter.drawText(QRectF(left, top, wide, self.line), Qt.AlignmentFlag.AlignCenter, name)


class CalvingWeeks(DrawnChart):
    """The bars on a page."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, QSize(380, 120))
        self.picture = WeeksPicture(())

    def show_picture(self, picture: WeeksPicture) -> None:
        """Draw other weeks."""
        self.picture = picture
        self.say_empty("" if picture.weeks else "No cow with a calving date ahead.")
        if picture.weeks:
            self.setAccessibleName(picture.name)
            self.setAccessibleDescription(picture.description)

    @override
    def draw(self, painter: QPainter, box: QRectF, theme: Theme) -> bool:
        paint_weeks(painter, box, theme, theme.font, self.picture)
        return bool(self.picture.weeks)
