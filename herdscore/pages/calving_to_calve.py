"""Tab To calve: the weeks ahead, the form a calving is recorded in, and the clock of the calves just born."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QPainter, QShowEvent
from PySide6.QtWidgets import QBoxLayout, QWidget
from typing_extensions import override

from herdscore.domain import calf_care
from herdscore.domain.calf_clock import COLOSTRUM, NAVEL, NAVEL_AGAIN, first_feed
from herdscore.domain.typed_day import say_whole_day
from herdscore.pages.calving_form import CalvingForm
from herdscore.pages.calving_pictures import clock_cards, weeks_picture
from herdscore.pages.calving_work import CalvingWork
from herdscore.pages.chart_saving import chart_wish, picture_button
from herdscore.pages.cow_words import say_cows
from herdscore.pages.fresh_tab import FreshTab
from herdscore.parts.calf_clock import CalfClock
from herdscore.parts.calving_weeks import CalvingWeeks, paint_weeks
from herdscore.parts.cards import PAGE_MARGINS, card, column, holder, row, scrolled
from herdscore.parts.clock_drawing import ClockCard, clock_height, paint_clock
from herdscore.parts.fields import number_box
from herdscore.parts.labels import label
from herdscore.parts.mark_legend import MarkLegend
from herdscore.parts.theme import Look, Theme

_TICK = 20_000  # ms
_SIDE_PX = (470, 490, 640)
_WIDER_PX, _WIDE_PX = 1260, 1550
_LOW_PX = 540
_PARTS = ((("now_up",), "heading thin"), (("now_down",), "heading fat"), ((), "pale: on course or not known"))
_GUESSED = (((), "dashed: by bull dates alone"),)
_KEY_GUESSED = "Dashed: by bull dates alone."
_KEY = "Marks up: heading thin; marks down: heading fat; pale: on course or not known."
_RINGS = "Worst first. Tick: done. Mark and heavy words: late, and how long. Empty ring: still to do."
_WEEKS, _CLOCK = "the weeks ahead", "the calf clock"
_MOST_CARDS = 20
_CHART_PX, _ANY_PX = 260, 16_777_215


class ToCalve(FreshTab):
    """`undo_pressed()`: take back the last step; `save_wished(SaveWish)`: the chart of the weeks or the clock."""

    undo_pressed = Signal()
    save_wished = Signal(object)

    def __init__(self, look: Look, work: CalvingWork) -> None:
        super().__init__()
        self.work = work
        herd = work.herd
        self.claim, self.line = label("", 14, 700), label("", 11, 400, "second", wrap=True)
        self.weeks = CalvingWeeks(look)
        self.picture_button = picture_button(_WEEKS)
        self.key = MarkLegend(look)
        self.form = CalvingForm(look, work)
        self.clock = CalfClock(look)
        self.cards: list[ClockCard] = []
        self.clock_button = picture_button(_CLOCK)
        rules = herd.rulebook.calf_care
        self.litres = number_box("Litres of colostrum a press", 0.5, 6.0, step=0.5, decimals=1, unit="l")
        self.litres.setValue(first_feed(None, rules))
        self.litres.setFixedWidth(96)
        self.no_calf = label(
            "No calf under the clock. A calving recorded with its time starts one for calf and cow.",
            11,
            400,
            "second",
            wrap=True,
        )
        inside = QWidget()
        inside.setLayout(column(self.no_calf, self.clock, None, spacing=4))
        self.calves = scrolled(inside)
        litres = row(label("a press", 11, 400, "second"), self.litres, spacing=8)
        top = row(label("Calf clock", 14, 700), None, self.clock_button, litres, spacing=8)
        self.side = card(column(top, (self.calves, 1), spacing=6, margins=(16, 8, 12, 10)))
        head = row((self.claim, 1), self.picture_button, spacing=12)
        self.chart = card(column(head, self.line, (self.weeks, 1), self.key, spacing=2, margins=(16, 8, 12, 8)))
        entry = card(column(self.form, margins=(16, 8, 16, 10)))
        self._left = holder(column((self.chart, 1), entry, spacing=10))
        self._both = row((self._left, 1), self.side, spacing=12)
        self.setLayout(column(scrolled(holder(self._both))))
        self.picture_button.clicked.connect(self.save_chart)
        self.clock_button.clicked.connect(self.save_clock)
        self.clock.pressed.connect(self._on_care)
        self.form.undo_pressed.connect(self.undo_pressed)
        self.form.more_shown.connect(lambda shown: self.chart.setVisible(not shown or self.height() >= _LOW_PX))
        self._tick = QTimer(self)
        self._tick.setTimerType(Qt.TimerType.CoarseTimer)
        self._tick.timeout.connect(self.show_clock)
        herd.changed.connect(self.show_clock)
        herd.assessed.connect(self.herd_moved)
        herd.block_chosen.connect(self.herd_moved)

    def focus_first(self) -> None:
        """Give the keyboard to the form."""
        self.form.focus_first()

    def widen(self, page_px: int) -> None:
        """Give the clock its width on a page of so many px; in large text it stands below the form."""
        side = _SIDE_PX[(page_px >= _WIDER_PX) + (page_px >= _WIDE_PX)]
        beside = self._left.minimumSizeHint().width() + side + 12 <= page_px - PAGE_MARGINS[0] - PAGE_MARGINS[2]
        self._both.setDirection(QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom)
        self.side.setMinimumWidth(side if beside else 0)
        self.side.setMaximumWidth(side if beside else _ANY_PX)
        self.chart.setMinimumHeight(0 if beside else _CHART_PX)
        self.side.setMinimumHeight(0 if beside else _CHART_PX)

    def renew(self) -> None:
        """Draw the weeks and the clock anew."""
        self.show_weeks()
        self.show_clock()

    def show_weeks(self) -> None:
        """Draw the weeks ahead anew."""
        herd = self.work.herd
        picture, line = weeks_picture(herd.assessment, herd.block)
        total = sum(week.total for week in picture.weeks)
        self.claim.setText(f"{say_cows(round(total))} to calve, week by week")
        self.line.setText(f"Each cow is spread over the days her date allows. {line}")
        self.weeks.show_picture(picture)
        self.key.show_items(_PARTS + _GUESSED if picture.guessed else _PARTS)
        self.picture_button.setEnabled(bool(picture.weeks))

    def save_chart(self) -> None:
        """Ask for a place and save the chart of the weeks."""
        picture = self.weeks.picture

        def body(painter: QPainter, box: QRectF, theme: Theme) -> None:
            paint_weeks(painter, box, theme, theme.font, picture)

        claim, line = self.claim.text(), self.line.text()
        key = f"{_KEY} {_KEY_GUESSED}" if picture.guessed else _KEY
        self.save_wished.emit(chart_wish(self.work.herd, _WEEKS, claim, f"{line} {key}", body))

    def show_clock(self) -> None:
        """Show how the calves stand at this moment."""
        now = self.work.now()
        cards = calf_care.cards_of(self.work.herd.snapshot, now, self.work.herd.rulebook.calf_care)
        self.cards = clock_cards(cards, now)
        self.no_calf.setVisible(not cards)
        self.clock_button.setEnabled(bool(cards))
        self.clock.show_cards(self.cards)

    def save_clock(self) -> None:
        """Ask for a place and save the clock as it stands at this moment."""
        self.show_clock()
        cards, now = self.cards[:_MOST_CARDS], self.work.now().astimezone()
        if not cards:
            return
        more = f" And {len(self.cards) - len(cards)} more, less pressing." if len(self.cards) > len(cards) else ""

        def body(painter: QPainter, box: QRectF, theme: Theme) -> None:
            paint_clock(painter, box, theme, cards)

        def tall(wide: float, theme: Theme) -> float:
            return clock_height(cards)

        claim = f"Calf clock at {now:%H:%M} on {say_whole_day(now.date())}"
        self.save_wished.emit(chart_wish(self.work.herd, _CLOCK, claim, f"{_RINGS}{more}", body, tall))

    def _on_care(self, key: str, step: str) -> None:
        _, _, calving_id = key.partition("/")
        what = NAVEL if step == NAVEL_AGAIN else step
        self.work.care(calving_id, what, self.litres.value() if what == COLOSTRUM else None)

    @override
    def showEvent(self, event: QShowEvent) -> None:
        self._tick.start(_TICK)
        super().showEvent(event)

    @override
    def hideEvent(self, event: QHideEvent) -> None:
        self._tick.stop()
        super().hideEvent(event)
