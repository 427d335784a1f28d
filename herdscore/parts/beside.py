"""Two pieces of a page side by side, one of which scrolls; below each other where the width does not hold both."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QSizePolicy, QWidget
from typing_extensions import override

from herdscore.parts.cards import column, holder, row, scrolled

_BAR_PX, _GAP_PX, _LEAST_PX = 18, 12, 460


class Beside(QWidget):
    """`still` takes the height there is, `long` scrolls; each has its share of the width while both fit in."""

    def __init__(self, still: QWidget, long: QWidget, shares: tuple[int, int], *, long_first: bool = False) -> None:
        super().__init__()
        self._still, self._long, self._shares = still, long, shares
        self._area = scrolled(long)
        # Else it asks for the height of what scrolls in it, and the page scrolls too.
        self._area.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        pair = ((still, shares[0]), (self._area, shares[1]))
        self._both = row(*(reversed(pair) if long_first else pair), spacing=_GAP_PX)
        self.setLayout(column(scrolled(holder(self._both))))
        long.installEventFilter(self)

    def _fit(self) -> None:
        room = self.width() - _GAP_PX
        whole = sum(self._shares)
        widths = (self._still.minimumSizeHint().width(), self._long.minimumSizeHint().width() + _BAR_PX)
        fits = all(wide <= room * share / whole for wide, share in zip(widths, self._shares, strict=True))
        way = QBoxLayout.Direction.LeftToRight if fits else QBoxLayout.Direction.TopToBottom
        if self._both.direction() is not way:
            self._both.setDirection(way)
        high = 0
        if not fits:
            wide = max(room - _BAR_PX, 1)
            high = max(self._long.heightForWidth(wide), self._long.minimumSizeHint().height())
        self._area.setMinimumHeight(high)
        self._still.setMinimumHeight(0 if fits else _LEAST_PX)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._long and event.type() == QEvent.Type.LayoutRequest:
            self._fit()
        return super().eventFilter(watched, event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()
