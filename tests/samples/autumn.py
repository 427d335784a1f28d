"""An autumn herd as a folder of csv, no calving date typed: they follow from AI, the bull, scans and hand checks."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    AI,
    AUTUMN,
    BULL_IN,
    BULL_OUT,
    BULL_RUN,
    DOWN,
    EMPTY,
    GRASS,
    HAND_CHECK,
    HOUSING,
    IN_CALF,
    SCAN,
    SERVICE,
    TURNOUT,
    TWINS,
    WEANING,
    WINTER_FEED,
)
from tests.samples import feeds, truth
from tests.samples.book import Animal, Book, Feeding, Scorer, condition, moved_by_feed
from tests.samples.truth import Fed, Numbers

OWN_DAY = date(2026, 6, 17)
HOUSED, TURNED_OUT, WEANED = date(2025, 11, 10), date(2026, 4, 28), date(2026, 6, 9)
SCANNED, SCANNED_AGAIN, BARE_SINCE = date(2026, 2, 4), date(2026, 3, 25), date(2026, 5, 26)
ROUNDS = (date(2025, 11, 5), SCANNED, TURNED_OUT, date(2026, 6, 10))
DAYS = (*ROUNDS[:3], BARE_SINCE, ROUNDS[3], OWN_DAY)
COWS_SERVED, HEIFERS_SERVED = date(2025, 11, 6), date(2025, 10, 20)
RUN_FROM, RUN_UNTIL = date(2025, 12, 18), date(2026, 1, 29)
BANK, MOSS, PADDOCK = "Bank field", "Moss field", "Bare paddock"
MEAN_SHIFT = -0.1
AGES = (6, 7, 6, 6, 5, 4, 3, 2, 1)
BREEDS = ("Shorthorn", "Aberdeen Angus cross", "Hereford cross")
GESTATION = {"Aberdeen Angus": 282.0, "Limousin": 289.0, "Charolais": 288.0}
STRAWS = {
    "Aberdeen Angus": ("Ossel Drover", "Ossel Kestrel"),
    "Limousin": ("Pellard Quern",),
}
SWEEPER = ("Charolais", "Merrow Bolt")
NAMES = (
    *("Bramble", "Sorrel", "Teasel", "Hazel", "Linnet", "Juniper", "Clover", "Rowan", "Tansy", "Damson"),
    *("Heather", "Plover", "Bracken", "Myrtle", "Curlew"),
)
JB, EL = Scorer("JB", 0.0, 0.5), Scorer("EL", 0.15, 0.25)


def herd(seed: int = 370) -> Snapshot:
    """The herd on its own day."""
    book = Book("Oxlinden", "QX 3608", OWN_DAY, seed)
    animals = [_animal(book, calvings) for calvings, cows in enumerate(AGES) for _ in range(cows)]
    for animal, level in zip(animals, truth.lasting(book.rng, len(animals)), strict=True):
        animal.level = level
    true = condition(book.rng, animals, DAYS, MEAN_SHIFT)
    _fields(animals, true[:, DAYS.index(BARE_SINCE)])
    for animal in animals:
        _check(book, animal)
    true += moved_by_feed(animals, DAYS)
    for animal, name in zip(sorted(animals, key=lambda one: one.tag), NAMES, strict=False):
        animal.entry = {"name": name}
    bought = [animal for animal in animals if animal.calvings == 0][-1]
    bought.services, bought.entry = [], {"note": "bought in May as in calf; ask for the service date"}
    book.cows(animals)
    book.calvings(animals, lambda cow: "Charolais" if cow.calvings > 1 else "Aberdeen Angus")
    _write_scores(book, animals, true)
    book.weighed(animals, true[:, DAYS.index(ROUNDS[3])], WEANED, share=0.8)
    _write_feeding(book)
    return book.snapshot()


def _fields(animals: list[Animal], in_may: Numbers) -> None:
    """Heifers and second-calvers on the moss, cows on the bank; every second of the fittest eight was picked."""
    for animal in animals:
        animal.group = MOSS if animal.calvings <= 1 else BANK
    cows = [row for row, animal in enumerate(animals) if animal.group == BANK]
    for row in sorted(cows, key=lambda row: -in_may[row])[:8:2]:
        animals[row].group, animals[row].feeds = PADDOCK, (Fed(BARE_SINCE, -0.008),)


def _animal(book: Book, calvings: int) -> Animal:
    """A cow: once or twice to AI, then to the bull; heifers to an Angus two weeks sooner."""
    last = None
    if calvings:
        last = book.calves_on(book.to_the_bull(date(2024, 11, 6), 12, None), 286.0)
    first = max(COWS_SERVED, last + timedelta(days=50)) if last else HEIFERS_SERVED
    breed = "Aberdeen Angus" if calvings == 0 or book.rng.random() < 0.3 else "Limousin"
    services: list[dict[str, Any]] = []
    conceived, day = None, first + timedelta(days=int(book.rng.integers(18)))
    while conceived is None and day < RUN_FROM:
        services.append({"kind": AI, "day": day, "sire_breed": breed, "sire": str(book.rng.choice(STRAWS[breed]))})
        conceived = day if book.rng.random() < 0.58 else None
        day += timedelta(days=21 + int(book.rng.integers(-1, 3)))
    if calvings or conceived is None:
        sire = {"sire_breed": SWEEPER[0], "sire": SWEEPER[1]}
        services.append({"kind": BULL_RUN, "day": RUN_FROM, "until": RUN_UNTIL, **sire})
        if conceived is None and book.rng.random() < 0.9:
            conceived, breed = book.to_the_bull(RUN_FROM, 6, last), SWEEPER[0]
            if book.rng.random() < 0.4:
                services.append({"kind": SERVICE, "day": conceived, **sire})
    due = book.calves_on(conceived, GESTATION[breed]) if conceived else None
    animal = book.animal(AUTUMN, calvings, str(book.rng.choice(BREEDS, p=(0.4, 0.35, 0.25))), due=due, last=last)
    animal.conceived, animal.services = conceived, services
    return animal


def _check(book: Book, animal: Animal) -> None:
    """Add what the scans of February and March and the hand at turnout found."""

    def found(kind: str, day: date, result: str, age: int | None = None) -> None:
        animal.services.append({"kind": kind, "day": day, "result": result, "foetal_age": age})

    if animal.conceived is None:
        found(SCAN, SCANNED, EMPTY)
        found(SCAN, SCANNED_AGAIN, EMPTY)
        return
    age = (SCANNED - animal.conceived).days
    seen = IN_CALF if book.rng.random() > 0.03 else TWINS
    if age < 30:
        if book.rng.random() < 0.4:
            found(SCAN, SCANNED, EMPTY)
        found(SCAN, SCANNED_AGAIN, seen, _foetal_age(book, (SCANNED_AGAIN - animal.conceived).days))
    elif book.rng.random() < 0.85:
        found(SCAN, SCANNED, seen, _foetal_age(book, age) if book.rng.random() < 0.9 else None)
    elif book.rng.random() < 0.5:
        found(HAND_CHECK, TURNED_OUT, IN_CALF)


def _foetal_age(book: Book, age: int) -> int:
    """Age as read from the screen, in fives, 3.9 days either way."""
    return int(5 * round((age + book.rng.normal(0.0, 3.9)) / 5))


def _write_scores(book: Book, animals: list[Animal], true: Numbers) -> None:
    """Four rounds: EL in quarters on the day of the scan, JB in halves at housing, turnout and weaning."""
    for day, scorer in zip(ROUNDS, (JB, EL, JB, JB), strict=True):
        here = [row for row, animal in enumerate(animals) if _there(animal, day)]
        book.round(day, scorer, [animals[row] for row in here], true[here, DAYS.index(day)], share=0.93)


def _there(animal: Animal, day: date) -> bool:
    """Heifers join at turnout, the bought-in one in May."""
    bought = not animal.services
    return animal.calvings > 0 or day >= (date(2026, 5, 1) if bought else TURNED_OUT)


def _write_feeding(book: Book) -> None:
    winter = [Feeding(HOUSED, WINTER_FEED), Feeding(TURNED_OUT, GRASS)]
    bare = Feeding(BARE_SINCE, GRASS, aim=DOWN, expected_change=0.0)
    book.fed({BANK: winter, MOSS: winter, PADDOCK: [*winter, bare]})
    book.calendar(
        AUTUMN,
        [
            (HOUSING, HOUSED),
            (BULL_IN, COWS_SERVED),
            (BULL_OUT, RUN_UNTIL),
            (TURNOUT, TURNED_OUT),
            (WEANING, WEANED),
            (HOUSING, date(2026, 11, 9)),
            (BULL_IN, date(2026, 11, 5)),
            (BULL_OUT, date(2027, 1, 28)),
        ],
    )
    book.feeds([feeds.LATE_SILAGE, feeds.HAY, feeds.STRAW, feeds.COARSE_RATION, feeds.MINERAL])
