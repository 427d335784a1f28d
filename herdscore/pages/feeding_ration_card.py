"""A ration a head a day as a table: kg fresh, kg dry matter, MJ, protein, change; and the feed that moves, by steps."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from herdscore.domain.energy import Numbers
from herdscore.domain.feeding_course import Course
from herdscore.domain.feeding_plan import SAME_KG
from herdscore.domain.feeds import Feeds, energy_in
from herdscore.domain.reasons import say_day, say_number
from herdscore.parts.cards import Panel, column
from herdscore.parts.flow import FlowLayout
from herdscore.parts.labels import label

HEADINGS = ("", "kg fresh", "kg DM", "MJ", "CP g", "change")
_MOST_STEPS = 6
_BOOK = "book values"


class RationTable(QWidget):
    """Rows are made anew for every ration; `lines` is what stands in them."""

    def __init__(self) -> None:
        super().__init__()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(0, 1)
        self.lines: list[tuple[str, ...]] = []

    def show_ration(self, feeds: Feeds, ration: Numbers, before: Numbers | None) -> None:
        """A ration in kg dry matter by feed, [F], and the change from the one before (None: not known)."""
        self.lines = ration_lines(feeds, ration, before)
        while self._grid.count():
            item = self._grid.takeAt(0)
            gone = None if item is None else item.widget()
            if gone is not None:
                gone.hide()
                gone.deleteLater()
        for at, words in enumerate(HEADINGS):
            self._grid.addWidget(label(words, 11, 600, "second", right=at > 0), 0, at)
        for place, line in enumerate(self.lines, 1):
            total = place == len(self.lines)
            for at, words in enumerate(line):
                made: QLabel = label(words, 11, 700 if total else 500, right=at > 0, wrap=at == 0)
                self._grid.addWidget(made, place, at)
        spoken = "; ".join(f"{line[0]} {line[1]} kg fresh, {line[3]} MJ" for line in self.lines)
        self.setAccessibleName(f"Ration a head a day: {spoken}")


def ration_lines(feeds: Feeds, ration: Numbers, before: Numbers | None) -> list[tuple[str, ...]]:
    """One line a feed that is or was fed, and the total; figures as they are shown."""
    was = np.zeros(len(feeds)) if before is None else before
    lines = []
    for place in np.flatnonzero((ration > SAME_KG / 10) | (was > SAME_KG / 10)):
        kg, dosed = float(ration[place]), bool(feeds.is_dosed[place])
        moved = float((ration[place] - was[place]) / feeds.dm[place])
        lines.append(
            (
                str(feeds.name[place]) + (f" ({_BOOK})" if feeds.book[place] else ""),
                say_number(kg / float(feeds.dm[place]), 2 if dosed else 1),
                say_number(kg, 2 if dosed else 1),
                "" if dosed else say_number(kg * float(feeds.me[place]), 0),
                "" if dosed or np.isnan(feeds.cp[place]) else say_number(1000 * kg * float(feeds.cp[place]), 0),
                "" if before is None else say_number(moved, 2 if dosed else 1, sign=True),
            )
        )
    fed = np.where(feeds.is_dosed, 0.0, ration)
    mj = float(energy_in(feeds, ration))
    moved_mj = mj - float(energy_in(feeds, was))
    total = (
        "Total",
        say_number(float((ration / feeds.dm).sum()), 1),
        say_number(float(fed.sum()), 1),
        say_number(mj, 0),
        say_number(1000 * float(fed @ np.nan_to_num(feeds.cp)), 0),
        "" if before is None else f"{say_number(moved_mj, 1, sign=True)} MJ",
    )
    return [*lines, total]


class StepBoxes(QWidget):
    """The feed that moves most, kg fresh at each step before the return to need; today's step tinted."""

    def __init__(self) -> None:
        super().__init__()
        self.title = label("", 11, 600, "second", wrap=True)
        self._line = FlowLayout(6)
        self.boxes: list[tuple[str, str]] = []
        self.setLayout(column(self.title, self._line, spacing=4))

    def show_course(self, course: Course | None, feed: str, today: date, days: Sequence[date]) -> None:
        """Steps of a course in the feed that moves; hidden where none does."""
        while self._line.count():
            item = self._line.takeAt(0)
            gone = None if item is None else item.widget()
            if gone is not None:
                gone.hide()
                gone.deleteLater()
        self.boxes = []
        self.setVisible(course is not None and bool(feed))
        if course is None or not feed:
            return
        place = course.feeds.place(feed)
        at_today = course.step_at(0.0)
        first = max(0, min(at_today - 1, len(course.steps) - _MOST_STEPS))
        last: float | None = None
        for at, (step, day) in enumerate(zip(course.steps, days, strict=True)):
            kg = float(step.ration[place] / course.feeds.dm[place])
            if at < first or len(self.boxes) == _MOST_STEPS or (last is not None and abs(kg - last) < SAME_KG):
                continue
            last = kg
            now = at == at_today and day <= today
            when = "today" if day == today else say_day(day, today)
            self.boxes.append((when, f"{say_number(kg, 1)} kg"))
            words = column(label(when, 11, 700 if now else 400), label(self.boxes[-1][1], 12, 700), spacing=0)
            words.setContentsMargins(8, 4, 8, 4)
            self._line.addWidget(Panel(words, "selected" if now else "sunk"))
        self.title.setText(f"{feed}, kg fresh a head, at each step")
