"""The flag list of an assessment, sorted onto the sheets on which it is written."""

from __future__ import annotations

from herdscore.domain.assess import Assessment
from herdscore.domain.listing import FLAG_LIST, FLAGGED_LISTS, FlagLists, flag_lists
from herdscore.domain.listing import MISSING as TO_FIND_OUT
from herdscore.exchange.lists_out import ALL_COWS, FLAGGED, MISSING, FlagList

_HUES = {
    "dot": "ok",
    "gaining": "ok",
    "again": "ok",
    "hand_up": "thin",
    "now_up": "thin",
    "part_up": "thin",
    "bull": "thin",
    "hand_down": "fat",
    "now_down": "fat",
    "part_down": "fat",
    "square": "hold",
    "cross": "miss",
}


def flag_list(assessment: Assessment, name: str) -> FlagList:
    """The list as it is written: Flagged, Missing and every living cow, with what it rests on."""
    lists = flag_lists(assessment)
    places = {
        FLAGGED: lists.on(*FLAGGED_LISTS),
        MISSING: lists.on(TO_FIND_OUT),
        ALL_COWS: list(range(len(lists.rows))),
    }
    return FlagList(
        herd_name=name,
        day=assessment.today,
        columns=FLAG_LIST,
        sheets={sheet: [lists.rows[i] for i in rows] for sheet, rows in places.items()},
        hues={sheet: [_hue(lists, i) for i in rows] for sheet, rows in places.items()},
        about=_about(assessment),
    )


def _hue(lists: FlagLists, place: int) -> str:
    return _HUES.get(lists.mark[place], "none")


def _about(assessment: Assessment) -> tuple[tuple[str, str], ...]:
    """What the list rests on, and the caution."""
    phrases, setting = assessment.rulebook.phrases, assessment.snapshot.setting
    rules = assessment.rulebook.targets
    own = ", ".join(f"{name} {value}" for name, value in sorted(setting.items())) or "none of its own"
    return (
        ("Cows", str(int((~assessment.facts.gone).sum()))),
        ("Target at calving", f"autumn {rules.autumn_calving:g}, spring {rules.spring_calving:g}, ± {rules.band:g}"),
        ("Settings", own),
        ("Low and High", phrases["model"]),
        ("Caution", phrases["caution"]),
    )
