"""The head of every page: herd, block, day and three figures that open the list behind them; the as-of band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QFrame, QHBoxLayout, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import Panel, row
from herdscore.parts.labels import ShortenedLabel, label
from herdscore.parts.theme import Look

HEADER_PX = 66
BLOCKS = (("autumn", "Autumn"), ("spring", "Spring"), ("both", "Both"))


@dataclass(frozen=True)
class Figure:
    """One figure of the header: key, the figure, what it counts, its colour role, and the same in few words."""

    key: str
    number: str
    words: str
    hue: str = "ink"
    short: str = ""


class FigureButton(QAbstractButton):
    """A large figure and its words, to be pressed."""

    def __init__(self, look: Look, figure: Figure, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self.figure = figure
        self.said = figure.words
        self.setAccessibleName(f"{figure.number} {figure.words}")
        self.setToolTip(f"{figure.number} {figure.words}: show them")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setFixedHeight(48)
        self.say(figure.words)

    def width_of(self, words: str) -> int:
        """Px it takes with these words behind the figure."""
        said = QFontMetricsF(self._look.theme.font(12, 500)).horizontalAdvance(words)
        return round(self._number_px() + said) + 24

    def say(self, words: str) -> None:
        """Write other words behind the figure."""
        self.said = words
        self.setFixedWidth(self.width_of(words))
        self.update()

    @override
    def sizeHint(self) -> QSize:
        return QSize(self.width_of(self.said), 48)

    def _number_px(self) -> float:
        return QFontMetricsF(self._look.theme.font(24, 700)).horizontalAdvance(self.figure.number)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = self._look.theme, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5)
        if self.underMouse() or self.isDown():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme["selected"])
            painter.drawRoundedRect(box, 8, 8)
        if self.hasFocus():
            painter.setPen(QPen(theme["focus"], 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box, 8, 8)
        number = self._number_px()
        painter.setFont(theme.font(24, 700))
        painter.setPen(theme[self.figure.hue])
        upright = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(6, 0, number + 4, self.height()), upright, self.figure.number)
        painter.setFont(theme.font(12, 500))
        painter.setPen(theme["ink_second"])
        painter.drawText(QRectF(number + 16, 0, self.width() - number - 16, self.height()), upright, self.said)
        painter.end()


class Header(QFrame):
    """`block_chosen(block)`: autumn, spring or both; `figure_pressed(key)`: open the list behind a figure.

    `day_pressed`: look at another day.
    """

    block_chosen = Signal(str)
    figure_pressed = Signal(str)
    day_pressed = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self.setFixedHeight(HEADER_PX)
        self._herd = ShortenedLabel(17, 700, least_px=110)
        self._blocks = JoinedButtons(BLOCKS, "Block", 12, width=86, height=44)
        self._blocks.set_focus_policy(Qt.FocusPolicy.TabFocus)
        self._blocks.chosen.connect(self.block_chosen)
        self._day = button("", "flat", 12, 400, height=44)
        self._day.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._day.setToolTip("Look at another day (F7)")
        self._day.clicked.connect(self.day_pressed)
        self._day_words = ("", "")
        self._figures = QHBoxLayout()
        self._figures.setSpacing(4)
        self._shown: list[FigureButton] = []
        look.changed.connect(self._fit)
        inside = row(self._herd, self._blocks, self._day, None, self._figures, spacing=12, margins=(24, 8, 20, 4))
        self.setLayout(inside)

    def show_herd(self, name: str) -> None:
        """The herd's name."""
        self._herd.show_words(name)
        self._fit()

    def show_day(self, words: str, short: str = "") -> None:
        """The day the herd is looked at, in words (and in few for where room is short); press it for another."""
        self._day_words = (words, short)
        self._day.setAccessibleName(f"{words}, look at another day")
        self._fit()

    def show_block(self, block: str) -> None:
        """Which block is switched on; no signal."""
        self._blocks.choose(block)

    def show_figures(self, figures: Sequence[Figure]) -> None:
        """The figures at the right, at most three."""
        self._shown = []
        while (item := self._figures.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.hide()
                old.deleteLater()
        for figure in figures:
            one = FigureButton(self._look, figure, self)
            one.clicked.connect(lambda _=False, key=figure.key: self.figure_pressed.emit(key))
            self._figures.addWidget(one)
            self._shown.append(one)
            one.show()
        self._fit()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Write day and figures in full, in short, or as figures only: nothing is cut off in a narrow window."""
        blocks = sum(max(86, self._blocks.button(key).sizeHint().width()) for key in self._blocks.keys)
        room = self.width() - self._herd.minimumSizeHint().width() - blocks - 44 - 4 * 12
        self._day.ensurePolished()
        days = [words for words in self._day_words if words] + [""]
        figures = [
            [one.figure.words for one in self._shown],
            [one.figure.short or one.figure.words for one in self._shown],
            ["" for _ in self._shown],
        ]
        name = self._herd.sizeHint().width() - self._herd.minimumSizeHint().width()
        # The herd's name in full before the long words; the words in short before the day goes.
        for level, extra in ((0, name), (1, name), (1, 0), (2, 0)):
            taken = sum(one.width_of(words) + 4 for one, words in zip(self._shown, figures[level], strict=True))
            for words in days:
                wide = self._day_px(words)
                if taken + wide + extra <= room and (words or level):
                    self._write(figures[level], words)
                    return
        self._write(figures[-1], "")

    def _day_px(self, words: str) -> int:
        if not words:
            return 0
        self._day.setText(words)
        return self._day.sizeHint().width() + 12

    def _write(self, figures: Sequence[str], day: str) -> None:
        for one, words in zip(self._shown, figures, strict=True):
            one.say(words)
        self._day.setText(day)
        self._day.setVisible(bool(day))


class AsOfBand(QWidget):
    """Across the page when the herd is looked at on another day than the computer's."""

    another_day_pressed = Signal()
    today_pressed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._which = label("", 12, 700, wrap=True)
        self._note = label("", 12, 400, wrap=True)
        another, self._today = button("Another day", weight=600), button("Today", weight=600)
        another.clicked.connect(self.another_day_pressed)
        self._today.clicked.connect(self.today_pressed)
        for one in (another, self._today):
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self._which)
        words.addWidget(self._note)
        inside = row((words, 1), another, self._today, spacing=12, margins=(16, 5, 8, 5))
        around = QVBoxLayout(self)
        around.setContentsMargins(24, 0, 24, 8)
        around.addWidget(Panel(inside, "hold", edged=True))

    def show_words(self, which: str, note: str, today: str = "Today") -> None:
        """Say which day it is, and what cannot be done on it; `today` are the words of the way back, "" for none."""
        self._today.setText(today)
        self._today.setVisible(bool(today))
        self._which.setText(which)
        self._note.setText(note)
        self._note.setVisible(bool(note))
