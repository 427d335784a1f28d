"""Last season's projections looked back on: on simulated herds whose truth is known, by hand, and in odd states."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest

from herdscore.domain.assess import assess
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK
from herdscore.domain.herd import Snapshot
from herdscore.domain.looking_back import Held, known_on, last_season, look_back
from herdscore.domain.records import (
    AUTUMN,
    BY_HAND,
    GRASS,
    SPRING,
    WINTER_FEED,
    Calving,
    Cow,
    Diet,
    Move,
    Record,
    Score,
)
from herdscore.domain.season_outcomes import outcomes_of
from herdscore.domain.trajectory import path, project
from tests.domain.recorded_herds import RULES, TODAY, ahead, assessed
from tests.domain.season_herds import SEASONS_TODAY, three_seasons
from tests.domain.simulator import SimulatedHerd, simulate


def held_of(*records: Record, block: int, today: date) -> Held | None:
    a = assessed(*records, today=today)
    return look_back(a, outcomes_of(a.snapshot, a.rulebook, a.today), block)


# Herds whose truth is known


def as_records(herd: SimulatedHerd, rng: np.random.Generator) -> tuple[list[Record], int, date]:
    """A simulated herd as a farm would have written it down, each cow felt on the day she calved.

    A cow moves to another pen when her feed changes, so that each pen has one diet, as the simulation has it.
    """
    told = herd.scores
    spring = float(told.target[0]) == 2.5
    zero = date(2026, 1, 1) if spring else date(2026, 6, 20)
    kinds = (WINTER_FEED, GRASS, WINTER_FEED) if spring else (GRASS, WINTER_FEED, GRASS)
    made: list[Record] = []
    for i, g in enumerate(told.group.tolist()):
        made.append(Cow(f"c{i}", f"{i:04d}", season=SPRING if spring else AUTUMN, group=f"pen {g} 2", calvings=4))
        for day in (int(told.seg_lo[i, 1]), int(told.calving_day[i])):
            made.append(Calving(f"k{i}{day}", f"c{i}", zero + timedelta(days=day)))
        for pen, day in enumerate((-600, int(told.seg_lo[i, 1]), int(told.seg_lo[i, 3]))):
            made.append(Move(f"m{i}{pen}", f"c{i}", zero + timedelta(days=day), f"pen {g} {pen}"))
    for g in range(int(told.group.max()) + 1):
        for pen, kind in enumerate(kinds):
            made.append(Diet(f"d{g}{pen}", f"pen {g} {pen}", zero - timedelta(days=600), kind))
    for row in range(len(told.score)):
        quarters = round(float(told.score[row]) * 4)
        day = zero + timedelta(days=int(told.score_day[row]))
        made.append(Score(f"s{row}", f"c{told.score_cow[row]}", day, score=quarters, scorer="R. T."))
    bias = {day: 0.12 * rng.standard_normal() for day in np.unique(told.calving_day).tolist()}
    for i, truth in enumerate(herd.truth.tolist()):
        day = float(told.calving_day[i])
        felt = float(np.clip(round((truth + bias[day] + 0.22 * rng.standard_normal()) * 4), 4, 20))
        when = zero + timedelta(days=int(day))
        made.append(Score(f"t{i}", f"c{i}", when, score=int(felt), scorer="R. T."))
    return made, SPRING_BLOCK if spring else AUTUMN_BLOCK, zero + timedelta(days=170)


def test_that_nine_bands_in_ten_hold_over_simulated_herds_of_known_truth() -> None:
    rng = np.random.default_rng(11)
    count = of = bare = 0
    misses, carried, missed_truth = [], [], []
    for n in range(16):
        herd = simulate(2026, n)
        records, block, today = as_records(herd, rng)
        held = held_of(*records, block=block, today=today)
        assert held is not None
        count, of, bare = count + held.inside.count, of + held.inside.of, bare + held.inside_bare.count
        misses.append(held.miss * held.inside.of)
        carried.append(held.miss_of_last * held.inside.of)
        missed_truth += np.abs(herd.truth[held.rows.cow] - held.rows.mean).tolist()
    assert of > 1000
    # Worked out here: over 40 of these herds 88 of 100 bands hold; in the trial the model's own held for 88 to 92.
    assert 0.85 < count / of < 0.95
    assert bare < count
    assert sum(misses) < 0.8 * sum(carried)
    # The mean miss is of a felt score, so it is somewhat larger than the miss of the cow's true condition.
    assert np.mean(missed_truth) < sum(misses) / of < np.mean(missed_truth) + 0.15


@pytest.mark.parametrize("number", [0, 1, 4])
def test_that_the_herd_as_it_was_known_is_projected_as_the_model_would_have(number: int) -> None:
    """The model told of the simulated herd itself, and of its records read back on the day of its last score."""
    herd = simulate(2026, number)
    records, _, today = as_records(herd, np.random.default_rng(1))
    zero = today - timedelta(days=170)
    then = assess(known_on(Snapshot.from_records(records), np.datetime64(zero, "D")), RULES, zero)
    wanted = project(herd.scores, RULES.model)
    scored = wanted.n_scores > 0
    assert np.abs(then.course.mean - wanted.mean)[scored].max() < 1e-9
    assert (then.course.n_scores == wanted.n_scores).all()


def test_that_a_row_says_what_was_projected_for_the_day_she_was_felt() -> None:
    records, block, today = as_records(simulate(2026, 1), np.random.default_rng(1))
    held = held_of(*records, block=block, today=today)
    assert held is not None
    last = int(np.argmax(held.rows.as_of))
    day = today + timedelta(days=int(held.rows.as_of[last]))
    then = assess(known_on(Snapshot.from_records(records), np.datetime64(day, "D")), RULES, day)
    ahead_days = np.array([held.rows.felt_day[last] - held.rows.as_of[last]])
    mean, sd = path(then.scores, RULES.model, then.course, held.rows.cow[last : last + 1], ahead_days)
    assert held.rows.mean[last] == pytest.approx(float(mean[0, 0]))
    assert held.rows.sd[last] == pytest.approx(float(sd[0, 0]))
    # One overall score in quarters: its own 0.22, the rounding of a quarter, and the 0.12 of its day.
    assert held.rows.rough[last] == pytest.approx(math.sqrt(0.22**2 + 0.25**2 / 12 + 0.12**2))


# By hand


def one_cow(felt_at: int | None = 10, scored_before: bool = True, status: str = "in herd") -> list[Record]:
    """A cow that calved on 1 May 2026: scored before the day looked from (56 days), after it, and about calving."""
    day = date(2026, 5, 1)
    made: list[Record] = [
        Cow("c", "0001", season=SPRING, calvings=3, calving_date=date(2027, 5, 1), date_from=BY_HAND, status=status),
        Calving("k", "c", day),
        Diet("d", "none", day, GRASS),
    ]
    if scored_before:
        made += [Score(f"b{n}", "c", day - timedelta(days=n), 10, 10, 10) for n in (90, 85)]
        made.append(Score("later", "c", day - timedelta(days=50), 14, 14, 14))
    if felt_at is not None:
        made.append(Score("t", "c", day - timedelta(days=2), felt_at, felt_at, felt_at))
    return made


def test_that_only_scores_up_to_the_day_looked_from_count() -> None:
    with_later = held_of(*one_cow(), block=SPRING_BLOCK, today=TODAY)
    without = held_of(*[r for r in one_cow() if getattr(r, "id", "") != "later"], block=SPRING_BLOCK, today=TODAY)
    assert with_later is not None
    assert without is not None
    assert with_later.rows.mean.tolist() == without.rows.mean.tolist()
    assert with_later.rows.as_of[0] == (date(2026, 5, 1) - TODAY).days - 56
    assert with_later.rows.last.tolist() == [2.5]
    assert with_later.ahead == 54


def test_that_a_felt_score_far_off_is_a_band_that_did_not_hold() -> None:
    near, far = (held_of(*one_cow(q), block=SPRING_BLOCK, today=TODAY) for q in (10, 20))
    assert near is not None
    assert far is not None
    assert (near.inside.count, near.inside.of, far.inside.count, far.inside.of) == (1, 1, 0, 1)
    assert far.miss == pytest.approx(5.0 - float(far.rows.mean[0]))
    assert far.lean > 0


def test_that_a_cow_sold_since_is_looked_back_on_all_the_same() -> None:
    sold = held_of(*one_cow(status="sold"), block=SPRING_BLOCK, today=TODAY)
    kept = held_of(*one_cow(), block=SPRING_BLOCK, today=TODAY)
    assert sold is not None
    assert kept is not None
    assert sold.rows.mean.tolist() == kept.rows.mean.tolist()


def test_that_what_cannot_be_looked_back_on_is_counted_and_not_guessed() -> None:
    unfelt = held_of(*one_cow(felt_at=None, scored_before=False), block=SPRING_BLOCK, today=TODAY)
    unscored = held_of(*one_cow(scored_before=False), block=SPRING_BLOCK, today=TODAY)
    assert unfelt is not None
    assert unscored is not None
    assert (unfelt.calvings, unfelt.unscored_at, unfelt.unscored_before) == (1, 1, 0)
    assert (unscored.calvings, unscored.unscored_at, unscored.unscored_before) == (1, 0, 1)
    assert unscored.inside.of == 0
    assert math.isnan(unscored.miss)


def test_that_a_herd_without_an_earlier_season_has_nothing_to_look_back_on() -> None:
    heifer = Cow("h", "1", season=SPRING, calvings=0, calving_date=ahead(80), date_from=BY_HAND)
    for records in ([], [heifer], [heifer, Score("s", "h", ahead(-5), 10, 10, 10)]):
        assert held_of(*records, block=SPRING_BLOCK, today=TODAY) is None
        assert held_of(*records, block=AUTUMN_BLOCK, today=TODAY) is None


def test_that_a_season_counts_as_the_last_once_half_of_it_has_calved() -> None:
    records = three_seasons(cows=40)
    calved = sorted(r.calving_date for r in records if isinstance(r, Cow) and r.calving_date)
    for share, year in ((0.2, 2026), (0.7, 2027)):
        today = calved[int(len(calved) * share)]
        now = [Calving(f"n{r.id}", r.id, r.calving_date) for r in records if isinstance(r, Cow) and r.calving_date]
        a = assessed(*records, *[k for k in now if k.day <= today], today=today)
        assert last_season(a, outcomes_of(a.snapshot, a.rulebook, a.today), SPRING_BLOCK) == year


def test_that_every_look_lies_within_the_days_of_the_rules_and_few_are_needed() -> None:
    held = held_of(*three_seasons(), block=SPRING_BLOCK, today=SEASONS_TODAY)
    assert held is not None
    before = held.rows.calved - held.rows.as_of
    assert (before >= 56).all()
    assert (before <= 80).all()
    assert len(np.unique(held.rows.as_of)) <= 5
    assert held.inside.of + held.unscored_at + held.unscored_before == held.calvings


def test_that_the_herd_as_it_was_known_gives_back_what_has_happened_since() -> None:
    a = assessed(*one_cow(status="sold"), today=TODAY)
    then = known_on(a.snapshot, np.datetime64("2026-03-01"))
    assert then.cows.status.tolist() == ["in herd"]
    assert then.cows.calvings.tolist() == [2.0]
    assert then.cows.calving_date.astype(str).tolist() == ["2026-05-01"]
    after = known_on(a.snapshot, np.datetime64("2026-06-01"))
    assert after.cows.status.tolist() == ["sold"]
    assert after.cows.calvings.tolist() == [3.0]
