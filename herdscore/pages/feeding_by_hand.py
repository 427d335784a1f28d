"""Tab Ration by hand: feeds and amounts typed, the limits they keep, and what they do to every cow that eats them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from PySide6.QtCore import QRectF, QSize, QTimer, Signal
from PySide6.QtGui import QPainter
from typing_extensions import override

from herdscore.desk import messages
from herdscore.domain.energy import Flags
from herdscore.domain.fed_groups import FedGroup, too_soon
from herdscore.domain.feeding_cautions import cautions
from herdscore.domain.group_plans import dated, fits_next, late_besides, record_ration, start_by_hand, steps_of_hand
from herdscore.domain.ration_by_hand import Tried, try_ration
from herdscore.domain.ration_form import ReadRation, read_ration
from herdscore.domain.reasons import say_day
from herdscore.domain.typed_day import NotADay, read_day, say_whole_day
from herdscore.pages.feeding_aside import apart_words
from herdscore.pages.feeding_check_lines import CheckLines
from herdscore.pages.feeding_hand_words import NOT_KNOWN, fed_picture, jump_words, names_words, why_not_begin
from herdscore.pages.feeding_ration_rows import RationRows
from herdscore.pages.feeding_work import FeedingWork
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.wishes import PICTURES, SaveWish
from herdscore.parts.asked import Asked
from herdscore.parts.beside import Beside
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, card, column, holder, row
from herdscore.parts.fed_drawing import paint_fed
from herdscore.parts.fed_strips import FedStrips
from herdscore.parts.fields import field
from herdscore.parts.flow import flow
from herdscore.parts.labels import label
from herdscore.parts.save_picture import save_picture
from herdscore.parts.theme import Look, read_themes

SOON = 100  # ms from the last key until it is worked out
_PICTURE = QSize(1000, 560)
_MARGINS = (16, 8, 12, 10)


class RationByHand(FreshTab):
    """`message`, `open_cow(cow id)`, `save_wished`; nothing is written before a button is pressed."""

    message = Signal(object)
    open_cow = Signal(str)
    save_wished = Signal(object)

    def __init__(self, look: Look, work: FeedingWork) -> None:
        super().__init__()
        self.work = work
        self.tried: Tried | None = None
        self.read = ReadRation()
        self._shown: tuple[object, ...] = ()
        self._is_edited = False
        self._half_typed: dict[tuple[object, ...], tuple[Sequence[tuple[str, str]], str]] = {}
        self.title = label("", 14, 700, wrap=True)
        self.day = Asked("From", field("Ration from", "14 Jan"))
        self.rows = RationRows()
        self.add_button, self.plans_button = button("Add a feed"), button("Plan's ration")
        self.whole = label("", 11, 600, "thin", wrap=True)
        self.checks, self.jump = CheckLines(), Panel(column(spacing=2, margins=(12, 8, 12, 8)), "thin", edged=True)
        self._jump_claim, self._jump_say = label("", 12, 700, wrap=True), label("", 11, wrap=True)
        self.now_button, self.begin_button = (
            button("They get this now"),
            button("Begin this ration", "main", weight=600),
        )
        self.why_not, self.caution = label("", 11, wrap=True), label("", 11, 400, "second", wrap=True)
        self.strips, self.names = FedStrips(look), label("", 12, 500, wrap=True)
        self.picture_button = button("Save picture")
        self._soon = QTimer(self, singleShot=True, interval=SOON)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        inside = self.jump.layout()
        assert inside is not None
        inside.addWidget(self._jump_claim)
        inside.addWidget(self._jump_say)
        head = row((self.title, 1), self.day, spacing=12)
        left = column(
            head, self.rows, flow(self.add_button, self.plans_button), self.whole, self.jump, self.why_not,
            flow(self.begin_button, self.now_button), 2, self.checks, 2, self.caution, None,
            spacing=6, margins=_MARGINS,
        )  # fmt: skip
        right = column((self.strips, 1), self.names, row(None, self.picture_button), spacing=6, margins=(12, 8, 12, 8))
        self.setLayout(column(Beside(card(right), holder(column(card(left))), (54, 46), long_first=True)))

    def _connect(self) -> None:
        self.work.moved.connect(self.herd_moved)
        self.work.planned.connect(lambda _: self._show_buttons())
        self.rows.edited.connect(self._on_edited)
        holds = self.day.holds
        holds.textEdited.connect(self._on_edited)  # type: ignore[union-attr]
        self._soon.timeout.connect(self.look_ahead)
        self.add_button.clicked.connect(self.rows.add_line)
        self.plans_button.clicked.connect(self.take_plan)
        self.now_button.clicked.connect(self.record_now)
        self.begin_button.clicked.connect(self.begin)
        self.picture_button.clicked.connect(self.save_chart)
        self.strips.opened.connect(self._on_opened)

    # What is shown

    @override
    def focus_first(self) -> None:
        self.rows.focus_first()

    @override
    def renew(self) -> None:
        """Show the group looked at; what is half typed for it stays."""
        group = self.work.chosen
        key = ("" if group is None else group.name, None if group is None else tuple(sorted(group.ration.items())))
        key = (*key, *self.work.feeds.name.tolist(), *self.work.feeds.dm.tolist(), *self.work.feeds.me.tolist())
        if key != self._shown:
            if self._is_edited:
                self._half_typed[self._shown] = (self.rows.typed, self.day.text)
            self._shown = key
            kg = {} if group is None else group.ration
            lines, day = self._half_typed.pop(key, ((), say_whole_day(self.work.herd.today)))
            self._is_edited = bool(lines)
            self.day.put(day)
            self.day.say("")
            self.rows.show_ration(self.work.feeds, kg, kg)
            if lines:
                self.rows.put_typed(lines)
        self.look_ahead()

    def look_ahead(self) -> None:
        """Read what is typed and work out what it does."""
        self._soon.stop()
        group, work = self.work.chosen, self.work
        a, rules = work.assessment, work.assessment.rulebook
        name = "" if group is None else group.name or "Cows without a group"
        self.title.setText(f"{name}, ration a head a day" if group is not None else "No group to feed")
        self.read = read_ration(self.rows.typed, work.feeds, rules.sheet) if not work.lacking else ReadRation()
        was = {} if group is None else group.ration
        self.rows.show_read(self.read, was)
        self.whole.setText(work.lacking or self.read.wrong)
        self.whole.setVisible(bool(self.whole.text()))
        self.tried = None
        days = self._from_day()
        good = group is not None and len(group.cows) > 0 and self.read.is_good and days is not None and not work.lacking
        if good and group is not None and days is not None:
            ration, present = work.feeds.ration(self.read.kg), work.present(group)
            self.tried = try_ration(group.cows, work.feeds, ration, rules, present, max(days, 0.0))
        self._show_tried(group)
        self._show_buttons()
        ration_now = work.feeds.ration(self.read.kg) if self.read.is_good and len(work.feeds) else None
        said = [] if group is None or not len(group.cows) else cautions(group.cows, work.feeds, ration_now, a.rulebook)
        self.caution.setText("\n".join(f"{word}. {say}" for word, say in said))

    def _from_day(self) -> float | None:
        """Days from today the ration is to begin, None when the day cannot be read."""
        today = self.work.herd.today
        day = read_day(self.day.text, today)
        if isinstance(day, NotADay):
            self.day.say(day.sentence, wrong=True)
            return None
        self.day.say("")
        return float((day - today).days)

    def _show_tried(self, group: FedGroup | None) -> None:
        tried, work = self.tried, self.work
        self.checks.setVisible(tried is not None)
        self.jump.setVisible(False)
        self.picture_button.setEnabled(tried is not None)
        if tried is None or group is None:
            nobody = group is not None and not len(group.cows)
            words = "Nobody to feed for condition: no cow here has a score and a calving date within reach."
            self.strips.show_empty(words if nobody else "Type a ration to see what it does to every cow that eats it.")
            self.names.setText("")
            return
        self.checks.show_checks(tried.checks)
        claim, say = jump_words(tried, work.feeds, work.present(group), work.assessment)
        self.jump.setVisible(bool(claim))
        self._jump_claim.setText(claim)
        self._jump_say.setText(say)
        self.strips.show_picture(fed_picture(group, tried, work.assessment.rulebook.targets.band))
        self.names.setText(names_words(tried))

    def _show_buttons(self) -> None:
        group, herd = self.work.chosen, self.work.herd
        days = self._from_day()
        stop = why_not_begin(group, self.tried, self.read, days, known=self._is_known(group))
        if group is not None and self.tried is not None and not stop:
            late = late_besides(group, herd.rulebook)
            stop = f"{apart_words(late)} Pen them apart on the tab Plan." if late else ""
        day = None if days is None else self.work.assessment.day(days)
        if group is not None and self.tried is not None and day is not None and not stop:
            stop = too_soon(group, self.work.assessment.today, day, herd.rulebook.feeding.step_days)
        self.why_not.setText(herd.why_not or stop)
        self.why_not.setVisible(bool(self.why_not.text()))
        self.begin_button.setEnabled(self.tried is not None and not herd.why_not and not stop)
        can_note = group is not None and bool(group.name) and self.read.is_good and days is not None and days <= 0
        self.now_button.setEnabled(can_note and not herd.why_not)
        self.now_button.setToolTip("Writes down what is in the trough today; it changes nothing there.")
        self.plans_button.setEnabled(group is not None and len(group.cows) > 0 and not self.work.lacking)
        main = "main" if stop == NOT_KNOWN else ""
        self.now_button.setProperty("kind", main)
        self.now_button.style().polish(self.now_button)

    def _is_known(self, group: FedGroup | None) -> bool:
        return group is not None and self.work.present(group) is not None

    # What is done

    def take_plan(self) -> None:
        """Fill in the program's own ration of that day."""
        group, days = self.work.chosen, self._from_day()
        made = None if group is None else self.work.plan_of(group)
        if made is None or days is None or group is None:
            self.message.emit(messages.note("The plan is being worked out.", "Press again in a moment."))
            return
        if not len(made.plan.ration):
            self.message.emit(messages.note("There is no plan for this group.", "The tab Plan says why."))
            return
        fresh = np.round(made.plan.on(max(days, 0.0)) / self.work.feeds.dm, 1)
        kg = {str(name): float(one) for name, one in zip(self.work.feeds.name, fresh, strict=True) if one > 0}
        self.rows.show_ration(self.work.feeds, kg, group.ration)
        self.look_ahead()

    def record_now(self) -> None:
        """Write down what the group gets; steps of a plan still to come stay."""
        self.look_ahead()  # what was typed last may not have been read yet
        group, herd, days = self.work.chosen, self.work.herd, self._from_day()
        if group is None or days is None or days > 0 or not self.read.is_good or not herd.can_write:
            return
        day = self.work.assessment.day(days) or herd.today
        ahead = [step for step in group.planned() if step[0] > day]
        feeds, rules = self.work.feeds, self.work.assessment.rulebook
        fits = fits_next(feeds, feeds.ration(self.read.kg), ahead, rules)
        # A step that was gentle from the old ration may be a crash change from this one.
        ahead = ahead if fits else []
        change = record_ration(self.work.assessment, group, [(day, self.read.kg), *ahead], "ration now")
        if change.rows and herd.push(change, f"ration of {group.name}"):
            rest = "" if fits else "The steps still to come no longer fit and are taken out: plan again."
            self.message.emit(messages.note(f"{group.name}: what they get from {say_day(day)} is written down.", rest))

    def begin(self) -> None:
        """Write the steps to this ration, the way back to need, and the diet."""
        self.look_ahead()
        group, herd, tried = self.work.chosen, self.work.herd, self.tried
        days = self._from_day()
        if group is None or tried is None or days is None or not self.begin_button.isEnabled():
            return
        a, feeds = self.work.assessment, self.work.feeds
        steps = steps_of_hand(group.cows, feeds, a.rulebook, tried)
        if steps is None:
            self.message.emit(
                messages.note(
                    "No gentle way back to need was found for this ration.", "Change it less, or ask for a plan."
                )
            )
            return
        moved = float((tried.score - group.cows.score).mean())
        aim = 0 if abs(moved) <= a.rulebook.feeding.hold_within else int(np.sign(moved))
        weeks = np.maximum(group.cows.calving_day - days, 1.0) / 7.0
        a_week = float(((tried.score - group.cows.score) / weeks).mean())
        change = start_by_hand(a, group, dated(steps, feeds, a.today), aim, a_week)
        if herd.push(change, f"ration of {group.name}"):
            self.message.emit(messages.note(f"{group.name}: the ration is begun in {len(tried.steps)} steps."))

    def save_chart(self) -> None:
        """Save the strips as a picture."""
        picture, group = self.strips.picture, self.work.chosen
        if picture is None or group is None:
            return
        theme = read_themes()["light"]

        def paint(painter: QPainter) -> None:
            painter.fillRect(QRectF(0, 0, _PICTURE.width(), _PICTURE.height()), theme["surface"])
            paint_fed(painter, QRectF(12, 8, _PICTURE.width() - 24, _PICTURE.height() - 16), theme, picture)

        def write(path: Path) -> Path:
            return save_picture(path, _PICTURE, paint)

        name = f"{self.work.herd.path.stem} {group.name} ration {self.work.herd.today.isoformat()}.png"
        self.save_wished.emit(SaveWish("The chart of the ration", name, PICTURES, write))

    def _on_edited(self) -> None:
        self._is_edited = True
        self._soon.start()

    def _on_opened(self, tag: str) -> None:
        group = self.work.chosen
        if group is None:
            return
        mine: Flags = group.cows.tag == tag
        if mine.any():
            row_ = int(group.cows.row[mine][0])
            self.open_cow.emit(str(self.work.assessment.snapshot.cows.id[row_]))
