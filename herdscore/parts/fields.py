"""Fields to type in: words, a number, a day."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QDate, Qt
from PySide6.QtGui import QTextCharFormat
from PySide6.QtWidgets import QAbstractSpinBox, QDateEdit, QDoubleSpinBox, QLineEdit, QWidget

FIELD_PX = 44


def field(
    name: str, hint: str = "", points: int = 12, weight: int = 400, *, width: int = 0, right: bool = False
) -> QLineEdit:
    """A line to type in, with an accessible name and a quiet hint; `width` in px, 0 = as the layout gives."""
    made = QLineEdit()
    made.setAccessibleName(name)
    made.setPlaceholderText(hint)
    made.setProperty("pt", str(points))
    made.setProperty("weight", str(weight))
    made.setMinimumHeight(FIELD_PX)
    if width:
        made.setFixedWidth(width)
    if right:
        made.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return made


def number_box(
    name: str, low: float, high: float, *, step: float = 1.0, decimals: int = 0, unit: str = ""
) -> QDoubleSpinBox:
    """A number between two limits, with its unit behind it."""
    made = QDoubleSpinBox()
    made.setRange(low, high)
    made.setSingleStep(step)
    made.setDecimals(decimals)
    made.setSuffix(f" {unit}" if unit else "")
    _finish(made, name)
    return made


def day_box(name: str, day: date, *, last: date | None = None) -> QDateEdit:
    """A day, typed or taken from a calendar; `last` is the latest one allowed."""
    made = QDateEdit()
    made.setCalendarPopup(True)
    made.setDisplayFormat("ddd d MMM yyyy")
    made.setDate(QDate(day.year, day.month, day.day))
    if last is not None:
        made.setMaximumDate(QDate(last.year, last.month, last.day))
    calendar = made.calendarWidget()
    calendar.setVerticalHeaderFormat(calendar.VerticalHeaderFormat.NoVerticalHeader)
    calendar.setFirstDayOfWeek(Qt.DayOfWeek.Monday)
    calendar.setGridVisible(False)
    for weekend in (Qt.DayOfWeek.Saturday, Qt.DayOfWeek.Sunday):
        calendar.setWeekdayTextFormat(weekend, QTextCharFormat())  # Qt's red is no colour of ours
    calendar.setMinimumSize(420, 300)
    _finish(made, name)
    return made


def day_of(box: QDateEdit) -> date:
    """The day in a day box."""
    chosen = box.date()
    return date(chosen.year(), chosen.month(), chosen.day())


def take_no_files(within: QWidget) -> None:
    """Let a file dropped on a field of a page open like one dropped beside it."""
    for edit in within.findChildren(QLineEdit):
        edit.setAcceptDrops(False)


def _finish(box: QAbstractSpinBox, name: str) -> None:
    box.setAccessibleName(name)
    box.setProperty("pt", "12")
    box.setMinimumHeight(FIELD_PX)
    box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)  # not by the wheel: a page is scrolled over it
    if not isinstance(box, QDateEdit):
        box.lineEdit().setTextMargins(10, 0, 0, 0)  # the style sheet's padding does not reach this line
