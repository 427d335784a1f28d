"""Right side of the scoring page: where the cow stands and is heading, and the cows scored last."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QPushButton, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.pages.scoring_ahead import PenState
from herdscore.pages.scoring_pen import PenPanel
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, card, column, holder, row, scrolled
from herdscore.parts.cow_picture import CowPicture
from herdscore.parts.labels import label
from herdscore.parts.marks import MarkGlyph, mark_tint
from herdscore.parts.theme import Look
from herdscore.parts.trajectory_chart import TrajectoryChart

MOST_LAST = 12
_ROW_PX = 46
_GAP_PX = 6


@dataclass(frozen=True, slots=True)
class VerdictWordsShown:
    """What the verdict box says: mark, claim, figures, what to do; a plain box has no mark."""

    claim: str
    figures: str = ""
    advice: str = ""
    mark: str = "none"


@dataclass(frozen=True, slots=True)
class LastRow:
    """One cow scored before: who, what she got, and her verdict's mark and word."""

    cow_id: str
    tag: str
    score: str
    mark: str
    word: str


class VerdictBox(Panel):
    """A mark, the claim, the figures behind it and what to do."""

    def __init__(self, look: Look) -> None:
        self._glyph = MarkGlyph(look, "none", 34)
        self.claim = label("", 16, 700, wrap=True)
        self._figures = label("", 14, 400, wrap=True)
        self._advice = label("", 14, 400, wrap=True)
        lines = column(self.claim, self._figures, self._advice, spacing=2)
        super().__init__(row(self._glyph, (lines, 1), spacing=12, margins=(14, 8, 12, 10)), "sunk")

    def show_words(self, shown: VerdictWordsShown) -> None:
        """Show a verdict, or without a mark what is still missing."""
        self._glyph.setVisible(shown.mark != "none")
        self._glyph.show_mark(shown.mark, shown.claim)
        self.claim.setText(shown.claim)
        for words, text in ((self._figures, shown.figures), (self._advice, shown.advice)):
            words.setText(text)
            words.setVisible(bool(text))
        self.show_hue(mark_tint(shown.mark))


class CowSide(QWidget):
    """One cow: her score, how it moved, the small chart, the verdict and notes. `open_pressed`: show her page."""

    open_pressed = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._score = label("", 44, 700)
        self._change = label("", 14, 600, wrap=True)
        self._target = label("", 14, 400, "second", wrap=True)
        self.open = button("Her page", "flat", 14, 600)
        self.open.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.open.clicked.connect(self.open_pressed)
        self.chart = TrajectoryChart(look, mini=True)
        self.box = VerdictBox(look)
        self._notes = label("", 14, 400, wrap=True)
        self._notes.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        # What is said of her scrolls before anything of it is cut off.
        self._words = column(self.box, self._notes, None, spacing=6)
        self._words_area = scrolled(holder(self._words))
        beside = column(None, self._change, self._target, None, spacing=0)
        self._head = row(self._score, 8, (beside, 1), spacing=8)
        foot = row(None, self.open)
        inside = column(self._head, (self.chart, 1), self._words_area, foot, spacing=_GAP_PX, margins=(16, 6, 16, 8))
        self.pens = PenPanel(look)
        self.pens.hide()
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        around.setSpacing(_GAP_PX)
        around.addWidget(card(inside), 1)
        around.addWidget(self.pens)
        self.set_low(False)

    def set_low(self, low: bool) -> None:
        """A lower chart, and no way to her page, in a low window."""
        self.chart.setMinimumSize(200, 110 if low else 150)
        self._low = low
        self.pens.set_low(low)
        self._show_open()
        self._fit_words()

    def show_pens(self, state: PenState | None, own: str) -> None:
        """The way she leaves, under her verdict; nothing when no round has pens."""
        self.pens.setVisible(state is not None)
        if state is not None:
            self.pens.show_pens(state, own)
        self._show_open()
        self._fit_words()

    def _show_open(self) -> None:
        self.open.setVisible(not self._low and self.pens.isHidden())

    def show_head(self, score: str, change: str, target: str) -> None:
        """Her score, how it moved since last time, what she should be in."""
        self._score.setText(score)
        self._change.setText(change)
        self._target.setText(target)

    def show_cow(self, picture: CowPicture | None, shown: VerdictWordsShown, notes: list[str]) -> None:
        """Her chart, her verdict, and what is noted on top of it."""
        self.chart.show_picture(picture)
        self.box.show_words(shown)
        self._notes.setText("\n".join(notes if len(notes) == 1 else [f"•  {note}" for note in notes]))
        self._notes.setVisible(bool(notes))
        self._fit_words()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_words()

    def _fit_words(self) -> None:
        """As high as the words need, or as there is room under the head and the lowest chart."""
        wide = max(self.width() - 36, 100)
        wanted = self.box.heightForWidth(wide)
        if not self._notes.isHidden():
            wanted += _GAP_PX + self._notes.heightForWidth(wide)
        foot = 0 if self.open.isHidden() else self.open.sizeHint().height() + _GAP_PX
        pens = 0 if self.pens.isHidden() else self.pens.sizeHint().height() + _GAP_PX
        taken = pens + self._head.sizeHint().height() + self.chart.minimumHeight() + foot + 2 * _GAP_PX + 18
        self._words_area.setFixedHeight(max(min(wanted, self.height() - taken), 60))


class LastScored(QWidget):
    """Cows scored in this sitting, newest first, the newest with her verdict. `reopened(cow_id)`: mend her score."""

    reopened = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._title = label("Last scored", 16, 700)
        self._none = label("No cow has been scored in this sitting.", 14, 400, "second", wrap=True)
        self.box = VerdictBox(look)
        self._rows = tuple(_LastKey(look) for _ in range(MOST_LAST))
        for one in self._rows:
            one.clicked.connect(lambda _=False, one=one: self.reopened.emit(one.cow_id))
        self._fits = MOST_LAST
        newest, *others = self._rows
        rows = column(*others, spacing=6)
        inside = column(self._title, 2, self._none, newest, self.box, rows, None, spacing=6, margins=(18, 12, 18, 12))
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        around.addWidget(card(inside))
        self._shown: list[LastRow] = []

    def show_rows(self, rows: list[LastRow], newest: VerdictWordsShown | None) -> None:
        """Show the cows, and the newest one's verdict in full."""
        self._shown = rows
        self._none.setVisible(not rows)
        self.box.setVisible(newest is not None)
        if newest is not None:
            self.box.show_words(newest)
        self._renew()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._renew()

    def _renew(self) -> None:
        box = self.box.heightForWidth(max(self.width() - 40, 100)) if self.box.isVisibleTo(self) else 0
        taken = 76 + box
        fits = max(1, (self.height() - taken) // (_ROW_PX + 6))
        for place, one in enumerate(self._rows):
            one.setVisible(place < min(fits, len(self._shown)))
            if place < len(self._shown):
                one.show_row(self._shown[place])


class _LastKey(QPushButton):
    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setProperty("kind", "row")
        self.setFixedHeight(_ROW_PX)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setToolTip("Open her again to mend the score")
        self.cow_id = ""
        self._glyph = MarkGlyph(look, "none", 18)
        self._tag, self._score = label("", 14, 700), label("", 14)
        self._word = label("", 14, 400, "second")
        self._word.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        line = row(self._glyph, self._tag, self._score, (self._word, 1), spacing=10, margins=(10, 0, 10, 0))
        self.setLayout(line)
        for one in (self._glyph, self._tag, self._score, self._word):
            one.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def show_row(self, shown: LastRow) -> None:
        self.cow_id = shown.cow_id
        self._glyph.show_mark(shown.mark)
        self._tag.setText(shown.tag)
        self._score.setText(shown.score)
        self._word.setText(shown.word)
        self.setAccessibleName(f"{shown.tag}, {shown.score} {shown.word}")


class ScoringSide(QStackedWidget):
    """The cow under the hand, or between cows those scored last."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.cow = CowSide(look)
        self.last = LastScored(look)
        self.addWidget(self.last)
        self.addWidget(self.cow)

    def show_feeling(self, on: bool) -> None:
        """Show the one or the other."""
        self.setCurrentWidget(self.cow if on else self.last)
