"""How well two people agree: pass or practise, the figures, and cow by cow what each gave."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from herdscore.domain.crush_words import CrushWords
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.scale import show
from herdscore.pages.check_words import agreement_lines, claim_of_check
from herdscore.pages.check_work import CheckWork
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, card, column, row
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

_COLUMNS = (
    Column("tag", "Tag", width=130, weight=700),
    Column("one", "First", kind="number", right=True, width=110),
    Column("two", "Second", kind="number", right=True, width=110),
    Column("apart", "Apart", kind="number", right=True, width=90),
)
_LINES = 4


class CheckResult(QWidget):
    """Shown when both are done, or were asked to compare."""

    def __init__(self, look: Look, work: CheckWork, words: CrushWords) -> None:
        super().__init__()
        self.work = work
        self._words = words
        self.claim = label("", 18, 700, wrap=True)
        self.who = label("", 14, 400, "second", wrap=True)
        self.lines = [label("", 14, 400, wrap=True) for _ in range(_LINES)]
        self._box = Panel(column(self.claim, self.who, spacing=2, margins=(18, 12, 18, 12)), "ok", edged=True)
        self.cows = ListView(look, _COLUMNS, "What each gave")
        self.again = button("Done", "main", 14, 600)
        left = card(column(*self.lines, None, row(self.again, None), spacing=10, margins=(18, 14, 18, 14)))
        right = card(column((self.cows, 1), margins=(4, 4, 4, 4)))
        self.setLayout(column(self._box, (row((left, 1), (right, 1), spacing=12), 1), spacing=8))
        self.again.clicked.connect(work.leave)

    def focus_first(self) -> None:
        """Give the keyboard to Done."""
        self.again.setFocus()

    def renew(self) -> None:
        """Show how they agree."""
        work, rules = self.work, self.work.herd.rulebook.crush
        found = work.agreement()
        claim, hue = claim_of_check(found, rules)
        self.claim.setText(claim)
        self._box.show_hue(hue)
        one, two = work.names
        self.who.setText(f"{one} (first) and {two} (second), {say_day(work.day, work.herd.today)}")
        lines = agreement_lines(found, work.names, rules, self._words)
        for at, shown in enumerate(self.lines):
            shown.setText(lines[at] if at < len(lines) else "")
            shown.setVisible(at < len(lines))
        tags = work.tags()
        cows, first, second = work.scores()
        rows = []
        for cow, a, b in zip(cows, first.tolist(), second.tolist(), strict=True):
            texts = (tags[cow], show(round(a * 4)), show(round(b * 4)), say_number(b - a, 2, sign=True))
            rows.append(ListRow(cow, texts, (tags[cow], a, b, abs(b - a))))
        self.cows.show_rows(rows)
