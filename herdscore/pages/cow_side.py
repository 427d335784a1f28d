"""The right side of a cow's page: why her verdict is what it is, what is noted of her, and her history."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QLayout, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.domain.assess import Assessment
from herdscore.domain.cow_facts import facts
from herdscore.domain.cow_history import HistoryLine, history
from herdscore.domain.notes import notes_of
from herdscore.domain.reasons import say_day
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, holder, row, scrolled
from herdscore.parts.labels import label

DAY_PX = 98
_EDGE_PX, _BAR_PX = 12, 16


def empty_out(layout: QLayout) -> None:
    """Take everything out of a layout."""
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()


def day_px() -> int:
    """Width of the column of days, by the size of the text as it is now."""
    widest = label("30\u00a0Nov\u00a02026", 11, 600)
    widest.ensurePolished()
    return max(DAY_PX, widest.sizeHint().width() + 6)


def history_row(line: HistoryLine, assessment: Assessment, days_px: int) -> QWidget:
    """One line of a history: the day, what happened, who wrote it down."""
    day = label(say_day(line.day, assessment.today), 11, 600)
    day.setFixedWidth(days_px)
    day.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
    words = label(line.words, 11, wrap=True)
    words.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
    who = label(line.who, 11, tone="second", right=True)
    who.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
    made = holder(row(day, (words, 1), *([who] if line.who else []), spacing=6))
    made.setAccessibleName(f"{day.text()}: {line.words} {line.who}".strip())
    return made


class WhyCard(QFrame):
    """The facts behind a verdict, each with what it rests on, then what is noted; can be folded away."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("kind", "card")
        self._fold = button("hide", "flat", 11, height=44)
        self._fold.setAccessibleName("Hide why")
        self._lines = QVBoxLayout()
        self._lines.setContentsMargins(14, 0, 10, 8)
        self._lines.setSpacing(8)
        self._body = scrolled(holder(self._lines))
        self._head = row(label("Why?", 14, 700), None, self._fold, margins=(14, 2, 6, 0))
        self.setLayout(column(self._head, (self._body, 1), spacing=0, margins=(0, 0, 0, 6)))
        self.said: list[tuple[str, str]] = []  # claims and what they rest on, as shown
        self._fold.clicked.connect(lambda: self.fold(not self.is_folded))

    @property
    def is_folded(self) -> bool:
        """Whether only the heading shows."""
        return self._body.isHidden()

    def fold(self, folded: bool) -> None:
        """Fold the facts away, or unfold them."""
        self._body.setVisible(not folded)
        self._fit()
        self._fold.setText("show" if folded else "hide")
        self._fold.setAccessibleName("Show why" if folded else "Hide why")

    def show_cow(self, assessment: Assessment, cow: int) -> None:
        """Say why, for the cow at a place of the herd."""
        empty_out(self._lines)
        self.said = []
        for fact in facts(assessment, cow):
            self._add(fact.claim, fact.rest)
        notes = notes_of(assessment, cow)
        if notes:
            self._lines.addWidget(label("Also noted", 12, 700))
        for note in notes:
            self._add(note.word[0].upper() + note.word[1:], note.say, tip=f"Source: {note.source}")
        self._lines.addStretch()
        for place in range(self._lines.count()):
            item = self._lines.itemAt(place)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.show()  # at once, not with the next event, so that its height counts now
        self._body.verticalScrollBar().setValue(0)
        self._fit()

    def _fit(self) -> None:
        """Take no more height than the facts need, so that the history below has it."""
        head = self._head.sizeHint().height() + _EDGE_PX
        width = self.width() - _BAR_PX
        self.setMaximumHeight(head if self.is_folded else head + max(self._lines.heightForWidth(width), 60))

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _add(self, claim: str, rest: str, tip: str = "") -> None:
        self.said.append((claim, rest))
        pieces = [label(claim, 12, 600, wrap=True)]
        if rest:
            pieces.append(label(rest, 11, tone="second", wrap=True))
        made = holder(column(*pieces, spacing=0))
        made.setToolTip(tip)
        self._lines.addWidget(made)


class HistoryCard(QFrame):
    """All that is recorded of a cow, newest first."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("kind", "card")
        self._head = label("History", 14, 700)
        self._lines = QVBoxLayout()
        self._lines.setContentsMargins(14, 0, 10, 8)
        self._lines.setSpacing(3)
        self._body = scrolled(holder(self._lines))
        self.setLayout(
            column(row(self._head, margins=(14, 10, 14, 4)), (self._body, 1), spacing=0, margins=(0, 0, 0, 6))
        )
        self.lines: tuple[HistoryLine, ...] = ()

    def show_cow(self, assessment: Assessment, cow: int) -> None:
        """Tell the history of the cow at a place of the herd."""
        empty_out(self._lines)
        self.lines = history(assessment, cow)
        days_px = day_px()
        for line in self.lines:
            self._lines.addWidget(history_row(line, assessment, days_px))
        if not self.lines:
            self._lines.addWidget(label("Nothing is recorded of her yet.", 11, tone="second", wrap=True))
        self._lines.addStretch()
        self._body.verticalScrollBar().setValue(0)


class CowSide(QWidget):
    """Both cards, one above the other."""

    def __init__(self) -> None:
        super().__init__()
        self.why, self.history = WhyCard(), HistoryCard()
        self.setLayout(column((self.why, 3), (self.history, 2), spacing=10))

    def show_cow(self, assessment: Assessment, cow: int) -> None:
        """Show the cow at a place of the herd."""
        self.why.show_cow(assessment, cow)
        self.history.show_cow(assessment, cow)
