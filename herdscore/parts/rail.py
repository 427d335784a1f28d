"""The rail at the left: six pages, each with a miniature of the picture on it, and the guide at its foot."""

from __future__ import annotations

from collections.abc import Callable, Collection

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QFrame, QSizePolicy, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.buttons import button
from herdscore.parts.theme import Look

RAIL_PX = 92
BUTTON_SIZE = QSize(92, 84)
LEAST_PX = 62  # height of a button in a low window
PAGES = (
    ("scoring", "Scoring"),
    ("cows", "Cows"),
    ("groups", "Groups"),
    ("feeding", "Feeding"),
    ("calving", "Calving"),
    ("herd", "Herd"),
)


def _pen(colour: QColor, width: float) -> QPen:
    pen = QPen(colour, width)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    return pen


def _dot(painter: QPainter, x: float, y: float, radius: float) -> None:
    painter.drawEllipse(QPointF(x, y), radius, radius)


def _score_targets(painter: QPainter, colour: QColor) -> None:
    painter.setPen(_pen(colour, 1.6))
    for row, chosen in enumerate((1, 2, 1)):
        for place in range(4):
            painter.setBrush(colour if place == chosen else Qt.BrushStyle.NoBrush)
            _dot(painter, 3 + place * 8.6, 4 + row * 10.5, 3)


def _line_to_a_gate(painter: QPainter, colour: QColor) -> None:
    painter.setPen(_pen(colour, 2.4))
    painter.drawPolyline([QPointF(0, 6), QPointF(9, 9), QPointF(18, 17), QPointF(25, 19)])
    painter.drawLine(QPointF(31, 2), QPointF(31, 10))
    painter.drawLine(QPointF(31, 17), QPointF(31, 26))
    painter.setBrush(colour)
    _dot(painter, 0, 6, 1.8)
    _dot(painter, 9, 9, 1.8)


def _dot_strips(painter: QPainter, colour: QColor) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    for y, dots in ((4, (4, 10, 14, 20)), (14, (9, 15, 20, 28)), (24, (13, 18, 24))):
        for x in dots:
            _dot(painter, x, y, 2.5)


def _steps(painter: QPainter, colour: QColor) -> None:
    painter.setPen(_pen(colour, 2.4))
    stair = ((0, 24), (8, 24), (8, 17), (17, 17), (17, 10), (26, 10), (26, 4), (32, 4))
    painter.drawPolyline([QPointF(x, y) for x, y in stair])


def _calvings_a_week(painter: QPainter, colour: QColor) -> None:
    for place, height in enumerate((6, 14, 22, 17, 9, 4)):
        painter.fillRect(QRectF(place * 5.6, 26 - height, 3.8, height), colour)


def _tags_and_lines(painter: QPainter, colour: QColor) -> None:
    for row, end in enumerate((31, 26, 29)):
        y = 4.0 + row * 10
        painter.setPen(_pen(colour, 1.8))
        painter.drawRoundedRect(QRectF(0, y - 3.4, 8, 7), 2, 2)
        painter.setPen(_pen(colour, 2.4))
        painter.drawLine(QPointF(13, y), QPointF(end, y))


_MINIATURES: dict[str, Callable[[QPainter, QColor], None]] = {
    "scoring": _score_targets,
    "cows": _line_to_a_gate,
    "groups": _dot_strips,
    "feeding": _steps,
    "calving": _calvings_a_week,
    "herd": _tags_and_lines,
}


class RailButton(QAbstractButton):
    """One page of the rail; the chosen one joins the page."""

    def __init__(self, look: Look, page: str, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._page = page
        self.setText(words)
        self.setAccessibleName(words)
        self.setCheckable(True)
        self.setFixedWidth(BUTTON_SIZE.width())
        self.setMinimumHeight(LEAST_PX)
        self.setMaximumHeight(BUTTON_SIZE.height())
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)

    @override
    def sizeHint(self) -> QSize:
        return BUTTON_SIZE

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = self._look.theme, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked()
        colour = theme["ink" if on else "on_rail"]
        middle = self.width() / 2 + (3 if on else 0)
        tab = QRectF(8, 4, self.width() + 4, self.height() - 8)
        if on:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme["rail_chosen"])
            painter.drawRoundedRect(tab, 10, 10)
        elif self.underMouse():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.faded("on_rail", 0.12))
            painter.drawRoundedRect(tab.adjusted(0, 0, -12, 0), 10, 10)
        painter.save()
        spare = self.height() - LEAST_PX
        painter.translate(middle - 16, 7 + spare * 0.32)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        _MINIATURES[self._page](painter, colour)
        painter.restore()
        painter.setPen(colour)
        painter.setFont(theme.font(11, 600 if on else 500))
        words = QRectF(middle - 46, 36 + spare * 0.55, 92, LEAST_PX - 40)
        painter.drawText(words, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip, self.text())
        if self.hasFocus():
            painter.setPen(QPen(theme["focus" if on else "on_rail"], 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(10.5, 6.5, self.width() - 15, self.height() - 13), 8, 8)
        painter.end()


class Rail(QFrame):
    """The way to the six pages and to the guide."""

    page_chosen = Signal(str)
    guide_pressed = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "rail")
        self.setFixedWidth(RAIL_PX)
        self._buttons: dict[str, RailButton] = {}
        self._group = QButtonGroup(self)
        self._line = QVBoxLayout(self)
        self._line.setContentsMargins(0, 66, 0, 6)
        self._line.setSpacing(2)
        for page, words in PAGES:
            one = RailButton(look, page, words, self)
            self._buttons[page] = one
            self._group.addButton(one)
            self._line.addWidget(one, 100)
            one.clicked.connect(lambda _=False, page=page: self.page_chosen.emit(page))
        self._line.addStretch(1)
        self._look = look
        self._guide = button("", "guide", 11, 500, height=48)
        self._guide.setAccessibleName("Guide, F1")
        self._guide.setFixedWidth(RAIL_PX)
        self._guide.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._guide.clicked.connect(self.guide_pressed)
        self._line.addWidget(self._guide)
        look.changed.connect(self._fit)
        self._fit()

    def _fit(self) -> None:
        """The guide's key stands above its name where both do not fit side by side."""
        wide = QFontMetricsF(self._look.theme.font(11, 500)).horizontalAdvance("F1  Guide")
        beside = wide <= RAIL_PX - 10
        self._guide.setText("F1  Guide" if beside else "Guide\nF1")
        line = QFontMetricsF(self._look.theme.font(11, 500)).lineSpacing()
        self._guide.setFixedHeight(48 if beside else round(2 * line) + 8)

    def show_page(self, page: str) -> None:
        """Show which page is open; "" for none. No signal."""
        self._group.setExclusive(False)
        for key, one in self._buttons.items():
            one.setChecked(key == page)
        self._group.setExclusive(page != "")

    def offer(self, pages: Collection[str]) -> None:
        """Show only the buttons of these pages."""
        for key, one in self._buttons.items():
            one.setVisible(key in pages)

    def set_tight(self, tight: bool) -> None:
        """In a low window the six start higher, so that the guide keeps its place."""
        self._line.setContentsMargins(0, 24 if tight else 66, 0, 6)
