"""The first page: open a herd list, try a sample herd, or go on with a herd opened of late."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from herdscore.desk.sources import SampleHerd, sample_herds
from herdscore.parts.buttons import button
from herdscore.parts.cards import card, column, holder, row, rule, scrolled
from herdscore.parts.flow import flow
from herdscore.parts.labels import label
from herdscore.parts.theme import Look

CARD_PX = 640
RECENT_PX = 380
EXAMPLE = (
    ("Tag", "Calving date", "Date from", "Group"),
    ("0512", "2027-04-18", "scan", "Long field"),
    ("0347", "2027-01-14", "service", "Low yard"),
    ("0866", "", "", "Hill park"),
)


class FirstRunPage(QWidget):
    """`open_wished`, `folder_wished`, `sample_wished(folder)`, `recent_wished(path)`."""

    open_wished = Signal()
    folder_wished = Signal()
    sample_wished = Signal(str)
    recent_wished = Signal(str)
    title = "Open a herd"

    def __init__(self, look: Look, recent: Sequence[str] = ()) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._samples = sample_herds()
        self._open = button("Open a herd list", "main", 15, 600, height=56)
        self._open.clicked.connect(self.open_wished)
        self._try = button("Try a sample herd", "", 15, 600, height=56)
        self._try.setVisible(bool(self._samples))
        self._try.clicked.connect(self._on_try)
        folder = button("A folder of .csv files", "flat", 12, 500, height=44)
        folder.clicked.connect(self.folder_wished)
        self._example = self._example_sheet()
        self._choices, self._first_choice = self._sample_choices()
        self._choices.hide()
        inside = column(
            label("A new herd" if recent else "No herd yet", 24, 700),
            label(
                "Open your own list of cows: one row each. A tag is enough to begin; a calving or service date lets "
                "the program look ahead. Spreadsheet or .csv. Nothing leaves this computer.",
                13,
                400,
                "second",
                wrap=True,
            ),
            10,
            flow(self._open, self._try, spacing=12),
            row((label("Or drop a file or folder anywhere in this window.", 12, 400, "second", wrap=True), 1), folder),
            12,
            self._example,
            self._choices,
            spacing=6,
            margins=(40, 32, 40, 28),
        )
        own = card(inside)
        own.setFixedWidth(CARD_PX)
        cards = row(None, own, None, spacing=0)
        if recent:
            cards.insertSpacing(1, 24)
            cards.insertWidget(1, self._recent(recent))
        lying = holder(column(None, cards, None, margins=(24, 8, 24, 8)))
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        around.addWidget(scrolled(lying))

    def focus_first(self) -> None:
        """Give the keyboard to the herd opened last, else to the main button."""
        (self._recent_first if self._recent_first is not None else self._open).setFocus()

    _recent_first: QPushButton | None = None

    def _recent(self, recent: Sequence[str]) -> QWidget:
        rows = []
        for path in recent:
            one = _two_lines(Path(path).stem, str(Path(path).parent), RECENT_PX - 60)
            one.clicked.connect(lambda _=False, path=path: self.recent_wished.emit(path))
            self._recent_first = self._recent_first or one
            rows.append(one)
        inside = column(label("Opened before", 18, 700), 8, *rows, None, spacing=8, margins=(28, 32, 28, 28))
        made = card(inside)
        made.setFixedWidth(RECENT_PX)
        return made

    def _example_sheet(self) -> QWidget:
        cells = QGridLayout()
        cells.setContentsMargins(14, 8, 14, 8)
        cells.setVerticalSpacing(6)
        cells.setHorizontalSpacing(24)
        line = 0
        for place, words in enumerate(EXAMPLE):
            for at, word in enumerate(words):
                weight = 600 if place == 0 or at == 0 else 400
                cells.addWidget(label(word, 12, weight, "second" if place == 0 else ""), line, at)
            cells.addWidget(rule(), line + 1, 0, 1, len(words))
            line += 2
        return holder(
            column(
                label("A sheet like this will do", 12, 600),
                card(cells),
                label(
                    "Other columns it knows: EID, breed, calvings, season, scores by site, services, diets. "
                    "Press F1 for all of them.",
                    11,
                    400,
                    "second",
                    wrap=True,
                ),
                spacing=6,
            )
        )

    def _sample_choices(self) -> tuple[QWidget, QPushButton | None]:
        made, first = [], None
        for sample in self._samples:
            one = self._sample_button(sample)
            first = first or one
            made.append(one)
        words = label("It opens as a copy of yours: score and change it as you like.", 12, 400, "second", wrap=True)
        return holder(column(label("Which one?", 14, 700), words, 4, *made, spacing=8)), first

    def _sample_button(self, sample: SampleHerd) -> QPushButton:
        one = _two_lines(sample.name, sample.shows, CARD_PX - 84)
        one.clicked.connect(lambda _=False, folder=str(sample.folder): self.sample_wished.emit(folder))
        return one

    def _on_try(self) -> None:
        self._example.hide()
        self._choices.show()
        if self._first_choice is not None:
            self._first_choice.setFocus()


def _two_lines(claim: str, rest: str, width: int) -> QPushButton:
    """A row to press with a name and a quieter line of any length under it."""
    made = button("", "row")
    made.setAccessibleName(f"{claim}. {rest}")
    words = column(label(claim, 14, 600), label(rest, 12, 400, "second", wrap=True), spacing=0, margins=(14, 8, 14, 8))
    made.setLayout(words)
    for one in made.findChildren(QWidget):
        one.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    made.setFixedWidth(width)
    made.setMinimumHeight(max(56, words.heightForWidth(width)))
    return made
