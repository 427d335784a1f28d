"""First line of the scoring page: how many are scored, who scores, and on which day."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QDate, QLocale, QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtWidgets import QBoxLayout, QComboBox, QLineEdit, QWidget

from herdscore.domain.scored import scorer_key
from herdscore.parts import fields
from herdscore.parts.cards import Panel, row
from herdscore.parts.labels import label, restyle
from herdscore.parts.progress import TensCount
from herdscore.parts.theme import Look

STRIP_PX, LOW_STRIP_PX = 56, 50
_FIELD_PX = 44
_EDGE = 12
_FRAME_PX = 70  # beside the words of the day: edges and arrow


class ScoringStrip(Panel):
    """`scorer_chosen(str)`, `day_chosen(date)`: a choice was made; `left`: the keyboard may go back to the cow."""

    scorer_chosen = Signal(str)
    day_chosen = Signal(object)
    left = Signal()

    def __init__(self, look: Look, day: date) -> None:
        self.count = label("", 14, 700)
        self._tens = TensCount(look)
        self._scorer_name, self._day_name = label("Scorer", 14, 400, "second"), label("Day", 14, 400, "second")
        self._scorer, self._typed = _scorer_box()
        self.day_box = fields.day_box("Day of scoring", day, last=day)
        self.day_box.setLocale(QLocale(QLocale.Language.English, QLocale.Country.UnitedKingdom))
        self.day_box.setProperty("pt", "14")
        self.day_box.setFixedHeight(_FIELD_PX)
        self.day_box.setKeyboardTracking(False)
        self._herd_day = day
        self._chosen = ""
        super().__init__(self._laid_out(), "")
        self.setFixedHeight(STRIP_PX)
        self._scorer.activated.connect(self._on_scorer)
        self._scorer.activated.connect(self.left)
        self._typed.editingFinished.connect(self._on_scorer)
        self._typed.returnPressed.connect(self.left)
        self.day_box.dateChanged.connect(self._on_day)
        self.day_box.lineEdit().returnPressed.connect(self.left)
        self.day_box.calendarWidget().clicked.connect(lambda: QTimer.singleShot(0, self.left.emit))
        self.show_day(day, day)

    def _laid_out(self) -> QBoxLayout:
        who = row(self._scorer_name, self._scorer, 4, self._day_name, self.day_box, spacing=8)
        return row(self.count, 6, (self._tens, 1), 16, who, spacing=8)

    @property
    def scorer(self) -> str:
        """Who scores; empty when nobody was named."""
        return " ".join(self._scorer.currentText().split())

    @property
    def day(self) -> date:
        """The day the scores are for."""
        return fields.day_of(self.day_box)

    @property
    def fields(self) -> tuple[QWidget, ...]:
        """What takes the keyboard here."""
        return self._scorer, self.day_box

    def show_count(self, scored: int, unsafe: int, total: int) -> None:
        """How many of the cows are scored that day."""
        tail = f", {unsafe} unsafe" if unsafe else ""
        self.count.setText(f"{scored} of {total} scored{tail}")
        self._tens.show_count(scored + unsafe, total)

    def show_scorers(self, names: list[str], chosen: str) -> None:
        """The scorers to choose from; another can be typed."""
        known = {scorer_key(name) for name in names}
        listed = names if not chosen or scorer_key(chosen) in known else [*names, chosen]
        if [self._scorer.itemText(place) for place in range(self._scorer.count())] != listed:
            with QSignalBlocker(self._scorer):
                self._scorer.clear()
                self._scorer.addItems(listed)
        if not self._typed.hasFocus():
            self._scorer.setCurrentText(chosen)
            self._chosen = chosen

    def show_day(self, day: date, herd_day: date) -> None:
        """The day of the scores; another than the herd's day turns the line lilac."""
        self._herd_day = herd_day
        with QSignalBlocker(self.day_box):
            self.day_box.setMaximumDate(QDate(herd_day.year, herd_day.month, herd_day.day))
            self.day_box.setDate(QDate(day.year, day.month, day.day))
        self._renew()

    def fit_day(self) -> None:
        """Make the day as wide as its words."""
        wide = self.day_box.fontMetrics().horizontalAdvance(self.day_box.text())
        self.day_box.setFixedWidth(max(wide + _FRAME_PX, 200))

    def set_low(self, low: bool) -> None:
        """Less air about the line in a low window."""
        self.setFixedHeight(LOW_STRIP_PX if low else STRIP_PX)

    def set_open(self, is_open: bool) -> None:
        """Whether day and scorer can be chosen."""
        for one in self.fields:
            one.setEnabled(is_open)

    def _renew(self) -> None:
        notebook = self.day != self._herd_day
        year = "" if self.day.year == self._herd_day.year else " yyyy"
        words = "from the notebook" if notebook else "today"
        with QSignalBlocker(self.day_box):
            self.day_box.setDisplayFormat(f"ddd d MMM{year}', {words}'")
        self.fit_day()
        self.show_hue("hold" if notebook else "", edged=notebook)
        layout = self.layout()
        assert layout is not None
        layout.setContentsMargins(_EDGE if notebook else 0, 0, 5 if notebook else 0, 0)
        for words_label in (self._scorer_name, self._day_name):
            restyle(words_label, "tone", "" if notebook else "second")

    def _on_scorer(self) -> None:
        if self.scorer != self._chosen:
            self._chosen = self.scorer
            self.scorer_chosen.emit(self.scorer)

    def _on_day(self) -> None:
        self._renew()
        self.day_chosen.emit(self.day)


def _scorer_box() -> tuple[QComboBox, QLineEdit]:
    made = QComboBox()
    made.setEditable(True)
    made.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
    made.setAccessibleName("Scorer")
    made.setProperty("pt", "14")
    made.setFixedHeight(_FIELD_PX)
    made.setFixedWidth(150)
    made.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    edit = made.lineEdit()
    assert edit is not None
    edit.setPlaceholderText("who?")
    edit.setProperty("pt", "14")
    edit.setMaxLength(40)
    return made, edit
