"""Tab Feeding groups: thin, steady and fat cows parted into the pens there are; moved by hand, saved as one step."""

from __future__ import annotations

import re

import numpy as np
from PySide6.QtCore import Signal
from typing_extensions import override

from herdscore.desk import messages
from herdscore.desk.jobs import Job, Report
from herdscore.domain.diets import group_key
from herdscore.domain.fed_groups import AIM_WORDS, Stand
from herdscore.domain.feeding_cows import members, wanted_a_week
from herdscore.domain.feeding_groups import BY_CHANGE, BY_ENERGY, Grouping, Pen, grouping_of, propose_groups
from herdscore.domain.feeding_moves import Barred, barred, moves_to_pens, pens_now
from herdscore.domain.need import CowsFed
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.rulebook import Rulebook
from herdscore.pages.cow_words import say_cows
from herdscore.pages.feeding_work import FeedingWork
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.short_tags import short_tags
from herdscore.parts.asked import Asked
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import card, column, holder, row, scrolled
from herdscore.parts.edit_list import EditList
from herdscore.parts.fields import field
from herdscore.parts.flow import flow
from herdscore.parts.labels import label, restyle
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.theme import Look

WAYS = ((BY_CHANGE, "By wanted change"), (BY_ENERGY, "By needed energy"))
STAYS = "stays"
_COLUMNS = (
    Column("tag", "Tag", width=110, weight=600),
    Column("now", "Stands in", width=170),
    Column("to", "Fed in", width=190, weight=600),
    Column("score", "Score now", "number", right=True, width=92),
    Column("week", "Wanted a week", "number", right=True, width=136),
    Column("calves", "Calves", "date", width=96),
    Column("note", "", width=240, sortable=False),
)
_PEN = re.compile(r"(.+?)\s*[(:]\s*(\d+)\s*\)?")
_HINT = (
    "Pens by name, commas between; places in brackets where they are few: Straw yard (20). "
    "In the list, F2 or Enter puts a cow into another pen."
)


class PensTab(FreshTab):
    """`message(Message)`, `open_cow(cow id)`."""

    message = Signal(object)
    open_cow = Signal(str)

    def __init__(self, look: Look, work: FeedingWork) -> None:
        super().__init__()
        self.work, self._look = work, look
        self.cows: CowsFed | None = None
        self.pen_of: dict[int, str] = {}
        self.found: Grouping | None = None
        self._as_now: Grouping | None = None
        self._barred: dict[int, Barred] = {}
        self._job: Job | None = None
        self.pens = Asked("Pens to feed in", field("Pens to feed in", "Straw yard (20), Long barn"))
        self.by = JoinedButtons(WAYS, "What is to be alike in a pen", 11, height=44)
        self.by.choose(BY_CHANGE)
        self.propose_button, self.back_button = button("Propose"), button("As they stand")
        self.save_button = button("Move them", "main", weight=600)
        self.claim, self.says = label("", 14, 700, wrap=True), label("", 11, wrap=True)
        self.list = EditList(look, _COLUMNS, "Cows to be fed in groups", editable=("to",))
        self.foot = label(_HINT, 11, 400, "second", wrap=True)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        top = row((self.pens, 1), column(None, self.by), column(None, self.propose_button), spacing=10)
        below = row((self.foot, 1), flow(self.back_button, self.save_button), spacing=10)
        inside = column(top, self.claim, self.says, (self.list, 1), below, spacing=6, margins=(16, 8, 14, 10))
        self.list.setMinimumHeight(150)
        self.setLayout(column(scrolled(holder(column(card(inside))))))

    def _connect(self) -> None:
        self.work.moved.connect(self.herd_moved)
        self.propose_button.clicked.connect(self.propose)
        self.pens.holds.returnPressed.connect(self.propose)  # type: ignore[union-attr]
        self.by.chosen.connect(lambda _: self.propose())
        self.back_button.clicked.connect(self.stand_as_now)
        self.save_button.clicked.connect(self.save)
        self.list.edit_wished.connect(self._on_wished)
        self.list.typed.connect(self._on_typed)
        self.list.opened.connect(self._on_opened)

    @override
    def focus_first(self) -> None:
        (self.list if self.pen_of else self.pens.holds).setFocus()

    @override
    def renew(self) -> None:
        """Take the cows as they are now, and propose pens for them."""
        a, work = self.work.assessment, self.work
        rows = np.flatnonzero(~a.facts.gone & work.herd.in_block)
        self.cows, left = members(a, rows)
        names = [one.name for one in work.groups if one.name and one.stand is not Stand.NOBODY]
        if not self.pens.text.strip():
            self.pens.put(("; " if any("," in name for name in names) else ", ").join(names))
        tags = short_tags(a.snapshot.cows.tag[self.cows.row].tolist())
        self._tags = dict(zip(self.cows.row.tolist(), tags, strict=True))
        self._left = len(left)
        self.propose()

    def read_pens(self) -> list[Pen] | str:
        """The pens as they are typed, or what is wrong with them."""
        pens: list[Pen] = []
        apart = ";" if ";" in self.pens.text else ","  # a name may hold a comma
        for part in self.pens.text.split(apart):
            text = " ".join(part.split())
            if not text:
                continue
            found = _PEN.fullmatch(text)
            pen = Pen(found[1], int(found[2])) if found else Pen(text)
            if any(group_key(one.name) == group_key(pen.name) for one in pens):
                return f"{pen.name} stands there twice."
            pens.append(pen)
        return pens if pens else "Name the pens, with commas between."

    def propose(self) -> None:
        """Work out the best pens for the cows, beside the window."""
        pens = self.read_pens()
        if isinstance(pens, str):
            self.pens.say(pens, wrong=True)
            return
        cows = self.cows
        free = 0 if cows is None else int((cows.calving_day >= self.work.assessment.rulebook.limits.lead_days).sum())
        places = sum(free if pen.places is None else pen.places for pen in pens)
        if places < free:
            self.pens.say(f"{free} cows are to be placed and there are {places} places: name another pen.", wrong=True)
            return
        self.pens.say("")
        if cows is None or not free:
            self.pen_of, self.found = {}, None
            self._show()
            return
        now_in = pens_now(self.work.assessment, cows.row.tolist())
        if self._job is not None:
            self._job.cancel()
        self._job = job = self.work.herd.work_out(
            _proposed, cows, pens, self.work.assessment.rulebook, now_in, self.by.current
        )
        job.finished.connect(lambda made: self._on_proposed(job, made))
        job.failed.connect(self.work.herd.failed)

    def stand_as_now(self) -> None:
        """Every cow where she stands, to begin moving by hand."""
        if self.cows is not None:
            homes = pens_now(self.work.assessment, self.cows.row.tolist())
            self.pen_of = {
                int(one): name for one, name in zip(self.cows.row.tolist(), homes, strict=True) if name is not None
            }
            self._reckon()

    def save(self) -> None:
        """Move the cows, as one step."""
        herd = self.work.herd
        going = {cow: pen for cow, pen in self.pen_of.items() if cow not in self._barred}
        change, count = moves_to_pens(self.work.assessment, going)
        if change is None or not herd.can_write or herd.snapshot is not self.work.assessment.snapshot:
            return
        if herd.push(change, f"move of {say_cows(count)}"):
            self.message.emit(messages.note(f"{say_cows(count)} moved.", "Plan each group's ration on the tab Plan."))

    def _on_proposed(self, job: Job, made: tuple[Grouping, Grouping]) -> None:
        if job is not self._job or self.cows is None:
            return
        self._job = None
        found, self._as_now = made
        rows = self.cows.row
        self.pen_of = {int(rows[at]): str(group.pen) for group in found.groups for at in group.cows.tolist()}
        self._reckon()

    def _reckon(self) -> None:
        """Reckon the pens as they are set now."""
        a, cows = self.work.assessment, self.cows
        if cows is None:
            return
        homes = pens_now(a, cows.row.tolist())
        pen_of = [self.pen_of.get(int(one), home or "") for one, home in zip(cows.row.tolist(), homes, strict=True)]
        self.found = grouping_of(cows, pen_of, a.rulebook, now_in=homes, by=self.by.current)
        self._barred = {one.row: one for one in barred(a, self.work.groups, self.work.feeds, self.pen_of)}
        self._show()

    def _show(self) -> None:
        a, cows, found, herd = self.work.assessment, self.cows, self.found, self.work.herd
        if cows is None or not len(cows) or found is None:
            self.claim.setText("Nobody to part into groups: no cow here has a score and a calving date within reach.")
            self.says.setText("")
            self.list.show_rows([])
            self.save_button.setEnabled(False)
            return
        self.list.widen(self._look.theme.text_scale)
        self.list.show_rows(self._rows(cows))
        moved = self._moving()
        groups = [
            f"{group.pen}: {say_cows(len(group.cows))}, {AIM_WORDS[group.aim]}, "
            f"{say_number(group.wanted_a_week, 3, sign=True)} a week"
            for group in found.groups
        ]
        now = "" if self._as_now is None else f", as they stand {self._apart(self._as_now)}"
        apart = f"a cow wants {self._apart(found)} more or less than her pen is fed for{now}"
        self.claim.setText(f"{say_cows(len(moved))} to move; {apart}")
        late = len(found.left_out)
        stay = f" {late} under {a.rulebook.limits.lead_days} days stay where they are." * bool(late)
        other = f" {self._left} not counted: no score or date, or not to be fed for condition." * bool(self._left)
        no_join = f" {len(self._barred)} cannot join a pen on its steps today: they wait for the next that fills."
        self.says.setText("; ".join(groups) + "." + stay + other + no_join * bool(self._barred))
        self.save_button.setText(f"Move {say_cows(len(moved))}" if moved else "Nobody moves")
        self.save_button.setEnabled(bool(moved) and herd.can_write)
        self.save_button.setToolTip(herd.why_not)

    def _apart(self, grouping: Grouping) -> str:
        """How far a cow typically is from what her pen is fed for."""
        count = sum(len(group.cows) for group in grouping.groups)
        typical = float(np.sqrt(grouping.cost / max(count, 1)))
        return f"{typical:.1f} MJ a day" if self.by.current == BY_ENERGY else f"{typical:.3f} score a week"

    def _moving(self) -> list[int]:
        a = self.work.assessment
        homes = dict(zip(self.pen_of, pens_now(a, list(self.pen_of)), strict=True))
        return [
            cow
            for cow, pen in self.pen_of.items()
            if cow not in self._barred and (homes[cow] is None or group_key(str(homes[cow])) != group_key(pen))
        ]

    def _rows(self, cows: CowsFed) -> list[ListRow]:
        a = self.work.assessment
        week = wanted_a_week(cows, a.rulebook.limits)
        made = []
        for at, cow in enumerate(cows.row.tolist()):
            home = pens_now(a, [cow])[0] or ""
            pen = self.pen_of.get(cow, "")
            why = self._barred[cow].why if cow in self._barred else ""
            late = cows.calving_day[at] < a.rulebook.limits.lead_days
            note = why or ("too near calving, stays" if late else "first-calver" if cows.first_calver[at] else "")
            to = STAYS if late or not pen or (home and group_key(pen) == group_key(home)) else pen
            day = a.day(float(cows.calving_day[at]))
            texts = (
                self._tags[cow],
                home,
                to,
                say_number(float(cows.score[at]), 2),
                say_number(float(week[at]), 3, sign=True),
                say_day(day, a.today),
                note,
            )
            values = (texts[0], home, to, float(cows.score[at]), float(week[at]), np.datetime64(day, "D"), note)
            made.append(ListRow(cow, texts, values, done=bool(late)))
        return made

    def _on_wished(self, cow: object, _column: str) -> None:
        pens = self.read_pens()
        if self.cows is None or isinstance(pens, str) or not isinstance(cow, int):
            return
        at = int(np.flatnonzero(self.cows.row == cow)[0])
        if self.cows.calving_day[at] < self.work.assessment.rulebook.limits.lead_days:
            self._say(f"{self._tags[cow]} is too near calving: she stays where she is.", wrong=True)
            return
        names = [pen.name for pen in pens]
        self.list.begin_edit(
            self.pen_of.get(cow, ""), [(name, name) for name in names], (), f"Pen of {self._tags[cow]}"
        )

    def _on_typed(self, cow: object, _column: str, text: str) -> None:
        if isinstance(cow, int) and text:
            before = "" if self.found is None else self._apart(self.found)
            self.pen_of[cow] = text
            self.list.end_edit()
            self._reckon()
            self.list.setFocus()
            if before and self.found is not None:
                self._say(f"{self._tags[cow]} to {text}: {before} apart before, {self._apart(self.found)} now.")

    def _on_opened(self, cow: object) -> None:
        if isinstance(cow, int):
            self.open_cow.emit(str(self.work.assessment.snapshot.cows.id[cow]))

    def _say(self, words: str, *, wrong: bool = False) -> None:
        self.foot.setText(words or _HINT)
        restyle(self.foot, "tone", "thin" if wrong else "second")


def _proposed(
    cows: CowsFed, pens: list[Pen], rules: Rulebook, now_in: list[str | None], by: str, report: Report
) -> tuple[Grouping, Grouping]:
    found = propose_groups(cows, pens, rules, now_in=now_in, by=by)
    return found, grouping_of(cows, [home or "" for home in now_in], rules, now_in=now_in, by=by)
