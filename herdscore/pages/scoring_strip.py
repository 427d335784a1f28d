"""First line of the scoring page: the round and how far it is, who scores, and on which day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import QDate, QLocale, QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QBoxLayout, QComboBox, QLineEdit, QWidget
from typing_extensions import override

from herdscore.domain.scored import scorer_key
from herdscore.parts import fields
from herdscore.parts.buttons import button, choice_box
from herdscore.parts.cards import Panel, column, row
from herdscore.parts.labels import ShortenedLabel, label, restyle
from herdscore.parts.progress import TensCount
from herdscore.parts.theme import Look

STRIP_PX, LOW_STRIP_PX = 56, 50
_FIELD_PX = 44
_EDGE = 12
_FRAME_PX = 70  # beside the words of the day: edges and arrow
_ROUND_PX = ((180, 240), (240, 320))  # least and most, in a narrow and in a wide line
_ARROW_PX = 62  # beside the name of the round
_WIDE_PX = 1500  # width of the line from which every panel has its button here
NO_ROUND, NEW_ROUND = "", "new"
ROUND, CHECK, LEARN = "round", "check", "learn"


class ScoringStrip(Panel):
    """`scorer_chosen(str)`, `day_chosen(date)`: a choice was made; `left`: the keyboard may go back to the cow.

    `round_chosen(str)`: a round to look at, by its id, or NEW_ROUND; `panel_wished(str)`: ROUND, CHECK or LEARN.
    """

    scorer_chosen = Signal(str)
    day_chosen = Signal(object)
    left = Signal()
    round_chosen = Signal(str)
    panel_wished = Signal(str)

    def __init__(self, look: Look, day: date) -> None:
        self.count = ShortenedLabel(14, 700, least_px=220)
        self.pace = _PaceLabel()
        self._tens = TensCount(look)
        self._counted: tuple[int, int, int] = (0, 0, 0)
        self._of_round: tuple[int, int, int] | None = None
        self.round_box = choice_box("Round", points=14, height=_FIELD_PX)
        self.round_box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.buttons = {
            key: button(words, points=14, height=_FIELD_PX)
            for key, words in ((ROUND, "Round"), (CHECK, "Check two people"), (LEARN, "Learn"))
        }
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
        self.round_box.activated.connect(lambda _: self.round_chosen.emit(self.round_box.currentData()))
        for key, one in self.buttons.items():
            one.setFixedHeight(_FIELD_PX)
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            one.clicked.connect(lambda _=False, key=key: self.panel_wished.emit(key))
        self._scorer.activated.connect(self._on_scorer)
        self._scorer.activated.connect(self.left)
        self._typed.editingFinished.connect(self._on_scorer)
        self._typed.returnPressed.connect(self.left)
        self.day_box.dateChanged.connect(self._on_day)
        self.day_box.lineEdit().returnPressed.connect(self.left)
        self.day_box.calendarWidget().clicked.connect(lambda: QTimer.singleShot(0, self.left.emit))
        self.show_rounds((), NO_ROUND)
        self.show_day(day, day)

    def _laid_out(self) -> QBoxLayout:
        who = row(self._scorer_name, self._scorer, 4, self._day_name, self.day_box, spacing=8)
        words = row(self.count, 4, self.pace, None, spacing=8)
        far = column(None, words, self._tens, None, spacing=4)
        return row(
            self.round_box, self.buttons[ROUND], 4, (far, 1), 8, *list(self.buttons.values())[1:], who, spacing=8
        )

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
        """How many of the cows are scored that day; shown while no round is open."""
        self._counted = (scored, unsafe, total)
        self._renew_count()

    def show_round(self, counted: tuple[int, int, int] | None, pace: str = "", short: str = "") -> None:
        """How many of the open round's cows are scored, are unsafe, and are on it; None while no round is open.

        `short` is said of the pace where there is no room for all of it.
        """
        self._of_round = counted
        self.pace.show_pace(pace, short)
        self._renew_count()

    def _renew_count(self) -> None:
        scored, unsafe, total = self._of_round or self._counted
        tail = f", {unsafe} unsafe" if unsafe else ""
        self.count.show_words(f"{scored} of {total} scored{tail}")
        self._tens.show_count(scored + unsafe, total)

    def show_rounds(self, rounds: Sequence[tuple[str, str]], chosen: str) -> None:
        """The rounds to look at, as (id, name), and the one that is shown; NO_ROUND while none is open."""
        items = [*([] if chosen else [(NO_ROUND, "No round")]), *rounds, (NEW_ROUND, "New round …")]
        box = self.round_box
        with QSignalBlocker(box):
            if [(box.itemData(at), box.itemText(at)) for at in range(box.count())] != items:
                box.clear()
                for key, name in items:
                    box.addItem(name, key)
            box.setCurrentIndex(max(0, box.findData(chosen)))
        self._fit_round()

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
        self.day_box.setToolTip(f"Day of the scores: {self.day_box.text()}")

    def set_low(self, low: bool) -> None:
        """Less air about the line in a low window."""
        self.setFixedHeight(LOW_STRIP_PX if low else STRIP_PX)
        wide = self.width() >= _WIDE_PX
        for name in (self._scorer_name, self._day_name):
            name.show()
        if self.minimumSizeHint().width() > self.width():
            for name in (self._scorer_name, self._day_name):
                name.hide()  # what stands in both says what they are
        self._fit_round()
        for key in (CHECK, LEARN):
            self.buttons[key].setVisible(wide)

    def _fit_round(self) -> None:
        least, most = _ROUND_PX[self.width() >= _WIDE_PX]
        wanted = self.round_box.fontMetrics().horizontalAdvance(self.round_box.currentText()) + _ARROW_PX
        self.round_box.setFixedWidth(min(max(wanted, least), most))

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


class _PaceLabel(ShortenedLabel):
    """The pace, or in a narrow window only the time to go."""

    def __init__(self) -> None:
        super().__init__(14, 400, "second", least_px=0)
        self._whole, self._short = "", ""

    def show_pace(self, whole: str, short: str) -> None:
        """Show another pace."""
        self._whole, self._short = whole, short
        self.show_words(whole)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        wide = self.fontMetrics().horizontalAdvance(self._whole)
        painter = QPainter(self)
        words = self._whole if wide <= self.width() else self._short
        if self.fontMetrics().horizontalAdvance(words) > self.width():
            words = ""  # half a word of it would say nothing
        how = int(Qt.AlignmentFlag.AlignVCenter.value)
        ink = QPalette.ColorRole.WindowText
        self.style().drawItemText(painter, self.rect(), how, self.palette(), self.isEnabled(), words, ink)
        painter.end()


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
