"""Two people on twenty cows: agreement, weighted kappa against a reference library, and a scorer's own spread."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.inter_rater import cohens_kappa

from herdscore.domain.agreement import (
    Check,
    agreement,
    blind_score_of,
    checks_of,
    cows_to_check,
    keeping_blind,
    own_spreads,
    scores_of_check,
    weighted_kappa,
)
from herdscore.domain.changes import applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import BlindScore, Record, Score
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.scoring_entry import Entry
from tests.domain.herds import RULES, TODAY, assessed, cow, day, score

CRUSH = RULES.crush
QUARTERS = st.lists(st.tuples(st.integers(4, 20), st.integers(4, 20)), min_size=2, max_size=40)


def table(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """How often each pair of scores was given, over the whole scale in quarters."""
    counts = np.zeros((17, 17))
    np.add.at(counts, (np.rint(one * 4).astype(int) - 4, np.rint(two * 4).astype(int) - 4), 1)
    return counts


def listed(counts: list[list[int]]) -> tuple[np.ndarray, np.ndarray]:
    """The pairs behind a table of counts."""
    rows, columns = np.indices(np.shape(counts))
    times = np.ravel(counts)
    return np.repeat(rows.ravel(), times).astype(float), np.repeat(columns.ravel(), times).astype(float)


def test_that_weighted_kappa_is_that_of_a_published_table() -> None:
    # Hout, Duncan and Sobel 1987, 91 couples on a scale of four, as worked in Agresti, Categorical Data Analysis:
    # kappa with linear weights 0.237 (figure from memory; statsmodels gives the same).
    counts = [[7, 7, 2, 3], [2, 8, 3, 7], [1, 5, 4, 9], [2, 8, 9, 14]]
    assert weighted_kappa(*listed(counts), 1) == pytest.approx(0.237, abs=0.0005)
    for power, name in ((1, "linear"), (2, "quadratic")):
        assert weighted_kappa(*listed(counts), power) == pytest.approx(cohens_kappa(np.array(counts), wt=name).kappa)


def test_that_kappa_of_two_answers_is_the_plain_one() -> None:
    # 50 answers of two readers, 20 yes/yes, 5 yes/no, 10 no/yes, 15 no/no: 0.40 (encyclopedia, Cohen's kappa).
    counts = [[20, 5], [10, 15]]
    assert weighted_kappa(*listed(counts), 1) == pytest.approx(0.40)
    assert weighted_kappa(*listed(counts), 2) == pytest.approx(0.40)


@given(QUARTERS)
def test_that_weighted_kappa_is_that_of_statsmodels(pairs: list[tuple[int, int]]) -> None:
    one, two = np.array(pairs).T / 4
    for power, name in ((1, "linear"), (2, "quadratic")):
        ours = weighted_kappa(one, two, power)
        if len(set(one) | set(two)) == 1:
            assert np.isnan(ours)
        else:
            with np.errstate(divide="ignore", invalid="ignore"):  # it divides by a spread that may be 0
                theirs = cohens_kappa(table(one, two), wt=name).kappa
            assert ours == pytest.approx(theirs)


@given(QUARTERS)
def test_that_it_does_not_matter_who_is_first(pairs: list[tuple[int, int]]) -> None:
    one, two = np.array(pairs).T / 4
    there, back = agreement(one, two, CRUSH), agreement(two, one, CRUSH)
    assert there.difference == -back.difference
    same = replace(back, difference=there.difference, kappa_linear=there.kappa_linear)
    assert same == replace(there, kappa_quadratic=back.kappa_quadratic)
    for name in ("kappa_linear", "kappa_quadratic"):
        assert getattr(there, name) == pytest.approx(getattr(back, name), nan_ok=True)


SCORES = np.array([2.0, 2.25, 2.5, 2.75, 3.0] * 4)


def twenty(*off: float) -> tuple[np.ndarray, np.ndarray]:
    """Twenty cows, the second person off by so much on the first of them."""
    return SCORES, SCORES + np.array([*off, *[0.0] * (20 - len(off))])


@pytest.mark.parametrize(
    ("off", "passed", "within", "fine"),
    [
        ((), True, 1.0, True),
        ((0.75, -0.75), True, 0.9, True),  # 18 of 20 within half a score: just enough
        ((0.75, -0.75, 0.75), False, 0.85, True),
        ((0.5,) * 6, True, 1.0, True),  # mean difference 0.15: just enough
        ((0.5,) * 6 + (0.25,), False, 1.0, False),
        ((-0.5,) * 7, False, 1.0, False),
    ],
)
def test_that_a_pair_passes_within_half_a_score_on_nine_in_ten_and_0_15_on_the_mean(
    off: tuple[float, ...], passed: bool, within: float, fine: bool
) -> None:
    found = agreement(*twenty(*off), CRUSH)
    assert (found.passed, found.within, found.difference_is_fine) == (passed, pytest.approx(within), fine)
    assert found.difference == pytest.approx(sum(off) / 20)


def test_that_nineteen_cows_are_not_enough_and_a_cow_left_out_by_one_does_not_count() -> None:
    one, two = twenty()
    two[3] = np.nan
    found = agreement(one, two, CRUSH)
    assert (found.cows, found.enough, found.passed, found.same) == (19, False, False, 1.0)


def test_that_no_cow_says_nothing() -> None:
    found = agreement(np.empty(0), np.empty(0), CRUSH)
    assert (found.cows, found.passed) == (0, False)
    assert np.isnan([found.same, found.within, found.difference, found.furthest, found.kappa_linear]).all()


# In the herd file

COWS = [cow(f"{k:04d}", 100) for k in range(40)]


def blind(of: int, who: str, value: float, ahead: int = 0) -> BlindScore:
    quarters = round(value * 4)
    return BlindScore(f"{of}{who}{ahead}", COWS[of].id, day(ahead), who, quarters, quarters, quarters)


def checked(differences: list[float], who: tuple[str, str] = ("Ann", "Ben")) -> list[BlindScore]:
    return [one for k, off in enumerate(differences) for one in (blind(k, who[0], 2.5), blind(k, who[1], 2.5 + off))]


def herd(*more: Record) -> Snapshot:
    return Snapshot.from_records([*COWS, *more])


def test_that_a_check_is_found_again_with_its_scores() -> None:
    snapshot = herd(
        *checked([0.25, 0.0, -0.5]), blind(7, "Ann", 3.0), blind(1, "Cara", 2.0, -9), blind(1, "Ann", 2.0, -9)
    )
    assert checks_of(snapshot) == [Check(TODAY, "Ann", "Ben", 3), Check(day(-9), "Ann", "Cara", 1)]
    cows, one, two = scores_of_check(snapshot, TODAY, "ann", " BEN")
    assert snapshot.cows.tag[cows].tolist() == ["0000", "0001", "0002", "0007"]
    assert one.tolist() == [2.5, 2.5, 2.5, 3.0]
    assert two[:3].tolist() == [2.75, 2.5, 2.0]
    assert np.isnan(two[3])
    assert agreement(one, two, CRUSH).cows == 3


def test_that_a_second_blind_score_replaces_and_stays_apart_from_the_scores_of_the_herd() -> None:
    entry = Entry(COWS[0].id, (10, 11, None))
    snapshot = herd(blind(0, "Ann", 2.0), blind(0, "Ben", 2.0))
    made = blind_score_of(entry, TODAY, "ANN")
    after = applied(snapshot, keeping_blind(snapshot, made))
    assert len(after.blind_scores) == 2
    assert made in after.records("blind_scores")
    assert len(after.scores) == 0
    mended = replace(made, loin=12)
    again = applied(after, keeping_blind(after, mended))
    assert mended in again.records("blind_scores")
    assert len(again.blind_scores) == 2


def test_that_twenty_cows_are_drawn_by_lot_and_the_same_for_one_seed() -> None:
    among = np.zeros(60, dtype=bool)
    among[10:50] = True
    drawn = cows_to_check(among, CRUSH, seed=3)
    assert len(set(drawn.tolist())) == CRUSH.check_cows
    assert among[drawn].all()
    assert (
        drawn.tolist() == cows_to_check(among, CRUSH, seed=3).tolist() != cows_to_check(among, CRUSH, seed=4).tolist()
    )
    few = np.zeros(60, dtype=bool)
    few[:7] = True
    assert cows_to_check(few, CRUSH, seed=1).tolist() == list(range(7))


# A scorer's own spread


def test_that_a_scorers_own_spread_is_worked_out_beside_the_models() -> None:
    differences = [0.5, -0.5, 0.25, 0.0] * 5
    found = own_spreads(herd(*checked(differences)), RULES.model, CRUSH)
    # sqrt((30 x 0.22^2 + sum of squares / 2) / (30 + 20)): 5 x 0.5625 / 2 = 1.40625; worked out here.
    wanted = np.sqrt((30 * 0.22**2 + 1.40625) / 50)
    assert found == {"ann": pytest.approx(wanted), "ben": pytest.approx(wanted)}
    assert own_spreads(herd(), RULES.model, CRUSH) == {}


def switched_on() -> Rulebook:
    rules, problems = RULES.with_settings({"Scorers' own spread (1 on, 0 off)": "1"})
    assert not problems
    return rules


def test_that_it_feeds_the_model_only_when_the_herd_says_so() -> None:
    seen = score(COWS[0], 0, 2.0, scorer="Ann")
    rows = [*COWS, seen, score(COWS[1], 0, 2.0, scorer="Cara"), *checked([0.75, -0.75] * 10)]
    off, on = assessed(rows), assessed(rows, rules=switched_on())
    bare = assessed([row for row in rows if not isinstance(row, BlindScore)], rules=switched_on())
    assert np.isnan(off.sessions.noise_sd).all()
    ann, cara = on.snapshot.cow_place[COWS[0].id], on.snapshot.cow_place[COWS[1].id]
    by_cow = dict(zip(on.sessions.cow.tolist(), on.sessions.noise_sd.tolist(), strict=True))
    spread = own_spreads(on.snapshot, RULES.model, CRUSH)["ann"]
    assert by_cow[ann] == pytest.approx(np.hypot(spread, on.sessions.grain[0] / np.sqrt(12)))
    assert np.isnan(by_cow[cara])
    assert on.course.today_sd[ann] > off.course.today_sd[ann]
    assert bare.course.today_sd[ann] == off.course.today_sd[ann]


def test_that_a_score_by_eye_and_one_site_alone_keep_their_noise() -> None:
    eye = Score("eye", COWS[0].id, TODAY, 10, 10, 10, by_eye=True, scorer="Ann")
    one_site = Score("one", COWS[1].id, TODAY, 10, scorer="Ann")
    on = assessed([*COWS, eye, one_site, *checked([1.0] * 20)], rules=switched_on())
    assert sorted(on.sessions.noise_sd.tolist()) == [RULES.model.one_site_sd, RULES.model.by_eye_sd]
