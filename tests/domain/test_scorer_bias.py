"""How far each scorer is from the cows' condition."""

from __future__ import annotations

import numpy as np
import pytest

from herdscore.domain.records import BY_HAND, SPRING, Cow, Record, Score
from herdscore.domain.scorer_bias import scorer_biases
from tests.domain.recorded_herds import ahead, assessed


def two_scorers(over: int, cows: int = 30) -> list[Record]:
    """A herd scored three times by R. T. and, a week after each, by L. M., who scores so many quarters higher."""
    rng = np.random.default_rng(5)
    herd = [
        Cow(f"c{n}", f"{n:04d}", season=SPRING, calvings=3, calving_date=ahead(90), date_from=BY_HAND)
        for n in range(cows)
    ]
    level = np.round(rng.normal(11, 1.2, cows)).astype(int)
    made: list[Record] = list(herd)
    for day in (-120, -70, -20):
        for n, cow in enumerate(herd):
            made.append(Score(f"r{n}{day}", cow.id, ahead(day), *[int(level[n])] * 3, scorer="R. T."))
            made.append(Score(f"l{n}{day}", cow.id, ahead(day + 7), *[int(level[n]) + over] * 3, scorer="L. M."))
    return [*made, Score("last", "c0", ahead(-1), 11, 11, 11, scorer="R. T.")]


@pytest.mark.parametrize("over", [-1, 0, 1, 2])
def test_that_a_scorer_who_scores_higher_is_told_so_against_the_reference(over: int) -> None:
    reference, other = scorer_biases(assessed(*two_scorers(over)))
    assert (reference.name, reference.is_reference) == ("R. T.", True)
    assert (other.name, other.sessions, other.scores) == ("L. M.", 3, 90)
    # Worked out here: of the difference between the two, most is put down to the one who is not the reference.
    difference = over / 4
    assert other.bias - reference.bias == pytest.approx(difference, abs=0.06)
    assert abs(reference.bias) <= abs(other.bias) + 0.02
    assert 0 < other.spread < 0.3


def test_that_a_bias_is_the_mean_over_scores_and_its_spread_that_of_the_mean() -> None:
    a = assessed(*two_scorers(1))
    _, other = scorer_biases(a)
    mine = np.flatnonzero(a.sessions.session_scorer == 1)
    count = np.bincount(a.scores.score_session, minlength=len(a.sessions.session_day))[mine]
    assert other.bias == pytest.approx(np.average(a.course.session_bias[mine], weights=count))
    first = len(a.course.line.prior) - len(a.sessions.session_day)
    covariance = a.course.line.root.T @ a.course.line.root
    weight = count / count.sum()
    part = covariance[np.ix_(first + mine, first + mine)]
    assert other.spread == pytest.approx(float(np.sqrt(weight @ part @ weight)))


def test_that_scores_without_a_name_count_as_the_reference_and_none_at_all_as_nobody() -> None:
    cow = Cow("c", "1", season=SPRING, calvings=3, calving_date=ahead(90), date_from=BY_HAND)
    (only,) = scorer_biases(assessed(cow, Score("s", "c", ahead(-3), 10, 10, 10)))
    assert (only.name, only.is_reference, only.scores) == (None, True, 1)
    assert scorer_biases(assessed(cow)) == ()
    assert scorer_biases(assessed()) == ()
