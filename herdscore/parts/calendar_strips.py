"""The calendar of a herd: a strip a group and a line a block, walked with the arrow keys."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRect, QSize, Qt, Signal
from PySide6.QtGui import QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget
from typing_extensions import override

from herdscore.domain.herd_strips import HerdStrips
from herdscore.parts.calendar_drawing import DAY, PlacedSpot, Spot, StripPlaces, paint_strips, place_strips
from herdscore.parts.theme import Look

_NEAR_PX = 10.0
_MOST_MORE_PX = 18.0  # by which a row is made higher where there is room


class CalendarStrips(QWidget):
    """`opened(Spot)`: Enter, F2 or a click; `strike_wished(Spot)`: Delete; `walked(QRect)`: bring it into sight."""

    opened = Signal(object)
    strike_wished = Signal(object)
    walked = Signal(QRect)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._strips: HerdStrips | None = None
        self._places: StripPlaces | None = None
        self.spot: Spot | None = None
        self._x = 0.0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Diets of the groups and dates of the blocks")
        look.changed.connect(self._place)

    def show_strips(self, strips: HerdStrips) -> None:
        """Show a herd's calendar; the spot chosen stays when its record is still there."""
        before = self.spot
        self._strips = strips
        self.spot = None
        self._place()
        if before is not None:
            self.spot = next((one.spot for one in self._spots if _same(one.spot, before)), None)
        self._say_spot()

    @property
    def places(self) -> StripPlaces | None:
        """Where everything lies."""
        return self._places

    @property
    def _spots(self) -> tuple[PlacedSpot, ...]:
        return self._places.spots if self._places is not None else ()

    @override
    def sizeHint(self) -> QSize:
        return QSize(600, self.minimumHeight())

    def _place(self) -> None:
        if self._strips is None:
            return
        self._places = place_strips(self._strips, self.width(), self._look.theme)
        tall = round(self._places.height)
        room = self.height() - tall
        if room > 0 and self._strips.groups:
            more = min(room / len(self._strips.groups), _MOST_MORE_PX)
            self._places = place_strips(self._strips, self.width(), self._look.theme, more)
        if tall != self.minimumHeight():
            self.setMinimumHeight(tall)
            self.updateGeometry()
        self.update()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        if self._strips is None or self._places is None:
            return
        painter = QPainter(self)
        paint_strips(painter, self._look.theme, self._strips, self._places, self.spot if self.hasFocus() else None)
        painter.end()

    # Keys and mouse

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        steps = {
            Qt.Key.Key_Left: (0, -1),
            Qt.Key.Key_Right: (0, 1),
            Qt.Key.Key_Up: (-1, 0),
            Qt.Key.Key_Down: (1, 0),
        }
        if event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier):
            super().keyPressEvent(event)
        elif key in steps and self._spots:
            self._walk(*steps[Qt.Key(key)])
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_F2) and self.spot is not None:
            self.opened.emit(self.spot)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self.spot is not None:
            self.strike_wished.emit(self.spot)
        else:
            super().keyPressEvent(event)

    def _walk(self, down: int, right: int) -> None:
        if self.spot is None:
            self._choose_today()
            return
        lines = sorted({one.spot.line for one in self._spots})
        here = next(one for one in self._spots if one.spot == self.spot)
        if right:
            of_line = [one for one in self._spots if one.spot.line == self.spot.line]
            place = of_line.index(here) + right
            if 0 <= place < len(of_line):
                self._choose(of_line[place])
            return
        place = lines.index(self.spot.line) + down
        if 0 <= place < len(lines):
            # Down and up keep to one day, however wide the stretches on the way are.
            self._choose(self._nearest(lines[place], self._x), self._x)

    def _choose_today(self) -> None:
        x = self._places.today_x if self._places is not None else 0.0
        self._choose(self._nearest(min(one.spot.line for one in self._spots), x), x)

    def _nearest(self, line: int, x: float) -> PlacedSpot:
        of_line = [one for one in self._spots if one.spot.line == line]
        return min(of_line, key=lambda one: max(one.rect.left() - x, x - one.rect.right(), 0.0))

    def _choose(self, placed: PlacedSpot, x: float | None = None) -> None:
        self.spot = placed.spot
        self._x = placed.rect.center().x() if x is None else x
        self._say_spot()
        self.update()
        self.walked.emit(placed.rect.toAlignedRect())

    def _say_spot(self) -> None:
        self.setAccessibleDescription(self.spot.words if self.spot is not None else "")

    @override
    def focusInEvent(self, event: object) -> None:
        super().focusInEvent(event)  # type: ignore[arg-type]
        if self.spot is None and self._spots:
            self._choose_today()

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        placed = self._under(event.position())
        if placed is not None and event.button() == Qt.MouseButton.LeftButton:
            self._choose(placed)
            self.opened.emit(placed.spot)
        super().mousePressEvent(event)

    @override
    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            placed = self._under(QPointF(event.pos()))
            if placed is not None:
                QToolTip.showText(event.globalPos(), placed.spot.words, self)
            else:
                QToolTip.hideText()
            return True
        return super().event(event)

    def _under(self, point: QPointF) -> PlacedSpot | None:
        """The spot under a point; a dot or its words count from a little way off."""
        for placed in reversed(self._spots):
            near = _NEAR_PX if placed.spot.kind == DAY else 0.0
            if placed.rect.adjusted(-near, -near, near, near).contains(point) or placed.label.contains(point):
                return placed
        return None


def _same(one: Spot, other: Spot) -> bool:
    """Whether two spots are of one record, or of one stretch without a record."""
    if one.record or other.record:
        return one.record == other.record
    return (one.kind, one.owner, one.first) == (other.kind, other.owner, other.first)
