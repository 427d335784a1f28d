"""400 simulated herds inside the full table of required reliability; run with -m benchmark.

Limits and reference (in brackets) from a study with a simulator of the same description, six seeds.
"""

import sys

import pytest

from tests.domain.simulator import as_table, assess, shipped_parameters

REQUIRED = {
    "rmse": (0.0, 0.54),  # .481-.512
    "rmse_against_last_score": (0.0, 0.66),  # .57-.61
    "cover_80": (0.76, 0.84),  # .777-.806
    "cover_90": (0.87, 0.93),  # .886-.905
    "width_90": (1.48, 1.72),  # 1.586-1.599
    "brier": (0.0, 0.50),  # .464-.480
    "gap_inside": (0.0, 0.06),  # .007-.037
    "gap_below": (0.0, 0.14),  # .043-.121
    "gap_above": (0.0, 0.14),
    "sensitivity": (0.58, 1.0),  # .611-.633
    "precision": (0.70, 1.0),  # .736-.761
}


@pytest.mark.benchmark
@pytest.mark.parametrize("seed", [1, 2026])
def test_that_400_simulated_herds_are_projected_as_reliably_as_required(
    seed: int, capsys: pytest.CaptureFixture[str]
) -> None:
    found = assess(seed, 400, shipped_parameters())
    with capsys.disabled():
        sys.stdout.write(f"\nseed {seed}\n{as_table(found)}\n")
    outside = {
        name: getattr(found, name) for name, (low, high) in REQUIRED.items() if not low <= getattr(found, name) <= high
    }
    assert not outside
