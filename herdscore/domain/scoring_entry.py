"""One cow under the hand: what is felt, noted and asked, changed by one key at a time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import Enum, auto

from herdscore.domain.felt_words import SITES
from herdscore.domain.records import CONFIRMED, UNSAFE, Score, new_id
from herdscore.domain.rule_forms import VerdictThresholds
from herdscore.domain.scale import HIGHEST, LOWEST

Sites = tuple[int | None, int | None, int | None]

NOTES = {"F": "feet", "T": "teeth", "U": "udder", "O": "other"}
LAST_SITE = len(SITES) - 1
_MIDDLE_KEY = 4
_KEYS = 9


class Asks(Enum):
    """What one more press is asked for before something is done."""

    REPLACE = auto()
    FEEL_AGAIN = auto()
    CONFIRM = auto()
    JUMP = auto()
    DROP_SITES = auto()
    LEAVE = auto()


class Notice(Enum):
    """Why a key did nothing."""

    NO_SCORE_YET = auto()
    NOTHING_TO_REPEAT = auto()
    END_OF_SCALE = auto()
    NOT_ON_SCALE = auto()
    NOTHING_FELT = auto()
    NOT_ASIDE = auto()
    UNKNOWN_KEY = auto()


class Outcome(Enum):
    """What becomes of the cow after a key."""

    STAY = auto()
    SAVE = auto()
    UNSAFE = auto()
    LEAVE = auto()


@dataclass(frozen=True, slots=True)
class Entry:
    """What is entered of one cow; scores in quarters, `ring` the place of a key from 0 to 8.

    No `cow_id`: her tag is of no cow of the herd, and what is felt is kept to one side. `words`: a note in own words.
    `weight` in kg, `scan` a result with the foetus' age in days, taken on the same visit; `pen` the name of a way out
    chosen on purpose. `recent`: her score of the last weeks, from which `jump` quarters are asked about.

    `before` is the score by the same scorer that day which this one replaces; `on_purpose`: she was opened to
    mend it. `digit` is the figure last pressed at this site, so that a second press of it can add a half.
    """

    cow_id: str
    sites: Sites = (None, None, None)
    notes: frozenset[str] = frozenset()
    active: int = 0
    ring: int | None = None
    digit: int | None = None
    words: str = ""
    weight: float | None = None
    scan: str | None = None
    scan_age: int | None = None
    pen: str | None = None
    recent: int | None = None
    jump: int = 4
    before: Score | None = None
    on_purpose: bool = False
    asks: Asks | None = None
    answered: frozenset[Asks] = frozenset()
    notice: Notice | None = None

    @property
    def score(self) -> int | None:
        """Mean of the sites felt to the nearest quarter, ties up; an old score without sites stands as it is."""
        felt = [site for site in self.sites if site is not None]
        if felt:
            return (2 * sum(felt) + len(felt)) // (2 * len(felt))
        return self.before.score if self.before is not None and not _has_sites(self.before) else None

    @property
    def apart(self) -> int:
        """Quarters between the highest and the lowest site felt."""
        felt = [site for site in self.sites if site is not None]
        return max(felt) - min(felt) if felt else 0

    @property
    def moved(self) -> int:
        """Quarters between her score now and that of the last weeks, 0 when there is none."""
        return 0 if self.recent is None or self.score is None else self.score - self.recent

    @property
    def has_more(self) -> bool:
        """Whether something besides the score is to be kept: a weight, a scan, a pen chosen on purpose."""
        return self.weight is not None or self.scan is not None or self.pen is not None

    @property
    def is_changed(self) -> bool:
        """Whether anything differs from what is kept already."""
        kept = open_entry(self.cow_id, self.before)
        return self.has_more or (self.sites, self.notes, self.words) != (kept.sites, kept.notes, kept.words)


def open_entry(
    cow_id: str, before: Score | None = None, *, on_purpose: bool = False, recent: int | None = None, jump: int = 4
) -> Entry:
    """A cow found: empty, or as she was scored already."""
    if before is None:
        return Entry(cow_id, recent=recent, jump=jump)
    notes, rest, _ = read_note(before.note)
    words = "; ".join(part for part in rest if part.casefold() != CONFIRMED)
    answered = frozenset({Asks.JUMP}) if CONFIRMED in (before.note or "").casefold() else frozenset()
    return Entry(
        cow_id,
        (before.loin, before.ribs, before.tailhead),
        notes,
        words=words,
        recent=recent,
        jump=jump,
        before=before,
        on_purpose=on_purpose,
        answered=answered,
    )


def score_of(entry: Entry, day: date, scorer: str | None, *, unsafe: bool = False) -> Score:
    """The score to keep; an unsafe cow keeps her notes and no score."""
    before = entry.before
    rest = (entry.words,) if entry.words else ()
    if not unsafe and Asks.JUMP in entry.answered:
        rest = (*rest, CONFIRMED)
    row_id = new_id() if before is None else before.id
    note = write_note(entry.notes, rest, unsafe=unsafe)
    if unsafe:
        return Score(row_id, entry.cow_id, day, scorer=scorer, note=note)
    loin, ribs, tailhead = entry.sites
    by_eye = before.by_eye if before is not None and entry.sites == (None, None, None) else None
    return Score(row_id, entry.cow_id, day, loin, ribs, tailhead, entry.score, by_eye, scorer, note)


def read_note(text: str | None) -> tuple[frozenset[str], tuple[str, ...], bool]:
    """A kept note as keys of NOTES, what else it says, and whether it says unsafe.

    >>> sorted(read_note("Feet; limps behind; unsafe")[0]), read_note("Feet; limps behind; unsafe")[1:]
    (['F'], (('limps behind',), True))
    """
    parts = [part.strip() for part in (text or "").split(";") if part.strip()]
    key_of = {word: key for key, word in NOTES.items()}
    keys = frozenset(key_of[part.casefold()] for part in parts if part.casefold() in key_of)
    rest = tuple(part for part in parts if part.casefold() not in key_of and part.casefold() != UNSAFE)
    return keys, rest, any(part.casefold() == UNSAFE for part in parts)


def write_note(keys: frozenset[str], rest: tuple[str, ...] = (), *, unsafe: bool = False) -> str | None:
    """The note to keep, None when there is nothing to say."""
    said = [UNSAFE] if unsafe else []
    said += [word for key, word in NOTES.items() if key in keys]
    return "; ".join([*said, *rest]) or None


def press(entry: Entry, key: str, rules: VerdictThresholds) -> tuple[Entry, Outcome]:
    """The entry after a key: 1-5 + - = * F T U O X enter escape skip save backspace space left right up down."""
    asked, entry = entry.asks, replace(entry, notice=None, asks=None)
    name = key.upper() if len(key) == 1 else key
    if name == "enter" and entry.active < LAST_SITE:
        return _to_site(entry, entry.active + 1), Outcome.STAY
    if name in ("enter", "save"):
        return _save(entry, asked, rules)
    if name == "X" and not entry.cow_id:
        return replace(entry, notice=Notice.NOT_ASIDE), Outcome.STAY
    if name == "X":
        kept = any(site is not None for site in entry.sites) or entry.score is not None
        return _once_more(entry, asked, Asks.DROP_SITES, Outcome.UNSAFE) if kept else (entry, Outcome.UNSAFE)
    if name == "skip" or (name == "escape" and entry.active == 0):
        return _once_more(entry, asked, Asks.LEAVE, Outcome.LEAVE) if entry.is_changed else (entry, Outcome.LEAVE)
    if name == "escape" and asked in (Asks.FEEL_AGAIN, Asks.JUMP):
        return _to_site(entry, 0), Outcome.STAY  # felt again from the first site on
    return _edited(entry, name), Outcome.STAY


def press_key(entry: Entry, site: int, place: int) -> Entry:
    """A key pressed by mouse, or by Space: its half score; pressed again, the quarter above, and off again."""
    entry = replace(_to_site(entry, site), notice=None, asks=None, ring=entry.ring if site == entry.active else None)
    half, now = LOWEST + 2 * place, entry.sites[site]
    return _with_score(entry, half + 1 if now == half and half < HIGHEST else half)


def _edited(entry: Entry, name: str) -> Entry:
    if name in NOTES:
        return replace(entry, notes=entry.notes ^ {name})
    if name.isdigit():
        return _digit(entry, int(name))
    if name in ("+", "-"):
        return _moved(entry, 1 if name == "+" else -1)
    if name in ("=", "*"):
        return _repeated(entry)
    if name == "escape":
        return _to_site(entry, entry.active - 1)
    if name == "backspace":
        if entry.sites[entry.active] is None:
            return _to_site(entry, max(entry.active - 1, 0))
        return replace(_with_score(entry, None), digit=None)
    if name in ("up", "down"):
        to = entry.active + (1 if name == "down" else -1)
        ring = _ring(entry)
        return replace(_to_site(entry, min(max(to, 0), LAST_SITE)), ring=ring)
    if name in ("left", "right"):
        ring = _ring(entry) if entry.ring is None else entry.ring + (1 if name == "right" else -1)
        return replace(entry, ring=min(max(ring, 0), _KEYS - 1))
    if name == "space":
        return replace(entry, ring=_ring(entry)) if entry.ring is None else press_key(entry, entry.active, entry.ring)
    return replace(entry, notice=Notice.UNKNOWN_KEY)


def _digit(entry: Entry, digit: int) -> Entry:
    if not LOWEST <= 4 * digit <= HIGHEST:
        return replace(entry, notice=Notice.NOT_ON_SCALE)
    now, whole = entry.sites[entry.active], 4 * digit
    again = entry.digit == digit and now is not None and now // 4 == digit
    half = again and now is not None and now % 4 < 2 and now + 2 <= HIGHEST
    score = now + 2 if half and now is not None else whole
    return replace(_with_score(entry, score), digit=digit)


def _moved(entry: Entry, quarters: int) -> Entry:
    now = entry.sites[entry.active]
    if now is None:
        return replace(entry, notice=Notice.NO_SCORE_YET)
    if not LOWEST <= now + quarters <= HIGHEST:
        return replace(entry, notice=Notice.END_OF_SCALE)
    return _with_score(entry, now + quarters)


def _repeated(entry: Entry) -> Entry:
    """This site's score for it and those after it; at a site not scored yet, that of the site before."""
    here = entry.active
    if entry.sites[here] is None and here > 0:
        here -= 1
    score = entry.sites[here]
    if score is None:
        return replace(entry, notice=Notice.NOTHING_TO_REPEAT)
    loin, ribs, tailhead = (score if place >= here else site for place, site in enumerate(entry.sites))
    return replace(_to_site(entry, LAST_SITE), sites=(loin, ribs, tailhead), answered=_kept_answers(entry))


def _save(entry: Entry, asked: Asks | None, rules: VerdictThresholds) -> tuple[Entry, Outcome]:
    if entry.score is None:
        return replace(entry, notice=Notice.NOTHING_FELT), Outcome.STAY
    if entry.before is not None and not entry.is_changed:
        return entry, Outcome.LEAVE
    wanted = []
    kept = open_entry(entry.cow_id, entry.before)
    is_rescored = (entry.sites, entry.notes, entry.words) != (kept.sites, kept.notes, kept.words)
    if entry.before is not None and entry.before.score is not None and is_rescored and not entry.on_purpose:
        wanted.append(Asks.REPLACE)
    if entry.apart >= 4 * rules.feel_again_apart:
        wanted.append(Asks.FEEL_AGAIN)
    if entry.apart >= 4 * rules.confirm_apart:
        wanted.append(Asks.CONFIRM)
    if abs(entry.moved) >= entry.jump:
        wanted.append(Asks.JUMP)
    answered = entry.answered | ({asked} if asked in wanted else set())
    still = [one for one in wanted if one not in answered]
    if still:
        return replace(entry, asks=still[0], answered=answered), Outcome.STAY
    return replace(entry, answered=answered), Outcome.SAVE


def _once_more(entry: Entry, asked: Asks | None, ask: Asks, outcome: Outcome) -> tuple[Entry, Outcome]:
    return (entry, outcome) if asked is ask else (replace(entry, asks=ask), Outcome.STAY)


def _to_site(entry: Entry, site: int) -> Entry:
    return entry if site == entry.active else replace(entry, active=site, digit=None, ring=None)


def _with_score(entry: Entry, quarters: int | None) -> Entry:
    loin, ribs, tailhead = (quarters if place == entry.active else site for place, site in enumerate(entry.sites))
    return replace(entry, sites=(loin, ribs, tailhead), answered=_kept_answers(entry))


def _kept_answers(entry: Entry) -> frozenset[Asks]:
    """A changed score is felt anew; that it replaces an old one was settled."""
    return entry.answered & {Asks.REPLACE}


def _ring(entry: Entry) -> int:
    """Where the ring is, or comes up: on the score chosen, else in the middle."""
    if entry.ring is not None:
        return entry.ring
    now = entry.sites[entry.active]
    return _MIDDLE_KEY if now is None else (now - LOWEST) // 2


def _has_sites(score: Score) -> bool:
    return any(site is not None for site in (score.loin, score.ribs, score.tailhead))
