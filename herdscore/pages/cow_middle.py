"""The middle of a cow's page: her verdict in a sentence, her chart or all her records, and the figures under it."""

from __future__ import annotations

import math
from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QStackedWidget, QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.cow_facts import headline
from herdscore.domain.reasons import say_number, words_of
from herdscore.domain.verdict import EASING, Verdict
from herdscore.pages.cow_past import last_season_of
from herdscore.pages.cow_pictures import IN_MILK, picture_of
from herdscore.pages.cow_records_view import CowRecordsView
from herdscore.pages.cow_words import who_is
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, holder, row
from herdscore.parts.cow_picture import CowPicture
from herdscore.parts.labels import ShortenedLabel, label, restyle
from herdscore.parts.marks import MarkGlyph
from herdscore.parts.theme import Look
from herdscore.parts.trajectory_chart import TrajectoryChart

SITES, LAST_SEASON, RECORDS = "i", "l", "r"
VIEW_LETTERS = (SITES, LAST_SEASON, RECORDS)
BEFORE, AFTER = "before", "after"
_LOW_PX = 480
_WITHOUT_DAYS = (Verdict.GONE, Verdict.NOT_IN_CALF, *IN_MILK)
_NO_LAST = "No scores of hers are recorded before a calving that is recorded too."


class CowMiddle(QFrame):
    """`letter(key)`: a button here was pressed, with the key that does the same."""

    letter = Signal(str)

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self.setProperty("kind", "card")
        self._look = look
        self._cow: tuple[Assessment, int] | None = None
        self._glyph = MarkGlyph(look, "dot", 30)
        self.name = label("", 18, 700)
        self._who = ShortenedLabel(12, tone="second")
        self.before_button, self.after_button = button("‹", points=16, height=44), button("›", points=16, height=44)
        self.sentence = label("", 14, 600, wrap=True)
        self.chart = TrajectoryChart(look)
        self.records = CowRecordsView(look, herd)
        self._body = QStackedWidget()
        self._body.addWidget(self.chart)
        self._body.addWidget(self.records)
        self.figures = FigureRow()
        self.buttons = {
            SITES: button("Sites", "pill", 11, height=44),
            LAST_SEASON: button("Last season", "pill", 11, height=44),
            RECORDS: button("Records", "pill", 11, height=44),
        }
        self.setMinimumWidth(420)
        self._lay_out()

    def _lay_out(self) -> None:
        for one, key, words in (
            (self.before_button, BEFORE, "The cow before by act-by date, Alt ↑"),
            (self.after_button, AFTER, "The next cow by act-by date, Alt ↓"),
        ):
            one.setFixedWidth(48)
            one.setToolTip(words)
            one.setAccessibleName(words)
            one.clicked.connect(lambda _=False, key=key: self.letter.emit(key))
        tips = {
            SITES: "Each site of every score",
            LAST_SEASON: "",
            RECORDS: "Everything recorded of her, with who and when",
        }
        for key, made in self.buttons.items():
            made.setCheckable(True)
            made.setToolTip(f"{tips[key]} ({key.upper()})")
            made.clicked.connect(lambda _=False, key=key: self._on_pressed(key))
        head = row(self._glyph, self.name, (self._who, 1), spacing=10)
        foot = row(*self.buttons.values(), None, self.before_button, self.after_button, spacing=6)
        inside = column(head, self.sentence, (self._body, 1), self.figures, foot, spacing=4, margins=(16, 8, 14, 8))
        self.setLayout(inside)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where there is little room the sentence is smaller, so that the chart keeps its height."""
        super().resizeEvent(event)
        restyle(self.sentence, "pt", "12" if self.height() < _LOW_PX * self._look.theme.text_scale else "14")

    @property
    def shows_records(self) -> bool:
        """Whether all her records stand in the place of the chart."""
        return self.buttons[RECORDS].isChecked()

    def picture(self, assessment: Assessment, cow: int) -> CowPicture:
        """Her chart with what is switched on."""
        return picture_of(
            assessment,
            cow,
            with_sites=self.buttons[SITES].isChecked(),
            with_last_season=self.buttons[LAST_SEASON].isChecked(),
        )

    def show_cow(self, assessment: Assessment, cow: int) -> None:
        """Show the cow at a place of the herd."""
        self._cow = assessment, cow
        words = words_of(assessment, cow)
        self._glyph.show_mark(words.mark, words.word)
        self._glyph.setVisible(words.mark != "none")
        self.name.setText(f"Cow {assessment.snapshot.cows.tag[cow]}")
        self._who.show_words(who_is(assessment, cow))
        self.sentence.setText(headline(assessment, cow))
        self.figures.show_figures(figures_of(assessment, cow))
        has_last = bool(last_season_of(assessment, cow)[0])
        self.buttons[LAST_SEASON].setEnabled(has_last)
        self.buttons[LAST_SEASON].setToolTip(
            "Her scores before her last calving, laid beneath (L)" if has_last else _NO_LAST
        )
        self._show_body()

    def turn(self, key: str) -> None:
        """Switch sites, last season or the records on or off."""
        if self.buttons[key].isEnabled():
            self.buttons[key].setChecked(not self.buttons[key].isChecked())
            self._show_body()

    def _show_body(self) -> None:
        if self._cow is None:
            return
        records = self.shows_records
        self._body.setCurrentWidget(self.records if records else self.chart)
        self.chart.show_picture(self.picture(*self._cow))
        if records:
            self.records.show_cow(*self._cow)

    def _on_pressed(self, key: str) -> None:
        self.buttons[key].setChecked(not self.buttons[key].isChecked())  # the tab turns it
        self.letter.emit(key)


class FigureRow(QWidget):
    """Figures with the words of what they count, in one line."""

    def __init__(self) -> None:
        super().__init__()
        self._pairs = [(label("", 15, 700), label("", 11, tone="second")) for _ in range(4)]
        self._boxes = [holder(row(number, words, spacing=5)) for number, words in self._pairs]
        self._figures: list[tuple[str, str]] = []
        self.setLayout(row(*self._boxes, None, spacing=12))
        self.setMinimumWidth(60)

    def show_figures(self, figures: list[tuple[str, str]]) -> None:
        """Show up to four figures with their words, as many as there is room for; all are in the tool tip."""
        self._figures = figures
        self.setToolTip(", ".join(f"{number} {words}" for number, words in figures))
        self._fill()

    def _fill(self) -> None:
        if self._put(lambda words: words) < 0:
            self._put(lambda words: words.replace("a week wanted", "wanted"))

    def _put(self, said: Callable[[str], str]) -> int:
        """Fill the line in some words; px left at its end."""
        left = self.width()
        for at, (number, words) in enumerate(self._pairs):
            shown = at < len(self._figures)
            if shown:
                number.setText(self._figures[at][0])
                words.setText(said(self._figures[at][1]))
                # A figure that has no room stays away whole; cut in half it would be another figure.
                left -= self._boxes[at].sizeHint().width() + (12 if at else 0)
            self._boxes[at].setVisible(shown and (left >= 0 or at == 0))
        return left

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fill()

    def texts(self) -> list[str]:
        """The figures shown, each with its words."""
        return [
            f"{number.text()} {words.text()}"
            for (number, words), box in zip(self._pairs, self._boxes, strict=True)
            if not box.isHidden()
        ]


def figures_of(assessment: Assessment, cow: int) -> list[tuple[str, str]]:
    """Days to calving, days to begin or to score again, rate a week now and wanted; what is not hers is left out."""
    a, verdict = assessment, Verdict(assessment.verdict[cow])
    day, made = float(a.dates.day[cow]), []
    if math.isfinite(day) and verdict not in _WITHOUT_DAYS:
        if day >= 0:
            made.append((f"{day:.0f}", "day to calving" if day == 1 else "days to calving"))
        else:
            made.append((f"{-day:.0f}", "day past her date" if day == -1 else "days past her date"))
    if verdict in EASING:
        ahead = float(a.reach.act_by[cow])
        made.append(("today" if ahead == 0 else f"{ahead:.0f}", "begin" if ahead == 0 else "days to begin"))
        expected, wanted = float(a.reach.expected_rate[cow]) * 7, float(a.reach.wanted_rate[cow]) * 7
        made.append((say_number(expected, 2, sign=True), "a week now"))
        made.append((say_number(wanted, 2, sign=True), "a week wanted"))
    elif math.isfinite(a.score_by[cow]):
        made.append((f"{a.score_by[cow]:.0f}", "days to score again"))
    return made
