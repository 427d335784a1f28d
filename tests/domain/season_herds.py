"""A spring herd over three calving seasons, drawn from the model's own world: lines, days' biases and rough scores."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from herdscore.domain.records import (
    BULL_IN,
    BULL_OUT,
    BY_HAND,
    GRASS,
    HOUSING,
    SPRING,
    TURNOUT,
    WEANING,
    WINTER_FEED,
    CalendarDay,
    Calving,
    Cow,
    Diet,
    Record,
    Score,
)

SEASONS_TODAY = date(2027, 1, 12)
_GROUPS = ("Long field", "Low yard", "Quarry")
_RATE = {"winter": -0.005, "grass": 0.0045, "milk": -0.005}


def three_seasons(seed: int = 1, cows: int = 60, years: int = 3) -> list[Record]:
    """Cows that calved in spring of the years before 2027 and are in calf again, scored five times a year by two."""
    rng = np.random.default_rng(seed)
    first = SEASONS_TODAY.year - years
    made: list[Record] = []
    group = rng.integers(0, len(_GROUPS), cows)
    heifer = rng.random(cows) < 0.15
    about = np.round(rng.normal(76, 18, cows))
    gone = rng.random(cows) < 0.08
    calves = {year: np.clip(np.round(about + rng.normal(0, 8, cows)), 32, 150) for year in range(first, 2028)}
    for i in range(cows):
        day = date(2027, 1, 1) + timedelta(days=int(calves[2027][i]))
        made.append(
            Cow(
                f"cow-{i:03d}",
                f"{i + 101:04d}",
                season=SPRING,
                group=_GROUPS[group[i]],
                calvings=0 if heifer[i] else years + 1,
                calving_date=None if gone[i] else day,
                date_from=None if gone[i] else BY_HAND,
                status="sold" if gone[i] else "in herd",
            )
        )
        if not heifer[i]:
            for year in range(first, 2027):
                made += _calvings(rng, i, date(year, 1, 1) + timedelta(days=int(calves[year][i])))
    made += _feeding(first)
    made += _scores(rng, calves, heifer, first)
    return made


def _calvings(rng: np.random.Generator, i: int, day: date) -> list[Calving]:
    ease = int(rng.choice([1, 1, 1, 1, 1, 2, 2, 3, 4]))
    twins = 2 if rng.random() < 0.03 else 1
    return [
        Calving(
            f"calving-{i}-{day}-{n}",
            f"cow-{i:03d}",
            day,
            ease=ease,
            calf_sex="bull" if rng.random() < 0.5 else "heifer",
        )
        for n in range(twins)
    ]


def _feeding(first: int) -> list[Record]:
    made: list[Record] = []
    for year in range(first - 1, 2027):
        for name in _GROUPS:
            made.append(Diet(f"diet-{name}-{year}-w", name, date(year, 11, 10), WINTER_FEED))
            made.append(Diet(f"diet-{name}-{year}-g", name, date(year, 4, 25), GRASS))
        for event, month, day in (
            (TURNOUT, 4, 25),
            (BULL_IN, 6, 5),
            (BULL_OUT, 8, 5),
            (WEANING, 10, 20),
            (HOUSING, 11, 10),
        ):
            made.append(CalendarDay(f"{event}-{year}", SPRING, event, date(year, month, day)))
    return made


def _scores(rng: np.random.Generator, calves: dict[int, np.ndarray], heifer: np.ndarray, first: int) -> list[Score]:
    """Five days a year: housing, January, late in March, June, October."""
    n = len(heifer)
    begin = date(first - 1, 11, 10)
    days = (SEASONS_TODAY - begin).days + 1
    group_rate = {name: rate + 0.002 * rng.normal() for name, rate in _RATE.items()}
    own = 0.0018 * rng.normal(size=n)
    level = 3.0 + 0.37 * rng.normal(size=n)
    truth = np.empty((n, days))
    for at in range(days):
        day = begin + timedelta(days=at)
        truth[:, at] = level
        feed = "grass" if (4, 25) <= (day.month, day.day) < (11, 10) else "winter"
        rate = np.full(n, group_rate[feed])
        for year, calved in calves.items():
            since = (day - date(year, 1, 1)).days - calved
            rate = np.where((since >= 0) & (since < 75) & ~heifer, group_rate["milk"], rate)
        # A herd is kept within bounds over the years, so that each cow drifts back to where she belongs.
        level = np.clip(level + rate + own * 0.3 + (2.75 - level) * 0.002, 1.0, 5.0)
    made = []
    for year in range(first - 1, 2028):
        for month, mday, scorer in (
            (11, 12, "R. T."),
            (1, 10, "R. T."),
            (3, 14, "L. M."),
            (6, 8, "R. T."),
            (10, 20, "R. T."),
        ):
            day = date(year, month, mday)
            at = (day - begin).days
            if not 0 <= at < days:
                continue
            bias = 0.12 * rng.normal() + (0.2 if scorer == "L. M." else 0.0)
            felt = truth[:, at, None] + bias + 0.22 * rng.normal(size=(n, 1)) + 0.1 * rng.normal(size=(n, 3))
            sites = np.clip(np.round(felt * 4), 4, 20).astype(int)
            for i in np.flatnonzero(rng.random(n) < 0.92).tolist():
                made.append(Score(f"s-{i}-{day}", f"cow-{i:03d}", day, *sites[i].tolist(), scorer=scorer))
    return made
