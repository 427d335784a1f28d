"""A watch on a fault of PySide6 6.12.0 on Python 3.11: each void call lost a reference to None, until an abort."""

from __future__ import annotations

import sys

from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot


def test_that_20000_void_calls_lose_no_reference_to_none(qtbot: QtBot) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    before = sys.getrefcount(None)
    for _ in range(20_000):
        widget.update()
    assert abs(sys.getrefcount(None) - before) < 200
