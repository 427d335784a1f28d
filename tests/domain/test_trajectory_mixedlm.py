"""The trajectory model beside an independent one: statsmodels' MixedLM (REML) on the same scores.

Group lines are fixed effects there; cow level, cow rate and session are variance components.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM, VCSpec

from herdscore.domain.herd_scores import Floats, HerdScores
from herdscore.domain.shared_line import days_in_segments
from herdscore.domain.trajectory import project
from tests.domain.simulator import shipped_parameters
from tests.domain.small_herds import BAND

GROUPS, COWS, SESSIONS, CHANGE = 2, 30, 6, -80.0
AHEAD = np.array([0.0, 40.0, 110.0])


def herd_of_two_groups(seed: int) -> HerdScores:
    """Two groups, a change of diet at -80, most cows scored in most sessions; unrounded."""
    rng = np.random.default_rng(seed)
    group = np.arange(COWS) % GROUPS
    lo, hi = np.tile([-1e5, CHANGE], (COWS, 1)), np.tile([CHANGE, 1e5], (COWS, 1))
    day = np.array([-200.0, -160.0, -120.0, -70.0, -35.0, -3.0])
    cow, session = np.nonzero(rng.random((COWS, SESSIONS)) < 0.85)
    rate = rng.normal(0, 0.005, GROUPS * 2)
    seg_rate = group[:, None] * 2 + np.arange(2)
    own_rate = rate[seg_rate] + rng.normal(0, 0.003, (COWS, 2))
    spent = days_in_segments(day[session][:, None], lo[cow], hi[cow])
    level = 2.75 + rng.normal(0, 0.4, COWS)
    felt = level[cow] + (spent * own_rate[cow]).sum(axis=1) + rng.normal(0, 0.15, SESSIONS)[session]
    return HerdScores(
        group=group,
        score_cow=cow,
        score_day=day[session],
        score=felt + rng.normal(0, 0.2, len(cow)),
        score_session=session,
        seg_lo=lo,
        seg_hi=hi,
        seg_rate=seg_rate,
        rate_class=np.zeros(GROUPS * 2, dtype=int),
        rate_mean=np.full(GROUPS * 2, np.nan),
        calving_day=np.full(COWS, 110.0),
        calving_sd=np.zeros(COWS),
        target=np.full(COWS, 2.5),
        calved=np.zeros(COWS, dtype=bool),
        band=BAND,
        days=AHEAD,
    )


@dataclass(frozen=True)
class Fitted:
    """MixedLM's variances, and what follows from its effects."""

    noise: float
    cow: float
    rate: float
    session: float
    ahead: Floats  # [N, days]
    session_bias: Floats  # [J]


def fitted_by_mixedlm(herd: HerdScores) -> Fitted:
    """Fit, and put fixed and random effects together into each cow's line."""
    cow, scores = herd.score_cow, len(herd.score)
    spent = days_in_segments(herd.score_day[:, None], herd.seg_lo[cow], herd.seg_hi[cow])
    fixed = np.zeros((scores, GROUPS * 3))
    fixed[np.arange(scores), herd.group[cow]] = 1.0
    np.put_along_axis(fixed, GROUPS + herd.seg_rate[cow], spent, axis=1)
    level = np.eye(COWS)[cow]
    # A rate of 100 days keeps the three variances of one size.
    rate = np.concatenate([level * spent[:, [0]], level * spent[:, [1]]], axis=1) / 100
    session = np.eye(SESSIONS)[herd.score_session]
    names = {
        "cow": [f"level {place}" for place in range(COWS)],
        "rate": [f"rate {place}" for place in range(2 * COWS)],
        "session": [f"session {place}" for place in range(SESSIONS)],
    }
    parts = VCSpec(list(names), [[columns] for columns in names.values()], [[level], [rate], [session]])
    fit = MixedLM(herd.score, fixed, np.zeros(scores), exog_vc=parts).fit(reml=True)
    effects = fit.random_effects[0]
    variances = dict(zip(names, fit.vcomp, strict=True))

    def effect(name: str) -> Floats:
        return np.array([effects[f"{name}[{column}]"] for column in names[name]])

    own_rate = effect("rate").reshape(2, COWS).T / 100 + fit.fe_params[GROUPS + herd.seg_rate]
    own_level = fit.fe_params[herd.group] + effect("cow")
    days = days_in_segments(AHEAD[:, None, None], herd.seg_lo, herd.seg_hi)
    return Fitted(
        noise=fit.scale,
        cow=variances["cow"],
        rate=variances["rate"] / 100**2,
        session=variances["session"],
        ahead=own_level[:, None] + (days * own_rate).sum(axis=2).T,
        session_bias=effect("session"),
    )


# Fits of variances near zero warn; what is compared here holds at whatever variances MixedLM ends with.
@pytest.mark.filterwarnings("ignore::statsmodels.tools.sm_exceptions.ConvergenceWarning")
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_that_with_flat_priors_projections_are_those_of_mixedlm(seed: int) -> None:
    herd = herd_of_two_groups(seed)
    theirs = fitted_by_mixedlm(herd)
    assert theirs.session > 1e-4
    params = replace(
        shipped_parameters(),
        cow_level_sd=theirs.cow**0.5,
        cow_rate_sd=theirs.rate**0.5,
        day_bias_sd=theirs.session**0.5,
        wander_sd=0.0,
        herd_level_sd=0.0,
        group_level_sd=300.0,
        group_rate_sd=10.0,
    )
    ours = project(replace(herd, score_noise_sd=np.full(len(herd.score), theirs.noise**0.5)), params)
    np.testing.assert_allclose(ours.days_mean, theirs.ahead, rtol=0, atol=2e-6)
    np.testing.assert_allclose(ours.session_bias, theirs.session_bias, rtol=0, atol=2e-6)
    assert np.ptp(ours.days_mean[:, -1]) > 0.5  # the cows differ: agreement is not that of one flat line
