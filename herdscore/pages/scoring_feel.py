"""The cow under the hand: three rows of keys, what the hand feels, notes, and the key that saves."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from herdscore.domain.felt_words import SITES, SiteWords
from herdscore.domain.rule_forms import SheetLimits
from herdscore.domain.scoring_entry import NOTES, Asks, Entry, Sites
from herdscore.pages.scoring_fields import EntryField, field_words
from herdscore.pages.scoring_steps import FIELD_KEYS
from herdscore.pages.scoring_words import SITE_NAMES
from herdscore.parts.buttons import button
from herdscore.parts.cards import card, column, holder, row
from herdscore.parts.crush_keys import NoteKey
from herdscore.parts.feel_drawing import FeelDrawing
from herdscore.parts.labels import label
from herdscore.parts.score_keys import RowState, ScoreRow, key_of, score_words
from herdscore.parts.theme import Look

_HINTS = "1–5 score, again + ½, + − quarter\n= for all sites   Enter next   Esc back"
_SHORT_HINTS = "1–5 score, again + ½; + − quarter; = all sites"
_SAVE_WORDS = ("Save, next cow", "Save as felt", "Replace it", "Confirmed, save", "Next cow")
_SAVE_EDGES_PX = 44


class FeelPanel(QWidget):
    """`pressed(str)`: a key of `scoring_entry.press` was meant by mouse; `key_pressed(site, place)`: a score key.

    `field_left`: the small field is closed, the keyboard may go back to the cow.
    """

    pressed = Signal(str)
    key_pressed = Signal(int, int)
    field_left = Signal()

    def __init__(self, look: Look, words: dict[str, SiteWords], limits: SheetLimits) -> None:
        super().__init__()
        self._words = words
        self.rows = tuple(ScoreRow(look, name) for name in SITE_NAMES)
        for site, one in enumerate(self.rows):
            one.pressed.connect(lambda place, site=site: self.key_pressed.emit(site, place))
        self.notes = {key: NoteKey(look, key, word.capitalize()) for key, word in NOTES.items()}
        for key, note in self.notes.items():
            note.clicked.connect(lambda _=False, key=key: self.pressed.emit(key))
        self.unsafe = NoteKey(look, "X", "Not scored: unsafe", toggles=False)
        self.unsafe.clicked.connect(lambda: self.pressed.emit("X"))
        self.more = {name: NoteKey(look, key, name.capitalize()) for key, name in FIELD_KEYS.items()}
        for key, name in FIELD_KEYS.items():
            self.more[name].clicked.connect(lambda _=False, key=key: self.pressed.emit(key))
        self.field = EntryField(limits)
        self.field.left.connect(self.close_field)
        self.field.entered.connect(self.close_field)
        self._notes_or_field = QStackedWidget()
        self.save = button("Save, next cow", "main", 18, 700)
        self.save.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.save.clicked.connect(lambda: self.pressed.emit("save"))
        self._drawing = FeelDrawing(look)
        self._claim = label("", 16, 700)
        self._below = label("", 14, 400, wrap=True)
        self._above = label("", 14, 400, "second", wrap=True)
        self._hints = label(_HINTS, 14, 400, "second")
        self._lay_out()
        self.set_form(key_px=66, note_px=48, save_px=60, drawing_px=210, felt=True, two_lines=True, hints=True)

    def _lay_out(self) -> None:
        felt = column(None, self._claim, self._below, self._above, None, spacing=2)
        self._felt = card(row(self._drawing, (felt, 1), spacing=18, margins=(14, 4, 14, 4)))
        self._notes = row(*[(note, 10) for note in self.notes.values()], 6, (self.unsafe, 22), spacing=6)
        self._notes_or_field.addWidget(holder(self._notes))
        self._notes_or_field.addWidget(self.field)
        more = row(*[(one, 1) for one in self.more.values()], spacing=6)
        foot = row(self._hints, (more, 1), self.save, spacing=12)
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        # Held by a box that stays when the words go, so that nothing below them moves.
        middle = holder(column((self._felt, 1)))
        around.addLayout(column(*self.rows, (middle, 1), self._notes_or_field, foot, spacing=6))

    def set_form(
        self, *, key_px: int, note_px: int, save_px: int, drawing_px: int, felt: bool, two_lines: bool, hints: bool
    ) -> None:
        """Sizes in px for the window; is there room for what the hand feels, in one or two lines, and for hints."""
        for one in self.rows:
            one.set_key_height(key_px)
        for note in (*self.notes.values(), self.unsafe, *self.more.values()):
            note.setFixedHeight(note_px)
        self._notes_or_field.setFixedHeight(note_px)
        self.field.set_height(note_px)
        self.save.setFixedHeight(save_px)
        self.save.ensurePolished()
        # As wide as the longest of its words in the size of the text, so that it stays put when they change.
        longest = max(self.save.fontMetrics().horizontalAdvance(words) for words in _SAVE_WORDS)
        self.save.setFixedWidth(longest + _SAVE_EDGES_PX)
        self._drawing.setFixedWidth(drawing_px)
        self._felt.setVisible(felt)
        self._above.setVisible(two_lines)
        self._hints.setVisible(hints)

    def set_narrow(self, narrow: bool) -> None:
        """Fewer words on the keys, where the text is large for the window."""
        self.unsafe.setText("Unsafe" if narrow else "Not scored: unsafe")
        self._notes.setStretch(self._notes.count() - 1, 14 if narrow else 22)

    def show_entry(self, entry: Entry, last: Sites) -> None:
        """Show what is entered, and the sites of last time."""
        for site, one in enumerate(self.rows):
            chosen, active = entry.sites[site], site == entry.active
            ring = None
            if active:
                ring = entry.ring if entry.ring is not None else None if chosen is None else key_of(chosen)
            one.show_state(RowState(chosen, last[site], active, ring))
        for key, note in self.notes.items():
            note.setChecked(key in entry.notes)
        for name, words in field_words(entry).items():
            self.more[name].setText(words)
            self.more[name].setChecked(words != field_words(Entry(""))[name])
        self._show_felt(entry)
        self.save.setText(_save_words(entry))

    def open_field(self, name: str, entry: Entry) -> None:
        """Ask for a weight, a scan or own words in place of the note keys."""
        self._notes_or_field.setCurrentWidget(self.field)
        self.field.open(name, entry)

    def close_field(self) -> None:
        """Put the note keys back."""
        if self._notes_or_field.currentWidget() is self.field:
            self._notes_or_field.setCurrentIndex(0)
            self.field_left.emit()

    def _show_felt(self, entry: Entry) -> None:
        site, quarters = SITES[entry.active], entry.sites[entry.active]
        name, words = SITE_NAMES[entry.active], self._words[site]
        self._drawing.show_feel(site, None if quarters is None else quarters / 4)
        if quarters is None:
            self._claim.setText(f"{name}: where the hand goes")
            self._below.setText(words.hand)
            # Where the keys of the foot leave no room for hints, they stand here until a key is pressed.
            self._above.setText("" if self._hints.isVisibleTo(self) else _SHORT_HINTS)
            return
        around = words.around(quarters)
        between = ", between" if quarters % 2 else ""
        self._claim.setText(f"{name} {score_words(quarters)}{between}")
        lines = [f"{score_words(half)}:  {sentence}" for half, sentence in around]
        self._below.setText(lines[0])
        self._above.setText(lines[1] if len(lines) > 1 else "")


def _save_words(entry: Entry) -> str:
    if entry.asks is Asks.REPLACE:
        return "Replace it"
    if entry.asks is Asks.JUMP:
        return "Confirmed, save"
    if entry.asks in (Asks.FEEL_AGAIN, Asks.CONFIRM):
        return "Save as felt"
    return "Next cow" if entry.before is not None and not entry.is_changed else "Save, next cow"
