"""How fast a herd is assessed, beside its alternatives in the same run."""

from __future__ import annotations

import time
import warnings
from datetime import timedelta
from statistics import median

import numpy as np
import pytest

from herdscore.domain.assess import assess
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Calving, Cow, Diet, Record, Score, new_id
from tests.domain.herds import RULES, TODAY, day

pytestmark = pytest.mark.benchmark


def herd(rng: np.random.Generator, cows: int, scores: int) -> Snapshot:
    """A herd of invented cows in four groups, scored on common days by one person."""
    rows: list[Record] = []
    for group in "ABCD":
        rows += [Diet(new_id(), group, day(-240), "grass"), Diet(new_id(), group, day(-70), "winter feed")]
    gap = 340 // max(scores, 1)
    for tag in range(cows):
        one = Cow(
            new_id(),
            f"{tag:04d}",
            calvings=int(rng.integers(0, 8)),
            group="ABCD"[rng.integers(0, 4)],
            calving_date=day(int(rng.integers(50, 150))),
            date_from="scan",
            season="spring",
        )
        rows.append(one)
        if one.calvings:
            rows.append(Calving(new_id(), one.id, day(int(rng.integers(-330, -240)))))
        level = 2.7 + 0.4 * rng.standard_normal()
        for n in range(scores):
            quarters = [int(np.clip(round((level + 0.25 * rng.standard_normal()) * 4), 4, 20)) for _ in range(3)]
            rows.append(Score(new_id(), one.id, TODAY - timedelta(days=5 + n * gap), *quarters, scorer="AB"))
    return Snapshot.from_records(rows)


def seconds(work: object, times: int) -> float:
    """Median time of some runs."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()  # type: ignore[operator]
        taken.append(time.perf_counter() - start)
    return median(taken)


def test_how_long_a_thousand_cows_take() -> None:
    snapshot = herd(np.random.default_rng(1), 1000, 20)
    whole = seconds(lambda: assess(snapshot, RULES, TODAY), 9)
    one = herd(np.random.default_rng(1), 1, 20)
    alone = seconds(lambda: assess(one, RULES, TODAY), 9)
    print(f"\n1,000 cows x 20 scores: {whole * 1e3:.1f} ms, cow by cow {alone * 1000 / whole:.0f} times as long")
    assert whole < alone * 1000


def test_how_long_nine_hundred_herds_take() -> None:
    rng = np.random.default_rng(2)
    sizes = rng.integers(30, 201, 900)
    herds = [herd(rng, int(size), 4) for size in sizes[:90]]
    for snapshot in herds[:5]:
        assess(snapshot, RULES, TODAY)
    start = time.perf_counter()
    for _ in range(10):
        for snapshot in herds:
            assess(snapshot, RULES, TODAY)
    whole = time.perf_counter() - start
    cows = 10 * sum(len(snapshot.cows) for snapshot in herds)
    print(f"\n{cows:,} cows in 900 herds: {whole:.2f} s, {whole / cows * 1e5:.2f} s per 100,000")
    assert whole < 10


def test_how_a_mixed_model_of_one_herd_compares() -> None:
    import pandas as pd
    import statsmodels.formula.api as smf

    snapshot = herd(np.random.default_rng(3), 120, 5)
    ours = seconds(lambda: assess(snapshot, RULES, TODAY), 9)
    a = assess(snapshot, RULES, TODAY)
    frame = pd.DataFrame(
        {
            "score": a.scores.score,
            "day": a.scores.score_day / 100,
            "cow": a.scores.score_cow,
            "session": a.scores.score_session,
        }
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = smf.mixedlm(
            "score ~ day",
            frame.assign(whole=1),
            groups="whole",
            re_formula="0",
            vc_formula={"cow": "0 + C(cow)", "slope": "0 + C(cow):day", "session": "0 + C(session)"},
        )
        theirs = seconds(lambda: model.fit(reml=True), 1)
    print(f"\n120 cows: MixedLM {theirs:.2f} s, whole assess {ours * 1e3:.2f} ms, {theirs / ours:.0f} times")
    assert theirs > ours
