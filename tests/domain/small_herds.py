"""Small herds for tests of the trajectory model: made by hand, drawn at random, or read from the case files."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np

from herdscore.domain.herd_scores import FAR_DAYS, Floats, HerdScores, Ints
from herdscore.domain.reach import CowFacts
from herdscore.domain.rulebook import Limits, read_numbers
from tests.domain.simulator import RULES

CASES = Path(__file__).parents[1] / "cases"
BAND = 0.25
FIRST_CALVER_FAT = 3.25
Row = dict[str, str]


def shipped_limits() -> Limits:
    """The limits as the product reads them."""
    with (RULES / "limits.toml").open("rb") as file:
        return read_numbers(Limits, tomllib.load(file), "limits.toml")


def one_cow(
    *scores: tuple[float, float, int],
    diet: int = 1,
    stated: float = np.nan,
    calving: float = 90.0,
    spread: float = 5.0,
    target: float = 2.5,
) -> HerdScores:
    """One cow on one diet all her life; scores as (score, day, session)."""
    told = np.array(scores, dtype=float).reshape(-1, 3)
    return HerdScores(
        group=np.zeros(1, dtype=int),
        score_cow=np.zeros(len(told), dtype=int),
        score_day=told[:, 1],
        score=told[:, 0],
        score_session=told[:, 2].astype(int),
        seg_lo=np.array([[-float(FAR_DAYS)]]),
        seg_hi=np.array([[float(FAR_DAYS)]]),
        seg_rate=np.zeros((1, 1), dtype=int),
        rate_class=np.array([diet]),
        rate_mean=np.array([stated]),
        calving_day=np.array([calving]),
        calving_sd=np.array([spread]),
        target=np.array([target]),
        calved=np.zeros(1, dtype=bool),
        band=BAND,
    )


def random_herd(seed: int, cows: int, groups: int, sessions: int, segments: int, most_scores: int) -> HerdScores:
    """A herd without NaN: repeats in a session, second scorers, halves, any calving date, cows without a score."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(0, most_scores * cows + 1)) if sessions else 0
    session_day = -rng.integers(0, 364, sessions).astype(float)
    session = rng.integers(0, max(sessions, 1), count)
    cuts = np.sort(rng.choice(np.arange(-200, 60), (cows, segments - 1)), axis=1).astype(float)
    far = np.full((cows, 1), float(FAR_DAYS))
    group = rng.integers(0, groups, cows)
    rates = groups * 3
    return HerdScores(
        group=group,
        score_cow=rng.integers(0, cows, count),
        score_day=session_day[session] if sessions else np.empty(0),
        score=np.round(rng.uniform(1, 5, count) * 4) / 4,
        score_session=session,
        seg_lo=np.concatenate([-far, cuts], axis=1),
        seg_hi=np.concatenate([cuts, far], axis=1),
        seg_rate=rng.integers(0, rates, (cows, segments)),
        rate_class=rng.integers(0, 5, rates),
        rate_mean=np.where(rng.random(rates) < 0.3, rng.normal(0, 0.004, rates), np.nan),
        calving_day=rng.integers(-10, 160, cows).astype(float),
        calving_sd=rng.uniform(0, 16, cows),
        target=rng.choice([2.5, 3.0], cows),
        calved=np.zeros(cows, dtype=bool),
        band=BAND,
        session_scorer=rng.integers(0, 3, sessions),
        score_grain=rng.choice([np.nan, 0.144, 0.5], count),
        score_noise_sd=rng.choice([np.nan, np.nan, 0.35], count),
        groups=groups,
    )


def one_more_score(herd: HerdScores, cow: int, day: float, score: float) -> HerdScores:
    """The herd after one cow was scored once more, in a session of its own."""
    assert herd.session_scorer is not None
    assert herd.score_grain is not None
    assert herd.score_noise_sd is not None
    return replace(
        herd,
        score_cow=np.append(herd.score_cow, cow),
        score_day=np.append(herd.score_day, day),
        score=np.append(herd.score, score),
        score_session=np.append(herd.score_session, herd.session_count),
        session_scorer=np.append(herd.session_scorer, 0),
        score_grain=np.append(herd.score_grain, np.nan),
        score_noise_sd=np.append(herd.score_noise_sd, np.nan),
    )


def case_rows(file: str, herd: int) -> list[Row]:
    """The rows of one herd of a case file."""
    with (CASES / file).open(newline="", encoding="utf-8") as lines:
        return [row for row in csv.DictReader(lines) if row["herd"] == str(herd)]


def numbers(rows: list[Row], column: str) -> Floats:
    """A column of a case file; a blank is NaN."""
    return np.array([float(row[column]) if row[column] else np.nan for row in rows])


def whole(rows: list[Row], column: str) -> Ints:
    """A column of whole numbers of a case file."""
    return np.array([int(row[column]) for row in rows], dtype=np.int64)


def case_herd(herd: int) -> tuple[HerdScores, CowFacts]:
    """A herd of trajectory_case.csv, and what is known of its cows beside their scores."""
    kinds: dict[str, list[Row]] = {}
    for row in case_rows("trajectory_case.csv", herd):
        kinds.setdefault(row["kind"], []).append(row)
    cows, scores, rates, segments = kinds["cow"], kinds["score"], kinds["rate"], kinds["segment"]
    owner = whole(segments, "cow")
    place = np.arange(len(owner)) - np.searchsorted(owner, owner)  # rows run in time order cow by cow
    shape = (len(cows), int(place.max()) + 1)
    lo, hi = np.full(shape, float(FAR_DAYS)), np.full(shape, float(FAR_DAYS))
    rate = np.zeros(shape, dtype=int)
    lo[owner, place], hi[owner, place] = numbers(segments, "seg_lo"), numbers(segments, "seg_hi")
    rate[owner, place] = whole(segments, "rate")
    first_calver, target = whole(cows, "first_calver") == 1, numbers(cows, "target")
    herd_scores = HerdScores(
        group=whole(cows, "group"),
        score_cow=whole(scores, "cow"),
        score_day=numbers(scores, "day"),
        score=numbers(scores, "score"),
        score_session=whole(scores, "session"),
        seg_lo=lo,
        seg_hi=hi,
        seg_rate=rate,
        rate_class=whole(rates, "rate_class"),
        rate_mean=numbers(rates, "rate_mean"),
        calving_day=numbers(cows, "calving_day"),
        calving_sd=numbers(cows, "calving_sd"),
        target=target,
        calved=whole(cows, "calved") == 1,
        band=BAND,
        upper=np.where(first_calver, np.maximum(target + BAND, FIRST_CALVER_FAT), np.nan),
        session_scorer=whole(kinds["session"], "scorer"),
        score_grain=numbers(scores, "grain"),
        score_noise_sd=numbers(scores, "noise_sd"),
        days=np.array([-150.0, -48.0, 0.0, 30.0, 60.0]),
    )
    return herd_scores, CowFacts(
        last_score=numbers(cows, "last_score"),
        first_calver=first_calver,
        twins=whole(cows, "twins") == 1,
        vet_plan=whole(cows, "vet_plan") == 1,
        acted=whole(cows, "acted"),
    )
