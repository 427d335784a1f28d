"""Learning to score: nine scores at three sites, drawn and in words, how to handle her, and the caution."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget
from typing_extensions import override

from herdscore import shipped
from herdscore.domain.crush_words import CrushWords, Said, read_crush_words
from herdscore.domain.felt_words import SITES, SiteWords, read_felt_words
from herdscore.domain.scale import LOWEST
from herdscore.parts.buttons import Pills, button
from herdscore.parts.cards import Panel, card, column, holder, row, scrolled
from herdscore.parts.feel_drawing import FeelDrawing
from herdscore.parts.labels import label
from herdscore.parts.score_keys import HALVES, score_words
from herdscore.parts.theme import Look

_ACROSS = 3
_DRAWING_PX = (130, 84)
_WIDEST_FIGURE = "0.0"
_WIDE_PX, _BESIDE_PX = 1500, 30


class CautionPanel(Panel):
    """The caution at the crush; `taken`: it was read."""

    taken = Signal()

    def __init__(self, said: Said, *, answered: bool) -> None:
        lines = [label(f"•  {one}", 14, 400, wrap=True) for one in said.say]
        self.title = label(said.title, 18 if answered else 16, 700)
        self.go = button("Read: go to the cows", "main", 16, 700, height=56)
        super().__init__(
            column(self.title, *lines, row(self.go, None), spacing=6, margins=(20, 14, 20, 14)), "thin", edged=True
        )
        self.setToolTip(f"Source: {said.source}")
        self.setAccessibleName(said.title)
        self.setAccessibleDescription(" ".join(said.say))
        self.go.setVisible(answered)
        self.go.clicked.connect(self.taken)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter answers it."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.go.hasFocus() and not event.isAutoRepeat():
            self.taken.emit()
        else:
            super().keyPressEvent(event)


class _Figure(QLabel):
    """A score in large type, as wide as the widest, so that the drawings stand below each other."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.setProperty("pt", "20")
        self.setProperty("weight", "700")

    @override
    def minimumSizeHint(self) -> QSize:
        wide = self.fontMetrics().horizontalAdvance(_WIDEST_FIGURE)
        return QSize(wide + 2, super().minimumSizeHint().height())

    @override
    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()


class ScoreCard(QWidget):
    """One score at one site: its figure, what the hand meets, and the sentence for it."""

    def __init__(self, look: Look, quarters: int) -> None:
        super().__init__()
        self._quarters = quarters
        self.drawing = FeelDrawing(look)
        self.drawing.setFixedSize(*_DRAWING_PX)
        self.say = label("", 12, 400, wrap=True)
        figure = _Figure(score_words(quarters))
        inside = row(figure, self.drawing, (self.say, 1), spacing=10, margins=(12, 4, 10, 4))
        self.setLayout(row((card(inside), 1)))

    def show_site(self, site: str, words: SiteWords) -> None:
        """Draw it at another site."""
        self.drawing.show_feel(site, self._quarters / 4)
        self.say.setText(words.say[(self._quarters - LOWEST) // 2])


class LearningPage(QWidget):
    """The whole of it; the words are those of the rules, unless others are given."""

    title = "Learning to score"

    def __init__(self, look: Look, felt: dict[str, SiteWords] | None = None, said: CrushWords | None = None) -> None:
        super().__init__()
        if felt is None or said is None:
            tables = shipped.rule_tables()
            felt, said = read_felt_words(tables["felt_words"]), read_crush_words(tables["crush_words"])
        self._felt = felt
        self.sites = Pills([(site, site.capitalize()) for site in SITES], "Site", 14)
        self.hand = label("", 14, 400, "second", wrap=True)
        self._across = 0
        self.cards = [ScoreCard(look, LOWEST + 2 * place) for place in range(HALVES)]
        self.caution = CautionPanel(said.caution, answered=False)
        handling = [label(f"•  {one}", 12, 400, wrap=True) for one in said.handling.say]
        self._handling = card(
            column(label(said.handling.title, 16, 700), *handling, None, spacing=6, margins=(20, 14, 20, 14))
        )
        self._handling.setToolTip(f"Source: {said.handling.source}")
        self._grid = grid = QGridLayout()
        grid.setSpacing(8)
        self._arrange(_ACROSS)
        below = row((self._handling, 3), (self.caution, 2), spacing=12)
        inside = holder(
            column(row(self.sites, (self.hand, 1), spacing=16), grid, below, None, spacing=10, margins=(0, 0, 12, 8))
        )
        self.area = scrolled(inside)
        self.area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)  # arrows scroll it
        self.area.setAccessibleName("Scores, how to feel her, and the caution")
        self.setLayout(row((self.area, 1)))
        self.sites.chosen.connect(self.show_site)
        self.show_site(SITES[0])

    def focus_first(self) -> None:
        """Give the keyboard to the choice of site."""
        self.sites.button(self.sites.current or SITES[0]).setFocus()

    def show_site(self, site: str) -> None:
        """Show the nine scores of a site."""
        self.sites.choose(site)
        words = self._felt[site]
        self.hand.setText(words.hand)
        for one in self.cards:
            one.show_site(site, words)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        for one in self.cards:
            one.drawing.setFixedWidth(220 if self.width() >= _WIDE_PX else _DRAWING_PX[0])
        least = max(one.minimumSizeHint().width() for one in self.cards) + 8
        self._arrange(min(max((self.width() - _BESIDE_PX) // least, 1), _ACROSS))

    def _arrange(self, across: int) -> None:
        """Lay the cards out, so many in a row."""
        if across == self._across:
            return
        self._across = across
        for place, one in enumerate(self.cards):
            self._grid.addWidget(one, place // across, place % across)
        for at in range(_ACROSS):
            self._grid.setColumnStretch(at, 1 if at < across else 0)
