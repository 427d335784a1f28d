"""The look every part is drawn with, given to the application once."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication

from herdscore.parts.theme import Look


@pytest.fixture(scope="session")
def _dressed(qapp: QApplication) -> Look:
    look = Look("light")
    look.dress(qapp)
    return look


@pytest.fixture
def look(_dressed: Look) -> Iterator[Look]:
    yield _dressed
    _dressed.choose_text_scale(1.0)
    _dressed.choose("light")
