"""What is noted about a cow or a group on top of the verdict: words, reason with numbers, source."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, HerdCalendar
from herdscore.domain.chance import half_width
from herdscore.domain.reasons import say_chance, say_day, say_number, say_spread
from herdscore.domain.records import BULL_IN, TURNOUT, WEANING
from herdscore.domain.scale import show, site_spread, to_quarter
from herdscore.domain.sessions import unconfirmed
from herdscore.domain.trajectory import path
from herdscore.domain.verdict import Verdict

_SILENT = (Verdict.GONE, Verdict.NOT_IN_CALF)
Said = tuple[str, dict[str, str]]


@dataclass(frozen=True, slots=True)
class Note:
    """One note: its key in the rules, a word, a sentence with numbers, and its source."""

    key: str
    word: str
    say: str
    source: str


def notes_of(assessment: Assessment, cow: int) -> list[Note]:
    """Every note on one cow; none on a cow that is gone or not in calf."""
    if assessment.verdict[cow] in _SILENT:
        return []
    said = [*_rate_notes(assessment, cow), *_pregnancy_notes(assessment, cow), *_score_notes(assessment, cow)]
    said += [*_date_notes(assessment, cow), *_milk_notes(assessment, cow)]
    return [_note(assessment, key, numbers) for key, numbers in said]


def group_notes(assessment: Assessment, cows: np.ndarray[tuple[int], np.dtype[np.intp]]) -> list[Note]:
    """Notes on the living cows of one group, given by their places."""
    said = list(_group_notes(assessment, cows[~np.isin(assessment.verdict[cows], _SILENT)]))
    return [_note(assessment, key, numbers) for key, numbers in said]


def _note(assessment: Assessment, key: str, numbers: dict[str, str]) -> Note:
    rule = assessment.rulebook.notes[key]
    return Note(key, rule.word, rule.say.format_map(numbers), rule.source)


def _rate_notes(a: Assessment, i: int) -> Iterator[Said]:
    """Moving faster than a gentle change, and surely so."""
    if not a.course.n_scores[i]:
        return
    rate, sd = float(a.course.rate_today[i]), float(a.course.rate_today_sd[i])
    week = say_number(abs(rate) * 7, 2)
    losing, gaining = a.rulebook.notes["losing_fast"].value, a.rulebook.notes["gaining_fast"].value
    if rate < -0.5 / losing and rate + sd * half_width(a.rulebook.model.level) < 0:
        yield "losing_fast", {"rate": week, "days": f"{losing:g}"}
    if rate > 0.5 / gaining:
        yield "gaining_fast", {"rate": week, "days": f"{gaining:g}"}


def _pregnancy_notes(a: Assessment, i: int) -> Iterator[Said]:
    d = float(a.dates.day[i])
    near = d <= a.rulebook.limits.furthest_days
    if a.dates.first_calver[i] and near:
        rule = a.rulebook.notes["first_calver"]
        yield "first_calver", {"days": f"{rule.value:g}"}
        loss = _loss_before_calving(a, i, rule.value)
        if loss > a.rulebook.notes["first_calver_losing"].value:
            yield "first_calver_losing", {"loss": say_number(loss, 2), "days": f"{rule.value:g}"}
    if a.dates.twins[i] and math.isfinite(d):
        yield "twins", {"extra": f"{a.rulebook.notes['twins'].value:g}"}
    breed = a.rulebook.breed(a.snapshot.cows.breed[i])
    if breed is not None and breed.note:
        yield "breed", {"breed": breed.name, "note": breed.note}


def _loss_before_calving(a: Assessment, i: int, last_days: float) -> float:
    """Condition the model expects her to lose between that many days before calving, or today, and calving."""
    d = float(a.dates.day[i])
    if not a.course.n_scores[i] or not d > 0:
        return 0.0
    mean, _ = path(a.scores, a.rulebook.model, a.course, np.array([i]), np.array([max(0.0, d - last_days), d]))
    return float(mean[0, 0] - mean[0, 1])


def _score_notes(a: Assessment, i: int) -> Iterator[Said]:
    rows = a.sessions.row[a.sessions.cow == i]
    if not len(rows):
        return
    table = a.snapshot.scores
    last = rows[table.day[rows] == table.day[rows[-1]]]
    apart = site_spread(table.loin[last], table.ribs[last], table.tailhead[last]).max()
    if apart >= a.rulebook.notes["feel_again"].value * 4:
        day = say_day(table.day[last[0]].item(), a.today)
        yield "feel_again", {"apart": show(apart), "day": day}
    mine = a.sessions.cow == i
    since = max(-365.0, float(np.nan_to_num(a.facts.calved_day[i], nan=-365.0)))
    recent = mine & (a.sessions.day >= since)
    if len(set(a.sessions.session_scorer[a.sessions.session[recent]].tolist())) > 1:
        yield "two_scorers", {}
    yield from _jump(a, i)


def _jump(a: Assessment, i: int) -> Iterator[Said]:
    """Her last score stands a jump from the one before, and nothing bears it out."""
    mine = np.flatnonzero(a.sessions.cow == i)
    rule = a.rulebook.notes["big_jump"]
    notes = a.snapshot.scores.note[a.sessions.row]
    odd = unconfirmed(a.sessions, notes, jump=rule.value, within_days=rule.within_days)
    if not odd[mine[-1]]:
        return
    day, value = a.sessions.day[mine], to_quarter(a.sessions.value[mine])
    jump, days = float(value[-1] - value[-2]), float(day[-1] - day[-2])
    yield "big_jump", {"jump": say_number(jump, 2, sign=True), "days": f"{days:g}"}


def _date_notes(a: Assessment, i: int) -> Iterator[Said]:
    dates, notes = a.dates, a.rulebook.notes
    spread = float(dates.spread[i])
    if spread > notes["wide_date"].value:
        yield "wide_date", {"spread": say_spread(spread)}
    if math.isfinite(dates.differs_days[i]):
        typed = a.snapshot.cows.calving_date[i].item()
        served = say_day(a.day(dates.served_day[i]), a.today)
        days = f"{dates.differs_days[i]:.0f}"
        yield "typed_differs", {"typed": say_day(typed, a.today), "served": served, "days": days}
    if math.isfinite(dates.bull_after_days[i]):
        service = a.snapshot.services.day[int(dates.service_row[i])].item()
        later = f"{max(0.0, dates.bull_after_days[i]):.0f}"
        yield "bull_after_ai", {"service": say_day(service, a.today), "days": later}
    if dates.repeat[i]:
        yield "repeat_to_bull", {}
    if math.isfinite(dates.scan_outside_days[i]):
        yield "scan_outside_run", {"days": f"{dates.scan_outside_days[i]:.0f}"}
    if a.block_near[i]:
        yield "block_near", {"season": BLOCK_NAMES[a.block[i]] or ""}


def _milk_notes(a: Assessment, i: int) -> Iterator[Said]:
    d, calved = float(a.dates.day[i]), float(a.dates.last_calving[i])
    calendar, notes = HerdCalendar(a.snapshot, a.today), a.rulebook.notes
    block = int(a.block[i])
    weaned = calendar.days(block, WEANING)
    suckling = math.isfinite(calved) and not ((weaned > calved) & (weaned <= 0)).any()
    rule = notes["still_suckling"]
    if block == AUTUMN_BLOCK and suckling and 0 <= d <= rule.value:
        yield "still_suckling", {"days": f"{d:.0f}", "limit": f"{rule.limit_days:g}"}
    in_milk = -calved <= a.rulebook.verdicts.in_milk_days and suckling
    near = calendar.days(block, TURNOUT)
    near = near[np.abs(near) <= notes["magnesium"].value]
    if in_milk and len(near):
        day = say_day(a.day(float(near[0])), a.today)
        yield "magnesium", {"turnout": f"turnout is on {day}" if near[0] > 0 else f"turned out on {day}"}
    if not -calved <= a.rulebook.verdicts.in_milk_days:
        return
    fall, now = float(a.facts.fall[i]), float(a.facts.score_now[i])
    bull = calendar.next(block, BULL_IN, -1.0)
    lean = now < a.facts.mating_floor[i] and bull <= a.rulebook.verdicts.score_before_bull_days
    if fall > notes["fell_since_calving"].value or (lean and fall > 0):
        yield "fell_since_calving", {"fall": say_number(fall, 2)}


def _group_notes(a: Assessment, cows: np.ndarray[tuple[int], np.dtype[np.intp]]) -> Iterator[Said]:
    notes, lead = a.rulebook.notes, a.rulebook.limits.lead_days
    d, last = a.dates.day[cows], a.facts.last[cows]
    scored = np.isfinite(last)
    if scored.sum() > 1:
        rule, low, high = notes["group_spread"], last[scored].min(), last[scored].max()
        off = np.abs(last - a.targets.target[cows])
        known = scored & np.isfinite(off)
        outside = float((off[known] > rule.apart).mean()) if known.any() else 0.0
        if high - low >= rule.value or outside > rule.share:
            yield "group_spread", {"low": show(low * 4), "high": show(high * 4), "share": say_chance(outside)}
    beyond = notes["group_dates"].value
    near, far = int(((d < lead) & (d >= 0)).sum()), int((d > beyond).sum())
    if near and far:
        yield "group_dates", {"near": f"{near}", "far": f"{far}", "lead": f"{lead}", "beyond": f"{beyond:g}"}
    due = int(((d <= lead) & (d >= 0)).sum())
    if due:
        yield "group_mineral", {"near": f"{due} cow{'s' if due > 1 else ''}", "lead": f"{lead}"}
    yield from _thin_group(a, cows, lead)


def _thin_group(a: Assessment, cows: np.ndarray[tuple[int], np.dtype[np.intp]], lead: int) -> Iterator[Said]:
    """The group's mean at the lead day, where it still lies ahead, against target."""
    ahead = cows[(a.dates.day[cows] >= lead) & (a.course.n_scores[cows] > 0)]
    if len(ahead) < 2:
        return
    days, at = np.unique(a.dates.day[ahead] - lead, return_inverse=True)
    mean, _ = path(a.scores, a.rulebook.model, a.course, ahead, days)
    then = mean[np.arange(len(ahead)), at]
    short = float((a.targets.target[ahead] - then).mean())
    if short > a.rulebook.notes["group_thin"].value:
        yield (
            "group_thin",
            {
                "mean": say_number(float(then.mean()), 2),
                "short": say_number(short, 2),
                "lead": f"{lead}",
            },
        )
