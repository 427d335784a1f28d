"""Finds words that have no room: labels and buttons of a window whose text is wider or higher than they are."""

from __future__ import annotations

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QCheckBox,
    QLabel,
    QPushButton,
    QRadioButton,
    QScrollArea,
    QStyle,
    QStyleOptionButton,
    QWidget,
)

from herdscore.parts.labels import ShortenedLabel

_SLACK = 2  # px by which a hint and what is painted may differ


def clipped(window: QWidget) -> list[str]:
    """What is cut off, as words: the kind of widget, its text, the px it has and the px it wants."""
    found = []
    for one in window.findChildren(QWidget):
        if not one.isVisible() or one.width() <= 0:
            continue
        if isinstance(one, QLabel) and one.text() and not isinstance(one, ShortenedLabel):
            found += _label(one)
        elif isinstance(one, QPushButton | QCheckBox | QRadioButton) and one.text():
            found += _button(one)
        if isinstance(one, QScrollArea):
            found += _area(one)
        parent = one.parentWidget()
        if parent is not None and not one.isWindow() and one.geometry().right() > parent.width() + _SLACK:
            within = not isinstance(parent.parentWidget(), QAbstractScrollArea)
            found += [f"{_name(one)} reaches {one.geometry().right() - parent.width()} px out at the right"] * within
    return found


def _label(one: QLabel) -> list[str]:
    metrics, box = QFontMetrics(one.font()), one.contentsRect()
    if one.wordWrap():
        room = QRect(0, 0, box.width(), 10_000)
        wanted = metrics.boundingRect(room, int(Qt.TextFlag.TextWordWrap.value), one.text())
        if wanted.width() > box.width() + _SLACK:
            return [f"a word of {one.text()[:50]!r} is wider than the {box.width()} px it has"]
        short = wanted.height() > box.height() + _SLACK
        return [f"label {one.text()[:50]!r} is {box.height()} px high and wants {wanted.height()}"] if short else []
    wanted = max(metrics.horizontalAdvance(line) for line in one.text().split("\n"))
    short = wanted > box.width() + _SLACK
    return [f"label {one.text()[:50]!r} is {box.width()} px wide and wants {wanted}"] if short else []


def _button(one: QAbstractButton) -> list[str]:
    wanted = max(QFontMetrics(one.font()).horizontalAdvance(line) for line in one.text().split("\n"))
    room = one.width() - 4
    if isinstance(one, QPushButton):
        option = QStyleOptionButton()
        one.initStyleOption(option)
        room = one.style().subElementRect(QStyle.SubElement.SE_PushButtonContents, option, one).width()
    short = wanted > room + _SLACK
    return [f"button {one.text()[:50]!r} has {room} px and wants {wanted}"] if short else []


def _area(one: QScrollArea) -> list[str]:
    inside, view = one.widget(), one.viewport()
    never = one.horizontalScrollBarPolicy() == Qt.ScrollBarPolicy.ScrollBarAlwaysOff
    over = 0 if inside is None else inside.width() - view.width()
    return [f"{_name(one)} holds {over} px more than it shows"] if never and over > _SLACK else []


def _name(one: QWidget) -> str:
    words = getattr(one, "text", lambda: "")
    said = words() if callable(words) else ""
    return f"{type(one).__name__} {str(said)[:30]!r} in {type(one.parentWidget()).__name__}"
