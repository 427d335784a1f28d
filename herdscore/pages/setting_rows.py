"""One setting of the herd on a line: what it is, its range and source, a field, and a sentence when it is refused."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget
from typing_extensions import override

from herdscore.domain.herd_settings import SettingLine
from herdscore.pages.form_keys import form_key
from herdscore.parts.asked import asked_name
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, row
from herdscore.parts.fields import field
from herdscore.parts.labels import label, restyle

_FIELD_PX, _BACK_PX = 110, 108


class SettingRow(QWidget):
    """`typed(name, text)`: Enter, or another field was gone to after a change; `back(name)`: take the default."""

    typed = Signal(str, str)
    back = Signal(str)

    def __init__(self, name: str, *, words: bool = False) -> None:
        super().__init__()
        self.name = name
        self._value = ""
        title = label(name, 12, 600, wrap=True)
        self._about = label("", 11, tone="second", wrap=True)
        self._said = label("", 11, 600, "thin", wrap=True)
        self._said.hide()
        self.box: QComboBox | None = None
        if words:
            asked = asked_name(name, letters=10)
            assert isinstance(asked.holds, QComboBox)
            self.box = asked.holds
            line = self.box.lineEdit()
            assert line is not None
            self.edit: QLineEdit = line
            self.box.activated.connect(lambda _: self._send())
        else:
            self.edit = field(name, width=_FIELD_PX, right=True)
        self.back_button = button("Default", "flat", 11, height=44)
        self.back_button.setFixedWidth(_BACK_PX)
        holds: QWidget = self.box if self.box is not None else self.edit
        left = column(title, self._about, self._said, spacing=1)
        self.setLayout(row((left, 3), (holds, 2) if words else holds, self.back_button, spacing=8))
        title.setBuddy(holds)
        self.edit.editingFinished.connect(self._send)
        self.edit.textEdited.connect(lambda _: self.say(""))
        self.back_button.clicked.connect(lambda: self.back.emit(self.name))

    def show_line(self, line: SettingLine, *, can_write: bool) -> None:
        """Show a number: its value unless somebody is typing, its range, unit and source."""
        own = f" The book has {line.default}." if line.is_own else ""
        self._about.setText(f"{line.span} {line.unit}. {line.source[0].upper()}{line.source[1:]}.{own}")
        self.back_button.setText(f"Back to {line.default}")
        self._show(line.value, line.is_own, can_write)

    def show_words(self, value: str, about: str, choices: list[str], *, is_own: bool, can_write: bool) -> None:
        """Show a setting in words, with choices to take."""
        self._about.setText(about)
        if self.box is not None:
            typed = self.box.currentText()
            self.box.blockSignals(True)
            self.box.clear()
            self.box.addItems(choices)
            self.box.setCurrentIndex(self.box.findText(typed))
            self.box.setEditText(typed)
            self.box.blockSignals(False)
        self.back_button.setText("Take out")
        self._show(value, is_own, can_write)

    def _show(self, value: str, is_own: bool, can_write: bool) -> None:
        if value != self._value or not self.edit.text():
            # Somebody's half typed value stays until the setting itself has changed.
            self._value = value
            self.edit.setText(value)
            self.say("")
        self.edit.setReadOnly(not can_write)
        if self.box is not None:
            self.box.setEnabled(can_write)
        self.back_button.setEnabled(can_write)
        keeps = self.back_button.sizePolicy()
        keeps.setRetainSizeWhenHidden(True)
        self.back_button.setSizePolicy(keeps)
        self.back_button.setVisible(is_own)

    def say(self, words: str, *, wrong: bool = True) -> None:
        """Put a sentence below: what is wrong, or what it does."""
        self._said.setText(words)
        self._said.setVisible(bool(words))
        restyle(self._said, "tone", "thin" if wrong else "second")
        restyle(self.box if self.box is not None else self.edit, "wrong", "true" if wrong and words else "false")

    @property
    def said(self) -> str:
        """The sentence below."""
        return "" if self._said.isHidden() else self._said.text()

    @property
    def words(self) -> str:
        """All that is written of it, to search in."""
        return f"{self.name} {self._about.text()}"

    def _send(self) -> None:
        if not self.edit.isReadOnly() and self.edit.text().strip() != self._value:
            self.typed.emit(self.name, self.edit.text())

    def _take_back(self) -> None:
        self.edit.setText(self._value)
        self.say("")

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter keeps, Esc shows what it was."""
        if not form_key(event, self._send, self._take_back):
            super().keyPressEvent(event)
