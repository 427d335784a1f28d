"""Sheet Cows to cows, cows met only in Scores, and every tag of the other sheets to its cow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from herdscore.domain.herd import tag_order
from herdscore.domain.records import GONE, IN_HERD, Cow, Move, Weight, new_id
from herdscore.exchange.cells import DigitsOnly
from herdscore.exchange.drafts import NewCowsQuestion
from herdscore.exchange.rows_in import Reading, TableIn
from herdscore.exchange.tag_book import TagBook, spelling_key

OF_COWS = ("scores", "services", "calvings", "weights", "moves")
_FIELDS = (
    "tag management_no eid name breed born calvings season group calving_date date_from twins vet_plan status note"
).split()


@dataclass
class CowsIn:
    """The cows read, by place in the tag book, and where each stands in sheet Cows."""

    book: TagBook = field(default_factory=TagBook)
    cows: list[Cow] = field(default_factory=list)
    row_of: dict[int, int] = field(default_factory=dict)
    table: TableIn | None = None

    def add(self, cow: Cow, place: int | None = None) -> None:
        """Add a cow whose tag is new."""
        at = self.book.add(cow.tag)
        self.cows.append(replace(cow, tag=str(cow.tag)))
        if place is not None:
            self.row_of[at] = place


def read_cows(table: TableIn | None) -> CowsIn:
    """The cows of sheet Cows; a tag met again is kept out, an EID met again is left off."""
    found = CowsIn(table=table)
    if table is None:
        return found
    first_eid: dict[str, int] = {}
    for place in list(table.places()):
        tag = table.values["tag"][place]
        same = found.book.same(tag)
        if same is not None:
            other = table.row(found.row_of[same])
            table.keep_out(place, "tag", f"this tag is in row {other} too", "Strike one of the two rows.")
            continue
        eid = table.values["eid"][place]
        if eid is not None and eid in first_eid:
            other = table.row(first_eid[eid])
            table.report(place, "eid", f"this EID is in row {other} too", "left empty", "Read both tags again.")
            table.values["eid"][place] = None
        elif eid is not None:
            first_eid[eid] = place
        values = {name: table.values[name][place] for name in _FIELDS}
        values["status"] = values["status"] or IN_HERD
        found.add(Cow(new_id(), **values), place)
    _note_shared_numbers(found)
    return found


def _note_shared_numbers(found: CowsIn) -> None:
    assert found.table is not None
    first: dict[str, int] = {}
    for at, cow in enumerate(found.cows):
        if cow.management_no is None or cow.status in GONE:
            continue
        place = found.row_of[at]
        key = cow.management_no.casefold()
        if key in first:
            row = found.table.row(first[key])
            found.table.note(place, "management_no", f"the cow in row {row} has this number too", "kept as it is")
        first.setdefault(key, place)


def add_cows_of_scores(found: CowsIn, scores: TableIn, reading: Reading, *, has_cows_sheet: bool) -> None:
    """Cows met only in Scores: added without a Cows sheet, or if so answered; else asked about once."""
    add = reading.answers.add_unknown_cows if has_cows_sheet else True
    unknown: dict[str, str] = {}
    tags = dict.fromkeys(scores.values["tag"][place] for place in scores.places())
    for tag in sorted(tags, key=lambda tag: isinstance(tag, DigitsOnly)):
        if found.book.fits(tag):
            continue
        if add:
            found.add(Cow(new_id(), tag))
        else:
            unknown.setdefault(spelling_key(tag), str(tag))
    if unknown and add is None:
        reading.questions.append(NewCowsQuestion(tuple(sorted(unknown.values(), key=tag_order))))


def place_cows(found: CowsIn, tables: Mapping[str, TableIn], *, has_cows_sheet: bool) -> None:
    """Put the identity of her cow into column `cow_id` of every sheet with tags; a tag that fits no cow is listed."""
    sheet = found.table.name if found.table is not None else "Cows" if has_cows_sheet else "Scores"
    numbers = _by_management_no(found.cows)
    for name in OF_COWS:
        table = tables.get(name)
        if table is None:
            continue
        ids: list[str | None] = [None] * len(table.kept)
        for place in list(table.places()):
            tag = table.values["tag"][place]
            fits = found.book.fits(tag)
            if len(fits) == 1:
                ids[place] = found.cows[fits[0]].id
            elif fits:
                tags = " and ".join(found.cows[at].tag for at in fits)
                table.keep_out(place, "tag", f"fits {tags}", "Write the tag as in Cows.")
            else:
                cow = numbers.get(tag.casefold())
                hint = (
                    f"Management no {tag} is cow {cow.tag}: write her tag."
                    if cow
                    else "Add her to Cows, or mend the tag."
                )
                table.keep_out(place, "tag", f"no such cow in {sheet}", hint)
        table.values["cow_id"] = ids


def _by_management_no(cows: Sequence[Cow]) -> dict[str, Cow]:
    numbers: dict[str, Cow] = {}
    doubled: set[str] = set()
    for cow in cows:
        if cow.management_no is not None:
            key = cow.management_no.casefold()
            if key in numbers:
                doubled.add(key)
            numbers[key] = cow
    return {key: cow for key, cow in numbers.items() if key not in doubled}


def last_weights(found: CowsIn, weights: Sequence[Weight]) -> list[Weight]:
    """Weighings that stand only in sheet Cows."""
    table = found.table
    if table is None:
        return []
    known: dict[tuple[str, date], set[float]] = {}
    for weight in weights:
        known.setdefault((weight.cow_id, weight.day), set()).add(weight.weight)
    added = []
    for at, place in found.row_of.items():
        cow, value, day = found.cows[at], table.values["weight"][place], table.values["weighed_on"][place]
        if value is None:
            if day is not None and not table.shown(place, "weight"):
                table.note(place, "weighed_on", "no weight with this date", "not used")
            continue
        if day is None:
            table.keep_cell_out(place, "weight", "weighed_on", "no date with this weight", "Fill in Weighed on.")
        elif (cow.id, day) not in known:
            added.append(Weight(new_id(), cow.id, day, value))
        elif value not in known[cow.id, day]:
            kept = ", ".join(f"{weight:g}" for weight in sorted(known[cow.id, day]))
            wrong = f"sheet Weights has {kept} kg that day"
            table.report(place, "weight", wrong, "the weight of sheet Weights is used")
    return added


def settle_groups(found: CowsIn, moves: Sequence[Move], today: date) -> None:
    """A cow's group is that of her latest move up to today; where sheet Cows says otherwise it is noted."""
    latest: dict[str, Move] = {}
    for move in moves:
        if move.day <= today and (move.cow_id not in latest or move.day >= latest[move.cow_id].day):
            latest[move.cow_id] = move
    for at, cow in enumerate(found.cows):
        move_now = latest.get(cow.id)
        if move_now is None or move_now.group == cow.group:
            continue
        if cow.group is not None and found.table is not None:
            wrong = f"she joined {move_now.group} on {move_now.day.isoformat()} (sheet Moves)"
            found.table.note(found.row_of[at], "group", wrong, f"group {move_now.group}")
        found.cows[at] = replace(cow, group=move_now.group)
