"""The three figures of the header: still to score, to act on now, days to the next act-by date."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.listing import ACT, MISSING
from herdscore.domain.reasons import say_day
from herdscore.domain.rounds import still_to_score
from herdscore.domain.verdict import Verdict

NEXT = "next"
_HAS_ACT_BY = (
    Verdict.EASE_UP_NOW,
    Verdict.EASE_DOWN_NOW,
    Verdict.EASE_UP_IN_HAND,
    Verdict.EASE_DOWN_IN_HAND,
)


@dataclass(frozen=True)
class HeadFigure:
    """Key of the list behind it, the figure, what it counts, colour role; `short` where there is little room."""

    key: str
    number: str
    words: str
    hue: str = "ink"
    short: str = ""


def figures(assessment: Assessment, among: npt.NDArray[np.bool_]) -> list[HeadFigure]:
    """The figures over the cows among, the last one left out when no act-by date lies ahead."""
    verdict = assessment.verdict[among]
    lists = np.array([assessment.rulebook.words[one.key].list for one in Verdict])
    to_score = still_to_score(assessment, among)
    act = int((lists[verdict] == ACT).sum())
    made = [
        HeadFigure(MISSING, str(to_score), "still to score", short="to score"),
        HeadFigure(ACT, str(act), "to act on now", "thin" if act else "ink", "act now"),
    ]
    cow = next_to_act(assessment, among)
    if cow is not None:
        days = int(assessment.reach.act_by[cow])
        day = say_day(assessment.day(days), assessment.today)
        unit = "day" if days == 1 else "days"
        made.append(HeadFigure(NEXT, str(days), f"{unit} to next act-by, {day}", short=f"{unit}, {day}"))
    return made


def next_to_act(assessment: Assessment, among: npt.NDArray[np.bool_]) -> int | None:
    """Place of the cow whose act-by date comes next after today."""
    act_by = np.where(np.isin(assessment.verdict, _HAS_ACT_BY) & among, assessment.reach.act_by, np.nan)
    ahead = np.where(act_by > 0, act_by, np.inf)
    if not np.isfinite(ahead).any():
        return None
    return int(np.argmin(ahead))
