"""A field of a form with its name above it and, below, a sentence when something is wrong or to be known."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QBoxLayout, QComboBox, QLineEdit, QWidget

from herdscore.parts.buttons import JoinedButtons, choice_box
from herdscore.parts.cards import column
from herdscore.parts.fields import field
from herdscore.parts.labels import label, restyle

LEAST_PX = 60


class Asked(QWidget):
    """One thing asked: `.text` is what stands in it, `.put` writes it, `.say` puts a sentence below."""

    def __init__(self, name: str, holds: QLineEdit | QComboBox | JoinedButtons, heading: str | None = None) -> None:
        super().__init__()
        self.name = name
        self.holds = holds
        self.heading = label(name if heading is None else heading, 11, tone="second")
        self.heading.setBuddy(holds)
        self._said = label("", 11, wrap=True)
        self._said.hide()
        # Kept at the top, so that a sentence under a neighbour does not move this one.
        self.setLayout(column(self.heading, holds, self._said, None, spacing=2))

    @property
    def text(self) -> str:
        """What stands in it; of a choice its key."""
        if isinstance(self.holds, QLineEdit):
            return self.holds.text()
        if isinstance(self.holds, JoinedButtons):
            return self.holds.current
        key = None if self.holds.isEditable() else self.holds.currentData()
        return self.holds.currentText() if key is None else str(key)

    def put(self, text: str) -> None:
        """Write into it."""
        if isinstance(self.holds, QLineEdit):
            self.holds.setText(text)
            self.holds.setCursorPosition(0)
        elif isinstance(self.holds, JoinedButtons):
            self.holds.choose(text)
        elif self.holds.isEditable():
            self.holds.setCurrentIndex(self.holds.findText(text))
            self.holds.setEditText(text)
            line = self.holds.lineEdit()
            if line is not None:
                line.setCursorPosition(0)
        else:
            self.holds.setCurrentIndex(max(0, self.holds.findData(text)))

    def say(self, words: str, *, wrong: bool = False) -> None:
        """Put a sentence below, as wrong or as a hint; "" takes it away."""
        self._said.setText(words)
        self._said.setVisible(bool(words))
        restyle(self._said, "tone", "thin" if wrong else "second")
        restyle(self._said, "weight", "600" if wrong else "400")
        if not isinstance(self.holds, JoinedButtons):
            restyle(self.holds, "wrong", "true" if wrong and words else "false")

    @property
    def said(self) -> str:
        """The sentence below."""
        return "" if self._said.isHidden() else self._said.text()

    def take_keyboard(self) -> None:
        """Give it the keyboard, with what stands in it marked."""
        if isinstance(self.holds, JoinedButtons):
            self.holds.button(self.holds.current or self.holds.keys[0]).setFocus()
            return
        self.holds.setFocus()
        line = self.holds if isinstance(self.holds, QLineEdit) else self.holds.lineEdit()
        if line is not None:
            line.selectAll()


def typed_in(fields: Mapping[str, Asked]) -> dict[str, str]:
    """What stands in the fields of a form, by their keys."""
    return {name: asked.text for name, asked in fields.items()}


def say_problems(fields: Mapping[str, Asked], problems: Mapping[str, str]) -> bool:
    """Say below each field what is wrong there and give the first of them the keyboard; whether anything is wrong."""
    for name, asked in fields.items():
        asked.say(problems.get(name, ""), wrong=True)
    if problems:
        next(asked for name, asked in fields.items() if name in problems).take_keyboard()
    return bool(problems)


def asked_line(name: str, hint: str = "", *, width: int = 0) -> Asked:
    """A line to type in."""
    made = field(name, hint, width=width)
    made.setMinimumWidth(width or LEAST_PX)
    return Asked(name, made)


def asked_choice(name: str, choices: tuple[tuple[str, str], ...], *, letters: int = 6) -> Asked:
    """One of several, as (key, words); by the keyboard only, so that a page is scrolled over it."""
    box = choice_box(name)
    for key, words in choices:
        box.addItem(words, key)
    return Asked(name, _steady(box, letters))


def asked_name(name: str, names: tuple[str, ...] = (), *, letters: int = 8) -> Asked:
    """A name to type or to take from a list."""
    box = choice_box(name, names)
    box.setEditable(True)
    box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
    # Completing would turn a new name into the old one that begins alike.
    box.setCompleter(None)  # type: ignore[arg-type]
    return Asked(name, _steady(box, letters))


def level(one: QWidget) -> QBoxLayout:
    """A button beside fields, as low as what they hold."""
    return column(label("", 11), one, None, spacing=2)


def offer_names(asked: Asked, names: list[str]) -> None:
    """Offer other names to take; what stands in the field stays."""
    box = asked.holds
    assert isinstance(box, QComboBox)
    typed = box.currentText()
    box.blockSignals(True)
    box.clear()
    box.addItems(names)
    box.setCurrentIndex(box.findText(typed))
    box.setEditText(typed)
    box.blockSignals(False)


def _steady(box: QComboBox, letters: int) -> QComboBox:
    box.setMinimumWidth(LEAST_PX)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(letters)
    box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
    return box
