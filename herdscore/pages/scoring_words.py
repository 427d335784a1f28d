"""What the scoring page says beside the tag box: what Enter will do, what is asked, why a key did nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from herdscore.domain.day_names import SHORT_DAYS
from herdscore.domain.herd import Snapshot
from herdscore.domain.reasons import say_day
from herdscore.domain.scale import show
from herdscore.domain.scored import LastTime, quarters_of
from herdscore.domain.scoring_entry import LAST_SITE, Asks, Entry, Notice
from herdscore.domain.scoring_flow import ScoringFlow
from herdscore.pages.cow_words import say_cows, say_days

SHORT = 7
SITE_NAMES = ("Loin", "Ribs", "Tailhead")


@dataclass(frozen=True, slots=True)
class Said:
    """Two lines: a claim and what stands behind it; `firm` when somebody has to look at it."""

    claim: str
    rest: str = ""
    firm: bool = False


def short_tag(tag: str) -> str:
    """A tag as it is called out: whole when it is short, else its last part.

    >>> short_tag("0512"), short_tag("UK 10 2345 00512"), short_tag("UK1023456700512")
    ('0512', '00512', '…00512')
    """
    last = tag.split()[-1] if tag.split() else tag
    if len(tag) <= SHORT:
        return tag
    return last if 3 <= len(last) <= SHORT else f"…{last[-5:]}"


def say_weekday(day: date, today: date) -> str:
    """A day with its weekday: Sat 9 Jan."""
    return f"{SHORT_DAYS[day.weekday()]} {say_day(day, today)}"


def of_finding(flow: ScoringFlow, snapshot: Snapshot, left: int, total: int, *, is_today: bool) -> Said:
    """What was found and what Enter will do; `left` of the block's `total` cows are not scored that day."""
    when = "today" if is_today else "that day"
    found, tags = flow.found, snapshot.cows.tag
    if flow.chosen_cow is not None:
        return Said(_how_many(flow), _takes(flow, snapshot, when, chosen=True))
    if not found.typed:
        if flow.refused:
            return Said("No cow yet", "Type her last digits first.", firm=True)
        if not total:
            return Said("No cow in this block" if len(tags) else "No cow in the herd yet")
        if not left:
            return Said(f"All are scored {when}", "A cow can be scored again: type her last digits.")
        return Said("Type her last digits", f"{say_cows(left)} not scored {when}.")
    if found.gone:
        tag, status = tags[found.gone[0]], snapshot.cows.status[found.gone[0]]
        again = flow.refused and len(found.gone) == 1
        rest = "Enter once more scores her all the same." if again else "Look at the tag again."
        return Said(f"{short_tag(tag)} is marked {status}", rest, firm=True)
    if not found.matches or found.near:
        return Said(f"No cow ends in {found.typed.upper()}", _of_nobody(flow), firm=True)
    if flow.takes is None:
        rest = "More digits, or choose with ↓ and Enter."
        return Said(_how_many(flow), rest, firm=flow.refused)
    return Said(_how_many(flow), _takes(flow, snapshot, when))


def _of_nobody(flow: ScoringFlow) -> str:
    """What can be done about a tag no cow bears."""
    found = flow.found
    if flow.refused:
        return f"Enter once more scores her as {found.typed.upper()}, to sort out later."
    if found.checked:
        return "Its check digit is right: a cow not in the herd."
    wrong = "Its check digit is wrong: mistyped. " if found.checked is False else ""
    if found.near:
        return f"{wrong}Choose with ↓." if wrong else "One digit off, or two swapped: choose with ↓."
    return f"{wrong}Look at the tag again."


def _how_many(flow: ScoringFlow) -> str:
    if not flow.found.typed:
        return "Next cow"
    count = len(flow.found.matches)
    return f"{say_cows(count)} end{'s' if count == 1 else ''} in {flow.found.typed.upper()}"


def _takes(flow: ScoringFlow, snapshot: Snapshot, when: str, *, chosen: bool = False) -> str:
    takes = flow.takes
    match = next(match for match in flow.found.matches if match.cow == takes)
    tag = short_tag(snapshot.cows.tag[match.cow])
    if not match.to_score:
        return f"Enter opens {tag} again, scored {when}."
    if chosen or len(flow.found.matches) == 1:
        return f"Enter takes {tag}."
    if match.full:
        return f"Enter takes {tag}, her number in full."
    return f"Enter takes {tag}, the only one not scored {when}."


def of_entry(entry: Entry, tag: str, *, is_today: bool) -> Said | None:
    """What is asked, or why a key did nothing; None when there is nothing to say."""
    short, when = short_tag(tag), "today" if is_today else "that day"
    if entry.asks is Asks.FEEL_AGAIN:
        return Said(f"{show(entry.apart)} apart: feel again", "Enter keeps them; Esc: feel again.", firm=True)
    if entry.asks is Asks.CONFIRM:
        return Said(f"{show(entry.apart)} apart, really as felt?", "Enter keeps them; Esc: feel again.", firm=True)
    if entry.asks is Asks.JUMP:
        recent = "" if entry.recent is None else show(entry.recent)
        way = "up" if entry.moved > 0 else "down"
        claim = f"{way.capitalize()} {show(abs(entry.moved))} from {recent}: right cow?"
        return Said(claim, "Enter: it is confirmed. Esc: feel again.", firm=True)
    if entry.asks is Asks.REPLACE:
        was = quarters_of(entry.before) if entry.before is not None else None
        score = "" if was is None else f": {show(was)}"
        now = "" if entry.score is None else f" with {show(entry.score)}"
        return Said(f"{short} was scored {when}{score}", f"Enter once more replaces it{now}.", firm=True)
    if entry.asks is Asks.DROP_SITES:
        return Said("Her scores would go", "X once more keeps her as not scored: unsafe.", firm=True)
    if entry.asks is Asks.LEAVE:
        return Said(f"{short} is not saved yet", "Esc once more leaves her without saving.", firm=True)
    return None if entry.notice is None else _of_notice(entry, entry.notice)


def _of_notice(entry: Entry, notice: Notice) -> Said:
    site = SITE_NAMES[entry.active].lower()
    words = {
        Notice.NO_SCORE_YET: ("No score here yet", f"Give the {site} a score from 1 to 5 first."),
        Notice.NOTHING_TO_REPEAT: ("Nothing to repeat yet", f"Give the {site} a score from 1 to 5 first."),
        Notice.END_OF_SCALE: ("End of the scale", "Scores run from 1 to 5."),
        Notice.NOT_ON_SCALE: ("No such score", "Scores run from 1 to 5."),
        Notice.NOTHING_FELT: ("No site is scored yet", "Score one at least, or press X: not scored, unsafe."),
        Notice.NOT_ASIDE: ("Nothing to keep of her", "She is not in the herd: Esc leaves her."),
        Notice.UNKNOWN_KEY: ("That key does nothing here", "1 to 5 score; F T U O note; X not scored."),
    }
    claim, rest = words[notice]
    return Said(claim, rest, firm=True)


def already_scored(entry: Entry, *, is_today: bool) -> str:
    """Said under a cow this scorer scored that day already; empty for one he did not."""
    if entry.before is None:
        return ""
    when, was = "today" if is_today else "that day", quarters_of(entry.before)
    if was is None:
        return f"Not scored {when} so far: {entry.before.note or 'unsafe'}."
    return f"Scored {when}: {show(was)}. What you change replaces it."


def still_to_come(entry: Entry) -> str:
    """Which sites are still wanted before the verdict: "Ribs and tailhead to come"; empty when none is."""
    if entry.sites[LAST_SITE] is not None:
        return ""
    left = [name for name, site in zip(SITE_NAMES, entry.sites, strict=True) if site is None]
    words = left[0] if len(left) == 1 else f"{', '.join(left[:-1])} and {left[-1].lower()}"
    first, *rest = words.split(", ")
    return f"{', '.join([first, *(word.lower() for word in rest)])} to come"


def say_last(last: LastTime | None, day: date, today: date) -> str:
    """Last time's score and when: "Last 2.25 on 1 Dec, 42 days before"."""
    if last is None:
        return "Never scored before."
    ago = (day - last.day).days
    return f"Last {show(last.score)} on {say_day(last.day, today)}, {say_days(ago)} before."
