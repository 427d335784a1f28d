"""The register as rows of a list: every cow with her numbers, group, calving date and where it comes from."""

from __future__ import annotations

import math
from datetime import date

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.date_account import date_source
from herdscore.domain.reasons import say_day, say_spread, words_of
from herdscore.domain.records import GONE
from herdscore.domain.verdict import Verdict
from herdscore.parts.list_model import Column, ListRow

COLUMNS = (
    Column("tag", "Tag", width=68, weight=700),
    Column("management_no", "No", width=56),
    Column("eid", "EID", width=164),
    Column("breed", "Breed", width=84),
    Column("calvings", "Calvings", kind="number", right=True, width=80),
    Column("season", "Season", width=76),
    Column("group", "Group", width=112),
    Column("calving_date", "Calving date", kind="date", width=126, shown="verdict"),
    Column("source", "Comes from", width=116),
)
_SAID = (Verdict.NEEDS_DATE, Verdict.NOT_IN_CALF, Verdict.IN_MILK, Verdict.FEED_FOR_BULL, Verdict.SCORE_FOR_BULL)


def register_rows(assessment: Assessment) -> list[ListRow]:
    """One row a cow, by tag; the key is the cow's identity."""
    return [_row(assessment, cow) for cow in range(len(assessment))]


def _row(a: Assessment, cow: int) -> ListRow:
    cows = a.snapshot.cows
    calvings = float(a.dates.calvings[cow])
    group = a.groups.names[int(a.groups.now[cow])] or ""
    season = BLOCK_NAMES[int(a.block[cow])] or ""
    words, day, mark = calving_words(a, cow)
    number = number_value(cows.management_no[cow])
    source = date_source(a, cow)
    return ListRow(
        key=cows.id[cow],
        texts=(
            str(cows.tag[cow]),
            cows.management_no[cow] or "",
            cows.eid[cow] or "",
            cows.breed[cow] or "",
            "first" if a.dates.first_calver[cow] else f"{calvings:.0f}" if math.isfinite(calvings) else "",
            season,
            group,
            words,
            source,
        ),
        values=(tag_value(a, cow), number, cows.eid[cow], cows.breed[cow], calvings, season, group, day, source),
        extras=(None, None, None, None, None, None, None, mark, None),
        done=cows.status[cow] in GONE,
    )


def tag_value(a: Assessment, cow: int) -> str:
    """What a tag sorts by: cows stand by tag already, 9 before 10."""
    return f"{cow:06d}"


def number_value(number: str | None) -> str:
    """What a management number sorts by: 9 before 10."""
    return number.zfill(12) if number else ""


def short_date(a: Assessment, cow: int) -> str:
    """Her projected date with its spread, as a cell holds it; "" without one."""
    day = a.day(a.dates.day[cow])
    return "" if day is None else f"{say_day(day)} ± {say_spread(a.dates.spread[cow])}"


def calving_words(a: Assessment, cow: int) -> tuple[str, date | None, str]:
    """Words and mark of the cell of her calving date: the date, or why there is none."""
    verdict = Verdict(a.verdict[cow])
    if verdict == Verdict.GONE:
        return str(a.snapshot.cows.status[cow]), None, ""
    day = a.day(a.dates.day[cow])
    if day is not None:
        return short_date(a, cow), day, ""
    if verdict == Verdict.NEEDS_DATE:
        return words_of(a, cow).word, None, "cross"
    if verdict in _SAID:
        calved = a.day(a.facts.calved_day[cow])
        in_milk = verdict != Verdict.NOT_IN_CALF and calved is not None
        return f"calved {say_day(calved, a.today)}" if in_milk else words_of(a, cow).word, None, ""
    return "not known", None, ""
