"""Small forms on a cow's page: a weighing, her note, and a score mended."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.desk.edits import strike_score
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.records import Cow, Score
from herdscore.domain.score_form import SITES, Read, read_note, read_score, read_weight, typed_score
from herdscore.domain.typed_day import say_whole_day
from herdscore.pages.form_keys import form_key
from herdscore.parts.asked import Asked, asked_choice, asked_line, say_problems, typed_in
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, holder, row, scrolled
from herdscore.parts.labels import label


class RecordForm(QWidget):
    """Fields, Save and Cancel. `written(words)`: saved; `left()`: not now. Enter saves, Esc leaves."""

    written = Signal(str)
    left = Signal()

    def __init__(self, herd: OpenHerd, *lines: Mapping[str, Asked], with_strike: bool = False) -> None:
        super().__init__()
        self._herd = herd
        self.fields = {name: asked for line in lines for name, asked in line.items()}
        self.title = label("", 14, 700, wrap=True)
        self.save_button, self.cancel_button = button("Save", "main"), button("Cancel")
        self.strike_button = button("Strike out")
        if not with_strike:
            self.strike_button.hide()
        self._why_not = label("", 11, tone="second", wrap=True)
        self._read: Callable[[], Read] | None = None
        self._words = ""
        rows = [row(*((asked, 1) for asked in line.values()), spacing=6) for line in lines]
        inside = column(*rows, None, spacing=6, margins=(14, 0, 10, 4))
        buttons = row(self.save_button, self.cancel_button, None, spacing=6)
        foot = column(self._why_not, self.strike_button, buttons, spacing=6, margins=(14, 0, 10, 0))
        top = row(self.title, margins=(14, 0, 10, 0))
        self.setLayout(column(top, (scrolled(holder(inside)), 1), foot, spacing=8, margins=(0, 10, 0, 10)))
        self.save_button.clicked.connect(self.save)
        self.cancel_button.clicked.connect(self.left)

    def ask(self, title: str, words: str, typed: Mapping[str, str], read: Callable[[], Read]) -> None:
        """Ask with fields filled in; `read` reads them, `words` name the step that can be taken back."""
        self.title.setText(title)
        self._words, self._read = words, read
        for name, asked in self.fields.items():
            asked.put(typed.get(name, ""))
            asked.say("")
        self._why_not.setText(self._herd.why_not)
        self._why_not.setVisible(not self._herd.can_write)
        for one in (self.save_button, self.strike_button):
            one.setEnabled(self._herd.can_write)

    def typed(self) -> dict[str, str]:
        """What stands in the fields."""
        return typed_in(self.fields)

    def save(self) -> None:
        """Write what is typed; what is wrong is said at its field and nothing is lost."""
        if self._read is None or not self._herd.can_write:
            return
        read = self._read()
        if say_problems(self.fields, read.problems):
            return
        if read.change is None:
            self.left.emit()
        elif self._herd.push(read.change, self._words):
            self.written.emit(self._words)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not form_key(event, self.save, self.left.emit):
            super().keyPressEvent(event)


class WeightForm(RecordForm):
    """A weighing."""

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__(herd, {"weight": asked_line("Weight, kg", "640"), "day": asked_line("Day", "18 Apr")})

    def ask_cow(self, cow_id: str, tag: str) -> None:
        """Ask what a cow weighs, today unless another day is typed."""
        herd = self._herd
        typed = {"day": say_whole_day(herd.herd_day)}
        self.ask(
            f"Weigh {tag}",
            f"weight of {tag}",
            typed,
            lambda: read_weight(self.typed(), cow_id, herd.rulebook, herd.herd_day),
        )
        self.fields["weight"].take_keyboard()


class NoteForm(RecordForm):
    """Her note in the register."""

    def __init__(self, herd: OpenHerd) -> None:
        super().__init__(herd, {"note": asked_line("Note", "lame off fore, quiet …")})

    def ask_cow(self, cow: Cow) -> None:
        """Ask what stands as her note."""
        self.ask(
            f"Note of {cow.tag}", f"note of {cow.tag}", {"note": cow.note or ""}, lambda: read_note(self.typed(), cow)
        )
        self.fields["note"].take_keyboard()


class ScoreForm(RecordForm):
    """A score mended, or struck out; the journal keeps what it was."""

    def __init__(self, herd: OpenHerd) -> None:
        lines = (
            {site: asked_line(site.capitalize(), "2.25") for site in SITES},
            {
                "score": asked_line("Overall, no site felt", "2.5"),
                "by_eye": asked_choice("How", (("", "by hand"), ("yes", "by eye"))),
            },
            {"day": asked_line("Day", "18 Apr"), "scorer": asked_line("Scorer")},
            {"note": asked_line("Note", "feet, teeth …")},
        )
        super().__init__(herd, *lines, with_strike=True)
        self._score: Score | None = None
        self.strike_button.clicked.connect(self.strike)

    def ask_score(self, score: Score, tag: str) -> None:
        """Ask what a score should have been."""
        self._score = score
        words = f"score of {tag} mended"
        self.ask(
            f"Score of {tag}",
            words,
            typed_score(score),
            lambda: read_score(self.typed(), score, self._herd.herd_day),
        )
        first = "loin" if score.loin is not None or score.score is None else "score"
        self.fields[first].take_keyboard()

    def strike(self) -> None:
        """Take the score out; the journal keeps it, and it can be taken back."""
        if self._score is not None and self._herd.push(strike_score(self._score), "score struck out"):
            self.written.emit("score struck out")
