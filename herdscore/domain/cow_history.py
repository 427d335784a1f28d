"""Everything recorded of one cow as lines of a diary, newest first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from herdscore.domain.assess import Assessment
from herdscore.domain.date_account import sire_words
from herdscore.domain.diets import group_key
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.records import (
    AI,
    BULL_RUN,
    HAND_CHECK,
    SCAN,
    UNSAFE,
    UP,
    Calving,
    Diet,
    Move,
    Score,
    Service,
    Weight,
)
from herdscore.domain.scale import show

SCORE, NOTE, SERVICE, CALVING, WEIGHT, MOVE, DIET = "score", "note", "service", "calving", "weight", "move", "diet"
CALF_OF_SEX = {"m": "bull calf", "male": "bull calf", "bull": "bull calf", "f": "heifer calf", "female": "heifer calf"}
EASE = {1: "calved alone", 2: "calved with light help", 3: "hard pull", 4: "calved with the vet", 5: "surgery"}
_ORDER = {DIET: 0, MOVE: 1, SERVICE: 2, CALVING: 3, WEIGHT: 4, NOTE: 5, SCORE: 6}


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One line: the day, what kind of thing happened, what in words, and who wrote it down."""

    day: date
    kind: str
    words: str
    who: str = ""


def history(assessment: Assessment, cow: int) -> tuple[HistoryLine, ...]:
    """All that is recorded of a cow, newest first; on one day the score stands on top."""
    lines = [
        *_scores(assessment, cow),
        *_services(assessment, cow),
        *_calvings(assessment, cow),
        *_weights(assessment, cow),
        *_moves(assessment, cow),
        *_diets(assessment, cow),
    ]
    return tuple(sorted(lines, key=lambda line: (line.day, _ORDER[line.kind]), reverse=True))


def matings(assessment: Assessment, cow: int) -> tuple[HistoryLine, ...]:
    """Her services, checks and calvings alone, newest first."""
    return tuple(line for line in history(assessment, cow) if line.kind in (SERVICE, CALVING))


def score_words(score: Score) -> str:
    """A score by its sites, "2, 2, 2.25" for loin, ribs, tailhead; a site not felt is a dash."""
    sites = (score.loin, score.ribs, score.tailhead)
    if any(site is not None for site in sites):
        words = ", ".join("–" if site is None else _site(site) for site in sites)
    elif score.score is not None:
        words = f"{show(score.score)} overall"
    else:
        words = f"not scored: {UNSAFE}" if score.note == UNSAFE else "not scored"
    return f"{words}, by eye" if score.by_eye else words


def _site(quarters: int) -> str:
    return f"{quarters / 4:g}"


def _rows(assessment: Assessment, table: str, cow: int) -> list[int]:
    return assessment.snapshot.of_cow(table, cow).tolist()  # type: ignore[no-any-return]


def _scores(a: Assessment, cow: int) -> Iterator[HistoryLine]:
    for row in a.snapshot.records("scores", _rows(a, "scores", cow)):
        assert isinstance(row, Score)
        who = row.scorer or ""
        yield HistoryLine(row.day, SCORE, score_words(row), who)
        unscored = row.score is None and row.loin is None and row.ribs is None and row.tailhead is None
        if row.note and not (unscored and row.note == UNSAFE):
            yield HistoryLine(row.day, NOTE, f"note: {row.note}", who)


def _services(a: Assessment, cow: int) -> Iterator[HistoryLine]:
    places = _rows(a, "services", cow)
    for place, row in zip(places, a.snapshot.records("services", places), strict=True):
        assert isinstance(row, Service)
        yield HistoryLine(row.day, SERVICE, service_words(row, sire_words(a, place), a.today))


def service_words(row: Service, sire: str, today: date) -> str:
    """A service or check in words; `sire` says who served her."""
    if row.kind in (SCAN, HAND_CHECK):
        parts = [row.result or "", f"{row.foetal_age} days" if row.foetal_age is not None else ""]
        found = ", ".join(part for part in parts if part)
        return f"{row.kind}: {found}" if found else row.kind
    if row.kind == BULL_RUN:
        end = f"to {say_day(row.until, today)}" if row.until is not None else "begins"
        return f"bull run {end}{f', {sire}' if sire else ''}"
    if row.kind == AI:
        return f"AI{f' with {sire}' if sire else ''}"
    return f"served{f' by {sire}' if sire else ''}"


def _calvings(a: Assessment, cow: int) -> Iterator[HistoryLine]:
    rows = a.snapshot.records("calvings", _rows(a, "calvings", cow))
    for day, calves in groupby(rows, key=lambda row: row.day):  # type: ignore[union-attr]
        born = [calf for calf in calves if isinstance(calf, Calving)]
        ease = next((calf.ease for calf in born if calf.ease is not None), None)
        parts = [EASE.get(ease, "calved") if ease is not None else "calved, not seen"]
        parts += ["twins"] if len(born) == 2 else [f"{len(born)} calves"] if len(born) > 2 else []
        parts += [words for calf in born if (words := _calf_words(calf))]
        yield HistoryLine(day, CALVING, ", ".join(parts))
        for note in dict.fromkeys(calf.note for calf in born if calf.note):
            yield HistoryLine(day, NOTE, f"note: {note}")


def _calf_words(calf: Calving) -> str:
    sex = (calf.calf_sex or "").strip()
    parts = [
        CALF_OF_SEX.get(sex.casefold(), sex if " " in sex or not sex else f"{sex} calf"),
        calf.calf_tag or "",
        f"{calf.calf_weight:g} kg" if calf.calf_weight is not None else "",
        "dead" if calf.calf_alive is False else "",
        "before its time" if calf.premature else "",
        calf.presentation or "",
    ]
    return ", ".join(part for part in parts if part)


def _weights(a: Assessment, cow: int) -> Iterator[HistoryLine]:
    for row in a.snapshot.records("weights", _rows(a, "weights", cow)):
        assert isinstance(row, Weight)
        yield HistoryLine(row.day, WEIGHT, f"{row.weight:g} kg")


def _moves(a: Assessment, cow: int) -> Iterator[HistoryLine]:
    for row in a.snapshot.records("moves", _rows(a, "moves", cow)):
        assert isinstance(row, Move)
        on = _diet_on(a, row.group, row.day)
        yield HistoryLine(row.day, MOVE, f"to {row.group}{f', on {_diet_words(on)}' if on is not None else ''}")


def _diets(a: Assessment, cow: int) -> Iterator[HistoryLine]:
    """Diets begun by a group while she stood in it; the one she came to is told with her move."""
    groups = a.groups
    stays = [
        (group_key(name), groups.stay_from[stay], groups.stay_to[stay])
        for stay in (groups.stay_cow == cow).nonzero()[0].tolist()
        if (name := groups.names[int(groups.stay_group[stay])]) is not None
    ]
    for row in a.snapshot.records("diets"):
        assert isinstance(row, Diet)
        day = float((row.day - a.today).days)
        for key, joined, left in stays:
            # A diet of the day she came is told with her move.
            began_here = joined < day < left
            if key == group_key(row.group) and began_here:
                yield HistoryLine(row.day, DIET, f"{row.group}: {_diet_words(row)}")


def _diet_on(a: Assessment, group: str, day: date) -> Diet | None:
    rows = [row for row in a.snapshot.records("diets") if isinstance(row, Diet)]
    begun = [row for row in rows if group_key(row.group) == group_key(group) and row.day <= day]
    return max(begun, key=lambda row: row.day, default=None)


def _diet_words(row: Diet) -> str:
    aim = "" if row.aim is None else ", easing up" if row.aim == UP else ", easing down"
    change = "" if row.expected_change is None else f", {say_number(row.expected_change, 2, sign=True)} a week stated"
    kind = "a diet not known" if row.kind == "unknown" else row.kind
    return f"{kind}{aim}{change}"
