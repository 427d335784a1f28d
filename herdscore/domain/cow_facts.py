"""Why a cow's verdict is what it is, fact by fact in a stockman's words, and what is missing to say more."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calving_season import date_windows
from herdscore.domain.date_account import account, date_said
from herdscore.domain.diets import AT_GRASS, HELD, SUCKLING, WINTER
from herdscore.domain.reasons import advice, say_chance, say_day, say_number, say_spread, why, words_of
from herdscore.domain.records import GRASS, TO_HOLD, WINTER_FEED
from herdscore.domain.scale import show
from herdscore.domain.verdict import EASING, FAT, SCORE_BY, THIN, Verdict

_OF_CLASS = {WINTER: WINTER_FEED, AT_GRASS: GRASS, SUCKLING: "the weeks after calving", HELD: TO_HOLD}
_IN_MILK = (Verdict.IN_MILK, Verdict.FEED_FOR_BULL, Verdict.SCORE_FOR_BULL)
_NOT_PROJECTED = (Verdict.GONE, Verdict.NOT_IN_CALF, Verdict.PAST_DATE, *_IN_MILK)


@dataclass(frozen=True, slots=True)
class Fact:
    """A claim, and what it rests on."""

    claim: str
    rest: str = ""


def headline(assessment: Assessment, cow: int) -> str:
    """Her verdict in one breath: the claim, the date, the reason."""
    a = assessment
    if Verdict(a.verdict[cow]) in EASING:
        return " ".join(part for part in (_claim(a, cow), advice(a, cow), _last_start(a, cow)) if part)
    word = words_of(a, cow).word
    return f"{word[0].upper()}{word[1:]}. {advice(a, cow)} {why(a, cow)}".strip()


def _claim(a: Assessment, cow: int) -> str:
    """Thin and fat are said of a cow out of her band now, heading so of one still in it."""
    thin = a.facts.side[cow] == THIN
    now, word = a.facts.score_now[cow], "thin" if thin else "fat"
    out = now < a.targets.lower[cow] if thin else now > a.targets.upper[cow]
    target = show(float(a.targets.target[cow]) * 4)
    end = f"{say_number(a.course.mean[cow], 1)} at calving as she is fed, target {target}"
    return f"{word.capitalize() if out else f'Heading {word}'}: {end}."


def _last_start(a: Assessment, cow: int) -> str:
    """The last day a gentle start reaches her band; "" when none does, as the advice then says so."""
    latest = a.day(a.reach.latest[cow])
    if latest is None:
        return ""
    said = {"latest": say_day(latest, a.today), "spread": say_spread(a.dates.spread[cow])}
    return a.rulebook.phrases["start_in_time"].format_map(said)


def facts(assessment: Assessment, cow: int) -> tuple[Fact, ...]:
    """What her verdict rests on: score now, way to calving, chances, reach, when to begin, and her date."""
    told = _Facts(assessment, cow)
    found = [told.score_now(), *told.missing(), told.at_calving(), told.chances(), told.reach(), told.begin()]
    found += [told.in_milk(), told.running(), told.date()]
    return tuple(fact for fact in found if fact is not None)


class _Facts:
    """The facts of one cow; None where a fact is not hers."""

    def __init__(self, assessment: Assessment, cow: int) -> None:
        self._a, self._i = assessment, cow
        self._verdict = Verdict(assessment.verdict[cow])
        self._scored = math.isfinite(assessment.facts.score_now[cow])
        self._dated = math.isfinite(assessment.dates.day[cow])
        self._ahead = self._scored and self._dated and assessment.dates.day[cow] >= 0
        self._open = self._verdict not in _NOT_PROJECTED

    def score_now(self) -> Fact | None:
        a, i = self._a, self._i
        if self._verdict == Verdict.GONE or not self._scored:
            return None
        count = int(a.course.n_scores[i])
        day = say_day(a.day(a.sessions.last_day[i]), a.today)
        last = show(float(a.sessions.last[i]) * 4)
        if count == 1:
            rest = f"from one score, {last} on {day}; one more gives a direction of her own"
        else:
            rest = f"from her {count} scores, the last {last} on {day}; what a day scored high or low is taken out"
        return Fact(f"Score now {say_number(a.facts.score_now[i], 2)}", rest)

    def missing(self) -> list[Fact]:
        """What is not known and what it would buy."""
        found: list[Fact] = []
        if self._verdict == Verdict.GONE:
            return found
        if not self._scored:
            old = self._a.snapshot.of_cow("scores", self._i)
            rest = "her scores are over a year old or none was felt" if len(old) else "she was never scored"
            found.append(Fact("No score to go by", f"{rest}; three sites at the crush give her a way to calving"))
        if not self._dated and self._verdict not in (Verdict.NOT_IN_CALF, *_IN_MILK):
            found.append(Fact("No calving date", account(self._a, self._i).rests_on))
        return found

    def at_calving(self) -> Fact | None:
        a, i = self._a, self._i
        if not (self._ahead and self._open):
            return None
        low, high = say_number(a.course.lo[i], 1), say_number(a.course.hi[i], 1)
        claim = f"{say_number(a.course.mean[i], 1)} at calving, 9 in 10: {low} to {high}"
        return Fact(claim, self._diets())

    def _diets(self) -> str:
        """The rates on the way, diet by diet."""
        a, i = self._a, self._i
        low, high = a.segments.low[i], a.segments.high[i]
        ahead = np.flatnonzero((high > 0) & (low < a.dates.day[i]) & (low < high))
        said = []
        for k in ahead.tolist():
            rate = say_number(a.course.curve_rate[i, k] * 7, 2, sign=True)
            assumed = ", assumed" if a.segments.assumed[i, k] else ""
            begins = f" from {say_day(a.day(low[k]), a.today)}" if low[k] > 0 else ""
            said.append(f"{rate} a week {self._diet(int(a.segments.rate[i, k]))}{begins}{assumed}")
        return ", then ".join(said)

    def _diet(self, rate: int) -> str:
        segments, diets = self._a.segments, self._a.snapshot.diets
        row = float(segments.rate_diet[rate])
        if math.isfinite(row):
            kind = diets.kind[int(row)]
            return "on a diet not known" if kind == "unknown" else f"on {kind}"
        kind = _OF_CLASS.get(int(segments.rate_class[rate]))
        return (
            f"on {kind}"
            if kind and int(segments.rate_class[rate]) != SUCKLING
            else f"in {kind}"
            if kind
            else ("on a diet not told")
        )

    def chances(self) -> Fact | None:
        a, i = self._a, self._i
        if not (self._ahead and self._open):
            return None
        thin, fat = say_chance(a.course.p_below[i]), say_chance(a.course.p_above[i])
        low, high = (show(float(edge[i]) * 4) for edge in (a.targets.lower, a.targets.upper))
        return Fact(
            f"Chance thin {thin}, fat {fat}",
            f"on target {say_chance(a.course.p_inside[i])}, between {low} and {high}",
        )

    def reach(self) -> Fact | None:
        a, i = self._a, self._i
        if not (self._ahead and self._open and math.isfinite(a.reach.expected_rate[i])):
            return None
        low, high, side = say_number(a.reach.fan_lo[i], 1), say_number(a.reach.fan_hi[i], 1), a.facts.side[i]
        if side == THIN:
            claim = f"Gentle feeding reaches {high}"
        elif side == FAT:
            claim = "Gentle feeding holds her where she is" if a.reach.never_slimmed[i] else f"Eased down to {low}"
        else:
            claim = f"Gentle feeding reaches {low} to {high}"
        limits, d = a.rulebook.limits, a.dates.day[i]
        days = say_number(max(0.0, d - limits.lost_days), 0)
        per = limits.planning_loss_days if side == FAT else limits.planning_gain_days
        lost = f"the last {limits.freeze_days} are need only, {limits.ramp_days} go to easing in and out"
        slim = f"; {self._not_slimmed()}" if a.reach.never_slimmed[i] and side != THIN else ""
        return Fact(claim, f"{days} days at ½ in {per:g}; {lost}{slim}")

    def _not_slimmed(self) -> str:
        """Why she is never slimmed."""
        a, i, limits = self._a, self._i, self._a.rulebook.limits
        if a.dates.first_calver[i]:
            return "a first-calver is not slimmed"
        if a.dates.twins[i]:
            return "with twins she is not slimmed"
        if np.fmin(a.facts.score_now[i], a.facts.last[i]) <= limits.never_slimmed_at:
            return f"at {limits.never_slimmed_at:g} or below she is not slimmed"
        return f"at {limits.vet_plan_at:.1f} or above she is slimmed only by a vet's plan"

    def begin(self) -> Fact | None:
        a, i = self._a, self._i
        if self._verdict in SCORE_BY:
            return Fact(f"Score again by {say_day(a.day(a.score_by[i]), a.today)}", "the next score decides")
        if self._verdict not in EASING:
            return None
        if not math.isfinite(a.reach.latest[i]):
            return Fact("Begin today", "no start from here on goes the whole way; each day makes the way shorter")
        spread = say_spread(a.dates.spread[i])
        by = "today" if a.reach.act_by[i] == 0 else say_day(a.day(a.reach.act_by[i]), a.today)
        latest = say_day(a.day(a.reach.latest[i]), a.today)
        return Fact(f"Begin by {by}", f"last start {latest}, less {spread} days for her date")

    def in_milk(self) -> Fact | None:
        a, i = self._a, self._i
        if self._verdict not in _IN_MILK:
            return None
        floor, bull = a.targets.mating_floor[i], a.facts.bull_in[i]
        if not math.isfinite(floor):
            return Fact("Her block is not known", "enter autumn or spring for her; it sets her target at mating")
        rest = f"calved {say_number(-a.facts.calved_day[i], 0)} days ago"
        if math.isfinite(a.facts.fall[i]):
            fall = float(a.facts.fall[i])
            moved = say_number(abs(fall), 2)
            rest += ", level since" if float(moved) == 0 else f", {'down' if fall > 0 else 'up'} {moved} since"
        if math.isfinite(bull):
            rest += f"; the bull {'goes' if bull > 0 else 'went'} in {say_day(a.day(bull), a.today)}"
        return Fact(f"Floor at mating {show(float(floor) * 4)}", rest)

    def running(self) -> Fact | None:
        a, i = self._a, self._i
        if a.running.side[i] == 0:
            return None
        aim = "up" if a.running.side[i] == THIN else "down"
        begun = float(a.running.begun[i])
        since = say_day(a.day(begun), a.today) if begun > -10_000 else "a day not told"
        row = a.running.diet[i]
        group = a.snapshot.diets.group[int(row)] if math.isfinite(row) else "her group"
        return Fact(f"On a change {aim} since {since}", f"the diet of {group} moves condition {aim}")

    def date(self) -> Fact | None:
        if not self._dated:
            return None
        told = account(self._a, self._i)
        low, high = (say_day(self._a.day(days[self._i]), self._a.today) for days in date_windows(self._a))
        window = f"19 in 20 calve between {low} and {high}"
        rest = ". ".join([told.rests_on, window, *(note.rstrip(".") for note in told.notes)])
        return Fact(f"Calves {date_said(self._a, self._i)}", rest)
