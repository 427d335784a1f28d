"""The page at the crush: a tag, three sites, saved, the next cow; by keys alone or by mouse alone."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.felt_words import read_felt_words
from herdscore.domain.records import Aside
from herdscore.pages import scoring_look as look_at
from herdscore.pages import scoring_steps as steps
from herdscore.pages.herds_page import HerdsPage
from herdscore.pages.scoring_asides import AsidesPanel
from herdscore.pages.scoring_feel import FeelPanel
from herdscore.pages.scoring_matches import MatchList
from herdscore.pages.scoring_side import ScoringSide
from herdscore.pages.scoring_sound import Sounds
from herdscore.pages.scoring_strip import ScoringStrip
from herdscore.pages.scoring_tag import KEY_NAMES, OneLine, TagBox
from herdscore.pages.scoring_words import Said, short_tag
from herdscore.pages.scoring_work import ScoringWork
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, column, holder, row
from herdscore.parts.labels import label, restyle
from herdscore.parts.theme import Look

TOP_PX = 76
WIDE_PX, NARROW_PX = 1590, 1240  # widths of the page, from which it is a large screen, below which a small one
TALL_PX, LOW_PX = 800, 622  # heights of the page
ONE_LINE_PX, TWO_LINES_PX = 76, 136  # heights in which what the hand feels is said
_GAPS_PX = 60
SMALLEST = QSize(1130, 490)
_HELD = ("left", "right", "up", "down", "backspace")  # keys that may be held down
_KEYS_BETWEEN = (
    "Last digits find her. ↓ ↑ choose, Enter takes her, Esc clears.\nBackspace on the empty box opens the last cow."
)


class ScoringPage(HerdsPage):
    """`open_cow(cow_id)`: show her own page."""

    title = "Scoring"

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._look = look
        self.work = ScoringWork(herd, settings)
        self.strip = ScoringStrip(look, herd.herd_day)
        self.tag = TagBox(look)
        self.sounds = Sounds(settings, self)
        self._rest = ""
        self.claim, self.rest = OneLine(), label("", 14, 400, "second", wrap=True)
        self.undo, self.skip = button("Undo", points=14, least=88), button("Skip", points=14, least=80)
        self.matches = MatchList(look)
        self.feel = FeelPanel(look, read_felt_words(herd.rulebook.tables["felt_words"]), herd.rulebook.sheet)
        self.asides = AsidesPanel()
        self.to_sort_out = button("", points=14)
        self.side = ScoringSide(look)
        self._below = QStackedWidget()
        self._was_feeling = self._was_asked = self._sorting_out = False
        self._preview = QTimer(self)
        self._preview.setSingleShot(True)
        self._preview.timeout.connect(self._show_cow)
        self._lay_out()
        self._connect()
        look.changed.connect(self._on_look)
        self._show()

    def _lay_out(self) -> None:
        for one in (self.undo, self.skip):
            one.setFixedHeight(60)
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        beside = column(None, self.claim, self.rest, None, spacing=0)
        self._top = holder(row(self.tag, (beside, 1), self.undo, self.skip, spacing=12))
        hint = Panel(
            row((label(_KEYS_BETWEEN, 14, 400, wrap=True), 1), self.to_sort_out, margins=(18, 10, 18, 10)), "sunk"
        )
        self._below.addWidget(holder(column((self.matches, 1), hint, spacing=8)))
        self._below.addWidget(self.feel)
        self._below.addWidget(self.asides)
        left = column(self._top, (self._below, 1), spacing=8)
        around = QVBoxLayout(self)
        around.setContentsMargins(24, 4, 24, 10)
        around.setSpacing(8)
        around.addWidget(self.strip)
        around.addLayout(row((left, 1), self.side, spacing=16), 1)

    def _connect(self) -> None:
        work = self.work
        work.moved.connect(self._show)
        work.kept.connect(self.sounds.saved)
        work.field_wanted.connect(self._open_field)
        self.tag.textEdited.connect(work.type_tag)
        self.tag.looks_like.connect(work.type_tag)
        self.tag.key_pressed.connect(work.press)
        self.feel.field.entered.connect(lambda values: steps.put(work, **values))
        self.feel.field_left.connect(self.focus_first)
        self.side.cow.pens.pen_chosen.connect(lambda pen: steps.put(work, pen=pen))
        self.to_sort_out.clicked.connect(lambda: self._sort_out(True))
        self.asides.closed.connect(lambda: self._sort_out(False))
        self.asides.match_wished.connect(self._match)
        self.asides.add_wished.connect(work.errands.add)
        self.asides.strike_wished.connect(work.errands.strike)
        self.matches.taken.connect(work.take)
        self.feel.pressed.connect(work.press)
        self.feel.key_pressed.connect(work.press_key)
        self.undo.clicked.connect(lambda: self.step(back=True))
        self.skip.clicked.connect(lambda: work.press("skip"))
        self.strip.scorer_chosen.connect(work.choose_scorer)
        self.strip.day_chosen.connect(work.choose_day)
        self.strip.left.connect(self.focus_first)
        self.side.last.reopened.connect(work.reopen)
        self.side.cow.open_pressed.connect(self._on_open)

    @override
    def focus_first(self) -> None:
        """Give the keyboard to the tag box, or to the cow under the hand."""
        (self.tag if self.work.entry is None else self.feel).setFocus()

    @override
    def find(self, text: str = "") -> None:  # type: ignore[override]
        """Look for a tag."""
        self.work.find(text)
        self.focus_first()

    def step(self, *, back: bool) -> str:
        """Take the last step back or do it again, and show the cow it touched; its words."""
        words = steps.step(self.work, back=back)
        if words:
            self.focus_first()
            self.tag.selectAll()  # the next tag typed takes the place of hers
        return words

    def foresee(self, characters: str) -> None:
        """Show what characters still held for a reader would do."""
        if self.work.entry is None:
            if self.tag.hasFocus():
                self.tag.foresee(characters)
        elif self.feel.isVisible():
            entry = steps.foresee(self.work, characters)
            if entry is not None:
                self.feel.show_entry(entry, look_at.last_sites(self.work))

    def take_back(self) -> None:
        """The characters were a reader's: show what stood before."""
        self.tag.take_back()
        if self.work.entry is None:
            self.work.type_tag(self.tag.text())
        else:
            self._show()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Keys for the cow under the hand; a key held down counts once."""
        key = KEY_NAMES.get(Qt.Key(event.key()), event.text())
        others = (
            Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
        )
        if self.work.entry is None or not key.strip() or not key.isprintable() or event.modifiers() & others:
            super().keyPressEvent(event)
        elif not event.isAutoRepeat() or key in _HELD:
            self.work.press(key)

    @override
    def minimumSizeHint(self) -> QSize:
        """Of the smallest form: the page takes a smaller one before it is cut off."""
        return SMALLEST

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit_rest(self) -> None:
        """Her date and whole tag; in large text in a narrow window the date alone, the rest when pointed at."""
        whole = self.width() >= NARROW_PX * self._look.theme.text_scale or self._look.theme.text_scale <= 1
        restyle(self.rest, "pt", "14" if whole else "12")
        self.rest.setText(self._rest if whole else self._rest.rpartition(", ")[0].replace("\u00a0", " ") or self._rest)
        self.rest.setToolTip(self._rest)

    def _fit(self) -> None:
        """Take the form that fits the page: large, plain, low, or lowest, without the words for what is felt."""
        width, height, scale = self.width(), self.height(), self._look.theme.text_scale
        low, large = height < LOW_PX, width >= WIDE_PX and height >= TALL_PX
        self.strip.set_low(low)
        self.strip.fit_day()
        self.matches.set_low(low)
        self.tag.fit()
        self._top.setFixedHeight(round(TOP_PX * scale))
        self._fit_rest()
        narrow = width < NARROW_PX * scale
        self.side.setFixedWidth(640 if width >= WIDE_PX * scale else 420 if narrow else 470)
        self.side.cow.set_low(low)
        key_px, note_px, save_px = (104, 56, 60) if large else (62, 44, 56) if low else (66, 48, 60)
        self.feel.set_narrow(width < SMALLEST.width() * scale)
        taken = self.strip.height() + self._top.height() + 3 * (key_px + 10) + note_px + save_px + _GAPS_PX
        self.feel.set_form(
            key_px=key_px,
            note_px=note_px,
            save_px=save_px,
            drawing_px=520 if large else 210,
            felt=height - taken >= ONE_LINE_PX * scale,
            two_lines=height - taken >= TWO_LINES_PX * scale,
            hints=width >= WIDE_PX * scale,
        )

    def _show(self) -> None:
        """Show where the work stands."""
        work, entry = self.work, self.work.entry
        feeling = entry is not None
        self.strip.show_count(*look_at.count_of(work))
        self.strip.show_day(work.day, work.herd.herd_day)
        self.strip.show_scorers(work.scorers, work.scorer)
        self.strip.set_open(work.herd.can_write)
        tag = work.flow.typed if entry is None else short_tag(work.tag)
        self.tag.show_tag(tag, taken=feeling)
        self._show_said(look_at.beside_tag(work))
        self._show_undo()
        self.skip.setEnabled(feeling)
        asides = work.errands.asides
        self._sorting_out = self._sorting_out and bool(asides) and not feeling
        self._below.setCurrentIndex(1 if feeling else 2 if self._sorting_out else 0)
        self.to_sort_out.setVisible(bool(asides) and work.herd.can_write)
        self.to_sort_out.setText(f"{len(asides)} tag{'' if len(asides) == 1 else 's'} to sort out")
        self.asides.show_asides(asides, work.herd.today)
        self.side.show_feeling(feeling)
        if entry is None:
            self._preview.stop()
            self._show_matches()
            self.side.last.show_rows(*look_at.last_rows(work))
        else:
            self.feel.show_entry(entry, look_at.last_sites(work))
            if look_at.wants_preview(work):
                self._preview.start(0)  # after the keys are drawn: the sums of a large herd take longer than a key may
            else:
                self._preview.stop()
                self._show_cow()
        asked = entry is not None and entry.asks is not None
        if asked and not self._was_asked:
            self.sounds.question()
        self._was_asked = asked
        if not feeling:
            self.feel.close_field()
        if feeling != self._was_feeling:
            self._was_feeling = feeling
            held = self.focusWidget()
            if held is not None and (held is self or self.isAncestorOf(held)):
                self.focus_first()

    def _show_said(self, said: Said) -> None:
        self.claim.say(said.claim)
        self._rest = said.rest
        self._fit_rest()
        restyle(self.rest, "tone", "" if said.firm else "second")
        self.tag.setAccessibleDescription(f"{said.claim}. {said.rest}")

    def _show_undo(self) -> None:
        stack = self.work.herd.undo_stack
        self.undo.setEnabled(stack.canUndo() and self.work.herd.can_write)
        self.undo.setToolTip(f"Take back: {stack.undoText()}" if stack.canUndo() else "Nothing to take back")

    def _show_matches(self) -> None:
        flow, work = self.work.flow, self.work
        cows = [match.cow for match in flow.found.matches]
        takes = cows.index(flow.takes) if flow.takes in cows else None
        self.matches.show_cows(cows, lambda cow: look_at.match_row(work, cow), takes)

    def _show_cow(self) -> None:
        entry = self.work.entry
        if entry is not None:
            look_at.show_cow(self.side.cow, self.work, entry, look_at.preview(self.work))

    def _open_field(self, name: str) -> None:
        if self.work.entry is not None:
            self.feel.open_field(name, self.work.entry)

    def _sort_out(self, on: bool) -> None:
        self._sorting_out = on
        self._show()
        self.focus_first()

    def _match(self, aside: Aside) -> None:
        self._sorting_out = False
        self.work.errands.begin_matching(aside)
        self.focus_first()

    def _on_look(self) -> None:
        self._fit()
        self._show()

    def _on_open(self) -> None:
        entry = self.work.entry
        if entry is not None:
            self.open_cow.emit(entry.cow_id)
