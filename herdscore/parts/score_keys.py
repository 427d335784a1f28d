"""The nine keys of one site at the crush, 1 to 5 in halves; a second press, counted by the page, gives the quarter."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.labels import label, restyle
from herdscore.parts.theme import Look

KEY_PX = 66
SMALLEST_KEY = QSize(54, 62)
HALVES = 9
NAME_PX = 100


def score_words(quarters: int) -> str:
    """A score as a key says it: 8 is "2", 9 is "2.25"."""
    return f"{quarters / 4:g}"


def key_of(quarters: int) -> int:
    """Place of the key, 0 to 8, that holds a score in quarters (9 is 2.25, on the key of 2)."""
    return (quarters - 4) // 2


@dataclass(frozen=True)
class RowState:
    """What one row shows: score chosen and last time's, in quarters; is it the active row; the key with the ring."""

    chosen: int | None = None
    last: int | None = None
    active: bool = False
    ring: int | None = None


class ScoreKey(QAbstractButton):
    """One target of the row. It shows a state it is given; pressing it changes nothing by itself."""

    def __init__(self, look: Look, site: str, place: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._site = site
        self.half = 4 + 2 * place  # quarters of the plain score
        self._chosen: int | None = None
        self._last_here = False
        self._ring = False
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the ring is the focus of a row; keys go to the page
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.show_state(None, last_here=False, ring=False)

    def show_state(self, chosen: int | None, *, last_here: bool, ring: bool) -> None:
        """`chosen` is the score in quarters if this key holds it; `last_here`: last time's score lies on this key."""
        self._chosen, self._last_here, self._ring = chosen, last_here, ring
        self.setChecked(chosen is not None)
        self.setText(score_words(self.half if chosen is None else chosen))
        said = [f"{self._site} {self.text()}"]
        said += ["chosen"] if chosen is not None else []
        said += ["last time"] if last_here else []
        self.setAccessibleName(", ".join(said))
        self.update()

    @override
    def nextCheckState(self) -> None:
        """Stay as told: the page decides what a press means."""

    @override
    def minimumSizeHint(self) -> QSize:
        return SMALLEST_KEY

    @override
    def sizeHint(self) -> QSize:
        return QSize(SMALLEST_KEY.width() + 8, KEY_PX)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = self._look.theme, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on, whole = self.isChecked(), self.half % 4 == 0
        ringed = self._ring or self.hasFocus()
        inset = 6.0 if ringed else 2.0
        key = QRectF(self.rect()).adjusted(inset, inset, -inset, -inset)
        down = self.isDown() and not on
        painter.setPen(QPen(theme["primary" if on or down else "edge"], 2))
        painter.setBrush(theme["primary" if on else "selected" if down else "surface" if whole else "sunk"])
        painter.drawRoundedRect(key, 9, 9)
        painter.setPen(theme["on_primary" if on else "ink"])
        painter.setFont(theme.font(self._points(), 700 if on or whole else 500))
        lift = -4 if on and self.half < 20 else 0
        painter.drawText(key.adjusted(-4, lift, 4, lift), Qt.AlignmentFlag.AlignCenter, self.text())
        self._paint_foot(painter, key, on)
        if ringed:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(theme["focus"], 3))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5), 11, 11)
        painter.end()

    def _points(self) -> float:
        """The size of the figure: by its length and the room on the key, and never touching the rim."""
        on, theme = self.isChecked(), self._look.theme
        if len(self.text()) < 4:
            points = 20.0 if on else 19.0 if self.half % 4 == 0 else 17.0
        else:
            points = 15.0 if self.width() < 70 else 17.0
        while points > 11 and QFontMetricsF(theme.font(points, 700)).horizontalAdvance(self.text()) > self.width() - 20:
            points -= 1
        return points

    def _paint_foot(self, painter: QPainter, key: QRectF, on: bool) -> None:
        """The pip of the quarter under a chosen score, or the bar of last time's."""
        theme, middle = self._look.theme, key.center().x()
        if on and self.half < 20:
            taken = self._chosen is not None and self._chosen % 2 == 1
            painter.setPen(QPen(theme["on_primary"], 2))
            painter.setBrush(theme["on_primary"] if taken else Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(middle - 12, key.bottom() - 13, 24, 6), 3, 3)
        elif self._last_here and not on:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme["ink_second"])
            painter.drawRoundedRect(QRectF(middle - 9, key.bottom() - 10, 18, 4), 2, 2)


class ScoreRow(QWidget):
    """Site name, last time's score and nine keys. `pressed(place)`: a key was pressed, 0 to 8."""

    pressed = Signal(int)

    def __init__(self, look: Look, site: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._state = RowState()
        self._site = label(site, 16, 500)
        self._last = label("", 14, 400, "second")
        names = QVBoxLayout()
        names.setSpacing(0)
        names.addStretch()
        names.addWidget(self._site)
        names.addWidget(self._last)
        names.addStretch()
        self._widen_names()
        look.changed.connect(self._widen_names)
        line = QHBoxLayout(self)
        line.setContentsMargins(18, 0, 6, 0)
        line.setSpacing(4)
        line.addLayout(names)
        self.keys = tuple(ScoreKey(look, site, place, self) for place in range(HALVES))
        for place, key in enumerate(self.keys):
            line.addWidget(key)
            key.clicked.connect(lambda _=False, place=place: self.pressed.emit(place))
        self.set_key_height(KEY_PX)
        self.setAccessibleName(site)
        self.show_state(self._state)

    def _widen_names(self) -> None:
        for words in (self._site, self._last):
            words.setFixedWidth(round(NAME_PX * self._look.theme.text_scale))

    def set_key_height(self, px: int) -> None:
        """Height of the keys in px: 66, 62 in a low window, 104 on a large screen."""
        for key in self.keys:
            key.setFixedHeight(px)
        self.setFixedHeight(px + 10)

    def show_state(self, state: RowState) -> None:
        """Show what was chosen, last time's score, the tint of the active row and the ring."""
        self._state = state
        restyle(self._site, "weight", "700" if state.active else "500")
        restyle(self._last, "tone", "" if state.active else "second")
        self._last.setText("" if state.last is None else f"last {score_words(state.last)}")
        chosen_key = None if state.chosen is None else key_of(state.chosen)
        last_key = None if state.last is None else key_of(state.last)
        for place, key in enumerate(self.keys):
            key.show_state(
                state.chosen if place == chosen_key else None,
                last_here=place == last_key,
                ring=place == state.ring,
            )
        self.update()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._state.active:
            return
        theme, painter = self._look.theme, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme["selected"])
        painter.drawRoundedRect(QRectF(self.rect()), 12, 12)
        painter.setBrush(theme["primary"])
        painter.drawRoundedRect(QRectF(4, 14, 6, self.height() - 28), 3, 3)
        painter.end()
