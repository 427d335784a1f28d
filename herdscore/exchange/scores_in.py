"""Sheet Scores to scores: the sites win over an overall score, a later row over an earlier one."""

from __future__ import annotations

from datetime import date

from herdscore.domain.records import UNSAFE, Score, new_id
from herdscore.domain.scoring_entry import read_note
from herdscore.exchange.rows_in import TableIn
from herdscore.exchange.tag_book import spelling_key

_SITES = ("loin", "ribs", "tailhead")
_FIELDS = ("cow_id", "day", "loin", "ribs", "tailhead", "score", "by_eye", "scorer", "note")


def read_scores(table: TableIn) -> list[Score]:
    """The scores of the rows kept."""
    _check_rows(table)
    _replace_earlier(table)
    return [Score(new_id(), *row) for row in table.kept_values(*_FIELDS)]


def mean_quarters(felt: list[int]) -> int:
    """Mean of the sites felt to the nearest quarter, ties up; in quarters."""
    return (2 * sum(felt) + len(felt)) // (2 * len(felt))


def _check_rows(table: TableIn) -> None:
    values = table.values
    rows = zip(*(values[name] for name in (*_SITES, "score", "note")), strict=True)
    for place, (loin, ribs, tailhead, score, note) in enumerate(rows):
        if not table.kept[place]:
            continue
        felt = [site for site in (loin, ribs, tailhead) if site is not None]
        if felt:
            if score is not None and score != mean_quarters(felt):
                wrong = f"the sites give {mean_quarters(felt) / 4:g}"
                table.report(place, "score", wrong, "the sites win", "Mend the sites or the score.")
                values["score"][place] = None
        elif score is None:
            if note is not None and read_note(note)[2]:
                if note.strip().casefold() == UNSAFE:
                    values["note"][place] = UNSAFE
            else:
                what_to_do = f'Fill in a score, or write "{UNSAFE}" under Note if she could not be handled.'
                table.keep_out_for_want_of(place, ("score", *_SITES), "no score in this row", what_to_do)


def _replace_earlier(table: TableIn) -> None:
    """One cow, day and scorer twice: the later row is kept."""
    last: dict[tuple[str, date, str], int] = {}
    columns = [table.values[name] for name in ("cow_id", "day", "scorer")]
    fields = _FIELDS[2:]
    for place, (cow_id, day, scorer) in enumerate(zip(*columns, strict=True)):
        if not table.kept[place]:
            continue
        key = (cow_id, day, spelling_key(scorer) if scorer else "")
        earlier = last.get(key)
        last[key] = place
        if earlier is None:
            continue
        table.kept[earlier] = False
        row = table.row(earlier)
        if all(table.values[name][place] == table.values[name][earlier] for name in fields):
            table.note(place, "tag", f"the same as row {row}", "one row kept")
        else:
            wrong = f"same cow, day and scorer as row {row}"
            table.report(place, "tag", wrong, f"this row replaces row {row}", "Strike the row that is wrong.")
