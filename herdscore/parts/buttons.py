"""Buttons of the house style: plain, main and flat ones, pills, joined buttons and a choice box."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QComboBox, QHBoxLayout, QLayout, QPushButton, QWidget
from typing_extensions import override

from herdscore.parts.flow import FlowLayout

BUTTON_PX = 46


class _Button(QPushButton):
    """Never narrower than its words, in any size of text, nor than so many px."""

    def __init__(self, text: str, least_px: int) -> None:
        super().__init__(text)
        self._least_px = least_px

    @override
    def sizeHint(self) -> QSize:
        hint = super().sizeHint()
        return QSize(max(hint.width(), self._least_px), hint.height())

    @override
    def minimumSizeHint(self) -> QSize:
        hint = super().minimumSizeHint()
        return QSize(max(hint.width(), self._least_px), hint.height())


def button(
    text: str, kind: str = "", points: int = 12, weight: int = 500, *, height: int = BUTTON_PX, least: int = 0
) -> QPushButton:
    """A push button; `kind` is "" plain, main (filled), flat (words only) or row (a whole row to press)."""
    made = _Button(text, least)
    made.setProperty("kind", kind)
    made.setProperty("pt", str(points))
    made.setProperty("weight", str(weight))
    made.setMinimumHeight(height)
    made.setAutoDefault(False)
    return made


def choice_box(name: str, items: Sequence[str] = (), points: int = 12, *, height: int = 44) -> QComboBox:
    """A choice box with an accessible name; the pop-up is a list with room for a thumb."""
    made = QComboBox()
    made.setAccessibleName(name)
    made.setProperty("pt", str(points))
    made.setMinimumHeight(height)
    made.addItems(list(items))
    return made


class _OneOf(QWidget):
    """Buttons of which one is chosen. `chosen(key)`: somebody chose another."""

    chosen = Signal(str)

    def __init__(self, line: QLayout, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        self._keys: dict[str, QPushButton] = {}
        self._line = line
        self._line.setContentsMargins(0, 0, 0, 0)
        self.setLayout(line)
        self._group.buttonClicked.connect(self._on_clicked)

    def choose(self, key: str) -> None:
        """Show one as chosen; no signal."""
        self._keys[key].setChecked(True)

    def clear_choice(self) -> None:
        """Show none as chosen; no signal."""
        self._group.setExclusive(False)
        for one in self._keys.values():
            one.setChecked(False)
        self._group.setExclusive(True)

    @property
    def current(self) -> str:
        """Key of the chosen one, "" when none is."""
        return next((key for key, one in self._keys.items() if one.isChecked()), "")

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of all, from the left."""
        return tuple(self._keys)

    def button(self, key: str) -> QPushButton:
        """The button of a key."""
        return self._keys[key]

    def _add(self, key: str, made: QPushButton) -> None:
        made.setCheckable(True)
        self._keys[key] = made
        self._group.addButton(made)
        self._line.addWidget(made)

    def _on_clicked(self, pressed: QAbstractButton) -> None:
        self.chosen.emit(next(key for key, one in self._keys.items() if one is pressed))


class Pills(_OneOf):
    """Rounded buttons in a row (more rows where it is narrow), one chosen; counts can follow the words."""

    def __init__(self, items: Sequence[tuple[str, str]], name: str = "", points: int = 12) -> None:
        super().__init__(FlowLayout(8), name)
        self._words = dict(items)
        for key, words in items:
            self._add(key, button(words, "pill", points, 600))

    def show_words(self, key: str, words: str) -> None:
        """Call one pill otherwise, without a count."""
        self._words[key] = words
        self._keys[key].setText(words)

    def show_count(self, key: str, count: int) -> None:
        """Write a count after the words of one pill."""
        self._keys[key].setText(f"{self._words[key]}  {count}")


class JoinedButtons(_OneOf):
    """Buttons without a gap between them, one chosen; `width` in px of each at least."""

    def __init__(
        self,
        items: Sequence[tuple[str, str]],
        name: str = "",
        points: int = 12,
        *,
        width: int = 0,
        height: int = BUTTON_PX,
    ) -> None:
        line = QHBoxLayout()
        line.setSpacing(0)
        super().__init__(line, name)
        for place, (key, words) in enumerate(items):
            made = button(words, "joined", points, 600, height=height, least=width)
            made.setProperty("place", "first" if place == 0 else "last" if place == len(items) - 1 else "")
            made.setFixedHeight(height)
            self._add(key, made)

    def set_focus_policy(self, policy: Qt.FocusPolicy) -> None:
        """Let the buttons take the keyboard or not."""
        for one in self._keys.values():
            one.setFocusPolicy(policy)
