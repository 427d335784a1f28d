"""Tab Diets and calendar: what each group is on, and the dates that will change it."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QBoxLayout, QWidget

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.herd_strips import herd_strips
from herdscore.pages.chart_saving import chart_wish, picture_button
from herdscore.pages.diet_card import DietForm
from herdscore.pages.event_card import EventForm
from herdscore.parts.calendar_drawing import DIET, Spot, paint_strips, place_strips
from herdscore.parts.calendar_strips import CalendarStrips
from herdscore.parts.cards import card, column, holder, row, scrolled
from herdscore.parts.labels import label
from herdscore.parts.theme import Look, Theme

_WHAT = "diets and calendar"
_TITLE = "What each group is on, and the dates that will change it"
_LEGEND = "Tinted: entered. Hatched: assumed until you say. Broken and empty: not said."
_HINT = "Arrow keys walk the calendar; Enter changes what is there, Delete strikes it out."
_STRIPS_PX = 170
_LARGE = 1.2  # size of the text from which the two forms stand below each other


class DietsTab(QWidget):
    """Diets and dates. `message(Message)` for the bar; `save_wished(SaveWish)`: the calendar as a picture."""

    message = Signal(object)
    save_wished = Signal(object)

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._why_not = ""
        self.strips = CalendarStrips(look)
        self.diet, self.event_form = DietForm(herd), EventForm(herd)
        self.foot = label(_HINT, 11, tone="second", wrap=True)
        self._scroll = scrolled(self.strips)
        self._scroll.setMinimumHeight(_STRIPS_PX)
        self.picture_button = picture_button(_WHAT)
        legend = label(_LEGEND, 11, tone="second", wrap=True, right=True)
        head = row(label(_TITLE, 14, 700), (legend, 1), self.picture_button, spacing=12)
        top = card(column(head, (self._scroll, 1), self.foot, spacing=4, margins=(16, 8, 12, 6)))
        margins = (16, 8, 14, 10)
        diet, event = card(column(self.diet, margins=margins)), card(column(self.event_form, margins=margins))
        self._forms = row((diet, 3), (event, 2), spacing=12)
        body = column((top, 1), self._forms, spacing=10)
        self.setLayout(column(scrolled(holder(body))))
        self._connect()

    def _connect(self) -> None:
        self.strips.opened.connect(self._on_opened)
        self.strips.strike_wished.connect(self._on_strike)
        self.strips.walked.connect(self._bring_into_sight)
        self.picture_button.clicked.connect(self.save_chart)
        for form in (self.diet, self.event_form):
            form.written.connect(self.foot.setText)
            form.left.connect(self.strips.setFocus)

    def show_assessment(self, assessment: Assessment) -> None:
        """Show the herd as it is now."""
        self.strips.show_strips(herd_strips(assessment))
        self.diet.show_assessment(assessment)
        self.event_form.show_assessment(assessment)

    def save_chart(self) -> None:
        """Ask for a place and save the calendar as a picture."""
        strips = herd_strips(self._herd.assessment)

        def body(painter: QPainter, box: QRectF, theme: Theme) -> None:
            painter.translate(box.topLeft())
            paint_strips(painter, theme, strips, place_strips(strips, box.width(), theme))

        def tall(wide: float, theme: Theme) -> float:
            return place_strips(strips, wide, theme).height

        self.save_wished.emit(chart_wish(self._herd, _WHAT, _TITLE, _LEGEND, body, tall))

    def show_rights(self) -> None:
        """Say whether anything can be written."""
        self.diet.show_rights()
        self.event_form.show_rights()
        if self._herd.why_not or self._why_not:
            # Else what was just written stays said.
            self.foot.setText(self._herd.why_not or _HINT)
        self._why_not = self._herd.why_not

    def fill(self) -> None:
        """Both blocks always show."""

    def widen(self, width: int) -> None:
        """The calendar takes what room there is; in large text the forms stand below each other."""
        large = self._look.theme.text_scale > _LARGE
        way = QBoxLayout.Direction.TopToBottom if large else QBoxLayout.Direction.LeftToRight
        self._forms.setDirection(way)

    def focus_first(self) -> None:
        """Give the keyboard to what is asked, else to the calendar."""
        if self.diet.questions and self._herd.can_write:
            self.diet.focus_first()
        else:
            self.strips.setFocus()

    def find_cow(self) -> None:
        """No cow is found here; the calendar takes the keyboard."""
        self.strips.setFocus()

    def _on_opened(self, spot: Spot) -> None:
        if not self._herd.can_write:
            self.foot.setText(self._herd.why_not)
        elif spot.kind != DIET:
            self.event_form.begin_editing(spot.record)
        elif spot.record:
            self.diet.begin_editing(spot.record)
        elif spot.owner:
            self.diet.begin_for(spot.owner, spot.first)
        else:
            self.foot.setText("Cows without a group have no diet of their own: give them a group first.")

    def _on_strike(self, spot: Spot) -> None:
        if not self._herd.can_write:
            self.foot.setText(self._herd.why_not)
        elif not spot.record:
            self.foot.setText("Nothing is entered there.")
        elif spot.kind == DIET:
            self.diet.strike(spot.record)
        else:
            self.event_form.strike_by_id(spot.record)

    def _bring_into_sight(self, rect: QRect) -> None:
        middle = rect.center()
        self._scroll.ensureVisible(middle.x(), middle.y(), 20, rect.height())
