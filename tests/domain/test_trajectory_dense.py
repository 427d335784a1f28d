"""The trajectory model from its definition: one joint Gaussian of everything, with no algebra to save work."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.herd_scores import HerdScores
from herdscore.domain.rulebook import ModelParameters
from herdscore.domain.trajectory import project
from tests.domain.simulator import shipped_parameters
from tests.domain.small_herds import random_herd

PARAMS = shipped_parameters()
DAYS = np.array([-300.0, -90.0, -1.0, 0.0, 1.0, 45.0, 120.0])


def half_days_in(lo: float, hi: float, day: float) -> float:
    """Signed days between 0 and `day` inside a segment, counted half a day at a time."""
    middles = np.arange(0.25, abs(day), 0.5) * np.sign(day)
    return float(np.sign(day) * 0.5 * ((middles >= lo) & (middles < hi)).sum())


def dense_projection(herd: HerdScores, params: ModelParameters) -> dict[str, np.ndarray]:
    """The model from its definition: one joint Gaussian of all scores and all wanted values, conditioned at once.

    Rows are (cow, day, session or -1, segment or -1): a score, a condition, or the rate in a segment.
    """
    assert herd.session_scorer is not None
    assert herd.score_grain is not None
    assert herd.score_noise_sd is not None
    cells: dict[tuple[int, int], list[tuple[float, float, float]]] = {}
    for cow, session, day, score, grain, noise in zip(
        herd.score_cow,
        herd.score_session,
        herd.score_day,
        herd.score,
        herd.score_grain,
        herd.score_noise_sd,
        strict=True,
    ):
        rounding = params.default_grain if np.isnan(grain) else grain
        variance = params.score_sd**2 + rounding**2 / 12 if np.isnan(noise) else noise**2
        cells.setdefault((int(cow), int(session)), []).append((day, score, variance))
    rows = [(cow, float(np.mean([cell[0] for cell in told])), session, -1) for (cow, session), told in cells.items()]
    score = np.array([np.mean([cell[1] for cell in told]) for told in cells.values()])
    noise = np.array([np.mean([cell[2] for cell in told]) for told in cells.values()])
    calving = np.maximum(herd.calving_day, 0)
    cows = range(len(herd.group))
    rows += [(cow, float(day), -1, -1) for day in DAYS for cow in cows]
    rows += [(cow, float(calving[cow]), -1, -1) for cow in cows]
    rows += [(cow, 0.0, -1, int((herd.seg_hi[cow] <= calving[cow]).sum())) for cow in cows]
    rows += [(cow, 0.0, -1, int((herd.seg_hi[cow] <= 0).sum())) for cow in cows]

    spent = np.zeros((len(rows), herd.seg_lo.shape[1]))
    for number, (cow, day, _, segment) in enumerate(rows):
        if segment >= 0:
            spent[number, segment] = 1.0
            continue
        for place in range(spent.shape[1]):
            spent[number, place] = half_days_in(herd.seg_lo[cow, place], herd.seg_hi[cow, place], day)
    rate_mean = np.where(np.isnan(herd.rate_mean), np.array(params.class_means)[herd.rate_class], herd.rate_mean)
    mean = np.zeros(len(rows))
    cov = np.zeros((len(rows), len(rows)))
    for a, (cow, day, session, segment) in enumerate(rows):
        mean[a] = (segment < 0) * params.herd_level + spent[a] @ rate_mean[herd.seg_rate[cow]]
        for b, (other, other_day, other_session, other_segment) in enumerate(rows):
            value = 0.0
            if segment < 0 and other_segment < 0:
                value += params.herd_level_sd**2
                value += params.group_level_sd**2 * (herd.group[cow] == herd.group[other])
                if cow == other:
                    value += params.cow_level_sd**2
                    value += params.wander_sd**2 * np.exp(-abs(day - other_day) / params.wander_memory_days)
            if session >= 0 and other_session >= 0:
                scorer, other_scorer = herd.session_scorer[session], herd.session_scorer[other_session]
                value += params.day_bias_sd**2 * (session == other_session)
                value += params.scorer_bias_sd**2 * (scorer == other_scorer and scorer > 0)
            rate, other_rate = herd.seg_rate[cow], herd.seg_rate[other]
            kind, other_kind = herd.rate_class[rate], herd.rate_class[other_rate]
            shared = np.array(params.class_sds)[kind][:, None] ** 2 * (kind[:, None] == other_kind)
            own = params.group_rate_sd**2 * (rate[:, None] == other_rate)
            alone = params.cow_rate_sd**2 * np.eye(len(rate)) * (cow == other)
            cov[a, b] = value + spent[a] @ (shared + own + alone) @ spent[b]
    seen = len(score)
    told = cov[:seen, :seen] + np.diag(noise)
    weights = np.linalg.solve(told, cov[:seen, seen:])
    after = mean[seen:] + weights.T @ (score - mean[:seen])
    sd = np.sqrt(np.diag(cov[seen:, seen:] - cov[seen:, :seen] @ weights))
    count = len(herd.group)
    split = {"days": slice(0, -3 * count), "calving": slice(-3 * count, -2 * count)}
    split |= {"rate": slice(-2 * count, -count), "rate_today": slice(-count, None)}
    found = {name: after[part] for name, part in split.items()}
    return found | {name + "_sd": sd[part] for name, part in split.items()}


@settings(max_examples=40, deadline=None)
@given(
    st.builds(
        random_herd,
        seed=st.integers(0, 2**32),
        cows=st.integers(1, 4),
        groups=st.integers(1, 2),
        sessions=st.integers(1, 4),
        segments=st.integers(1, 3),
        most_scores=st.integers(1, 4),
    )
)
def test_that_the_fast_sums_agree_with_one_dense_joint_gaussian(herd: HerdScores) -> None:
    course, dense = project(replace(herd, days=DAYS), PARAMS), dense_projection(herd, PARAMS)
    shape = (len(DAYS), len(herd.group))
    np.testing.assert_allclose(course.days_mean.T, dense["days"].reshape(shape), rtol=0, atol=1e-9)
    np.testing.assert_allclose(course.days_sd.T, dense["days_sd"].reshape(shape), rtol=0, atol=1e-9)
    np.testing.assert_allclose(course.mean, np.clip(dense["calving"], 1, 5), rtol=0, atol=1e-9)
    for name in ("rate", "rate_today"):
        np.testing.assert_allclose(getattr(course, name), dense[name], rtol=0, atol=1e-10)
        np.testing.assert_allclose(getattr(course, name + "_sd"), dense[name + "_sd"], rtol=0, atol=1e-10)
    date = herd.calving_sd**2 * (dense["rate"] ** 2 + dense["rate_sd"] ** 2)
    np.testing.assert_allclose(course.sd**2, dense["calving_sd"] ** 2 + date, rtol=0, atol=1e-9)
