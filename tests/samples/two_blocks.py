"""A herd of two blocks in five groups, with the gaps of a real book: one workbook, its own day in mid-December."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from herdscore.domain import records
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    AFTER_CALVING,
    AI,
    AUTUMN,
    BULL_IN,
    BULL_OUT,
    BULL_RUN,
    CULLED,
    DEAD,
    DOWN,
    GRASS,
    HOUSING,
    IN_CALF,
    NOT_IN_CALF,
    SCAN,
    SERVICE,
    SOLD,
    SPRING,
    TOLD,
    TURNOUT,
    UP,
    WEANING,
    WINTER_FEED,
)
from tests.samples import feeds, truth
from tests.samples.book import Animal, Book, Feeding, Scorer, condition, moved_by_feed, put_at
from tests.samples.truth import Fed, Numbers

OWN_DAY = date(2025, 12, 11)
TURNED_OUT, WEANED, HOUSED = date(2025, 4, 22), date(2025, 10, 28), date(2025, 11, 5)
UP_SINCE, MOVED, DOWN_SINCE = date(2025, 10, 30), date(2025, 12, 2), date(2025, 11, 17)
SHED, COURT, BARN, HEIFERS, BACK_YARD = "Slatted shed", "Straw court", "Dutch barn", "Heifer court", "Back yard"
SPRING_BULL, SPRING_HEIFERS = date(2025, 5, 6), date(2025, 4, 12)
AUTUMN_BULL, AUTUMN_HEIFERS = date(2025, 12, 15), date(2025, 11, 18)
AUTUMN_BULL_LAST = date(2024, 12, 14)
BACK_FROM_HILL, YARD_ROUND, LAST_ROUND, SCANNED = (
    date(2025, 9, 4),
    date(2025, 11, 13),
    date(2025, 12, 8),
    date(2025, 6, 24),
)
DAYS = (TURNED_OUT, BACK_FROM_HILL, WEANED, YARD_ROUND, LAST_ROUND, OWN_DAY)
SPRING_AGES, AUTUMN_AGES = (13, 12, 11, 10, 8, 7, 6, 4, 3, 2), (5, 7, 7, 6, 5, 4, 3, 2, 1)
SPRING_SHIFT, AUTUMN_SHIFT = -0.2, -0.2
# Beside the curve, score a day: fed up, eased down, and a shed whose silage is better than it need be.
UP_RATE, DOWN_RATE, SHED_RATE = 0.0055, -0.003, 0.002
BREEDS = ("Limousin cross", "Charolais cross", "Simmental", "Luing", "Hereford cross")
GESTATION = {"Charolais": 288.0, "Aberdeen Angus": 282.0}
AD, NB, BLANK = Scorer("AD", 0.0, 0.5), Scorer("NB", 0.2, 0.25), Scorer(None, 0.0, 0.5)


def herd(seed: int = 55) -> Snapshot:
    """The herd on its own day."""
    book = Book("Marrowick", "QX 4107", OWN_DAY, seed)
    spring = [_spring(book, calvings) for calvings, cows in enumerate(SPRING_AGES) for _ in range(cows)]
    autumn = [_autumn(book, calvings) for calvings, cows in enumerate(AUTUMN_AGES) for _ in range(cows)]
    animals = spring + autumn
    for animal, level in zip(animals, truth.lasting(book.rng, len(animals)), strict=True):
        animal.level = level
    shift = np.repeat([SPRING_SHIFT, AUTUMN_SHIFT], [len(spring), len(autumn)])[:, None]
    true = condition(book.rng, animals, DAYS, 0.0) + shift
    moved = _pens(spring, true[: len(spring), DAYS.index(WEANED)])
    true += moved_by_feed(animals, DAYS)
    _gaps(book, spring, autumn, true)
    book.cows(animals)
    for animal in moved:
        book.add(records.Move, cow_id=animal.cow_id, day=HOUSED, group=SHED)
        book.add(records.Move, cow_id=animal.cow_id, day=MOVED, group=COURT)
    book.calvings(animals, lambda cow: "Charolais" if cow.calvings > 1 else "Aberdeen Angus")
    _write_scores(book, spring, autumn, true)
    book.weighed(spring, true[: len(spring), DAYS.index(WEANED)], HOUSED, share=0.4)
    _write_feeding(book)
    return book.snapshot()


def _spring(book: Book, calvings: int) -> Animal:
    """A cow to a Charolais bull, her date typed; a heifer to an Angus straw, her date from the AI and a scan."""
    bull_in, breed = (SPRING_BULL, "Charolais") if calvings else (SPRING_HEIFERS, "Aberdeen Angus")
    last = None
    if calvings:
        before = bull_in if calvings > 1 else SPRING_HEIFERS
        last = book.calves_on(book.to_the_bull(before - timedelta(days=365), 9, None), GESTATION[breed])
    conceived = book.to_the_bull(bull_in, 9, last)
    dam = str(book.rng.choice(BREEDS, p=(0.35, 0.15, 0.2, 0.15, 0.15)))
    animal = book.animal(SPRING, calvings, dam, due=book.calves_on(conceived, GESTATION[breed]), last=last)
    if calvings:
        source = str(book.rng.choice((SCAN, SERVICE, TOLD, BULL_RUN), p=(0.62, 0.1, 0.13, 0.15)))
        animal.entry = book.typed_date(conceived, GESTATION[breed], source, bull_in)
    else:
        animal.services.append({"kind": AI, "day": conceived, "sire_breed": breed, "sire": "Corvane Ledger"})
        age = int(5 * round(((SCANNED - conceived).days + book.rng.normal(0.0, 3.9)) / 5))
        animal.services.append({"kind": SCAN, "day": SCANNED, "foetal_age": age, "result": IN_CALF})
    return animal


def _autumn(book: Book, calvings: int) -> Animal:
    """A cow calved this autumn and not yet served again; a heifer to an Angus straw in November."""
    dam = str(book.rng.choice(BREEDS, p=(0.35, 0.15, 0.2, 0.15, 0.15)))
    if calvings:
        last = book.calves_on(book.to_the_bull(AUTUMN_BULL_LAST, 9, None), GESTATION["Charolais"])
        animal = book.animal(AUTUMN, calvings, dam, due=None, last=last)
    else:
        served = AUTUMN_HEIFERS + timedelta(days=int(book.rng.integers(12)))
        due = book.calves_on(served, GESTATION["Aberdeen Angus"])
        animal = book.animal(AUTUMN, calvings, dam, due=due, last=None)
        straw = {"sire_breed": "Aberdeen Angus", "sire": "Corvane Ledger"}
        animal.services.append({"kind": AI, "day": served, **straw})
    animal.group = BACK_YARD
    return animal


def _pens(spring: list[Animal], weaned: Numbers) -> list[Animal]:
    """Pen the spring cows as they stood at weaning: bare to feed up, fat to ease down; returns who moved since."""
    moved = []
    older = [score for animal, score in zip(spring, weaned, strict=True) if animal.calvings]
    bare, fat = np.quantile(older, [0.16, 0.86])
    for animal, score in zip(spring, weaned, strict=True):
        if not animal.calvings:
            animal.group = HEIFERS
        elif score < bare:
            animal.group, animal.feeds = COURT, (Fed(UP_SINCE, UP_RATE),)
        elif score > fat:
            animal.group, animal.feeds = BARN, (Fed(DOWN_SINCE, DOWN_RATE),)
        else:
            animal.group, animal.feeds = SHED, (Fed(HOUSED, SHED_RATE),)
            if score < bare + 0.12 and len(moved) < 4:
                animal.group, animal.feeds = COURT, (Fed(HOUSED, SHED_RATE, MOVED), Fed(MOVED, UP_RATE))
                moved.append(animal)
    return moved


def _gaps(book: Book, spring: list[Animal], autumn: list[Animal], true: Numbers) -> None:
    """What a real book lacks and what befell some cows: no date given, gone, not in calf, twins, a vet's plan."""
    cows = [animal for animal in spring if animal.calvings > 1]
    chosen = [cows[k] for k in book.rng.choice(len(cows), 14, replace=False)]
    for animal in chosen[:4]:
        animal.entry |= {"calving_date": None, "date_from": None}
    for animal in chosen[4:7]:
        animal.entry |= {"twins": True}
    for animal, status, note in zip(chosen[7:10], (CULLED, CULLED, SOLD), ("feet", "not in calf", None), strict=True):
        animal.entry |= {"status": status, "note": note}
    for animal in chosen[10:12]:
        animal.entry |= {
            "status": NOT_IN_CALF,
            "calving_date": None,
            "date_from": None,
            "note": "scanned empty, fattening",
        }
    autumn[-1].entry |= {"status": CULLED, "note": "old age"}
    autumn[-7].entry |= {"status": DEAD}
    older = [row for row, animal in enumerate(spring) if animal.calvings > 1]
    latest = sorted(older, key=lambda row: _days_to(spring[row]))[-6:]
    fattest = max(latest, key=lambda row: true[row, -1])
    put_at(true, fattest, 4.05)
    spring[fattest].group = SHED
    spring[fattest].entry |= {"vet_plan": True, "note": "slimming planned with the vet on 24 November"}


def _days_to(animal: Animal) -> int:
    """Days to the calving date her owner typed; 0 when she has none or has left."""
    typed = animal.entry.get("calving_date")
    return (typed - OWN_DAY).days if typed and "status" not in animal.entry else 0


def _write_scores(book: Book, spring: list[Animal], autumn: list[Animal], true: Numbers) -> None:
    """NB in quarters at turnout and in the yard, September unsigned, AD in halves since, two pens only in December."""
    plan = {
        TURNED_OUT: (NB, spring + autumn, 0.9),
        BACK_FROM_HILL: (BLANK, spring + autumn, 0.85),
        WEANED: (AD, spring, 0.85),
        YARD_ROUND: (NB, autumn, 0.9),
        LAST_ROUND: (AD, [a for a in spring if a.group in (SHED, COURT)], 0.6),
    }
    everyone = spring + autumn
    for day, (scorer, animals, share) in plan.items():
        here = [row for row, animal in enumerate(everyone) if animal in animals and _there(animal, day)]
        book.round(day, scorer, [everyone[row] for row in here], true[here, DAYS.index(day)], share)
    barn = [row for row, animal in enumerate(spring) if animal.group == BARN and "status" not in animal.entry]
    for row in barn[:4]:
        book.seen(spring[row], true[row, DAYS.index(LAST_ROUND)], LAST_ROUND, NB)


def _there(animal: Animal, day: date) -> bool:
    """Heifers join at weaning; who left in autumn is not scored after it."""
    left = animal.entry.get("status") in records.GONE and day > date(2025, 10, 1)
    return not left and (animal.calvings > 0 or day >= WEANED)


def _write_feeding(book: Book) -> None:
    summer = [Feeding(date(2024, 11, 4), WINTER_FEED), Feeding(TURNED_OUT, GRASS)]
    book.fed(
        {
            SHED: [*summer, Feeding(HOUSED, WINTER_FEED)],
            COURT: [*summer, Feeding(UP_SINCE, WINTER_FEED, aim=UP, expected_change=0.01)],
            BARN: [*summer, Feeding(HOUSED, WINTER_FEED), Feeding(DOWN_SINCE, WINTER_FEED, aim=DOWN)],
            BACK_YARD: [*summer, Feeding(HOUSED, AFTER_CALVING)],
        }
    )
    book.calendar(
        SPRING,
        [
            (TURNOUT, TURNED_OUT),
            (BULL_IN, SPRING_BULL),
            (BULL_OUT, SPRING_BULL + timedelta(days=63)),
            (WEANING, WEANED),
            (HOUSING, HOUSED),
            (TURNOUT, date(2026, 4, 20)),
            (BULL_IN, date(2026, 5, 6)),
            (BULL_OUT, date(2026, 7, 8)),
        ],
    )
    book.calendar(
        AUTUMN,
        [
            (TURNOUT, TURNED_OUT),
            (WEANING, date(2025, 7, 1)),
            (HOUSING, HOUSED),
            (BULL_IN, AUTUMN_BULL),
            (BULL_OUT, AUTUMN_BULL + timedelta(days=63)),
            (TURNOUT, date(2026, 4, 20)),
            (WEANING, date(2026, 7, 1)),
        ],
    )
    book.feeds([feeds.SILAGE, feeds.LATE_SILAGE, feeds.STRAW, feeds.BARLEY, feeds.MINERAL, feeds.MAGNESIUM_LICK])
    book.rations(SHED, HOUSED, silage=25.0, straw=1.0)
    book.rations(BACK_YARD, HOUSED, silage=40.0)
    book.rations(HEIFERS, HOUSED, silage=21.0, straw=1.0, barley=0.5)
    book.rations(BARN, HOUSED, late_silage=24.0, straw=1.0)
    book.rations(BARN, DOWN_SINCE, late_silage=22.0, straw=1.5)
    for step in range(4):
        book.rations(COURT, UP_SINCE + timedelta(days=4 * step), silage=22.0, straw=2.0, barley=0.5 * (step + 1))
    # Mineral eight weeks before the first is to calve, then back to need before her last three.
    for day, barley in ((date(2025, 12, 13), 2.0), (date(2026, 1, 2), 1.5), (date(2026, 1, 6), 1.0)):
        book.rations(COURT, day, silage=22.0, straw=2.0, barley=barley, mineral=0.1)
