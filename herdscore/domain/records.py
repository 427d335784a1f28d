"""What a herd file holds, one frozen record a row: cows, scores, services, calvings, feeding.

Scores are whole quarters (11 is 2.75); a missing value is None.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import date

AUTUMN, SPRING = "autumn", "spring"
BLOCKS = (AUTUMN, SPRING)

IN_HERD, NOT_IN_CALF, SOLD, CULLED, DEAD = "in herd", "not in calf", "sold", "culled", "dead"
STATUSES = (IN_HERD, NOT_IN_CALF, SOLD, CULLED, DEAD)
GONE = (SOLD, CULLED, DEAD)

AI, SERVICE, BULL_RUN, SCAN, HAND_CHECK = "AI", "service", "bull run", "scan", "hand check"
SERVICE_KINDS = (AI, SERVICE, BULL_RUN, SCAN, HAND_CHECK)
IN_CALF, EMPTY, TWINS = "in calf", "empty", "twins"
CHECK_RESULTS = (IN_CALF, EMPTY, TWINS)

TOLD, BY_HAND = "told", "set by hand"
DATE_SOURCES = (SERVICE, SCAN, BULL_RUN, TOLD, BY_HAND)

WINTER_FEED, GRASS, TO_HOLD, AFTER_CALVING, UNKNOWN_DIET = (
    "winter feed",
    "grass",
    "feed to hold",
    "after calving",
    "unknown",
)
DIET_KINDS = (WINTER_FEED, GRASS, TO_HOLD, AFTER_CALVING, UNKNOWN_DIET)
UP, DOWN = "up", "down"
AIMS = (UP, DOWN)

HOUSING, TURNOUT, WEANING, BULL_IN, BULL_OUT = "housing", "turnout", "weaning", "bull in", "bull out"
EVENTS = (HOUSING, TURNOUT, WEANING, BULL_IN, BULL_OUT)

ALL, WANTED, FIRST_CALVERS, GROUP = "all", "wanted by the rules", "first-calvers", "group"
COVERS = (ALL, AUTUMN, SPRING, WANTED, FIRST_CALVERS)

FEED_KINDS = ("forage", "straw", "concentrate", "mineral", "lick", "bolus")
UNSAFE = "unsafe"
CONFIRMED = "confirmed"
"""Words in the note of a score: not scored because it was unsafe; felt again and so it is."""


def new_id() -> str:
    """Random identity for a new record."""
    return uuid.uuid4().hex


@dataclass(frozen=True, slots=True)
class Cow:
    """One cow; `group` is the feeding group she is in now."""

    id: str
    tag: str
    management_no: str | None = None
    eid: str | None = None
    name: str | None = None
    breed: str | None = None
    born: date | None = None
    calvings: int | None = None
    season: str | None = None
    group: str | None = None
    calving_date: date | None = None
    date_from: str | None = None
    twins: bool | None = None
    vet_plan: bool | None = None
    status: str = IN_HERD
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Score:
    """One scoring of one cow; sites and the overall `score` in whole quarters."""

    id: str
    cow_id: str
    day: date
    loin: int | None = None
    ribs: int | None = None
    tailhead: int | None = None
    score: int | None = None
    by_eye: bool | None = None
    scorer: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Service:
    """AI, seen service, bull run, scan or hand check."""

    id: str
    cow_id: str
    kind: str
    day: date
    until: date | None = None
    sire_breed: str | None = None
    sire: str | None = None
    foetal_age: int | None = None
    result: str | None = None


@dataclass(frozen=True, slots=True)
class Calving:
    """One calf born; twins are two records of one day. Ease in codes 1-5, None unseen."""

    id: str
    cow_id: str
    day: date
    ease: int | None = None
    calf_sex: str | None = None
    calf_weight: float | None = None
    calf_alive: bool | None = None
    calf_tag: str | None = None
    size: str | None = None
    presentation: str | None = None
    premature: bool | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Weight:
    """One weighing, kg."""

    id: str
    cow_id: str
    day: date
    weight: float


@dataclass(frozen=True, slots=True)
class Diet:
    """What a group is on from a day; `expected_change` in score a week, `plan_note` of which plan it came."""

    id: str
    group: str
    day: date
    kind: str
    aim: str | None = None
    expected_change: float | None = None
    plan_note: str | None = None


@dataclass(frozen=True, slots=True)
class Move:
    """The group a cow joined on a day."""

    id: str
    cow_id: str
    day: date
    group: str


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """One dated event of a block: housing, turnout, weaning, bull in, bull out."""

    id: str
    block: str
    event: str
    day: date


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting of the herd that differs from its default; its name is its identity."""

    id: str
    value: str


@dataclass(frozen=True, slots=True)
class Feed:
    """One feed: percent, MJ/kg DM, mg/kg DM (magnesium g/kg DM), price and stock a tonne fresh."""

    id: str
    feed: str
    dm: float
    me: float
    kind: str
    cp: float | None = None
    price: float | None = None
    stock: float | None = None
    cu: float | None = None
    se: float | None = None
    i: float | None = None
    mg: float | None = None
    dose: float | None = None


@dataclass(frozen=True, slots=True)
class Ration:
    """One feed of the ration a group gets from a day on, kg fresh a head a day; all of one day are that ration."""

    id: str
    group: str
    day: date
    feed: str
    kg_fresh: float


@dataclass(frozen=True, slots=True)
class Round:
    """One named scoring; `covers` is one of COVERS or "group NAME", the pens are names for those she may be sent to."""

    id: str
    name: str
    opened: date
    closed: date | None = None
    covers: str = ALL
    lean_pen: str | None = None
    fat_pen: str | None = None


@dataclass(frozen=True, slots=True)
class Listed:
    """One cow on the list of a round; `pen` is where she went as she left, None for her own group."""

    id: str
    cow_id: str
    round_id: str
    skipped: bool = False
    pen: str | None = None


@dataclass(frozen=True, slots=True)
class Aside:
    """A score of a tag no cow of the herd bears, kept to one side until it is matched; sites in quarters."""

    id: str
    tag: str
    day: date
    loin: int | None = None
    ribs: int | None = None
    tailhead: int | None = None
    scorer: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class BlindScore:
    """One cow scored by one of two people who do not see each other's scores; sites in quarters."""

    id: str
    cow_id: str
    day: date
    scorer: str
    loin: int | None = None
    ribs: int | None = None
    tailhead: int | None = None


@dataclass(frozen=True, slots=True)
class Tick:
    """What the flag list asked for a cow, ticked off: `day` is the day of that list, `done` the day it was done."""

    id: str
    cow_id: str
    what: str
    day: date
    done: date


@dataclass(frozen=True, slots=True)
class Finished:
    """A thing to do of the season or a line of the kit, ticked off; the name of its tick is its identity."""

    id: str
    day: date


@dataclass(frozen=True, slots=True)
class Care:
    """One thing done for a calf or her dam: of which calving record, what, when (ISO in UTC), litres of colostrum."""

    id: str
    calving_id: str
    what: str
    at: str
    amount: float | None = None


Record = (
    Cow
    | Score
    | Service
    | Calving
    | Weight
    | Diet
    | Move
    | CalendarDay
    | Setting
    | Feed
    | Round
    | Listed
    | Aside
    | BlindScore
    | Tick
    | Finished
    | Care
    | Ration
)
TABLES: dict[str, type[Record]] = {
    "cows": Cow,
    "scores": Score,
    "services": Service,
    "calvings": Calving,
    "weights": Weight,
    "diets": Diet,
    "moves": Move,
    "calendar": CalendarDay,
    "settings": Setting,
    "feeds": Feed,
    "rounds": Round,
    "listed": Listed,
    "asides": Aside,
    "blind_scores": BlindScore,
    "ticks": Tick,
    "finished": Finished,
    "care": Care,
    "rations": Ration,
}
TABLE_OF: dict[type[Record], str] = {kind: name for name, kind in TABLES.items()}
