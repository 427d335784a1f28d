"""A small herd in a real herd file, opened as the window opens it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path

from herdscore.desk.first_look import make_file
from herdscore.desk.jobs import Jobs
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.sources import Opener
from herdscore.domain.records import (
    AUTUMN,
    BULL_RUN,
    BY_HAND,
    EMPTY,
    SCAN,
    SERVICE,
    SOLD,
    SPRING,
    WINTER_FEED,
    Calving,
    Cow,
    Diet,
    Record,
    Score,
    Service,
    Setting,
    Weight,
)
from tests.domain.recorded_herds import TODAY, ahead, scored

LAPTOP = "0123456789abcdef0123456789abcdef"


def cow(tag: str, days: int | None, group: str = "Beck side", season: str = SPRING, **more: object) -> Cow:
    """A cow whose date is so many days ahead, set by hand."""
    day = None if days is None else ahead(days)
    source = None if day is None else BY_HAND
    fields: dict[str, object] = {"calvings": 3, "eid": f"99900002604{tag}", **more}
    return Cow(f"id-{tag}", tag, season=season, group=group, calving_date=day, date_from=source, **fields)  # type: ignore[arg-type]


def thrice(one: Cow, *quarters: int) -> list[Score]:
    """Scores 80 and 40 days ago and today, all three sites alike."""
    return [scored(one, ahead(day), q, q, q) for day, q in zip((-80, -40, 0), quarters, strict=True)]


VET = cow("0100", 100)
THIN = cow("0201", 80)
HAND_COW = cow("0302", 130, "Top yard")
FAT = cow("0403", 90, "Top yard", name="Bramble")
COURSE = cow("0504", 100)
NEED = cow("0605", 15)
UNDATED = cow("0706", None)
UNSCORED = cow("0807", 100, calvings=0)
MILKING = cow("0908", None, "Quarry", AUTUMN)
SOLD_COW = cow("1009", None, status=SOLD)
COWS = (VET, THIN, HAND_COW, FAT, COURSE, NEED, UNDATED, UNSCORED, MILKING, SOLD_COW)


def small_herd() -> list[Record]:
    """Ten cows, of which each list has at least one, on 12 January 2027."""
    scores = [
        *thrice(VET, 8, 7, 6),
        *thrice(THIN, 9, 8, 8),
        *thrice(HAND_COW, 10, 9, 9),
        *thrice(FAT, 14, 14, 14),
        *thrice(COURSE, 12, 12, 12),
        *thrice(NEED, 10, 10, 10),
        *thrice(UNDATED, 10, 10, 10),
        *thrice(MILKING, 11, 11, 11),
        scored(SOLD_COW, ahead(-90), 10, 10, 10),
    ]
    return [
        Setting("Own day", TODAY.isoformat()),
        *COWS,
        *scores,
        Diet("diet-1", "Beck side", ahead(-65), WINTER_FEED),
        Diet("diet-2", "Top yard", ahead(-60), WINTER_FEED),
        Service("service-1", THIN.id, SERVICE, ahead(-204), sire_breed="Limousin"),
        Service("service-2", THIN.id, SCAN, ahead(-130), foetal_age=74, result="in calf"),
        Service("service-3", UNDATED.id, BULL_RUN, ahead(-300), until=ahead(-240)),
        Service("service-4", UNDATED.id, SCAN, ahead(-200), result=EMPTY),
        Service("service-5", UNDATED.id, SCAN, ahead(-100), result="in calf"),
        Calving("calving-1", MILKING.id, ahead(-100), ease=1, calf_sex="heifer"),
        Calving("calving-2", THIN.id, date(2026, 3, 20), ease=2, calf_sex="bull"),
        Weight("weight-1", THIN.id, ahead(-40), 640),
    ]


@contextmanager
def opened(path: Path, records: Sequence[Record]) -> Iterator[OpenHerd]:
    """An open herd over a real file; its jobs are over when it is let go."""
    first = make_file(path, records, "a test", Opener(LAPTOP, TODAY, "R. T."), lambda done, total, text: None)
    jobs = Jobs()
    herd = OpenHerd(first, jobs, clock=lambda: datetime(2027, 1, 12, 14, 2), who=lambda: "R. T.")
    try:
        yield herd
    finally:
        herd.close()
        jobs.close()
