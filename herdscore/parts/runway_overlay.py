"""What lies over the cows of the runway: axes, words, and the ring and card of the cow pointed at."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from PySide6.QtCore import QLineF, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.parts.chart_frame import day_words
from herdscore.parts.runway_layers import RIGHT, axis_ticks, gap_ticks
from herdscore.parts.runway_picture import RunwayPicture
from herdscore.parts.runway_words import ChartWords, View, all_words, words_on
from herdscore.parts.theme import Look, Theme

RING_PX = 32
_TICK_PX = 5.0
_CARD_PAD = 7.0
_POINTS = 11


class RunwayOverlay(QWidget):
    """Draws over the plot in px of the chart; the mouse goes through it.

    `paint_under` draws the plot. What does not move with the mouse is kept as one picture, so that pointing at a cow
    costs two copies of a small part of it, however many cows there are.
    """

    def __init__(self, look: Look, paint_under: Callable[[QPainter], None], parent: QWidget) -> None:
        super().__init__(parent)
        self._look, self._paint_under = look, paint_under
        self._kept: QPixmap | None = None
        self._as_shapes = False
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._picture: RunwayPicture | None = None
        self._view: View | None = None
        self._area = QRectF()
        self._pointed: tuple[QPointF, tuple[str, ...], bool] | None = None
        self.words: list[ChartWords] = []
        self.focused = False

    def show_view(self, picture: RunwayPicture | None, view: View | None, area: QRectF) -> None:
        """Show the axes and words of a picture, seen in a part of the chart."""
        self._picture, self._view, self._area = picture, view, area
        self.words = [] if picture is None or view is None else self._words(picture, view)
        self._kept = None
        self.update()

    def draw_as_shapes(self) -> None:
        """Keep no picture from now on: for paper."""
        self._as_shapes = True
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent, False)

    def point_at(self, at: QPointF | None, card: tuple[str, ...] = (), *, below: bool = True) -> None:
        """Put ring and card about a cow, or take them away; `below`: the card hangs to the left under her."""
        before = self._dirty()
        self._pointed = None if at is None else (at, card, below)
        for part in (before, self._dirty()):
            if not part.isEmpty():
                self.update(part.toAlignedRect().adjusted(-3, -3, 3, 3))

    def margins(self) -> tuple[float, float, float, float]:
        """Room in px the axes need: left, top, right, bottom."""
        metrics = QFontMetricsF(self._font())
        left = metrics.horizontalAdvance("\u22120.75") + 14
        return max(left, metrics.horizontalAdvance("target") + 14), metrics.height() + 8, 4.0, metrics.height() + 10

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._as_shapes:
            self._paint_still(painter)
        else:
            painter.drawPixmap(event.rect(), self._picture_kept(), self._part(event.rect()))
        theme = self._look.theme
        if self._pointed is not None:
            self._paint_pointed(painter, theme, *self._pointed)
        if self.focused:
            painter.setPen(QPen(theme["focus"], 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self._area.adjusted(1, 1, -1, -1))
        painter.end()

    def _picture_kept(self) -> QPixmap:
        """Plot, axes and words as one picture, in the dots of the screen."""
        times = self.devicePixelRatioF()
        size = self.size() * times
        if self._kept is None or self._kept.size() != size:
            self._kept = QPixmap(size)
            self._kept.setDevicePixelRatio(times)
            self._kept.fill(self._look.theme["surface"])
            painter = QPainter(self._kept)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._paint_under(painter)
            self._paint_still(painter)
            painter.end()
        return self._kept

    def _part(self, seen: QRect) -> QRect:
        """A part of the chart in dots of the picture kept."""
        times = self.devicePixelRatioF()
        return QRect(seen.topLeft() * times, seen.size() * times)

    def _paint_still(self, painter: QPainter) -> None:
        if self._picture is None or self._view is None:
            return
        self._paint_axes(painter, self._look.theme, self._picture, self._view)
        for one in self.words:
            self._paint_words(painter, self._look.theme, one)

    # Words

    def _words(self, picture: RunwayPicture, view: View) -> list[ChartWords]:
        strong, plain = (QFontMetricsF(self._font(weight)) for weight in (600, 500))
        width = {words: max(m.horizontalAdvance(words) for m in (strong, plain)) for words in all_words(picture)}
        return words_on(picture, view, width, strong.height())

    def _paint_words(self, painter: QPainter, theme: Theme, one: ChartWords) -> None:
        font = self._font(600)
        metrics = QFontMetricsF(font)
        width, height = metrics.horizontalAdvance(one.words), metrics.height()
        painter.save()
        painter.translate(self._area.left() + one.x, self._area.top() + one.y)
        painter.rotate(-one.angle if one.angle == 90 else one.angle)
        box = QRectF(-one.anchor * width, -height / 2, width + 1, height)
        if one.grounded:
            ground = QColor(theme["surface"])
            ground.setAlphaF(0.8)
            painter.fillRect(box.adjusted(-4, -1, 4, 1), ground)
        painter.setFont(font)
        painter.setPen(theme[one.role])
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, one.words)
        painter.restore()

    # Axes

    def _paint_axes(self, painter: QPainter, theme: Theme, picture: RunwayPicture, view: View) -> None:
        area, font = self._area, self._font()
        metrics = QFontMetricsF(font)
        painter.setFont(font)
        foot, height = area.bottom(), metrics.height()
        painter.setPen(QPen(theme["edge"], 1))
        painter.drawLine(QLineF(area.left(), foot, area.right(), foot))
        centre = Qt.AlignmentFlag.AlignCenter
        first = max(view.first, -float(picture.furthest_days))
        margin = float(view.x(picture.left + picture.margin_days / 2))
        room = metrics.horizontalAdvance("calves about") if margin > 8 else 0.0
        taken = area.left() + margin + room / 2 + 6 if room else area.left() - 30
        if room:
            box = QRectF(area.left() + margin - 80, foot + _TICK_PX, 160, height)
            painter.setPen(theme["ink_second"])
            for words, down in (("days to go", box.top()), ("calves about", area.top() - height - 4)):
                width = metrics.horizontalAdvance(words)
                left = max(2.0, box.center().x() - width / 2)
                painter.drawText(QRectF(left, down, width + 1, height), centre, words)
        for day in axis_ticks(first, min(view.last, 0.0), view.px_a_day, metrics.horizontalAdvance("30 Nov") + 40):
            x = area.left() + float(view.x(-float(day)))
            painter.setPen(QPen(theme["edge"], 1))
            painter.drawLine(QLineF(x, foot, x, foot + _TICK_PX - 1))
            above = "today" if day == 0 else day_words(picture.today + timedelta(days=day))
            painter.setPen(theme["ink_second"])
            for words, down in ((str(day), foot + _TICK_PX), (above, area.top() - height - 4)):
                width = metrics.horizontalAdvance(words)
                left = min(x - width / 2, self.width() - width - 1)
                if left > taken:
                    painter.drawText(QRectF(left, down, width + 1, height), centre, words)
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        for gap, words in gap_ticks(picture, view.px_a_score, height + 2):
            y = area.top() + float(view.y(gap))
            painter.drawText(QRectF(0, y - height / 2, area.left() - 8, height), right, words)

    # The cow pointed at

    def _paint_pointed(self, painter: QPainter, theme: Theme, at: QPointF, card: tuple[str, ...], below: bool) -> None:
        painter.setPen(QPen(theme["ink"], 3))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(at, RING_PX / 2, RING_PX / 2)
        if not card:
            return
        box = self._card_box(at, card, below)
        painter.setPen(QPen(theme["ink"], 2))
        painter.setBrush(theme["surface"])
        painter.drawRoundedRect(box, 4, 4)
        metrics = QFontMetricsF(self._font(600))
        painter.setPen(theme["ink"])
        for line, words in enumerate(card):
            painter.setFont(self._font(700 if line == 0 else 500))
            down = box.top() + _CARD_PAD + line * metrics.lineSpacing()
            inside = QRectF(box.left() + _CARD_PAD + 1, down, box.width(), metrics.lineSpacing())
            painter.drawText(inside, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)

    def _card_box(self, at: QPointF, card: tuple[str, ...], below: bool) -> QRectF:
        strong, plain = QFontMetricsF(self._font(700)), QFontMetricsF(self._font(600))
        width = max(strong.horizontalAdvance(card[0]), *(plain.horizontalAdvance(line) for line in card))
        width, height = width + 2 * _CARD_PAD + 4, plain.lineSpacing() * len(card) + 2 * _CARD_PAD
        gap = RING_PX / 2 + 4
        left = at.x() - gap - width if below else at.x() + gap
        top = at.y() + gap if below else at.y() - gap - height
        if left < 2 or left + width > self.width() - 2:
            left = at.x() + gap if below else at.x() - gap - width
        if top < 2 or top + height > self.height() - 2:
            top = at.y() - gap - height if below else at.y() + gap
        left = min(max(left, 2.0), max(2.0, self.width() - width - 2))
        top = min(max(top, 2.0), max(2.0, self.height() - height - 2))
        return QRectF(left, top, width, height)

    def _dirty(self) -> QRectF:
        if self._pointed is None:
            return QRectF()
        at, card, below = self._pointed
        around = QRectF(at.x() - RING_PX / 2 - 2, at.y() - RING_PX / 2 - 2, RING_PX + 4, RING_PX + 4)
        return around.united(self._card_box(at, card, below)) if card else around

    def _font(self, weight: int = 400) -> QFont:
        return self._look.theme.font(_POINTS, weight)


def view_of(picture: RunwayPicture, window: tuple[float, float] | None, area: QRectF) -> View:
    """The view of a picture in an area: all of it, or only a window of days (as negative days to calving)."""
    left, right = window or (picture.left, RIGHT)
    wide = max(right - left, 1.0)
    return View(left, right, picture.top, area.width() / wide, area.height() / (picture.top - picture.foot))
