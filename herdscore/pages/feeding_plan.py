"""Tab Plan: a group's gentle plan from today to calving, what stands in its way, and beginning it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Signal
from PySide6.QtGui import QPainter
from typing_extensions import override

from herdscore.desk import messages
from herdscore.desk.edits import set_setting
from herdscore.domain.change_effect import effect
from herdscore.domain.changes import adding
from herdscore.domain.fed_groups import AIM_WORDS, FedGroup, Stand, too_soon
from herdscore.domain.feeding_cautions import cautions
from herdscore.domain.feeding_course import Course, course_of_plan, course_written, finding
from herdscore.domain.feeding_followed import MAINTENANCE, Followed, follow
from herdscore.domain.group_plans import GroupPlan, pen_apart, start_plan, why_not_start
from herdscore.domain.group_questions import GroupQuestion, group_questions, likely_answer, worth_words
from herdscore.domain.ration_checks import checks_of
from herdscore.domain.reasons import say_day
from herdscore.domain.records import Diet, new_id
from herdscore.pages.cow_words import say_cows
from herdscore.pages.feeding_aside import DietQuestionCard, FollowedCard, LeftOutCard
from herdscore.pages.feeding_check_lines import CheckLines
from herdscore.pages.feeding_plan_words import empty_words, outcome_words, under_words
from herdscore.pages.feeding_ration_card import RationTable, StepBoxes
from herdscore.pages.feeding_step_picture import step_picture
from herdscore.pages.feeding_work import FeedingWork
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.wishes import PICTURES, SaveWish
from herdscore.parts.beside import Beside
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import card, column, holder, row
from herdscore.parts.flow import flow
from herdscore.parts.labels import label
from herdscore.parts.save_picture import save_picture
from herdscore.parts.step_chart import StepChart
from herdscore.parts.step_drawing import paint_steps
from herdscore.parts.theme import Look, read_themes

ADVISED = "advised"
WAYS = ((ADVISED, "As advised"), ("1", "Ease up"), ("0", "Hold"), ("-1", "Ease down"))
_PICTURE = QSize(1000, 560)
_MARGINS = (16, 8, 14, 10)


class PlanTab(FreshTab):
    """`message`, `open_cow`, `save_wished`, `print_wished`; `by_hand_wished()`: say what they get now."""

    message = Signal(object)
    open_cow = Signal(str)
    save_wished = Signal(object)
    print_wished = Signal(object)
    by_hand_wished = Signal()

    def __init__(self, look: Look, work: FeedingWork) -> None:
        super().__init__()
        self.work = work
        self.course: Course | None = None
        self.made: GroupPlan | None = None
        self._again = False  # a running plan is looked at anew
        self._way: dict[str, int | None] = {}
        self._question: GroupQuestion | None = None
        self._followed: Followed | None = None
        self.chart = StepChart(look)
        self.ways = JoinedButtons(WAYS, "What the plan is for", 11, height=38)
        self.again_button, self.picture_button = button("Plan again from today"), button("Save picture")
        self.ration_title = label("", 14, 700, wrap=True)
        self.ration, self.checks, self.boxes = RationTable(), CheckLines(), StepBoxes()
        self.outcome, self.why_not = label("", 12, 600, wrap=True), label("", 11, wrap=True)
        self.begin_button, self.now_button = button("Begin this plan", "main", weight=600), button("")
        self.now_button.setText("Say what they get now")
        self.caution = label("", 11, 400, "second", wrap=True)
        self.left_out, self.question = LeftOutCard(look), DietQuestionCard(look)
        self.followed = FollowedCard(look)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        head = flow(self.ways, self.again_button, self.picture_button)
        chart = card(column(head, (self.chart, 1), spacing=4, margins=(12, 8, 12, 6)))
        ration = card(column(self.ration_title, self.ration, 2, self.checks, spacing=4, margins=_MARGINS))
        buttons = row(self.begin_button, self.now_button, None)
        start = card(column(self.outcome, self.why_not, buttons, self.boxes, spacing=6, margins=_MARGINS))
        asides = (self.question, self.followed, start, self.left_out, ration, self.caution)
        right = holder(column(*asides, None, spacing=10, margins=(0, 0, 4, 0)))
        self.setLayout(column(Beside(chart, right, (55, 45))))

    def _connect(self) -> None:
        self.work.moved.connect(self._on_moved)
        self.work.planned.connect(self._on_planned)
        self.chart.step_chosen.connect(self._on_step)
        self.ways.chosen.connect(self._on_way)
        self.again_button.clicked.connect(self._on_again)
        self.picture_button.clicked.connect(self.save_chart)
        self.begin_button.clicked.connect(self.begin)
        self.now_button.clicked.connect(self.by_hand_wished)
        self.left_out.apart_wished.connect(self.pen_apart)
        self.question.answered.connect(self._on_answered)
        self.followed.taken.connect(self._on_taken)

    # What is shown

    @override
    def focus_first(self) -> None:
        if self.begin_button.isVisible() and self.begin_button.isEnabled():
            self.begin_button.setFocus()
        else:
            self.chart.setFocus()

    @override
    def renew(self) -> None:
        """Show the group that is looked at."""
        work, group = self.work, self.work.chosen
        a = work.assessment
        self.made = self.course = None
        running = group is not None and group.stand is Stand.RUNNING
        if group is not None:
            written = course_written(a, group, work.feeds) if running and not self._again else None
            if written is None and len(group.cows) and not work.lacking:
                self.made = work.plan_of(group, self._way.get(group.name))
                known = self.made is not None and len(self.made.plan.ration) > 0
                self.course = course_of_plan(self.made.plan, a.rulebook) if self.made is not None and known else None
            else:
                self.course = written
        self._show_head(group, running=running)
        self._show_chart(group)
        self._show_ration(group, self.course.step_at(0.0) if self.course is not None else 0)
        self._show_start(group)
        self._show_asides(group)

    def _show_head(self, group: FedGroup | None, *, running: bool) -> None:
        way = None if group is None else self._way.get(group.name)
        self.ways.choose(ADVISED if way is None else str(way))
        self.ways.setVisible(not running)
        self.again_button.setVisible(running)
        self.again_button.setText("Back to the plan begun" if self._again else "Plan again from today")
        self.picture_button.setEnabled(self.course is not None)

    def _show_chart(self, group: FedGroup | None) -> None:
        a = self.work.assessment
        if group is None or self.course is None:
            self.chart.show_empty(empty_words(group, self.work.lacking, self.made))
            return
        name = group.name or "The group"
        title = finding(name, self.course, a)
        self.chart.show_picture(step_picture(self.course, a, title, under_words(group, self.course, self.made, a)))

    def _show_ration(self, group: FedGroup | None, step: int) -> None:
        course, work = self.course, self.work
        known = course is not None and group is not None and len(course.steps) > 0
        for one in (self.ration, self.checks, self.boxes):
            one.setVisible(known)
        if not known or course is None or group is None:
            self.ration_title.setText("No ration yet")
            return
        a, at = work.assessment, course.steps[step]
        day = a.day(at.day)
        before = course.steps[step - 1].ration if step else course.before
        when = "now" if at.day <= 0 else f"from {say_day(day, a.today)}"
        self.ration_title.setText(f"Ration {when}, a head a day")
        self.ration.show_ration(course.feeds, at.ration, before)
        cows = self.made.plan.cows if self.made is not None else group.cows
        self.checks.show_checks(checks_of(course.feeds, at.ration, cows, a.rulebook, max(at.day, 0.0)))
        days = [a.day(one.day) or a.today for one in course.steps]
        self.boxes.show_course(course, course.mover, a.today, days)

    def _show_start(self, group: FedGroup | None) -> None:
        herd = self.work.herd
        self.begin_button.setVisible(self.made is not None)
        self.outcome.setText("" if group is None else outcome_words(group, self.made, self.work.assessment))
        stop = "" if self.made is None or group is None else why_not_start(self.made, group)
        if group is not None and self.made is not None and not stop:
            today = self.work.assessment.today
            stop = too_soon(group, today, today, herd.rulebook.feeding.step_days)
        if self.made is not None and group is not None and not group.name:
            stop = "Cows without a group cannot be planned for: give them a group first."
        self.why_not.setText(herd.why_not or stop)
        self.why_not.setVisible(bool(self.why_not.text()))
        self.begin_button.setEnabled(not herd.why_not and not stop)
        unknown = group is not None and bool(group.name) and self.work.present(group) is None and self.made is not None
        self.now_button.setVisible(unknown)
        at = None if self.course is None else self.course.steps[self.course.step_at(0.0)].ration
        said = [] if group is None else cautions(group.cows, self.work.feeds, at, herd.rulebook)
        self.caution.setText("\n".join(f"{word}. {say}" for word, say in said))

    def _show_asides(self, group: FedGroup | None) -> None:
        a, herd = self.work.assessment, self.work.herd
        others = [] if group is None else self.work.left_out_of(group)
        self.left_out.show_cows(self.made.apart if self.made is not None else (), others, herd.why_not)
        self._question = next(
            (one for one in group_questions(a) if group is not None and one.place == group.place), None
        )
        worth = ""
        if self._question is not None:
            after = herd.preview(adding("add diet", [likely_answer(a, self._question)]))
            worth = worth_words(self._question, effect(a, after, a.groups.now == self._question.place))
        self.question.show_question(self._question, worth, herd.why_not)
        self._followed = None if group is None else follow(a, group, self.work.feeds)
        self.followed.show_followed(self._followed, a, herd.why_not)

    # What is done

    def begin(self) -> None:
        """Write the plan: its diet, and the ration of every step."""
        group, made, herd = self.work.chosen, self.made, self.work.herd
        if group is None or made is None or not herd.can_write or herd.snapshot is not self.work.assessment.snapshot:
            return
        today = self.work.assessment.today
        if why_not_start(made, group) or too_soon(group, today, today, herd.rulebook.feeding.step_days):
            return
        self._again = False
        if herd.push(start_plan(self.work.assessment, group, made.plan), f"plan of {group.name}"):
            way = AIM_WORDS[made.plan.aim]
            claim = f"{group.name}: {way}, {say_cows(len(made.plan.cows))}."
            self.message.emit(messages.note(claim, "The plan is begun; this page shows its steps."))

    def pen_apart(self) -> None:
        """Give those who stand in the way a pen of their own."""
        group, made, herd = self.work.chosen, self.made, self.work.herd
        if group is None or made is None or not made.apart or not herd.can_write:
            return
        change, name = pen_apart(self.work.assessment, group, made.apart)
        count = say_cows(len(made.apart))
        if herd.push(change, f"{count} penned apart"):
            self.message.emit(messages.note(f"{count} moved to “{name}”, on the old ration."))

    def save_chart(self) -> None:
        """Save the step chart as a picture."""
        group, course, a = self.work.chosen, self.course, self.work.assessment
        if group is None or course is None:
            return
        theme = read_themes()["light"]
        picture = step_picture(course, a, finding(group.name, course, a), under_words(group, course, self.made, a))

        def paint(painter: QPainter) -> None:
            painter.fillRect(QRectF(0, 0, _PICTURE.width(), _PICTURE.height()), theme["surface"])
            paint_steps(painter, QRectF(12, 8, _PICTURE.width() - 24, _PICTURE.height() - 16), theme, picture)

        def write(path: Path) -> Path:
            return save_picture(path, _PICTURE, paint)

        stem = self.work.herd.path.stem
        name = f"{stem} {group.name} plan {a.today.isoformat()}.png"
        self.save_wished.emit(SaveWish("The chart of the plan", name, PICTURES, write))

    def _on_step(self, step: int) -> None:
        self._show_ration(self.work.chosen, step)

    def _on_way(self, key: str) -> None:
        group = self.work.chosen
        if group is not None:
            self._way[group.name] = None if key == ADVISED else int(key)
            self.renew()

    def _on_again(self) -> None:
        self._again = not self._again
        self.renew()

    def _on_moved(self) -> None:
        self._again = False
        self.herd_moved()

    def _on_planned(self, key: str) -> None:
        if self.isVisible():
            self.renew()
        else:
            self.herd_moved()

    def _on_answered(self, kind: str) -> None:
        asked, herd = self._question, self.work.herd
        if asked is None or not herd.can_write:
            return
        day = likely_answer(self.work.assessment, asked).day
        herd.push(adding("add diet", [Diet(new_id(), asked.group, day, kind)]), f"diet of {asked.group}")

    def _on_taken(self) -> None:
        found, herd = self._followed, self.work.herd
        if found is None or found.seen.maintenance_offered is None or not herd.can_write:
            return
        value = f"{found.seen.maintenance_offered:g}"
        change = set_setting(herd.snapshot, MAINTENANCE, value)
        if change is not None and herd.push(change, f"maintenance set to {value}"):
            self.message.emit(messages.note(f"Reckoned with {value} times the book's maintenance from now on."))
