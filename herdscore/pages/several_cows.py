"""The right side of the register for cows chosen together, and the question how cows leave the herd or come back."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.domain.herd import Snapshot
from herdscore.domain.records import CULLED, DEAD, GONE, IN_HERD, SOLD
from herdscore.domain.tag_list import tags_text
from herdscore.pages.cow_words import say_cows
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import column, holder, row, scrolled
from herdscore.parts.labels import label

_WAYS = ((SOLD, "Sold"), (CULLED, "Culled"), (DEAD, "Dead"))
_LETTERS = {Qt.Key.Key_S: SOLD, Qt.Key.Key_C: CULLED, Qt.Key.Key_D: DEAD}


class SeveralCard(QWidget):
    """Several cows chosen, and what can be done with all of them at once."""

    leave_wished = Signal()
    move_wished = Signal()
    service_wished = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.title = label("", 18, 700)
        self.tags = label("", 12, tone="second", wrap=True)
        self.leave_button = button("They leave the herd …")
        self.move_button = button("Move to a group …")
        self.service_button = button("Service or scan …")
        self._why_not = label("", 11, tone="second", wrap=True)
        buttons = (self.move_button, self.service_button, self.leave_button)
        body = scrolled(holder(column(self.tags, None)))
        self.setLayout(column(self.title, (body, 1), *buttons, self._why_not, spacing=8, margins=(14, 10, 12, 10)))
        self.leave_button.clicked.connect(self.leave_wished)
        self.move_button.clicked.connect(self.move_wished)
        self.service_button.clicked.connect(self.service_wished)

    def show_rights(self, why_not: str) -> None:
        """Say why nothing can be changed; "" when it can."""
        for one in (self.leave_button, self.move_button, self.service_button):
            one.setEnabled(not why_not)
        self._why_not.setText(why_not)

    def show_cows(self, snapshot: Snapshot, cow_ids: Sequence[str]) -> None:
        """Show which cows are chosen."""
        self.title.setText(f"{say_cows(len(cow_ids))} chosen")
        self.tags.setText(tags_text(snapshot, cow_ids))


class LeaveCard(QWidget):
    """How cows leave: sold, culled or dead; of cows gone, whether they come back. `answered(status)`, `left`."""

    answered = Signal(str)
    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.cow_ids: tuple[str, ...] = ()
        self._back = False
        self.title = label("", 18, 700, wrap=True)
        self.tags = label("", 12, tone="second", wrap=True)
        self.ways = JoinedButtons(_WAYS, "How they leave", width=80)
        self.ways.choose(SOLD)
        self.meaning = label("", 12, wrap=True)
        self.save_button, self.cancel_button = button("Save", "main"), button("Cancel")
        self._foot = label("", 11, tone="second", wrap=True)
        body = scrolled(holder(column(self.tags, 6, row(self.ways, None), 6, self.meaning, None, spacing=4)))
        foot = row(self.save_button, self.cancel_button, (self._foot, 1))
        self.setLayout(column(self.title, (body, 1), foot, spacing=8, margins=(14, 10, 12, 10)))
        self.save_button.clicked.connect(self._answer)
        self.cancel_button.clicked.connect(self.left)

    def show_rights(self, why_not: str) -> None:
        """Say why nothing can be saved now; "" when it can."""
        self.save_button.setEnabled(not why_not)
        self._foot.setText(why_not)

    def ask(self, snapshot: Snapshot, cow_ids: Sequence[str]) -> None:
        """Ask about these cows."""
        self.cow_ids = tuple(cow_ids)
        places = [snapshot.cow_place[cow_id] for cow_id in cow_ids]
        self._back = all(snapshot.cows.status[place] in GONE for place in places)
        who = str(snapshot.cows.tag[places[0]]) if len(places) == 1 else say_cows(len(places))
        verb = ("comes" if self._back else "leaves") if len(places) == 1 else "come" if self._back else "leave"
        self.title.setText(f"{who} {verb} back to the herd" if self._back else f"{who} {verb} the herd")
        self.tags.setText(tags_text(snapshot, cow_ids) if len(places) > 1 else "")
        self.ways.setVisible(not self._back)
        self.meaning.setText(
            "Back on every list, with all that was written down before."
            if self._back
            else "On no list from today, and left out of every sum. Scores and services stay in the herd file; "
            "look under “Gone” to find a cow again."
        )

    def focus_first(self) -> None:
        """Give the keyboard to the way chosen."""
        (self.save_button if self._back else self.ways.button(self.ways.current)).setFocus()

    def _answer(self) -> None:
        if self.save_button.isEnabled():
            self.answered.emit(IN_HERD if self._back else self.ways.current)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """S, C, D choose; Enter saves, Esc leaves."""
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape:
            self.left.emit()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.left.emit() if self.cancel_button.hasFocus() else self._answer()
        elif key in _LETTERS and not self._back and not event.modifiers():
            self.ways.choose(_LETTERS[key])
            self.focus_first()
        else:
            super().keyPressEvent(event)
