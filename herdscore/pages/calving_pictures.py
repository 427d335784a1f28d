"""What the calving page draws, made from the assessment: weeks of calvings to expect, and lines of the calf clock."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, NO_BLOCK, SPRING_BLOCK
from herdscore.domain.calf_care import NamedCard
from herdscore.domain.calf_clock import COLOSTRUM, COW, NAVEL, NAVEL_AGAIN, TAGGED, Standing, Step, to_utc
from herdscore.domain.calving_season import FAT_PART, OTHER_PART, THIN_PART, CalvingWeeks, expected_by_week
from herdscore.domain.reasons import say_day, say_number
from herdscore.pages.cow_words import say_cows
from herdscore.pages.scoring_words import short_tag
from herdscore.parts.calving_weeks import WeekBar, WeeksPicture
from herdscore.parts.clock_drawing import DONE, LATE, OPEN, ClockCard, RingStep

_LEAST = 0.05
_MOST_WEEKS = 60
BOTH = "both"
_UNBROKEN = "\u00a0"
_WORDS = {NAVEL: "navel", NAVEL_AGAIN: "navel 2", "sucked": "sucked", COLOSTRUM: "colostrum", TAGGED: "tagged"}


def codes_of(block: str) -> tuple[int, ...]:
    """Codes of the blocks the switch of the header shows; cows of no block are in each."""
    if block == BOTH:
        return (NO_BLOCK, AUTUMN_BLOCK, SPRING_BLOCK)
    return (NO_BLOCK, BLOCK_NAMES.index(block))


def block_code(block: str) -> int | None:
    """The one block asked for, None for both."""
    return None if block == BOTH else BLOCK_NAMES.index(block)


def weeks_picture(assessment: Assessment, block: str) -> tuple[WeeksPicture, str]:
    """The bars of the blocks shown, and a line on the fullest week and on the cows left out."""
    a, weeks = assessment, expected_by_week(assessment)
    codes = list(codes_of(block))
    expected = weeks.expected[codes].sum(axis=0)
    guessed = weeks.from_run[codes].sum(axis=0)
    total = expected.sum(axis=0)
    kept = np.flatnonzero(total >= _LEAST)
    line = _left_out(a, weeks, codes)
    if not len(kept):
        return WeeksPicture((), name="Calvings to expect by week"), line
    first, last = int(kept[0]), min(int(kept[-1]), int(kept[0]) + _MOST_WEEKS)
    bars = tuple(
        WeekBar(
            a.today + timedelta(days=int(weeks.first_day[at])),
            float(expected[THIN_PART, at]),
            float(expected[FAT_PART, at]),
            float(expected[OTHER_PART, at]),
            float(guessed[at]),
        )
        for at in range(first, last + 1)
    )
    names = []
    for code in (AUTUMN_BLOCK, SPRING_BLOCK) if block == BOTH else ():
        mine = weeks.expected[code].sum(axis=0)[first : last + 1]
        if mine.max(initial=0.0) >= 0.5:
            names.append((f"{BLOCK_NAMES[code]} block", bars[int(np.argmax(mine))].monday))
    fullest = max(bars, key=lambda bar: bar.total)
    said = f"Fullest week: {fullest.total:.0f} from {say_day(fullest.monday, a.today)}."
    spoken = "; ".join(
        f"{say_day(bar.monday)} {say_number(bar.total, 1)}, thin {say_number(bar.thin, 1)}, "
        f"fat {say_number(bar.fat, 1)}"
        for bar in bars
    )
    return WeeksPicture(bars, tuple(names), "Calvings to expect by week", spoken), " ".join(filter(None, (said, line)))


def _left_out(a: Assessment, weeks: CalvingWeeks, codes: Sequence[int]) -> str:
    past = int(np.isin(a.block[weeks.past_date], codes).sum())
    undated = int(np.isin(a.block[weeks.undated], codes).sum())
    parts = [f"{say_cows(past)} past the date"] if past else []
    parts += [f"{undated} without a date"] if undated else []
    return f"Not in it: {' and '.join(parts)}." if parts else ""


def clock_cards(cards: Sequence[NamedCard], now: datetime) -> list[ClockCard]:
    """Lines of the clock at a moment."""
    return [_line(card, now) for card in cards]


def _line(named: NamedCard, now: datetime) -> ClockCard:
    card = named.card
    moment = to_utc(now)
    age = say_span(moment - card.born_at)
    tag = short_tag(named.tag)
    who = tag if card.of == COW else f"of {tag}"
    what = "cow" if card.of == COW else f"{'twin ' if named.twin else ''}{named.sex or 'calf'}"
    due = [(step.due - card.born_at).total_seconds() for step in card.steps]
    run = (moment - card.born_at).total_seconds()
    reached = float(np.interp(run, [0.0, *due], [-0.5, *range(len(due))]))
    steps = tuple(
        RingStep(
            step.what,
            _WORDS.get(step.what, step.what),
            _below(step, named, now),
            DONE if step.standing == Standing.DONE else OPEN if step.standing == Standing.OPEN else LATE,
            round(min(max(reached - place + 0.5, 0.0), 1.0), 2),
        )
        for place, step in enumerate(card.steps)
    )
    late = card.late_by(now)
    rest = f"{what}, {age.replace(' ', _UNBROKEN)}"
    return ClockCard(f"{card.of}/{card.calving_id}", who, rest, steps, late is not None)


def _below(step: Step, named: NamedCard, now: datetime) -> str:
    card = named.card
    if step.standing == Standing.DONE:
        assert step.done_at is not None
        return _clock(step.done_at, now)
    if step.what == COLOSTRUM and card.litres:
        return f"{card.litres:g} of {card.wanted:g} l"
    if step.standing == Standing.OPEN:
        by = _clock(step.due, now)
        return f"by {by}" if step.due.astimezone().date() == now.astimezone().date() else by
    if step.standing == Standing.RED:
        return "feed now"
    return f"late {say_span(to_utc(now) - step.due)}"


def _clock(moment: datetime, now: datetime) -> str:
    """A time of day, or the day when it is another one; by the clock on the wall."""
    local = moment.astimezone()
    today = now.astimezone().date()
    if local.date() == today:
        return f"{local:%H:%M}"
    if abs((local.date() - today).days) == 1:
        return f"{local:%a %H:%M}"
    return say_day(local.date(), today)


def say_span(span: timedelta) -> str:
    """How long: 40 min, 7 h, 3 days."""
    minutes = int(span.total_seconds() // 60)
    if minutes < 60:
        return f"{max(minutes, 0)} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h"
    return f"{minutes // (24 * 60)} days"
