"""Narrows a list of cows to those that hold what somebody types: in tag, number, EID, name, breed or group."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from herdscore.domain.herd_columns import CowColumns
from herdscore.domain.lookup import folded


class CowSearch:
    """The words of every cow, made once for many searches; `groups` holds each cow's group now."""

    def __init__(self, cows: CowColumns, groups: Sequence[str | None]) -> None:
        # A line break parts the fields, so that nothing is found across two of them.
        self._words = [
            "\n".join(folded(word) for word in words)
            for words in zip(cows.tag, cows.management_no, cows.eid, cows.name, cows.breed, groups, strict=True)
        ]

    def matches(self, text: str) -> npt.NDArray[np.bool_]:
        """Whether each cow holds the text; all of them for an empty one."""
        wanted = folded(text)
        return np.array([wanted in words for words in self._words], dtype=bool)
