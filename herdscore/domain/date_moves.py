"""What a newly entered service or scan moved: calving dates, and the act-by dates that go with them, in words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from herdscore.domain.assess import Assessment
from herdscore.domain.reasons import say_day, words_of
from herdscore.domain.verdict import EASING, Verdict


@dataclass(frozen=True, slots=True)
class DateMove:
    """One cow whose calving date changed: her tag and what follows, in a sentence."""

    cow_id: str
    tag: str
    say: str


def date_moves(before: Assessment, after: Assessment) -> tuple[DateMove, ...]:
    """Every cow of both assessments whose projected date moved; both of one day, `before` earlier."""
    moved = []
    for cow_id, new in after.snapshot.cow_place.items():
        old = before.snapshot.cow_place.get(cow_id)
        if old is None or after.facts.gone[new] or _same(before.dates.day[old], after.dates.day[new]):
            continue
        if not _same(after.dates.last_calving[new], before.dates.last_calving[old]):
            # She calved, or that was taken back: her date was not moved.
            continue
        tag = after.snapshot.cows.tag[new]
        moved.append(DateMove(cow_id, tag, f"{tag} {_moved(before, old, after, new)}"))
    return tuple(moved)


def _same(old: float, new: float) -> bool:
    return old == new or (math.isnan(old) and math.isnan(new))


def _moved(before: Assessment, old: int, after: Assessment, new: int) -> str:
    was, now = (say_day(a.day(a.dates.day[i]), a.today) for a, i in ((before, old), (after, new)))
    if math.isnan(after.dates.day[new]):
        return f"has no calving date any more; it was {was}."
    if math.isnan(before.dates.day[old]):
        return f"calves {now}; she had no date.{_act_by(before, old, after, new)}"
    days = int(after.dates.day[new] - before.dates.day[old])
    side = "later" if days > 0 else "earlier"
    plural = "s" if abs(days) != 1 else ""
    return f"calves {now}, {abs(days)} day{plural} {side} than {was}.{_act_by(before, old, after, new)}"


def _act_by(before: Assessment, old: int, after: Assessment, new: int) -> str:
    """What becomes of the day to begin a change by."""
    was_easing, easing = Verdict(before.verdict[old]) in EASING, Verdict(after.verdict[new]) in EASING
    if easing:
        by = say_day(after.day(after.facts.act_by[new]), after.today)
        if not was_easing:
            return f" Begin by {by}."
        if before.facts.act_by[old] != after.facts.act_by[new]:
            earlier = say_day(before.day(before.facts.act_by[old]), before.today)
            return f" Begin by {by} instead of {earlier}."
        return f" Begin by {by}, as before."
    return f" No change to begin: {words_of(after, new).word}." if was_easing else ""
