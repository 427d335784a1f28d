"""The first hours of a calf and her dam as a clock: what is done, what is due and what is overdue.

Times are aware; sums are made in UTC, so that midnight and the change of the clocks do not matter.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import IntEnum

from herdscore.domain.calving_forms import CalfCareRules

BORN, NAVEL, SUCKED, COLOSTRUM, TAGGED = "born", "navel", "sucked", "colostrum", "tagged"
UP, EATING, CLEANSED = "up", "eating", "cleansed"
CALF_CARES, COW_CARES = (BORN, NAVEL, SUCKED, COLOSTRUM, TAGGED), (UP, EATING, CLEANSED)
NAVEL_AGAIN = "navel again"
CALF, COW = "calf", "cow"


@dataclass(frozen=True, slots=True)
class Care:
    """One thing done: for which calving record, what (CALF_CARES or COW_CARES), when, and litres of colostrum."""

    calving_id: str
    what: str
    at: datetime
    amount: float | None = None


class Standing(IntEnum):
    """How a step or a card stands, worst first."""

    RED = 0
    OVERDUE = 1
    OPEN = 2
    DONE = 3


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what, when it is due (UTC), when it was done, and how it stands."""

    what: str
    due: datetime
    done_at: datetime | None
    standing: Standing


@dataclass(frozen=True, slots=True)
class CareCard:
    """The clock of a calf or of her dam. `litres` given of `wanted` by the colostrum step; both 0 for a dam."""

    of: str
    calving_id: str
    born_at: datetime
    steps: tuple[Step, ...]
    litres: float
    wanted: float
    standing: Standing
    next_due: datetime | None

    def late_by(self, now: datetime) -> timedelta | None:
        """How long its oldest overdue step is late, None when none is."""
        late = [step.due for step in self.steps if step.standing in (Standing.RED, Standing.OVERDUE)]
        return to_utc(now) - min(late) if late else None


@dataclass(frozen=True, slots=True)
class NewCalf:
    """A calf the clock looks after: her record, weight in kg (None not weighed), alive, and first of its calving."""

    calving_id: str
    weight: float | None = None
    alive: bool = True
    first: bool = True


def to_utc(time: datetime) -> datetime:
    """The same moment in UTC; a time without a zone is an error."""
    if time.tzinfo is None:
        raise ValueError("a time of care needs a zone")
    return time.astimezone(UTC)


def colostrum_wanted(weight: float | None, rules: CalfCareRules) -> float:
    """Litres by the colostrum hour: a share of the calf's weight, kg; a calf not weighed is taken as an average one."""
    return rules.colostrum_share * (rules.calf_weight if weight is None else weight)


def first_feed(weight: float | None, rules: CalfCareRules, *, split: bool = False) -> float:
    """Litres of the first feed by bottle or tube; split, a smaller share of the weight, within what a stomach holds."""
    if not split:
        return rules.colostrum_first
    share = rules.first_feed_share * (rules.calf_weight if weight is None else weight)
    return min(share, rules.split_feed_most)


def care_cards(
    calves: Sequence[NewCalf], cares: Iterable[Care], now: datetime, rules: CalfCareRules
) -> tuple[CareCard, ...]:
    """Cards of calves and dams, worst and longest overdue first; a calf without a time of birth has none.

    A dead calf has no card, its dam has. A card with nothing left but the tag goes after some days, one with
    everything done at once.
    """
    done: dict[str, dict[str, list[Care]]] = {}
    for care in sorted(cares, key=lambda care: to_utc(care.at)):
        done.setdefault(care.calving_id, {}).setdefault(care.what, []).append(care)
    moment = to_utc(now)
    cards: list[CareCard] = []
    for calf in calves:
        mine = done.get(calf.calving_id, {})
        if BORN not in mine or to_utc(mine[BORN][0].at) > moment:
            continue
        born = to_utc(mine[BORN][0].at)
        if calf.alive:
            cards.append(_calf_card(calf, born, mine, moment, rules))
        if calf.first:
            cards.append(_cow_card(calf, born, mine, moment, rules))
    shown = [card for card in cards if _is_shown(card, moment, rules)]
    latest = datetime.max.replace(tzinfo=UTC)
    return tuple(sorted(shown, key=lambda card: (card.standing, card.next_due or latest, card.born_at, card.of)))


def _calf_card(
    calf: NewCalf, born: datetime, done: Mapping[str, list[Care]], now: datetime, rules: CalfCareRules
) -> CareCard:
    navels = [to_utc(care.at) for care in done.get(NAVEL, [])]
    fed = done.get(COLOSTRUM, [])
    litres = sum(care.amount or 0.0 for care in fed)
    wanted = colostrum_wanted(calf.weight, rules)
    sucked = _first(done, SUCKED)
    first = min((time for time in (sucked, _first(done, COLOSTRUM)) if time is not None), default=None)
    steps = (
        _step(NAVEL, born + timedelta(minutes=rules.navel_first_minutes), navels[0] if navels else None, now),
        _step(
            SUCKED,
            born + timedelta(hours=rules.sucked_hours),
            first,
            now,
            red_from=born + timedelta(hours=rules.red_hours),
        ),
        _step(COLOSTRUM, born + timedelta(hours=rules.colostrum_hours), _had_enough(fed, wanted, sucked), now),
        _step(
            NAVEL_AGAIN, born + timedelta(hours=rules.navel_again_hours), navels[1] if len(navels) > 1 else None, now
        ),
        _step(TAGGED, born + timedelta(days=rules.tag_days), _first(done, TAGGED), now),
    )
    return _card(CALF, calf, born, steps, litres, wanted)


def _cow_card(
    calf: NewCalf, born: datetime, done: Mapping[str, list[Care]], now: datetime, rules: CalfCareRules
) -> CareCard:
    due = {UP: rules.up_hours, EATING: rules.eating_hours, CLEANSED: rules.cleansed_hours}
    steps = tuple(_step(what, born + timedelta(hours=due[what]), _first(done, what), now) for what in COW_CARES)
    return _card(COW, calf, born, steps, 0.0, 0.0)


def _had_enough(fed: Sequence[Care], wanted: float, sucked: datetime | None) -> datetime | None:
    """When the calf had its colostrum: as it reached the litres wanted; one that sucks its dam is not measured."""
    total = 0.0
    for care in fed:
        total += care.amount or 0.0
        if care.amount is None or total >= wanted - 1e-9:
            return to_utc(care.at)
    return sucked


def _first(done: Mapping[str, list[Care]], what: str) -> datetime | None:
    return to_utc(done[what][0].at) if what in done else None


def _step(what: str, due: datetime, done_at: datetime | None, now: datetime, red_from: datetime | None = None) -> Step:
    if done_at is not None and done_at <= now:
        return Step(what, due, done_at, Standing.DONE)
    if red_from is not None and now >= red_from:
        return Step(what, due, None, Standing.RED)
    return Step(what, due, None, Standing.OVERDUE if now > due else Standing.OPEN)


def _card(of: str, calf: NewCalf, born: datetime, steps: tuple[Step, ...], litres: float, wanted: float) -> CareCard:
    still = [step.due for step in steps if step.standing != Standing.DONE]
    worst = min(step.standing for step in steps)
    return CareCard(of, calf.calving_id, born, steps, litres, wanted, worst, min(still, default=None))


def _is_shown(card: CareCard, now: datetime, rules: CalfCareRules) -> bool:
    if card.standing == Standing.DONE:
        return False
    still = {step.what for step in card.steps if step.standing != Standing.DONE}
    fresh = now - card.born_at <= timedelta(days=rules.shown_days)
    tag_near = card.next_due is not None and card.next_due - now <= timedelta(days=rules.shown_days)
    return still != {TAGGED} or fresh or tag_near
