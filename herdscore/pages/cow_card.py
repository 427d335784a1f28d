"""The card of the chosen cow in the register: her facts, her date with its account, services and calvings."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES, NO_BLOCK
from herdscore.domain.cow_history import matings
from herdscore.domain.date_account import account
from herdscore.domain.reasons import say_day
from herdscore.domain.records import GONE, IN_HERD
from herdscore.domain.typed_day import say_whole_day
from herdscore.pages.cow_side import day_px, empty_out, history_row
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, column, holder, row, scrolled
from herdscore.parts.labels import label

_LONGEST_WORD = "Management no"


class CowCard(QWidget):
    """What is known of one cow. `change_wished`: somebody wants to change it; `leave_wished`: she leaves."""

    change_wished = Signal()
    leave_wished = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._name = label("", 18, 700)
        self._kind = label("", 11, tone="second")
        self._lines = QVBoxLayout()
        self._lines.setContentsMargins(14, 0, 12, 4)
        self._lines.setSpacing(6)
        self._body = scrolled(holder(self._lines))
        self.change_button = button("Change", "main")
        self.leave_button = button("Leaves …")
        self._why_not = label("", 11, tone="second", wrap=True)
        self.said: list[tuple[str, str]] = []  # facts as shown: what, and what it is
        self.date_words = ""
        self.mating_words: list[str] = []
        top = row(self._name, (self._kind, 1), spacing=8, margins=(14, 0, 12, 0))
        foot = row(self.change_button, self.leave_button, (self._why_not, 1), margins=(14, 0, 12, 0))
        self.setLayout(column(top, (self._body, 1), foot, spacing=6, margins=(0, 10, 0, 10)))
        self.change_button.clicked.connect(self.change_wished)
        self.leave_button.clicked.connect(self.leave_wished)

    def show_rights(self, why_not: str) -> None:
        """Say why nothing can be changed; "" when it can."""
        self.change_button.setEnabled(not why_not)
        self.leave_button.setEnabled(not why_not)
        self._why_not.setText(why_not)

    def show_cow(self, assessment: Assessment, cow: int) -> None:
        """Show the cow at a place of the herd."""
        cows = assessment.snapshot.cows
        self._name.setText(str(cows.tag[cow]))
        self._kind.setText(str(cows.name[cow] or ""))
        self.leave_button.setText("Comes back …" if cows.status[cow] in GONE else "Leaves …")
        empty_out(self._lines)
        self.said = facts_of(assessment, cow)
        words_px = _words_px()
        for word, said in self.said:
            name, value = label(word, 11, tone="second"), label(said, 12, wrap=True)
            name.setFixedWidth(words_px)
            self._lines.addWidget(holder(row(name, (value, 1), spacing=6)))
        self._add_date(assessment, cow)
        self._add_matings(assessment, cow)
        self._lines.addStretch()
        self._body.verticalScrollBar().setValue(0)

    def _add_date(self, assessment: Assessment, cow: int) -> None:
        told = account(assessment, cow)
        claim = f"Calves {told.said}" if told.said else "No calving date"
        words = ". ".join([told.rests_on, *(note.rstrip(".") for note in told.notes)]) + "."
        self.date_words = f"{claim}. {words}"
        inside = column(
            label(claim, 14, 700, wrap=True), label(words, 11, wrap=True), spacing=2, margins=(12, 8, 12, 8)
        )
        self._lines.addSpacing(2)
        self._lines.addWidget(Panel(inside, "ok" if told.said else "score"))

    def _add_matings(self, assessment: Assessment, cow: int) -> None:
        lines = matings(assessment, cow)
        self.mating_words = [line.words for line in lines]
        self._lines.addSpacing(4)
        self._lines.addWidget(label("Services, scans, calvings", 14, 700))
        days_px = day_px()
        for line in lines:
            self._lines.addWidget(history_row(line, assessment, days_px))
        if not lines:
            self._lines.addWidget(label("None recorded.", 11, tone="second"))


def _words_px() -> int:
    """Width of the column of words, by the size of the text as it is now."""
    widest = label(_LONGEST_WORD, 11)
    widest.ensurePolished()
    return widest.sizeHint().width() + 6


def facts_of(assessment: Assessment, cow: int) -> list[tuple[str, str]]:
    """What the register knows of a cow, in words; what is not known is left out."""
    a, cows = assessment, assessment.snapshot.cows
    born = cows.born[cow].item()
    calvings = a.dates.calvings[cow]
    group = a.groups.names[int(a.groups.now[cow])]
    joined = a.day(a.groups.joined[cow]) if a.groups.joined[cow] > -a.rulebook.model.max_age_days * 20 else None
    season = BLOCK_NAMES[int(a.block[cow])]
    by_date = a.block[cow] != NO_BLOCK and cows.season[cow] is None
    twins = cows.twins[cow]
    pairs = [
        ("Management no", cows.management_no[cow]),
        ("EID", cows.eid[cow]),
        ("Breed", cows.breed[cow]),
        ("Born", say_whole_day(born) if born is not None else None),
        (
            "Calvings",
            None if calvings != calvings else "none yet, first-calver" if calvings == 0 else f"{calvings:.0f}",
        ),
        ("Season", f"{season}, by her date" if by_date else season),
        ("Group", f"{group}, since {say_day(joined, a.today)}" if group and joined else group),
        ("Twins", "yes" if twins == 1 else "no" if twins == 0 else None),
        ("Vet's plan", "yes, to slim her" if cows.vet_plan[cow] == 1 else None),
        ("Status", cows.status[cow] if cows.status[cow] != IN_HERD else None),
        ("Note", cows.note[cow]),
    ]
    return [(word, str(said)) for word, said in pairs if said]
