"""Tab One cow: the cows of the list beside her, her verdict in a sentence, her chart, why, and her history."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from herdscore.domain.assess import Assessment
from herdscore.domain.cow_facts import headline
from herdscore.domain.reasons import say_day, say_number, words_of
from herdscore.domain.verdict import EASING, Verdict
from herdscore.pages.cow_lists import LIST_WORDS, CowLists
from herdscore.pages.cow_pictures import IN_MILK, picture_of
from herdscore.pages.cow_side import CowSide
from herdscore.pages.cow_words import who_is
from herdscore.parts.cards import card, column, holder, row
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import WIDE_PX, ListView
from herdscore.parts.marks import MarkGlyph
from herdscore.parts.theme import Look
from herdscore.parts.trajectory_chart import TrajectoryChart

_WITHOUT_DAYS = (Verdict.GONE, Verdict.NOT_IN_CALF, *IN_MILK)
_BESIDE = (
    Column("tag", "Tag", kind="number", width=92, shown="verdict"),
    Column("act_by", "By", kind="date", right=True, width=70),
)


class OneCowTab(QWidget):
    """One cow of the lists. `chosen(cow id)`: another cow was taken from the list beside."""

    chosen = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._assessment: Assessment | None = None
        self._cow_id = ""
        self._list_name = label("", 11, 600, "second")
        self.beside = ListView(look, _BESIDE, "Cows of this list")
        self._glyph = MarkGlyph(look, "dot", 30)
        self.name = label("", 18, 700)
        self._who = label("", 12, tone="second")
        self.sentence = label("", 14, 600, wrap=True)
        self.chart = TrajectoryChart(look)
        self.figures = FigureRow()
        self.side = CowSide()
        self._lay_out()
        self.beside.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.beside.chosen.connect(self._on_moved)

    def _lay_out(self) -> None:
        self._left = card(
            column(row(self._list_name, margins=(8, 0, 4, 0)), (self.beside, 1), spacing=4, margins=(4, 10, 4, 8))
        )
        head = row(self._glyph, self.name, self._who, None, spacing=10)
        self._middle = card(
            column(head, self.sentence, (self.chart, 1), self.figures, spacing=4, margins=(16, 10, 16, 10))
        )
        self._middle.setMinimumWidth(420)
        self.nobody = label("No cow to show.", 16, 600)
        self.nobody.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setLayout(row(self._left, (self._middle, 1), (self.nobody, 1), self.side, spacing=12))
        self.widen(0)

    def widen(self, width: int) -> None:
        """Fit the columns beside the chart to the width of the page."""
        wide = width >= WIDE_PX
        self._left.setFixedWidth(240 if wide else 186)
        self.side.setFixedWidth(380 if wide else 300)
        self.beside.widen(1.35 if wide else 1.0)

    @property
    def cow_id(self) -> str:
        """Identity of the cow shown, "" for none."""
        return self._cow_id

    def focus_first(self) -> None:
        """Give the keyboard to the list beside her."""
        self.beside.setFocus()

    def show_lists(self, lists: CowLists, key: str) -> None:
        """Show the cows of a list beside, and the cow again by what is known of her now."""
        fresh = self._assessment is not lists.assessment
        self._assessment = lists.assessment
        places = lists.places(key)
        words = dict(LIST_WORDS)[key]
        self._list_name.setText(f"{words}, {len(places)}")
        self.beside.blockSignals(True)
        if fresh:
            self.beside.show_rows(_BesideRows(lists))
        self.beside.show_only(places)
        self.beside.blockSignals(False)
        self.show_cow(self._cow_id)

    def show_cow(self, cow_id: str) -> None:
        """Show a cow; the list beside goes along when she is on it."""
        a = self._assessment
        place = a.snapshot.cow_place.get(cow_id) if a is not None else None
        self._cow_id = cow_id if place is not None else ""
        self._middle.setVisible(place is not None)
        self.side.setVisible(place is not None)
        self.nobody.setVisible(place is None)
        if a is None or place is None:
            return
        self.beside.blockSignals(True)
        if not self.beside.choose(cow_id):
            self.beside.clearSelection()
            self.beside.setCurrentIndex(self.beside.rows.index(-1, -1))
        self.beside.blockSignals(False)
        words = words_of(a, place)
        self._glyph.show_mark(words.mark, words.word)
        self._glyph.setVisible(words.mark != "none")
        self.name.setText(f"Cow {a.snapshot.cows.tag[place]}")
        self._who.setText(who_is(a, place))
        self.sentence.setText(headline(a, place))
        self.chart.show_picture(picture_of(a, place))
        self.figures.show_figures(figures_of(a, place))
        self.side.show_cow(a, place)

    def _on_moved(self, key: object) -> None:
        if isinstance(key, str) and key != self._cow_id:
            self.show_cow(key)
            self.chosen.emit(key)


class _BesideRows:
    """Rows of the list beside her, made when they come into sight: mark, tag, and by when to act."""

    def __init__(self, lists: CowLists) -> None:
        self._lists = lists

    def __len__(self) -> int:
        return len(self._lists.cow)

    def key(self, place: int) -> str:
        return str(self._lists.assessment.snapshot.cows.id[self._lists.cow[place]])

    def row(self, place: int) -> ListRow:
        lists, a = self._lists, self._lists.assessment
        cow, mark = int(lists.cow[place]), str(lists.mark[place])
        by = a.day(_act_by(a, cow))
        said = "vet" if mark == "vet" else "" if by is None else "today" if by == a.today else say_day(by)
        return ListRow(self.key(place), (lists.tags[cow], said), (), (mark, None))

    def values(self, column: int) -> Sequence[Any]:
        lists = self._lists
        if column == 0:
            return lists.cow.tolist()  # type: ignore[no-any-return]
        return [lists.assessment.day(_act_by(lists.assessment, cow)) for cow in lists.cow.tolist()]


def _act_by(a: Assessment, cow: int) -> float:
    """Days to the day by which to begin or to score her."""
    return float(a.reach.act_by[cow] if Verdict(a.verdict[cow]) in EASING else a.score_by[cow])


class FigureRow(QWidget):
    """Figures with the words of what they count, in one line."""

    def __init__(self) -> None:
        super().__init__()
        self._pairs = [(label("", 15, 700), label("", 11, tone="second")) for _ in range(4)]
        self._boxes = [holder(row(number, words, spacing=6)) for number, words in self._pairs]
        self.setLayout(row(*self._boxes, None, spacing=22))
        self.setFixedHeight(32)

    def show_figures(self, figures: list[tuple[str, str]]) -> None:
        """Show up to four figures with their words."""
        for at, (number, words) in enumerate(self._pairs):
            shown = at < len(figures)
            self._boxes[at].setVisible(shown)
            if shown:
                number.setText(figures[at][0])
                words.setText(figures[at][1])

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
