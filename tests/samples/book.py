"""The book a made-up herd is written into: animals with a true condition, and the records kept of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np

from herdscore.domain import records
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Record
from tests.samples import feeds, truth
from tests.samples.truth import Fed, Numbers


@dataclass
class Animal:
    """One cow as she truly is; `calvings` so far, `due` the day she will truly calve."""

    tag: str
    block: str
    calvings: int
    breed: str
    born: date
    last: date | None = None
    due: date | None = None
    group: str | None = None
    level: float = 0.0
    conceived: date | None = None
    feeds: tuple[Fed, ...] = ()
    entry: dict[str, Any] = field(default_factory=dict)
    services: list[dict[str, Any]] = field(default_factory=list)

    @property
    def cow_id(self) -> str:
        """Identity of her record."""
        return "cow " + self.tag[-4:]


@dataclass(frozen=True)
class Scorer:
    """Who scores: initials, how far off the true score, and the grain of the score."""

    initials: str | None
    bias: float
    grain: float


@dataclass(frozen=True)
class Feeding:
    """What one group is on from a day."""

    since: date
    kind: str
    aim: str | None = None
    expected_change: float | None = None


class Book:
    """Collects the records of one herd; identities are running numbers, so that the same draws give the same book."""

    def __init__(self, name: str, mark: str, own_day: date, seed: int) -> None:
        self.mark, self.own_day = mark, own_day
        self.rng = np.random.default_rng(seed)
        self.rows: list[Record] = []
        self._next_of_year: dict[int, int] = {}
        self.setting("Herd name", name)
        self.setting("Own day", own_day.isoformat())

    def add(self, form: type[Record], **values: Any) -> None:
        """Add a record with the next running identity."""
        self.rows.append(form(id=f"{records.TABLE_OF[form]} {len(self.rows):04d}", **values))

    def setting(self, name: str, value: str) -> None:
        """Set what differs from the default."""
        self.rows.append(records.Setting(name, value))

    def snapshot(self) -> Snapshot:
        """The herd as the program holds it."""
        return Snapshot.from_records(self.rows)

    def tag(self, born: date) -> str:
        """The next ear tag of a year: two figures of the year of birth, two running."""
        number = self._next_of_year[born.year] = self._next_of_year.get(born.year, 0) + 1
        return f"{self.mark} {born.year % 100:02d}{number:02d}"

    def animal(self, block: str, calvings: int, breed: str, *, due: date | None, last: date | None) -> Animal:
        """A cow born at the right time to have calved so often, first at two years old."""
        near = due or (last or self.own_day) + timedelta(days=truth.YEAR)
        age = timedelta(days=truth.YEAR * (2 + calvings) + int(self.rng.integers(-10, 45)))
        born = near - age
        return Animal(self.tag(born), block, calvings, breed, born, last, due)

    def cows(self, animals: Sequence[Animal]) -> None:
        """Write the register and how each cow was served; `entry` holds what else was entered for one of them."""
        for animal in animals:
            values: dict[str, Any] = {
                "tag": animal.tag,
                "management_no": animal.tag[-4:],
                "eid": "999" + animal.tag.replace(" ", "")[2:].zfill(12),
                "breed": animal.breed,
                "born": animal.born,
                "calvings": animal.calvings,
                "season": animal.block,
                "group": animal.group,
            }
            self.rows.append(records.Cow(id=animal.cow_id, **values | animal.entry))
        for animal in animals:
            for service in animal.services:
                self.add(records.Service, cow_id=animal.cow_id, **service)

    def fed(self, diets: dict[str, Sequence[Feeding]]) -> None:
        """Write what each group is on."""
        for group, feedings in diets.items():
            for feeding in feedings:
                self.add(
                    records.Diet,
                    group=group,
                    day=feeding.since,
                    kind=feeding.kind,
                    aim=feeding.aim,
                    expected_change=feeding.expected_change,
                )

    def calendar(self, block: str, events: Sequence[tuple[str, date]]) -> None:
        """Write the dated events of a block."""
        for event, day in events:
            self.add(records.CalendarDay, block=block, event=event, day=day)

    def round(self, day: date, scorer: Scorer, animals: Sequence[Animal], true: Numbers, share: float) -> None:
        """Score a share of the animals on a day; now and then one is noted for her feet or teeth, or left as unsafe."""
        for animal, score in zip(animals, true, strict=True):
            if self.rng.random() >= share:
                continue
            if self.rng.random() < 0.01:
                note = records.UNSAFE
                self.add(records.Score, cow_id=animal.cow_id, day=day, scorer=scorer.initials, note=note)
            else:
                barest = animal.level < -0.7 and animal.calvings > 3
                note = str(self.rng.choice(("feet", "teeth"))) if barest and self.rng.random() < 0.5 else None
                self.scored(animal, score, day, scorer, note)

    def scored(self, animal: Animal, true: float, day: date, scorer: Scorer, note: str | None = None) -> None:
        """Write one scoring of loin, ribs and tailhead."""
        loin, ribs, tailhead = truth.felt(self.rng, np.array([true]), scorer.bias, scorer.grain)[0].tolist()
        sites = {"loin": loin, "ribs": ribs, "tailhead": tailhead}
        self.add(records.Score, cow_id=animal.cow_id, day=day, **sites, scorer=scorer.initials, note=note)

    def seen(self, animal: Animal, true: float, day: date, scorer: Scorer) -> None:
        """Write a score by eye, over the gate: one figure, half a score either way."""
        score = float(np.clip(round(2 * (true + self.rng.normal(0.0, 0.5))) / 2, 1.0, 5.0))
        by = {"by_eye": True, "scorer": scorer.initials, "note": "over the gate"}
        self.add(records.Score, cow_id=animal.cow_id, day=day, score=int(4 * score), **by)

    def calvings(self, animals: Sequence[Animal], breed_of_calf: Callable[[Animal], str]) -> None:
        """Write the last calving of every animal, in the order they fell."""
        for animal in sorted((one for one in animals if one.last), key=lambda one: (one.last, one.tag)):
            self._calved(animal, breed_of_calf(animal))

    def _calved(self, animal: Animal, calf_breed: str) -> None:
        """Ease by her age, weight by the breed of the bull, now and then twins."""
        assert animal.last is not None
        twins = self.rng.random() < 0.025
        for _ in range(1 + twins):
            sex = ("bull", "heifer")[int(self.rng.integers(2))]
            weight = self.rng.normal(BIRTH_WEIGHT[calf_breed], 4.0) + (1.5 if sex == "bull" else -1.5)
            weight -= 9.0 * twins + 3.0 * (animal.calvings == 1)
            turned = self.rng.random() < (0.2 if twins else 0.04)
            ease = self._ease(first=animal.calvings == 1, hard=twins or turned)
            loss = 0.11 if ease is not None and ease >= 3 else 0.03
            self.add(
                records.Calving,
                cow_id=animal.cow_id,
                day=animal.last,
                ease=ease,
                calf_sex=sex,
                calf_weight=float(round(weight)) if self.rng.random() < 0.7 else None,
                calf_alive=bool(self.rng.random() > loss),
                calf_tag=f"{self.mark} {self._calf_number(animal.last)}",
                presentation="backwards" if turned else "normal",
            )

    def _ease(self, *, first: bool, hard: bool) -> int | None:
        """Code 1 to 5, None for a calving nobody saw; helped births by age as in one research herd (40, 15 %)."""
        if self.rng.random() < 0.12 and not first and not hard:
            return None
        helped = 0.47 if hard else 0.40 if first else 0.15
        return int(self.rng.choice([1, 2, 3, 4, 5], p=[1 - helped, *(helped * np.array([0.66, 0.22, 0.08, 0.04]))]))

    def _calf_number(self, day: date) -> str:
        number = self._next_of_year[-day.year] = self._next_of_year.get(-day.year, 0) + 1
        return f"{day.year % 100:02d}{number:03d}"

    def to_the_bull(self, bull_in: date, weeks: int, last: date | None) -> date:
        """Day a cow conceives in a bull run: 65 % a cycle, no sooner than 45 days after her last calving."""
        start = max(bull_in, last + timedelta(days=45)) if last else bull_in
        cycles = max(1, (bull_in - start).days // 21 + weeks // 3)
        share = 0.65 * 0.35 ** np.arange(cycles)
        cycle = int(self.rng.choice(cycles, p=share / share.sum()))
        return start + timedelta(days=21 * cycle + int(self.rng.integers(21)))

    def calves_on(self, conceived: date, gestation: float) -> date:
        """True calving day: the breed's gestation length, 5.5 days either way."""
        return conceived + timedelta(days=round(self.rng.normal(gestation, 5.5)))

    def typed_date(self, conceived: date, gestation: float, source: str, bull_in: date) -> dict[str, Any]:
        """What a manager types as her calving date, off as far as its source is: scans 6, memory 8 days."""
        middle = conceived + timedelta(days=round(gestation))
        off = {records.SCAN: 5.8, records.TOLD: 8.0}.get(source, 0.0)
        day = middle + timedelta(days=round(self.rng.normal(0.0, off)))
        if source == records.BULL_RUN:
            day = bull_in + timedelta(days=19 + round(gestation))
        return {"calving_date": day, "date_from": source}

    def weighed(self, animals: Sequence[Animal], true: Numbers, day: date, share: float) -> None:
        """Write weights of a share of the animals: 660 kg at score 3, 65 kg a score, heifers lighter."""
        for animal, score in zip(animals, true, strict=True):
            if self.rng.random() < share:
                frame = {0: 560, 1: 600, 2: 635}.get(animal.calvings, 660)
                weight = self.rng.normal(frame, 35.0) + 65.0 * (score - 3.0)
                self.add(records.Weight, cow_id=animal.cow_id, day=day, weight=5.0 * round(weight / 5))

    def rations(self, group: str, since: date, **kg_fresh: float) -> None:
        """Write what a group gets a head a day from a day on; feeds by the names of `tests.samples.feeds`."""
        for name, kg in kg_fresh.items():
            feed = getattr(feeds, name.upper())["feed"]
            self.add(records.Ration, group=group, day=since, feed=feed, kg_fresh=kg)

    def feeds(self, feeds: Sequence[dict[str, Any]]) -> None:
        """Write the feeds in store."""
        for feed in feeds:
            self.add(records.Feed, **feed)


# Birth weights, kg, from memory; the spread about them is that of single calves in a published herd.
BIRTH_WEIGHT = {
    "Aberdeen Angus": 37.0,
    "Charolais": 46.0,
    "Hereford": 39.0,
    "Limousin": 41.0,
    "Salers": 38.0,
    "Shorthorn": 38.0,
    "Simmental": 44.0,
}


def condition(rng: np.random.Generator, animals: Sequence[Animal], days: Sequence[date], shift: float) -> Numbers:
    """True score of each animal on each day without feeds of her own, days in order: animals × days."""
    ordinals = np.array([day.toordinal() for day in days], dtype=float)
    made = truth.wander(rng, ordinals, len(animals)) + shift
    for row, animal in enumerate(animals):
        made[row] += animal.level + _curve(animal, ordinals)
    return made


def put_at(true: Numbers, row: int, score: float) -> None:
    """Lift or lower one animal throughout, so that on the last day she truly stands at a score."""
    true[row] += score - true[row, -1]


def moved_by_feed(animals: Sequence[Animal], days: Sequence[date]) -> Numbers:
    """What the feeds of her own have moved each animal by each day: animals × days."""
    ordinals = np.array([day.toordinal() for day in days], dtype=float)
    return np.array([truth.fed_score(ordinals, animal.feeds) for animal in animals])


def _curve(animal: Animal, days: Numbers) -> Numbers:
    """Her place on the curve of her block; before a calving she has the parity of that calving."""
    year = float(truth.YEAR)
    last = animal.last.toordinal() if animal.last else None
    if animal.due is not None:
        due = float(animal.due.toordinal())
    else:
        due = (last if last is not None else float(days[-1])) + year + 40
    if last is None:
        ahead = np.maximum(days - due, truth.CURVES[animal.block][0][0])
        return truth.mean_score(animal.block, ahead) + truth.parity_score(animal.block, ahead, 1)
    before = truth.since_calving(animal.block, days, last - year, last)
    after = truth.since_calving(animal.block, days, last, due)
    total = np.empty(len(days))
    for k, day in enumerate(days):
        at = before[k : k + 1] if day < last else after[k : k + 1]
        parity = animal.calvings + (day >= last and at[0] < 0)
        score = truth.mean_score(animal.block, at) + truth.parity_score(animal.block, at, parity)
        total[k] = score[0]
    return total
