"""The page at the crush: a tag, three sites, saved, the next cow; by keys alone or by mouse alone."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.felt_words import read_felt_words
from herdscore.domain.scored import scorers_of
from herdscore.domain.scoring_entry import Entry
from herdscore.pages import scoring_look as look_at
from herdscore.pages.scoring_feel import FeelPanel
from herdscore.pages.scoring_matches import MatchList
from herdscore.pages.scoring_side import ScoringSide
from herdscore.pages.scoring_strip import ScoringStrip
from herdscore.pages.scoring_words import Said, short_tag
from herdscore.pages.scoring_work import ScoringWork, tag_of
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, column, holder, row
from herdscore.parts.labels import label, restyle
from herdscore.parts.theme import Look

TAG_PX, TOP_PX = (200, 76), 76
WIDE_PX, NARROW_PX = 1590, 1240  # widths of the page, from which it is a large screen, below which a small one
TALL_PX, LOW_PX = 800, 622  # heights of the page
ONE_LINE_PX, TWO_LINES_PX = 76, 136  # heights in which what the hand feels is said
_GAPS_PX = 60
SMALLEST = QSize(1130, 490)
_TAG_POINTS, _TAG_FRAME_PX = (36, 24, 18, 14), 34
_NAMES = {
    Qt.Key.Key_Return: "enter",
    Qt.Key.Key_Enter: "enter",
    Qt.Key.Key_Escape: "escape",
    Qt.Key.Key_Backspace: "backspace",
    Qt.Key.Key_Space: "space",
    Qt.Key.Key_Left: "left",
    Qt.Key.Key_Right: "right",
    Qt.Key.Key_Up: "up",
    Qt.Key.Key_Down: "down",
}
_TAG_KEYS = ("enter", "escape", "up", "down")
_HELD = ("left", "right", "up", "down", "backspace")  # keys that may be held down
_KEYS_BETWEEN = (
    "Last digits find her. ↓ ↑ choose, Enter takes her, Esc clears.\nBackspace on the empty box opens the last cow."
)


class ScoringPage(QWidget):
    """`open_cow(cow_id)`: show her own page."""

    message = Signal(object)
    open_cow = Signal(str)
    title = "Scoring"

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._look = look
        self.work = ScoringWork(herd, settings)
        self.strip = ScoringStrip(look, herd.herd_day)
        self.tag = _tag_box()
        self.tag.installEventFilter(self)
        self.claim, self.rest = _OneLine(), label("", 14, 400, "second", wrap=True)
        self.undo, self.skip = button("Undo", points=14), button("Skip", points=14)
        self.matches = MatchList(look)
        self.feel = FeelPanel(look, read_felt_words(herd.rulebook.tables["felt_words"]))
        self.side = ScoringSide(look)
        self._below = QStackedWidget()
        self._was_feeling = False
        self._preview = QTimer(self)
        self._preview.setSingleShot(True)
        self._preview.timeout.connect(self._show_cow)
        self._lay_out()
        self._connect()
        look.changed.connect(self._on_look)
        self._show()

    def _lay_out(self) -> None:
        for one, least in ((self.undo, 88), (self.skip, 80)):
            one.setFixedHeight(60)
            one.setMinimumWidth(least)
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        beside = column(None, self.claim, self.rest, None, spacing=0)
        self._top = holder(row(self.tag, (beside, 1), self.undo, self.skip, spacing=12))
        hint = Panel(row((label(_KEYS_BETWEEN, 14, 400, wrap=True), 1), margins=(18, 10, 18, 10)), "sunk")
        self._below.addWidget(holder(column((self.matches, 1), hint, spacing=8)))
        self._below.addWidget(self.feel)
        left = column(self._top, (self._below, 1), spacing=8)
        around = QVBoxLayout(self)
        around.setContentsMargins(24, 4, 24, 10)
        around.setSpacing(8)
        around.addWidget(self.strip)
        around.addLayout(row((left, 1), self.side, spacing=16), 1)

    def _connect(self) -> None:
        work = self.work
        work.moved.connect(self._show)
        self.tag.textEdited.connect(work.type_tag)
        self.matches.taken.connect(work.take)
        self.feel.pressed.connect(work.press)
        self.feel.key_pressed.connect(work.press_key)
        self.undo.clicked.connect(work.undo)
        self.skip.clicked.connect(lambda: work.press("skip"))
        self.strip.scorer_chosen.connect(work.choose_scorer)
        self.strip.day_chosen.connect(work.choose_day)
        self.strip.left.connect(self.focus_first)
        self.side.last.reopened.connect(work.reopen)
        self.side.cow.open_pressed.connect(self._on_open)

    def focus_first(self) -> None:
        """Give the keyboard to the tag box, or to the cow under the hand."""
        (self.tag if self.work.entry is None else self.feel).setFocus()

    def find(self, text: str = "") -> None:  # type: ignore[override]
        """Look for a tag."""
        self.work.find(text)
        self.focus_first()

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter, Esc and arrows in the tag box, and Backspace when it is empty, mean the cows that fit."""
        if watched is not self.tag or event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        name = _NAMES.get(Qt.Key(event.key()), "")
        if name in _TAG_KEYS or (name == "backspace" and not self.tag.text()):
            if not event.isAutoRepeat() or name in ("up", "down"):
                self.work.press(name)
            return True
        return False

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Keys for the cow under the hand; a key held down counts once."""
        key = _NAMES.get(Qt.Key(event.key()), event.text())
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

    def _fit(self) -> None:
        """Take the form that fits the page: large, plain, low, or lowest, without the words for what is felt."""
        width, height, scale = self.width(), self.height(), self._look.theme.text_scale
        low, large = height < LOW_PX, width >= WIDE_PX and height >= TALL_PX
        self.strip.set_low(low)
        self.strip.fit_day()
        self.matches.set_low(low)
        self._top.setFixedHeight(round(TOP_PX * scale))
        narrow = width < NARROW_PX * scale
        self.side.setFixedWidth(640 if width >= WIDE_PX * scale else 420 if narrow else 470)
        self.side.cow.set_low(low)
        key_px, note_px, save_px = (104, 56, 60) if large else (62, 44, 56) if low else (66, 48, 60)
        taken = self.strip.height() + self._top.height() + 3 * (key_px + 10) + note_px + save_px + _GAPS_PX
        self.feel.set_form(
            key_px=key_px,
            note_px=note_px,
            save_px=save_px,
            drawing_px=520 if large else 210,
            felt=height - taken >= ONE_LINE_PX * scale,
            two_lines=height - taken >= TWO_LINES_PX * scale,
            hints=width >= SMALLEST.width() * scale,
        )

    def _show(self) -> None:
        """Show where the work stands."""
        work, entry = self.work, self.work.entry
        feeling = entry is not None
        self.strip.show_count(*look_at.count_of(work))
        self.strip.show_day(work.day, work.herd.herd_day)
        self.strip.show_scorers(scorers_of(work.herd.snapshot), work.scorer)
        self.strip.set_open(work.herd.can_write)
        self._show_tag(entry)
        self._show_said(look_at.beside_tag(work))
        self._show_undo()
        self.skip.setEnabled(feeling)
        self._below.setCurrentIndex(1 if feeling else 0)
        self.side.show_feeling(feeling)
        if entry is None:
            self._preview.stop()
            self._show_matches()
            self.side.last.show_rows(*look_at.last_rows(work))
        else:
            last = look_at.last_of(work)
            self.feel.show_entry(entry, (None, None, None) if last is None else last.sites)
            if look_at.wants_preview(work):
                self._preview.start(0)  # after the keys are drawn: the sums of a large herd take longer than a key may
            else:
                self._preview.stop()
                self._show_cow()
        if feeling != self._was_feeling:
            self._was_feeling = feeling
            held = self.focusWidget()
            if held is not None and (held is self or self.isAncestorOf(held)):
                self.focus_first()

    def _show_tag(self, entry: Entry | None) -> None:
        text = self.work.flow.typed if entry is None else short_tag(tag_of(self.work.herd.snapshot, entry.cow_id))
        if self.tag.text() != text:
            self.tag.setText(text)
        self.tag.setReadOnly(entry is not None)
        self.tag.setFocusPolicy(Qt.FocusPolicy.StrongFocus if entry is None else Qt.FocusPolicy.NoFocus)
        fits = (points for points in _TAG_POINTS if self._tag_width(text, points) <= TAG_PX[0] - _TAG_FRAME_PX)
        restyle(self.tag, "pt", str(next(fits, _TAG_POINTS[-1])))

    def _tag_width(self, text: str, points: int) -> float:
        return QFontMetricsF(self._look.theme.font(points, 700)).horizontalAdvance(text)

    def _show_said(self, said: Said) -> None:
        self.claim.say(said.claim)
        self.rest.setText(said.rest)
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

    def _on_look(self) -> None:
        self._fit()
        self._show()

    def _on_open(self) -> None:
        entry = self.work.entry
        if entry is not None:
            self.open_cow.emit(entry.cow_id)


class _OneLine(QLabel):
    """The claim beside the tag: never more than one line, cut short with dots."""

    def __init__(self) -> None:
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("pt", "16")
        self.setProperty("weight", "700")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.words = ""

    def say(self, words: str) -> None:
        """Show words, or nothing at all."""
        self.words = words
        self.setVisible(bool(words))
        self._fit()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        self.setText(self.fontMetrics().elidedText(self.words, Qt.TextElideMode.ElideRight, self.width()))
        self.setAccessibleName(self.words)


def _tag_box() -> QLineEdit:
    made = QLineEdit()
    made.setFixedSize(*TAG_PX)
    made.setProperty("pt", "36")
    made.setProperty("weight", "700")
    made.setAlignment(Qt.AlignmentFlag.AlignCenter)
    made.setAccessibleName("Tag, last digits")
    made.setMaxLength(40)
    return made
