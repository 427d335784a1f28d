"""Start to the first painted page, beside loading three common packages and nothing else."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.test_app import FIRST_PAGE, environment

pytestmark = pytest.mark.benchmark
ROUNDS = 7
BESIDE = "import PySide6.QtWidgets, pyqtgraph, pandas"
MOST_SECONDS = 1.0


def seconds(home: Path, words: str) -> float:
    """Wall time of one Python process."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", words], cwd=home, env=environment(home), check=True, capture_output=True)
    return time.perf_counter() - begun


def test_that_the_first_page_is_painted_within_a_second(tmp_path: Path) -> None:
    ours, theirs = [], []
    for _ in range(ROUNDS):  # in turn, so that what else the computer does falls on both
        ours.append(seconds(tmp_path, FIRST_PAGE))
        theirs.append(seconds(tmp_path, BESIDE))
    mine, beside = statistics.median(ours), statistics.median(theirs)
    print(
        f"\nstart to first painted page, process ended: median {mine:.3f} s ({min(ours):.3f}-{max(ours):.3f}); "
        f"{BESIDE}: {beside:.3f} s ({min(theirs):.3f}-{max(theirs):.3f}); ratio {mine / beside:.2f}; "
        f"load {os.getloadavg()[0]:.1f}"
    )
    assert mine < MOST_SECONDS
