"""Tab Through the year: a block's mean and spread month by month over its targets, and how last season's bands held."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.desk.herd_in_view import BOTH
from herdscore.desk.jobs import Job, Report
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, SPRING_BLOCK
from herdscore.domain.looking_back import Held, look_back
from herdscore.domain.season_outcomes import outcomes_of
from herdscore.domain.through_the_year import ThroughYear, finding, through_the_year
from herdscore.pages.looking_back_words import held_claim, held_words
from herdscore.pages.wishes import PICTURES, SaveWish
from herdscore.pages.year_pictures import month_rows, year_picture
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import card, column, holder, row, scrolled
from herdscore.parts.labels import label, restyle
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ROW_PX, WIDE_PX, ListView
from herdscore.parts.print_band import ADVISER_SHEET
from herdscore.parts.save_picture import paint_widget, save_picture
from herdscore.parts.theme import Look
from herdscore.parts.year_chart import YearChart

BLOCKS = (AUTUMN_BLOCK, SPRING_BLOCK)
COLUMNS = (
    Column("month", "Month", width=104, weight=600, sortable=False),
    Column("target", "Target", kind="number", right=True, width=66, sortable=False),
    Column("cows", "Cows", kind="number", right=True, width=60, sortable=False),
    Column("mean", "Mean", kind="number", right=True, width=60, weight=700, sortable=False),
    Column("spread", "Spread", kind="number", right=True, width=72, sortable=False),
    Column("before", "A year\nbefore", kind="number", right=True, width=68, sortable=False),
    Column("earlier", "Two\nbefore", kind="number", right=True, width=66, sortable=False),
)
_HEAD_PX = 50
_SIDE_PX = 556
_LOW_PX = 470
_HOW = "A dot is the mean of a month, its bar one spread either side; the green band is the target through the year."


@dataclass(frozen=True)
class YearSums:
    """What the tab tells of one assessment, by block."""

    assessment: Assessment
    years: dict[int, ThroughYear]
    held: dict[int, Held | None]


def year_sums(assessment: Assessment, report: Report) -> YearSums:
    """The sums of both blocks; run in a job, as looking back assesses the herd anew for several days."""
    outcomes = outcomes_of(assessment.snapshot, assessment.rulebook, assessment.today)
    years, held = {}, {}
    for done, block in enumerate(BLOCKS):
        report(done, len(BLOCKS), "Looking back")
        years[block] = through_the_year(assessment, outcomes, block)
        held[block] = look_back(assessment, outcomes, block)
    return YearSums(assessment, years, held)


class ThroughYearTab(QWidget):
    """`message(Message)` for the bar; `save_wished(SaveWish)`; `report_wished(what)`: a report to print or save."""

    message = Signal(object)
    save_wished = Signal(object)
    report_wished = Signal(str)

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._sums: YearSums | None = None
        self._job: Job | None = None
        self._block = 0  # chosen while both blocks are looked at
        blocks = [(str(block), str(BLOCK_NAMES[block]).capitalize()) for block in BLOCKS]
        self.blocks = JoinedButtons(blocks, "Which block", 11, height=44)
        self.save_button, self.report_button = button("Save picture"), button("Adviser's sheet")
        self.title = label("", 15, 700, wrap=True)
        self._how = label(_HOW, 12, tone="second", wrap=True)
        self.chart = YearChart(look)
        self.months = ListView(look, COLUMNS, "Months")
        self.claim = label("", 14, 700, wrap=True)
        self._paragraphs = QVBoxLayout()
        self._paragraphs.setSpacing(6)
        self._lay_out()
        self.blocks.chosen.connect(self._on_block)
        self.save_button.clicked.connect(self._on_save)
        self.report_button.clicked.connect(lambda: self.report_wished.emit(ADVISER_SHEET))

    def _lay_out(self) -> None:
        self.card = card(column(self.title, self._how, (self.chart, 1), spacing=4, margins=(16, 8, 16, 8)))
        name_back, name_months = (label(words, 12, 600, tone="second") for words in ("Looking back", "Month by month"))
        back = card(column(name_back, self.claim, self._paragraphs, margins=(16, 10, 16, 12)))
        months = card(column(name_months, self.months, None, margins=(12, 10, 12, 10)))
        self._side = scrolled(holder(column(months, back, None, spacing=12)))
        top = row(self.blocks, None, self.save_button, self.report_button)
        self.setLayout(column(top, (row((self.card, 1), self._side, spacing=14), 1), spacing=8))

    # What the page asks

    def show_rights(self) -> None:
        """Nothing is written here."""

    def show_assessment(self, assessment: Assessment) -> None:
        """Work out a new assessment; what is shown stays until that is done."""
        if self._job is not None:
            self._job.cancel()  # an older one
        self._job = job = self._herd.work_out(year_sums, assessment)
        job.finished.connect(self._on_sums)
        job.failed.connect(self._herd.failed)

    def fill(self) -> None:
        """Show the block that is looked at."""
        both = self._herd.block == BOTH
        self.blocks.setVisible(both)
        sums = self._sums
        if sums is None:
            self.title.setText("Working it out")
            return
        block = self._shown_block(sums.assessment)
        if both:
            self.blocks.choose(str(block))
        year, held = sums.years[block], sums.held[block]
        self.title.setText(finding(year))
        self.chart.show_picture(year_picture(year, sums.assessment.today))
        self._show_months(year)
        self.claim.setText(held_claim(held))
        self._show_paragraphs(held_words(sums.assessment, held))

    def focus_first(self) -> None:
        """Give the keyboard to the months."""
        self.months.setFocus()

    def find_cow(self) -> None:
        """No cow can be found here."""

    def widen(self, width: int) -> None:
        """Fit the right side to the width of the window."""
        scale = self._look.theme.text_scale
        times = 1.2 if width >= WIDE_PX else 1.0
        self._side.setFixedWidth(round(min(_SIDE_PX * times * (1 + (scale - 1) * 0.4), width * 0.45)))
        self.months.widen(times * scale)

    # What happens to it

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where the chart would be low, the title is smaller and how to read it is left to the tool tip."""
        super().resizeEvent(event)
        low = self.height() < _LOW_PX * self._look.theme.text_scale
        restyle(self.title, "pt", "13" if low else "15")
        self.title.setToolTip(_HOW)
        self._how.setVisible(not low)

    def _shown_block(self, a: Assessment) -> int:
        if self._herd.block != BOTH:
            return BLOCK_NAMES.index(self._herd.block)
        count = {block: int(((a.block == block) & ~a.facts.gone).sum()) for block in BLOCKS}
        return self._block or max(BLOCKS, key=lambda block: (count[block], block))

    def _show_months(self, year: ThroughYear) -> None:
        rows = []
        for cells in month_rows(year):
            month, target, cows, mean, spread, *others = cells
            before = [others[at + 1] for at in range(0, len(others), 3)]
            texts = (month, target, cows, mean, spread, *[*before, "", ""][:2])
            rows.append(ListRow(month, texts, texts))
        self.months.show_rows(rows)
        bar = self.months.horizontalScrollBar().sizeHint().height()
        self.months.setFixedHeight(_HEAD_PX + ROW_PX * max(len(rows), 1) + bar + 4)

    def _show_paragraphs(self, texts: list[str]) -> None:
        while (item := self._paragraphs.takeAt(0)) is not None:
            made = item.widget()
            if made is not None:
                made.deleteLater()
        for text in texts:
            self._paragraphs.addWidget(label(text, 12, wrap=True))

    def _on_sums(self, sums: YearSums) -> None:
        self._job = None
        self._sums = sums
        self.fill()

    def _on_block(self, key: str) -> None:
        self._block = int(key)
        self.fill()

    def _on_save(self) -> None:
        name = f"{self._herd.path.stem} through the year {self._herd.today.isoformat()}.png"
        self.save_wished.emit(SaveWish("The year", name, PICTURES, self._write))

    def _write(self, path: Path) -> Path:
        return save_picture(path, self.card.size(), paint_widget(self.card))
