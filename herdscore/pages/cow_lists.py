"""The flag list of one assessment, cut to the block that is looked at, and what an empty list says."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from herdscore.desk.head_figures import next_to_act
from herdscore.domain.assess import Assessment
from herdscore.domain.cow_search import CowSearch
from herdscore.domain.listing import ACT, HAND, MISSING, NOTHING, flag_order
from herdscore.domain.reasons import say_day
from herdscore.pages.short_tags import short_tags

ALL = "all"
LIST_WORDS = (
    (ACT, "To act on now"),
    (HAND, "Time in hand"),
    (NOTHING, "Nothing new"),
    (MISSING, "To find out"),
    (ALL, "All"),
)


class CowLists:
    """Who stands on which list; a place is one in the order of urgency. `tags`: short, one a cow of the herd.

    `cow` and `mark` are the place in the herd and the mark of each cow listed.
    """

    def __init__(self, assessment: Assessment, in_block: npt.NDArray[np.bool_]) -> None:
        self.assessment = assessment
        order = flag_order(assessment)
        self.cow, self.mark = order.cow, order.mark
        self.tags = short_tags(assessment.snapshot.cows.tag.tolist())
        self._of_list = order.of_list
        self._search: CowSearch | None = None
        self.show_block(in_block)

    def show_block(self, in_block: npt.NDArray[np.bool_]) -> None:
        """Cut the lists to the cows of a block, one flag a cow."""
        self.in_block = in_block
        self._inside = in_block[self.cow]

    def places(self, key: str, text: str = "") -> npt.NDArray[np.intp]:
        """Places of the rows on a list whose cows hold a text."""
        keep = self._inside if key == ALL else self._inside & (self._of_list == key)
        if text.strip():
            keep = keep & self._matches(text)[self.cow]
        return np.flatnonzero(keep)

    def count(self, key: str) -> int:
        """Cows on a list."""
        return len(self.places(key))

    def cow_ids(self, places: npt.NDArray[np.intp]) -> list[str]:
        """Identities of the cows at some places."""
        return list(self.assessment.snapshot.cows.id[self.cow[places]])

    def list_of(self, cow: int) -> str:
        """Key of the list a cow stands on within the block; all when on none of the four, "" when on none at all."""
        at = np.flatnonzero((self.cow == cow) & self._inside)
        if not len(at):
            return ""
        name = str(self._of_list[at[0]])
        return name if name in (ACT, HAND, NOTHING, MISSING) else ALL

    def when_empty(self, key: str, text: str = "") -> str:
        """What an empty list says."""
        if text.strip():
            elsewhere = len(self.places(ALL, text)) if key != ALL else 0
            found = f" {_cows(elsewhere)} on the other lists." if elsewhere else ""
            return f"No cow on this list holds “{text.strip()}”.{found}"
        if key == ACT:
            return f"Nothing to act on now.{self._next()}"
        if key == HAND:
            return f"No change waits for its day.{self._next()}"
        if key == NOTHING:
            return "No cow is on a change, close to calving, or gaining well."
        if key == MISSING:
            return "Nothing to find out: every cow has a date, and a score new enough."
        return "No cow in this block."

    def _next(self) -> str:
        cow = next_to_act(self.assessment, self.in_block)
        if cow is None:
            return ""
        a = self.assessment
        return f" Next act-by {say_day(a.day(a.reach.act_by[cow]), a.today)}: {a.snapshot.cows.tag[cow]}."

    def _matches(self, text: str) -> npt.NDArray[np.bool_]:
        if self._search is None:
            groups = self.assessment.groups
            self._search = CowSearch(self.assessment.snapshot.cows, [groups.names[g] for g in groups.now.tolist()])
        return self._search.matches(text)


def _cows(count: int) -> str:
    return "1 cow fits" if count == 1 else f"{count} cows fit"
