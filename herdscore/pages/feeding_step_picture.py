"""The picture of a course: its steps in words, the phases and the days that count."""

from __future__ import annotations

from herdscore.domain.assess import Assessment
from herdscore.domain.feeding_course import BACK, CALVING, DOWN, LEVEL, NEED_ONLY, UP, Course
from herdscore.domain.reasons import say_day, say_number
from herdscore.parts.step_drawing import FeedStep, StepMark, StepPhase, StepPicture

_PHASES = {
    UP: "steps up",
    DOWN: "eased down",
    LEVEL: "keep level",
    BACK: "back",
    NEED_ONLY: "need only",
    CALVING: "calving",
}


def step_picture(course: Course, a: Assessment, title: str, under: str) -> StepPicture:
    """What the chart of a course shows; days count from today."""
    offered = course.offered
    last = None if course.before is None else float(course.feeds.me @ course.before)
    steps = []
    for step, mj in zip(course.steps, offered, strict=True):
        moved = "" if last is None else f", {say_number(float(mj) - last, 1, sign=True)}"
        when = say_day(a.day(step.day), a.today)
        needed = _at(course, step.day)
        steps.append(FeedStep(step.day, float(mj), f"{when}: {mj:.0f} MJ{moved}; need {needed:.0f}"))
        last = float(mj)
    marks = []
    if course.back_day > 0:
        marks.append(StepMark(course.back_day, f"need only\nfrom {say_day(a.day(course.back_day), a.today)}"))
    if 0 < course.first_early < course.end and course.first_early > course.back_day:
        marks.append(StepMark(course.first_early, f"earliest cow\n{say_day(a.day(course.first_early), a.today)}"))
    return StepPicture(
        title=title,
        under=under,
        start=a.today,
        today=0.0,
        end=course.end,
        steps=tuple(steps),
        before=None if course.before is None else float(course.feeds.me @ course.before),
        need=tuple((float(day), float(mj)) for day, mj in course.need),
        need_second=tuple((float(day), float(mj)) for day, mj in course.need_second),
        phases=tuple(
            StepPhase(phase.first, phase.last, phase.kind, _said(course, phase.kind)) for phase in course.phases()
        ),
        marks=tuple(marks),
    )


def _said(course: Course, kind: str) -> str:
    return "hold" if kind == LEVEL and not course.aim else _PHASES[kind]


def _at(course: Course, day: float) -> float:
    """Need on a day, from the nearest day reckoned."""
    days = course.need[:, 0]
    place = int(abs(days - day).argmin())
    return float(course.need[place, 1])
