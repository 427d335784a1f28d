"""A spring herd as one workbook, every calving date typed: scored for the fourth time in the second week of January."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    BULL_IN,
    BULL_OUT,
    BULL_RUN,
    DEAD,
    GONE,
    GRASS,
    HOUSING,
    SCAN,
    SERVICE,
    SOLD,
    SPRING,
    TO_HOLD,
    TOLD,
    TURNOUT,
    WEANING,
    WINTER_FEED,
)
from tests.samples import feeds, truth
from tests.samples.book import Animal, Book, Feeding, Scorer, condition, moved_by_feed, put_at
from tests.samples.truth import Fed, Numbers

OWN_DAY = date(2026, 1, 14)
TURNED_OUT, WEANED, HOUSED = date(2025, 4, 28), date(2025, 10, 22), date(2025, 11, 20)
ROUNDS = (date(2025, 4, 29), WEANED, date(2025, 11, 25), date(2026, 1, 7))
DAYS = (*ROUNDS, OWN_DAY)
CUBICLES, STRAW_YARD, HEIFER_PEN = "Cubicle shed", "Straw yard", "Heifer pen"
BULL_GOES_IN, HEIFERS_SERVED = date(2025, 6, 2), date(2025, 5, 5)
MEAN_SHIFT = -0.3
# First-cut silage beside the curve, score a day: the winter's loss is nearly made good.
HELD_RATE = 0.0040
# Cows by calvings so far: heifers first, fewer each year.
AGES = (11, 11, 9, 8, 7, 6, 5, 4, 3, 1)
BREEDS = ("Limousin cross", "Simmental cross", "Aberdeen Angus cross", "Salers")
KR, TM = Scorer("KR", 0.0, 0.5), Scorer("TM", -0.12, 0.25)


def herd(seed: int = 199) -> Snapshot:
    """The herd on its own day."""
    book = Book("Skerrowby", "QX 2214", OWN_DAY, seed)
    animals = _animals(book)
    true = condition(book.rng, animals, DAYS, MEAN_SHIFT)
    _characters(animals, true)
    _pens(animals, true[:, 2])
    true += moved_by_feed(animals, DAYS)
    book.cows(animals)
    _write_scores(book, animals, true)
    book.calvings(animals, lambda cow: "Charolais" if cow.calvings > 1 else "Aberdeen Angus")
    book.weighed(animals, true[:, 2], ROUNDS[2], share=0.6)
    _write_feeding(book)
    return book.snapshot()


def _animals(book: Book) -> list[Animal]:
    made = []
    for calvings, cows in enumerate(AGES):
        for _ in range(cows):
            made.append(_animal(book, calvings))
    for animal, level in zip(made, truth.lasting(book.rng, len(made)), strict=True):
        animal.level = level
    return made


def _animal(book: Book, calvings: int) -> Animal:
    """A cow to a Charolais bull or a heifer to an Angus, with the date her owner typed."""
    bull_in, gestation = (BULL_GOES_IN, 288.0) if calvings else (HEIFERS_SERVED, 282.0)
    last = None
    if calvings:
        before = bull_in if calvings > 1 else HEIFERS_SERVED
        last = book.calves_on(book.to_the_bull(before - timedelta(days=365), 9, None), gestation)
    conceived = book.to_the_bull(bull_in, 9, last)
    breed = str(book.rng.choice(BREEDS, p=(0.45, 0.25, 0.2, 0.1)))
    animal = book.animal(SPRING, calvings, breed, due=book.calves_on(conceived, gestation), last=last)
    source = str(book.rng.choice((SCAN, SERVICE, TOLD, BULL_RUN), p=(0.6, 0.2, 0.12, 0.08)))
    animal.entry = book.typed_date(conceived, gestation, source, bull_in)
    return animal


def _characters(animals: list[Animal], true: Numbers) -> None:
    """Cows with a story: bought in with a date as told, without a calf last spring, sold, died."""
    cows = [row for row, animal in enumerate(animals) if animal.calvings in (4, 5)]
    bought, missed, sold, died = cows[1], cows[4], cows[7], cows[10]
    animals[bought].last = None
    animals[bought].entry = {
        "calving_date": date(2025, 12, 17),
        "date_from": TOLD,
        "note": "bought in November, date as told by the seller",
    }
    animals[missed].last = None
    animals[missed].entry |= {"note": "no calf last spring"}
    put_at(true, missed, 4.15)
    animals[sold].entry |= {"status": SOLD, "note": "sold with her calf in October"}
    animals[died].entry |= {"status": DEAD}


def _pens(animals: list[Animal], housed: Numbers) -> None:
    """Heifers and second-calvers by themselves, the barest of the older cows on the straw, the rest in cubicles.

    The cubicle shed is held level on first-cut silage, which not all in it need.
    """
    older = [score for animal, score in zip(animals, housed, strict=True) if animal.calvings > 1]
    bare = np.quantile(older, 0.25)
    for animal, score in zip(animals, housed, strict=True):
        if animal.calvings <= 1:
            animal.group = HEIFER_PEN
        elif score < bare:
            animal.group = STRAW_YARD
        else:
            animal.group, animal.feeds = CUBICLES, (Fed(HOUSED, HELD_RATE),)


def _write_scores(book: Book, animals: list[Animal], true: Numbers) -> None:
    """Four rounds: TM in quarters at turnout, KR in halves since; a few cows missed each time."""
    for k, (day, scorer) in enumerate(zip(ROUNDS, (TM, KR, KR, KR), strict=True)):
        here = [row for row, animal in enumerate(animals) if _there(animal, day)]
        book.round(day, scorer, [animals[row] for row in here], true[here, k], share=0.93)


def _there(animal: Animal, day: date) -> bool:
    """Heifers join at weaning, the bought-in cow later; who left in autumn is not scored after it."""
    if animal.entry["date_from"] == TOLD and animal.last is None and animal.calvings:
        return day > date(2025, 11, 1)
    left = animal.entry.get("status") in GONE and day >= WEANED
    return not left and (animal.calvings > 0 or day >= WEANED)


def _write_feeding(book: Book) -> None:
    summer = [Feeding(date(2024, 11, 18), WINTER_FEED), Feeding(TURNED_OUT, GRASS)]
    book.fed(
        {
            CUBICLES: [*summer, Feeding(HOUSED, TO_HOLD)],
            STRAW_YARD: [*summer, Feeding(HOUSED, WINTER_FEED)],
            HEIFER_PEN: [*summer, Feeding(HOUSED, WINTER_FEED)],
        }
    )
    book.calendar(
        SPRING,
        [
            (TURNOUT, TURNED_OUT),
            (BULL_IN, BULL_GOES_IN),
            (BULL_OUT, BULL_GOES_IN + timedelta(days=63)),
            (WEANING, WEANED),
            (HOUSING, HOUSED),
            (TURNOUT, date(2026, 4, 27)),
            (BULL_IN, date(2026, 6, 1)),
            (BULL_OUT, date(2026, 8, 3)),
            (WEANING, date(2026, 10, 21)),
            (HOUSING, date(2026, 11, 19)),
        ],
    )
    book.feeds([feeds.SILAGE, feeds.STRAW, feeds.BARLEY, feeds.MINERAL, feeds.MAGNESIUM_LICK])
    book.rations(CUBICLES, HOUSED, silage=25.0, straw=1.5)
    book.rations(STRAW_YARD, HOUSED, silage=22.0, straw=2.0)
    book.rations(HEIFER_PEN, HOUSED, silage=20.0, straw=1.5, barley=0.5)
