"""A small field in place of the note keys: her weight, what the vet's scan found, a note in own words."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget
from typing_extensions import override

from herdscore.domain.records import EMPTY, IN_CALF, TWINS
from herdscore.domain.rule_forms import SheetLimits
from herdscore.domain.scoring_entry import Entry
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import row
from herdscore.parts.fields import field
from herdscore.parts.labels import label, restyle

_RESULTS = ((IN_CALF, "In calf"), (EMPTY, "Empty"), (TWINS, "Twins"))
_RESULT_KEYS = {"I": IN_CALF, "+": IN_CALF, "E": EMPTY, "-": EMPTY, "T": TWINS, "*": TWINS}
_NAMES = {"weight": "Weight, kg", "scan": "Foetus, days", "words": "Note in own words"}
_LONGEST = {"weight": 6, "scan": 3, "words": 60}


class EntryField(QWidget):
    """`entered(dict)`: values by the names of Entry; `left`: nothing was changed."""

    entered = Signal(object)
    left = Signal()

    def __init__(self, limits: SheetLimits) -> None:
        super().__init__()
        self._limits = limits
        self.name = ""
        self._label = label("", 14, 600)
        self.results = JoinedButtons(_RESULTS, "What the scan found", 14, height=46)
        self.results.set_focus_policy(Qt.FocusPolicy.NoFocus)
        self.edit = field("", points=16, weight=600)
        self.edit.installEventFilter(self)
        self._wrong = label("", 14, 600)
        self.keep, self.leave = button("Keep", points=14), button("Leave it", "flat", 14)
        self.keep.clicked.connect(self._keep)
        self.leave.clicked.connect(self.left)
        self.edit.textEdited.connect(self._on_edited)
        self.results.chosen.connect(lambda: self.edit.setFocus())
        around = QHBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        pieces = row(self._label, self.results, (self.edit, 1), self._wrong, self.keep, self.leave, spacing=8)
        around.addLayout(pieces)

    def set_height(self, px: int) -> None:
        """As high as the keys it takes the place of."""
        for one in (self.edit, self.keep, self.leave, *(self.results.button(key) for key in self.results.keys)):
            one.setMinimumHeight(0)
            one.setFixedHeight(px)

    def open(self, name: str, entry: Entry) -> None:
        """Ask for a weight, a scan or words, beginning with what is entered."""
        self.name = name
        self._label.setText(_NAMES[name])
        self.edit.setAccessibleName(_NAMES[name])
        self.edit.setMaxLength(_LONGEST[name])
        self.results.setVisible(name == "scan")
        self.results.clear_choice()
        if name == "scan":
            if entry.scan is not None:
                self.results.choose(entry.scan)
            self.edit.setText("" if entry.scan_age is None else str(entry.scan_age))
        elif name == "weight":
            self.edit.setText("" if entry.weight is None else f"{entry.weight:g}")
        else:
            self.edit.setText(entry.words)
        self.edit.selectAll()
        self._say("")
        self.edit.setFocus()

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter keeps, Esc leaves, letters and signs choose what the scan found."""
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._keep()
            return True
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return True
        result = _RESULT_KEYS.get(event.text().upper()) if self.name == "scan" else None
        if result is not None:
            self.results.choose(result)
            self._say("")
            return True
        return False

    def _on_edited(self, text: str) -> None:
        self._say("")
        if self.name == "scan" and text and not self.results.current:
            self.results.choose(IN_CALF)  # an age is that of a calf

    def _keep(self) -> None:
        text = self.edit.text().strip()
        {"weight": self._keep_weight, "scan": self._keep_scan, "words": self._keep_words}[self.name](text)

    def _keep_words(self, text: str) -> None:
        self.entered.emit({"words": "; ".join(part.strip() for part in text.split(";") if part.strip())})

    def _keep_weight(self, text: str) -> None:
        low, high = self._limits.weight_lowest, self._limits.weight_highest
        weight = _number(text)
        if text and (weight is None or not low <= weight <= high):
            self._say(f"{low:g} to {high:g} kg")
        else:
            self.entered.emit({"weight": weight})

    def _keep_scan(self, text: str) -> None:
        age, result, most = _number(text), self.results.current, self._limits.foetal_age_highest
        if text and (age is None or age != int(age) or not 1 <= age <= most):
            self._say(f"1 to {most} days")
        elif text and result == EMPTY:
            self._say("Empty has no age")
        elif not text and not result:
            self.entered.emit({"scan": None, "scan_age": None})
        else:
            self.entered.emit({"scan": result or IN_CALF, "scan_age": None if age is None else int(age)})

    def _say(self, wrong: str) -> None:
        self._wrong.setText(wrong)
        self._wrong.setVisible(bool(wrong))
        restyle(self.edit, "wrong", "true" if wrong else "false")


def field_words(entry: Entry) -> dict[str, str]:
    """What the keys of weight, scan and own words say: the value once there is one."""
    age = "" if entry.scan_age is None else f"{entry.scan_age} d"
    scan = age if age and entry.scan == IN_CALF else " ".join(part for part in (entry.scan, age) if part)
    weight = "" if entry.weight is None else f"{entry.weight:g} kg"
    return {"weight": weight or "Weight", "scan": scan or "Scan", "words": entry.words or "Note"}


def _number(text: str) -> float | None:
    try:
        made = float(text.replace(",", "."))
    except ValueError:
        return None
    return made if made == made and abs(made) < float("inf") else None
