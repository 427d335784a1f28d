"""Two people, one eye: who and how many cows, the cows scored blind in turn, then how well the two agree."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import QCheckBox, QPushButton, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.agreement import Check
from herdscore.domain.crush_words import read_crush_words
from herdscore.domain.reasons import say_day
from herdscore.domain.scoring_entry import Asks, Entry
from herdscore.pages.check_result import CheckResult
from herdscore.pages.check_words import how_words, spread_words
from herdscore.pages.check_work import CheckWork
from herdscore.pages.cow_words import say_cows
from herdscore.parts.asked import asked_name, offer_names
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import card, column, holder, row, scrolled
from herdscore.parts.fields import number_box
from herdscore.parts.labels import ShortenedLabel, label
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.score_keys import RowState, ScoreRow, key_of
from herdscore.parts.theme import Look

_COLUMNS = (Column("tag", "Tag", width=150, weight=700), Column("state", "", width=90, sortable=False))
_SITES = ("Loin", "Ribs", "Tailhead")
_LEAST, _MOST, _EARLIER = 2, 60, 6
_KEY_PX = 62  # so that three rows stand in a low window
_MARGINS = (18, 14, 18, 14)
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


class CheckStart(QWidget):
    """Who, and how many cows; checks made before; the switch for a scorer's own spread."""

    def __init__(self, work: CheckWork) -> None:
        super().__init__()
        self.work = work
        self.one, self.two = asked_name("First scorer"), asked_name("Second scorer")
        rules = work.herd.rulebook.crush
        self.count = number_box("Cows to score", _LEAST, _MOST, unit="cows")
        self.count.setValue(rules.check_cows)
        self.go = button("Begin", "main", 16, 700, height=52)
        self.said = label("", 12, 600, "thin", wrap=True)
        self.own = QCheckBox("Let each scorer's own spread feed the model")
        self.own.setProperty("pt", "14")
        self.spreads = label("", 12, 400, "second", wrap=True)
        self._earlier = QVBoxLayout()
        self._earlier.setSpacing(6)
        who = row((self.one, 1), (self.two, 1), spacing=10)
        how = row(column(label("Cows", 11, tone="second"), self.count, spacing=2), None, spacing=10)
        first = column(
            label("Two people, one eye", 18, 700),
            label(how_words(rules), 12, 400, "second", wrap=True),
            who,
            how,
            self.said,
            row(self.go, None),
            spacing=8,
            margins=_MARGINS,
        )
        last = column(
            label("Checks made", 16, 700), self._earlier, 8, self.own, self.spreads, spacing=6, margins=_MARGINS
        )
        inside = row((holder(column(card(first), None)), 3), (holder(column(card(last), None)), 2), spacing=12)
        self.setLayout(row((scrolled(holder(inside)), 1)))
        self.go.clicked.connect(self._on_go)
        self.own.clicked.connect(work.set_own_spread)

    def focus_first(self) -> None:
        """Give the first name the keyboard, or Begin when both are there."""
        if self.one.text and self.two.text:
            self.go.setFocus()
        else:
            (self.two if self.one.text else self.one).take_keyboard()

    def renew(self) -> None:
        """Offer the scorers of the herd, and the checks made."""
        work = self.work
        names = work.scorers
        offer_names(self.one, names)
        offer_names(self.two, names)
        self.go.setEnabled(work.herd.can_write)
        self.own.setEnabled(work.herd.can_write)
        self.own.setChecked(work.herd.rulebook.crush.uses_own_spread)
        self.spreads.setText(spread_words(work.spreads(), work.herd.rulebook.model.score_sd))
        while (item := self._earlier.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.hide()
                old.deleteLater()
        for check in work.earlier[:_EARLIER]:
            self._earlier.addWidget(self._check_key(check))
        if not work.earlier:
            self._earlier.addWidget(label("None yet.", 12, 400, "second"))

    def _check_key(self, check: Check) -> QPushButton:
        day = say_day(check.day, self.work.herd.today)
        made = button(f"{day}: {check.one} and {check.two}, {say_cows(check.cows)}", "row", 12, height=46)
        made.clicked.connect(lambda: self.work.look_at(check))
        return made

    def _on_go(self) -> None:
        self.said.setText(self.work.begin(self.one.text, self.two.text, int(self.count.value())))


class FeelPad(QWidget):
    """Three rows of keys for the cow under the hand; it takes the keys of the crush."""

    def __init__(self, look: Look, work: CheckWork) -> None:
        super().__init__()
        self.work = work
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Scores of the cow")
        self.rows = tuple(ScoreRow(look, name) for name in _SITES)
        for site, one in enumerate(self.rows):
            one.pressed.connect(lambda place, site=site: work.press_key(site, place))
        self.claim, self.rest = ShortenedLabel(20, 700), ShortenedLabel(14, 400, "second")
        self.save = button("Save, next cow", "main", 18, 700, height=56)
        self.out = button("Leave her out (X)", points=14, height=56)
        for key in (self.save, self.out):
            key.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.save.clicked.connect(lambda: work.press("save"))
        self.out.clicked.connect(lambda: work.press("X"))
        for one in self.rows:
            one.set_key_height(_KEY_PX)
        head = row((column(self.claim, self.rest, None, spacing=0), 1), self.out, self.save, spacing=8)
        self.setLayout(column(head, 4, *self.rows, None, spacing=6))

    def show_entry(self, entry: Entry | None, tag: str, words: str) -> None:
        """Show what is entered of a cow; None while nobody is under the hand."""
        self.claim.show_words(tag)
        self.rest.show_words(words)
        for site, one in enumerate(self.rows):
            chosen = None if entry is None else entry.sites[site]
            active = entry is not None and entry.active == site
            ring = None
            if active and entry is not None:
                ring = entry.ring if entry.ring is not None else None if chosen is None else key_of(chosen)
            one.show_state(RowState(chosen, None, active, ring))
            one.setEnabled(entry is not None)
        for key in (self.save, self.out):
            key.setEnabled(entry is not None)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = _NAMES.get(Qt.Key(event.key()), event.text())
        plain = not event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
        if self.work.entry is not None and plain and key.strip() and key.isprintable():
            if not event.isAutoRepeat():
                self.work.press(key)
        else:
            super().keyPressEvent(event)


class CheckScoring(QWidget):
    """Whose turn it is, his cows, and the keys. What the other gave is nowhere to be seen."""

    def __init__(self, look: Look, work: CheckWork) -> None:
        super().__init__()
        self.work = work
        self.who = JoinedButtons((("0", ""), ("1", "")), "Whose turn", 14, width=150)
        self.cows = ListView(look, _COLUMNS, "Cows of the check")
        self.pad = FeelPad(look, work)
        self.compare, self.leave = button("Compare", "main", 14, 600), button("Stop", points=14)
        self.leave.setToolTip("What was scored is kept: the same two go on the same day")
        side = card(column((self.cows, 1), margins=(4, 4, 4, 4)))
        side.setFixedWidth(280)
        pad = card(column((self.pad, 1), margins=(16, 10, 16, 12)))
        self.setLayout(
            column(
                row(self.who, None, self.compare, self.leave, spacing=8),
                (row(side, (pad, 1), spacing=12), 1),
                spacing=8,
            )
        )
        self.who.chosen.connect(lambda key: work.take_turn(int(key)))
        self.cows.opened.connect(work.take)
        self.cows.clicked.connect(lambda _: self._on_clicked())
        self.compare.clicked.connect(work.compare)
        self.leave.clicked.connect(work.leave)

    def focus_first(self) -> None:
        """Give the keyboard to the cow under the hand, else to the list."""
        (self.cows if self.work.entry is None else self.pad).setFocus()

    def renew(self) -> None:
        """Show whose turn it is and where he is."""
        work = self.work
        done, tags = [work.done(0), work.done(1)], work.tags()
        for at, name in enumerate(work.names):
            one = self.who.button(str(at))
            one.setText(f"{name}  {len(done[at])} of {len(work.cows)}")
            one.setAccessibleName(one.text())
        self.who.choose(str(work.turn))
        rows = []
        for cow in work.cows:
            state = "scored" if cow in done[work.turn] else "left out" if cow in work.left_out else ""
            rows.append(ListRow(cow, (tags.get(cow, cow), state), (tags.get(cow, cow), state), done=bool(state)))
        self.cows.show_rows(rows)
        left, entry = work.to_do(work.turn), work.entry
        self.cows.choose(entry.cow_id if entry is not None else left[0] if left else None)
        self.compare.setEnabled(bool(done[0] & done[1]))
        self.compare.setText("Compare" if not work.to_do(0) and not work.to_do(1) else "Compare what there is")
        if entry is None:
            said = "Choose a cow with ↓ ↑ and Enter." if left else f"{work.scorer} is done. Hand over, or compare."
            self.pad.show_entry(None, work.scorer, said)
        else:
            self.pad.show_entry(entry, f"{tags.get(entry.cow_id, '')}, felt by {work.scorer}", _asked(entry))
        if self.isVisible() and not isinstance(self.window().focusWidget(), QPushButton):
            self.focus_first()

    def _on_clicked(self) -> None:
        key = self.cows.current_key()
        if key is not None:
            self.work.take(str(key))


class CheckPage(QWidget):
    """The three steps, one in front."""

    title = "Check two people"

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__()
        self.work = CheckWork(herd)
        self.start = CheckStart(self.work)
        self.scoring = CheckScoring(look, self.work)
        self.result = CheckResult(look, self.work, read_crush_words(herd.rulebook.tables["crush_words"]))
        self._steps = QStackedWidget()
        for one in (self.start, self.scoring, self.result):
            self._steps.addWidget(one)
        self.setLayout(row((self._steps, 1)))
        self.work.moved.connect(self._renew)
        herd.day_chosen.connect(self._renew)

    @override
    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._renew()

    def focus_first(self) -> None:
        """Give the keyboard to the step in front."""
        self._now().focus_first()

    def _now(self) -> CheckStart | CheckScoring | CheckResult:
        if self.work.is_compared:
            return self.result
        return self.scoring if self.work.cows else self.start

    def _renew(self) -> None:
        if not self.isVisible():
            return  # a save must not wait for it
        now, before = self._now(), self._steps.currentWidget()
        now.renew()
        self._steps.setCurrentWidget(now)
        if now is not before and self.isVisible():
            now.focus_first()


def _asked(entry: Entry) -> str:
    """What stands under her tag."""
    if entry.asks in (Asks.FEEL_AGAIN, Asks.CONFIRM):
        return "Far apart: feel again. Enter keeps them as felt."
    if entry.asks is Asks.LEAVE:
        return "Not kept yet. Esc once more leaves her."
    if entry.asks is Asks.DROP_SITES:
        return "X once more leaves her out."
    return "1–5 score, again + ½, + − quarter, = all sites."
