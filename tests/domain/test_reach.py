"""What gentle feeding can still do: the worked-out rows, and a plain day-by-day loop on random herds."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.herd_scores import FAR_DAYS, HerdScores
from herdscore.domain.reach import CowFacts, Reach, reach
from herdscore.domain.rulebook import Limits
from herdscore.domain.trajectory import Trajectories, project
from tests.domain.simulator import shipped_parameters, simulate
from tests.domain.small_herds import BAND, FIRST_CALVER_FAT, one_cow, shipped_limits

PARAMS = shipped_parameters()
LIMITS = shipped_limits()
NAN = np.nan


def reach_of(course: Trajectories, scores: HerdScores, facts: CowFacts, limits: Limits = LIMITS) -> Reach:
    return reach(course, scores, facts, PARAMS, limits, flag_above=0.50, keep_above=0.40)


def drawn_cow(
    side: int,
    target: float,
    calving: tuple[float, float],
    score_now: float,
    rate: float,
    *,
    then: tuple[float, float] | None = None,
    last_score: float = NAN,
    first_calver: bool = False,
    twins: bool = False,
    vet_plan: bool = False,
    kept: bool = False,
) -> tuple[Trajectories, HerdScores, CowFacts]:
    """One cow on a drawn curve: her score now, her rate, and (day, rate) of a change ahead; spread now 0.2."""
    lo, hi, rates = np.array([[-1e5, 1e5]]), np.array([[1e5, 1e5]]), np.array([[rate, 0.0]])
    if then is not None:
        lo, hi, rates = np.array([[-1e5, then[0]]]), np.array([[then[0], 1e5]]), np.array([[rate, then[1]]])
    upper = max(target + BAND, FIRST_CALVER_FAT) if first_calver else NAN
    scores = replace(
        one_cow((score_now, 0, 0), calving=calving[0], spread=calving[1], target=target),
        seg_lo=lo,
        seg_hi=hi,
        seg_rate=np.zeros((1, 2), dtype=int),
        upper=np.array([upper]),
    )
    chance = 0.45 if kept else 0.8
    course = replace(
        project(scores, PARAMS),
        today_sd=np.array([0.2]),
        curve_level=np.array([score_now]),
        curve_wander=np.zeros(1),
        curve_rate=rates,
        p_below=np.array([chance if side < 0 else 0.1]),
        p_above=np.array([chance if side > 0 else 0.1]),
    )
    facts = CowFacts(
        last_score=np.array([last_score]),
        first_calver=np.array([first_calver]),
        twins=np.array([twins]),
        vet_plan=np.array([vet_plan]),
        acted=np.array([side if kept else 0]),
    )
    return course, scores, facts


# latest, act_by, part_way, fan_lo, fan_hi, expected_rate, wanted_rate, p_reach; worked out here by a day-by-day loop.
DRAWN = {
    "thin, time in hand": (
        drawn_cow(-1, 2.5, (120, 5), 2.0, -0.005),
        [36, 31, 0, 2.0, 2.7417, -0.005, 0.005618, 0.9929],
    ),
    "thin, soon": (drawn_cow(-1, 2.5, (90, 6), 2.0, -0.005), [18, 12, 0, 2.0, 2.4917, -0.005, 0.008333, 0.8865]),
    "thin, part way": (
        drawn_cow(-1, 2.5, (70, 6), 1.75, -0.005),
        [NAN, 0, 1, 1.75, 2.0750, -0.005, 0.008333, 0.1908],
    ),
    "fat, time in hand": (
        drawn_cow(1, 3.0, (100, 6), 3.25, 0.005),
        [34, 28, 0, 2.9050, 3.8250, 0.005, -0.003623, 0.9577],
    ),
    "fat, part way": (
        drawn_cow(1, 3.0, (75, 15.5), 3.75, 0.005),
        [NAN, 0, 1, 3.5300, 4.1167, 0.005, -0.005, 0.0808],
    ),
    "heading fat, last score 2.5": (
        drawn_cow(1, 2.5, (110, 5), 2.6, 0.005, last_score=2.5),
        [30, 25, 0, 2.6, 3.2583, 0.005, 0, 0.7734],
    ),
    "heading fat, first-calver": (
        drawn_cow(1, 2.5, (120, 5), 3.0, 0.005, first_calver=True),
        [50, 45, 0, 3.0, 3.7417, 0.005, 0, 0.8944],
    ),
    "thin, housing ahead": (
        drawn_cow(-1, 2.5, (115, 10), 2.6, 0.005, then=(12, -0.005)),
        [59, 49, 0, 2.18, 3.3, -0.003957, -0.001190, 0.9978],
    ),
    "fat, turnout ahead, twins": (
        drawn_cow(1, 2.5, (120, 5), 2.9, -0.005, then=(50, 0.005), twins=True),
        [64, 59, 0, 2.9, 3.6417, 0.000833, 0, 0.2266],
    ),
    "very fat, vet's plan": (
        drawn_cow(1, 3.0, (144, 8), 3.8, -0.003, last_score=4.0, vet_plan=True),
        [7, 0, 0, 3.2350, 4.7417, -0.003, -0.005, 0.5299],
    ),
    "kept thin": (
        drawn_cow(-1, 2.5, (120, 5), 2.2, 0.004, kept=True),
        [64, 59, 0, 2.2, 2.9417, 0.004, 0.004, 0.9967],
    ),
    "kept fat": (
        drawn_cow(1, 3.0, (120, 5), 3.4, -0.006, kept=True),
        [64, 59, 0, 2.9550, 4.1417, -0.006, -0.006, 0.9299],
    ),
    "kept fat, losing fast": (
        drawn_cow(1, 2.5, (100, 6), 2.9, -0.01, kept=True),
        [44, 38, 0, 2.5550, 3.4750, -0.01, -0.008929, 0.8352],
    ),
    "very fat, no vet's plan": (
        drawn_cow(1, 3.0, (130, 6), 4.25, -0.004),
        [NAN, 0, 1, 4.25, 5.0, -0.004, -0.004, 0.0],
    ),
}


@pytest.mark.parametrize("case", DRAWN)
def test_that_a_drawn_cow_gets_her_worked_out_reach(case: str) -> None:
    (course, scores, facts), (latest, act_by, part_way, fan_lo, fan_hi, expected, wanted, p_reach) = DRAWN[case]
    found = reach_of(course, scores, facts)
    whole = [found.latest[0], found.act_by[0], found.part_way[0]]
    np.testing.assert_array_equal(whole, [latest, act_by, part_way])
    close = [found.fan_lo[0], found.fan_hi[0], found.p_reach[0]]
    np.testing.assert_allclose(close, [fan_lo, fan_hi, p_reach], rtol=0, atol=5.1e-5)
    np.testing.assert_allclose([found.expected_rate[0], found.wanted_rate[0]], [expected, wanted], rtol=0, atol=5.1e-7)


def plain_side(p_below: float, p_above: float, acted: int) -> int:
    if p_below > 0.50:
        return -1
    if p_above > 0.50:
        return 1
    if acted == -1 and p_below >= 0.40:
        return -1
    if acted == 1 and p_above >= 0.40:
        return 1
    return 0


def plain_reach(course: Trajectories, scores: HerdScores, facts: CowFacts, cow: int) -> dict[str, float]:
    """Reach of one open cow from its wording: every day by itself, no arrays."""
    d, spread, target = int(scores.calving_day[cow]), scores.calving_sd[cow], scores.target[cow]
    lower, upper = target - BAND, scores.upper_edge[cow]

    def condition(day: float) -> float:
        value = course.curve_level[cow] + course.curve_wander[cow] * math.exp(-day / PARAMS.wander_memory_days)
        for lo, hi, rate in zip(scores.seg_lo[cow], scores.seg_hi[cow], course.curve_rate[cow], strict=True):
            value += max(0.0, min(day, hi) - max(0.0, lo)) * rate
        return float(value)

    now, last = condition(0), facts.last_score[cow]
    seen = [now] if np.isnan(last) else [now, last]
    never = facts.first_calver[cow] or facts.twins[cow] or min(seen) <= 2.5
    never = bool(never or (max(seen) >= 4.0 and not facts.vet_plan[cow]))
    up, down, down_own = 0.5 / 60, 0.5 / 100, 0.0 if never else 0.5 / 100
    window = d - 31
    found = {"never_slimmed": float(never), "expected_rate": (condition(d) - now) / d}
    found["fan_lo"] = min(5.0, max(1.0, now - down_own * window))
    found["fan_hi"] = min(5.0, max(1.0, now + up * window))
    sd = course.today_sd[cow] * math.sqrt(2)
    above, below = (upper + down_own * window - now) / sd, (lower - up * window - now) / sd
    found["p_reach"] = 0.5 * (math.erf(above) - math.erf(below))
    side = plain_side(course.p_below[cow], course.p_above[cow], int(facts.acted[cow]))
    found["side"] = side
    if side == 0:
        return found | {"latest": NAN, "act_by": NAN, "part_way": NAN, "wanted_rate": NAN}
    latest = NAN
    for start in range(d - 56 + 1):
        left = max(0, d - 31 - start)
        thin_reaches = condition(start) + up * left >= lower - 1e-9
        fat_reaches = condition(start) - down_own * left <= upper + 1e-9
        if thin_reaches if side < 0 else fat_reaches:
            latest = float(start)
    found["latest"] = latest
    found["part_way"] = float(math.isnan(latest))
    found["act_by"] = 0.0 if math.isnan(latest) else float(max(0, math.floor(latest - spread)))
    rate = min(up, max(-down, (target - now) / window))
    if side < 0:
        wanted = max(rate, min(found["expected_rate"], 0.5 / 42))
    elif never:
        wanted = min(0.0, max(-down, found["expected_rate"]))
    else:
        wanted = min(rate, max(found["expected_rate"], -0.5 / 56))
    return found | {"wanted_rate": wanted}


def random_facts(scores: HerdScores, rng: np.random.Generator) -> CowFacts:
    cows = len(scores.group)
    return CowFacts(
        last_score=np.where(rng.random(cows) < 0.2, NAN, np.round(rng.uniform(1.5, 4.5, cows) * 4) / 4),
        first_calver=rng.random(cows) < 0.2,
        twins=rng.random(cows) < 0.1,
        vet_plan=rng.random(cows) < 0.3,
        acted=rng.integers(-1, 2, cows),
    )


def with_wild_curves(seed: int, cows: int) -> tuple[Trajectories, HerdScores, CowFacts]:
    """A herd whose curves are drawn out of the air: four segments, some ahead, any calving date and chance."""
    rng = np.random.default_rng(seed)
    herd = simulate(seed, 0).scores
    cows = min(cows, len(herd.group))
    keep = np.isin(herd.score_cow, np.arange(cows))
    cuts = np.sort(rng.integers(-60, 160, (cows, 3)), axis=1).astype(float)
    far = np.full((cows, 1), float(FAR_DAYS))
    scores = replace(
        herd,
        group=herd.group[:cows],
        score_cow=herd.score_cow[keep],
        score_day=herd.score_day[keep],
        score=herd.score[keep],
        score_session=herd.score_session[keep],
        seg_lo=np.concatenate([-far, cuts], axis=1),
        seg_hi=np.concatenate([cuts, far], axis=1),
        seg_rate=herd.seg_rate[:cows],
        calving_day=rng.integers(40, 165, cows).astype(float),
        calving_sd=rng.choice([0.0, 5.0, 5.5, 6.0, 15.5], cows),
        target=rng.choice([2.5, 3.0], cows),
        calved=herd.calved[:cows],
        upper=np.where(rng.random(cows) < 0.2, 3.25, NAN),
    )
    below = rng.random(cows)
    course = replace(
        project(scores, PARAMS),
        curve_level=rng.uniform(1.2, 4.8, cows),
        curve_wander=rng.normal(0, 0.2, cows),
        curve_rate=rng.normal(0, 0.008, (cows, 4)),
        p_below=below,
        p_above=(1 - below) * rng.random(cows),
    )
    return course, scores, random_facts(scores, rng)


def assert_like_the_loop(course: Trajectories, scores: HerdScores, facts: CowFacts) -> None:
    found = reach_of(course, scores, facts)
    for cow in range(len(scores.group)):
        if course.status[cow] != 0 or not 56 <= scores.calving_day[cow] <= 150:
            blank = (found.latest, found.act_by, found.part_way, found.fan_lo, found.fan_hi, found.p_reach)
            assert np.isnan([value[cow] for value in (*blank, found.expected_rate, found.wanted_rate)]).all()
            continue
        for name, value in plain_reach(course, scores, facts, cow).items():
            within = 0.0 if name in ("side", "latest", "act_by", "part_way", "never_slimmed") else 1e-9
            np.testing.assert_allclose(getattr(found, name)[cow], value, rtol=0, atol=within, err_msg=name)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 2**31), st.integers(1, 40))
def test_that_wild_curves_are_judged_as_by_a_day_by_day_loop(seed: int, cows: int) -> None:
    assert_like_the_loop(*with_wild_curves(seed, cows))


@pytest.mark.parametrize("number", range(4))
def test_that_projected_herds_are_judged_as_by_a_day_by_day_loop(number: int) -> None:
    scores = simulate(11, number).scores
    assert_like_the_loop(project(scores, PARAMS), scores, random_facts(scores, np.random.default_rng(number)))


def test_that_a_herd_of_many_cows_is_judged_as_her_cows_one_by_one() -> None:
    # More cows than are looked at together in one block.
    course, scores, facts = drawn_cow(-1, 2.5, (120, 5), 2.0, -0.005)
    many = 5000
    calving = np.arange(many) % 95 + 56.0

    def repeat(value: object) -> object:
        return np.repeat(value, many, axis=0) if isinstance(value, np.ndarray) and len(value) == 1 else value

    names = ("group", "seg_lo", "seg_hi", "seg_rate", "calving_sd", "target", "calved", "upper")
    herd = replace(scores, calving_day=calving, **{name: repeat(getattr(scores, name)) for name in names})
    courses = replace(course, **{name: repeat(value) for name, value in vars(course).items()})
    found = reach_of(courses, herd, CowFacts(**{name: repeat(value) for name, value in vars(facts).items()}))
    alone = [reach_of(course, replace(scores, calving_day=np.array([day])), facts) for day in np.arange(56.0, 151.0)]
    expected = np.array([one.latest[0] for one in alone])[np.arange(many) % 95]
    np.testing.assert_array_equal(found.latest, expected)


@pytest.mark.parametrize(("chance", "acted", "side"), [(0.51, 0, -1), (0.50, 0, 0), (0.40, -1, -1), (0.39, -1, 0)])
def test_that_a_side_is_taken_above_a_half_and_kept_down_to_two_in_five(chance: float, acted: int, side: int) -> None:
    course, scores, facts = drawn_cow(-1, 2.5, (120, 5), 2.3, -0.001)
    course, facts = replace(course, p_below=np.array([chance])), replace(facts, acted=np.array([acted]))
    assert reach_of(course, scores, facts).side[0] == side


@pytest.mark.parametrize(("chance", "acted", "side"), [(0.51, 0, 1), (0.50, 0, 0), (0.40, 1, 1), (0.39, 1, 0)])
def test_that_the_fat_side_has_the_same_two_thresholds(chance: float, acted: int, side: int) -> None:
    course, scores, facts = drawn_cow(1, 2.5, (120, 5), 2.7, 0.001)
    course, facts = replace(course, p_above=np.array([chance])), replace(facts, acted=np.array([acted]))
    assert reach_of(course, scores, facts).side[0] == side


def test_that_a_cow_never_scored_is_never_given_a_side() -> None:
    scores = replace(one_cow(calving=90), target=np.array([3.5]))
    course = project(scores, PARAMS)
    _, _, facts = drawn_cow(-1, 2.5, (120, 5), 2.3, -0.001)
    assert course.p_below[0] > 0.8
    found = reach_of(course, scores, facts)
    assert np.isnan([found.side[0], found.fan_lo[0], found.latest[0]]).all()


def test_that_a_longer_lead_ends_the_days_for_a_start_earlier() -> None:
    course, scores, facts = drawn_cow(-1, 2.5, (120, 5), 2.2, 0.004, kept=True)
    found = reach_of(course, scores, facts, replace(LIMITS, lead_days=84))
    assert found.latest[0] == 36
    assert np.isnan(
        reach_of(course, replace(scores, calving_day=np.array([80.0])), facts, replace(LIMITS, lead_days=84)).latest[0]
    )


def test_that_facts_and_limits_that_do_not_fit_are_refused() -> None:
    course, scores, facts = drawn_cow(-1, 2.5, (120, 5), 2.2, 0.004)
    with pytest.raises(ValueError, match="twins has shape"):
        reach_of(course, scores, replace(facts, twins=np.array([True, False])))
    with pytest.raises(ValueError, match="acted must be"):
        reach_of(course, scores, replace(facts, acted=np.array([2])))
    with pytest.raises(ValueError, match="lead must be longer"):
        reach_of(course, scores, facts, replace(LIMITS, lead_days=31))
