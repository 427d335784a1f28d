"""The tables of a herd as columns: one frozen form a kind of record.

Missing is NaN, NaT or None. `cow` columns are positions in the cows table.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Text = npt.NDArray[np.object_]
Days = npt.NDArray[np.datetime64]
Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Columns:
    """Rows of one kind of record as arrays of equal length."""

    id: Text

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class CowColumns(Columns):
    """The cows: what `records.Cow` holds."""

    tag: Text
    management_no: Text
    eid: Text
    name: Text
    breed: Text
    born: Days
    calvings: Numbers
    season: Text
    group: Text
    calving_date: Days
    date_from: Text
    twins: Numbers
    vet_plan: Numbers
    status: Text
    note: Text


@dataclass(frozen=True)
class OfCows(Columns):
    """Rows that belong to a cow."""

    cow_id: Text
    cow: Places
    day: Days


@dataclass(frozen=True)
class ScoreColumns(OfCows):
    """The scores; sites and overall score in quarters."""

    loin: Numbers
    ribs: Numbers
    tailhead: Numbers
    score: Numbers
    by_eye: Numbers
    scorer: Text
    note: Text


@dataclass(frozen=True)
class ServiceColumns(OfCows):
    """Services, bull runs and checks."""

    kind: Text
    until: Days
    sire_breed: Text
    sire: Text
    foetal_age: Numbers
    result: Text


@dataclass(frozen=True)
class CalvingColumns(OfCows):
    """Calvings, one row a calf."""

    ease: Numbers
    calf_sex: Text
    calf_weight: Numbers
    calf_alive: Numbers
    calf_tag: Text
    size: Text
    presentation: Text
    premature: Numbers
    note: Text


@dataclass(frozen=True)
class WeightColumns(OfCows):
    """Weighings, kg."""

    weight: Numbers


@dataclass(frozen=True)
class MoveColumns(OfCows):
    """Moves between groups."""

    group: Text


@dataclass(frozen=True)
class DietColumns(Columns):
    """Diets by group; `expected_change` in score a week."""

    group: Text
    day: Days
    kind: Text
    aim: Text
    expected_change: Numbers
    plan_note: Text


@dataclass(frozen=True)
class CalendarColumns(Columns):
    """Dated events by block."""

    block: Text
    event: Text
    day: Days


@dataclass(frozen=True)
class SettingColumns(Columns):
    """Settings; `id` is the name."""

    value: Text


@dataclass(frozen=True)
class FeedColumns(Columns):
    """Feeds, in the units of `records.Feed`."""

    feed: Text
    dm: Numbers
    me: Numbers
    kind: Text
    cp: Numbers
    price: Numbers
    stock: Numbers
    cu: Numbers
    se: Numbers
    i: Numbers
    mg: Numbers
    dose: Numbers


@dataclass(frozen=True)
class RoundColumns(Columns):
    """The rounds by the day they were opened."""

    name: Text
    opened: Days
    closed: Days
    covers: Text
    lean_pen: Text
    fat_pen: Text


@dataclass(frozen=True)
class ListedColumns(Columns):
    """The cows on the lists of rounds, by cow."""

    cow_id: Text
    cow: Places
    round_id: Text
    skipped: Numbers
    pen: Text


@dataclass(frozen=True)
class AsideColumns(Columns):
    """Scores of tags no cow bears; sites in quarters."""

    tag: Text
    day: Days
    loin: Numbers
    ribs: Numbers
    tailhead: Numbers
    scorer: Text
    note: Text


@dataclass(frozen=True)
class BlindColumns(OfCows):
    """Scores of two people who do not see each other's; sites in quarters."""

    scorer: Text
    loin: Numbers
    ribs: Numbers
    tailhead: Numbers


@dataclass(frozen=True)
class TickColumns(OfCows):
    """What was ticked off on the flag list."""

    what: Text
    done: Days


@dataclass(frozen=True)
class FinishedColumns(Columns):
    """Things to do and lines of the kit ticked off; `id` is the name of the tick."""

    day: Days


@dataclass(frozen=True)
class CareColumns(Columns):
    """What was done for calves and their dams; `at` is ISO text in UTC, `amount` litres."""

    calving_id: Text
    what: Text
    at: Text
    amount: Numbers


@dataclass(frozen=True)
class RationColumns(Columns):
    """Feeds of the rations of groups by day, kg fresh a head a day."""

    group: Text
    day: Days
    feed: Text
    kg_fresh: Numbers


COLUMNS: dict[str, type[Columns]] = {
    "cows": CowColumns,
    "scores": ScoreColumns,
    "services": ServiceColumns,
    "calvings": CalvingColumns,
    "weights": WeightColumns,
    "diets": DietColumns,
    "moves": MoveColumns,
    "calendar": CalendarColumns,
    "settings": SettingColumns,
    "feeds": FeedColumns,
    "rounds": RoundColumns,
    "listed": ListedColumns,
    "asides": AsideColumns,
    "blind_scores": BlindColumns,
    "ticks": TickColumns,
    "finished": FinishedColumns,
    "care": CareColumns,
    "rations": RationColumns,
}
