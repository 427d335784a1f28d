"""The list for the crush, to be printed: pen by pen, what tells the cows apart, and room to write."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.herd import tag_order
from herdscore.domain.listing import Column

CRUSH_LIST = (
    Column("tag", "Tag", "text", 16),
    Column("management_no", "Management no", "text", 14),
    Column("calvings", "Calvings", "whole", 8),
    Column("calving_date", "Calving date", "date", 12),
    Column("days_to_calving", "Days to calving", "whole", 10),
    Column("last_scored", "Last scored", "date", 12),
    Column("last_score", "Last score", "quarter", 9),
    Column("note", "Note", "text", 30),
)


@dataclass(frozen=True, slots=True)
class CrushPen:
    """One pen: its name (None: no group), the places of its cows by tag, and a row of `CRUSH_LIST` for each."""

    pen: str | None
    cows: tuple[int, ...]
    rows: tuple[tuple[object, ...], ...]


def crush_list(assessment: Assessment, among: npt.NDArray[np.bool_]) -> list[CrushPen]:
    """The cows among (flags, one a cow), by pen and tag; pens by name, cows without a group last."""
    a = assessment
    order = sorted(np.flatnonzero(among).tolist(), key=lambda cow: tag_order(str(a.snapshot.cows.tag[cow])))
    by_pen: dict[int, list[int]] = {}
    for cow in order:
        by_pen.setdefault(int(a.groups.now[cow]), []).append(cow)
    names = a.groups.names
    pens = sorted(by_pen, key=lambda pen: (names[pen] is None, tag_order(names[pen] or "")))
    return [CrushPen(names[pen], tuple(by_pen[pen]), tuple(_row(a, cow) for cow in by_pen[pen])) for pen in pens]


def _row(a: Assessment, cow: int) -> tuple[object, ...]:
    cows = a.snapshot.cows
    return (
        cows.tag[cow],
        cows.management_no[cow],
        _whole(float(cows.calvings[cow])),
        a.day(a.dates.day[cow]),
        _whole(float(a.dates.day[cow])),
        a.day(a.sessions.last_day[cow]),
        _known(float(a.sessions.last[cow])),
        cows.note[cow],
    )


def _known(value: float) -> float | None:
    return value if value == value else None


def _whole(value: float) -> int | None:
    return int(value) if value == value else None
