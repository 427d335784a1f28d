"""What is said of a cow: her verdict's word, advice and reason, filled in with her own numbers."""

from __future__ import annotations

import math
from datetime import date

from herdscore.domain.assess import Assessment
from herdscore.domain.day_names import SHORT_MONTHS
from herdscore.domain.rule_forms import VerdictWords
from herdscore.domain.scale import show
from herdscore.domain.verdict import FAT, THIN, Verdict

UNKNOWN = "not known"


def say_day(day: date | None, today: date | None = None) -> str:
    """A day as it is written: 21 Jan, with the year when it is over half a year from today."""
    if day is None:
        return UNKNOWN
    said = f"{day.day}\u00a0{SHORT_MONTHS[day.month - 1]}"
    return said if today is None or abs((day - today).days) < 183 else f"{said}\u00a0{day.year}"


def say_number(number: float, decimals: int, *, sign: bool = False) -> str:
    """A number with a true minus sign; −0.00 is written 0.00; NaN is "not known"."""
    if not math.isfinite(number):
        return UNKNOWN
    rounded = round(number, decimals) + 0.0
    said = f"{abs(rounded):.{decimals}f}"
    return f"\u2212{said}" if rounded < 0 else f"+{said}" if sign and rounded > 0 else said


def say_chance(chance: float) -> str:
    """A chance in whole per cent, never written as certain."""
    if not math.isfinite(chance):
        return UNKNOWN
    percent = round(chance * 100)
    return "under 1\u00a0%" if percent < 1 else "over 99\u00a0%" if percent > 99 else f"{percent}\u00a0%"


def say_spread(days: float) -> str:
    """A date's spread in whole days, rounded up so that it promises no more than it holds."""
    return UNKNOWN if not math.isfinite(days) else str(math.ceil(days - 1e-9))


def words_of(assessment: Assessment, cow: int) -> VerdictWords:
    """Word, mark and list of a cow's verdict."""
    return assessment.rulebook.words[Verdict(assessment.verdict[cow]).key]


def advice(assessment: Assessment, cow: int) -> str:
    """What to do, in a sentence."""
    return words_of(assessment, cow).advice.format_map(_Numbers(assessment, cow))


def why(assessment: Assessment, cow: int) -> str:
    """What the verdict rests on, with her numbers."""
    return words_of(assessment, cow).why.format_map(_Numbers(assessment, cow))


class _Numbers(dict[str, str]):
    """The numbers of one cow in words, each made when a sentence asks for it."""

    def __init__(self, assessment: Assessment, cow: int) -> None:
        super().__init__()
        self._a, self._i = assessment, cow

    def __missing__(self, key: str) -> str:
        said: str = getattr(self, f"_{key}")()
        self[key] = said
        return said

    def _phrase(self, key: str) -> str:
        return self._a.rulebook.phrases[key].format_map(self)

    def _date(self, ahead: float) -> str:
        return say_day(self._a.day(ahead), self._a.today)

    def _status(self) -> str:
        return str(self._a.snapshot.cows.status[self._i])

    def _now(self) -> str:
        return say_number(self._a.facts.score_now[self._i], 2)

    def _last(self) -> str:
        last = float(self._a.facts.last[self._i])
        return show(last * 4) if math.isfinite(last) else UNKNOWN

    def _last_age(self) -> str:
        return say_number(-self._a.facts.last_day[self._i], 0)

    def _target(self) -> str:
        return show(float(self._a.targets.target[self._i]) * 4)

    def _floor(self) -> str:
        floor = float(self._a.targets.mating_floor[self._i])
        return show(floor * 4) if math.isfinite(floor) else UNKNOWN

    def _mating_target(self) -> str:
        target = float(self._a.targets.mating_target[self._i])
        return show(target * 4) if math.isfinite(target) else UNKNOWN

    def _projected(self) -> str:
        return say_number(self._a.course.mean[self._i], 1)

    def _gap(self) -> str:
        return say_number(self._a.course.mean[self._i] - self._a.targets.target[self._i], 2, sign=True)

    def _chance_thin(self) -> str:
        return say_chance(self._a.course.p_below[self._i])

    def _chance_fat(self) -> str:
        return say_chance(self._a.course.p_above[self._i])

    def _chance(self) -> str:
        return self["chance_thin" if self._a.facts.side[self._i] == THIN else "chance_fat"]

    def _other_side(self) -> str:
        return "thin" if self._a.facts.side[self._i] == THIN else "fat"

    def _days(self) -> str:
        return say_number(self._a.facts.calving_day[self._i], 0)

    def _overdue(self) -> str:
        return say_number(-self._a.facts.calving_day[self._i], 0)

    def _calving_date(self) -> str:
        return self._date(self._a.facts.calving_day[self._i])

    def _spread(self) -> str:
        return say_spread(self._a.facts.spread[self._i])

    def _calved_days(self) -> str:
        return say_number(-self._a.facts.calved_day[self._i], 0)

    def _fall(self) -> str:
        fall = float(self._a.facts.fall[self._i])
        if not math.isfinite(fall):
            return "change not known"
        said = say_number(abs(fall), 2)
        return "level" if float(said) == 0 else f"{'down' if fall > 0 else 'up'} {said}"

    def _bull_in(self) -> str:
        return self._date(self._a.facts.bull_in[self._i])

    def _act_by(self) -> str:
        by = self._a.score_by[self._i]
        return self._date(by if by == by else self._a.reach.act_by[self._i])

    def _latest(self) -> str:
        return self._date(self._a.reach.latest[self._i])

    def _reach(self) -> str:
        thin = self._a.facts.side[self._i] == THIN
        return say_number((self._a.reach.fan_hi if thin else self._a.reach.fan_lo)[self._i], 1)

    def _aim(self) -> str:
        return "up" if self._a.facts.acted[self._i] == THIN else "down"

    def _begun(self) -> str:
        begun = float(self._a.facts.begun[self._i])
        return self._date(begun) if begun > -10_000 else "an unknown day"

    def _rescore_ahead(self) -> float:
        return float(self._a.facts.begun[self._i]) + self._a.rulebook.verdicts.running_days

    def _rescore(self) -> str:
        ahead = self._rescore_ahead()
        if self._a.facts.last_day[self._i] >= ahead:
            return self._phrase("rescored")
        return self._phrase("rescore_on" if ahead > 0 else "rescore_now")

    def _rescore_day(self) -> str:
        ahead = self._rescore_ahead()
        return self._date(ahead) if ahead > -10_000 else "an unknown day"

    def _running_days(self) -> str:
        return str(self._a.rulebook.verdicts.running_days)

    def _begin_up(self) -> str:
        return self._a.rulebook.phrases["slow_loss" if self._a.reach.wanted_rate[self._i] < 0 else "begin_up"]

    def _begin_down(self) -> str:
        if self._a.reach.never_slimmed[self._i]:
            return self._a.rulebook.phrases["stop_gaining"]
        return self._a.rulebook.phrases["slow_gain" if self._a.reach.wanted_rate[self._i] > 0 else "begin_down"]

    def _start_why(self) -> str:
        return self._phrase("start_in_time" if math.isfinite(self._a.reach.latest[self._i]) else "start_part_way")

    def _thin_why(self) -> str:
        return self._phrase("thin_why")

    def _fat_why(self) -> str:
        return self._phrase("fat_why")

    def _ready(self) -> str:
        side = self._a.facts.side[self._i]
        return self._phrase("ready_thin") if side == THIN else self._phrase("ready_fat") if side == FAT else ""

    def _empty(self) -> str:
        return self._phrase(
            "empty_check" if math.isfinite(self._a.dates.not_in_calf_since[self._i]) else "empty_status"
        )

    def _check_day(self) -> str:
        return self._date(self._a.dates.not_in_calf_since[self._i])

    def _score_age(self) -> str:
        facts, i = self._a.facts, self._i
        if not math.isfinite(facts.last_day[i]):
            return self._phrase("never_scored")
        before = facts.last_day[i] < facts.calved_day[i]
        return self._phrase("no_score_since_calving" if before else "score_age")

    def _vet_thin(self) -> str:
        return say_number(self._a.rulebook.verdicts.vet_thin, 1)

    def _vet_fat(self) -> str:
        return say_number(self._a.rulebook.verdicts.vet_fat, 1)

    def _lead(self) -> str:
        return str(self._a.rulebook.limits.lead_days)

    def _freeze(self) -> str:
        return str(self._a.rulebook.limits.freeze_days)

    def _furthest(self) -> str:
        return str(self._a.rulebook.limits.furthest_days)
