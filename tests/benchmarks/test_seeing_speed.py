"""How long the runway and the flag list take with 200, 5,000 and 50,000 cows, beside the figures of the design.

Design figures are times measured for a plain scatter and a plain table of the same size on two cores shared with other
work (project measurement, 2026): what is printed is the ratio to them; the program also places marks, words and rows.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtWidgets import QApplication

from herdscore.desk.settings import Settings
from herdscore.domain.assess import Assessment, assess
from herdscore.domain.runway import runway_of
from herdscore.domain.runway_finding import RunwayFilter, chosen, finding
from herdscore.pages.cow_lists import ALL, CowLists
from herdscore.pages.flag_view import FlagView
from herdscore.pages.flagged_rows import FlaggedRows
from herdscore.pages.runway_pictures import runway_picture
from herdscore.parts.runway_chart import RunwayChart
from herdscore.parts.theme import Look
from tests.benchmarks.test_assess_speed import herd
from tests.domain.herds import RULES, TODAY

pytestmark = pytest.mark.benchmark
SIZES = (200, 5_000, 50_000)
# ms: first picture of the scatter, mouse move; table shown, sorted by number, filtered (50,000 rows; less below).
DESIGN = {
    200: {"picture": 73, "move": 0.35, "show": 20, "sort": 18, "filter": 19},
    5_000: {"picture": 381, "move": 0.39, "show": 20, "sort": 18, "filter": 19},
    50_000: {"picture": 3810, "move": 1.43, "show": 20, "sort": 18, "filter": 19},
}


@pytest.fixture(scope="module")
def look(qapp: QApplication) -> Look:
    made = Look("light")
    made.dress(qapp)
    return made


def ms(work: Callable[[], object], times: int = 5) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append((time.perf_counter() - start) * 1e3)
    return median(taken)


def told(size: int, what: str, took: float) -> None:
    against = DESIGN[size][what]
    print(f"{size:>6} cows, {what:<8} {took:9.2f} ms, {took / against:5.2f} of the design's {against:g} ms")


def assessed(size: int) -> Assessment:
    return assess(herd(np.random.default_rng(size), size, 4), RULES, TODAY)


@pytest.mark.parametrize("size", SIZES)
def test_how_long_the_runway_takes(size: int, look: Look, qapp: QApplication) -> None:
    a = assessed(size)
    print()
    chart = RunwayChart(look, lambda place: ("cow", "scores", "date"))
    chart.resize(1200, 600)
    chart.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    chart.show()

    def first() -> None:
        runway = runway_of(a, 2)
        keep = chosen(a, runway, RunwayFilter())
        chart.show_picture(runway_picture(a, runway, keep, finding(a, [(runway, keep)])))
        chart.grab()

    told(size, "picture", ms(first, 3))
    rng = np.random.default_rng(1)
    spots = [
        QPointF(float(x), float(y)) for x, y in zip(rng.uniform(80, 1150, 200), rng.uniform(40, 560, 200), strict=True)
    ]

    def moves() -> None:
        for spot in spots:
            place = chart.place_at(spot)
            if place != chart.place:
                chart.point_at(place)
                qapp.processEvents()

    took = ms(moves, 3) / len(spots)
    told(size, "move", took)
    assert took < 16, "a mouse move within one picture of a screen of 60 a second"

    def filtered() -> None:
        runway = runway_of(a, 2)
        keep = chosen(a, runway, RunwayFilter(group="B"))
        chart.show_picture(runway_picture(a, runway, keep, ""))
        chart.grab()

    print(f"{size:>6} cows, fade     {ms(filtered, 3):9.2f} ms")
    print(f"{size:>6} cows, zoom     {ms(lambda: (chart.zoom(1.25), chart.grab()), 3):9.2f} ms")
    chart.close()


@pytest.mark.parametrize("size", SIZES)
def test_how_long_the_flag_list_takes(size: int, look: Look, tmp_path: Path) -> None:
    a = assessed(size)
    print()
    view = FlagView(look, Settings(tmp_path))
    view.resize(1200, 560)
    view.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    view.show()
    lists = CowLists(a, np.ones(len(a), dtype=bool))
    print(f"{size:>6} cows, lists    {ms(lambda: CowLists(a, np.ones(len(a), dtype=bool)), 3):9.2f} ms")

    def shown() -> None:
        rows = FlaggedRows(a, lists.cow, lists.mark.tolist(), lists.tags)
        view.show_rows(rows)
        view.show_only(lists.places(ALL))
        view.grab()

    told(size, "show", ms(shown))

    def sort() -> None:
        for key in ("score_now", "days_to_calving"):
            view.sort_by(key)
        view.grab()

    told(size, "sort", ms(sort) / 2)
    told(size, "filter", ms(lambda: (view.show_only(lists.places(ALL, "12")), view.grab())))
    view.close()
