"""The form a calving is recorded in: her tag, then how, sex, alive and save on one key each; more on demand."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QDate, QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QPushButton, QSizePolicy, QStackedWidget, QWidget
from typing_extensions import override

from herdscore.domain.calf_words import BULL_CALF, HEIFER_CALF
from herdscore.domain.calving_entry import CalvingEntry
from herdscore.pages.calving_matches import CowsThatFit
from herdscore.pages.calving_words import beside_entry, beside_tag
from herdscore.pages.calving_work import CalvingWork
from herdscore.pages.scoring_words import short_tag
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import column, holder, row
from herdscore.parts.fields import day_box, day_of, field
from herdscore.parts.labels import ShortenedLabel, label, restyle
from herdscore.parts.theme import Look

_NAMES = {
    Qt.Key.Key_Return: "enter",
    Qt.Key.Key_Enter: "enter",
    Qt.Key.Key_Escape: "escape",
    Qt.Key.Key_Backspace: "backspace",
    Qt.Key.Key_Left: "left",
    Qt.Key.Key_Right: "right",
}
_MORE_KEY = "f"
_NO_KEYS = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier


class _Keys(QWidget):
    """What has the keyboard while a calving is entered: every key goes to the form."""

    pressed = Signal(str)
    more_wished = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Calving: 0 to 5 how, B H sex, A D alive, Enter saves")

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = _NAMES.get(Qt.Key(event.key()), event.text())
        if event.modifiers() & _NO_KEYS or not key.strip() or not key.isprintable() or event.isAutoRepeat():
            super().keyPressEvent(event)
        elif key.lower() == _MORE_KEY:
            self.more_wished.emit()
        else:
            self.pressed.emit(key)


class CalvingForm(QWidget):
    """`undo_pressed()`; `more_shown(bool)`: the fields on demand opened or closed; the rest goes to the work."""

    undo_pressed = Signal()
    more_shown = Signal(bool)

    def __init__(self, look: Look, work: CalvingWork) -> None:
        super().__init__()
        self._look, self.work = look, work
        words = work.herd.rulebook.calving_words.ease
        self.tag = field("Tag", "tag", 20, 700, width=128)
        self.day = day_box("Day of calving", work.herd.today)
        self.time = field("Time of birth", "time", width=84)
        self.time.setToolTip("Time of birth: it starts the calf's clock. Empty: no clock.")
        self.claim, self.rest = ShortenedLabel(12, 600), ShortenedLabel(11, 400, "second")
        for one in (self.claim, self.rest):
            one.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.undo = button("Undo", height=44)
        self.save = button("Save", "main", weight=600, height=44)
        self.keys = _Keys()
        order = (1, 2, 3, 4, 5, 0)
        self.how = JoinedButtons([(str(code), f"{code} {words[code].word}") for code in order], "How she calved")
        self.sex = JoinedButtons([("B", "Bull"), ("H", "Heifer")], "Sex of the calf")
        self.alive = JoinedButtons([("A", "Alive"), ("D", "Dead")], "Calf alive")
        self.calf = JoinedButtons([("left", "1st calf"), ("right", "2nd calf")], "Which twin")
        self.twin, self.early = _toggle("Twin", "T"), _toggle("Premature", "M")
        self.lay, self.size_of = button("Lay normal", height=46), button("Size", height=46)
        self.lay.setToolTip("How the calf lay: each press the next (P)")
        self.size_of.setToolTip("Size of the calf: each press the next (S)")
        self.more = _toggle("More", "F")
        self.felt = field("Condition felt", "score felt")
        self.calf_tag = field("Tag of the calf", "calf's tag")
        self.weight = field("Weight of the calf", "weight kg")
        self.note = field("Note", "note")
        self.said = label("", 12, 600, wrap=True)
        self.fits = CowsThatFit()
        self._below = QStackedWidget()
        third = row(self.early, self.lay, self.size_of, self.felt, self.weight)
        self._more_row = holder(column(third, row((self.calf_tag, 1), (self.note, 2)), spacing=8))
        self._build()
        self._connect()
        self._show()

    def _build(self) -> None:
        for group in (self.how, self.sex, self.alive, self.calf):
            group.set_focus_policy(Qt.FocusPolicy.NoFocus)
        for one in (self.twin, self.early, self.lay, self.size_of, self.more, self.save, self.undo):
            one.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        for key in self.how.keys:
            self.how.button(key).setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        head = row(label("Record a calving", 14, 700), 8, (self.claim, 1), spacing=8)
        top = row(self.tag, self.day, self.time, None, self.undo, self.save, spacing=8)
        second = row(self.sex, self.alive, self.twin, self.calf, None, self.more)
        self.keys.setLayout(column(self.how, second, self._more_row, None, spacing=8))
        self._more_row.hide()
        self.calf.hide()
        self._below.addWidget(self.fits)
        self._below.addWidget(self.keys)
        self.setLayout(column(head, self.rest, top, (self._below, 1), self.said, spacing=6))

    def _connect(self) -> None:
        work = self.work
        work.moved.connect(self._show)
        self._look.changed.connect(self._show)
        self.tag.textEdited.connect(work.type_tag)
        self.tag.installEventFilter(self)
        self.fits.taken.connect(self._on_taken)
        self.keys.pressed.connect(self._press)
        self.keys.more_wished.connect(self._on_more)
        self.day.dateChanged.connect(lambda _: work.set_day(day_of(self.day)))
        self.time.textEdited.connect(work.set_time)
        self.undo.clicked.connect(self.undo_pressed)
        self.save.clicked.connect(lambda: self._press("enter"))
        for group in (self.how, self.sex, self.alive, self.calf):
            group.chosen.connect(self._press)
        for one, key in ((self.twin, "T"), (self.early, "M"), (self.lay, "P"), (self.size_of, "S")):
            one.clicked.connect(lambda _=False, key=key: self._press(key))
        self.more.clicked.connect(self._on_more)
        fields = {"score": self.felt, "weight": self.weight, "tag": self.calf_tag, "note": self.note}
        for name, box in fields.items():
            box.textEdited.connect(lambda text, name=name: work.set_field(name, text))
        for edit in (*fields.values(), self.time, self.day):
            edit.installEventFilter(self)

    def focus_first(self) -> None:
        """Give the keyboard to the tag box, or to the keys of the cow under the hand."""
        (self.tag if self.work.entry is None else self.keys).setFocus()

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        key = Qt.Key(event.key())
        if watched is self.tag:
            return self._tag_key(key)
        if _NAMES.get(key) in ("enter", "escape") and self.work.entry is not None:
            # Back from a field to the keys; what was typed stays.
            self.keys.setFocus()
            return True
        return False

    def _tag_key(self, key: Qt.Key) -> bool:
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.work.step(1 if key == Qt.Key.Key_Down else -1)
        elif _NAMES.get(key) == "enter":
            self.work.take_typed()
        elif _NAMES.get(key) == "escape":
            self.work.leave()
        else:
            return False
        if self.work.entry is not None:
            self.keys.setFocus()
        return True

    def _press(self, key: str) -> None:
        self.work.press(key)
        self.focus_first()

    def _on_taken(self, cow: int) -> None:
        self.work.take(cow)
        self.focus_first()

    def _on_more(self) -> None:
        shown = self._more_row.isHidden()
        self._show_more(shown=shown)
        if shown:
            self.felt.setFocus()
        else:
            self.keys.setFocus()

    def _show_more(self, *, shown: bool) -> None:
        if shown == self._more_row.isHidden():
            self._more_row.setVisible(shown)
            self._keep_height()
            self.more_shown.emit(shown)
        self.more.setChecked(shown)

    def _keep_height(self) -> None:
        """The rows shown are never squeezed."""
        inside = self.keys.layout() if self._below.currentIndex() else self.fits.layout()
        if inside is not None:
            inside.invalidate()
            self._below.setMinimumHeight(inside.minimumSize().height())

    def _show(self) -> None:
        entry, herd = self.work.entry, self.work.herd
        entering = entry is not None
        self._below.setCurrentIndex(1 if entering else 0)
        self.tag.setReadOnly(entering)
        for one in (self.day, self.time, self.save):
            one.setEnabled(entering)
        self.undo.setEnabled(herd.undo_stack.canUndo() and herd.can_write)
        if entry is None:
            _put(self.tag, self.work.typed)
            _put(self.time, "")
            claim, rest = beside_tag(self.work)
            self._show_more(shown=False)
            self.fits.show_cows(self.work)
        else:
            _put(self.tag, short_tag(str(herd.snapshot.cows.tag[herd.snapshot.cow_place[entry.cow_id]])))
            claim, rest = beside_entry(self.work, entry)
            self._show_entry(entry)
        self.claim.show_words(claim)
        self.rest.show_words(rest)
        self._say(entry)
        self._keep_height()

    def _show_entry(self, entry: CalvingEntry) -> None:
        self.day.blockSignals(True)
        self.day.setMaximumDate(_qdate(self.work.herd.today))
        self.day.setDate(_qdate(entry.day))
        self.day.blockSignals(False)
        _put(self.time, self.work.time)
        _choose(self.how, "" if entry.how is None else str(entry.how))
        _choose(self.sex, {BULL_CALF: "B", HEIFER_CALF: "H"}.get(entry.calf.sex or "", ""))
        _choose(self.alive, {True: "A", False: "D", None: ""}[entry.calf.alive])
        self.twin.setChecked(entry.twins)
        self.calf.setVisible(entry.twins)
        _choose(self.calf, "right" if entry.active else "left")
        self.early.setChecked(entry.premature)
        self.lay.setText(f"Lay: {entry.calf.presentation or 'normal'}")
        self.size_of.setText(f"Size: {entry.calf.size}" if entry.calf.size else "Size")
        _put(self.felt, entry.score)
        _put(self.weight, entry.calf.weight)
        _put(self.calf_tag, entry.calf.tag)
        _put(self.note, entry.note)

    def _say(self, entry: CalvingEntry | None) -> None:
        sentence = self.work.sentence
        self.said.setText(sentence)
        self.said.setVisible(bool(sentence))
        wrong = entry is not None and bool(entry.notice)
        restyle(self.said, "tone", "thin" if wrong else "hold" if entry is not None and entry.asks else "second")


def _toggle(words: str, key: str) -> QPushButton:
    made = button(words, height=46)
    made.setCheckable(True)
    made.setProperty("kind", "pill")
    made.setToolTip(f"Key {key}")
    return made


def _choose(group: JoinedButtons, key: str) -> None:
    if key:
        group.choose(key)
    else:
        group.clear_choice()


def _put(edit: QLineEdit, text: str) -> None:
    if edit.text() != text:
        edit.setText(text)


def _qdate(day: date) -> QDate:
    return QDate(day.year, day.month, day.day)
