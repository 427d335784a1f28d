"""What the calving page says of a cow: who she is, when she is due, and how far her calving is entered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from herdscore.domain.calving_entry import CalvingEntry
from herdscore.domain.reasons import say_day, say_number, say_spread, words_of
from herdscore.pages.cow_words import say_days, who_is
from herdscore.pages.scoring_words import short_tag

if TYPE_CHECKING:
    from herdscore.pages.calving_work import CalvingWork


def due_words(work: CalvingWork, cow: int) -> str:
    """A row of one cow by her place in the snapshot: 0347, 14 Mar ± 6."""
    snapshot, a = work.herd.snapshot, work.herd.assessment
    tag = short_tag(str(snapshot.cows.tag[cow]))
    place = a.snapshot.cow_place.get(str(snapshot.cows.id[cow]))
    if place is None:
        return tag
    day = a.day(a.dates.day[place])
    if day is None:
        calved = a.day(a.dates.last_calving[place])
        return f"{tag}   no date" if calved is None else f"{tag}   calved {say_day(calved, a.today)}"
    return f"{tag}   {say_day(day, a.today)} ± {say_spread(a.dates.spread[place])}"


def beside_tag(work: CalvingWork) -> tuple[str, str]:
    """Claim and hint beside the empty tag box."""
    if work.herd.why_not:
        return "Nothing can be recorded now", work.herd.why_not
    if work.typed.strip():
        cows = work.fitting
        if work.found.takes is not None:
            tag = work.herd.snapshot.cows.tag[work.found.takes]
            return f"Enter takes {tag}", "then how, sex, alive, Enter"
        return f"{len(cows)} fit" if cows else "None fits", "Down chooses, Enter takes"
    return "Her last digits, then Enter", "below: those due next"


def beside_entry(work: CalvingWork, entry: CalvingEntry) -> tuple[str, str]:
    """Who she is, and how her date stands to the day entered."""
    a = work.herd.assessment
    place = a.snapshot.cow_place.get(entry.cow_id)
    if place is None:
        return "", ""
    parts = [who_is(a, place)]
    score = float(a.facts.score_now[place])
    if score == score:
        parts.append(say_number(score, 2))
    claim = ", ".join(part for part in parts if part)
    if entry.before:
        return claim, f"mends her calving of {say_day(entry.before[0].day, a.today)}"
    due = a.day(a.dates.day[place])
    if due is None:
        return claim, "no calving date known"
    off = (entry.day - due).days
    when = "on her day" if off == 0 else f"{say_days(abs(off))} {'late' if off > 0 else 'early'}"
    return claim, f"{when}, {words_of(a, place).word}"
