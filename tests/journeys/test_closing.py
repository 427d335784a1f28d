"""A herd closed while its pages still wait for sums: what comes late finds nobody, and nothing goes wrong."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent

from herdscore import shipped
from herdscore.desk.open_herd import OpenHerd
from herdscore.pages.feeding import PAPER, PENS, PLAN, FeedingPage
from herdscore.pictures import open_copy
from tests.window_rig import Rig


@pytest.mark.parametrize("tab", [PLAN, PENS, PAPER])
def test_that_another_herd_is_opened_while_the_page_feeding_still_waits(rig: Rig, tmp_path: Path, tab: str) -> None:
    herds = []
    for name in ("spring", "two_blocks"):
        first, _ = open_copy(shipped.sample_herds() / name, tmp_path / name, None)
        herds.append(OpenHerd(first, rig.jobs))
    rig.opening.opened.emit(herds[0])
    rig.settle()
    rig.window.show_page("feeding")
    page = rig.page
    assert isinstance(page, FeedingPage)
    page.show_tab(tab)
    assert rig.jobs.running
    rig.opening.opened.emit(herds[1])
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    rig.settle()
    assert rig.herd is herds[1]
    assert rig.window.frame.messages.message is None or not rig.window.frame.messages.message.problem
