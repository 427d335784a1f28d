"""A flag list for the tests: a few cows of an invented herd in the columns of the flag list."""

from __future__ import annotations

from datetime import date

from herdscore.domain.listing import FLAG_LIST
from herdscore.exchange.lists_out import ALL_COWS, FLAGGED, MISSING, FlagList

DAY = date(2026, 11, 25)
THIN = (
    *("0142", "142", "North park", "spring", date(2027, 3, 28), 8.0, 123, date(2026, 11, 3), 2.0, 2.0437, 1.8712, 1.41),
    *(2.33, 2.5, 0.9512, 0.0438, 0.005, "ease up now", -0.0093, 0.0389, DAY),
    *("ease up now: +0.04 a week, begin by 2026-11-25", "projected 1.9, target 2.5; 123 days left"),
)
UNKNOWN = (
    "=0347",
    None,
    None,
    None,
    *[None] * 13,
    "needs a date",
    None,
    None,
    None,
    "service, scan or bull dates",
    "no date",
)
SOUND = (
    *("+0866", "866", "Steading", "spring", date(2027, 4, 2), 15.5, 128, date(2026, 11, 3), 2.75, 2.7, 2.55, 2.2),
    *(2.9, 2.5, 0.1, 0.8, 0.1, "on course", -0.0001, None, None, "nothing", "inside the band"),
)


def flag_list() -> FlagList:
    """One thin cow, one without a date, one on course."""
    return FlagList(
        "Ellershaw & Son",
        DAY,
        FLAG_LIST,
        {FLAGGED: (THIN,), MISSING: (UNKNOWN,), ALL_COWS: (THIN, UNKNOWN, SOUND)},
        {FLAGGED: ("thin",), MISSING: ("miss",), ALL_COWS: ("thin", "miss", "ok")},
        (("Lead (days)", "56"), ("Caution", "A projection is an estimate. Look at the cow.")),
    )
