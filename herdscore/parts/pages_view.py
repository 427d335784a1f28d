"""Pages of a report on screen as they come out on paper, one below the other, as wide as there is room."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPoint, QRect, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPicture, QPixmap, QResizeEvent
from PySide6.QtWidgets import QScrollArea, QWidget
from typing_extensions import override

from herdscore.parts.theme import Look

_MARGIN, _APART = 28.0, 14
_LARGEST = 1.35  # times its size on paper, at text 100 %
_KEPT = 4
_PAPER = QColor("white")
DrawnPage = tuple[QSizeF, QPicture]
"""Its size in px without margins, and what stands on it: drawn elsewhere, as fonts are not shared between threads."""


class PagesView(QScrollArea):
    """Arrow and page keys scroll it. `show_pages` takes what a screen reader says instead."""

    def __init__(self, look: Look, name: str) -> None:
        super().__init__()
        self._sheets = _Sheets(look)
        self.setWidget(self._sheets)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(name)
        look.changed.connect(self._fit)

    @property
    def pages(self) -> tuple[DrawnPage, ...]:
        """The pages shown."""
        return self._sheets.pages

    def show_pages(self, pages: Sequence[DrawnPage], said: str) -> None:
        """Show other pages from the top of the first."""
        self._sheets.show_pages(tuple(pages))
        self.setAccessibleDescription(said)
        self._fit()
        self.verticalScrollBar().setValue(0)

    def _fit(self) -> None:
        self._sheets.fit(self.viewport().width())

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()


class _Sheets(QWidget):
    """All pages; those out of sight are not drawn, the last few drawn are kept."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setProperty("kind", "scrolled")
        self.pages: tuple[DrawnPage, ...] = ()
        self._look, self._scale = look, 1.0
        self._drawn: dict[int, QPixmap] = {}

    def show_pages(self, pages: tuple[DrawnPage, ...]) -> None:
        """Take other pages; `fit` follows."""
        self.pages = pages
        self._drawn.clear()
        self.update()

    def fit(self, width: int) -> None:
        """Be so wide, and as high as the pages are then."""
        if not self.pages:
            self.resize(width, 1)
            return
        widest = max(size.width() for size, _ in self.pages) + 2 * _MARGIN
        scale = min((width - 4) / widest, _LARGEST * self._look.theme.text_scale)
        if scale != self._scale:
            self._scale = scale
            self._drawn.clear()
        self.resize(width, self._place(len(self.pages) - 1).bottom() + 3)
        self.update()

    def _place(self, number: int) -> QRect:
        """Where a page lies, in the middle of the width."""
        top = 1 + sum(self._size(one).height() + _APART for one, _ in self.pages[:number])
        size = self._size(self.pages[number][0])
        return QRect(QPoint((self.width() - size.width()) // 2, top), size)

    def _size(self, size: QSizeF) -> QSize:
        wide, high = size.width() + 2 * _MARGIN, size.height() + 2 * _MARGIN
        return QSize(round(wide * self._scale), round(high * self._scale))

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        for number in range(len(self.pages)):
            place = self._place(number)
            if place.intersects(event.rect()):
                painter.drawPixmap(place.topLeft(), self._pixmap(number))
                painter.setPen(QPen(self._look.theme["edge"], 1))
                painter.drawRect(place.adjusted(0, 0, -1, -1))

    def _pixmap(self, number: int) -> QPixmap:
        """A page drawn at the resolution of the screen."""
        if number in self._drawn:
            return self._drawn[number]
        (size, picture), ratio = self.pages[number], self.devicePixelRatioF()
        made = QPixmap(self._size(size) * ratio)
        made.setDevicePixelRatio(ratio)
        made.fill(_PAPER)
        painter = QPainter(made)
        painter.setClipRect(QRectF(made.rect()))
        painter.scale(self._scale, self._scale)
        painter.translate(_MARGIN, _MARGIN)
        painter.drawPicture(0, 0, picture)
        painter.end()
        while len(self._drawn) >= _KEPT:
            del self._drawn[next(iter(self._drawn))]
        self._drawn[number] = made
        return made
