"""How soon the page Feeding answers a number typed by hand, beside the sums alone; run with -m benchmark."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import pytest
from PySide6.QtWidgets import QApplication

from herdscore import shipped
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.ration_by_hand import try_ration
from herdscore.pages.feeding import BY_HAND, FeedingPage
from herdscore.pages.feeding_by_hand import SOON
from herdscore.pictures import open_copy
from tests.window_rig import Rig
from tests.window_rig import dressed as dressed
from tests.window_rig import look as look
from tests.window_rig import new_rig as new_rig

pytestmark = pytest.mark.benchmark
TIMES, MOST_MS = 20, 200.0


def ms(work: Callable[[], object]) -> float:
    taken = []
    for _ in range(TIMES):
        begun = time.perf_counter()
        work()
        taken.append(1e3 * (time.perf_counter() - begun))
    return median(taken)


def test_that_the_page_answers_a_changed_number_within_200_ms(
    new_rig: Callable[..., Rig], tmp_path: Path, qapp: QApplication
) -> None:
    rig = new_rig()
    first, _ = open_copy(shipped.sample_herds() / "two_blocks", tmp_path, None)
    rig.opening.opened.emit(OpenHerd(first, rig.jobs))
    rig.settle()
    rig.window.show_page("feeding")
    rig.settle()
    page = rig.page
    assert isinstance(page, FeedingPage)
    group = max(page.work.groups, key=lambda one: len(one.cows))
    page.work.choose(group.name)
    page.show_tab(BY_HAND)
    rig.settle()
    hand, kg = page.by_hand, page.by_hand.rows._lines[0].kg
    amounts = iter(range(1000))

    def answer() -> None:
        kg.setText(f"{18 + 0.1 * (next(amounts) % 40):.1f}")
        hand.look_ahead()
        qapp.processEvents()  # and paints it

    page_ms = ms(answer)
    feeds, a = page.work.feeds, page.work.assessment
    ration = feeds.ration(hand.read.kg)
    sums_ms = ms(lambda: try_ration(group.cows, feeds, ration, a.rulebook, page.work.present(group)))
    print(
        f"\n{len(group.cows)} cows: answered and painted in {page_ms:.1f} ms after {SOON} ms of waiting for the next "
        f"key; the sums alone {sums_ms:.1f} ms, {page_ms / sums_ms:.1f} times"
    )
    assert SOON + page_ms < MOST_MS
