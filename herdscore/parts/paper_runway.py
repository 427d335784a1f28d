"""The runway drawn with a painter, for paper: the same picture as on the screen, without what answers to the mouse."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from herdscore.parts.chart_frame import day_words
from herdscore.parts.marks import BACK_TO_FRONT, MARKS, paint_mark
from herdscore.parts.report_blocks import paper_font
from herdscore.parts.runway_layers import RIGHT, axis_ticks, gap_ticks
from herdscore.parts.runway_overlay import view_of
from herdscore.parts.runway_picture import Numbers, RunwayPicture
from herdscore.parts.runway_words import ChartWords, View, all_words, words_on
from herdscore.parts.theme import Theme

_TICK_PX = 4.0
_MARK_TIMES = 0.7
_MARK_ROOM = 8.0
_POINTS = 9


class _Drawing:
    """One painting of a runway into a box."""

    def __init__(self, painter: QPainter, box: QRectF, theme: Theme, picture: RunwayPicture) -> None:
        self.painter, self.theme, self.picture = painter, theme, picture
        self.font: QFont = paper_font(_POINTS)
        self.strong: QFont = paper_font(_POINTS, 600)
        metrics = QFontMetricsF(self.font)
        self.line = metrics.height()
        left = metrics.horizontalAdvance("target") + 10
        self.area = box.adjusted(left, self.line + 6, -4, -(self.line + 8))
        self.box = box
        self.view: View = view_of(picture, None, self.area)

    def paint(self) -> None:
        painter, area = self.painter, self.area
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.save()
        painter.setClipRect(area)
        self._ground()
        self._lines()
        painter.restore()
        self._axes()
        self._cows()
        self._words()
        painter.restore()

    def at(self, across: float, up: float) -> QPointF:
        return QPointF(self.area.left() + float(self.view.x(across)), self.area.top() + float(self.view.y(up)))

    def _fill(self, corners: list[tuple[float, float]], role: str, strength: float = 1.0) -> None:
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(self.theme.faded(role, strength))
        self.painter.drawPolygon(QPolygonF([self.at(x, y) for x, y in corners]))

    def _ground(self) -> None:
        p = self.picture
        far, lead = -float(p.furthest_days), -float(p.lead_days)
        self._fill([(p.left, p.foot), (RIGHT, p.foot), (RIGHT, p.top), (p.left, p.top)], "sunk")
        if len(p.edge_days):
            low = self._edge(np.clip(p.edge_thin, p.foot, -p.band))
            high = self._edge(np.clip(p.edge_fat, p.band, p.top))
            self._fill([*low, *reversed(high)], "surface")
            for edge, role, rim in ((low, "thin_tint", -p.band), (high, "fat_tint", p.band)):
                moved = [(x - p.soon_days, y) for x, y in edge if x - p.soon_days >= far]
                self._fill([*edge, (lead, rim), (lead - p.soon_days, rim), *reversed(moved)], role)
        else:
            self._fill([(far, p.foot), (lead, p.foot), (lead, p.top), (far, p.top)], "surface")
        self._fill([(far, -p.band), (RIGHT, -p.band), (RIGHT, p.band), (far, p.band)], "band", 0.13)

    def _edge(self, up: Numbers) -> list[tuple[float, float]]:
        return list(zip((-self.picture.edge_days).tolist(), up.tolist(), strict=True))

    def _lines(self) -> None:
        p, theme = self.picture, self.theme
        far, lead, freeze = -float(p.furthest_days), -float(p.lead_days), -float(p.freeze_days)
        self._stroke([(far, 0.0), (RIGHT, 0.0)], QPen(theme.faded("band", 0.8), 1))
        self._stroke([(far, p.foot), (far, p.top)], QPen(theme["edge"], 1))
        self._stroke([(freeze, p.foot), (freeze, p.top)], QPen(theme["edge"], 1.2, Qt.PenStyle.DashLine))
        self._stroke([(0.0, p.foot), (0.0, p.top)], QPen(theme["ink"], 2))
        for edge, rim in ((p.edge_thin, -p.band), (p.edge_fat, p.band)):
            inside = [(x, y) for x, y in self._edge(edge) if p.foot <= y <= p.top] if len(edge) else []
            if inside:
                self._stroke([*inside, (lead, rim)], QPen(theme["ink"], 2.2))

    def _stroke(self, points: list[tuple[float, float]], pen: QPen) -> None:
        self.painter.setPen(pen)
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawPolyline(QPolygonF([self.at(x, y) for x, y in points]))

    def _axes(self) -> None:
        painter, area, theme = self.painter, self.area, self.theme
        metrics = QFontMetricsF(self.font)
        painter.setFont(self.font)
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(area.bottomLeft(), area.bottomRight()))
        first = max(self.view.first, -float(self.picture.furthest_days))
        margin = area.left() + float(self.view.x(self.picture.left + self.picture.margin_days / 2))
        taken = self._side_words(margin) + 6
        for day in axis_ticks(
            first, min(self.view.last, 0.0), self.view.px_a_day, metrics.horizontalAdvance("30 Nov") + 14
        ):
            x = area.left() + float(self.view.x(-float(day)))
            painter.setPen(QPen(theme["edge"], 1))
            painter.drawLine(QLineF(x, area.bottom(), x, area.bottom() + _TICK_PX))
            above = "today" if day == 0 else day_words(self.picture.today + timedelta(days=day))
            for words, top in ((str(day), area.bottom() + _TICK_PX + 1), (above, area.top() - self.line - 3)):
                wide = metrics.horizontalAdvance(words) + 1
                left = min(x - wide / 2, self.box.right() - wide)
                if left > taken:
                    self._say(words, QRectF(left, top, wide, self.line), self.font, "ink_second")
        for up, words in gap_ticks(self.picture, self.view.px_a_score, self.line + 2):
            y = area.top() + float(self.view.y(up))
            wide = metrics.horizontalAdvance(words) + 1
            self._say(
                words, QRectF(area.left() - 6 - wide, y - self.line / 2, wide, self.line), self.font, "ink_second"
            )

    def _side_words(self, middle: float) -> float:
        """Names of the two axes over and under the margin; their right end."""
        metrics, right = QFontMetricsF(self.font), 0.0
        for words, top in (
            ("days to go", self.area.bottom() + _TICK_PX + 1),
            ("calves", self.area.top() - self.line - 3),
        ):
            wide = metrics.horizontalAdvance(words) + 1
            left = max(self.box.left(), middle - wide / 2)
            self._say(words, QRectF(left, top, wide, self.line), self.font, "ink_second")
            right = max(right, left + wide)
        return right

    def _cows(self) -> None:
        p, painter = self.picture, self.painter
        painter.save()
        painter.setClipRect(self.area)
        painter.setPen(QPen(self.theme["hold"], 1.5))
        for place in np.flatnonzero(np.isfinite(p.tail)).tolist():
            start = self.at(float(p.across[place]), float(np.clip(p.tail[place], p.foot, p.top)))
            painter.drawLine(QLineF(start, self.at(float(p.across[place]), float(p.up[place]))))
        painter.restore()
        for place in np.argsort(p.mark, kind="stable").tolist():
            name = BACK_TO_FRONT[int(p.mark[place])]
            centre = self.at(float(p.across[place]), float(p.up[place]))
            paint_mark(painter, self.theme, name, centre, MARKS[name].px * _MARK_TIMES)

    def _words(self) -> None:
        metrics = QFontMetricsF(self.strong)
        width = {words: metrics.horizontalAdvance(words) for words in all_words(self.picture)}
        for one in words_on(self.picture, self.view, width, metrics.height()):
            self._put(self._clear(one, width[one.words], metrics.height()), width[one.words], metrics.height())

    def _clear(self, one: ChartWords, wide: float, tall: float) -> ChartWords:
        """The name of a phase moved within its phase to where it covers the fewest cows."""
        if one.angle or one.anchor or one.grounded or one.words in self.picture.value:
            return one
        x, y = np.asarray(self.view.x(self.picture.across)), np.asarray(self.view.y(self.picture.up))
        stops = [-float(day) for day in (self.picture.lead_days, self.picture.freeze_days, 0)]
        right = min(stop for stop in (float(self.view.x(at)) for at in stops) if stop > one.x) - wide - 4
        down = 1.0 if one.y < self.area.height() / 2 else -1.0

        def covered(at: tuple[float, float]) -> int:
            across = (x > at[0] - _MARK_ROOM) & (x < at[0] + wide + _MARK_ROOM)
            return int((across & (np.abs(y - at[1]) < tall / 2 + _MARK_ROOM)).sum())

        places = [
            (one.x + across, one.y + down * line * tall * 0.9)
            for line in range(4)
            for across in np.arange(0.0, max(right - one.x, 0.0) + 0.1, 8.0).tolist()
        ]
        best = min(places, key=covered)
        return replace(one, x=best[0], y=best[1])

    def _put(self, one: ChartWords, wide: float, tall: float) -> None:
        painter = self.painter
        painter.save()
        painter.translate(self.area.left() + one.x, self.area.top() + one.y)
        painter.rotate(-one.angle if one.angle == 90 else one.angle)
        box = QRectF(-one.anchor * wide, -tall / 2, wide + 1, tall)
        if one.grounded:
            painter.fillRect(box.adjusted(-3, -1, 3, 1), self.theme.faded("surface", 0.8))
        self._say(one.words, box, self.strong, one.role)
        painter.restore()

    def _say(self, words: str, box: QRectF, font: QFont, role: str) -> None:
        self.painter.setFont(font)
        self.painter.setPen(self.theme[role])
        self.painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)


def paint_runway(painter: QPainter, box: QRectF, theme: Theme, picture: RunwayPicture) -> None:
    """Draw a runway into a box of px."""
    _Drawing(painter, box, theme, picture).paint()
