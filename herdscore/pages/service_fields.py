"""The fields of a service, bull run or check: those of the kind chosen, and a sentence under one that is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from herdscore.domain.records import AI, BULL_RUN, EMPTY, HAND_CHECK, IN_CALF, SCAN, SERVICE, TWINS
from herdscore.domain.service_form import FIELDS, USED
from herdscore.domain.typed_day import NotADay, read_day, say_whole_day
from herdscore.parts.asked import Asked, asked_line, asked_name, offer_names
from herdscore.parts.buttons import JoinedButtons
from herdscore.parts.cards import column, row

KINDS = ((AI, "AI"), (SERVICE, "Service"), (BULL_RUN, "Bull run"), (SCAN, "Scan"), (HAND_CHECK, "Hand check"))
RESULTS = ((IN_CALF, "In calf"), (EMPTY, "Empty"), (TWINS, "Twins"))
_DAY_NAMES = {BULL_RUN: "Bull in"}
_FOUND = ("foetal_age", "result")


class ServiceFields(QWidget):
    """Kind, day and what belongs to the kind. `edited`: somebody typed or chose."""

    edited = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.kinds = JoinedButtons(KINDS, "What was done", 11, height=44)
        self.results = JoinedButtons(RESULTS, "What was found", 11, width=76, height=44)
        self.fields: dict[str, Asked] = {
            "day": asked_line("Day", "18 Apr"),
            "until": asked_line("Bull out", "20 Jun"),
            "foetal_age": asked_line("Foetus, days", "52"),
            "result": Asked("Found", self.results),
            "sire": asked_name("Sire or straw", letters=6),
            "sire_breed": asked_name("His breed", letters=6),
        }
        self._today = date(2000, 1, 1)
        fields = self.fields
        first = row((fields["day"], 3), (fields["until"], 3), (fields["foetal_age"], 2), spacing=10)
        second = row(fields["result"], None, spacing=10)
        third = row((fields["sire"], 1), (fields["sire_breed"], 1), spacing=10)
        self.setLayout(column(row(self.kinds, None), first, second, third, spacing=6))
        self.kinds.chosen.connect(self._on_kind)
        self.results.chosen.connect(lambda _: self._on_edited("result"))
        for name in FIELDS:
            holds = fields[name].holds
            if isinstance(holds, QLineEdit):
                holds.textChanged.connect(lambda _, name=name: self._on_edited(name))
            elif isinstance(holds, QComboBox):
                holds.editTextChanged.connect(lambda _, name=name: self._on_edited(name))
        self.choose_kind(SCAN)

    # What it holds

    @property
    def kind(self) -> str:
        """The kind chosen."""
        return self.kinds.current

    def choose_kind(self, kind: str) -> None:
        """Choose what was done; the fields of that kind show."""
        self.kinds.choose(kind)
        for name, asked in self.fields.items():
            asked.setVisible(name in USED[kind])
        self.fields["day"].heading.setText(_DAY_NAMES.get(kind, "Day"))

    def typed(self) -> dict[str, str]:
        """What stands in the fields of the kind."""
        return {"kind": self.kind, **{name: self.fields[name].text for name in USED[self.kind]}}

    def show_typed(self, typed: Mapping[str, str]) -> None:
        """Fill the fields."""
        self.choose_kind(typed["kind"])
        for name in FIELDS:
            if name == "result":
                self.choose_result(typed.get(name, ""))
            else:
                self.fields[name].put(typed.get(name, ""))
        self.show_problems({})

    def choose_result(self, result: str) -> None:
        """Choose what was found; "" none of them."""
        self.results.clear_choice() if not result else self.results.choose(result)

    def show_day(self, today: date) -> None:
        """The day the fields start from, and from which days without a year are read."""
        if not self.fields["day"].text or self.fields["day"].text == say_whole_day(self._today):
            self.fields["day"].put(say_whole_day(today))
        self._today = today

    def empty_findings(self) -> None:
        """Take out what was found of one cow; the day and the sire stay for the next."""
        self.fields["foetal_age"].put("")
        self.choose_result("")
        self.show_problems({})

    def offer(self, sires: list[str], breeds: list[str]) -> None:
        """Names to take."""
        offer_names(self.fields["sire"], sires)
        offer_names(self.fields["sire_breed"], breeds)

    # What is said

    def show_problems(self, problems: Mapping[str, str], *, go: bool = False) -> None:
        """Say what is wrong under its field; with `go` move to the first."""
        for name, asked in self.fields.items():
            wrong = problems.get(name, "")
            asked.say(wrong or self._read_as(name), wrong=bool(wrong))
        first = next((name for name in FIELDS if name in problems), None)
        if go and first is not None:
            self.fields[first].take_keyboard()

    def _read_as(self, name: str) -> str:
        """A day typed without a year, as it is read; "" where it stands in full."""
        if name not in ("day", "until") or not self.fields[name].text.strip():
            return ""
        day = read_day(self.fields[name].text, self._today)
        if isinstance(day, NotADay) or str(day.year) in self.fields[name].text:
            return ""
        return say_whole_day(day)

    def _on_kind(self, kind: str) -> None:
        self.choose_kind(kind)
        self._on_edited("")

    def _on_edited(self, name: str) -> None:
        if name:
            self.fields[name].say(self._read_as(name))
        self.edited.emit()
