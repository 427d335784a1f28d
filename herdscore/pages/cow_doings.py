"""The right side of a cow's page: why and history, or the form of what is written down of her, in place."""

from __future__ import annotations

from functools import cached_property
from typing import TypeVar

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLayout, QSizePolicy, QStackedWidget, QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.records import Cow, Score
from herdscore.pages.cow_side import CowSide
from herdscore.pages.form_keys import form_key
from herdscore.pages.move_panel import MovePanel
from herdscore.pages.record_forms import NoteForm, ScoreForm, WeightForm
from herdscore.pages.service_one import OneCowEntry
from herdscore.parts.buttons import button
from herdscore.parts.cards import card, column, row
from herdscore.parts.fields import take_no_files
from herdscore.parts.labels import label
from herdscore.parts.theme import Look

WEIGHT, SERVICE, NOTE, MOVE = "w", "s", "n", "g"
WAYS = ((WEIGHT, "Weight"), (SERVICE, "Service or scan"), (NOTE, "Note"), (MOVE, "Move to a group"))
_SERVICE_PX = 410
LETTERS = tuple(key for key, _ in WAYS)
MENU, SCORE = "menu", "score"


class _Menu(QWidget):
    """What can be written down. `chosen(key)`; `left()`."""

    chosen = Signal(str)
    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.buttons = {key: button(f"{words}   {key.upper()}") for key, words in WAYS}
        hint = label("Enter mends a score in “Records”, Delete strikes it out.", 11, tone="second", wrap=True)
        back = button("Cancel")
        self.setLayout(
            column(
                label("Write down", 14, 700),
                *self.buttons.values(),
                hint,
                None,
                back,
                spacing=8,
                margins=(14, 10, 12, 10),
            )
        )
        for key, one in self.buttons.items():
            one.clicked.connect(lambda _=False, key=key: self.chosen.emit(key))
        back.clicked.connect(self.left)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.text().lower() in LETTERS:
            self.chosen.emit(event.text().lower())
        elif not form_key(event, lambda: None, self.left.emit):
            super().keyPressEvent(event)


Form = TypeVar("Form", _Menu, WeightForm, NoteForm, ScoreForm, OneCowEntry, MovePanel)


class CowDoings(QWidget):
    """`said(words)`: what was written; `left()`: a form was closed, the keyboard is free."""

    said = Signal(str)
    left = Signal()

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self._herd = herd
        self._assessment: Assessment | None = None
        self._cow_id = ""
        self._px = _SERVICE_PX
        self.side = CowSide()
        self.write_button = button("Write down …", "main")
        self.write_button.setToolTip("W weight, S service or scan, N note, G to a group")
        self._look = look
        self._stack = QStackedWidget()
        self._calm = QWidget()
        self._calm.setLayout(column((self.side, 1), self.write_button, spacing=10))
        self._stack.addWidget(self._calm)
        self._cards: dict[str, QWidget] = {}
        self.setLayout(row((self._stack, 1)))
        self.write_button.clicked.connect(lambda: self.begin(MENU))

    # Forms, made when they are first wanted

    @cached_property
    def menu(self) -> _Menu:
        """What can be written down."""
        made = _Menu()
        made.chosen.connect(self.begin)
        return self._add(MENU, made, row(made))

    @cached_property
    def weight(self) -> WeightForm:
        """Her weight."""
        return self._add(WEIGHT, made := WeightForm(self._herd), row(made))

    @cached_property
    def note(self) -> NoteForm:
        """A note on her."""
        return self._add(NOTE, made := NoteForm(self._herd), row(made))

    @cached_property
    def score(self) -> ScoreForm:
        """One of her scores, to be mended."""
        return self._add(SCORE, made := ScoreForm(self._herd), row(made))

    @cached_property
    def service(self) -> OneCowEntry:
        """A service or a scan."""
        made = OneCowEntry(self._look, self._herd)
        made.many_button.setMaximumWidth(0)  # for many cows there is the herd page
        return self._add(SERVICE, made, row(made))

    @cached_property
    def move_panel(self) -> MovePanel:
        """Her move to a group."""
        made = MovePanel(self._herd, narrow=True)
        made.moved.connect(self.close_form)
        return self._add(MOVE, made, column(made, None))

    def _add(self, key: str, form: Form, inside: QLayout) -> Form:
        self._cards[key] = made = card(inside)
        made.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._stack.addWidget(made)
        take_no_files(made)
        form.left.connect(self.close_form)
        if isinstance(form, WeightForm | NoteForm | ScoreForm | OneCowEntry):
            form.written.connect(self._on_written)
        return form

    @property
    def is_open(self) -> bool:
        """Whether a form stands in the place of why and history."""
        return self._stack.currentWidget() is not self._calm

    def widen(self, px: int) -> None:
        """Take so many px across; the form of services takes more while it is open."""
        self._px = px
        wide = SERVICE in self._cards and self._stack.currentWidget() is self._cards[SERVICE]
        self.setFixedWidth(max(px, round(_SERVICE_PX * px / 300)) if wide and px < _SERVICE_PX else px)

    def _show(self, key: str = "") -> None:
        """Bring a form to the front that is made by now; "" why and history."""
        self._stack.setCurrentWidget(self._cards[key] if key else self._calm)
        self.widen(self._px)

    def show_cow(self, assessment: Assessment, cow: int) -> None:
        """Show the cow at a place of the herd; a form begun for another cow is closed."""
        cow_id = str(assessment.snapshot.cows.id[cow])
        if cow_id != self._cow_id:
            self._show()
        self._assessment, self._cow_id = assessment, cow_id
        self.side.show_cow(assessment, cow)
        self.write_button.setEnabled(self._herd.can_write)

    def begin(self, key: str) -> None:
        """Open a form for the cow shown."""
        place = self._herd.snapshot.cow_place.get(self._cow_id)
        if place is None or self._assessment is None or not self._herd.can_write:
            return
        record = self._herd.snapshot.record("cows", place)
        assert isinstance(record, Cow)
        if key == WEIGHT:
            weight = self.weight
            self._show(key)
            weight.ask_cow(record.id, record.tag)
        elif key == NOTE:
            note = self.note
            self._show(key)
            note.ask_cow(record)
        elif key == SERVICE:
            service = self.service
            self._show(key)
            service.show_rights()
            service.show_cow(self._assessment, record.id)
            service.focus_first()
        elif key == MOVE:
            panel = self.move_panel
            self._show(key)
            panel.ask([record.id])
        else:
            menu = self.menu
            self._show(key)
            next(iter(menu.buttons.values())).setFocus()

    def mend(self, score: Score) -> None:
        """Open the form of a score of the cow shown."""
        place = self._herd.snapshot.cow_place.get(score.cow_id)
        if place is not None:
            form = self.score
            self._show(SCORE)
            form.ask_score(score, str(self._herd.snapshot.cows.tag[place]))

    def close_form(self) -> None:
        """Back to why and history."""
        self._show()
        self.left.emit()

    def _on_written(self, words: str) -> None:
        self.close_form()
        self.said.emit(words if words.endswith(".") else f"Written: {words}.")
