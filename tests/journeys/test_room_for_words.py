"""Every page in the smallest window, in plain and in large text: the window does not grow, and no words are cut off."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from herdscore import shipped
from herdscore.desk.open_herd import OpenHerd
from herdscore.pictures import open_copy, page_steps
from tests.clipped import clipped
from tests.window_rig import Rig

SMALLEST = (1280, 680)


@pytest.mark.parametrize(("sample", "text"), [("two_blocks", 1.0), ("two_blocks", 1.5), ("autumn", 1.5)])
def test_that_every_page_fits_the_smallest_window_in_plain_and_in_large_text(
    sample: str, text: float, new_rig: Callable[..., Rig], tmp_path: Path
) -> None:
    rig = new_rig()
    rig.look.choose_text_scale(text)
    rig.window.resize(*SMALLEST)
    first, draft = open_copy(shipped.sample_herds() / sample, tmp_path, None)
    wrong: dict[str, list[str]] = {}
    for name, show in page_steps(rig.window, rig.opening, rig.look, OpenHerd(first, rig.jobs), draft):
        show()
        rig.settle()
        for _ in range(4):  # a layout may ask for another
            QApplication.processEvents()
        size = rig.window.width(), rig.window.height()
        found = clipped(rig.window) + ([] if size == SMALLEST else [f"the window grew to {size}"])
        if found:
            wrong[name] = found
    assert wrong == {}
