"""The card that proposes to split a group: what is noted of it, one need to a pen, who stays, other ways to split."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QWidget

from herdscore.domain.assess import Assessment
from herdscore.domain.diets import group_key
from herdscore.domain.group_split import BY_DATE, BY_NEED, Pen, Split, side_of_pen
from herdscore.domain.notes import Note
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.verdict import FAT, THIN
from herdscore.pages.cow_words import say_cows
from herdscore.parts.buttons import JoinedButtons, button, choice_box
from herdscore.parts.cards import column, holder, row
from herdscore.parts.flow import flow
from herdscore.parts.labels import label
from herdscore.parts.marks import MarkGlyph
from herdscore.parts.theme import Look

MOST_PENS = 4
TOGETHER = "All together"


class SplitCard(QWidget):
    """`asked()`: another group, number of pens or way to split; `detail_wished()`: who goes where."""

    asked = Signal()
    group_chosen = Signal(int)
    detail_wished = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.group_box = choice_box("Group to split", points=12)
        self.pens = JoinedButtons([(f"{n}", f"{n}") for n in range(2, MOST_PENS + 1)], "Pens", width=44)
        self.by = JoinedButtons(((BY_NEED, "By need"), (BY_DATE, "By date")), "Split by", width=76)
        self.detail_button = button("Who goes where", "main")
        self._notes = label("", 11, wrap=True)
        self._pens = [PenRow(look) for _ in range(MOST_PENS)]
        self._title = label("", 14, 700, wrap=True)
        self._stay = label("", 11, tone="second", wrap=True)
        self._lay_out()
        self.pens.choose("3")
        self.by.choose(BY_NEED)
        self.group_box.activated.connect(self.group_chosen)
        self.pens.chosen.connect(lambda _: self.asked.emit())
        self.by.chosen.connect(lambda _: self.asked.emit())
        self.detail_button.clicked.connect(self.detail_wished)

    def _lay_out(self) -> None:
        self._words = label("Pens", 12, tone="second")
        head = row((self._title, 1), self.group_box, spacing=8)
        ways = holder(row(self._words, self.pens, spacing=6))
        self._foot = flow(self.detail_button, self.by, ways, spacing=8)
        self.setLayout(
            column(
                head,
                self._notes,
                column(*self._pens, spacing=2),
                self._stay,
                2,
                self._foot,
                spacing=6,
                margins=(14, 10, 12, 10),
            )
        )

    @property
    def count(self) -> int:
        """Pens asked for."""
        return int(self.pens.current)

    @property
    def way(self) -> str:
        """By need or by date."""
        return self.by.current

    def show_groups(self, names: Sequence[str], chosen: int) -> None:
        """Fill the box of groups; the place behind the last is all of them together."""
        items = [*names, TOGETHER]
        self.group_box.blockSignals(True)
        if [self.group_box.itemText(at) for at in range(self.group_box.count())] != items:
            self.group_box.clear()
            self.group_box.addItems(items)
            self.group_box.setMinimumContentsLength(10)
            self.group_box.setSizeAdjustPolicy(self.group_box.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.group_box.setCurrentIndex(min(chosen, len(names)))
        self.group_box.blockSignals(False)

    def show_most(self, farm_pens: int) -> None:
        """Offer no more pens than the farm has."""
        for number in range(2, MOST_PENS + 1):
            one = self.pens.button(f"{number}")
            one.setEnabled(number <= farm_pens)
            one.setToolTip("" if number <= farm_pens else f"The farm has {farm_pens} pens (Settings: Pens)")
        if self.count > farm_pens:
            self.pens.choose(f"{max(2, min(farm_pens, MOST_PENS))}")

    def show_split(self, assessment: Assessment, made: Split, notes: Sequence[Note], tags: Sequence[str]) -> None:
        """Show a proposal and what is noted of the group."""
        useful = len(made.pens) > 1 and bool(made.moves)
        self._notes.setText("\n".join(f"{one.word[0].upper()}{one.word[1:]}. {one.say}" for one in notes))
        self._notes.setToolTip("\n".join(f"{one.word}: {one.source}" for one in notes))
        self._notes.setVisible(bool(notes))
        for at, line in enumerate(self._pens):
            line.setVisible(useful and at < len(made.pens))
            if useful and at < len(made.pens):
                line.show_pen(assessment, made, made.pens[at])
        self._title.setText(_title(made, useful=useful))
        self._stay.setText(stay_words(made, tags))
        self._stay.setVisible(bool(made.held))
        self.detail_button.setEnabled(useful)


class PenRow(QWidget):
    """One pen of a split in a line."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._glyph = MarkGlyph(look, "dot", 16)
        self._name = label("", 12, 600)
        self._said: QLabel = label("", 11, tone="second", wrap=True)
        self.setLayout(row(self._glyph, self._name, (self._said, 1), spacing=8))

    def show_pen(self, assessment: Assessment, made: Split, pen: Pen) -> None:
        """Show another pen."""
        side = side_of_pen(assessment, np.array(pen.cows, dtype=np.intp)) if made.by == BY_NEED else 0
        self._glyph.show_mark({THIN: "now_up", FAT: "now_down"}.get(side, "dot"))
        self._name.setText(pen.name)
        self._said.setText(pen_words(assessment, made, pen))


def _title(made: Split, *, useful: bool) -> str:
    if useful:
        what = "one need to a pen" if made.by == BY_NEED else "by when they calve"
        return f"Split like this: {what}"
    return "Nobody to move" if not made.pens or not made.moves else "One pen will do"


def pen_words(assessment: Assessment, made: Split, pen: Pen) -> str:
    """Cows of a pen, what they want, and where they come from."""
    a = assessment
    if made.by == BY_NEED:
        what = f"{say_number(pen.mean, 2, sign=True)} a week wanted"
    else:
        first, last = (say_day(a.day(day), a.today) for day in (pen.low, pen.high))
        what = f"calve {first}" if first == last else f"calve {first} to {last}"
    came = Counter(group for cow, group, name in made.moves if name == pen.name)
    here = len(pen.cows) - sum(came.values())
    parts = [f"{count} from {group or 'no group'}" for group, count in came.most_common()]
    parts += [f"{here} stay"] if here else []
    if len(parts) == 1 and here == len(pen.cows):
        parts = ["all stay"]
    return f"{say_cows(len(pen.cows))}, {what}; {', '.join(parts)}"


def stay_words(made: Split, tags: Sequence[str]) -> str:
    """Who stays where he is and why, the first few by tag."""
    said = []
    for held in made.held:
        named = ", ".join(tags[cow] for cow in held.cows[:3])
        more = " …" if len(held.cows) > 3 else ""
        said.append(f"{held.why} {len(held.cows)} ({named}{more})")
    return f"Not moved: {', '.join(said)}." if said else ""


def names_clash(names: Sequence[str]) -> str:
    """What is wrong with the names of pens, "" when nothing is."""
    keys = [group_key(name) for name in names]
    if not all(keys):
        return "Every pen needs a name."
    if len(set(keys)) < len(keys):
        return "Two pens bear one name."
    return ""
