"""What can be wrong with a calving as it is entered, in plain sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calf_words import lay_wrong
from herdscore.domain.calving_forms import CalvingRules
from herdscore.domain.lookup import folded
from herdscore.domain.reasons import say_day, say_spread
from herdscore.domain.records import AI, BULL_RUN, GONE, NOT_IN_CALF, SERVICE, Calving
from herdscore.domain.scale import parse

_SOON_AGAIN_DAYS = 20
ONE_PREGNANCY_DAYS = 120


@dataclass(frozen=True, slots=True)
class TypedCalf:
    """One calf as entered; weight in kg and tag as typed."""

    sex: str | None = None
    alive: bool | None = None
    presentation: str = ""
    size: str = ""
    weight: str = ""
    tag: str = ""


@dataclass(frozen=True, slots=True)
class TypedCalving:
    """A calving as entered: what the checks look at."""

    day: date
    how: int | None
    calves: tuple[TypedCalf, ...]
    premature: bool = False
    score: str = ""
    before: tuple[Calving, ...] = ()


@dataclass(frozen=True, slots=True)
class Mating:
    """A service, or a bull run from its first to its last day."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class CalvingFacts:
    """What is known of the cow whose calving is entered."""

    today: date
    tag: str
    status: str
    born: date | None
    calved: tuple[date, ...]
    matings: tuple[Mating, ...]
    due: date | None
    spread: float
    twins_expected: bool
    tags: frozenset[str]


@dataclass(frozen=True, slots=True)
class Checked:
    """Problems by field, which keep it from being saved; questions one more Enter answers; and hints."""

    problems: Mapping[str, str]
    questions: tuple[str, ...]
    hints: tuple[str, ...]


def facts_of(assessment: Assessment, cow: int, before: tuple[Calving, ...] = ()) -> CalvingFacts:
    """The facts of one cow; `before` are the records about to be mended, which do not count against themselves."""
    a = assessment
    snapshot, own = a.snapshot, {calf.id for calf in before}
    calvings, services = snapshot.calvings, snapshot.services
    rows = [row for row in snapshot.of_cow("calvings", cow).tolist() if calvings.id[row] not in own]
    served = [row for row in snapshot.of_cow("services", cow).tolist() if services.kind[row] in (AI, SERVICE, BULL_RUN)]
    until = services.day + np.timedelta64(a.rulebook.dates.bull_run_days, "D")
    until = np.where(np.isnat(services.until), until, services.until)
    runs = services.kind == BULL_RUN
    taken = {folded(tag) for row, tag in enumerate(calvings.calf_tag) if tag and calvings.id[row] not in own}
    return CalvingFacts(
        today=a.today,
        tag=snapshot.cows.tag[cow],
        status=snapshot.cows.status[cow],
        born=snapshot.cows.born[cow].item(),
        calved=tuple(sorted({calvings.day[row].item() for row in rows})),
        matings=tuple(
            Mating(services.day[row].item(), (until if runs[row] else services.day)[row].item()) for row in served
        ),
        due=a.day(a.dates.day[cow]),
        spread=float(a.dates.spread[cow]),
        twins_expected=bool(a.dates.twins[cow]),
        tags=frozenset(taken | {folded(tag) for tag in snapshot.cows.tag}),
    )


def check(typed: TypedCalving, facts: CalvingFacts, rules: CalvingRules) -> Checked:
    """Look a calving over against what is known of her."""
    told = _Check(typed, facts, rules)
    problems = {**told.missing(), **told.day(), **told.fields()}
    questions = tuple(told.questions()) if not problems else ()
    return Checked(problems, questions, tuple(told.hints()))


class _Check:
    """One look at one entry."""

    def __init__(self, typed: TypedCalving, facts: CalvingFacts, rules: CalvingRules) -> None:
        self._typed, self._facts, self._rules = typed, facts, rules
        before = [day for day in facts.calved if day < typed.day]
        prior = max(before, default=None)
        latest = timedelta(rules.calf_latest_days + _SOON_AGAIN_DAYS)
        self._since = [one for one in facts.matings if prior is None or one.last > prior]
        self._before = [one for one in self._since if one.first < typed.day <= one.last + latest]

    def missing(self) -> dict[str, str]:
        """What the four presses have not said yet."""
        typed, found = self._typed, {}
        if typed.how is None:
            found["how"] = "How did she calve? 1 to 5, or 0 when nobody saw it."
        for place, calf in enumerate(typed.calves):
            if calf == TypedCalf() and place > 0:
                found["twins"] = "Twins, and only one calf is entered. Enter the second, or take the twin off with T."
            elif calf.alive is None:
                which = "the calf" if len(typed.calves) == 1 else f"calf {place + 1}"
                found[f"alive {place}"] = f"Is {which} alive? A alive, D dead."
        return found

    def day(self) -> dict[str, str]:
        """A day on which she cannot have calved."""
        typed, facts, rules, day = self._typed, self._facts, self._rules, self._typed.day
        if day > facts.today:
            return {"day": f"{self._say(day)} is still ahead. A calving is recorded once it has happened."}
        if facts.born is not None and (day - facts.born).days < rules.youngest_mother_days:
            return {"day": f"She was born on {self._say(facts.born)}, too young to calve on {self._say(day)}."}
        if day in facts.calved:
            return {"day": f"She has a calving on {self._say(day)} already. Open that one to mend it or add a twin."}
        lived = any(calf.alive for calf in typed.calves) and not typed.premature
        near = min(facts.calved, key=lambda one: abs((one - day).days), default=None)
        if lived and near is not None and abs((near - day).days) < rules.between_calvings_days:
            side = "earlier" if near < day else "later"
            return {
                "day": f"She calved on {self._say(near)}, only {abs((near - day).days)} days {side}. Check the day."
            }
        after = min((one.first for one in self._since if one.first >= day), default=None)
        if not self._before and after is not None and (after - day).days < _SOON_AGAIN_DAYS:
            return {"day": f"Her service is on {self._say(after)}, and she calved before it? Check both days."}
        return {}

    def fields(self) -> dict[str, str]:
        """What was typed on demand and cannot be read."""
        found: dict[str, str] = {}
        rules, tags = self._rules, [folded(calf.tag) for calf in self._typed.calves]
        for place, calf in enumerate(self._typed.calves):
            if calf.weight.strip() and not rules.lightest_calf <= read_weight(calf.weight) <= rules.heaviest_calf:
                span = f"{rules.lightest_calf:g} to {rules.heaviest_calf:g}"
                found[f"weight {place}"] = f"“{calf.weight.strip()}” is not a calf's weight: {span} kg."
            tag = tags[place]
            if tag and (tag in self._facts.tags or tags.index(tag) != place):
                found[f"tag {place}"] = f"Tag {calf.tag.strip()} is taken already."
        if self._typed.score.strip() and parse(self._typed.score) is None:
            found["score"] = f"“{self._typed.score.strip()}” is not a score: 1 to 5 in quarters, such as 2.5 or 2.75."
        return found

    def questions(self) -> Iterator[str]:
        """What may be right and is asked once."""
        typed, facts, rules, day = self._typed, self._facts, self._rules, self._typed.day
        if facts.status in GONE:
            yield f"{facts.tag} is marked {facts.status}. Press Enter again to record it all the same."
        if facts.status == NOT_IN_CALF:
            yield "She is marked not in calf. Press Enter again to save, and the mark comes off."
        if facts.due is not None and math.isfinite(facts.spread):
            off = abs((day - facts.due).days)
            if rules.far_spreads * facts.spread < off <= ONE_PREGNANCY_DAYS:
                date_said = f"{self._say(facts.due)} ± {say_spread(facts.spread)} days"
                yield f"Her date is {date_said}, {off} days away. Right cow, right day? Press Enter again to save."
        yield from self._service_questions()
        if any(calf.alive and calf.sex is None for calf in typed.calves):
            yield "No sex is entered. Press Enter again to save without it."
        if facts.twins_expected and len(typed.calves) == 1:
            yield "She was to have twins. Press Enter again if there was one calf."

    def _service_questions(self) -> Iterator[str]:
        day, rules = self._typed.day, self._rules
        after = [one.first for one in self._since if 0 <= (one.first - day).days < _SOON_AGAIN_DAYS]
        if after and self._before:
            yield f"Her service on {self._say(min(after))} comes right after it. Press Enter again if both are right."
        if not self._before:
            return
        fits = [
            one
            for one in self._before
            if (day - one.first).days >= rules.calf_earliest_days and (day - one.last).days <= rules.calf_latest_days
        ]
        if fits:
            return
        early = max(self._before, key=lambda one: (day - one.first).days)
        days = (day - early.first).days
        if days < rules.calf_earliest_days:
            if any(calf.alive for calf in self._typed.calves) or not self._typed.premature:
                served = self._say(early.first)
                yield f"Only {days} days after her service on {served}. Press Enter again if it is right."
        else:
            late = max(one.last for one in self._before)
            days = (day - late).days
            yield f"{days} days after her service on {self._say(late)}: too long. Press Enter again if it is right."

    def hints(self) -> Iterator[str]:
        """Worth knowing, without a press."""
        day, rules = self._typed.day, self._rules
        carried = [(day - one.first).days for one in self._before if one.first == one.last]
        term = [days for days in carried if days >= rules.calf_earliest_days]
        if term and max(term) < rules.premature_days and not self._typed.premature:
            yield f"Born {max(term)} days after her service: before its time? M marks it."
        if self._facts.twins_expected and len(self._typed.calves) == 1:
            yield "Twins are expected: T adds the second calf."
        if self._typed.how == 1 and any(lay_wrong(calf.presentation) for calf in self._typed.calves):
            yield "A calf that lay wrong and came without help is rare. Is the ease right?"

    def _say(self, day: date) -> str:
        return say_day(day, self._facts.today)


def read_weight(text: str) -> float:
    """Kg from what was typed, NaN when it is no number."""
    plain = text.strip().casefold().removesuffix("kg").strip().replace(",", ".")
    try:
        return float(plain)
    except ValueError:
        return math.nan
