"""Small cards beside a plan: who is left out of it, what a group is on, and how the last plan was followed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame

from herdscore.domain.assess import Assessment
from herdscore.domain.feeding_cows import LeftOut, Why
from herdscore.domain.feeding_followed import Followed, followed_words
from herdscore.domain.group_questions import GroupQuestion
from herdscore.domain.reasons import say_day
from herdscore.domain.records import GRASS, TO_HOLD, UNKNOWN_DIET, WINTER_FEED
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import column, row
from herdscore.parts.labels import label
from herdscore.parts.marks import MarkGlyph
from herdscore.parts.theme import Look

_MOST_NAMED = 8
_MARGINS = (14, 8, 14, 10)
KINDS = ((WINTER_FEED, "Winter feed"), (GRASS, "Grass"), (TO_HOLD, "Feed to hold"), (UNKNOWN_DIET, "Not sure"))


class _Aside(QFrame):
    def __init__(self, look: Look, mark: str) -> None:
        super().__init__()
        self.setProperty("kind", "card")
        self.title = label("", 14, 700, wrap=True)
        self.words = label("", 11, wrap=True)
        self._head = row(MarkGlyph(look, mark, 14), (self.title, 1), spacing=8)


class LeftOutCard(_Aside):
    """`apart_wished()`: those who stand in the way are to get a pen of their own."""

    apart_wished = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__(look, "square")
        self.title.setText("Left out of the plan")
        self.others = label("", 11, 400, "second", wrap=True)
        self.button = button("Pen them apart")
        self.button.clicked.connect(self.apart_wished)
        self.setLayout(column(self._head, self.words, self.others, row(self.button, None), spacing=4, margins=_MARGINS))

    def show_cows(self, apart: Sequence[LeftOut], others: Sequence[LeftOut], why_not: str) -> None:
        """Those in the way of a start, and those no plan counts; hidden when there is nobody."""
        named = {one.row for one in apart}
        others = [one for one in others if one.row not in named]
        self.setVisible(bool(apart) or bool(others))
        self.words.setVisible(bool(apart))
        self.words.setText(apart_words(apart))
        self.button.setVisible(bool(apart))
        self.button.setText("Pen her apart" if len(apart) == 1 else "Pen them apart")
        self.button.setEnabled(not why_not)
        self.button.setToolTip(why_not)
        self.others.setVisible(bool(others))
        self.others.setText(others_words(others))


def apart_words(apart: Sequence[LeftOut]) -> str:
    """Who stands in the way, why, and what becomes of them."""
    said = []
    for why in dict.fromkeys(one.why for one in apart):
        mine = [one for one in apart if one.why is why]
        named = [f"{one.tag} ({one.days:.0f} days)" if why is Why.TOO_LATE else one.tag for one in mine]
        said.append(f"{_listed(named)}: {why.value}.")
    keep = "She keeps" if len(apart) == 1 else "They keep"
    return " ".join([*said, f"{keep} the old ration, apart."]) if said else ""


def others_words(others: Sequence[LeftOut]) -> str:
    """Cows the plan does not count, by the reason."""
    said = []
    for why in dict.fromkeys(one.why for one in others):
        mine = [one.tag for one in others if one.why is why]
        said.append(f"{_listed(mine)}: {why.value}.")
    return "Not counted: " + " ".join(said) if said else ""


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_MOST_NAMED])
    more = len(names) - _MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown


class DietQuestionCard(_Aside):
    """`answered(kind)`: what a group without a diet is on."""

    answered = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__(look, "cross")
        self.kinds = JoinedButtons(KINDS, "What it is on", 11, height=44)
        self.kinds.chosen.connect(self._on_chosen)
        self.setLayout(column(self._head, self.words, row(self.kinds, None), spacing=6, margins=_MARGINS))

    def show_question(self, asked: GroupQuestion | None, worth: str, why_not: str) -> None:
        """A question, with what its answer buys; hidden without one."""
        self.setVisible(asked is not None)
        if asked is None:
            return
        self.title.setText(asked.title)
        self.words.setText(why_not or worth)
        self.kinds.clear_choice()
        self.kinds.setEnabled(not why_not)

    def _on_chosen(self, kind: str) -> None:
        self.kinds.clear_choice()
        self.answered.emit(kind)


class FollowedCard(_Aside):
    """`taken()`: the adjustment offered is to be used."""

    taken = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__(look, "again")
        self.title.setText("Expected and seen")
        self.button = button("")
        self.button.clicked.connect(self.taken)
        self.setLayout(column(self._head, self.words, row(self.button, None), spacing=4, margins=_MARGINS))

    def show_followed(self, found: Followed | None, a: Assessment, why_not: str) -> None:
        """What came of the diet a group is on; hidden before a new score."""
        self.setVisible(found is not None)
        if found is None:
            return
        self.title.setText(f"Expected and seen, {say_day(found.begun, a.today)} to {say_day(found.last, a.today)}")
        self.words.setText(followed_words(found))
        offered = found.seen.maintenance_offered
        self.button.setVisible(offered is not None)
        if offered is not None:
            self.button.setText(f"Reckon with {offered:.2f} times the book's maintenance")
            self.button.setEnabled(not why_not)
            self.button.setToolTip(why_not or "A setting of the herd: it goes into the journal and can be taken back.")
