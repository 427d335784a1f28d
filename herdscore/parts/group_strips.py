"""The strips of groups on a page: scrolled when there are many, walked by keys from group to group and cow to cow."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QToolTip
from typing_extensions import override

from herdscore.parts.group_drawing import Stamps, paint_axis, paint_ground, paint_ring, paint_row
from herdscore.parts.group_layout import PlacedMarks, StripsLayout, across, lay_out, mark_at, place_marks, scrolled_to
from herdscore.parts.group_picture import StripsPicture
from herdscore.parts.theme import Look

_PAD = 4


class GroupStrips(QAbstractScrollArea):
    """`chosen(place)`: another strip; `pointed(key)`: a cow, None for none; `opened(key)`: open her.

    Up and down go from group to group, left and right from cow to cow; Enter opens the cow, Esc lets her go.
    """

    chosen = Signal(int)
    pointed = Signal(object)
    opened = Signal(str)

    def __init__(self, look: Look, tip: Callable[[str], str] = str) -> None:
        super().__init__()
        self._look, self._tip = look, tip
        self._picture = StripsPicture(())
        self._layout: StripsLayout | None = None
        self._placed: tuple[PlacedMarks, ...] = ()
        self._stamps = Stamps(look.theme, self.devicePixelRatioF())
        self._strip = 0
        self._cow: int | None = None
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(300, 180)
        self.viewport().setAutoFillBackground(False)
        self.viewport().setMouseTracking(True)
        look.changed.connect(self._renew)

    # What is shown

    @property
    def picture(self) -> StripsPicture:
        """What is shown."""
        return self._picture

    @property
    def current(self) -> int:
        """Place of the chosen strip."""
        return self._strip

    @property
    def current_cow(self) -> str | None:
        """Key of the cow pointed at."""
        return None if self._cow is None else self._picture.strips[self._strip].keys[self._cow]

    def show_picture(self, picture: StripsPicture) -> None:
        """Show other groups; the strip chosen stays chosen by its name, and the cow if she is on it still."""
        old = self._picture.strips
        name = old[self._strip].name if self._strip < len(old) else ""
        key = self.current_cow
        names = [strip.name for strip in picture.strips]
        self._picture = picture
        self._strip = names.index(name) if name in names else 0
        self._cow = None
        if key is not None and names and key in picture.strips[self._strip].keys:
            self._cow = picture.strips[self._strip].keys.index(key)
        self.setAccessibleName(picture.name)
        self._renew()

    def choose(self, place: int) -> None:
        """Choose a strip; no signal."""
        if 0 <= place < len(self._picture.strips) and place != self._strip:
            self._strip, self._cow = place, None
            if self._layout is not None:
                bar, seen = self.verticalScrollBar(), self.viewport().height() - 2 * _PAD - self._layout.axis
                bar.setValue(scrolled_to(self._layout.rows[place], bar.value(), seen))
            self._describe()
            self.viewport().update()

    def point_of(self, place: int, key: str) -> QPointF:
        """Px of a cow within the viewport."""
        placed = self._placed[place]
        at = self._picture.strips[place].keys.index(key)
        return QPointF(placed.x[at] + _PAD, placed.y[at] - self.verticalScrollBar().value() + _PAD)

    def _renew(self) -> None:
        """Lay everything out anew."""
        self._stamps = Stamps(self._look.theme, self.devicePixelRatioF())
        size = self.viewport().size()
        self._layout = lay_out(self._picture, size.width() - 2 * _PAD, size.height() - 2 * _PAD, self._look.theme)
        self._placed = tuple(
            place_marks(strip, self._layout, row)
            for strip, row in zip(self._picture.strips, self._layout.rows, strict=True)
        )
        seen = size.height() - 2 * _PAD - self._layout.axis
        bar = self.verticalScrollBar()
        bar.setRange(0, max(0, round(self._layout.height - seen)))
        bar.setPageStep(max(1, round(seen)))
        bar.setSingleStep(40)
        self._describe()
        self.viewport().update()

    def _describe(self) -> None:
        cow = self.current_cow
        said = "" if cow is None else f" {self._tip(cow)}"
        self.setAccessibleDescription(f"{self._picture.description}{said}")

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._renew()

    # Drawing

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        layout, theme, picture = self._layout, self._look.theme, self._picture
        if layout is None:
            return
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(_PAD, _PAD)
        seen = self.viewport().height() - 2 * _PAD - layout.axis
        scrolled = self.verticalScrollBar().value()
        painter.save()
        painter.setClipRect(QRectF(-_PAD, 0, self.viewport().width(), seen))
        painter.translate(0, -scrolled)
        paint_ground(painter, theme, picture, layout)
        for place, (row, strip) in enumerate(zip(layout.rows, picture.strips, strict=True)):
            if row.bottom() < scrolled or row.top() > scrolled + seen:
                continue
            if place == self._strip and len(picture.strips) > 1:
                painter.fillRect(QRectF(-_PAD, row.top() + 1, layout.names + _PAD, row.height() - 2), theme["selected"])
            paint_row(painter, theme, layout, row, strip, self._placed[place], self._stamps.draw)
        if self._cow is not None:
            paint_ring(painter, theme, self._placed[self._strip], self._cow)
        painter.restore()
        paint_axis(painter, theme, layout, min(seen, layout.height))
        painter.resetTransform()
        if self.hasFocus():
            painter.setPen(QPen(theme["focus"], 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.viewport().rect()).adjusted(1.5, 1.5, -1.5, -1.5), 6, 6)
        painter.end()

    # Keys and mouse

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self._go_to(self._strip + (1 if key == Qt.Key.Key_Down else -1))
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self._go_to(0 if key == Qt.Key.Key_Home else len(self._picture.strips) - 1)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self._step(1 if key == Qt.Key.Key_Right else -1)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.current_cow is not None:
            self.opened.emit(self.current_cow)
        elif key == Qt.Key.Key_Escape and self._cow is not None:
            self._point(None)
        else:
            super().keyPressEvent(event)

    def _go_to(self, place: int) -> None:
        place = min(max(place, 0), len(self._picture.strips) - 1)
        if place >= 0 and place != self._strip:
            self.choose(place)
            self.pointed.emit(None)
            self.chosen.emit(place)

    def _step(self, ways: int) -> None:
        """Point at the next cow of the strip by score less target."""
        if not self._placed:
            return
        order = across(self._placed[self._strip])
        if not len(order):
            return
        at = np.flatnonzero(order == self._cow) if self._cow is not None else np.empty(0, dtype=np.intp)
        place = int(at[0]) + ways if len(at) else (0 if ways > 0 else len(order) - 1)
        self._point(int(order[min(max(place, 0), len(order) - 1)]))

    def _point(self, cow: int | None) -> None:
        self._cow = cow
        self._describe()
        self.viewport().update()
        self.pointed.emit(self.current_cow)

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        place, cow = self._at(event.position())
        if place is None:
            return
        self.choose(place)
        self._point(cow)
        self.chosen.emit(place)

    @override
    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self.current_cow is not None:
            self.opened.emit(self.current_cow)

    def _at(self, at: QPointF) -> tuple[int | None, int | None]:
        """The strip and the cow at a px of the viewport."""
        down = at.y() - _PAD + self.verticalScrollBar().value()
        rows = () if self._layout is None else self._layout.rows
        return mark_at(rows, self._placed, at.x() - _PAD, down)

    @override
    def event(self, event: QEvent) -> bool:
        if event.type() in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
            self.viewport().update()
        return super().event(event)

    @override
    def viewportEvent(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            place, cow = self._at(QPointF(event.pos()))
            words = "" if place is None or cow is None else self._tip(self._picture.strips[place].keys[cow])
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return event.type() == QEvent.Type.MouseButtonRelease or super().viewportEvent(event)
