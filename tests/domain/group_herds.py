"""Herds for tests of groups: the three sample herds as shipped, and herds drawn at random."""

from __future__ import annotations

from datetime import timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from herdscore import headless
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.records import Cow, Record, Score
from tests.domain.herds import TODAY, day, score

SAMPLES = ("autumn", "spring", "two_blocks")
_FOLDER = Path(__file__).parents[2] / "sample_herds"


@lru_cache(maxsize=3)
def sample(name: str) -> Assessment:
    """A sample herd on its own day."""
    path = next((_FOLDER / name).glob("*.xlsx"), _FOLDER / name)
    herd = headless.read(path, None, TODAY)
    return assess(herd.snapshot, herd.rulebook, herd.today)


def _maybe(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.one_of(st.none(), values)


@st.composite
def herds(draw: st.DrawFn, most: int = 12) -> list[Record]:
    """Cows of any kind: gone, in milk, without date, group, breed, calvings or score."""
    rows: list[Record] = []
    for at in range(draw(st.integers(0, most))):
        due = draw(_maybe(st.integers(-40, 320)))
        one = Cow(
            f"id-{at}",
            f"{at:04d}",
            breed=draw(_maybe(st.sampled_from(["Salers", "salers ", "Limousin cross", "\u00c5land"]))),
            calvings=draw(_maybe(st.integers(0, 11))),
            season=draw(_maybe(st.sampled_from(["autumn", "spring"]))),
            group=draw(_maybe(st.sampled_from(["Beck side", "beck  SIDE", "Quarry", "x" * 70]))),
            calving_date=None if due is None else day(due),
            date_from=None if due is None else "scan",
            status=draw(st.sampled_from(["in herd", "in herd", "in herd", "not in calf", "sold"])),
        )
        rows.append(one)
        for ahead in draw(st.lists(st.integers(-300, 0), max_size=3, unique=True)):
            rows.append(score(one, ahead, draw(st.integers(4, 20)) / 4))
    return rows


def fed(tag: str, due: float, *scores: float, group: str = "Beck side", **facts: Any) -> list[Cow | Score]:
    """A spring cow of a group, scored 80 and 40 days ago and today, or as often as there are scores."""
    facts = {"calvings": 3, "season": "spring", **facts}
    one = Cow(
        f"id-{tag}", tag, group=group, calving_date=TODAY + timedelta(days=int(due)), date_from="set by hand", **facts
    )
    days = (-80, -40, 0)[-len(scores) :]
    return [one, *(score(one, ahead, value) for ahead, value in zip(days, scores, strict=True))]
