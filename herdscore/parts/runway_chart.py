"""The runway on a page: hover, keys, click and zoom over the cows of one block."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from herdscore.domain.runway import nearest, next_in
from herdscore.parts.runway_layers import RIGHT, draw_cows, draw_ground, draw_lines
from herdscore.parts.runway_overlay import RunwayOverlay, view_of
from herdscore.parts.runway_picture import RunwayPicture
from herdscore.parts.runway_words import View
from herdscore.parts.theme import Look

WITHIN_PX = 24.0
_ZOOM = 1.25
_LEAST_DAYS = 14.0
_STEPS = {
    Qt.Key.Key_Right: ("days", 1),
    Qt.Key.Key_Left: ("days", -1),
    Qt.Key.Key_Up: ("gap", 1),
    Qt.Key.Key_Down: ("gap", -1),
}


class RunwayChart(QWidget):
    """One runway. `pointed(place)`: a cow of the picture is pointed at, None for none; `opened(place)`: open her.

    `picture` is what is shown. Left and right walk by days, up and down by the gap to target; Enter opens, + and −
    zoom, 0 shows all.
    """

    pointed = Signal(object)
    opened = Signal(int)

    def __init__(self, look: Look, card: Callable[[int], tuple[str, ...]], parent: QWidget | None = None) -> None:
        import pyqtgraph

        super().__init__(parent)
        pyqtgraph.setConfigOptions(antialias=True)
        self._look, self._card = look, card
        self.picture: RunwayPicture | None = None
        self._window: tuple[float, float] | None = None
        self._view: View | None = None
        self._area = QRectF()
        self._near = np.empty(0, dtype=np.intp)
        self._px = np.empty(0), np.empty(0)
        self.place: int | None = None
        self.marks: dict[str, Any] = {}
        self._plot = pyqtgraph.PlotWidget(self)
        self._set_up_plot()
        self.overlay = RunwayOverlay(look, self._paint_plot, self)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(420, 150)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        look.changed.connect(self._draw)

    def _set_up_plot(self) -> None:
        plot = self._plot
        plot.setFrameShape(plot.Shape.NoFrame)
        plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        plot.setCacheMode(plot.CacheModeFlag.CacheNone)  # a kept background would be a picture of dots in an .svg
        item = plot.getPlotItem()
        item.hideButtons()
        item.setMenuEnabled(False)
        item.setMouseEnabled(False, False)
        for side in ("left", "bottom"):
            item.hideAxis(side)
        item.layout.setSpacing(0)
        item.getViewBox().setDefaultPadding(0)
        item.disableAutoRange()
        plot.viewport().installEventFilter(self)

    def _paint_plot(self, painter: QPainter) -> None:
        QWidget.render(self._plot, painter, QPoint(0, 0))

    # Showing

    def show_picture(self, picture: RunwayPicture, keep_place: int | None = None) -> None:
        """Show a block; `keep_place` is the cow pointed at before, by her place in the new picture."""
        self.picture = picture
        self.setAccessibleName(picture.name or "Runway")
        self._draw()
        self.point_at(keep_place)

    def draw_as_shapes(self) -> None:
        """Draw marks as shapes from now on, not as the dots kept for the screen: for paper."""
        for item in self.marks.values():
            item.setExportMode(True, {"antialias": True})
        self.overlay.draw_as_shapes()

    def show_window(self, first: float | None, last: float | None = None) -> None:
        """Show the cows that calve in so many days, first to last; None for all."""
        self._window = None if first is None or last is None else (-last - 1.0, -first + 1.0)
        self._lay_out()

    def point_at(self, place: int | None) -> None:
        """Point at a cow of the picture, None for nobody."""
        picture = self.picture
        self.place = place if picture is not None and place is not None and place < len(picture) else None
        if picture is None or self.place is None or self._view is None:
            self.overlay.point_at(None)
        else:
            at = self.point_of(self.place)
            self.overlay.point_at(at, self._card(self.place), below=bool(picture.up[self.place] < 0))
        self._describe()
        self.pointed.emit(self.place)

    def point_of(self, place: int) -> QPointF:
        """Px of a cow of the picture."""
        assert self.picture is not None
        assert self._view is not None
        x = self._area.left() + float(self._view.x(self.picture.across[place]))
        return QPointF(x, self._area.top() + float(self._view.y(self.picture.up[place])))

    def place_at(self, at: QPointF) -> int | None:
        """The cow nearest to a px, of those let through, within 24 px."""
        x, y = self._px
        found = nearest(x, y, at.x() - self._area.left(), at.y() - self._area.top(), WITHIN_PX)
        return None if found is None else int(self._near[found])

    def _find_in_sight(self, picture: RunwayPicture, view: View) -> None:
        """Keep which cows can be pointed at, and their px: with every move of the mouse the nearest is looked for."""
        self._near = np.flatnonzero(picture.kept & (picture.across >= view.first) & (picture.across <= view.last))
        self._px = np.asarray(view.x(picture.across[self._near])), np.asarray(view.y(picture.up[self._near]))

    def _describe(self) -> None:
        if self.picture is not None:
            card = "" if self.place is None else " ".join(f"{line}." for line in self._card(self.place))
            self.setAccessibleDescription(f"{self.picture.description} {card}".strip())

    def _draw(self) -> None:
        picture, theme, item = self.picture, self._look.theme, self._plot.getPlotItem()
        self._plot.setBackground(theme["surface"])
        item.clear()
        self.marks = {}
        if picture is not None:
            draw_ground(item, theme, picture)
            draw_lines(item, theme, picture)
            self.marks = draw_cows(item, theme, picture)
        self._lay_out()

    def _lay_out(self) -> None:
        """Fit plot and words to the size of the chart and the window of days."""
        self._plot.setGeometry(self.rect())
        self.overlay.setGeometry(self.rect())
        left, top, right, bottom = self.overlay.margins()
        self._area = QRectF(self.rect()).adjusted(left, top, -right, -bottom)
        item = self._plot.getPlotItem()
        if item is None or self.picture is None or self._area.width() < 10 or self._area.height() < 10:
            return
        item.layout.setContentsMargins(left, top, right, bottom)
        item.layout.activate()  # now, not with the next turn: the overlay keeps a picture of it
        self._view = view_of(self.picture, self._window, self._area)
        item.getViewBox().setRange(
            xRange=(self._view.first, self._view.last), yRange=(self.picture.foot, self.picture.top), padding=0
        )
        self._find_in_sight(self.picture, self._view)
        self.overlay.show_view(self.picture, self._view, self._area)
        if self.place is not None:
            self.point_at(self.place)

    # Mouse and keys

    def zoom(self, times: float, about: float | None = None) -> None:
        """Show fewer (times above 1) or more days, about a day to calving (as negative days), else the middle."""
        if self.picture is None or self._view is None:
            return
        view, whole = self._view, (self.picture.left, RIGHT)
        middle = (view.first + view.last) / 2 if about is None else about
        wide = max((view.last - view.first) / times, _LEAST_DAYS)
        if wide >= whole[1] - whole[0]:
            self._window = None
        else:
            share = (middle - view.first) / (view.last - view.first)
            first = min(max(middle - share * wide, whole[0]), whole[1] - wide)
            self._window = (first, first + wide)
        self._lay_out()

    def step(self, by: str, ways: int) -> None:
        """Point at the next cow by days or by gap among those let through and in sight."""
        picture = self.picture
        if picture is None:
            return
        kept = self._near
        keys = (picture.up[kept], picture.across[kept])
        order = kept[np.lexsort(keys if by == "days" else keys[::-1])]
        self.point_at(next_in(order, self.place, ways))

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key in _STEPS:
            self.step(*_STEPS[key])
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.place is not None:
            self.opened.emit(self.place)
        elif event.text() in ("+", "-", "\u2212"):
            about = None if self.place is None or self.picture is None else float(self.picture.across[self.place])
            self.zoom(_ZOOM if event.text() == "+" else 1 / _ZOOM, about)
        elif event.text() == "0":
            self.show_window(None)
        elif key == Qt.Key.Key_Escape and self.place is not None:
            self.point_at(None)
        else:
            super().keyPressEvent(event)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The plot's own handling of the mouse is never needed, and costs with every move."""
        kind = event.type()
        if kind == QEvent.Type.MouseMove and isinstance(event, QMouseEvent):
            place = self.place_at(event.position())
            if place != self.place:
                self.point_at(place)
            return True
        if kind == QEvent.Type.MouseButtonPress and isinstance(event, QMouseEvent):
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            place = self.place_at(event.position())
            if place is not None and event.button() == Qt.MouseButton.LeftButton:
                self.point_at(place)
                self.opened.emit(place)
            return True
        if kind == QEvent.Type.Wheel and isinstance(event, QWheelEvent) and self._view is not None:
            about = self._view.first + (event.position().x() - self._area.left()) / self._view.px_a_day
            self.zoom(_ZOOM if event.angleDelta().y() > 0 else 1 / _ZOOM, about)
            return True
        if kind == QEvent.Type.Leave and not self.hasFocus():
            self.point_at(None)
        return kind in (QEvent.Type.MouseButtonRelease, QEvent.Type.MouseButtonDblClick)

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        self.overlay.focused = event.reason() != Qt.FocusReason.MouseFocusReason
        self.overlay.update()
        super().focusInEvent(event)

    @override
    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.overlay.focused = False
        self.overlay.update()
        super().focusOutEvent(event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()
