"""What the scoring page shows of a herd and a sitting: rows of cows, words beside the tag, verdicts."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import NO_BLOCK
from herdscore.domain.notes import notes_of
from herdscore.domain.reasons import advice, say_day, words_of
from herdscore.domain.records import GONE
from herdscore.domain.rounds import listing_of
from herdscore.domain.scale import show
from herdscore.domain.scored import LastTime, last_time, others_on, quarters_of, score_on
from herdscore.domain.scoring_entry import Entry, Sites
from herdscore.domain.verdict import Verdict
from herdscore.pages.cow_pictures import picture_of
from herdscore.pages.cow_words import calves_on, change_since, claim_of, days_and_rates, target_words, who_is
from herdscore.pages.scoring_ahead import round_with_pens
from herdscore.pages.scoring_matches import MatchRow
from herdscore.pages.scoring_pen import why_pen
from herdscore.pages.scoring_side import MOST_LAST, CowSide, LastRow, VerdictWordsShown
from herdscore.pages.scoring_words import (
    Said,
    already_scored,
    of_entry,
    of_finding,
    say_last,
    short_tag,
    still_to_come,
)
from herdscore.pages.scoring_work import ScoringWork, tag_of

_ASK_FOR_SCORE = (Verdict.TO_SCORE, Verdict.SCORE_FOR_BULL, Verdict.SCORE_AGAIN)


def count_of(work: ScoringWork) -> tuple[int, int, int]:
    """Scored, unsafe, and all living cows of the chosen block."""
    living = ~np.isin(work.herd.snapshot.cows.status, GONE) & work.in_block
    return int((work.work.scored & living).sum()), int((work.work.unsafe & living).sum()), int(living.sum())


def beside_tag(work: ScoringWork) -> Said:
    """The two lines beside the tag box."""
    if work.said is not None:
        return work.said
    snapshot, entry = work.herd.snapshot, work.entry
    if entry is None:
        scored, unsafe, total = count_of(work)
        errand = work.errands.now
        if errand is not None:
            takes = work.flow.takes
            does = "Type her digits; Esc leaves it." if takes is None else errand.does(str(snapshot.cows.tag[takes]))
            return Said(errand.claim, does, firm=True)
        return of_finding(work.flow, snapshot, total - scored - unsafe, total, is_today=work.is_today)
    tag = work.tag
    said = of_entry(entry, tag, is_today=work.is_today)
    if said is None and not entry.cow_id:
        return Said("Not in the herd", "Scored under this tag, kept to one side to sort out later.", firm=True)
    return _who(work, entry, tag) if said is None else said


def _who(work: ScoringWork, entry: Entry, tag: str) -> Said:
    assessment = work.herd.assessment
    place = assessment.snapshot.cow_place.get(entry.cow_id)
    who, date = (who_is(assessment, place), calves_on(assessment, place)) if place is not None else ("", "")
    before = already_scored(entry, is_today=work.is_today) or _others(work)
    full = tag if short_tag(tag) != tag else ""
    unbroken = (part.replace(" ", "\u00a0") for part in (date, full) if part)
    rest = before or ", ".join(unbroken)
    return Said(who or tag, rest, firm=bool(already_scored(entry, is_today=work.is_today)))


def _others(work: ScoringWork) -> str:
    """What somebody else gave her that day."""
    if work.cow is None:
        return ""
    for score in others_on(work.herd.snapshot, work.cow, work.day, work.scorer):
        given = quarters_of(score)
        if given is not None:
            when = "today" if work.is_today else "that day"
            return f"{score.scorer or 'Somebody'} gave her {show(given)} {when}; both are kept."
    return ""


def match_row(work: ScoringWork, cow: int) -> MatchRow:
    """The row of a cow that fits, by her place in the herd."""
    snapshot, assessment = work.herd.snapshot, work.herd.assessment
    cow_id = str(snapshot.cows.id[cow])
    place = assessment.snapshot.cow_place.get(cow_id)
    who = "" if place is None else who_is(assessment, place)
    tag, when = short_tag(str(snapshot.cows.tag[cow])), "today" if work.is_today else "that day"
    if not work.work.done[cow]:
        last = last_time(snapshot, cow, work.day)
        mark, word = _wanted(assessment, place) or ("none", "not yet today" if work.is_today else "not that day")
        return MatchRow(tag, who, f"last {show(last.score)}" if last else "never scored", mark, word)
    if work.work.unsafe[cow]:
        return MatchRow(tag, who, f"unsafe {when}", "cross", "not scored", to_score=False)
    given = _score_that_day(work, cow)
    score = f"{given} {when}" if given else f"scored {when}"
    mark, word = _mark_and_word(assessment, place)
    return MatchRow(tag, who, score, mark, word, to_score=False)


def _wanted(assessment: Assessment, place: int | None) -> tuple[str, str] | None:
    """Mark and word of a cow whose verdict asks for a score; None for the others."""
    if place is None or Verdict(assessment.verdict[place]) not in _ASK_FOR_SCORE:
        return None
    return _mark_and_word(assessment, place)


def _score_that_day(work: ScoringWork, cow: int) -> str:
    mine = score_on(work.herd.snapshot, cow, work.day, work.scorer)
    others = others_on(work.herd.snapshot, cow, work.day, work.scorer)
    given = [quarters_of(score) for score in ([mine] if mine is not None else []) + others]
    return next((show(one) for one in given if one is not None), "")


def _mark_and_word(assessment: Assessment, place: int | None) -> tuple[str, str]:
    if place is None:
        return "none", ""
    words = words_of(assessment, place)
    return words.mark, words.word


def verdict_shown(assessment: Assessment, cow: int) -> VerdictWordsShown:
    """A cow's verdict as the box says it."""
    mark = words_of(assessment, cow).mark
    return VerdictWordsShown(claim_of(assessment, cow), days_and_rates(assessment, cow), advice(assessment, cow), mark)


def last_rows(work: ScoringWork) -> tuple[list[LastRow], VerdictWordsShown | None]:
    """Cows of this sitting whose score for the day stands, newest first, and the newest one's verdict."""
    snapshot, assessment = work.herd.snapshot, work.herd.assessment
    rows: list[LastRow] = []
    newest: VerdictWordsShown | None = None
    for cow_id in work.last_cows[:MOST_LAST]:
        cow, place = snapshot.cow_place.get(cow_id), assessment.snapshot.cow_place.get(cow_id)
        score = None if cow is None else score_on(snapshot, cow, work.day, work.scorer)
        if score is None or place is None:
            continue
        given, tag = quarters_of(score), short_tag(tag_of(snapshot, cow_id))
        if given is None:
            rows.append(LastRow(cow_id, tag, "", "cross", "not scored: unsafe"))
            continue
        mark, word = _mark_and_word(assessment, place)
        if not rows:
            newest = verdict_shown(assessment, place)
            word = ""  # the box under her row says it
        pen = _went_to(work, cow_id)
        word = ", ".join(part for part in (word, pen and f"to {pen}") if part)
        rows.append(LastRow(cow_id, tag, show(given), mark, word))
    return rows, newest


def _went_to(work: ScoringWork, cow_id: str) -> str:
    """Name of the pen she was sent to in the open round, empty for her own group."""
    round_ = round_with_pens(work.herd)
    listing = None if round_ is None else listing_of(work.herd.snapshot, round_, cow_id)
    return "" if listing is None else listing.pen or ""


def wants_preview(work: ScoringWork) -> bool:
    """Whether her last site is in, would change what is kept, and is not looked at yet."""
    entry = work.entry
    return entry is not None and work.ahead.is_wanted(entry) and not work.ahead.is_made(entry, work.day, work.scorer)


def preview(work: ScoringWork) -> Assessment | None:
    """The herd as it will be once the cow under the hand is saved; None before her last site is in."""
    return work.ahead.assessment(work.entry, work.day, work.scorer)


def last_of(work: ScoringWork) -> LastTime | None:
    """What the cow under the hand had before this day; up to the day looked at when nothing can be entered."""
    before = work.day if work.herd.can_write else work.herd.today + timedelta(days=1)
    return None if work.cow is None else last_time(work.herd.snapshot, work.cow, before)


def last_sites(work: ScoringWork) -> Sites:
    """Each site as it was felt last time."""
    last = last_of(work)
    return (None, None, None) if last is None else last.sites


def show_cow(side: CowSide, work: ScoringWork, entry: Entry, ahead: Assessment | None) -> None:
    """Fill the right side for the cow under the hand; `ahead` is the preview, None while sites are missing."""
    looking = not work.herd.can_write
    assessment = ahead if ahead is not None else work.herd.assessment
    place = assessment.snapshot.cow_place.get(entry.cow_id)
    last = last_of(work)
    pens = work.ahead.pens(entry, work.day, work.scorer) if work.herd.can_write else None
    group = None if place is None else assessment.groups.names[assessment.groups.now[place]]
    side.show_pens(pens, group or "")
    if place is None:
        side.show_head("–" if entry.score is None else show(entry.score), "", "")
        kept = "Kept to one side; a verdict comes when it is known who she is."
        side.show_cow(None, VerdictWordsShown(still_to_come(entry) or "Enter keeps it", kept), [])
        return
    target = target_words(assessment, place)
    said_last = say_last(last, work.day, work.herd.today)
    if looking:
        side.show_head("–" if last is None else show(last.score), _when(work, last), target)
    else:
        moved = "" if last is None else change_since(entry.score, last.score, (work.day - last.day).days)
        first = "first score" if last is None and entry.score is not None else ""
        side.show_head("–" if entry.score is None else show(entry.score), moved or first, target)
    if ahead is None and not looking:
        missing = VerdictWordsShown(still_to_come(entry) or "Change it, or Enter for the next cow", said_last)
        side.show_cow(picture_of(assessment, place), missing, [])
        return
    notes = [note.say for note in notes_of(assessment, place)]
    if pens is not None and why_pen(pens):
        notes.insert(0, why_pen(pens))
    if assessment.block[place] == NO_BLOCK:
        notes.insert(0, "Her block is not known, so there is no target.")
    side.show_cow(picture_of(assessment, place), verdict_shown(assessment, place), notes)


def _when(work: ScoringWork, last: LastTime | None) -> str:
    return "" if last is None else f"scored {say_day(last.day, work.herd.today)}"
