"""What was read from a sheet before anything is written: questions, every problem in its place, three ways on."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.desk.reading import (
    DAY_FIRST,
    MONTH_FIRST,
    PROBLEM,
    Answers,
    DateOrderQuestion,
    Draft,
    NewCowsQuestion,
    RowProblem,
)
from herdscore.parts.buttons import button
from herdscore.parts.cards import PAGE_MARGINS, card, column, holder, row, scrolled
from herdscore.parts.labels import label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import WIDE_PX, ListView
from herdscore.parts.question_band import QuestionBand
from herdscore.parts.theme import Look

COLUMNS = (
    Column("sheet", "Sheet", width=104, weight=600),
    Column("row", "Row", "number", right=True, width=64),
    Column("column", "Column", width=140),
    Column("says", "It says", width=180, weight=600),
    Column("wrong", "What is wrong", width=280),
    Column("comes_in_as", "With the good rows it comes in as", width=300),
)
BANDS_PX = 236
NEW_COWS = ("Scores", "")
YES, NO = "yes", "no"
Key = tuple[str, str]


class ProblemsPage(QWidget):
    """`answered(Answers)`: a question was answered. Ways on: `use_good_rows(Answers)`, `read_again`, `save_list`."""

    answered = Signal(object)
    use_good_rows = Signal(object)
    read_again = Signal()
    save_list = Signal()
    cancelled = Signal()
    title = "Problems in the sheet"

    def __init__(self, look: Look, draft: Draft) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._asked: dict[Key, DateOrderQuestion | NewCowsQuestion] = {}
        self._orders: dict[Key, str] = {}
        self._add_cows: bool | None = None
        self._claim = label("", 20, 700, wrap=True)
        self._rest = label("", 12, 400, "second", wrap=True)
        self._bands = QVBoxLayout()
        self._bands.setContentsMargins(0, 0, 0, 0)
        self._bands.setSpacing(8)
        self._band_room = scrolled(holder(self._bands))
        self._list = ListView(look, COLUMNS, "Problems")
        self._list.chosen.connect(self._on_row_chosen)
        self._said = label("", 12, 400, wrap=True)
        self._said.setMinimumHeight(44)
        self._said.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._use = button("Use the good rows", "main", 14, 600, height=56)
        self._use.clicked.connect(lambda: self.use_good_rows.emit(self.answers))
        again, save = (
            button(words, "", 14, 600, height=56) for words in ("Mend the sheet, read again", "Save this list")
        )
        again.clicked.connect(self.read_again)
        save.clicked.connect(self.save_list)
        self._save = save
        cancel = button("Cancel", "", 14, 600, height=56)
        cancel.clicked.connect(self.cancelled)
        nothing = label("Nothing is written until you choose.", 12, 400, "second", wrap=True, right=True)
        self._card = card(column((self._list, 1), spacing=0, margins=(10, 8, 10, 8)))
        inside = column(
            self._claim,
            self._rest,
            6,
            self._band_room,
            (self._card, 1),
            self._said,
            row(self._use, again, save, cancel, (nothing, 1), spacing=10),
            spacing=6,
            margins=PAGE_MARGINS,
        )
        self.setLayout(inside)
        self.show_draft(draft)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._list.widen(1.25 if self.window().width() >= WIDE_PX else 1.0)

    @property
    def answers(self) -> Answers:
        """What has been answered so far."""
        return Answers(dict(self._orders), self._add_cows)

    def focus_first(self) -> None:
        """Give the keyboard to the first open question, else to the main button."""
        for place in range(self._bands.count()):
            item = self._bands.itemAt(place)
            band = item.widget() if item is not None else None
            if isinstance(band, QuestionBand) and not band.is_answered:
                band.focus_first()
                return
        self._use.setFocus()

    def show_draft(self, draft: Draft) -> None:
        """Show what was read; answers given stay."""
        self._draft = draft
        problems = sum(problem.severity == PROBLEM for problem in draft.problems)
        notes = len(draft.problems) - problems
        counts = [_count(draft.counts["cows"], "cow"), _count(draft.counts["scores"], "score")]
        counts.append(_count(problems, "problem") if problems else "no problems")
        if notes:
            counts.append(_count(notes, "note"))
        self._claim.setText(f"{draft.name}: {', '.join(counts)}")
        self._rest.setText(
            "Everything that could be read is ready. Nothing is left out silently: each row below comes in as the "
            "last column says."
            if draft.problems
            else "Everything was read."
        )
        self._use.setText("Use the good rows" if problems or draft.questions else "Open this herd")
        self._show_questions(draft)
        self._list.show_rows([_row(place, problem) for place, problem in enumerate(draft.problems)])
        self._list.setVisible(bool(draft.problems))
        self._save.setEnabled(bool(draft.problems))
        self._list.choose(0)
        self._on_row_chosen(self._list.current_key())

    def _show_questions(self, draft: Draft) -> None:
        for question in draft.questions:
            self._asked[_key(question)] = question
        while (item := self._bands.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.hide()
                old.deleteLater()
        for key, question in self._asked.items():
            if isinstance(question, NewCowsQuestion):
                band = _new_cows_band(question, self._add_cows)
            else:
                band = _date_band(question, self._orders.get(key, ""))
            band.answered.connect(lambda answer, key=key: self._on_answered(key, answer))
            self._bands.addWidget(band)
            band.show()
        self._band_room.setVisible(bool(self._asked))
        needed = self._bands.sizeHint().height() + 2
        self._band_room.setFixedHeight(min(needed, BANDS_PX))

    def _on_answered(self, key: Key, answer: str) -> None:
        if key == NEW_COWS:
            self._add_cows = answer == YES
        else:
            self._orders[key] = answer
        self.answered.emit(self.answers)

    def _on_row_chosen(self, place: object) -> None:
        problem = self._draft.problems[place] if isinstance(place, int) else None
        self._said.setText("" if problem is None else _in_words(problem))


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _key(question: DateOrderQuestion | NewCowsQuestion) -> Key:
    return NEW_COWS if isinstance(question, NewCowsQuestion) else (question.sheet, question.column)


def _date_band(question: DateOrderQuestion, chosen: str) -> QuestionBand:
    dates = "1 date in this column reads" if question.count == 1 else f"{question.count} dates in this column read"
    answers = [
        (DAY_FIRST, f"{question.day_first.day} {question.day_first:%B}"),
        (MONTH_FIRST, f"{question.month_first.day} {question.month_first:%B}"),
    ]
    rest = f"{dates} either way, none decides it. Asked once for the column, never guessed."
    return QuestionBand(question.text, rest, answers, chosen)


def _new_cows_band(question: NewCowsQuestion, added: bool | None) -> QuestionBand:
    named = ", ".join(question.tags[:12])
    more = f" and {len(question.tags) - 12} more" if len(question.tags) > 12 else ""
    one = len(question.tags) == 1
    answers = [(YES, "Add her" if one else "Add them"), (NO, "Leave her out" if one else "Leave them out")]
    rest = f"{named}{more}. Left out, {'her' if one else 'their'} scores are left out too."
    return QuestionBand(question.text, rest, answers, {None: "", True: YES, False: NO}[added])


def _row(place: int, problem: RowProblem) -> ListRow:
    at = "all" if problem.row is None else str(problem.row)
    says = f"“{problem.says}”" if problem.says else ""
    texts = (problem.sheet, at, problem.column, says, problem.wrong, problem.comes_in_as)
    values = (problem.sheet, problem.row, problem.column, problem.says, problem.wrong, problem.comes_in_as)
    return ListRow(place, texts, values, done=problem.severity != PROBLEM)


def _in_words(problem: RowProblem) -> str:
    """One problem in full, for a cell that was too narrow."""
    where = ", ".join(
        part for part in (problem.sheet, f"row {problem.row}" if problem.row else "", problem.column) if part
    )
    says = f" says “{problem.says}”" if problem.says else ""
    parts = [
        f"{where}{says}: {problem.wrong}.",
        f"It comes in as: {problem.comes_in_as}." if problem.comes_in_as else "",
    ]
    return " ".join(part for part in (*parts, problem.what_to_do) if part)
