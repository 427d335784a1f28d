"""The form in which a cow is entered or changed: a field a fact, and a plain sentence under one that is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.domain.cow_form import FIELDS, NO, YES
from herdscore.domain.records import BLOCKS, DATE_SOURCES, STATUSES
from herdscore.parts.buttons import button, choice_box
from herdscore.parts.cards import column, holder, row, scrolled
from herdscore.parts.labels import label, restyle

_NAMES = {
    "tag": "Tag",
    "management_no": "Management no",
    "eid": "EID, 15 digits",
    "name": "Name",
    "breed": "Breed",
    "born": "Born",
    "calvings": "Calvings, 0 = heifer",
    "season": "Season",
    "group": "Group",
    "calving_date": "Calving date, if told",
    "date_from": "Date comes from",
    "twins": "Carries twins",
    "vet_plan": "Vet's plan to slim",
    "status": "Status",
    "note": "Note",
}
_ROWS = (
    ("tag", "management_no"),
    ("eid",),
    ("name", "breed"),
    ("born", "calvings"),
    ("season", "group"),
    ("calving_date", "date_from"),
    ("twins", "vet_plan"),
    ("status",),
    ("note",),
)
_CHOICES: dict[str, tuple[tuple[str, str], ...]] = {
    "season": (("", "by her date"), *((name, name) for name in BLOCKS)),
    "date_from": (("", "not said"), *((name, name) for name in DATE_SOURCES)),
    "twins": (("", "not known"), (YES, "yes"), (NO, "no")),
    "vet_plan": (("", "no"), (YES, "yes")),
    "status": tuple((name, name) for name in STATUSES),
}
_PLACEHOLDERS = {"born": "9 Mar 2022", "calving_date": "18 Apr 2027"}


class CowForm(QWidget):
    """Fields of one cow. `save_wished` and `left`: Save and Cancel were pressed; `edited(field)`: somebody typed."""

    save_wished = Signal()
    left = Signal()
    edited = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.title = label("", 18, 700)
        self.fields: dict[str, QLineEdit | QComboBox] = {}
        self._said: dict[str, QLabel] = {}
        self._hints: dict[str, str] = {}
        self._problems: dict[str, str] = {}
        self._initial: dict[str, str] = {}
        self._lines = QVBoxLayout()
        self._lines.setContentsMargins(14, 0, 12, 4)
        self._lines.setSpacing(8)
        for names in _ROWS:
            self._lines.addLayout(self._line(names))
        self._lines.addStretch()
        self._body = scrolled(holder(self._lines))
        self.save_button = button("Save", "main")
        self.cancel_button = button("Cancel")
        self._foot = label("", 11, tone="second", wrap=True)
        foot = row(self.save_button, self.cancel_button, (self._foot, 1), margins=(14, 0, 12, 0))
        top = row(self.title, None, margins=(14, 0, 12, 0))
        self.setLayout(column(top, (self._body, 1), foot, spacing=8, margins=(0, 10, 0, 10)))
        self.save_button.clicked.connect(self.save_wished)
        self.cancel_button.clicked.connect(self.left)

    def _line(self, names: Sequence[str]) -> QVBoxLayout:
        """Fields side by side, and under them what is wrong with each."""
        boxes = []
        said = []
        for name in names:
            field = self._field(name)
            self.fields[name] = field
            field.setAccessibleName(_NAMES[name])
            heading = label(_NAMES[name], 11, tone="second")
            heading.setBuddy(field)
            boxes.append((holder(column(heading, field, spacing=2)), 1))
            self._said[name] = label("", 11, 600, wrap=True)
            self._said[name].hide()
            said.append(self._said[name])
        made = QVBoxLayout()
        made.setSpacing(2)
        made.addLayout(row(*boxes, spacing=10))
        for words in said:
            made.addWidget(words)
        return made

    def _field(self, name: str) -> QLineEdit | QComboBox:
        if name in _CHOICES or name == "group":
            box = choice_box(_NAMES[name], height=44)
            box.setMinimumWidth(60)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(6)
            box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
            if name == "group":
                box.setEditable(True)
                box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
                # Completing would turn a new group into the old one whose name begins alike.
                box.setCompleter(None)  # type: ignore[arg-type]
                box.editTextChanged.connect(lambda _: self._on_edited(name))
            else:
                for key, words in _CHOICES[name]:
                    box.addItem(words, key)
                box.currentIndexChanged.connect(lambda _: self._on_edited(name))
            return box
        line = QLineEdit()
        line.setProperty("pt", "12")
        line.setMinimumHeight(44)
        line.setMinimumWidth(60)
        line.setPlaceholderText(_PLACEHOLDERS.get(name, ""))
        line.textChanged.connect(lambda _: self._on_edited(name))
        return line

    # What it holds

    def show_rights(self, why_not: str) -> None:
        """Say why nothing can be saved now; "" when it can."""
        self.save_button.setEnabled(not why_not)
        self._foot.setText(why_not)

    def show_cow(self, title: str, typed: Mapping[str, str], groups: Sequence[str]) -> None:
        """Show the fields of a cow, or empty ones of a new cow; `groups` are those to choose from."""
        self.title.setText(title)
        self._initial = {}
        box = self.fields["group"]
        assert isinstance(box, QComboBox)
        box.clear()
        box.addItems(["", *groups])
        for name in FIELDS:
            self._put(name, typed.get(name, ""))
        self._initial = self.typed()
        self.show_problems({})
        self.show_hints({})
        self._body.verticalScrollBar().setValue(0)

    def typed(self) -> dict[str, str]:
        """What stands in the fields."""
        return {name: self._get(name) for name in FIELDS}

    def changed(self) -> dict[str, str]:
        """The fields that were changed since they were shown."""
        return {name: text for name, text in self.typed().items() if text.strip() != self._initial.get(name, "")}

    def put(self, name: str, text: str) -> None:
        """Write into a field, as if typed."""
        self._put(name, text)

    def _put(self, name: str, text: str) -> None:
        field = self.fields[name]
        if isinstance(field, QLineEdit):
            field.setText(text)
            field.setCursorPosition(0)
        elif name == "group":
            field.setEditText(text)
            line = field.lineEdit()
            if line is not None:
                line.setCursorPosition(0)
        else:
            field.setCurrentIndex(max(0, field.findData(text)))

    def _get(self, name: str) -> str:
        field = self.fields[name]
        if isinstance(field, QLineEdit):
            return field.text()
        return field.currentText() if name == "group" else str(field.currentData())

    # What is said under the fields

    def show_problems(self, problems: Mapping[str, str]) -> None:
        """Mark what is wrong, each with its sentence, and go to the first."""
        self._problems = dict(problems)
        for name in FIELDS:
            self._say(name)
        first = next((name for names in _ROWS for name in names if name in problems), None)
        if first is not None:
            self.fields[first].setFocus()
            self._body.ensureWidgetVisible(self._said[first], 0, 20)

    def show_hints(self, hints: Mapping[str, str]) -> None:
        """Say under fields what is to be known, where nothing is wrong."""
        self._hints = dict(hints)
        for name in FIELDS:
            self._say(name)

    def said(self, name: str) -> str:
        """What stands under a field."""
        words = self._said[name]
        return "" if words.isHidden() else words.text()

    def _say(self, name: str) -> None:
        wrong = self._problems.get(name, "")
        words = wrong or self._hints.get(name, "")
        said = self._said[name]
        said.setText(words)
        said.setVisible(bool(words))
        restyle(said, "tone", "thin" if wrong else "second")
        restyle(said, "weight", "600" if wrong else "400")
        restyle(self.fields[name], "wrong", "true" if wrong else "false")

    def _on_edited(self, name: str) -> None:
        if self._problems.pop(name, None):
            self._say(name)
        self.edited.emit(name)

    def focus_first(self) -> None:
        """Give the keyboard to the first field."""
        tag = self.fields["tag"]
        tag.setFocus()
        if isinstance(tag, QLineEdit):
            tag.selectAll()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter saves, Esc leaves; both from any field."""
        enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if event.key() == Qt.Key.Key_Escape or (enter and self.cancel_button.hasFocus()):
            self.left.emit()
        elif enter:
            self.save_wished.emit()
        else:
            super().keyPressEvent(event)
