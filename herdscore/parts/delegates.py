"""Cells of a list: words, a verdict with its mark, a spark line of scores, a tick the size of a thumb."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QObject, QPersistentModelIndex, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QHelpEvent, QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QToolTip
from typing_extensions import override

from herdscore.parts.list_model import DONE_ROLE, EXTRA_ROLE, ListModel
from herdscore.parts.marks import mark_hue, paint_mark
from herdscore.parts.theme import Look, Theme

AnyIndex = QModelIndex | QPersistentModelIndex
SIDE_PX = 8
TICK_PX = 26


@dataclass(frozen=True)
class Spark:
    """Scores of one cow on a line of time, day 0 = today; the way ahead is drawn dotted, `ahead` may be empty."""

    days: tuple[float, ...]
    scores: tuple[float, ...]
    ahead_days: tuple[float, ...]
    ahead: tuple[float, ...]
    band_low: float
    band_high: float
    words: str = ""


class RowDelegate(QStyledItemDelegate):
    """Words, the line under every row and the tint of the chosen one; the other cells build on it."""

    def __init__(self, look: Look, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._look = look

    @override
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        theme = self._look.theme
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        rect = option.rect
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        if chosen:
            painter.fillRect(rect, theme["selected"])
        painter.fillRect(rect.left(), rect.bottom(), rect.width(), 1, theme["line"])
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.paint_cell(painter, QRectF(rect), index, chosen)
        painter.restore()

    def paint_cell(self, painter: QPainter, rect: QRectF, index: AnyIndex, chosen: bool) -> None:
        """Draw what is inside the cell; overridden by the cells that are more than words."""
        theme = self._look.theme
        quiet = bool(index.data(DONE_ROLE)) and not chosen
        self.write(painter, rect.adjusted(SIDE_PX, 0, -SIDE_PX, 0), index, theme["ink_second" if quiet else "ink"])

    def write(
        self, painter: QPainter, rect: QRectF, index: AnyIndex, colour: QColor, weight: int | None = None
    ) -> None:
        """Write the words of a cell on one line, shortened with an ellipsis where they do not fit."""
        painter.setFont(self._look.theme.font(11, weight or self._weight(index)))
        painter.setPen(colour)
        words = painter.fontMetrics().elidedText(index.data() or "", Qt.TextElideMode.ElideRight, int(rect.width()))
        painter.drawText(rect, index.data(Qt.ItemDataRole.TextAlignmentRole), words)

    @override
    def helpEvent(
        self, event: QHelpEvent, view: QAbstractItemView, option: QStyleOptionViewItem, index: AnyIndex
    ) -> bool:
        words = str(index.data() or "")
        font = self._look.theme.font(11, self._weight(index))
        room = option.rect.width() - 2 * SIDE_PX - self.indent()
        if QFontMetricsF(font).horizontalAdvance(words) > room:
            QToolTip.showText(event.globalPos(), words, view)
        else:
            QToolTip.hideText()
        return True

    def indent(self) -> int:
        """Room in px taken at the left before the words."""
        return 0

    def _weight(self, index: AnyIndex) -> int:
        model = index.model()
        return model.columns[index.column()].weight if isinstance(model, ListModel) else 400


class VerdictDelegate(RowDelegate):
    """The mark of a verdict and its words in its colour; ink on the chosen row."""

    @override
    def paint_cell(self, painter: QPainter, rect: QRectF, index: AnyIndex, chosen: bool) -> None:
        mark = index.data(EXTRA_ROLE)
        theme = self._look.theme
        if not mark or mark == "none":
            super().paint_cell(painter, rect, index, chosen)
            return
        paint_mark(painter, theme, mark, QPointF(rect.left() + SIDE_PX + 10, rect.center().y()))
        hue = "ink" if chosen else "ink_second" if index.data(DONE_ROLE) else mark_hue(mark)
        self.write(painter, rect.adjusted(SIDE_PX + self.indent(), 0, -4, 0), index, theme[hue], 600)

    @override
    def indent(self) -> int:
        return 28


class SparkDelegate(RowDelegate):
    """Scores over the target band, dotted to the projection, all rows on one scale of time and score."""

    @override
    def paint_cell(self, painter: QPainter, rect: QRectF, index: AnyIndex, chosen: bool) -> None:
        spark = index.data(EXTRA_ROLE)
        if isinstance(spark, Spark):
            paint_spark(painter, self._look.theme, rect.adjusted(SIDE_PX, 6, -SIDE_PX, -7), spark)
        else:
            super().paint_cell(painter, rect, index, chosen)


SPARK_DAYS = (-120.0, 150.0)
SPARK_REACH = 1.0  # score shown above and below the middle of the band


def paint_spark(painter: QPainter, theme: Theme, box: QRectF, spark: Spark) -> None:
    """Draw a spark into a box, on screen or on paper."""
    middle = (spark.band_low + spark.band_high) / 2
    first, last = SPARK_DAYS

    def point(day: float, score: float) -> QPointF:
        off = min(max(score - middle, -SPARK_REACH), SPARK_REACH)
        across = (min(max(day, first), last) - first) / (last - first)
        return QPointF(
            box.left() + 4 + across * (box.width() - 8), box.center().y() - off / SPARK_REACH * box.height() / 2
        )

    top, bottom = point(0, spark.band_high).y(), point(0, spark.band_low).y()
    painter.fillRect(QRectF(box.left(), top, box.width(), bottom - top), theme.faded("band", 0.22))
    seen = [point(d, s) for d, s in zip(spark.days, spark.scores, strict=True) if d >= first]
    painter.setPen(QPen(theme["ink"], 2))
    painter.drawPolyline(seen)
    painter.setPen(QPen(theme["ink_second"], 1.6, Qt.PenStyle.DotLine))
    painter.drawPolyline([point(d, s) for d, s in zip(spark.ahead_days, spark.ahead, strict=True)])
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme["ink"])
    for dot in seen:
        painter.drawEllipse(dot, 2.8, 2.8)


class TickDelegate(RowDelegate):
    """A box to tick; the view turns a click on the cell into the tick."""

    @override
    def paint_cell(self, painter: QPainter, rect: QRectF, index: AnyIndex, chosen: bool) -> None:
        theme = self._look.theme
        ticked = bool(index.data(EXTRA_ROLE))
        box = QRectF(0, 0, TICK_PX, TICK_PX)
        box.moveCenter(rect.center() - QPointF(0, 0.5))
        painter.setPen(QPen(theme["primary" if ticked else "edge"], 2))
        painter.setBrush(theme["primary" if ticked else "surface"])
        painter.drawRoundedRect(box.adjusted(1, 1, -1, -1), 6, 6)
        if not ticked:
            return
        pen = QPen(theme["on_primary"], 3.2)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        corner = box.topLeft()
        painter.drawPolyline([corner + QPointF(6.5, 13.5), corner + QPointF(11, 18), corner + QPointF(20, 8.5)])
