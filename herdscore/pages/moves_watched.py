"""Says so when a cow was put into a pen whose plan runs, from a ration more than one gentle step away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from herdscore.desk import messages
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.pages.cow_words import say_cows
from herdscore.pages.short_tags import short_tags

if TYPE_CHECKING:
    from herdscore.domain.feeding_moves import Barred

_MOST_NAMED = 4


class MovesWatched(QObject):
    """`message(Message)`. A move taken back is not told: she only goes home."""

    message = Signal(object)

    def __init__(self, herd: OpenHerd, parent: QObject) -> None:
        super().__init__(parent)
        self._herd = herd
        self._seen, self._steps = herd.assessment, herd.undo_stack.index()
        herd.assessed.connect(self._on_assessed)

    def _on_assessed(self) -> None:
        before, steps = self._seen, self._steps
        self._seen, self._steps = self._herd.assessment, self._herd.undo_stack.index()
        if self._steps > steps:
            from herdscore.domain.feeding_moves import joined_on_its_steps  # late: it brings all of feeding along

            found = joined_on_its_steps(before, self._seen)
            if found:
                self.message.emit(messages.note(*_words(found, self._seen), "page:feeding", "Open Feeding"))


def _words(found: list[Barred], a: Assessment) -> tuple[str, str]:
    tags = short_tags(a.snapshot.cows.tag.tolist())
    named = ", ".join(tags[one.row] for one in found[:_MOST_NAMED])
    more = f" and {len(found) - _MOST_NAMED} more" if len(found) > _MOST_NAMED else ""
    pens = " and ".join(dict.fromkeys(one.pen for one in found))
    whom, who = ("her", "she") if len(found) == 1 else ("them", "they")
    return (
        f"{say_cows(len(found))} put into {pens}, which is on the steps of its plan: {named}{more}.",
        f"That is more than one gentle step for {whom}, or what {who} got is not known. Keep {whom} on the old ration, "
        f"or let {whom} begin the steps with the next pen that fills.",
    )
