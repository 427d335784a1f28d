"""What pages say of one cow in a line: who she is, her date, her claim and the figures behind it."""

from __future__ import annotations

import math

from herdscore.domain.assess import Assessment
from herdscore.domain.reasons import say_day, say_number, words_of
from herdscore.domain.scale import show
from herdscore.domain.verdict import EASING, THIN, Verdict

_SIDED = (*EASING, Verdict.TOO_LATE)
_WEEK = 7


def say_cows(count: int) -> str:
    """A count of cows: 1 cow, 3 cows."""
    return f"{count} cow{'' if count == 1 else 's'}"


def say_days(count: int) -> str:
    """A count of days: 1 day, 42 days."""
    return f"{count} day{'' if count == 1 else 's'}"


def who_is(assessment: Assessment, cow: int) -> str:
    """Name, calvings and group: "Bramble, 3 calvings, North park"."""
    calvings = float(assessment.dates.calvings[cow])
    if assessment.dates.first_calver[cow]:
        said = "heifer"
    elif math.isfinite(calvings):
        said = f"{calvings:.0f} calving{'' if calvings == 1 else 's'}"
    else:
        said = ""
    group = assessment.groups.names[int(assessment.groups.now[cow])]
    parts = [assessment.snapshot.cows.name[cow], said, group]
    return ", ".join(part for part in parts if part)


def calves_on(assessment: Assessment, cow: int) -> str:
    """Her date: "calves 18 Apr ± 6 days", or that it is not known."""
    verdict = Verdict(assessment.verdict[cow])
    if verdict in (Verdict.GONE, Verdict.NOT_IN_CALF):
        return words_of(assessment, cow).word
    calved = float(assessment.facts.calved_day[cow])
    day = float(assessment.dates.day[cow])
    if not math.isfinite(day):
        if math.isfinite(calved) and -calved <= assessment.rulebook.verdicts.in_milk_days:
            return f"calved {say_day(assessment.day(calved), assessment.today)}"
        return "calving date not known"
    spread = math.ceil(float(assessment.dates.spread[cow]) - 1e-9)
    return f"calves {say_day(assessment.day(day), assessment.today)} ± {say_days(spread)}"


def claim_of(assessment: Assessment, cow: int) -> str:
    """Her verdict as a claim: "Thin for 2.5: ease up now"; thin and fat only of a cow out of the band now."""
    verdict = Verdict(assessment.verdict[cow])
    word = words_of(assessment, cow).word
    target = float(assessment.targets.target[cow])
    if verdict in _SIDED and math.isfinite(target):
        now, side = float(assessment.facts.score_now[cow]), float(assessment.facts.side[cow])
        thin = side == THIN
        out = now < assessment.targets.lower[cow] if thin else now > assessment.targets.upper[cow]
        name = "thin" if thin else "fat"
        return f"{name.capitalize() if out else f'Heading {name}'} for {show(target * 4)}: {word}"
    if verdict == Verdict.ON_COURSE:
        return f"On course for {show(target * 4)}"
    return word[:1].upper() + word[1:]


def days_and_rates(assessment: Assessment, cow: int) -> str:
    """Days to calving, and her rates a week where a change is advised."""
    verdict = Verdict(assessment.verdict[cow])
    day = float(assessment.dates.day[cow])
    if verdict in (Verdict.GONE, Verdict.NOT_IN_CALF) or not math.isfinite(day):
        return ""
    said = f"{say_days(int(day))} to calving." if day >= 0 else f"{say_days(int(-day))} past her date."
    if verdict not in EASING:
        return said
    expected = say_number(float(assessment.reach.expected_rate[cow]) * _WEEK, 2, sign=True)
    wanted = say_number(float(assessment.reach.wanted_rate[cow]) * _WEEK, 2, sign=True)
    return f"{said} {wanted} a week wanted, {expected} expected."


def act_by_of(assessment: Assessment, cow: int) -> str:
    """By which day to begin or to score again; empty where the verdict has no such day."""
    verdict = Verdict(assessment.verdict[cow])
    if verdict in EASING:
        ahead = float(assessment.reach.act_by[cow])
        when = "today" if ahead == 0 else f"by {say_day(assessment.day(ahead), assessment.today)}"
        return f"Begin {when}."
    ahead = float(assessment.score_by[cow])
    if not math.isfinite(ahead):
        return ""
    return f"Score again {'today' if ahead == 0 else f'by {say_day(assessment.day(ahead), assessment.today)}'}."


def change_since(quarters: int | None, before: int | None, days: int) -> str:
    """How a score moved: "down 0.25 in 42 days"; empty without a score before."""
    if quarters is None or before is None or days <= 0:
        return ""
    if quarters == before:
        return f"level for {say_days(days)}"
    way = "down" if quarters < before else "up"
    return f"{way} {show(abs(quarters - before))} in {say_days(days)}"


def target_words(assessment: Assessment, cow: int) -> str:
    """What she should be in: "target 2.5 at calving"."""
    verdict = Verdict(assessment.verdict[cow])
    if verdict in (Verdict.FEED_FOR_BULL, Verdict.SCORE_FOR_BULL, Verdict.IN_MILK):
        target = float(assessment.targets.mating_target[cow])
        return f"target {show(target * 4)} at mating" if math.isfinite(target) else ""
    target = float(assessment.targets.target[cow])
    return f"target {show(target * 4)} at calving" if math.isfinite(target) else ""
